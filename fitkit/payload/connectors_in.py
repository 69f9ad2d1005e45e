"""Connectors as a sheet names them, "recorder.back.2", and where they lie on the item."""

from __future__ import annotations

import difflib
import math

from fitkit.payload.boxes import body_size
from fitkit.payload.cables import Connector, Plug
from fitkit.payload.faces import FACES, Face
from fitkit.payload.model import Item, Zone
from fitkit.payload.reading import Table, listed, shown

_HOW = 'write "item.face.number", such as "recorder.back.1"'


def connector_at(
    table: Table, key: str, said: str, items: tuple[Item, ...], *, sheet: Table
) -> Connector | None:
    """The connector that ``said`` names; None where there is none, which is noted at ``key``.

    The number may be left out where the face has one connector only. A copy of an item is named as
    in a plan, "probe 3.left.1".
    """
    parts = said.strip().split(".")
    number: int | None = None
    if parts[-1].strip().isdecimal() and len(parts) > 1:
        number = int(parts.pop())
    face = next((one for one in FACES if one == parts[-1].strip()), None)
    if len(parts) < 2 or face is None:
        near = difflib.get_close_matches(parts[-1].strip(), FACES, n=1)
        hint = f'did you mean "{near[0]}"? ' if near and len(parts) > 1 else ""
        table.fault(key, f"{shown(said)} does not name a connector", f"{hint}{_HOW}")
        return None
    name = ".".join(parts[:-1]).strip()
    found = _item(table, key, name, items, sheet)
    if found is None:
        return None
    item, copy = found
    zones = connectors_on(item, face)
    if number is None and len(zones) > 1:
        table.fault(
            key,
            f"the {face} of {item.name} has {len(zones)} connectors",
            f'say which, counted in the order of the sheet: "{name}.{face}.1"',
        )
        return None
    index = 1 if number is None else number
    if not 1 <= index <= len(zones):
        others = [f'"{name}.{one}.1"' for one in FACES if connectors_on(item, one)]
        table.fault(
            key,
            f"{item.name} has no connector {index} on its {face}"
            if zones
            else f"{item.name} has no connector on its {face}",
            f"it has {len(zones)} there: number them from 1"
            if zones
            else f"give it a zone of kind connector there, or name {listed(others)}"
            if others
            else f"give it a zone of kind connector on its {face}",
        )
        return None
    return Connector(item.name, face, index, copy)


def connectors_on(item: Item, face: Face) -> tuple[Zone, ...]:
    """The connector zones of a face, in the order of the sheet."""
    return tuple(zone for zone in item.zones if zone.kind == "connector" and zone.face == face)


def _item(
    table: Table, key: str, name: str, items: tuple[Item, ...], sheet: Table
) -> tuple[Item, int | None] | None:
    """The item, and which copy of it; capitals do not count."""
    known = {item.name.casefold(): item for item in items}
    item = known.get(name.casefold())
    if item is not None:
        return item, None
    stem, _, last = name.rpartition(" ")
    item = known.get(stem.strip().casefold()) if last.isdecimal() else None
    if item is not None:
        if 1 <= int(last) <= item.count:
            return item, int(last)
        table.fault(
            key,
            f"there is no copy {int(last)} of {item.name}",
            f"there {'is' if item.count == 1 else 'are'} {item.count}: count from 1",
        )
        return None
    typed = sheet.data.get("item")
    written = {
        entry["name"].casefold()
        for entry in (typed if isinstance(typed, list) else [])
        if isinstance(entry, dict) and isinstance(entry.get("name"), str)
    }
    if name.casefold() in written or stem.strip().casefold() in written:
        return None  # what is wrong with the item is said at the item
    near = difflib.get_close_matches(name.casefold(), known, n=1)
    table.fault(
        key,
        f'there is no item "{name}"',
        f'did you mean "{known[near[0]].name}"?'
        if near
        else f"items: {listed(item.name for item in items) or 'none'}",
    )
    return None


def least_between_mm(
    item: Item, start: Connector, to: Connector, *, plugs: tuple[Plug | None, Plug | None]
) -> float:
    """The straight way between the ends of two plugs on one item [mm]: no cable is shorter.

    A straight plug ends its length out from the face. An angled one ends anywhere up to that, so
    its length is taken off. The way leads through the body, so the real path is longer.
    """
    ends, off = [], 0.0
    for connector, plug in zip((start, to), plugs, strict=True):
        reach = 0.0 if plug is None else plug.length_mm
        if plug is not None and plug.angled:
            off, reach = off + reach, 0.0
        ends.append(_point(item, connector, reach))
    return max(0.0, math.dist(*ends) - off)


def _point(item: Item, connector: Connector, reach: float) -> tuple[float, float, float]:
    """A point ``reach`` out from the middle of a connector, in the measured pose [mm]."""
    w, d, h = body_size(item.body)
    face = connector.face
    a, b = connectors_on(item, face)[connector.index - 1].at_mm
    points: dict[Face, tuple[float, float, float]] = {
        "front": (a, -reach, b),
        "back": (w - a, d + reach, b),
        "left": (-reach, d - a, b),
        "right": (w + reach, a, b),
        "top": (a, b, h + reach),
        "bottom": (a, b, -reach),
    }
    return points[face]
