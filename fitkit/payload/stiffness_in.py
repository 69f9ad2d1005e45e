"""A measured stiffness as typed: of a board, under [[closing.stiffness]], or of a rail."""

from __future__ import annotations

from typing import Any

from fitkit.payload.bounds import LENGTHS
from fitkit.payload.reading import Table
from fitkit.payload.stiffness import Stiffness

KEYS = ("span", "mass", "sag")
STEEPEST = 10.0
"""A strip that sags by more than its span over this is bent too far for the rule of a beam."""

EXAMPLES = {"span": "400", "mass": '"2 kg"', "sag": "3.1", "width": "50"}


def read_stiffness(table: Table, *, board: bool) -> Stiffness | None:
    """A measurement as typed, of a rail or of strips of a ``board``; None where it is wrong.

    Of a board the table may hold ``of`` too: the caller reads it.
    """
    known = (*KEYS, "width", "across", "of") if board else KEYS
    table.only(known)
    before = len(table.notes)
    read: dict[str, Any] = {
        "span_mm": table.length("span", **LENGTHS["stiffness.span"]),
        "kg": table.mass("mass"),
        "sag_mm": table.length("sag", **LENGTHS["stiffness.sag"]),
    }
    if board:
        read["width_mm"] = table.length("width", **LENGTHS["stiffness.width"])
    for key, name in (
        ("span", "span_mm"),
        ("mass", "kg"),
        ("sag", "sag_mm"),
        ("width", "width_mm"),
    ):
        if name in read and read[name] is None and key not in table:
            table.fault(None, f"the measurement has no {key}", f"add {key} = {EXAMPLES[key]}")
    across = table.length("across", **LENGTHS["stiffness.sag"]) if board else None
    for key, sag in (("sag", read["sag_mm"]), ("across", across)):
        span = read["span_mm"]
        if span is not None and sag is not None and sag > span / STEEPEST:
            say = table.notes.say
            table.fault(
                key,
                f"{say(sag)} is more than a tenth of the span of {say(span)}",
                f"load it with less, so that it sags by {say(span / STEEPEST)} at most",
            )
    if len(table.notes) > before:
        return None
    return Stiffness(**read, across_mm=across)
