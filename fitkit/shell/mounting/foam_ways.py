"""What blocks, rails and sub-panels take of the foam in a half that has both."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from fitkit.foam.model import Way
from fitkit.shell.mounting.model import Support

SIDE_MM = 1.0
"""Foam keeps this far from what holds an item, on each side [mm] (assumption)."""


def support_ways(supports: Sequence[Support]) -> tuple[Way, ...]:
    """The places of supports, open up to the closing plane, in the case's coordinates [mm].

    Gear and what holds it is screwed together first: the foam comes in after it, from the closing
    plane.

    >>> rail = Support("rail", "rail", "screen", 1, "deep", (20.0, 50.0, 0.0), (120.0, 60.0, 20.0),
    ...                "x", "y", 100.0, 10.0, 20.0, "strip")
    >>> support_ways((rail,))[0].outline.bounds
    (19.0, 49.0, 121.0, 61.0)
    """
    return tuple(
        Way(
            one.item,
            one.copy,
            shapely.normalize(
                shapely.box(
                    one.low_mm[0] - SIDE_MM,
                    one.low_mm[1] - SIDE_MM,
                    one.high_mm[0] + SIDE_MM,
                    one.high_mm[1] + SIDE_MM,
                )
            ),
            one.low_mm[2],
            one.high_mm[2],
        )
        for one in supports
    )
