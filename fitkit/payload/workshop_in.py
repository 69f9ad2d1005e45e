"""The workshop as typed: how the case is split, what its panels are cut from, hardware, stock."""

from __future__ import annotations

from typing import cast

from attrs import evolve, frozen

from fitkit.payload.boards_in import GRAINS, read_choices
from fitkit.payload.bounds import COUNTS, LENGTHS
from fitkit.payload.exits_in import read_exits, read_planks, read_removable
from fitkit.payload.hardware_in import WALLS, read_hardware
from fitkit.payload.model import Form, Wall
from fitkit.payload.reading import Table
from fitkit.payload.stock_in import read_sheets, read_stock
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import SIDES, Grain, Opening, Side, Workshop

SHELL = ("tongue", "opening", "rings", "doors", "door", "removable", "planks", "exits")
HALVES = ("deep", "shallow")
OPENINGS: tuple[Opening, ...] = ("lid", "front", "left", "right", "ends")
_MEETS: dict[Opening, tuple[Side, ...]] = {
    "lid": ("top",),
    "front": ("front",),
    "left": ("left",),
    "right": ("right",),
    "ends": ("left", "right"),
}
_CLOSERS: dict[Side, str] = {
    "top": "lid",
    "front": "drawer front",
    "left": "door left",
    "right": "door right",
}
_OPPOSITE: dict[Side, Side] = {
    "top": "bottom",
    "bottom": "top",
    "front": "back",
    "back": "front",
    "left": "right",
    "right": "left",
}


@frozen
class Made:
    """The wall and the workshop of a sheet: a sheet's size belongs to both."""

    wall: Wall
    workshop: Workshop


def read_workshop(sheet: Table, *, form: Form, wall: Wall) -> Made:
    """What stands under [shell], [hardware], [stock] and in [wall] about single panels.

    ``form`` and ``wall`` are as read from [case] and [wall]; every fault is noted with its place.
    """
    shop = _shell(sheet, form, wall)
    table = sheet.table("wall") if isinstance(sheet.data.get("wall"), dict) else None
    sheets = read_sheets(sheet, _boards_named(sheet, wall))
    if table is not None:
        read = table.data.get("grain")
        grain: Grain = read if isinstance(read, str) and read in GRAINS else "any"
        names = panel_names(form, shop)
        choices = read_choices(table, names, wall=wall, grain=grain, sheets=sheets)
        shop = evolve(shop, grain=grain, panels=choices)
    size = wall.sheet_mm or sheets.get(wall.panel) or sheets.get("")
    return Made(
        evolve(wall, sheet_mm=size),
        evolve(shop, hardware=read_hardware(sheet), stock=read_stock(sheet)),
    )


def panel_names(form: Form, shop: Workshop) -> tuple[str, ...]:
    """Every panel of a case of that form: part and side, in the order of building.

    >>> panel_names("tray", Workshop(opening="front"))[-2:]
    ('tray right', 'drawer front front')
    """
    rings = [f"ring {index + 1}" for index in range(len(shop.rings_mm))]
    names: list[str] = []

    def part(name: str, *without: Side) -> None:
        names.extend(f"{name} {side}" for side in SIDES if side not in without)

    if form == "tray":
        opened = _MEETS[shop.opening]
        part("tray", *opened)
        for ring in rings:
            part(ring, opened[-1], _OPPOSITE[opened[-1]])
        names.extend(f"{_CLOSERS[side]} {side}" for side in opened)
        return tuple(names)
    doors = shop.doors and form == "pair"
    loose = shop.removable and not doors
    if loose:
        names.append("back deep bottom")
    if doors:
        part("door deep", "top", *(WALLS if shop.door_mm is None else ()))
    part("deep", "top", *(("bottom",) if doors or loose else ()))
    for ring in rings:
        part(ring, "bottom", "top")
    part("shallow", "bottom", *(("top",) if doors or loose else ()))
    if loose:
        names.append("back shallow top")
    if doors:
        part("door shallow", "bottom", *(WALLS if shop.door_mm is None else ()))
    return tuple(names)


def _boards_named(sheet: Table, wall: Wall) -> tuple[str, ...]:
    """The boards that the sheet names, whether they are right or not."""
    found = [wall.panel]
    table = sheet.data.get("wall")
    own = table.get("panels") if isinstance(table, dict) else None
    for value in own.values() if isinstance(own, dict) else ():
        name = value.get("panel") if isinstance(value, dict) else value
        if isinstance(name, str):
            found.append(name)
    return tuple(dict.fromkeys(found))


def _shell(sheet: Table, form: Form, wall: Wall) -> Workshop:
    """How the case is split; keys that its form has no use for are refused."""
    plain = Workshop()
    table = sheet.table("shell")
    if table is None:
        return plain
    table.only(SHELL)
    tongue = table.choice("tongue", HALVES)
    opening = table.choice("opening", OPENINGS)
    doors = table.flag("doors")
    door = table.length("door", **LENGTHS["shell.door"])
    rings = _rings(table)
    if opening is not None and form != "tray":
        table.fault(
            "opening",
            f"a {form} opens between its halves",
            'take it out, or write form = "tray" under [case]',
        )
    if form == "tray" and tongue is not None and not rings:
        table.fault("tongue", "a tray without rings has no tongue", "take it out")
    if form != "pair":
        for key in ("doors", "door"):
            if key in table and not (key == "doors" and doors is False):
                table.fault(
                    key,
                    f"a {form} has no doors at its backs",
                    'take it out, or write form = "pair" under [case]',
                )
    elif "door" in table and doors is not True:
        table.fault(
            "door", "there are no doors to be so deep", "write doors = true, or take it out"
        )
    shop = Workshop(
        tongue="shallow" if tongue == "shallow" else "deep",
        opening=plain.opening if opening is None or form != "tray" else cast(Opening, opening),
        rings_mm=rings,
        doors=doors is True and form == "pair",
        door_mm=door if doors is True and form == "pair" else None,
        removable=read_removable(table, form=form),
        planks_mm=read_planks(table),
        exits=read_exits(table, form=form),
    )
    _judge(shop, table, wall)
    return shop


def _rings(table: Table) -> tuple[float, ...]:
    most = COUNTS["shell.rings"]
    if table.data.get("rings") == []:
        return ()
    read = table.lengths("rings", sizes=range(1, most + 1), **LENGTHS["shell.rings"])
    return () if read is None else tuple(ring for ring in read if ring is not None)


def _judge(shop: Workshop, table: Table, wall: Wall) -> None:
    """Rings and doors whose profiles would collide."""
    say = table.notes.say
    profile = wall.profile
    least = 2 * profile.closing_leaf_mm
    for index, ring in enumerate(shop.rings_mm):
        if ring <= least:
            table.notes.fault(
                (*table.path, "rings", index),
                f"a ring of {say(ring)} is no higher than the leaves of its two closing profiles",
                f"give more than {say(least)}",
            )
    pan = max(profile.corner_mm + profile.closing_leaf_mm, build_up_mm(profile))
    if shop.door_mm is not None and shop.door_mm <= pan:
        table.fault(
            "door",
            f"a door {say(shop.door_mm)} deep leaves its uprights no length",
            f"give more than {say(pan)}, or take it out for a flat door",
        )
