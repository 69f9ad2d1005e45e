"""How many sheets at least: by area, and by the linear programme over all strips."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fitkit.fit.polish.program import Rows, minimise
from fitkit.stock.knapsack import Fillings
from fitkit.stock.strips import Priced, Ripped, Room, step_of

MOST_ROUNDS = {2: 120, 3: 25}
"""Rounds of pricing strips, by stages."""


def by_area(rooms: Sequence[Room]) -> int:
    """Sheets that the tiles' own area asks for, a kerf on two sides of each."""
    room = rooms[0]
    sizes = {entry.kind: entry.along * entry.across for entry in room.entries}
    for other in rooms[1:]:
        sizes.update({entry.kind: entry.along * entry.across for entry in other.entries})
    need = sum(sizes[kind] * count for kind, count in enumerate(room.demand))
    whole = room.along * room.across
    return -(-need // whole)


def by_strips(rooms: Sequence[Room], *, enough: int) -> tuple[int, list[Ripped]]:
    """A bound by the linear programme over all sheets of strips, and the strips that it priced."""
    kinds = len(rooms[0].demand)
    demand = np.array(rooms[0].demand, dtype=float)
    columns: dict[tuple[int, ...], None] = {}
    for room in rooms:
        for entry in room.entries:
            counts = [0] * kinds
            counts[entry.kind] = 1
            columns[tuple(counts)] = None
    seen: dict[Ripped, None] = {}
    bound = 0.0
    for _ in range(MOST_ROUNDS[rooms[0].stages]):
        table = np.array(list(columns), dtype=float).T
        n = table.shape[1]
        answer = minimise(
            np.ones(n),
            low=np.zeros(n),
            high=np.full(n, np.inf),
            rows=[Rows(np.tile(np.arange(n), (kinds, 1)), table, demand)],
        )
        assert answer is not None
        prices = np.maximum(answer.prices, 0.0)
        worth, fresh = 1.0, 0
        for room in rooms:
            value, strips = _best_sheet(room, prices.tolist())
            worth = max(worth, value)
            seen.update(dict.fromkeys(strips))
            counts = [sum(strip.counts[kind] for strip in strips) for kind in range(kinds)]
            if value > 1 + 1e-7 and any(counts) and tuple(counts) not in columns:
                columns[tuple(counts)] = None
                fresh += 1
        # Farley's bound: at prices divided by the dearest sheet's no sheet is worth more than one
        bound = max(bound, float(prices @ demand) / worth)
        least = math.ceil(bound - 1e-6)
        if least >= enough or least >= math.ceil(answer.value - 1e-6) or not fresh:
            break
    return math.ceil(bound - 1e-6), list(seen)


def _best_sheet(room: Room, prices: Sequence[float]) -> tuple[float, list[Ripped]]:
    """No sheet is worth more than this; and the strips of one that is worth about as much."""
    sides = [side for entry in room.entries for side in (entry.along, entry.across)]
    if not sides:
        return 0.0, []
    step = step_of(sides, max(room.along, room.across))
    priced = Priced(room, prices, step=step)
    high = room.across // step
    if not priced.heights:
        return 0.0, []
    fill = Fillings(
        priced.heights,
        values=priced.worth,
        copies=[high // max(1, h) for h in priced.heights],
        room=high,
    )
    strips = []
    taken = 0
    for at, count in enumerate(fill.counts(high)):
        strip = priced.strip(at) if count else None
        for _ in range(count):
            if strip is not None and taken + strip.height <= room.across:
                strips.append(strip)
                taken += strip.height
    return fill.value(high), strips
