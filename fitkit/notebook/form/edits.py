"""What an act of the builder makes of the sheet: text in, edited text out."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from fitkit.notebook.form.fields import CASE, FOAMS, LIMIT, POCKETS, WALL, Spec
from fitkit.notebook.form.item_fields import held, measured, shape_fields, zone_fields
from fitkit.notebook.form.sections import key_of, path_of
from fitkit.notebook.form.typed import value_of
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
    sheet_units: Units = "in" if sheet.get(("units",)) == "in" else "mm"
    if path[-1] == "=kind":
        return _of_kind(sheet, path[:-1], text)
    if path[-1] == "=notch":
        return _notched(sheet, text)
    if spec.names:
        return _part(sheet, spec, text, part or 0, units, sheet_units)
    value = value_of(text, spec.kind, units=units, sheet_units=sheet_units)
    if value is None and spec.needed:
        value = "" if spec.kind in ("text", "length", "count") else []
    if value is None:
        return _without(sheet, path)
    if spec.kind == "choices" and sorted(map(str, value)) == sorted(c for c, _ in spec.choices):
        value = "any"
    if len(path) == 3 and path[0] == "item" and path[2] == "name" and isinstance(path[1], int):
        return renamed(sheet, path[1], str(value))
    return sheet if sheet.get(path) == value and sheet.has(path) else sheet.set(path, value)


def done(sheet: SheetText, does: str, key: str, *, item: int | None) -> Edited | None:
    """The sheet after a button was pressed: add, copy, remove, earlier, later; None if unknown."""
    path = path_of(key) if key else ()
    units = "in" if sheet.get(("units",)) == "in" else "mm"
    if does == "item":
        items = sheet.get(("item",), [])
        entry = new_item(_free_name(sheet, "new item"), units=units)
        return Edited(sheet.add(("item",), entry), "a new item", len(items))
    if does == "shape":
        body = sheet.get(path, [])
        below = body[-1] if isinstance(body, list) and body else None
        return Edited(sheet.add(path, new_shape(below, units=units)), "a new shape", item)
    if does == "hole":
        return Edited(sheet.add((*path, "holes"), new_hole(units=units)), "a new hole", item)
    if does == "zone":
        return Edited(sheet.add(path, new_zone(units=units)), "a new zone", item)
    whole = len(path) == 2
    index = path[-1] if path else None
    if not isinstance(index, int):
        return None
    name = _named(sheet, path)
    if does == "copy":
        changed = {"name": _free_name(sheet, str(sheet.get((*path, "name"), "item")))}
        made = sheet.copy(path, **changed) if whole else sheet.copy(path)
        return Edited(made, f"a copy of {name}", index + 1 if whole else item)
    if does == "remove":
        made = sheet.remove(path)
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


def spec_of(sheet: SheetText, path: Path) -> Spec:
    """The field that stands for ``path``; KeyError where there is none."""
    specs: tuple[Spec, ...] = (*CASE, *WALL, *FOAMS, *POCKETS, *LIMIT)
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
    if path[0] == "item":
        return f"{sheet.get((*path[:2], 'name'), 'item')}: {label}"
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
            return _without(sheet, spec.path)
        return sheet if there[part] == value else sheet.set((*spec.path, part), value)
    given = there if isinstance(there, list) else []
    whole = [given[k] if k < len(given) else spec.fill for k in range(len(spec.names))]
    if value == whole[part] and not given:
        return sheet
    whole[part] = value
    return sheet.set(spec.path, whole)


def _without(sheet: SheetText, path: Path) -> SheetText:
    """Without a key, and without the table in braces that held nothing else."""
    if not sheet.has(path):
        return sheet
    made = sheet.remove(path)
    above = path[:-1]
    if len(above) > 1 and isinstance(above[-1], str) and made.get(above) == {}:
        made = made.remove(above)
    return made


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
    if len(path) == 2:
        return str(sheet.get((*path, "name"), "item"))
    words = {"body": "shape", "zone": "zone", "holes": "hole"}
    return f"{words.get(str(path[-2]), 'entry')} {int(path[-1]) + 1}"


def _free_name(sheet: SheetText, name: str) -> str:
    """A name that no item has yet, made from ``name``."""
    items = sheet.get(("item",), [])
    taken = {str(one.get("name", "")).casefold() for one in items if isinstance(one, dict)}
    letters = [chr(ord("B") + k) for k in range(25)]
    tries = [name, *(f"{name} {letter}" for letter in letters)]
    tries += [f"{name} no {k}" for k in range(2, 1000)]
    return next((one for one in tries if one.casefold() not in taken), name)
