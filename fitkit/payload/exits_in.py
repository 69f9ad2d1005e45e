"""Cable exits and removable backs as typed under [shell]."""

from __future__ import annotations

from typing import Any, Literal, cast

from attrs import evolve

from fitkit.payload.bounds import COUNTS, LENGTHS
from fitkit.payload.model import Form
from fitkit.payload.reading import Table, shown
from fitkit.payload.workshop import ExitWish, Side

EXIT = ("part", "corner", "leg", "plug", "edge")
PARTS = ("deep", "shallow")
EDGES = ("grommet", "edge trim")
_LONG: tuple[Side, ...] = ("front", "back")
_SHORT: tuple[Side, ...] = ("left", "right")


def read_exits(shell: Table, *, form: Form) -> tuple[ExitWish, ...]:
    """The cable exits; what is wrong is noted."""
    tables = shell.tables("exits") or []
    if tables and form == "tray":
        shell.fault("exits", "a tray has no half that cables could leave", "take exits out")
    most = COUNTS["shell.exits"]
    if len(tables) > most:
        shell.fault("exits", f"there are {len(tables)} exits", f"give {most} at most")
    found: list[ExitWish] = []
    for table in tables:
        table.only(EXIT)
        before = len(table.notes)
        wish = _exit(table)
        if len(table.notes) > before:
            continue
        if any((one.part, one.corner) == (wish.part, wish.corner) for one in found):
            table.fault(
                None,
                f"the {wish.part} half has an exit in this corner already",
                "take one of them out, or give it a longer leg",
            )
        found.append(wish)
    return tuple(found)


def _exit(table: Table) -> ExitWish:
    part = table.choice("part", PARTS)
    edge = table.choice("edge", EDGES)
    read: dict[str, Any] = {
        "part": cast(Literal["deep", "shallow"], part),
        "corner": _corner(table),
        "leg_mm": table.length("leg", **LENGTHS["shell.exit"], free=True),
        "plug": table.flag("plug"),
        "edge": cast(Literal["grommet", "edge trim"], edge),
    }
    return evolve(ExitWish(), **{key: value for key, value in read.items() if value is not None})


def _corner(table: Table) -> tuple[Side, Side] | None:
    """The two walls, left or right first."""
    value = table.data.get("corner")
    if value is None:
        return None
    for short in _SHORT:
        for long in _LONG:
            if value in ([short, long], [long, short]):
                return (short, long)
    table.fault(
        "corner",
        f"{shown(value)} where two walls that meet belong"
        if not isinstance(value, list)
        else "these two walls do not meet in a corner",
        'give left or right, and front or back: corner = ["left", "back"]',
    )
    return None


def read_removable(shell: Table, *, form: Form) -> bool:
    """Whether the backs can be unscrewed."""
    removable = shell.flag("removable") is True
    if removable and form == "tray":
        shell.fault("removable", "a tray has no back to take off", "take it out")
    if removable and shell.data.get("doors") is True:
        shell.fault(
            "removable",
            "a back that is a door is not screwed on",
            "take doors or removable out",
        )
    return removable


def read_planks(shell: Table) -> tuple[float, ...]:
    """The widths in which the builder has panels for the walls, the narrowest first [mm]."""
    most = COUNTS["shell.planks"]
    if shell.data.get("planks") == []:
        return ()
    read = shell.lengths("planks", sizes=range(1, most + 1), **LENGTHS["shell.planks"])
    return () if read is None else tuple(sorted({one for one in read if one is not None}))
