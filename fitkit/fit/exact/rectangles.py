"""Proofs for rectangles: candidate boxes in order of the objective, one refutation each.

It applies where every copy is an upright rectangle in plan with one pose, turned by quarters at
most, in one level, with no zones and no web between items. A best box then has sides that are sums
of rectangles' sides (everything can be pushed to the left and down), so there are finitely many
candidates. The first that holds the rectangles is the least; every refuted one lifts the bound.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from attrs import frozen

from fitkit.fit.arrange import Layout, arrange, whole_sides
from fitkit.fit.assign import Assignment, Problem, elevation_of
from fitkit.fit.bounds import GRID_MM, objective_value
from fitkit.fit.elevation import Elevation
from fitkit.fit.exact.crew import Crew
from fitkit.fit.exact.frontier import Frontier
from fitkit.fit.exact.planes import Planes
from fitkit.fit.pieces import Margins, Spot, turned_outline
from fitkit.fit.state import State

BOUND_NAME = f"boxes refuted one by one, on a grid of {GRID_MM:g} mm"
"""The name under which bounds from here are reported: interiors come in whole steps of the grid."""

MOST_BOXES = 40_000
"""With more candidate boxes than this a proof is not tried."""

MOST_NODES = 20_000_000
"""Where work is counted, a box that takes more nodes than this ends the proof."""

FLAT = 130
"""Boxes whose shorter side is at most this long, in the common measure, are searched by columns."""

UNITS_PER_MM = 100


@frozen
class Rectangles:
    """The rectangles of a problem in hundredths of a millimetre, and the box around them."""

    assignment: Assignment
    sides: tuple[tuple[int, int], ...]
    turns: tuple[bool, ...]
    elevation: Elevation
    rim_mm: float


@frozen
class Candidate:
    """One box to refute: its sides in units and its value."""

    length: int
    width: int
    value: float


def rectangles_of(problem: Problem) -> Rectangles | None:
    """The problem as rectangles, or None where a proof does not apply."""
    case = problem.payload.case
    if (
        len(problem.levels) != 1
        or case.clearance.item_mm > 0
        or case.draft_deg
        or any(problem.pins)
        or any(item.mount is not None for item in problem.payload.items)
    ):
        return None
    if case.corner_mm > case.clearance.wall_mm or any(len(poses) != 1 for poses in problem.options):
        return None
    pieces = [poses[0] for poses in problem.options]
    sides = []
    for piece in pieces:
        x0, y0, x1, y1 = piece.outline.bounds
        area = (x1 - x0) * (y1 - y0)
        if piece.item.turn == "free" or piece.plan.rooms or piece.outline.area < area * (1 - 1e-9):
            return None
        units = ((x1 - x0) * UNITS_PER_MM, (y1 - y0) * UNITS_PER_MM)
        if any(abs(side - round(side)) > 1e-6 for side in units):
            return None
        sides.append((round(units[0]), round(units[1])))
    assignment = Assignment(tuple(problem.seat(0, piece) for piece in pieces))
    elevation = elevation_of(problem, assignment)
    if elevation is None:
        return None
    margins = Margins.of(problem.payload, depth_mm=max(elevation.depths_mm))
    turns = tuple(piece.item.turn == "quarter" for piece in pieces)
    return Rectangles(assignment, tuple(sides), turns, elevation, 2 * margins.body_mm)


def boxes(problem: Problem, rectangles: Rectangles, *, below: float) -> list[Candidate] | None:
    """Candidate boxes whose value is less than ``below``, least first; None if too many."""
    area = sum(w * h for w, h in rectangles.sides)
    swap = all(
        turn or w == h for (w, h), turn in zip(rectangles.sides, rectangles.turns, strict=True)
    )
    lengths = _sums([(w, h) if t else (w,) for (w, h), t in _pairs(rectangles)], area)
    widths = _sums([(w, h) if t else (h,) for (w, h), t in _pairs(rectangles)], area)
    found: list[Candidate] = []
    for width in widths:
        for length in lengths:
            if length * width < area or (swap and length < width):
                continue
            if not _each_fits(rectangles, length, width):
                continue
            sides = whole_sides(
                problem.payload,
                length / UNITS_PER_MM + rectangles.rim_mm,
                width / UNITS_PER_MM + rectangles.rim_mm,
            )
            size = (*sides, rectangles.elevation.height_mm)
            value = objective_value(problem.objective, size)
            if value >= below * (1 - 1e-9):
                if problem.objective != "longest" or length >= width:
                    break
                continue
            found.append(Candidate(length, width, value))
            if len(found) > MOST_BOXES:
                return None
    return sorted(found, key=lambda box: (box.value, box.length))


def prove(state: State, watch: Callable[[], bool]) -> bool:
    """Refute boxes until one holds, none is left, or the search is over; true if cancelled."""
    problem = state.problem
    rectangles = rectangles_of(problem)
    if rectangles is None or state.best is None or state.over():
        return False
    state.stage = "proof"
    candidates = boxes(problem, rectangles, below=state.best.score.value)
    if candidates is None:
        return False
    if not candidates:
        _settled(state)
        return False
    with Crew(size=1 if state.counted else 2) as crew:
        search = _search(state, rectangles, candidates)
        for news in search.run(crew):
            if news.fault:
                return False
            if news.spots is not None and news.value is not None:
                spots = [(x, y, bool(way)) for x, y, _, way in news.spots]
                state.offer(_layout(problem, rectangles, spots), "proof")
                best = state.best.score.value
                if best > news.value * (1 + 1e-9):
                    # the box holds, but not all that the sheet asks for besides
                    return watch()
                search.value = min(search.value, best)
            with state.lock:
                if news.bound > state.bound:
                    state.bound, state.bound_name = news.bound, BOUND_NAME
            if news.done and news.bound >= state.best.score.value * (1 - 1e-9):
                _settled(state)
            if watch():
                return True
            if state.over():
                break
    return False


def _search(state: State, rectangles: Rectangles, candidates: list[Candidate]) -> Planes | Frontier:
    """Box by box where sides are short in their common measure, else from the outside."""
    assert state.best is not None
    value = state.best.score.value
    rising = [(box.value, box.length, box.width) for box in candidates]
    nodes = MOST_NODES if state.counted else 0
    step = math.gcd(*(side for pair in rectangles.sides for side in pair))
    longest = max(min(box.length, box.width) for box in candidates) / step
    if longest <= FLAT:
        return Planes(
            list(rectangles.sides), list(rectangles.turns), rising, value, state.bound, nodes
        )
    ways = tuple(
        ((w, h, 1), (h, w, 1)) if turn and w != h else ((w, h, 1),)
        for (w, h), turn in _pairs(rectangles)
    )
    return Frontier(ways, rising, value, state.bound, nodes)


def _settled(state: State) -> None:
    with state.lock:
        if state.best is not None:
            state.bound, state.bound_name = state.best.score.value, BOUND_NAME
            state.proven = True


def _layout(
    problem: Problem, rectangles: Rectangles, spots: list[tuple[int, int, bool]]
) -> Layout | None:
    made = []
    for seat, (x, y, turned) in zip(rectangles.assignment.seats, spots, strict=True):
        turn = 90.0 if turned else 0.0
        x0, y0, _, _ = turned_outline(seat.piece, turn).bounds
        made.append(Spot(turn, x / UNITS_PER_MM - x0, y / UNITS_PER_MM - y0))
    return arrange(problem, rectangles.assignment, made)


def _pairs(rectangles: Rectangles) -> list[tuple[tuple[int, int], bool]]:
    return list(zip(rectangles.sides, rectangles.turns, strict=True))


def _each_fits(rectangles: Rectangles, length: int, width: int) -> bool:
    return all(
        (w <= length and h <= width) or (turn and h <= length and w <= width)
        for (w, h), turn in _pairs(rectangles)
    )


def _sums(choices: list[tuple[int, ...]], area: int) -> list[int]:
    """All sums of one side each of some rectangles, from the largest that must fit upwards."""
    least = max(min(sides) for sides in choices)
    most = sum(max(sides) for sides in choices)
    step = math.gcd(*(side for sides in choices for side in sides))
    reached = 1
    for sides in choices:
        grown = reached
        for side in set(sides):
            grown |= reached << (side // step)
        reached = grown
    return [k * step for k in range(least // step, most // step + 1) if reached >> k & 1]
