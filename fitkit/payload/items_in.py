"""The items of a sheet: names, masses, poses and zones, read strictly."""

from __future__ import annotations

import difflib
from typing import cast

from fitkit.payload.bounds import COUNTS, LENGTHS, MOST_NAME, NUMBERS
from fitkit.payload.boxes import face_size_mm
from fitkit.payload.model import (
    FACES,
    Body,
    Face,
    Hold,
    Item,
    Reach,
    Standing,
    Turn,
    Zone,
    ZoneKind,
)
from fitkit.payload.reading import Table, listed, shown
from fitkit.payload.shapes_in import read_body, read_pair
from fitkit.payload.twins import note_twin
from fitkit.payload.wishes_in import STANDINGS
from fitkit.reference.fragility import fragility_bands

_FORBIDDEN = '/\\:*?"<>|'
_TAKEN = ("edge", "outside")
TURNS: tuple[Turn, ...] = ("free", "quarter", "half", "fixed")
HOLDS: tuple[Hold, ...] = ("pocket", "mounted")
REACHES: tuple[Reach, ...] = ("always", "any")
ZONE_KINDS: tuple[ZoneKind, ...] = ("connector", "cable", "vent", "hand")

ITEM_KEYS = (
    "name",
    "count",
    "mass",
    "body",
    "up",
    "turn",
    "hold",
    "proud",
    "fragility",
    "power",
    "reach",
    "half",
    "uncertainty",
    "zone",
)


def read_items(sheet: Table) -> tuple[Item, ...]:
    """Every item that could be read; what is wrong is noted."""
    tables = sheet.tables("item")
    if tables is None:
        if "item" not in sheet:
            sheet.fault(
                None, "the sheet has no items", "add at least one [[item]] with a name and a body"
            )
        return ()
    if not sheet.data["item"]:
        sheet.fault(
            "item", "the sheet has no items", "add at least one [[item]] with a name and a body"
        )
    names: list[tuple[Table, str | None]] = []
    for table in tables:
        name = _name(table)
        if name is not None:
            table.notes.called[table.path] = name
        names.append((table, name))
    _unlike([(table, name) for table, name in names if name is not None])
    items = [_item(table, name) for table, name in names]
    _labels_unlike(tables, items)
    return tuple(item for item in items if item is not None)


def _name(table: Table) -> str | None:
    if "name" not in table:
        table.fault(None, "the item has no name", 'give name = "..."')
        return None
    name = table.text("name")
    if name is None:
        return None
    bad = sorted({char for char in name if char in _FORBIDDEN or not char.isprintable()})
    if not name.strip():
        table.fault("name", "the name is empty", "give a name that tells the item from the others")
    elif len(name) > MOST_NAME:
        table.fault("name", f"the name has {len(name)} characters", f"give {MOST_NAME} or fewer")
    elif bad:
        shown_bad = " ".join(char if char.isprintable() else f"U+{ord(char):04X}" for char in bad)
        table.fault(
            "name",
            f"the name has {shown_bad} in it",
            "use letters, digits, blanks and dashes: it also names files",
        )
    elif name != name.strip() or name.endswith("."):
        table.fault(
            "name", "the name starts or ends with a blank or a dot", f'write "{name.strip(" .")}"'
        )
    elif name.casefold() in _TAKEN:
        table.fault("name", f'"{name}" already means something else in a plan', "give another name")
    else:
        return name
    return None


def _unlike(names: list[tuple[Table, str]]) -> None:
    """No two items of one name, capitals aside."""
    first: dict[str, Table] = {}
    for table, name in names:
        note_twin(table, name, first=first, what="item")


def _labels_unlike(tables: list[Table], items: list[Item | None]) -> None:
    """A copy such as "probe 2" must not be taken for an item that is called so."""
    names = {item.name.casefold() for item in items if item is not None}
    for table, item in zip(tables, items, strict=True):
        if item is None or item.count == 1:
            continue
        for copy in range(1, item.count + 1):
            label = f"{item.name} {copy}"
            if label.casefold() in names:
                table.fault(
                    "name",
                    f'copy {copy} of "{item.name}" would be called like the item "{label}"',
                    "rename one of them",
                )
                break


