"""The fewest sheets: strips by chance and by price, a bound, and strips put together on sheets.

All sizes are thousandths of a millimetre with a kerf added (:mod:`fitkit.stock.strips`).
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Sequence

import numpy as np
from attrs import evolve, frozen

from fitkit.fit.polish.program import Rows, minimise
from fitkit.stock.knapsack import Fillings
from fitkit.stock.sheet_bound import by_area, by_strips
from fitkit.stock.strips import (
    Entry,
    Ripped,
    Room,
    Stack,
    fits,
    grown,
    step_of,
    strip_of,
)
from fitkit.stock.whole_numbers import least_whole

TRIES = 30
"""Layouts of two stages made by chance for each way of starting a sheet."""

TRIES_STACKED = 3
"""Layouts of three stages made by chance for each way of starting a sheet."""

GAP = 0.002
"""Share of a sheet's use that is not fought for."""

NODES_A_SECOND = 6
"""How the limit of work is counted: nodes of the search in whole numbers."""

SAFETY = 10.0
"""The clock only ends a search that takes so many times its seconds."""

MOST_STRIPS = 100
"""Strips that are put together in whole numbers."""

EVERY_STRIP = 100
"""With no more strips than this they are all listed, and the least use of them is a bound."""

AREA = "area of the tiles with their kerfs"
WEIGHED = "all strips weighed (linear programme)"
TRIED = "all strips tried"


@frozen
class Board:
    """One sheet of the search: its way and its strips."""

    way: int
    strips: tuple[Ripped, ...]


@frozen
class Fewest:
    """What was found: the sheets, the last one the emptiest; the least number and its name."""

    boards: tuple[Board, ...]
    bound: int
    bound_name: str


def fewest(rooms: Sequence[Room], *, seconds: float, seed: int = 1) -> Fewest:
    """The fewest sheets for the demand of ``rooms`` (ways to start a sheet).

    Among equally many the plan that uses least of the last sheet is taken. ``seconds`` limits the
    work, which is counted: it is the same in every run.
    """
    if not any(rooms[0].demand):
        return Fewest((), 0, AREA)
    dice = random.Random(seed)
    pool: dict[Ripped, None] = {}
    best: list[Board] | None = None
    # what two stages cut, three cut as well
    level = [evolve(room, stages=2) for room in rooms]
    for tries, ways in ((TRIES, level), (TRIES_STACKED, rooms)):
        if tries == TRIES_STACKED and rooms[0].stages == 2:
            break
        for turn in range(tries):
            for room in ways:
                strips = _strewn(room, dice, calm=turn < 2)
                if strips is None:
                    continue
                pool.update(dict.fromkeys(strips))
                boards = _stacked(room, strips)
                if best is None or _rank(rooms, boards) < _rank(rooms, best):
                    best = boards
    bound, name = by_area(rooms), AREA
    weighed, priced = by_strips(rooms, enough=bound if best is None else len(best))
    pool.update(dict.fromkeys(priced))
    if rooms[0].stages == 3:
        pool.update(dict.fromkeys(by_strips(level, enough=10**6)[1]))
    if weighed > bound:
        bound, name = weighed, WEIGHED
    every = _every_strip(rooms)
    strips = every if every is not None else list(pool)
    sets = [[room] for room in rooms]
    for ways in [*sets, list(rooms)] if len(rooms) > 1 else sets:
        if len(ways) > 1 and best is not None and bound >= len(best):
            continue  # sheets of both ways save none
        found = _assembled(ways, [s for s in strips if _in(ways, s)], seconds=seconds)
        if found is None:
            continue
        boards, least = found
        if best is None or _rank(rooms, boards) < _rank(rooms, best):
            best = boards
        if every is not None and len(ways) == len(rooms) and least > bound:
            bound, name = least, TRIED
    assert best is not None  # every tile fits the sheet one way or the other
    return Fewest(tuple(best), bound, name)


def _in(rooms: Sequence[Room], strip: Ripped) -> bool:
    return any(room.way == strip.way for room in rooms)


def _room(rooms: Sequence[Room], way: int) -> Room:
    return next(room for room in rooms if room.way == way)


def _used(room: Room, strips: Sequence[Ripped]) -> float:
    """Share of a sheet that is ripped into strips."""
    return sum(strip.height for strip in strips) / room.across


def _rank(rooms: Sequence[Room], boards: Sequence[Board]) -> tuple[int, float]:
    return len(boards), min(_used(_room(rooms, b.way), b.strips) for b in boards)


def _strewn(room: Room, dice: random.Random, *, calm: bool) -> list[Ripped] | None:
    """All tiles in strips, the highest first with a little chance; None if one fits no strip."""
    left = list(room.demand)
    strips = []
    while any(left):
        able = [entry for entry in room.entries if left[entry.kind] > 0]
        if {e.kind for e in able} != {k for k, n in enumerate(left) if n}:
            return None
        # the way of lying of each kind that makes the higher strip counts, or the lower one
        flat = dice.random() < 0.5

        def height(entry: Entry, flat: bool = flat) -> float:
            chance = 1.0 if calm else 0.75 + 0.5 * dice.random()
            return (min(entry.along, entry.across) if flat else entry.across) * chance

        first = max(able, key=height)
        both = [entry for entry in able if entry.kind == first.kind]
        first = min(both, key=lambda e: e.across) if flat else first
        high = first.across
        if room.stages == 3 and dice.random() < 0.3:
            more = [e.across for e in able if e.across + first.across <= room.across]
            if more:
                high += dice.choice(more)
        strip = grown(room, left, first, high=high, dice=dice)
        strips.append(strip)
        left = [n - c for n, c in zip(left, strip.counts, strict=True)]
    return strips


