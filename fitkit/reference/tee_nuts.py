"""Tee nuts: the hole for the barrel. All values are from memory: measure the barrel."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known


@frozen
class TeeNut:
    """A tee nut by its thread: the barrel, not the thread, sets the hole [mm]."""

    thread: str
    least_hole_mm: float
    most_hole_mm: float
    source: str
    known: Known


@cache
def tee_nuts() -> dict[str, TeeNut]:
    """Every known thread.

    >>> tee_nuts()["M6"].most_hole_mm, tee_nuts()["M6"].known
    (8.0, 'from memory')
    """
    found = {}
    for row in rows("tee_nuts.csv"):
        nut = TeeNut(
            thread=row["thread"],
            least_hole_mm=number(row["least_hole_mm"], least=3, most=20),
            most_hole_mm=number(row["most_hole_mm"], least=3, most=20),
            source=row["source"],
            known=known(row["known"]),
        )
        if not float(nut.thread[1:]) < nut.least_hole_mm <= nut.most_hole_mm:
            raise ValueError(f"tee nut {nut.thread}: the barrel is no wider than its thread")
        found[nut.thread] = nut
    return found
