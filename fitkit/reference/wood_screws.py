"""Wood screws by gauge: shank, clearance hole, pilot holes, and the countersink."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, number_or_none, rows
from fitkit.sources import Known

SINK_SHANKS = 2.0
"""Diameter of the countersink, in shanks, at 90 degrees (from memory)."""


@frozen
class WoodScrew:
    """A wood screw [mm]; ``softwood_mm`` is None where a bradawl does for a pilot hole.

    Plywood is drilled as softwood. Tables differ from each other by up to 1 mm on the thicker
    screws: drill a trial hole.
    """

    gauge: int
    shank_mm: float
    clearance_mm: float
    softwood_mm: float | None
    hardwood_mm: float
    source: str
    known: Known

    @property
    def sink_mm(self) -> float:
        """Diameter of its countersink [mm] (from memory)."""
        return SINK_SHANKS * self.shank_mm


@cache
def wood_screws() -> dict[int, WoodScrew]:
    """Every known gauge.

    >>> wood_screws()[6].clearance_mm, wood_screws()[6].softwood_mm, wood_screws()[6].sink_mm
    (3.6, 1.6, 7.0)
    """
    found = {}
    for row in rows("wood_screws.csv"):
        screw = WoodScrew(
            gauge=int(number(row["gauge"], least=2, most=20)),
            shank_mm=number(row["shank_mm"], least=1.5, most=10),
            clearance_mm=number(row["clearance_mm"], least=1.5, most=10),
            softwood_mm=number_or_none(row["softwood_mm"], least=0.5, most=8),
            hardwood_mm=number(row["hardwood_mm"], least=0.5, most=8),
            source=row["source"],
            known=known(row["known"]),
        )
        if not screw.hardwood_mm < screw.shank_mm <= screw.clearance_mm:
            raise ValueError(f"screw no. {screw.gauge}: pilot, shank, clearance are not in order")
        found[screw.gauge] = screw
    return found


def screw_through(hole_mm: float) -> WoodScrew | None:
    """The thickest screw whose shank passes a hole of ``hole_mm``; None if none does.

    >>> screw_through(4.0).gauge
    6
    """
    passing = [screw for screw in wood_screws().values() if screw.shank_mm < hole_mm]
    return max(passing, key=lambda screw: screw.gauge, default=None)