def _stacked(room: Room, strips: Sequence[Ripped]) -> list[Board]:
    """Strips on sheets: each sheet filled as full as can be, one after the other."""
    left = Counter(strips)
    boards = []
    while left:
        kinds = sorted(left, key=lambda strip: -strip.height)
        step = step_of([strip.height for strip in kinds], room.across)
        fill = Fillings(
            [-(-strip.height // step) for strip in kinds],
            values=[float(strip.height) for strip in kinds],
            copies=[left[strip] for strip in kinds],
            room=room.across // step,
        )
        counts = fill.counts(room.across // step)
        if not any(counts):  # a strip as wide as the sheet, rounded up
            counts = (1, *([0] * (len(kinds) - 1)))
        chosen = {strip: n for strip, n in zip(kinds, counts, strict=True) if n}
        boards.append(Board(room.way, tuple(s for s, n in chosen.items() for _ in range(n))))
        left -= Counter(chosen)
    return boards


def _every_strip(rooms: Sequence[Room]) -> list[Ripped] | None:
    """Every strip of two stages that no other one contains; None if there are too many."""
    if rooms[0].stages != 2:
        return None
    found: dict[Ripped, None] = {}
    for room in rooms:
        order = sorted(room.entries, key=lambda e: (-e.across, -e.along))
        # (next entry, room left, entries so far, left of each kind)
        todo: list[tuple[int, int, tuple[Entry, ...], tuple[int, ...]]] = [
            (0, room.along, (), room.demand)
        ]
        steps = 0
        while todo:
            steps += 1
            if steps > 40 * EVERY_STRIP:
                return None
            at, free, row, left = todo.pop()
            if at == len(order):
                top = row[0].across if row else 0
                full = row and not any(
                    e.along <= free and left[e.kind] > 0 and e.across <= top for e in order
                )
                if full:
                    found[strip_of(room, [(e,) for e in row])] = None
                    if len(found) > EVERY_STRIP:
                        return None
                continue
            entry = order[at]
            for n in range(min(left[entry.kind], free // entry.along) + 1):
                after = list(left)
                after[entry.kind] -= n
                rest = free - n * entry.along
                todo.append((at + 1, rest, (*row, *([entry] * n)), tuple(after)))
    return list(found)


def _assembled(
    rooms: Sequence[Room], strips: Sequence[Ripped], *, seconds: float
) -> tuple[list[Board], int] | None:
    """Strips that use the least share of sheets, put together; and the fewest sheets for them.

    How often each strip is cut is found in whole numbers, from the strips that the prices of the
    linear programme like best; then the sheets are filled one after the other. None where the
    strips do not hold every tile.
    """
    demand = rooms[0].demand
    if not strips or not all(any(strip.counts[k] for strip in strips) for k in range(len(demand))):
        return None
    whole = {room.way: room.across for room in rooms}
    cost = np.array([strip.height / whole[strip.way] for strip in strips])
    table = np.array([strip.counts for strip in strips], dtype=float).T
    answer = minimise(
        cost,
        low=np.zeros(len(strips)),
        high=np.full(len(strips), np.inf),
        rows=[
            Rows(
                np.tile(np.arange(len(strips)), (len(demand), 1)),
                table,
                np.array(demand, dtype=float),
            )
        ],
    )
    assert answer is not None  # every kind is in a strip
    dear = cost - answer.prices @ table
    few = np.sort(np.argsort(dear, kind="stable")[:MOST_STRIPS])
    found = least_whole(
        cost[few].tolist(),
        most=[max(demand)] * len(few),
        table=table[:, few],
        low=[float(need) for need in demand],
        high=[math.inf] * len(demand),
        gap=GAP,
        nodes=max(1, round(NODES_A_SECOND * seconds)),
        seconds=SAFETY * seconds,
    )
    if found is None:
        return None
    boards = []
    for room in rooms:
        cut = [
            strips[at]
            for at, times in zip(few, found.values, strict=True)
            if strips[at].way == room.way
            for _ in range(times)
        ]
        boards += _stacked(room, cut)
    complete = len(few) == len(strips)
    return _trimmed(rooms, boards), math.ceil(found.bound - 1e-6) if complete else 0


def _trimmed(rooms: Sequence[Room], boards: list[Board]) -> list[Board]:
    """The plan without tiles that are cut more often than asked: taken from the emptiest sheet."""
    order = sorted(boards, key=lambda b: _used(_room(rooms, b.way), b.strips))
    over = [-need for need in rooms[0].demand]
    for board in order:
        for strip in board.strips:
            over = [o + n for o, n in zip(over, strip.counts, strict=True)]
    made = []
    for board in order:
        room, strips = _room(rooms, board.way), []
        for strip in sorted(board.strips, key=lambda s: -s.height):
            stacks: list[Stack] = []
            for stack in strip.stacks:
                kept = []
                for entry in sorted(stack, key=lambda e: -e.across):
                    if over[entry.kind] > 0:
                        over[entry.kind] -= 1
                    else:
                        kept.append(entry)
                if kept:
                    stacks.append(tuple(kept))
            if stacks:
                strips.append(strip_of(room, stacks))
        if strips:
            made.append(Board(board.way, tuple(strips)))
    made.reverse()
    assert all(fits(_room(rooms, s.way), s) for board in made for s in board.strips)
    return made
