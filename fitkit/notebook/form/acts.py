"""Mounts, cables and measured boards put into a sheet, copied and taken out."""

from __future__ import annotations

from typing import Any

from fitkit.notebook.form.cable_fields import connectors
from fitkit.notebook.form.closing_fields import board_names
from fitkit.notebook.form.mount_fields import KIND_KEYS
from fitkit.notebook.form.ways import without
from fitkit.payload.mounts import Mount
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.starting import new_cable, new_mount
from fitkit.payload.toml_lines import Path


def mounted(sheet: SheetText, path: Path) -> SheetText:
    """The item at ``path`` with a mount; that foam holds it is said no more."""
    item = sheet.get(path)
    made = sheet.add(("mount",), new_mount(item if isinstance(item, dict) else {}))
    hold = (*path, "hold")
    return made.set(hold, "mounted") if sheet.get(hold) == "pocket" else made


def taken_off(sheet: SheetText, path: Path) -> SheetText:
    """The sheet without the mount at ``path``; an item that was said to be mounted lies in foam."""
    name = sheet.get((*path, "item"))
    made = sheet.remove(path)
    for k in items_named(sheet, name):
        if made.get(("item", k, "hold")) == "mounted" and not mounts_of(made, k):
            made = made.set(("item", k, "hold"), "pocket")
    return made


def held_by(sheet: SheetText, path: Path, by: str | None) -> SheetText:
    """The mount at ``path`` held in another way, without what belongs to the way before."""
    there = sheet.get((*path, "by"))
    if by == there:
        return sheet
    made = without(sheet, (*path, "by")) if by is None else sheet.set((*path, "by"), by)
    for kind, key in KIND_KEYS.items():
        if kind != (Mount().by if by is None else by) and made.has((*path, key)):
            made = made.remove((*path, key))
    return made


def mounts_of(sheet: SheetText, item: int) -> tuple[int, ...]:
    """The mounts that name the item number ``item`` (from 0); capitals do not count."""
    name = sheet.get(("item", item, "name"))
    return tuple(
        k
        for k, one in enumerate(_entries(sheet, "mount"))
        if isinstance(name, str) and _same(one.get("item"), name)
    )


def mounts_of_none(sheet: SheetText) -> tuple[int, ...]:
    """The mounts that name no item of the sheet."""
    return tuple(
        k
        for k, one in enumerate(_entries(sheet, "mount"))
        if not items_named(sheet, one.get("item"))
    )


def items_named(sheet: SheetText, name: object) -> tuple[int, ...]:
    """The items of that name, by their places; capitals do not count."""
    return tuple(
        k
        for k, one in enumerate(_entries(sheet, "item"))
        if isinstance(name, str) and _same(one.get("name"), name)
    )


def with_cable(sheet: SheetText, *, units: str) -> SheetText:
    """The sheet with one more cable, from a connector that has none yet where there is one."""
    name = free_name(sheet, "cable", "new cable")
    start = _free_connector(sheet) or next(iter(connectors(sheet)), "")
    return sheet.add(("cable",), new_cable(name, start, units=units))


def copied_cable(sheet: SheetText, path: Path) -> SheetText:
    """The sheet with the cable at ``path`` twice, the copy from a connector that is free."""
    index, name = path[-1], sheet.get((*path, "name"))
    changed = {"name": free_name(sheet, "cable", name)} if isinstance(name, str) else {}
    made = sheet.copy(path, **changed)
    free = _free_connector(sheet)
    return made if free is None else made.set((*path[:-1], int(index) + 1, "from"), free)


def with_board(sheet: SheetText) -> SheetText:
    """The sheet with one more measured board; what was measured is for the builder to say."""
    there = sheet.get(("closing", "stiffness"), [])
    listed = there if isinstance(there, list) else []
    taken = [one.get("of") for one in listed if isinstance(one, dict)]
    free = next((name for name in board_names(sheet) if name not in taken), "")
    return sheet.add(("closing", "stiffness"), {"of": free})


def free_name(sheet: SheetText, kind: str, name: str) -> str:
    """A name that nothing of its kind ("item", "cable") has yet, made from ``name``."""
    taken = {str(one.get("name", "")).casefold() for one in _entries(sheet, kind)}
    letters = [chr(ord("B") + k) for k in range(25)]
    tries = [name, *(f"{name} {letter}" for letter in letters)]
    tries += [f"{name} no {k}" for k in range(2, 1000)]
    return next((one for one in tries if one.casefold() not in taken), name)


def _free_connector(sheet: SheetText) -> str | None:
    """The first connector that no cable names."""
    taken = {one.get(key) for one in _entries(sheet, "cable") for key in ("from", "to")}
    return next((name for name in connectors(sheet) if name not in taken), None)


def _entries(sheet: SheetText, key: str) -> list[dict[str, Any]]:
    """The tables of a list, each at its place; what is no table counts as an empty one."""
    value = sheet.get((key,))
    listed = value if isinstance(value, list) else []
    return [one if isinstance(one, dict) else {} for one in listed]


def _same(name: object, other: str) -> bool:
    return isinstance(name, str) and name.casefold() == other.casefold()
