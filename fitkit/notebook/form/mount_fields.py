"""The fields of one mount: by what an item is held, where its front is, its holes, its rails."""

from __future__ import annotations

from typing import Any

from fitkit.notebook.form.fields import YES_NO, Choice, Spec
from fitkit.notebook.form.item_fields import FACE
from fitkit.payload.boards import board_of
from fitkit.payload.faces import FACES, Face, opposite
from fitkit.payload.mounts import Mount, SubPanel
from fitkit.payload.mounts_in import BY, FACINGS, ON, PAIRS, RUNS
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.toml_lines import Path
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.reference.hole_patterns import hole_patterns
from fitkit.reference.panels import panels

_BY = {"rails": "rails", "sub-panel": "a sub-panel", "walls": "two walls"}
_FACING = {one: f"the {one}" for one in FACINGS}
_RUN = {"along": "along its back, from the left", "up": "up its back"}
_ON = {"back panel": "the back panel", "walls": "the walls, from one to the other"}

KIND_KEYS = {"rails": "rail", "sub-panel": "sub_panel", "walls": "walls"}
"""Which key of a mount belongs to which way of holding; the reader refuses it with another."""

NO_FIELD = {"item": "the mount stands with its item, and goes along when that is renamed"}
"""Keys of a mount that have no field, and why; a mount of no item shows this one too."""


def all_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """Every field of the mount number ``index`` (from 0), those of its tables too."""
    parts = (owner_fields, mount_fields, hole_fields, rail_fields, stiffness_fields)
    more = sub_panel_fields(sheet, index)
    return (*(spec for part in parts for spec in part(sheet, index)), *more)


def way_of_holding(sheet: SheetText, index: int) -> str:
    """By what a mount holds its item; rails where that is not said, or is no word known."""
    by = _table(sheet, ("mount", index)).get("by")
    return by if isinstance(by, str) and by in BY else Mount().by


def owner_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """Which item it holds: to be chosen where the sheet has none of that name."""
    items = sheet.get(("item",), [])
    names = [str(one.get("name", "")) for one in items if isinstance(one, dict)]
    return (
        Spec(
            ("mount", index, "item"), "holds", "text", "The item that this mount is for.",
            choices=tuple((name, name) for name in names if name), needed=True,
        ),
    )  # fmt: skip


def mount_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """What every mount has, and the pair of walls where walls hold it."""
    at: Path = ("mount", index)
    table = _table(sheet, at)
    by = way_of_holding(sheet, index)
    plane = table.get("faces", Mount().faces)
    behind = f"the {plane}" if plane in FACINGS else "what it looks at"
    proud = " Below 0 it stands proud." if plane == Mount().faces else ""
    fields = [
        Spec(
            (*at, "by"), "held by", "choice",
            "Another one takes the sizes of the rails or of the sub-panel out; undo brings them "
            "back.",
            choices=tuple((one, _BY[one]) for one in BY), plain="by",
        ),
        Spec(
            (*at, "front"), "its front", "choice",
            "The face that it shows, as measured; rails or a sub-panel hold the one behind it.",
            choices=FACE, plain="front",
        ),
        Spec(
            (*at, "faces"), "looks at", "choice", "What its front looks at in the closed case.",
            choices=tuple((one, _FACING[one]) for one in FACINGS), plain="faces",
        ),
        Spec(
            (*at, "recess"), "recess", "length",
            f"How far its foremost point lies behind {behind}.{proud} Free: at least the "
            "clearance to the lid in a pair of halves, and as much as the closing gap asks for.",
            "mount.recess", silent="free",
        ),
        Spec(
            (*at, "behind"), "room behind it", "length",
            "Asked for behind its back, such as air; rails, plugs and zones take theirs anyway.",
            "mount.behind", plain="behind_mm",
        ),
    ]  # fmt: skip
    if table.get("sunk") is not True or "head" in table:
        fields.append(
            Spec(
                (*at, "head"), "screw heads", "length",
                "How far they stand out of what they hold.", "mount.head", plain="head_mm",
            )
        )  # fmt: skip
    fields.append(
        Spec(
            (*at, "sunk"), "heads sunk", "flag",
            "Heads of screws that are sunk take no room: give them no height then.",
            choices=YES_NO, plain="sunk",
        )
    )  # fmt: skip
    if by == "walls":
        pairs = _pairs(table)
        fields.insert(
            1,
            Spec(
                (*at, "walls"), "by its faces", "choice",
                "The two faces that look at the walls, neither of them its front.",
                choices=pairs, silent=pairs[0][1],
            ),
        )  # fmt: skip
    return tuple(fields)


