"""Clearance holes for metric bolts."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known


@frozen
class ClearanceHole:
    """The hole that a bolt of this thread passes through, by class of fit [mm]."""

    thread: str
    d_mm: float
    fine_mm: float
    medium_mm: float
    coarse_mm: float
    source: str
    known: Known


@cache
def clearance_holes() -> dict[str, ClearanceHole]:
    """Every known thread.

    >>> clearance_holes()["M6"].medium_mm
    6.6
    """
    found = {}
    for row in rows("clearance_holes.csv"):
        hole = ClearanceHole(
            thread=row["thread"],
            d_mm=number(row["d_mm"], least=1, most=30),
            fine_mm=number(row["fine_mm"], least=1, most=35),
            medium_mm=number(row["medium_mm"], least=1, most=35),
            coarse_mm=number(row["coarse_mm"], least=1, most=35),
            source=row["source"],
            known=known(row["known"]),
        )
        if not hole.d_mm < hole.fine_mm < hole.medium_mm < hole.coarse_mm:
            raise ValueError(f"{hole.thread}: the holes are not in order")
        found[hole.thread] = hole
    return found


def thread_through(hole_mm: float) -> ClearanceHole | None:
    """The thickest bolt that passes a hole of ``hole_mm`` in a piece of hardware; None if none.

    It passes where the hole is at least that of the fine class.

    >>> thread_through(6.5).thread, thread_through(1.0)
    ('M6', None)
    """
    passing = [hole for hole in clearance_holes().values() if hole.fine_mm <= hole_mm + 1e-9]
    return max(passing, key=lambda hole: hole.d_mm, default=None)