def _item(table: Table, name: str | None) -> Item | None:
    table.only(ITEM_KEYS)
    before = len(table.notes)
    count = table.whole("count", most=COUNTS["item.count"])
    mass = table.mass("mass")
    body = read_body(table)
    up = _up(table)
    turn = table.choice("turn", TURNS)
    hold = table.choice("hold", HOLDS)
    proud = table.flag("proud")
    fragility = _fragility(table)
    power = table.number("power", **NUMBERS["item.power"])
    reach = table.choice("reach", REACHES)
    half = table.choice("half", STANDINGS)
    uncertainty = table.length("uncertainty", **LENGTHS["item.uncertainty"])
    zones = _zones(table, body)
    if len(table.notes) > before or body is None or name is None:
        return None
    plain = Item(name=name, body=body)
    return Item(
        name=name,
        body=body,
        count=plain.count if count is None else count,
        mass_kg=mass,
        up=plain.up if up is None else up,
        turn=plain.turn if turn is None else cast(Turn, turn),
        hold=plain.hold if hold is None else cast(Hold, hold),
        proud=plain.proud if proud is None else proud,
        fragility_g=fragility,
        power_w=power,
        reach=plain.reach if reach is None else cast(Reach, reach),
        half=None if half is None else cast(Standing, half),
        uncertainty_mm=plain.uncertainty_mm if uncertainty is None else uncertainty,
        zones=zones,
    )


def _up(table: Table) -> tuple[Face, ...] | None:
    """The faces that may look up."""
    value = table.data.get("up")
    remedy = f'give a list of {", ".join(FACES)}, or "any", or "as measured"'
    if value is None:
        return None
    if value == "any":
        return FACES
    if value == "as measured":
        return ("top",)
    if not isinstance(value, list) or not value:
        quoted = f'write up = ["{value}"]' if value in FACES else remedy
        table.fault("up", f"{shown(value)} where a list of faces belongs", quoted)
        return None
    faces: list[Face] = []
    wrong = False
    for index, entry in enumerate(value):
        face = next((known for known in FACES if known == entry), None)
        if face is None:
            wrong = True
            near = difflib.get_close_matches(entry, FACES, n=1) if isinstance(entry, str) else []
            table.notes.fault(
                (*table.path, "up", index),
                f"{shown(entry)} is not a face",
                f'did you mean "{near[0]}"?' if near else remedy,
            )
        elif face not in faces:
            faces.append(face)
    return None if wrong else tuple(faces)


def _fragility(table: Table) -> float | None:
    """Fragility [G]; a band by name counts with its low end."""
    value = table.data.get("fragility")
    if isinstance(value, str):
        bands = fragility_bands()
        if value in bands:
            return bands[value].low_g
        near = difflib.get_close_matches(value, list(bands), n=1)
        table.fault(
            "fragility",
            f"{shown(value)} is not a band of fragility",
            f'did you mean "{near[0]}"?'
            if near
            else f"give G as a number, or {listed(f'{chr(34)}{band}{chr(34)}' for band in bands)}",
        )
        return None
    return table.number("fragility", **NUMBERS["item.fragility"])


def _zones(table: Table, body: Body | None) -> tuple[Zone, ...]:
    zones = []
    for zone in table.tables("zone") or ():
        read = read_zone(zone, body)
        if read is not None:
            zones.append(read)
    return tuple(zones)


def read_zone(zone: Table, body: Body | None) -> Zone | None:
    """A zone; None where anything is wrong with it. ``body`` says how large its face is."""
    zone.only(("kind", "face", "at", "size", "depth"))
    missing = [key for key in ("kind", "face", "at", "size", "depth") if key not in zone]
    if missing:
        zone.fault(
            None,
            f"the zone has no {' and no '.join(missing)}",
            "give kind, face, at = [along, up], size = [width, height] and depth",
        )
    kind = zone.choice("kind", ZONE_KINDS)
    face = _face(zone)
    at = read_pair(zone, "at", **LENGTHS["zone.at"]) if "at" in zone else None
    size = read_pair(zone, "size", **LENGTHS["zone.size"]) if "size" in zone else None
    depth = zone.length("depth", **LENGTHS["zone.depth"])
    if face is not None and at is not None and body is not None:
        width, height = face_size_mm(face, body)
        if not (0 <= at[0] <= width and 0 <= at[1] <= height):
            say = zone.notes.say
            zone.fault(
                "at",
                f"the zone's centre is outside the {face} face",
                f"that face is {say(width)} along and {say(height)} "
                "up; measure from its left and from its foot",
            )
            return None
    if kind is None or face is None or at is None or size is None or depth is None:
        return None
    return Zone(cast(ZoneKind, kind), face, at, size, depth)


def _face(zone: Table) -> Face | None:
    value = zone.data.get("face")
    face = next((known for known in FACES if known == value), None)
    if value is None or face is not None:
        return face
    near = difflib.get_close_matches(value, FACES, n=1) if isinstance(value, str) else []
    zone.fault(
        "face",
        f"{shown(value)}: an item has no such face",
        f'did you mean "{near[0]}"?' if near else f"give {listed(FACES)}",
    )
    return None
