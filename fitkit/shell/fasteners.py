"""Every hole's fastener, and how many of each to buy.

Rivets are chosen by the grip table for the stack that each hole goes through, never by a rule of
thumb. Where the tail would bear on the panel alone, a washer goes behind it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Literal, cast

from attrs import field, mutable

from fitkit.payload.hardware import type_for
from fitkit.payload.model import Payload
from fitkit.payload.workshop import Board, HardwareKind
from fitkit.shell.fastener_choice import PILOT_MM, Choice, Piece, choose
from fitkit.shell.frame import to_bar, to_panel
from fitkit.shell.model import Bar, Fastener, Fitted, Hole, Panel, Trouble
from fitkit.shell.panels import board_for
from fitkit.shell.stacks import PLATE_MM, WASHER_MM, stack_of

LEAST_SPARES = 2
"""At least so many spares of each size (common practice, no source)."""

KINDS = ("rivet", "washer", "screw", "tee nut", "bolt")

MANY: dict[HardwareKind, str] = {
    "latch": "latches",
    "hinge": "hinges",
    "stay": "stays",
    "handle": "handles",
    "foot": "feet",
    "castor": "castors",
    "corner": "corners",
    "brace": "braces",
    "door latch": "door latches",
}

_EPS = 1e-6


@mutable
class _Line:
    """One line of the list while it is counted."""

    piece: Piece
    places: dict[str, int] = field(factory=dict)
    grips: set[float] = field(factory=set)


def fasteners_of(
    payload: Payload,
    *,
    panels: Sequence[Panel],
    bars: Sequence[Bar],
    fitted: Sequence[Fitted] = (),
    holes: Sequence[Hole] = (),
) -> tuple[tuple[Hole, ...], tuple[Fastener, ...], tuple[Trouble, ...], tuple[str, ...]]:
    """The holes as they are drilled, what goes into them, what does not work, what to mind.

    Holes come back in their order, each with its fastener's name, its diameter, the pilot hole and
    the countersink. A hole's ``owner`` is a bar, a piece of ``fitted``, or a corner. ``buy`` is
    ``used`` with the builder's share of spares, rounded up, two at the least; none where the
    builder wants no spares.
    """
    wishes = payload.workshop.hardware
    kinds = {one.name: one.kind for one in fitted}
    bars_by, panels_by = {bar.name: bar for bar in bars}, {panel.name: panel for panel in panels}
    boards: dict[str, Board] = {
        panel.name: board_for(payload, panel.part, panel.side) for panel in panels
    }
    lines: dict[tuple[str, str], _Line] = {}
    drilled: list[Hole] = []
    troubles: dict[tuple[str, str], Trouble] = {}
    notes: dict[str, dict[str, None]] = {}
    guessed: dict[str, None] = {}
    for hole in holes:
        kind = None if hole.owner in bars_by else kinds.get(hole.owner, _corner(hole.owner))
        where = _where(bars_by[hole.owner]) if hole.owner in bars_by else _many(hole.owner, kind)
        plate = None
        if kind is not None:
            plate = type_for(payload, kind).plate_mm
            if plate is None:
                plate = PLATE_MM
                guessed[where] = None
        stack = stack_of(
            hole,
            plate_mm=plate,
            panels=panels_by,
            bars=bars_by,
            boards=boards,
            profile=payload.wall.profile,
        )
        choice = choose(
            hole,
            stack,
            wishes=wishes,
            where=where,
            loose=kind is None,
            off_mm=_off_mm(hole, panels) if stack.board is None else 0.0,
        )
        drilled.append(choice.hole)
        for note in choice.notes:
            notes.setdefault(note, {})[where] = None
        if choice.trouble is not None:
            troubles.setdefault((choice.trouble.where, choice.trouble.what), choice.trouble)
        _count(lines, choice, where)
    return (
        tuple(drilled),
        tuple(
            _listed(line, wishes.spares)
            for _, line in sorted(lines.items(), key=lambda pair: _order(pair[1]))
        ),
        tuple(troubles.values()),
        (
            *(f"{', '.join(about)}: {note}" for note, about in notes.items()),
            *_general(drilled, lines.values(), tuple(guessed)),
            *_gaps(drilled, bars_by, pitch_mm=wishes.pitch_mm),
        ),
    )


def with_spares(used: int, spares: float) -> int:
    """How many to buy: the share ``spares`` on top, rounded up, two at the least.

    None on top where ``spares`` is 0, nothing where nothing is used.

    >>> with_spares(48, 0.1), with_spares(4, 0.1), with_spares(4, 0.0), with_spares(0, 0.1)
    (53, 6, 4, 0)
    """
    if used == 0 or spares <= 0:
        return used
    return used + max(LEAST_SPARES, math.ceil(used * spares - _EPS))


def _off_mm(hole: Hole, panels: Sequence[Panel]) -> float:
    """How far a hole's middle lies from the nearest panel of its face [mm]."""
    found = []
    for panel in panels:
        if panel.side == hole.side:
            u, v = to_panel(panel, hole.at_mm)
            beside = max(-u, u - panel.length_mm, 0.0), max(-v, v - panel.width_mm, 0.0)
            found.append(math.hypot(*beside))
    return min(found, default=0.0)


