"""Generic hardware by kind: placeholders until the builder has measured their own parts.

Sizes of hardware differ from maker to maker, and no figures free of brands exist. Each row is the
house's placeholder, within the ranges of common practice where there are such, and is printed as
an assumption.
"""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known

KINDS = (
    "latch", "hinge", "stay", "handle", "foot", "castor", "corner", "brace", "door latch",
    "low handle", "low latch",
)  # fmt: skip

"""Kinds of hardware; low ones are not sunk, for where a sunk one has no room."""

FIXINGS = ("rivet", "screw", "bolt", "tee nut")


@frozen
class GenericHardware:
    """One generic piece of hardware [mm]; ``holes`` are x, y from the middle of its flange.

    ``depth_mm`` is how deep it reaches behind the panel's outer face, ``stands_mm`` how far it
    stands out of the case. No load is given: that is for the part's maker to say.
    """

    kind: str
    name: str
    flange_mm: tuple[float, float]
    dish_mm: tuple[float, float] | None
    dish_corner_mm: float
    depth_mm: float
    stands_mm: float
    holes: tuple[tuple[float, float], ...]
    fixing: str
    mass_kg: float
    source: str
    known: Known


@cache
def generic_hardware() -> dict[str, GenericHardware]:
    """Every generic piece of hardware by kind.

    >>> generic_hardware()["latch"].dish_mm
    (60.0, 44.0)
    """
    return {row["kind"]: _row(row) for row in rows("hardware.csv")}


def _row(row: dict[str, str]) -> GenericHardware:
    kind, fixing = row["kind"], row["fixing"]
    if kind not in KINDS or fixing not in FIXINGS:
        raise ValueError(f"{kind} fixed by {fixing}: no such hardware")
    return GenericHardware(
        kind=kind,
        name=row["name"],
        flange_mm=_two(row["flange_mm"], least=5),
        dish_mm=_two(row["dish_mm"], least=5) if row["dish_mm"] else None,
        dish_corner_mm=number(row["dish_corner_mm"], least=0, most=12),
        depth_mm=number(row["depth_mm"], least=0, most=60),
        stands_mm=number(row["stands_mm"], least=0, most=200),
        holes=tuple(_hole(cell) for cell in row["holes"].split("; ") if cell),
        fixing=fixing,
        mass_kg=number(row["mass_kg"], least=0, most=5),
        source=row["source"],
        known=known(row["known"]),
    )


def _two(cell: str, *, least: float) -> tuple[float, float]:
    width, height = (number(part, least=least, most=400) for part in cell.split(" x "))
    return (width, height)


def _hole(cell: str) -> tuple[float, float]:
    x, y = (number(part, least=-200, most=200) for part in cell.split(" "))
    return (x, y)
