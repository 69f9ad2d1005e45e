"""How items are mounted, as typed under [[mount]]: on rails, a sub-panel, or between walls.

An item that has a mount is held by it and not by foam: how it may stand follows from what its
front looks at.
"""

from __future__ import annotations

import difflib
from typing import Any, cast, get_args

from attrs import evolve

from fitkit.payload.boards import board_of
from fitkit.payload.boards_in import board_typed
from fitkit.payload.bounds import LENGTHS, NUMBERS
from fitkit.payload.boxes import face_size_mm
from fitkit.payload.faces import FACES, Face, opposite
from fitkit.payload.model import CaseWishes, Item
from fitkit.payload.mounted import faces_up, front_up
from fitkit.payload.mounts import Facing, HolePattern, Mount, MountBy, Rails, Run, SubPanel
from fitkit.payload.patterns_in import read_pattern
from fitkit.payload.reading import Table, listed, shown
from fitkit.payload.shapes_in import read_pair
from fitkit.payload.stiffness_in import read_stiffness

MOUNT = (
    "item", "by", "front", "faces", "recess", "pattern", "rail", "sub_panel", "head", "sunk",
    "behind", "walls",
)  # fmt: skip
RAIL = ("width", "height", "run", "on", "length", "kg_per_m", "stiffness")
SUB_PANEL = ("panel", "thickness", "kg_per_m2", "margin", "batten")
BY: tuple[MountBy, ...] = get_args(MountBy)
FACINGS: tuple[Facing, ...] = get_args(Facing)
RUNS: tuple[Run, ...] = get_args(Run)
ON = ("back panel", "walls")
PAIRS: tuple[tuple[Face, Face], ...] = (("left", "right"), ("front", "back"), ("bottom", "top"))


def read_mounts(sheet: Table, items: tuple[Item, ...], *, case: CaseWishes) -> tuple[Item, ...]:
    """The items, those with a mount as it makes them stand; every fault is noted.

    A mount sets ``hold``, the faces that may look up, and the turn of an item whose front looks at
    a wall. What the item itself says must not contradict it.
    """
    tables = sheet.tables("mount") or []
    wishes = sheet.data.get("case")
    if tables and isinstance(wishes, dict) and "ready_made" in wishes:
        sheet.fault(
            "mount",
            "mount and ready_made do not go together in this version",
            "take one of them out",
        )
    known = {item.name.casefold(): item for item in items}
    typed = _items_typed(sheet)
    made: dict[str, Mount] = {}
    first: dict[str, Table] = {}
    for table in tables:
        table.only(MOUNT)
        key = _item_named(table, typed)
        item = None if key is None else known.get(key)
        if key is not None:
            table.notes.called[table.path] = str(typed[key].data["name"])
            twin = first.setdefault(key, table)
            if twin is not table:
                line = table.notes.lines.get((*twin.path, "item"))
                where = f" (the other is on line {line})" if line else ""
                table.fault("item", f"the item has two mounts{where}", "take one of them out")
                item = None
        mount = _mount(table, item, case)
        if item is not None and key is not None and mount is not None:
            _contradicted(typed[key], item, mount, table)
            made[item.name] = mount
    return tuple(_stood(item, made.get(item.name)) for item in items)


def _items_typed(sheet: Table) -> dict[str, Table]:
    """The tables of the items by name, capitals aside, whether they are right or not."""
    found = sheet.data.get("item")
    return {
        entry["name"].casefold(): Table(entry, ("item", index), sheet.notes)
        for index, entry in enumerate(found if isinstance(found, list) else [])
        if isinstance(entry, dict) and isinstance(entry.get("name"), str)
    }


def _item_named(table: Table, typed: dict[str, Table]) -> str | None:
    """Which item is meant; capitals do not count."""
    if "item" not in table:
        table.fault(None, "the mount has no item", 'give the item\'s name: item = "field screen"')
        return None
    name = table.text("item")
    if name is None:
        return None
    if name.casefold() in typed:
        return name.casefold()
    near = difflib.get_close_matches(name.casefold(), typed, n=1)
    names = listed(f'"{one.data["name"]}"' for one in typed.values())
    hint = f'did you mean "{typed[near[0]].data["name"]}"?' if near else f"items: {names or 'none'}"
    table.fault("item", f'there is no item "{name}"', hint)
    return None


