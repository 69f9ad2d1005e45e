"""The least box for blocks: the function that others call."""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from typing import Literal

from attrs import frozen

from fitkit.fit.exact.cells import Cells, least_value
from fitkit.fit.exact.crew import Crew
from fitkit.fit.exact.news import News, Spot
from fitkit.fit.exact.planes import Planes, boxes_in_order, shelves
from fitkit.fit.exact.task import WIDEST, Goal, Sides, Task, row_sides

Turn = Literal["fixed", "quarter", "any"]
"""As given; also with x and y exchanged; or standing on any of the three pairs of faces."""

MILLIONTH = 1_000_000

FLAT = 130
"""Plane tasks whose boxes' sides are about this long at most, in units, are searched box by box."""


@frozen
class LeastBox:
    """The answer of :func:`least_box`.

    ``value`` and ``bound`` are in the objective's unit (mm3, mm2 or mm); ``gap`` is
    (value - bound) / value. ``sides_mm`` are the box's; ``spots_mm`` the lower left corner of each
    block, in the order given, and ``blocks_mm`` its sides as it stands there. ``grid_mm`` is the
    grid on which bound and proof hold: all sides are whole multiples of it, so that nothing is lost
    by it. ``history`` holds seconds and value of every improvement.
    """

    value: float
    bound: float
    gap: float
    proven: bool
    grid_mm: float
    sides_mm: tuple[float, ...]
    spots_mm: tuple[tuple[float, ...], ...]
    blocks_mm: tuple[tuple[float, ...], ...]
    seconds: float
    history: tuple[tuple[float, float], ...]