def _corner(owner: str) -> HardwareKind | None:
    return "corner" if owner.startswith("corner ") else None


def _where(bar: Bar) -> str:
    return "edge profiles" if bar.kind == "edge" else "closing profiles"


def _many(owner: str, kind: HardwareKind | None) -> str:
    return owner if kind is None else MANY[kind]


def _count(lines: dict[tuple[str, str], _Line], choice: Choice, where: str) -> None:
    for piece in choice.pieces:
        line = lines.setdefault((piece.kind, piece.size), _Line(piece))
        line.places[where] = line.places.get(where, 0) + 1
        if piece.grip_mm is not None:
            line.grips.add(round(piece.grip_mm, 1))


def _order(line: _Line) -> tuple[int, list[float]]:
    numbers = [
        float(word) for word in line.piece.size.replace("M", " ").split() if _is_number(word)
    ]
    return (KINDS.index(line.piece.kind), numbers)


def _is_number(word: str) -> bool:
    return word.replace(".", "", 1).isdigit()


def _listed(line: _Line, spares: float) -> Fastener:
    used = sum(line.places.values())
    note = line.piece.note
    if len(line.grips) > 1:
        note = f"grips of {', '.join(f'{grip:.1f}' for grip in sorted(line.grips))} mm; {note}"
    return Fastener(
        name=line.piece.name,
        kind=cast(Literal["rivet", "washer", "screw", "bolt", "tee nut"], line.piece.kind),
        size=line.piece.size,
        used=used,
        buy=with_spares(used, spares),
        grip_mm=max(line.grips, default=None),
        where=", ".join(f"{place} {count}" for place, count in line.places.items()),
        note=note,
    )


def _general(
    holes: Sequence[Hole], lines: Iterable[_Line], guessed: tuple[str, ...]
) -> Iterable[str]:
    """What holds for all of them."""
    kinds = {line.piece.kind for line in lines}
    if any(hole.pilot_mm is not None for hole in holes):
        yield (
            f"Drill small first ({PILOT_MM:g} mm for all but wood screws, an assumption), then to "
            "size: the drill does not wander (common practice)."
        )
    if guessed:
        yield (
            f"Flanges of {', '.join(guessed)} are taken to be {PLATE_MM:g} mm thick (assumption): "
            "measure them, the length of the fasteners depends on it."
        )
    if "rivet" in kinds:
        yield (
            "Lengths of rivets are those of the grip table of ISO 15981 (secondary): stack within "
            "least and most grip. A table for your own make comes first."
        )
        yield (
            "Aluminium rivets go with aluminium profiles; steel ones only painted or plated "
            "(common practice)."
        )
    if "washer" in kinds:
        yield (
            f"A washer, taken to be {WASHER_MM:g} mm thick (assumption), goes behind the panel "
            "wherever no inner leaf is there to bear the tail; the grip counts it."
        )


def _gaps(holes: Sequence[Hole], bars: dict[str, Bar], *, pitch_mm: float) -> Iterable[str]:
    """Where rivets of a profile are further apart than the pitch, because hardware lies there."""
    rows: dict[tuple[str, str], list[float]] = {}
    for hole in holes:
        for name in hole.pieces:
            if hole.use == "rivet" and name in bars and hole.side in bars[name].sides:
                along, _ = to_bar(bars[name], hole.at_mm, hole.side)
                rows.setdefault((name, hole.side), []).append(along)
    found = []
    for (name, side), places in rows.items():
        wide = max((b - a for a, b in pairwise(sorted(places))), default=0.0)
        if wide > pitch_mm + _EPS:
            found.append(f"{name} on the {side} ({wide:.0f} mm)")
    if found:
        yield (
            f"Rivets are further apart than {pitch_mm:g} mm where hardware lies over a profile: "
            f"{', '.join(found)}."
        )
