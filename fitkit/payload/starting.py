"""What a new sheet, item, shape, zone, mount or cable starts as: sizes to be typed over."""

from __future__ import annotations

from typing import Any, Literal

from fitkit.payload.faces import FACES
from fitkit.payload.mounts import Mount
from fitkit.payload.shapes_in import KINDS
from fitkit.reference.hole_patterns import hole_patterns
from fitkit.reference.plugs import plugs

ShapeKind = Literal["rectangle", "circle", "polygon", "regular"]

SHEET = """# {title}: measured with

title = "{title}"
units = "{units}"                 # plain numbers are in these

[case]
form = "box"

# ---- the gear

[[item]]
name = "first item"
body = [
  {{ rectangle = [{wide}, {deep}], z = [0, {high}] }},
]
up = ["top"]
turn = "quarter"
"""

_SIZES = {"mm": (100, 60, 40, 20), "in": (4, 2.5, 1.5, 0.75)}


def starting_sheet(title: str, *, units: str = "mm") -> str:
    """The text of a new sheet with one item, its sizes to be typed over.

    >>> from fitkit.payload.sheet import parse_sheet
    >>> parse_sheet(starting_sheet("shore kit"), name="new").items[0].name
    'first item'
    """
    wide, deep, high, _ = _SIZES["in" if units == "in" else "mm"]
    plain = "".join(char for char in title if char.isprintable() and char not in '"\\')
    return SHEET.format(title=plain or "kit", units=units, wide=wide, deep=deep, high=high)


def new_item(name: str, *, units: str) -> dict[str, Any]:
    """A new item: a plain box."""
    wide, deep, high, _ = _SIZES["in" if units == "in" else "mm"]
    return {
        "name": name,
        "body": [{"rectangle": [wide, deep], "z": [0, high]}],
        "up": ["top"],
        "turn": "quarter",
    }


def new_shape(below: Any, *, units: str) -> dict[str, Any]:
    """A new shape that stands on the shape ``below``, where that says how high it is."""
    _, _, high, small = _SIZES["in" if units == "in" else "mm"]
    band = below.get("z") if isinstance(below, dict) else None
    top = band[1] if isinstance(band, list) and len(band) == 2 else 0
    if isinstance(top, bool) or not isinstance(top, int | float):
        top = 0
    return {"circle": small / 2, "at": [small / 2, small / 2], "z": [top, top + high / 4]}


def new_hole(*, units: str) -> dict[str, Any]:
    """A new hole: round, near the origin."""
    _, _, _, small = _SIZES["in" if units == "in" else "mm"]
    return {"circle": small / 4, "at": [small, small]}


def new_zone(*, units: str) -> dict[str, Any]:
    """A new zone: a plug at the middle height of the back."""
    _, _, high, small = _SIZES["in" if units == "in" else "mm"]
    return {
        "kind": "connector",
        "face": "back",
        "at": [small, high / 4],
        "size": [small, small / 2],
        "depth": high,
    }


def new_mount(item: dict[str, Any]) -> dict[str, Any]:
    """A new mount for an item as typed: on rails, the face that may look up towards the plane.

    >>> new_mount({"name": "probe", "up": ["front"]})["front"]
    'front'
    """
    plain, up = Mount(), item.get("up")
    listed = up if isinstance(up, list) else []
    may = [face for face in FACES if not listed or face in listed]
    front = plain.front if plain.front in may or not may else may[0]
    return {
        "item": item.get("name", ""),
        "by": plain.by,
        "front": front,
        "faces": plain.faces,
        "recess": "free",
    }


def new_cable(name: str, start: str, *, units: str) -> dict[str, Any]:
    """A new cable from the connector called ``start`` to the outside."""
    diameter = 0.25 if units == "in" else 6
    return {"name": name, "from": start, "to": "outside", "diameter": diameter}


def new_pattern(before: Any, way: str, *, units: str) -> Any:
    """A hole pattern: by its name, by the ``size`` of four holes, or by its ``holes`` one by one.

    Thread, depth and place stay as they were typed. Of a pattern of the builder's own nobody knows
    thread and depth: they are left out, so that the reader asks for them.

    >>> new_pattern("100x100", "size", units="mm"), new_pattern(None, "75x75", units="mm")
    ({'size': [100.0, 100.0]}, '75x75')
    """
    table = before if isinstance(before, dict) else {}
    kept = {key: table[key] for key in ("at", "thread", "depth") if key in table}
    if way not in ("size", "holes"):
        return {"name": way, **kept} if kept else way
    row = hole_patterns().get(str(table.get("name", before)))
    wide, high, _, small = _SIZES["in" if units == "in" else "mm"]
    size: list[Any] = [wide, high]
    if row is not None:
        size = [f"{side:g} mm" if units == "in" else side for side in row.size_mm]
    if way == "size":
        return {"size": size, **kept}
    kept.pop("at", None)
    right, top = wide - small, high - small
    return {"holes": [[small, small], [right, small], [right, top], [small, top]], **kept}


def new_plug(before: Any, *, units: str) -> dict[str, Any]:
    """A plug as measured, from the sizes of the one ``before`` where they are known.

    What is not known is left out, so that the reader asks for it.

    >>> new_plug("8P8C", units="mm"), new_plug("none", units="mm")
    ({'width': 11.68, 'height': 8.4, 'length': 21.5}, {})
    """
    table = before if isinstance(before, dict) else {}
    row = plugs().get(str(table.get("name", before)))
    made: dict[str, Any] = {}
    if row is not None:
        sizes = {"width": row.width_mm, "height": row.height_mm, "length": row.length_mm}
        made = {
            key: f"{size:g} mm" if units == "in" else size
            for key, size in sizes.items()
            if size is not None
        }
        if row.angled:
            made["angled"] = True
    return {**made, **{key: value for key, value in table.items() if key != "name"}}


def turned_into(shape: dict[str, Any], kind: str, *, units: str) -> dict[str, Any]:
    """The keys by which a shape becomes one of another kind, about as large as before.

    Only the outline's own key and its place are given; height and holes stay as they are.
    ``at`` is the lower left corner of a rectangle and the centre of a circle or regular polygon:
    it is left out, so that the new outline starts at the origin, and typed again where it matters.

    >>> turned_into({"rectangle": [30, 20], "z": [0, 4]}, "circle", units="mm")
    {'circle': 10.0}
    """
    wide, deep, _, _ = _SIZES["in" if units == "in" else "mm"]
    size = shape.get("rectangle")
    if isinstance(size, list) and len(size) == 2 and all(_plain(side) for side in size):
        wide, deep = size
    elif _plain(shape.get("circle")):
        wide = deep = 2 * shape["circle"]
    elif isinstance(shape.get("regular"), dict) and _plain(shape["regular"].get("across")):
        wide = deep = shape["regular"]["across"]
    if kind not in KINDS:
        raise KeyError(kind)
    made: dict[str, dict[str, Any]] = {
        "rectangle": {"rectangle": [wide, deep]},
        "circle": {"circle": min(wide, deep) / 2},
        "regular": {"regular": {"sides": 6, "across": min(wide, deep)}},
        "polygon": {"polygon": [[0, 0], [wide, 0], [wide, deep], [0, deep]]},
    }
    return made[kind]


def _plain(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