def hole_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """The threaded holes by which an item is held, by their pattern or as measured."""
    at: Path = ("mount", index, "pattern")
    value = sheet.get(at)
    table = value if isinstance(value, dict) else {}
    name = value if isinstance(value, str) else table.get("name")
    face = _held_face(_table(sheet, at[:2]))
    where = (
        "in each of the two faces that look at the walls"
        if way_of_holding(sheet, index) == "walls"
        else f"in its {face} face"
    )
    named = tuple((one, f"{one.replace('x', ' x ')} mm") for one in hole_patterns())
    fields = [
        Spec(
            (*at, "=way"), "hole pattern", "choice",
            f"The threaded holes {where}. Rails lie under their rows; without holes, a quarter in "
            "from the edges.",
            choices=(*named, ("size", "four holes, measured"), ("holes", "hole by hole, measured")),
            silent="no holes known", beside=(at, (*at, "name")),
        )
    ]  # fmt: skip
    if value is None:
        return tuple(fields)
    row = hole_patterns().get(name) if isinstance(name, str) else None
    if "holes" in table and name is None:
        fields.append(
            Spec(
                (*at, "holes"), "holes", "points",
                "One hole a line: along from the face's left as you look at it, up from its foot.",
                "mount.at", needed=True,
            )
        )  # fmt: skip
    if "size" in table:
        fields.append(
            Spec(
                (*at, "size"), "between holes", "lengths", "From centre to centre.",
                "mount.pattern", names=("along", "up"), needed=True,
            )
        )  # fmt: skip
    if "holes" not in table or name is not None or "at" in table:
        fields.append(
            Spec(
                (*at, "at"), "its middle", "lengths",
                "Along the face from its left as you look at it, and up from its foot.",
                "mount.at", names=("along", "up"), silent="the face's",
            )
        )  # fmt: skip
    own = row is None
    fields += [
        Spec(
            (*at, "thread"), "thread", "choice", "Try a screw in one.",
            choices=tuple((one, one) for one in clearance_holes()),
            silent="" if row is None or row.thread is None else row.thread,
            needed=own,
        ),
        Spec(
            (*at, "depth"), "depth of holes", "length",
            "Measure one with a thin rod: no screw will be longer.", "mount.hole",
            stands_in=None if row is None else row.depth_mm, silent="",
        ),
    ]  # fmt: skip
    return tuple(fields)


def rail_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """The rails of a mount by rails; nothing for another."""
    if way_of_holding(sheet, index) != "rails":
        return ()
    at: Path = ("mount", index, "rail")
    table = _table(sheet, at)
    fields = [
        Spec(
            (*at, "width"), "width", "length", "What a rail covers of the item's back.",
            "mount.rail", plain="rails.width_mm",
        ),
        Spec(
            (*at, "height"), "height", "length",
            "How far a rail holds the item off what it is screwed to.",
            "mount.rail", plain="rails.height_mm",
        ),
        Spec(
            (*at, "run"), "run", "choice", "Which way they run over the item's back.",
            choices=tuple((one, _RUN[one]) for one in RUNS), silent="as fewer rails do",
        ),
        Spec(
            (*at, "on"), "held on", "choice",
            "On the back panel they are screwed through it from outside.",
            choices=tuple((one, _ON[one]) for one in ON), plain="rails.on",
        ),
        Spec(
            (*at, "kg_per_m"), "mass", "number",
            "Weigh a length of it. Counts in the mass of the case.",
            "mount.kg_per_m", unit="kg/m", silent="not counted",
        ),
    ]  # fmt: skip
    if table.get("on") != "walls" or "length" in table:
        fields.append(
            Spec(
                (*at, "length"), "length", "length", "Of each rail.",
                "mount.length", silent="its back",
            )
        )  # fmt: skip
    return tuple(fields)


