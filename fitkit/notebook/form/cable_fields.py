"""The fields of one cable: where it runs, how thick it is and how it bends, and its two plugs."""

from __future__ import annotations

from typing import Any

from fitkit.notebook.form.fields import YES_NO, Choice, Spec
from fitkit.payload.cables_in import OUTSIDE
from fitkit.payload.faces import FACES
from fitkit.payload.plugs_in import NONE
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.toml_lines import Path
from fitkit.reference.cable_bends import cable_bends
from fitkit.reference.plugs import plugs

_KIND = {"unknown": "not known"}
_WHERE = 'A connector zone of an item: "item.face.number", counted from 1 on each face.'


def all_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """Every field of the cable number ``index`` (from 0), those of its plugs too."""
    ends = plug_ends(sheet, index)
    own = (spec for _, path in ends for spec in plug_fields(sheet, path))
    return (*cable_fields(sheet, index), *ends_fields(sheet, index), *own)


def connectors(sheet: SheetText) -> tuple[str, ...]:
    """Every connector of the sheet as a cable names it, in the order of the items."""
    found = []
    items = sheet.get(("item",), [])
    for item in items if isinstance(items, list) else []:
        zones = item.get("zone", []) if isinstance(item, dict) else []
        there = [one for one in zones if isinstance(one, dict)] if isinstance(zones, list) else []
        for face in FACES:
            on = [one for one in there if (one.get("kind"), one.get("face")) == ("connector", face)]
            found += [f"{item.get('name')}.{face}.{k}" for k in range(1, len(on) + 1)]
    return tuple(found)


def cable_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """All of a cable but its plugs."""
    at: Path = ("cable", index)
    ends: tuple[Choice, ...] = tuple((name, name) for name in connectors(sheet))
    return (
        Spec(
            (*at, "name"), "name", "text", "Tells it from the others.", silent=f"cable {index + 1}",
        ),
        Spec((*at, "from"), "from", "text", _WHERE, choices=ends, needed=True),
        Spec(
            (*at, "to"), "to", "text",
            f'{_WHERE} Or "{OUTSIDE}": it leaves the case through the cable exit or the door.',
            choices=(*ends, (OUTSIDE, OUTSIDE)), needed=True,
        ),
        Spec(
            (*at, "diameter"), "diameter", "length", "Over its jacket, with a calliper.",
            "cable.diameter", needed=True,
        ),
        Spec(
            (*at, "kind"), "kind", "choice", "Says how tightly it may bend.",
            choices=tuple((one, _KIND.get(one, one)) for one in cable_bends()), plain="kind",
        ),
        Spec(
            (*at, "bend"), "own bend", "number",
            'Only if you know better than its kind. A number counts diameters; "40 mm" is an '
            "inside radius.",
            silent="by kind",
        ),
        Spec(
            (*at, "length"), "length", "length", "Of the one that you have; free if you buy it.",
            "cable.length", silent="free",
        ),
        Spec(
            (*at, "count"), "how many", "count", "Alike ones that run together.",
            "cable.count", plain="count",
        ),
        Spec(
            (*at, "plugged"), "stays plugged in", "flag", "When the case is closed.",
            choices=YES_NO, plain="plugged",
        ),
    )  # fmt: skip


def ends_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """Whether both ends have the same plug."""
    at: Path = ("cable", index, "plugs")
    alone = any(path == at for _, path in plug_ends(sheet, index))
    return (
        Spec(
            (*at, "=ends"), "plugs", "choice", "What a plug takes in front of the item's face.",
            choices=(("alike", "the same at both ends"), ("two", "one for each end")),
            silent="none", beside=() if alone else (at,),
        ),
    )  # fmt: skip


def plug_ends(sheet: SheetText, index: int) -> tuple[tuple[str, Path], ...]:
    """The plugs that the sheet has for a cable: at which end, and where each is written."""
    at: Path = ("cable", index, "plugs")
    value = sheet.get(at)
    if isinstance(value, str | dict):
        return (("at both ends", at),)
    if not isinstance(value, list) or not 1 <= len(value) <= 2:
        return ()
    if len(value) == 1:
        return (("at both ends", (*at, 0)),)
    return (("where it starts", (*at, 0)), ("at its other end", (*at, 1)))


def plug_fields(sheet: SheetText, path: Path) -> tuple[Spec, ...]:
    """The plug written at ``path``: by its trade name, as measured, or none."""
    value = sheet.get(path)
    table: dict[str, Any] = value if isinstance(value, dict) else {}
    name = value if isinstance(value, str) else table.get("name")
    row = plugs().get(name) if isinstance(name, str) else None
    fields = [
        Spec(
            (*path, "=plug"), "plug", "choice", "By its trade name, or as you measured it.",
            choices=(
                *((one, one) for one in plugs()), ("measured", "as measured"), (NONE, "none"),
            ),
            needed=True, beside=(path, (*path, "name")),
        )
    ]  # fmt: skip
    if row is None and not isinstance(value, dict):
        return tuple(fields)
    sizes = {} if row is None else {
        "width": row.width_mm, "height": row.height_mm, "length": row.length_mm
    }  # fmt: skip
    fields += [
        Spec(
            (*path, key), key, "length", does, "cable.plug", stands_in=sizes.get(key),
            needed=sizes.get(key) is None,
        )
        for key, does in (
            ("width", "Of the plug's body, on the item's face."),
            ("height", "Of the plug's body, on the item's face."),
            ("length", "How far it stands out of the face, sleeve included."),
        )
    ]  # fmt: skip
    fields.append(
        Spec(
            (*path, "angled"), "angled", "flag", "The cable leaves it sideways.", choices=YES_NO,
            silent="no" if row is None or not row.angled else "yes",
        )
    )  # fmt: skip
    return tuple(fields)
