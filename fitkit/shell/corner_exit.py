"""The corner exit as plain geometry: what passes through a corner cut off at 45 degrees.

Two walls meet at a right angle and the cut joins them: a triangle with two legs ``c``. The widest
round bundle is its inscribed circle, a plug lies flat in its corner.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

SHARE = 2.0 - math.sqrt(2.0)
"""Diameter of the inscribed circle of a triangle with two legs of 1 at a right angle: 0.5858."""


def widest_bundle_mm(leg_mm: float) -> float:
    """Diameter of the largest round bundle that passes a corner cut with legs ``c`` [mm].

    D = c (2 - sqrt 2): the inscribed circle of a right triangle with equal legs (derived, row K8
    of the cable formulas). Valid for any leg above 0; nothing passes a leg of 0 or less.

    >>> round(widest_bundle_mm(50.0), 2)
    29.29
    """
    return SHARE * max(0.0, leg_mm)


def leg_for_bundle_mm(bundle_mm: float) -> float:
    """Least length of the legs for a round bundle of that diameter [mm]: c = D / (2 - sqrt 2).

    The inverse of :func:`widest_bundle_mm`.

    >>> round(leg_for_bundle_mm(30.0), 2)
    51.21
    """
    return bundle_mm / SHARE


def leg_for_plug_mm(width_mm: float, height_mm: float) -> float:
    """Least length of the legs for a plug that lies flat in the corner [mm]: c = w + h.

    Its far corner (w, h) lies on the cut, the line x + y = c (derived).

    >>> leg_for_plug_mm(16.0, 12.0)
    28.0
    """
    return width_mm + height_mm


def lined_leg_mm(leg_mm: float, *, lining_mm: float, all_round: bool) -> float:
    """What is left of the legs where the cut is lined with something that thick [mm].

    On the sloping edge alone, the edge moves in by ``e`` and the legs lose e sqrt 2; all round, the
    triangle shrinks by ``e`` on each side and they lose e (2 + sqrt 2). Never below 0.

    >>> round(lined_leg_mm(50.0, lining_mm=2.0, all_round=False), 2)
    47.17
    """
    return max(0.0, leg_mm - taken_mm(lining_mm, all_round=all_round))


def taken_mm(lining_mm: float, *, all_round: bool) -> float:
    """By how much a lining shortens the legs [mm]; see :func:`lined_leg_mm`."""
    return lining_mm * (math.sqrt(2.0) + (2.0 if all_round else 0.0))


def sum_of_plug_mm(sizes_mm: Sequence[tuple[float, float]]) -> float:
    """The largest sum of width and height among plugs [mm], 0 where there are none.

    >>> sum_of_plug_mm([(16.0, 12.0), (22.0, 12.0)])
    34.0
    """
    return max((leg_for_plug_mm(*one) for one in sizes_mm), default=0.0)
