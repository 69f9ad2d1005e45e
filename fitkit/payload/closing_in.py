"""What is counted where the halves close, as typed under [closing]."""

from __future__ import annotations

from typing import Any

from attrs import evolve

from fitkit.payload.boards import wall_board
from fitkit.payload.bounds import LENGTHS, NUMBERS
from fitkit.payload.closing import Closing, Tolerances
from fitkit.payload.model import Payload
from fitkit.payload.reading import Table, listed
from fitkit.payload.stiffness import Stiffness
from fitkit.payload.stiffness_in import read_stiffness

CLOSING = ("keep", "load", "drop", "shock", "tolerances", "stiffness")
TOLERANCES = ("measured", "tape", "saw", "seating", "foam", "rail")


def read_closing(sheet: Table) -> Closing:
    """Tolerances, what must be left of a gap, loads and drops; defaults where it is silent."""
    plain = Closing()
    table = sheet.table("closing")
    if table is None:
        return plain
    table.only(CLOSING)
    read: dict[str, Any] = {
        "keep_mm": table.length("keep", **LENGTHS["closing.keep"]),
        "load_n": table.number("load", **NUMBERS["closing.load"]),
        "drop_mm": table.length("drop", **LENGTHS["closing.drop"], free=True),
        "shock_g": table.number("shock", **NUMBERS["closing.shock"]),
        "tolerances": _tolerances(table),
        "stiffness": _stiffness(table),
    }
    return evolve(plain, **{key: value for key, value in read.items() if value is not None})


def _stiffness(table: Table) -> tuple[tuple[str, Stiffness], ...]:
    """What was measured of boards, by name; each once."""
    found: dict[str, Stiffness] = {}
    for one in table.tables("stiffness") or ():
        name = one.text("of")
        read = read_stiffness(one, board=True)
        if name is None:
            if "of" not in one:
                one.fault(None, "the measurement has no board", 'add of = "the board\'s name"')
        elif any(name.casefold() == other.casefold() for other in found):
            one.fault("of", f'"{name}" was measured already', "take one of them out")
        elif read is not None:
            found[name] = read
    return tuple(found.items())


def note_measured(payload: Payload, sheet: Table) -> None:
    """A fault for each measurement of a board that nothing in the case is made of."""
    shop = payload.workshop
    boards = [wall_board(payload.wall, grain=shop.grain).name]
    boards += [choice.board.name for choice in shop.panels]
    boards += [
        item.mount.sub_panel.board
        for item in payload.items
        if item.mount is not None and item.mount.by == "sub-panel"
    ]
    closing = sheet.data.get("closing")
    typed = closing.get("stiffness") if isinstance(closing, dict) else None
    for index, one in enumerate(typed if isinstance(typed, list) else ()):
        name = one.get("of") if isinstance(one, dict) else None
        if isinstance(name, str) and not any(name.casefold() == b.casefold() for b in boards):
            known = listed(dict.fromkeys(f'"{board}"' for board in boards))
            path = ("closing", "stiffness", index, "of")
            sheet.notes.fault(path, f'nothing here is made of "{name}"', f"write {known}")


def _tolerances(table: Table) -> Tolerances:
    """Half widths of what each measure may be off by [mm]."""
    inner = table.table("tolerances")
    if inner is None:
        return Tolerances()
    inner.only(TOLERANCES)
    read = {f"{key}_mm": inner.length(key, **LENGTHS["closing.tolerance"]) for key in TOLERANCES}
    return evolve(Tolerances(), **{key: value for key, value in read.items() if value is not None})
