"""The fields of the closing gap: what must be left, what presses and falls, what was measured."""

from __future__ import annotations

from fitkit.notebook.form.fields import Spec
from fitkit.notebook.form.mount_fields import measured_fields
from fitkit.payload.model import Wall
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.toml_lines import Path

_TOLERANCES = {
    "measured": ("items", "A size of an item that does not state how far it may be off."),
    "tape": ("tape", "A depth measured with a tape."),
    "saw": ("saw", "A panel or a rail as sawn."),
    "seating": (
        "seating",
        "A panel off the bottom of its slot, or the closing profiles off each other.",
    ),
    "foam": ("foam", "The thickness of a sheet of foam."),
    "rail": ("rail", "The thickness of a rail or of a sub-panel."),
}

CLOSINGS: tuple[Spec, ...] = (
    Spec(
        ("closing", "keep"), "must be left", "length",
        "Of the gap between facing items, when everything is at its worst.",
        "closing.keep", plain="closing.keep_mm",
    ),
    Spec(
        ("closing", "load"), "load on a back", "number",
        "What may press on its middle from outside, such as a hand that leans on it.",
        "closing.load", unit="N", plain="closing.load_n",
    ),
    Spec(
        ("closing", "drop"), "height of fall", "length",
        "Of the packed case. Free: as high as a case of its mass is likely to fall.",
        "closing.drop", silent="by mass",
    ),
    Spec(
        ("closing", "shock"), "shock", "number",
        "Counted for items whose fragility is not known.",
        "closing.shock", unit="G", silent="none",
    ),
)  # fmt: skip

TOLERANCE: tuple[Spec, ...] = tuple(
    Spec(
        ("closing", "tolerances", key), f"{label}\u00a0±", "length", does, "closing.tolerance",
        plain=f"closing.tolerances.{key}_mm",
    )
    for key, (label, does) in _TOLERANCES.items()
)  # fmt: skip


def board_fields(sheet: SheetText, index: int) -> tuple[Spec, ...]:
    """A board whose stiffness was measured."""
    at: Path = ("closing", "stiffness", index)
    return (
        Spec(
            (*at, "of"), "board", "text",
            "Its name under the wall or as a sub-panel; a panel faced with laminate has that in "
            "its name.",
            choices=tuple((name, name) for name in board_names(sheet)), needed=True,
        ),
        *measured_fields(at, "strip", needed=True),
        Spec(
            (*at, "width"), "width of strip", "length", "As sawn.", "stiffness.width", needed=True,
        ),
        Spec(
            (*at, "across"), "sag across", "length",
            "The same with a strip cut across the grain or the flutes; alike if you give none.",
            "stiffness.sag", silent="alike",
        ),
    )  # fmt: skip


def board_names(sheet: SheetText) -> tuple[str, ...]:
    """The boards that the sheet names: of the wall, of single panels, of sub-panels."""
    found = [sheet.get(("wall", "panel"), Wall().panel)]
    panels = sheet.get(("wall", "panels"))
    for one in panels.values() if isinstance(panels, dict) else ():
        found.append(one.get("panel") if isinstance(one, dict) else one)
    mounts = sheet.get(("mount",))
    for one in mounts if isinstance(mounts, list) else ():
        board = one.get("sub_panel") if isinstance(one, dict) else None
        found.append(board.get("panel") if isinstance(board, dict) else None)
    return tuple(dict.fromkeys(name for name in found if isinstance(name, str)))
