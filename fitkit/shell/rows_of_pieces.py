"""A row of like pieces along a side, or along two opposite sides: set so that both are alike.

The order in which places are tried: mirrored about the row's middle and the same on every side;
mirrored, each side for itself; each piece for itself. Only when no place is clear of the items
inside is a piece set where it comes least near to one, and that is said. A piece for which there
is no place at all is left out, and that is said too.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import evolve, frozen

from fitkit.payload.workshop import HardwareType
from fitkit.shell.model import Fitted, Trouble
from fitkit.shell.places import GAP_MM, Board, Mark, Piece, gap_mm
from fitkit.shell.spans import NEAR_MM, Span, free, mirrored, nearest

SAMPLES = 24
"""Into how many steps a span is cut in search of the place least near to an item."""


@frozen
class Run:
    """A piece, the span of a side in which its middle may lie, and the parts that it joins."""

    piece: Piece
    low_mm: float
    high_mm: float
    parts: tuple[str, ...]

    @property
    def half_mm(self) -> float:
        """Half of the piece along its side [mm]."""
        return self.piece.half_mm(self.piece.axis)


def set_row(
    board: Board, runs: Sequence[Run], targets_mm: Sequence[float], *, about_mm: float
) -> int:
    """Set a row on every run, its places as near to the targets as may be; how many are set.

    The targets are in order and mirrored about ``about_mm``; what is set stays on its own side of
    it. Runs lie along the same axis.
    """
    count, before = len(targets_mm), len(board.fitted)
    for index in range(count // 2):
        _pair(board, runs, targets_mm[index], about_mm)
    if count % 2:
        _single(board, runs, targets_mm[count // 2])
    return len(board.fitted) - before


def _pair(board: Board, runs: Sequence[Run], target: float, about: float) -> None:
    place = _mirrored_place(board, runs, target, about)
    if place is not None:
        for run in runs:
            board.set(run.piece, place, run.parts)
            board.set(run.piece, 2 * about - place, run.parts)
        return
    if len(runs) > 1:
        for run in runs:
            _pair(board, (run,), target, about)
        return
    (run,) = runs
    _alone(board, evolve(run, high_mm=min(run.high_mm, about)), target)
    _alone(board, evolve(run, low_mm=max(run.low_mm, about)), 2 * about - target)


def _mirrored_place(board: Board, runs: Sequence[Run], target: float, about: float) -> float | None:
    blocked: list[Span] = []
    for run in runs:
        taken = [*board.hard(run.piece), *board.soft(run.piece)]
        blocked += [*taken, *mirrored(taken, about_mm=about)]
    low = max(max(run.low_mm, 2 * about - run.high_mm) for run in runs)
    high = min(min(run.high_mm, about - run.half_mm - GAP_MM / 2) for run in runs)
    return _seek(target, low, high, blocked)


def _single(board: Board, runs: Sequence[Run], target: float) -> None:
    blocked = [span for run in runs for span in (*board.hard(run.piece), *board.soft(run.piece))]
    low, high = max(run.low_mm for run in runs), min(run.high_mm for run in runs)
    place = _seek(target, low, high, blocked)
    for run in runs:
        if place is not None:
            board.set(run.piece, place, run.parts)
        else:
            _alone(board, run, target)


def _seek(target: float, low: float, high: float, blocked: Sequence[Span]) -> float | None:
    if high < low - NEAR_MM:
        return None
    return nearest(target, free(low, high, blocked=blocked), grid_from_mm=target)


def _alone(board: Board, run: Run, target: float) -> None:
    """Set one piece for itself, or say why it cannot be."""
    hard, soft = list(board.hard(run.piece)), list(board.soft(run.piece))
    place = _seek(target, run.low_mm, run.high_mm, [*hard, *soft])
    if place is not None:
        board.set(run.piece, place, run.parts)
        return
    spans = free(run.low_mm, run.high_mm, blocked=hard) if run.high_mm >= run.low_mm else ()
    if not spans:
        board.troubles.append(_no_room(run, hard))
        return
    places = [
        low + step * (high - low) / SAMPLES for low, high in spans for step in range(SAMPLES + 1)
    ]
    wanted = nearest(target, spans, grid_from_mm=target)
    if wanted is not None:
        places.append(wanted)
    place = min(
        places, key=lambda at: (round(board.worst(run.piece, at)[0], 3), abs(at - target), at)
    )
    made = board.set(run.piece, place, run.parts)
    _say_near(board, made)


def crowded(board: Board, *, since: Mark) -> bool:
    """Whether a piece that was set since comes nearer to the gear than was asked for."""
    return any(
        gap_mm(one.room, solid, one.side) < solid.clear_mm - NEAR_MM
        for one in board.fitted[since.fitted :]
        if one.room is not None
        for solid in board.solids
    )


def instead(sunk: str, flat: str) -> str:
    """What is said where a generic piece that is not sunk takes the place of a sunk one."""
    return f"a {sunk} would come too near to the gear: a {flat}, that is not sunk, is taken instead"


def _say_near(board: Board, made: Fitted) -> None:
    """Say what a piece's room meets, or what it comes nearer to than was asked for."""
    room = made.room
    if room is None:
        return
    kind = board.types[made.name]
    gaps = [(gap_mm(room, solid, made.side), solid) for solid in board.solids]
    near = [(gap, solid) for gap, solid in gaps if gap < solid.clear_mm - NEAR_MM]
    owners: set[str] = set()
    for gap, solid in sorted(near, key=lambda one: (one[0], one[1].owner)):
        if solid.owner in owners:
            continue
        owners.add(solid.owner)
        if gap < -NEAR_MM:
            board.troubles.append(_meets(made, kind, -gap, solid.owner))
        else:
            board.notes.append(
                f"{made.name}: {gap:.1f} mm are left to {solid.owner}, {solid.clear_mm:.1f} mm are "
                "asked for; no place along its side has more"
            )


def _meets(made: Fitted, kind: HardwareType, short: float, owner: str) -> Trouble:
    sunk = "its dish" if kind.dish_mm is not None else "it"
    what = f"{sunk} meets {owner} by {short:.1f} mm, and no place along its side is free"
    remedy = (
        f"a {kind.kind} {short:.1f} mm shallower, {short:.1f} mm more clearance from the wall, "
        "less clearance between items, or a lid of another height"
    )
    return Trouble(made.name, what, short, remedy)


def _no_room(run: Run, hard: Sequence[Span]) -> Trouble:
    """What is missing: how much narrower the piece would have to be to have a place."""
    low, high = 0.0, 2 * run.half_mm
    for _ in range(14):
        less = (low + high) / 2
        ends = (run.low_mm - less / 2, run.high_mm + less / 2)
        narrower = [(start + less / 2, end - less / 2) for start, end in hard]
        if ends[1] >= ends[0] and free(*ends, blocked=narrower):
            high = less
        else:
            low = less
    high = math.ceil(high * 10 - 1e-4) / 10
    kind, side = run.piece.kind, run.piece.side
    wide = 2 * run.half_mm
    return Trouble(
        f"{kind.kind} on the {side}",
        f"there is no room for a {kind.name} {wide:.1f} mm wide: {high:.1f} mm are missing; it is "
        "left out",
        high,
        (f"a {kind.kind} at most {wide - high:.1f} mm wide, " if wide - high > NEAR_MM else "")
        + "fewer of them, another side, or a larger case",
    )
