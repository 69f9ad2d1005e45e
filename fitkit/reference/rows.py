"""Reading the data files of the package into frozen rows."""

from __future__ import annotations

import csv
import io
from importlib import resources

from fitkit.sources import KNOWN, Known


def rows(file: str) -> list[dict[str, str]]:
    """Every row of a data file by its column heads; ValueError where a row is ragged."""
    text = resources.files("fitkit.reference").joinpath("data", file).read_text(encoding="utf-8")
    found = []
    for row in csv.DictReader(io.StringIO(text)):
        if None in row or None in row.values():
            raise ValueError(f"{file}: a row has more or fewer cells than the head: {row}")
        found.append({str(key): str(cell) for key, cell in row.items()})
    return found


def number(text: str, *, least: float, most: float) -> float:
    """A cell as a number within [least, most]; ValueError outside it."""
    value = float(text)
    if not least <= value <= most:
        raise ValueError(f"{value:g} is outside {least:g} to {most:g}")
    return value


def number_or_none(text: str, *, least: float, most: float) -> float | None:
    """A cell as a number, or None where it is empty."""
    return number(text, least=least, most=most) if text else None


def known(text: str) -> Known:
    """How the row's value is known; ValueError for a mark that is not one of ours."""
    for mark in KNOWN:
        if text == mark:
            return mark
    raise ValueError(f"{text!r} is none of {', '.join(KNOWN)}")