def stiffness_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """What was measured of a rail that runs from wall to wall; nothing for others."""
    rail = _table(sheet, ("mount", index, "rail"))
    bends = rail.get("on") == "walls" or "stiffness" in rail
    if way_of_holding(sheet, index) != "rails" or not bends:
        return ()
    return measured_fields(
        ("mount", index, "rail", "stiffness"), "rail", needed="stiffness" in rail
    )


def measured_fields(at: Path, what: str, *, needed: bool) -> tuple[Spec, ...]:
    """A rail or strip laid on two edges and loaded on its middle: all of it, or none."""
    return (
        Spec(
            (*at, "span"), "span", "length", f"Between two edges: the {what} lies on them loose.",
            "stiffness.span", needed=needed,
        ),
        Spec(
            (*at, "mass"), "load", "mass", 'On its middle, with its unit: "2 kg".',
            unit="kg", needed=needed,
        ),
        Spec(
            (*at, "sag"), "sag", "length",
            "How much farther down its middle is with the load than without it.",
            "stiffness.sag", needed=needed,
        ),
    )  # fmt: skip


def sub_panel_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """The sub-panel of a mount by one; nothing for another."""
    if way_of_holding(sheet, index) != "sub-panel":
        return ()
    at: Path = ("mount", index, "sub_panel")
    table, plain = _table(sheet, at), SubPanel()
    name = str(table.get("panel", plain.board))
    trade = board_of(name) if name in panels() else None
    fields = [
        Spec(
            (*at, "panel"), "panel", "text", "The board that it is cut from, by its trade name.",
            choices=tuple((name, name) for name in panels()), plain="sub_panel.board",
        ),
        Spec(
            (*at, "thickness"), "true thickness", "length", "Measured with a calliper.",
            "wall.thickness", stands_in=None if trade is None else trade.thickness_mm,
        ),
        Spec(
            (*at, "kg_per_m2"), "mass", "number",
            "Weigh an offcut: mass over area. Counts in the mass of the case.", "wall.kg_per_m2",
            unit="kg/m²", stands_in=None if trade is None else trade.areal_kg_m2,
            silent="not counted",
        ),
        Spec(
            (*at, "margin"), "stands out", "length", "Beyond the item, on each side.",
            "mount.margin", plain="sub_panel.margin_mm",
        ),
        Spec(
            (*at, "batten", "=batten"), "on battens", "flag",
            "Between it and the back panel; without them the walls hold it.",
            choices=YES_NO, silent="no" if plain.batten_mm is None else "yes",
        ),
    ]  # fmt: skip
    if table.get("batten") is not False:
        fill_mm = 0.0 if plain.batten_mm is None else plain.batten_mm[0]
        inches = sheet.get(("units",)) == "in"
        fields.append(
            Spec(
                (*at, "batten"), "battens", "lengths", "How far they hold it off is their height.",
                "mount.rail", names=("width", "height"), plain="sub_panel.batten_mm",
                fill=f"{fill_mm:g} mm" if inches else fill_mm,
            )
        )  # fmt: skip
    return tuple(fields)


def _table(sheet: SheetText, path: Path) -> dict[str, Any]:
    """The table at ``path``; an empty one where there is none."""
    value = sheet.get(path)
    return value if isinstance(value, dict) else {}


def _front(table: dict[str, Any]) -> Face:
    front = table.get("front")
    return next((face for face in FACES if face == front), Mount().front)


def _pairs(table: dict[str, Any]) -> tuple[Choice, ...]:
    """Pairs of opposite faces beside the front."""
    front = _front(table)
    return tuple((",".join(pair), " and ".join(pair)) for pair in PAIRS if front not in pair)


def _held_face(table: dict[str, Any]) -> Face:
    return opposite(_front(table))
