"""Panels: what a nominal thickness really measures, and what a square metre weighs."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known


@frozen
class Panel:
    """A panel by its trade name; thickness from ``min_mm`` to ``max_mm``, ``mean_mm`` on average.

    ``areal_kg_m2`` is the mass of a square metre.
    """

    name: str
    nominal_mm: float
    mean_mm: float
    min_mm: float
    max_mm: float
    density_kg_m3: float
    areal_kg_m2: float
    source: str
    known: Known


@cache
def panels() -> dict[str, Panel]:
    """Every known panel by name.

    >>> panels()["birch plywood 6.5"].max_mm
    6.9
    """
    found = {}
    for row in rows("panels.csv"):
        panel = Panel(
            name=row["name"],
            nominal_mm=number(row["nominal_mm"], least=1, most=50),
            mean_mm=number(row["mean_mm"], least=1, most=50),
            min_mm=number(row["min_mm"], least=1, most=50),
            max_mm=number(row["max_mm"], least=1, most=50),
            density_kg_m3=number(row["density_kg_m3"], least=100, most=3000),
            areal_kg_m2=number(row["areal_kg_m2"], least=0.5, most=50),
            source=row["source"],
            known=known(row["known"]),
        )
        if not panel.min_mm <= panel.mean_mm <= panel.max_mm:
            raise ValueError(f"{panel.name}: the mean is not between least and most")
        found[panel.name] = panel
    return found
