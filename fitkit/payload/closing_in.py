"""What is counted where the halves close, as typed under [closing]."""

from __future__ import annotations

from typing import Any

from attrs import evolve

from fitkit.payload.bounds import LENGTHS, NUMBERS
from fitkit.payload.closing import Closing, Tolerances
from fitkit.payload.reading import Table

CLOSING = ("keep", "load", "drop", "shock", "tolerances")
TOLERANCES = ("measured", "tape", "saw", "seating", "foam", "rail")


def read_closing(sheet: Table) -> Closing:
    """Tolerances, what must be left of a gap, loads and drops; defaults where it is silent."""
    plain = Closing()
    table = sheet.table("closing")
    if table is None:
        return plain
    table.only(CLOSING)
    read: dict[str, Any] = {
        "keep_mm": table.length("keep", **LENGTHS["closing.keep"]),
        "load_n": table.number("load", **NUMBERS["closing.load"]),
        "drop_mm": table.length("drop", **LENGTHS["closing.drop"], free=True),
        "shock_g": table.number("shock", **NUMBERS["closing.shock"]),
        "tolerances": _tolerances(table),
    }
    return evolve(plain, **{key: value for key, value in read.items() if value is not None})


def _tolerances(table: Table) -> Tolerances:
    """Half widths of what each measure may be off by [mm]."""
    inner = table.table("tolerances")
    if inner is None:
        return Tolerances()
    inner.only(TOLERANCES)
    read = {f"{key}_mm": inner.length(key, **LENGTHS["closing.tolerance"]) for key in TOLERANCES}
    return evolve(Tolerances(), **{key: value for key, value in read.items() if value is not None})
