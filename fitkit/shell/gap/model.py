"""The records of the closing gap: what faces what, what may close it, and what is left.

A gap is measured along the way in which the halves close: what lies below the closing plane looks
up, what lies above it looks down. Tolerances are plus or minus and may add up or cancel; all else
(flex, movement in a drop, compressed foam) only ever closes the gap.
"""

from __future__ import annotations

import math
from typing import Literal

from attrs import frozen

from fitkit.foam.model import Point


@frozen
class Contribution:
    """One thing that may take from the gap: what, by how much [mm], and where the figure is from.

    "tolerance": plus or minus ``mm``. "shift": it takes up to ``mm``, and never gives any back.
    ``mm`` is None where it is not known.
    """

    what: str
    mm: float | None
    kind: Literal["tolerance", "shift"]
    source: str


@frozen
class Gap:
    """What faces what across the closing plane, and how far apart they are.

    ``deep`` and ``shallow`` are the labels of what faces each other; where an item faces only the
    panel or the foam opposite, that is named instead. ``nominal_mm`` is the least distance between
    them as planned, at ``at_mm``; ``recess_mm`` the recess of either's foremost point there.
    ``keep_mm`` is what must be left. ``least_recess_mm`` is the recess that each side would need,
    the other one staying as it is, for the gap to be kept at worst.
    """

    deep: str
    shallow: str
    nominal_mm: float
    recess_mm: tuple[float, float]
    at_mm: Point
    keep_mm: float
    contributions: tuple[Contribution, ...]
    least_recess_mm: tuple[float, float]

    @property
    def known(self) -> bool:
        """Whether every contribution is known."""
        return all(one.mm is not None for one in self.contributions)

    @property
    def shifts_mm(self) -> float:
        """Sum of the known shifts [mm]."""
        return sum(one.mm or 0.0 for one in self.contributions if one.kind == "shift")

    @property
    def worst_mm(self) -> float:
        """The gap when every tolerance and every shift is at its worst [mm]: worst case."""
        tolerances = sum(one.mm or 0.0 for one in self.contributions if one.kind == "tolerance")
        return self.nominal_mm - self.shifts_mm - tolerances

    @property
    def rss_mm(self) -> float:
        """The gap with all shifts, and tolerances added as root of the sum of squares [mm]."""
        squares = sum((one.mm or 0.0) ** 2 for one in self.contributions if one.kind == "tolerance")
        return self.nominal_mm - self.shifts_mm - math.sqrt(squares)