def least_box(
    blocks_mm: Sequence[Sequence[float]],
    *,
    turn: Turn | Sequence[Turn] = "fixed",
    objective: Goal = "volume",
    at_most_mm: Sequence[float] | None = None,
    budget_s: float = 10.0,
    repeatable: bool = False,
    progress: Callable[[float, float, float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> LeastBox:
    """The least box that holds blocks without overlap, each parallel to the box, with its proof.

    ``blocks_mm``: sides of each block [mm], two (rectangles in the plane) or three. ``turn``: what
    each may do, or all alike. ``objective``: "volume" (in the plane: the area), "plan" (length
    times width; needs a greatest height), "longest" side or "linear" sum. ``at_most_mm`` limits the
    box's sides [mm].

    The search ends with a proof, after ``budget_s`` [s], or when ``cancelled`` says so, and gives
    the best box so far with the bound that holds. ``progress`` hears seconds, value and bound about
    twenty times a second. ``repeatable`` does without the clock and with one process: it searches
    until it has the proof, and always takes the same way there.

    ValueError if sides are not above 0, not all two or all three, no multiples of a millionth of a
    millimetre, in too fine a grid for their size, or if a row of all blocks breaks the limits.

    Ranges of boxes are refuted by branch and bound; rectangles with small whole sides box by box,
    after Huang and Korf, "Optimal rectangle packing: an absolute placement approach", JAIR 46
    (2013).

    >>> found = least_box([(1, 1), (2, 2), (3, 3)], objective="volume", budget_s=120.0)
    >>> found.value, found.proven, sorted(found.sides_mm)
    (15.0, True, [3.0, 5.0])
    >>> least_box([(40, 30, 20), (40, 30, 20)], turn="any", budget_s=120.0).value
    48000.0
    """
    started = time.monotonic()
    task, unit = task_of(blocks_mm, turn=turn, objective=objective, at_most_mm=at_most_mm)
    power = {"linear": 1, "longest": 1, "plan": 2, "volume": task.axes}[objective]
    scale = float(unit) ** power
    value: float
    bound: float
    first, spots = first_box(task)
    least = min(least_value(task), first)
    value, bound = first, least
    history = [(0.0, float(value * unit**power))]
    proven = bound >= value
    if not proven:
        with Crew(size=1 if repeatable else 2) as crew:
            for news in hunt(task, first, least, crew):
                if news.fault:
                    raise RuntimeError(news.fault)
                seconds = time.monotonic() - started
                bound = max(bound, news.bound)
                if news.spots is not None and news.value is not None:
                    value, spots = news.value, news.spots
                    history.append((round(seconds, 3), float(value * unit**power)))
                if progress:
                    progress(seconds, value * scale, bound * scale)
                if cancelled and cancelled():
                    break
                if not repeatable and seconds >= budget_s:
                    break
    proven = bound >= value
    axes = range(task.axes)
    stand = [block[spot[3]] for block, spot in zip(task.ways, spots, strict=True)]
    length = [max(spot[d] + way[d] for spot, way in zip(spots, stand, strict=True)) for d in axes]
    return LeastBox(
        value=float(value * unit**power),
        bound=float(min(bound, value) * unit**power),
        gap=0.0 if proven else 1 - bound / value,
        proven=proven,
        grid_mm=float(unit),
        sides_mm=tuple(float(side * unit) for side in length),
        spots_mm=tuple(tuple(float(spot[d] * unit) for d in axes) for spot in spots),
        blocks_mm=tuple(tuple(float(way[d] * unit) for d in axes) for way in stand),
        seconds=round(time.monotonic() - started, 3),
        history=tuple(history),
    )


def hunt(task: Task, value: int, bound: int, crew: Crew) -> Iterator[News]:
    """The search that suits a task: box by box where sides are short, else range by range."""
    if task.axes == 2 and task.goal != "linear" and _flat(task):
        sides = [(block[0][0], block[0][1]) for block in task.ways]
        turns = [len(block) > 1 for block in task.ways]
        yield from Planes(sides, turns, boxes_in_order(task, value), value, bound).run(crew)
    else:
        yield from Cells(task, value, bound).run(crew)


def _flat(task: Task) -> bool:
    """Whether a box's shorter side is short enough for a search column by column."""
    return math.isqrt(task.volume) <= FLAT and max(max(w) for b in task.ways for w in b) <= 2 * FLAT


def first_box(task: Task) -> tuple[int, tuple[Spot, ...]]:
    """A placement made at once, and its value: shelves in the plane, a row in space."""
    if task.axes == 2:
        try:
            value, found = shelves(task)
            return value, tuple(found)
        except ValueError:
            pass
    sides = row_sides(task)
    best: tuple[int, tuple[Spot, ...]] | None = None
    for axis in range(task.axes):
        at, spots = 0, []
        for block in task.ways:
            p = min(range(len(block)), key=lambda p: (block[p][axis], block[p]))
            spot = [0, 0, 0, p]
            spot[axis] = at
            at += block[p][axis]
            spots.append((spot[0], spot[1], spot[2], p))
        size = [
            max(spot[d] + block[spot[3]][d] for spot, block in zip(spots, task.ways, strict=True))
            for d in range(3)
        ]
        if tuple(size) == sides:
            best = task.value(size), tuple(spots)
            break
    assert best is not None
    return best


def task_of(
    blocks_mm: Sequence[Sequence[float]],
    *,
    turn: Turn | Sequence[Turn],
    objective: Goal,
    at_most_mm: Sequence[float] | None,
) -> tuple[Task, Fraction]:
    """The blocks in whole numbers, and the unit [mm] that they are counted in."""
    if not blocks_mm or len({len(block) for block in blocks_mm}) != 1:
        raise ValueError("blocks need two sides each, or three sides each")
    axes = len(blocks_mm[0])
    if axes not in (2, 3):
        raise ValueError("blocks need two sides each, or three sides each")
    if objective == "plan" and axes == 3 and at_most_mm is None:
        raise ValueError("the least plan of blocks needs a greatest height: give at_most_mm")
    whole = [[_millionths(side_mm) for side_mm in block] for block in blocks_mm]
    unit = math.gcd(*(side for block in whole for side in block))
    turns = [turn] * len(whole) if isinstance(turn, str) else list(turn)
    if len(turns) != len(whole):
        raise ValueError("one turn for all blocks, or one for each")
    ways = tuple(
        _ways([side // unit for side in block], how)
        for block, how in zip(whole, turns, strict=True)
    )
    longest = sum(max(max(way) for way in block) for block in ways)
    if longest > WIDEST:
        raise ValueError(
            f"in all {longest} units long: a grid of {unit / MILLIONTH} mm is too fine"
        )
    most = [longest, longest, longest if axes == 3 else 1]
    if at_most_mm is not None:
        for d, side_mm in enumerate(at_most_mm):
            most[d] = min(most[d], math.floor(side_mm * MILLIONTH + 1e-3) // unit)
    task = Task(ways, objective, axes, (most[0], most[1], most[2]))
    return task, Fraction(unit, MILLIONTH)


def _millionths(side_mm: float) -> int:
    """A side in millionths of a millimetre; ValueError if it is none above 0."""
    side = round(side_mm * MILLIONTH) if math.isfinite(side_mm) else 0
    if side <= 0 or abs(side - side_mm * MILLIONTH) > 1e-3 * max(1.0, side_mm):
        raise ValueError(f"{side_mm} mm is no length in millionths of a millimetre above 0")
    return side


def _ways(block: Sequence[int], turn: Turn) -> tuple[Sides, ...]:
    if len(block) == 2:
        w, h = block
        return ((w, h, 1),) if turn == "fixed" or w == h else ((w, h, 1), (h, w, 1))
    a, b, c = block
    if turn == "fixed":
        return ((a, b, c),)
    if turn == "quarter":
        return tuple(dict.fromkeys([(a, b, c), (b, a, c)]))
    return tuple(sorted({(x, y, z) for x, y, z in itertools.permutations((a, b, c))}))
