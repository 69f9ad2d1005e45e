"""What an act of the builder makes of the sheet: text in, edited text out."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from fitkit.notebook.form import cable_fields, mount_fields
from fitkit.notebook.form.acts import (
    copied_cable,
    free_name,
    held_by,
    mounted,
    taken_off,
    with_board,
    with_cable,
)
from fitkit.notebook.form.closing_fields import CLOSINGS, TOLERANCE, board_fields
from fitkit.notebook.form.fields import (
    CASE,
    FOAMS,
    LIMIT,
    POCKETS,
    WALL,
    Spec,
    key_of,
    path_of,
)
from fitkit.notebook.form.item_fields import held, measured, shape_fields, zone_fields
from fitkit.notebook.form.typed import value_of
from fitkit.notebook.form.ways import WAYS, chosen, closed, opened, without
from fitkit.payload.renaming import renamed
from fitkit.payload.shapes_in import KINDS
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.starting import new_hole, new_item, new_shape, new_zone, turned_into
from fitkit.payload.toml_lines import Path
from fitkit.units import Units


@frozen
class Edited:
    """An edited sheet, what was done in a few words, and the item that is chosen then."""

    sheet: SheetText
    what: str
    item: int | None = None


def typed(sheet: SheetText, key: str, text: str, *, part: int | None, units: Units) -> SheetText:
    """The sheet after ``text`` was typed into the field ``key`` (its ``part`` of several)."""
    path = path_of(key)
    spec = spec_of(sheet, path)
    if path[-1] == "=kind":
        return _of_kind(sheet, path[:-1], text)
    if path[-1] == "=notch":
        return _notched(sheet, text)
    if path[-1] in WAYS:
        return chosen(sheet, path, text)
    room = opened(sheet, path)
    made = _typed(room, spec, text, part, units)
    return sheet if made.text == room.text else closed(made, path)


def _typed(sheet: SheetText, spec: Spec, text: str, part: int | None, units: Units) -> SheetText:
    """The sheet after ``text`` was typed into a field that stands for one key."""
    path = spec.path
    sheet_units: Units = "in" if sheet.get(("units",)) == "in" else "mm"
    if spec.names:
        return _part(sheet, spec, text, part or 0, units, sheet_units)
    value = value_of(text, spec.kind, units=units, sheet_units=sheet_units)
    if value is None and spec.needed:
        value = [] if spec.kind in ("choices", "lengths", "points") else ""
    if len(path) == 3 and path[0] == "mount" and path[2] == "by":
        return held_by(sheet, path[:2], value)
    if value is None:
        return without(sheet, path)
    if spec.kind == "choices" and sorted(map(str, value)) == sorted(c for c, _ in spec.choices):
        value = "any"
    if spec.kind == "choice" and "," in text:  # a pair of faces
        value = text.split(",")
    if len(path) == 3 and path[0] == "item" and path[2] == "name" and isinstance(path[1], int):
        return renamed(sheet, path[1], str(value))
    return sheet if sheet.get(path) == value and sheet.has(path) else sheet.set(path, value)


def done(sheet: SheetText, does: str, key: str, *, item: int | None) -> Edited | None:
    """The sheet after a button was pressed: add, copy, remove, earlier, later; None if unknown."""
    path = path_of(key) if key else ()
    added = _added(sheet, does, path, item)
    if added is not None:
        return added
    index = path[-1] if path else None
    if not isinstance(index, int):
        return None
    whole = path[0] == "item" and len(path) == 2
    name = _named(sheet, path)
    if does == "copy":
        if whole:  # a mount holds one item by its name: the copy has none until it is given one
            made = sheet.copy(path, name=free_name(sheet, "item", name))
            return Edited(made, f"a copy of {name}", index + 1)
        made = copied_cable(sheet, path) if path[0] == "cable" else sheet.copy(path)
        return Edited(made, f"a copy of {name}", item)
    if does == "remove":
        made = taken_off(sheet, path) if path[0] == "mount" else sheet.remove(path)
        if sheet.get(path[:-1]) is not None and made.get(path[:-1]) == [] and path[-2] != "body":
            made = made.remove(path[:-1])
        left = len(made.get(("item",), []))
        return Edited(made, f"{name} removed", (min(index, left - 1) if left else None) if whole
                      else item)  # fmt: skip
    if does in ("earlier", "later"):
        to = index + (1 if does == "later" else -1)
        if not 0 <= to < len(sheet.get(path[:-1], [])):
            return None
        return Edited(sheet.move(path, to), f"{name} {does}", to if whole else item)
    return None


def _added(sheet: SheetText, does: str, path: Path, item: int | None) -> Edited | None:
    """The sheet with a new part; None where ``does`` is another button."""
    units = "in" if sheet.get(("units",)) == "in" else "mm"
    if does == "item":
        items = sheet.get(("item",), [])
        entry = new_item(free_name(sheet, "item", "new item"), units=units)
        return Edited(sheet.add(("item",), entry), "a new item", len(items))
    if does == "shape":
        body = sheet.get(path, [])
        below = body[-1] if isinstance(body, list) and body else None
        return Edited(sheet.add(path, new_shape(below, units=units)), "a new shape", item)
    if does == "hole":
        return Edited(sheet.add((*path, "holes"), new_hole(units=units)), "a new hole", item)
    if does == "zone":
        return Edited(sheet.add(path, new_zone(units=units)), "a new zone", item)
    if does == "mount":
        return Edited(mounted(sheet, path), f"{_named(sheet, path)} mounted", item)
    if does == "cable":
        return Edited(with_cable(sheet, units=units), "a new cable", item)
    if does == "board":
        return Edited(with_board(sheet), "a measured board", item)
    return None


def spec_of(sheet: SheetText, path: Path) -> Spec:
    """The field that stands for ``path``; KeyError where there is none."""
    specs: tuple[Spec, ...] = (*CASE, *WALL, *FOAMS, *POCKETS, *LIMIT, *CLOSINGS, *TOLERANCE)
    index = path[1] if len(path) > 1 else None
    if path[0] == "mount" and isinstance(index, int):
        specs = mount_fields.all_fields(sheet, index)
    elif path[0] == "cable" and isinstance(index, int):
        specs = cable_fields.all_fields(sheet, index)
    elif path[:2] == ("closing", "stiffness") and isinstance(path[2], int):
        specs = board_fields(sheet, path[2])
    if path[0] == "item":
        at = path[:2]
        specs = (*measured(at), *held(at))
        if len(path) > 3 and path[2] == "zone":
            specs = zone_fields(path[:4])
        elif len(path) > 3 and path[2] == "body":
            hole = len(path) > 5 and path[4] == "holes"
            here = path[:6] if hole else path[:4]
            specs = shape_fields(here, sheet.get(here), hole=hole)
    for spec in specs:
        if spec.path == path:
            return spec
    raise KeyError(key_of(path))


def label_of(sheet: SheetText, key: str) -> str:
    """A field in words, for the undo button: its item and what it is called."""
    path = path_of(key)
    label = spec_of(sheet, path).label
    if path[0] in ("item", "mount", "cable"):
        return f"{_named(sheet, path[:2])}: {label}"
    return label


def _part(
    sheet: SheetText, spec: Spec, text: str, part: int, units: Units, sheet_units: Units
) -> SheetText:
    """One number of a list of so many; the others stay, or are filled in."""
    value: Any = value_of(text, "length", units=units, sheet_units=sheet_units)
    there = sheet.get(spec.path)
    empty: Any = "" if spec.needed else spec.fill
    value = empty if value is None else value
    if isinstance(there, list) and len(there) == len(spec.names):
        whole = [*there[:part], value, *there[part + 1 :]]
        if not spec.needed and whole == [spec.fill] * len(whole):
            return without(sheet, spec.path)
        return sheet if there[part] == value else sheet.set((*spec.path, part), value)
    given = there if isinstance(there, list) else []
    whole = [given[k] if k < len(given) else spec.fill for k in range(len(spec.names))]
    if value == whole[part] and not given:
        return sheet
    whole[part] = value
    return sheet.set(spec.path, whole)


def _of_kind(sheet: SheetText, path: Path, kind: str) -> SheetText:
    """A shape of another kind, in its place; its height band and holes stay."""
    shape = sheet.get(path)
    old = shape if isinstance(shape, dict) else {}
    units = "in" if sheet.get(("units",)) == "in" else "mm"
    if kind not in KINDS or kind in old:
        return sheet
    kept = {key: value for key, value in old.items() if key not in (*KINDS, "corner", "at")}
    return sheet.set(path, {**turned_into(old, kind, units=units), **kept})


def _notched(sheet: SheetText, text: str) -> SheetText:
    """With finger notches, or with none; what is said beside them stays."""
    at: Path = ("foam", "notch")
    there = sheet.get(at)
    if text != "false":
        return sheet.set(at, {}) if there is False else sheet
    try:
        return sheet.set(at, False)
    except KeyError:  # under a heading of its own
        return sheet.remove(at).set(at, False)


def _named(sheet: SheetText, path: Path) -> str:
    """A part of the sheet in words."""
    at = int(path[-1]) + 1
    if len(path) == 2 and path[0] == "mount":
        return f"mount of {sheet.get((*path, 'item'), 'no item')}"
    if len(path) == 2:
        plain = f"cable {at}" if path[0] == "cable" else "item"
        return str(sheet.get((*path, "name"), plain))
    words = {"body": "shape", "zone": "zone", "holes": "hole", "stiffness": "measured board"}
    return f"{words.get(str(path[-2]), 'entry')} {at}"