def _stood(item: Item, mount: Mount | None) -> Item:
    """The item as its mount makes it stand."""
    if mount is None:
        return item
    return evolve(
        item,
        hold="mounted",
        mount=mount,
        up=faces_up(mount, item.up),
        turn="fixed" if mount.upright else item.turn,
    )


def _mount(table: Table, item: Item | None, case: CaseWishes) -> Mount | None:
    """One mount; what is wrong is noted.

    None where that leaves open how deep the item stands; a pattern that is wrong does not.
    """
    plain, before = Mount(), len(table.notes)
    by = cast(MountBy, table.choice("by", BY) or plain.by)
    front = cast(Face, table.choice("front", FACES) or plain.front)
    faces = cast(Facing, table.choice("faces", FACINGS) or plain.faces)
    walls = _walls(table, by, front)
    held = walls[0] if by == "walls" else opposite(front)
    face_mm = None if item is None else face_size_mm(held, item.body)
    held_back = len(table.notes)
    pattern = read_pattern(table, face=held, face_mm=face_mm)
    of_pattern = len(table.notes) - held_back
    lid = case.clearance.lid_mm if case.form == "pair" and faces == "closing plane" else 0.0
    read: dict[str, Any] = {
        "head_mm": table.length("head", **LENGTHS["mount.head"]),
        "sunk": table.flag("sunk"),
        "behind_mm": table.length("behind", **LENGTHS["mount.behind"]),
    }
    if read["sunk"] and "head" in table:
        table.fault(
            "head", "screws that are sunk have no heads that stand out", "take head or sunk out"
        )
    mount = Mount(
        by=by,
        front=front,
        faces=faces,
        recess_mm=_recess(table, faces),
        least_mm=lid,
        pattern=pattern,
        rails=_rails(table, by, pattern),
        sub_panel=_sub_panel(table, by),
        walls=walls,
        **{key: value for key, value in read.items() if value is not None},
    )
    return mount if len(table.notes) - before == of_pattern else None


def _recess(table: Table, faces: Facing) -> float | None:
    """The recess [mm]; None where it is free. Below nought only at the closing plane."""
    recess = table.length("recess", **LENGTHS["mount.recess"], free=True)
    if recess is not None and recess < 0 and faces != "closing plane":
        say = table.notes.say
        table.fault(
            "recess",
            f"the front would stand {say(-recess)} out through the {faces}",
            'give 0 or more, or "free"',
        )
    return recess


def _walls(table: Table, by: MountBy, front: Face) -> tuple[Face, Face]:
    """The two opposite faces by which walls hold the item; the first that do where not given."""
    sides = [pair for pair in PAIRS if front not in pair]
    if by != "walls" and "walls" in table:
        table.fault(
            "walls", f"the item is held by {_held_by(by)}", 'take walls out, or write by = "walls"'
        )
    if "walls" not in table or by != "walls":
        return sides[0]
    value = table.data["walls"]
    pair = next((p for p in sides if isinstance(value, list) and value in (list(p), [p[1], p[0]])),
                None)  # fmt: skip
    if pair is None:
        table.fault(
            "walls",
            f"{shown(value)} where two opposite faces belong, neither of them the front"
            if not isinstance(value, list)
            else "these are not two opposite faces beside the front",
            "give " + listed(f'["{p[0]}", "{p[1]}"]' for p in sides),
        )
        return sides[0]
    return pair


def _held_by(by: MountBy) -> str:
    return {"rails": "rails", "sub-panel": "a sub-panel", "walls": "the walls"}[by]


def _other(table: Table, key: str, by: MountBy, wanted: MountBy) -> bool:
    """Whether ``key`` is given although the item is held in another way; noted."""
    if key in table and by != wanted:
        table.fault(
            key, f"the item is held by {_held_by(by)}", f'take {key} out, or write by = "{wanted}"'
        )
        return True
    return False


