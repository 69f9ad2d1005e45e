"""The plugs of a cable as typed: by their trade name, or as measured."""

from __future__ import annotations

import difflib

from fitkit.payload.bounds import LENGTHS
from fitkit.payload.cables import Plug
from fitkit.payload.reading import Table, listed, shown
from fitkit.payload.toml_lines import Path
from fitkit.reference.plugs import PlugRow, plugs

PLUG = ("name", "width", "height", "length", "angled")
SIZES = ("width", "height", "length")
NONE = "none"
"""A cable's end without a plug: bare, soldered, or fixed to the device."""


def read_plugs(cable: Table) -> tuple[Plug | None, Plug | None]:
    """The plugs at the start and at the other end of a cable; one alone is at both."""
    value = cable.data.get("plugs")
    if value is None:
        return (None, None)
    path = (*cable.path, "plugs")
    if isinstance(value, str | dict):
        one = _plug(cable, path, value)
        return (one, one)
    if not isinstance(value, list) or not 1 <= len(value) <= 2:
        cable.fault(
            "plugs",
            f"{shown(value)} where the plugs of two ends belong",
            'write ["8P8C", "8P8C"], or { width = 12, height = 8, length = 30 } as measured; '
            f'"{NONE}" for an end without one',
        )
        return (None, None)
    read = [_plug(cable, (*path, index), entry) for index, entry in enumerate(value)]
    return (read[0], read[-1])


def _plug(cable: Table, path: Path, value: object) -> Plug | None:
    if value == NONE:
        return None
    if isinstance(value, str):
        row = _row(cable, path, value)
        return None if row is None else _made(Table({}, path, cable.notes), row)
    if not isinstance(value, dict):
        cable.notes.fault(
            path,
            f"{shown(value)} where a plug belongs",
            f'write its name, {{ width, height, length }} as measured, or "{NONE}"',
        )
        return None
    inner = Table(value, path, cable.notes)
    inner.only(PLUG)
    name = inner.text("name")
    row = None if name is None else _row(cable, (*path, "name"), name)
    return None if name is not None and row is None else _made(inner, row)


def _row(cable: Table, path: Path, name: str) -> PlugRow | None:
    """The plug of that name; capitals do not count."""
    known = {one.casefold(): row for one, row in plugs().items()}
    row = known.get(name.strip().casefold())
    if row is None:
        near = difflib.get_close_matches(name.strip().casefold(), known, n=1)
        hint = f'did you mean "{known[near[0]].name}"? ' if near else ""
        cable.notes.fault(
            path,
            f"{shown(name)} is no plug known here",
            f"{hint}known: {listed(plugs())}; or give width, height and length as measured",
        )
    return row


def _made(inner: Table, row: PlugRow | None) -> Plug | None:
    """A plug as measured, with what its name says of the rest."""
    before = len(inner.notes)
    sizes = {key: inner.length(key, **LENGTHS["cable.plug"]) for key in SIZES}
    angled = inner.flag("angled")
    if len(inner.notes) > before:
        return None
    if row is not None:
        stated = {"width": row.width_mm, "height": row.height_mm, "length": row.length_mm}
        sizes = {key: stated[key] if size is None else size for key, size in sizes.items()}
        angled = row.angled if angled is None else angled
    width, height, length = sizes["width"], sizes["height"], sizes["length"]
    if width is None or height is None or length is None:
        missing = [key for key, size in sizes.items() if size is None]
        what = "the plug" if row is None else f'the plug "{row.name}"'
        named = "" if row is None else f'name = "{row.name}", '
        inner.fault(
            None,
            f"{what} has no {' and no '.join(missing)}",
            "measure it, sleeve included: { " + named
            + ", ".join(f"{key} = 20" for key in missing) + " }",
        )  # fmt: skip
        return None
    measured = all(key in inner for key in SIZES)
    known = "measured" if row is None or measured else row.known
    return Plug(width, height, length, angled=bool(angled), known=known)
