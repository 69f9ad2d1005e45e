"""A row of like pieces along a side, or along two opposite sides: set so that both are alike.

The order in which places are tried: mirrored about the row's middle and the same on every side;
mirrored, each side for itself; each piece for itself. Only when no place is clear of the items
inside is a piece set where it comes least near to one, and that is said. A piece for which there
is no place at all is left out, and that is said too.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve, frozen

from fitkit.shell.frame import out_of
from fitkit.shell.model import Trouble
from fitkit.shell.places import GAP_MM, Board, Piece
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
) -> None:
    """Set a row on every run, its places as near to the targets as may be.

    The targets are in order and mirrored about ``about_mm``; what is set stays on its own side of
    it. Runs lie along the same axis.
    """
    count = len(targets_mm)
    for index in range(count // 2):
        _pair(board, runs, targets_mm[index], about_mm)
    if count % 2:
        _single(board, runs, targets_mm[count // 2])


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
    short, solid = board.worst(run.piece, place)
    if solid is not None:
        board.troubles.append(_meets(made.name, run.piece, short, solid.owner, solid.clear_mm))


def _meets(name: str, piece: Piece, short: float, owner: str, clear: float) -> Trouble:
    what = (
        f"its dish meets {owner} by {short - clear:.1f} mm"
        if short > clear + NEAR_MM
        else f"its dish leaves {clear - short:.1f} mm to {owner}, {clear:.1f} mm are asked for"
    )
    if piece.kind.dish_mm is None:
        what = what.replace("its dish", "it", 1)
    where = "higher lid" if out_of(piece.side)[0] != 2 else "larger floor clearance"
    remedy = (
        f"a {piece.kind.kind} {short:.1f} mm shallower, {short:.1f} mm more clearance from the "
        f"wall, less clearance between items, or a {where}"
    )
    return Trouble(name, what, short, remedy)


def _no_room(run: Run, hard: Sequence[Span]) -> Trouble:
    """What is missing: how much narrower the piece would have to be to have a place."""
    low, high = 0.0, 2 * run.half_mm
    for _ in range(30):
        less = (low + high) / 2
        ends = (run.low_mm - less / 2, run.high_mm + less / 2)
        narrower = [(start + less / 2, end - less / 2) for start, end in hard]
        if ends[1] >= ends[0] and free(*ends, blocked=narrower):
            high = less
        else:
            low = less
    kind, side = run.piece.kind, run.piece.side
    wide = 2 * run.half_mm
    return Trouble(
        f"{kind.kind} on the {side}",
        f"there is no room for a {kind.name} {wide:.1f} mm wide: {high:.1f} mm are missing; it is "
        "left out",
        high,
        f"a {kind.kind} at most {wide - high:.1f} mm wide, fewer of them, another side, or a "
        "larger case",
    )
