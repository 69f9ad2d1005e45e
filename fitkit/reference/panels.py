"""Panels: what a nominal thickness really measures, what a square metre weighs, how it is sold."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, number_or_none, rows
from fitkit.sources import Known

LAMINATE_MM = (0.5, 0.8)
"""Thickness of one face of laminate, least and most [mm] (from memory)."""

LAMINATE_KG_M2 = (0.7, 1.1)
"""Mass of a square metre of one face of laminate, least and most [kg/m2] (from memory)."""


@frozen
class Panel:
    """A panel by its trade name; thickness from ``min_mm`` to ``max_mm``, ``mean_mm`` on average.

    ``areal_kg_m2`` is the mass of a square metre; it and the density are None where no source
    gives them. ``grain``: whether it has a grain or flutes; ``wood``: whether a rivet's tail would
    bulge in wood. ``ranged`` is false where no source says in which range it is sold: least, mean
    and most are then its name. ``sheet_mm`` is length (along the grain) and width of a sheet.
    """

    name: str
    nominal_mm: float
    mean_mm: float
    min_mm: float
    max_mm: float
    density_kg_m3: float | None
    areal_kg_m2: float | None
    grain: bool
    wood: bool
    ranged: bool
    sheet_mm: tuple[float, float]
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
            density_kg_m3=number_or_none(row["density_kg_m3"], least=100, most=3000),
            areal_kg_m2=number_or_none(row["areal_kg_m2"], least=0.5, most=50),
            grain=_flag(row["grain"]),
            wood=_flag(row["wood"]),
            ranged=_flag(row["ranged"]),
            sheet_mm=(
                number(row["sheet_length_mm"], least=500, most=5000),
                number(row["sheet_width_mm"], least=500, most=5000),
            ),
            source=row["source"],
            known=known(row["known"]),
        )
        if not panel.min_mm <= panel.mean_mm <= panel.max_mm:
            raise ValueError(f"{panel.name}: the mean is not between least and most")
        found[panel.name] = panel
    return found


def _flag(text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError(f"{text!r} is neither yes nor no")
    return text == "yes"
