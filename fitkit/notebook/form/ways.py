"""Fields that choose how a table is written: a hole pattern by name or as measured, plugs, battens.

Their keys start with "=" and stand under the table that they choose: what they show follows from
what is there, and another choice puts something else in its place.
"""

from __future__ import annotations

from typing import Any

from fitkit.payload.plugs_in import NONE
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.starting import new_pattern, new_plug
from fitkit.payload.toml_lines import Path

WAYS = ("=way", "=batten", "=ends", "=plug")


def shown(sheet: SheetText, path: Path) -> Any:
    """Which way is taken; None where the sheet says nothing."""
    value, way = sheet.get(path[:-1]), path[-1]
    if way == "=batten":
        return None if value is None else value is not False
    if way == "=ends":
        two = isinstance(value, list) and len(value) == 2
        return None if value is None else "two" if two else "alike"
    if not isinstance(value, dict):
        return value
    if "name" in value:
        return str(value["name"])
    if way == "=plug":
        return "measured"
    return next((key for key in ("size", "holes") if key in value), "")


def chosen(sheet: SheetText, path: Path, text: str) -> SheetText:
    """The sheet after another way was chosen; "" for none."""
    at, way = path[:-1], path[-1]
    if text == _text(shown(sheet, path)):
        return sheet
    if way == "=batten":
        return put(sheet, at, False) if text == "false" else without(sheet, at)
    if not text:
        return without(sheet, at)
    value = sheet.get(at)
    if way == "=ends":
        return put(sheet, at, _ends(value, text))
    units = "in" if sheet.get(("units",)) == "in" else "mm"
    if way == "=plug":
        return put(sheet, at, new_plug(value, units=units) if text == "measured" else text)
    return put(sheet, at, new_pattern(value, text, units=units))


def opened(sheet: SheetText, path: Path) -> SheetText:
    """The sheet with room for the key ``path``: a name alone becomes a table with that name."""
    name = sheet.get(path[:-1])
    return put(sheet, path[:-1], {"name": name}) if isinstance(name, str) else sheet


def closed(sheet: SheetText, path: Path) -> SheetText:
    """The sheet after the key ``path`` was emptied: a table with a name alone becomes that name."""
    table = sheet.get(path[:-1])
    alone = isinstance(table, dict) and list(table) == ["name"]
    return put(sheet, path[:-1], table["name"]) if alone and not sheet.has(path) else sheet


def put(sheet: SheetText, path: Path, value: Any) -> SheetText:
    """``value`` in place of whatever stands at ``path``, under a heading of its own or not."""
    try:
        return sheet.set(path, value)
    except KeyError:
        return sheet.remove(path).set(path, value)


def without(sheet: SheetText, path: Path) -> SheetText:
    """Without a key, and without the tables in braces that held nothing else."""
    made = sheet.remove(path) if sheet.has(path) else sheet
    above = path[:-1]
    while made is not sheet and len(above) > 1 and isinstance(above[-1], str):
        if made.get(above) != {}:
            break
        made, above = made.remove(above), above[:-1]
    return made


def _ends(value: Any, text: str) -> Any:
    """The plugs of a cable, written for both ends at once or one by one."""
    there = value if isinstance(value, list) else [NONE if value is None else value]
    if text == "two":
        return [*there, *there][:2] or [NONE, NONE]
    return next((one for one in there if one != NONE), NONE)


def _text(value: Any) -> str:
    if value is None:
        return ""
    return str(value).lower() if isinstance(value, bool) else str(value)
