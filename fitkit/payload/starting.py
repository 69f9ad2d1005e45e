"""What a new sheet, item, shape or zone starts as: sizes to be typed over."""

from __future__ import annotations

from typing import Any, Literal

from fitkit.payload.shapes_in import KINDS

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