def _rails(table: Table, by: MountBy, pattern: HolePattern | None) -> Rails:
    """The rails; by default they run the way in which fewer are needed for the holes."""
    plain = Rails()
    inner = None if _other(table, "rail", by, "rails") else table.table("rail")
    fewest: Run = "along"
    if pattern is not None:
        along = len({round(y, 3) for _, y in pattern.holes_mm})
        up = len({round(x, 3) for x, _ in pattern.holes_mm})
        fewest = "up" if up < along else "along"
    if inner is None:
        return evolve(plain, run=fewest)
    inner.only(RAIL)
    run, on = inner.choice("run", RUNS), inner.choice("on", ON)
    length = inner.length("length", **LENGTHS["mount.length"], free=True)
    if on == "walls" and length is not None:
        inner.fault("length", "a rail that is held on the walls runs from wall to wall",
                    "take length out")  # fmt: skip
    read: dict[str, Any] = {
        "width_mm": inner.length("width", **LENGTHS["mount.rail"]),
        "height_mm": inner.length("height", **LENGTHS["mount.rail"]),
        "run": run or fewest,
        "on": on,
        "length_mm": length,
        "kg_per_m": inner.number("kg_per_m", **NUMBERS["mount.kg_per_m"]),
    }
    measured = inner.table("stiffness")
    if measured is not None:
        read["stiffness"] = read_stiffness(measured, board=False)
        if on != "walls":
            inner.fault("stiffness", "rails on a panel bend with it, and theirs is not asked for",
                        'take stiffness out, or write on = "walls"')  # fmt: skip
    return evolve(plain, **{key: value for key, value in read.items() if value is not None})


def _sub_panel(table: Table, by: MountBy) -> SubPanel:
    """The sub-panel: a board by its trade name, or of the builder's own with its thickness."""
    plain = SubPanel()
    inner = None if _other(table, "sub_panel", by, "sub-panel") else table.table("sub_panel")
    if inner is None:
        return evolve(plain, kg_per_m2=board_of(plain.board).areal_kg_m2)
    inner.only(SUB_PANEL)
    before = len(inner.notes)
    typed = board_typed(inner, needs_name=False)
    margin = inner.length("margin", **LENGTHS["mount.margin"])
    batten = None if inner.data.get("batten") is False else _batten(inner, plain)
    if len(inner.notes) > before:
        return plain
    board = board_of(
        typed.name or plain.board,
        thickness_mm=typed.thickness_mm,
        areal_kg_m2=typed.areal_kg_m2,
    )
    return SubPanel(
        board=board.name,
        thickness_mm=board.thickness_mm,
        margin_mm=plain.margin_mm if margin is None else margin,
        batten_mm=batten,
        kg_per_m2=board.areal_kg_m2,
    )


def _batten(inner: Table, plain: SubPanel) -> tuple[float, float] | None:
    value = inner.data.get("batten")
    if value is None:
        return plain.batten_mm
    if isinstance(value, bool):
        inner.fault(
            "batten",
            "true where a size or false belongs",
            "give batten = [width, height], or false where the walls hold the sub-panel",
        )
        return None
    return read_pair(inner, "batten", **LENGTHS["mount.rail"])


def _contradicted(typed: Table, item: Item, mount: Mount, table: Table) -> None:
    """What the item itself says against its mount."""
    if typed.data.get("hold") == "pocket":
        typed.fault("hold", "the item has a mount", 'write hold = "mounted", or take the mount out')
    if "up" in typed:
        _up_contradicted(typed, item, mount)
    recess = mount.recess_mm
    if recess is not None and recess < 0 and typed.data.get("proud") is False:
        table.fault(
            "recess",
            f"the front stands {table.notes.say(-recess)} proud of the closing plane, and the item "
            "may not stand proud",
            "give 0 or more, or take proud = false out",
        )


def _up_contradicted(typed: Table, item: Item, mount: Mount) -> None:
    """Faces that may look up, none of which does when the item is mounted so."""
    if mount.upright:
        sides = [face for face in FACES if face not in (mount.front, mount.back)]
        if not any(face in sides for face in item.up):
            typed.fault(
                "up",
                f"the {mount.front} looks at the {mount.faces}, so neither it nor its back looks "
                "up",
                f"name one of {listed(sides)}, or take up out",
            )
        return
    up = front_up(mount)
    if up not in item.up:
        typed.fault(
            "up",
            f"mounted like this the {up} looks out of the half, and up does not name it",
            f'write up = ["{up}"], or give the mount another front',
        )
