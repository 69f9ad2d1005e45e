"""The cutting method of a payload, as the foam needs it; values: :mod:`fitkit.reference`."""

from __future__ import annotations

from attrs import frozen

from fitkit.payload.model import Cutting, FoamWishes
from fitkit.reference.foams import cutting_methods
from fitkit.sources import cited

CORNER_OPENING = 1 - 2**-0.5
"""How far a relief circle in a square corner bulges past its sides, in tool radii (geometry)."""


@frozen
class Method:
    """One way of cutting foam.

    ``inner_radius_mm`` is the least radius of an inside corner (0: sharp, by overcut),
    ``min_web_mm`` the narrowest web that stands up to the cut, ``depth_mm`` the thickest sheet
    that is cut well (None: any, or as far as the tool reaches). ``advice`` says how to work,
    ``caution`` what can hurt.
    """

    name: Cutting
    inner_radius_mm: float
    min_web_mm: float
    depth_mm: float | None
    advice: str
    caution: str
    source: str

    @property
    def corner_take_mm(self) -> float:
        """How far the relief of a square corner bulges past a pocket's side [mm]."""
        return self.inner_radius_mm * CORNER_OPENING


def method_for(foam: FoamWishes) -> Method:
    """The cutting method that the foam wishes ask for; a router's radius is half its tool.

    >>> method_for(FoamWishes(cutting="router", tool_mm=6.0)).inner_radius_mm
    3.0
    """
    row = cutting_methods()[foam.cutting]
    return Method(
        name=foam.cutting,
        inner_radius_mm=0.0 if row.sharp_by_overcut else row.radius_mm(foam.tool_mm),
        min_web_mm=row.least_web_mm,
        depth_mm=row.most_depth_mm,
        advice=row.advice,
        caution=row.caution,
        source=cited(row.source),
    )
