"""What the builder types, as values of a sheet, and values of a sheet as the form shows them.

A bare number typed in the sheet's own units becomes a number; typed in the other unit it becomes a
text with its unit. What cannot be understood is kept as it was typed: the reader of sheets then
says what is wrong with it.
"""

from __future__ import annotations

import re
from typing import Any, Literal

from fitkit.errors import BadInput
from fitkit.units import MM_PER_INCH, Units, length_mm, length_text, number_text

Kind = Literal[
    "length", "mass", "number", "count", "choice", "choices", "flag", "text", "lengths", "points"
]

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)")
_FRACTION = re.compile(r"[+-]?(\d+\s*[ -]?)?(\d+/\d+|[¼½¾⅐-⅞])")
_POINT = re.compile(r"^\s*(.+?)\s*[,;]\s*(.+?)\s*(?:[,;]?\s*arc\s*[,;]?\s*(.+?)\s*)?$")


def value_of(text: str, kind: Kind, *, units: Units, sheet_units: Units) -> Any:
    """The sheet's value for a typed ``text``; None where it is empty.

    >>> value_of("12 3/8", "length", units="in", sheet_units="mm")
    '12 3/8 in'
    >>> value_of("44", "length", units="mm", sheet_units="mm")
    44
    >>> value_of("10, 20", "lengths", units="mm", sheet_units="mm")
    [10, 20]
    """
    tidy = text.strip()
    if not tidy:
        return None
    if kind == "length":
        return _length(tidy, units, sheet_units)
    if kind == "mass":
        if _NUMBER.fullmatch(tidy):
            return f"{tidy} {'lb' if units == 'in' else 'kg'}"
        return tidy.lower() if tidy.lower() == "free" else tidy
    if kind in ("number", "count"):
        return _plain(tidy)
    if kind == "flag":
        return {"true": True, "false": False}.get(tidy, tidy)
    if kind == "choices":
        return [word for word in tidy.split(",") if word]
    if kind == "lengths":
        words = [word.strip() for word in re.split(r"[;,]", tidy.strip("[]")) if word.strip()]
        return [_length(word, units, sheet_units) for word in words]
    if kind == "points":
        return [_point(line, units, sheet_units) for line in tidy.splitlines() if line.strip()]
    return tidy


def text_of(value: Any, kind: Kind, *, units: Units, sheet_units: Units) -> str:
    """A sheet's value as the form shows it, lengths in ``units`` and without their unit.

    >>> text_of("12 3/8 in", "length", units="in", sheet_units="mm")
    '12 3/8'
    >>> text_of(254, "length", units="in", sheet_units="mm")
    '10'
    >>> text_of("about 3", "length", units="in", sheet_units="mm")
    'about 3'
    """
    if value is None:
        return ""
    if kind == "length":
        return _figure(value, units, sheet_units)
    if kind == "choices":
        return ",".join(map(str, value)) if isinstance(value, list) else str(value)
    if kind == "lengths" and isinstance(value, list):
        return ", ".join(_figure(one, units, sheet_units) for one in value)
    if kind == "points" and isinstance(value, list):
        return "\n".join(_point_text(one, units, sheet_units) for one in value)
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def in_units(length_mm_: float, *, units: Units) -> float:
    """A length as a plain number in ``units``, for the bounds of a field."""
    return length_mm_ / MM_PER_INCH if units == "in" else length_mm_


def _plain(text: str) -> int | float | str:
    if not _NUMBER.fullmatch(text):
        return text
    number = float(text)
    return int(number) if number.is_integer() and "." not in text else number


def _length(text: str, units: Units, sheet_units: Units) -> int | float | str:
    if text.lower() == "free":
        return "free"
    if _NUMBER.fullmatch(text) and units == sheet_units:
        return _plain(text)
    if _NUMBER.fullmatch(text) or _FRACTION.fullmatch(text):
        return f"{text} {units}"
    return text


def _figure(value: Any, units: Units, sheet_units: Units) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return str(value)
    if not isinstance(value, str) and units == sheet_units:
        return number_text(value, places=4) if abs(value) < 1e9 else str(value)
    try:
        length = length_mm(value, units=sheet_units)
    except BadInput:  # not a length yet: shown as it was typed, and its fault beside it
        return str(value)
    if units == "in":
        return length_text(length, units="in").removesuffix(" in")
    return number_text(length, places=3)


def _point(line: str, units: Units, sheet_units: Units) -> list[Any] | str:
    found = _POINT.match(line)
    if found is None:
        return line.strip()
    point: list[Any] = [_length(word, units, sheet_units) for word in found.group(1, 2)]
    if found[3] is not None:
        point += ["arc", _length(found[3], units, sheet_units)]
    return point


def _point_text(value: Any, units: Units, sheet_units: Units) -> str:
    if not isinstance(value, list) or len(value) not in (2, 4):
        return str(value)
    text = ", ".join(_figure(one, units, sheet_units) for one in value[:2])
    return text if len(value) == 2 else f"{text}, arc {_figure(value[3], units, sheet_units)}"
