"""How thick a bundle of cables is: circles in the least circle around them.

Equal cables follow the table of published packings. Beyond the table, and for unlike cables, rules
of thumb stand in: they were derived and checked against the table when it was made.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known

SHARE = 1.25
"""Diameter of a loose round bundle over the root of the sum of its cables' squared diameters."""

ALIKE_MM = 0.05
"""Cables whose diameters differ by no more than this count as equal [mm]."""


@frozen
class Packing:
    """The least circle around ``n`` equal circles: its diameter over theirs."""

    n: int
    ratio: float
    source: str
    known: Known


@cache
def packings() -> dict[int, Packing]:
    """Every packing of the table, by the number of circles.

    >>> packings()[7].ratio
    3.0000512522
    """
    found = {}
    for row in rows("circles_in_circle.csv"):
        one = Packing(
            n=int(number(row["n"], least=1, most=1000)),
            ratio=number(row["room_over_circle"], least=1, most=100),
            source=row["source"],
            known=known(row["known"]),
        )
        found[one.n] = one
    return found


@frozen
class BundleSize:
    """A bundle's outside diameter [mm], and the rule that it is from."""

    diameter_mm: float
    rule: str


def bundle_of(diameters_mm: Sequence[float]) -> BundleSize:
    """The outside diameter of a round bundle of cables of these diameters [mm].

    One cable: its own. Up to as many equal cables as the table has: D = d * table(n). More of
    them: D = 1.25 d sqrt(n). Unlike cables: D = 1.25 sqrt(sum d_i^2), and no less than the two
    thickest side by side, nor than the circle around the three thickest (:func:`around_three`).
    ValueError without a cable, or for a diameter that is not above 0.

    >>> round(bundle_of([6.0, 6.0, 6.0]).diameter_mm, 2)
    12.93
    >>> bundle_of([8.0, 8.0, 3.0]).diameter_mm
    16.0
    """
    if not diameters_mm:
        raise ValueError("a bundle has one cable or more")
    if min(diameters_mm) <= 0:
        raise ValueError("a cable's diameter is above 0")
    thick = sorted(diameters_mm, reverse=True)
    count = len(thick)
    if count == 1:
        return BundleSize(thick[0], "one cable")
    if thick[0] - thick[-1] <= ALIKE_MM:
        packing = packings().get(count)
        if packing is not None:
            said = f"{packing.ratio:.4g} d: {count} equal circles in a circle, as published"
            return BundleSize(thick[0] * packing.ratio, said)
        return BundleSize(SHARE * thick[0] * math.sqrt(count), f"1.25 d sqrt(n), n = {count}")
    loose = SHARE * math.sqrt(sum(d * d for d in thick))
    three = around_three(thick[0], thick[1], thick[2]) if count > 2 else 0.0
    if three > max(loose, thick[0] + thick[1]):
        return BundleSize(three, "the circle around the three thickest")
    if loose < thick[0] + thick[1]:
        return BundleSize(thick[0] + thick[1], "the two thickest side by side")
    return BundleSize(loose, "1.25 sqrt(sum of d squared), unlike cables")


def around_three(one_mm: float, other_mm: float, third_mm: float) -> float:
    """The diameter of the least circle around three circles of these diameters [mm].

    The two larger side by side where the third fits beside them; else the circle that all three
    touch from inside, by Descartes' theorem on curvatures: k = k1 + k2 + k3
    - 2 sqrt(k1 k2 + k2 k3 + k3 k1), counted outwards.

    >>> round(around_three(6.0, 6.0, 6.0) / 6.0, 4)
    2.1547
    """
    a, b, c = sorted(2 / d for d in (one_mm, other_mm, third_mm))
    if c >= a + b - a * b / (a + b):
        return 2 / a + 2 / b
    return 2 / (2 * math.sqrt(a * b + b * c + c * a) - a - b - c)
