"""What can be cut from one strip: the search's own records, in thousandths of a millimetre.

All sizes have a kerf added and the room of a sheet has one added too, so that kerfs need no thought
here. A *way* is the direction of the first cuts: 0 along the sheet's length, 1 along its width.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

import numpy as np
from attrs import frozen

from fitkit.stock.knapsack import Fillings

MOST_STEPS = 4_000
"""Steps into which a sheet's side is divided where sizes have no coarser common measure."""

MOST_HEIGHTS = 48
"""Heights of strips that the bound of three stages tells apart."""


@frozen
class Entry:
    """A tile's kind lying one way in a strip: its sizes along and across the strip."""

    kind: int
    turned: bool
    along: int
    across: int


Stack = tuple[Entry, ...]


@frozen
class Ripped:
    """A strip of the search: its way, how wide it is ripped, its stacks, the count of each kind."""

    way: int
    height: int
    stacks: tuple[Stack, ...]
    counts: tuple[int, ...]


@frozen
class Room:
    """One way of starting a sheet: room along and across the strips, and what lies in them."""

    way: int
    along: int
    across: int
    entries: tuple[Entry, ...]
    demand: tuple[int, ...]
    stages: int


def step_of(sizes: Sequence[int], room: int) -> int:
    """The common measure of the sizes, or a coarser step where that is too fine.

    >>> step_of([3000, 4500], 90_000), step_of([3001, 4500], 8_000_001)
    (1500, 2001)
    """
    common = math.gcd(*sizes)
    return common if room // common <= MOST_STEPS else -(-room // MOST_STEPS)


def strip_of(room: Room, stacks: Sequence[Stack]) -> Ripped:
    """A strip from its stacks."""
    counts = [0] * len(room.demand)
    for stack in stacks:
        for entry in stack:
            counts[entry.kind] += 1
    height = max(sum(entry.across for entry in stack) for stack in stacks)
    return Ripped(room.way, height, tuple(stacks), tuple(counts))


def fits(room: Room, strip: Ripped) -> bool:
    """Whether the strip fits the sheet."""
    taken = sum(max(entry.along for entry in stack) for stack in strip.stacks)
    return taken <= room.along and strip.height <= room.across


class Priced:
    """The most valuable strips of every height, at prices of the kinds.

    Sizes are rounded down to the step, so that no strip is worth more than :attr:`worth` says.
    """

    def __init__(self, room: Room, prices: Sequence[float], *, step: int) -> None:
        """Price the strips of one way."""
        self._room, self._prices, self._step = room, prices, step
        self._length = room.along // step
        if room.stages == 2:
            self._level()
        else:
            self._stacked()

    def _level(self) -> None:
        """Two stages: a strip of height h holds what is no higher, side by side."""
        room = self._room
        self._order = sorted(room.entries, key=lambda e: (e.across, e.along))
        self._fill = self._filling(self._order, [e.along for e in self._order], self._length)
        tops = [
            at
            for at, entry in enumerate(self._order)
            if at + 1 == len(self._order) or self._order[at + 1].across > entry.across
        ]
        self.heights = [self._order[at].across // self._step for at in tops]
        self.worth = [self._fill.value(self._length, first=at + 1) for at in tops]
        self._tops = tops

    def _stacked(self) -> None:
        """Three stages: a strip of height h holds stacks of any width, side by side."""
        room = self._room
        high = room.across // self._step
        self._order = sorted(room.entries, key=lambda e: (e.along, e.across))
        self._fill = self._filling(self._order, [e.across for e in self._order], high)
        self._widths = [
            at
            for at, entry in enumerate(self._order)
            if at + 1 == len(self._order) or self._order[at + 1].along > entry.along
        ]
        table = np.array([self._fill.values(first=at + 1) for at in self._widths])
        rises = np.flatnonzero((np.diff(table, axis=1) > 0).any(axis=0)) + 1
        groups = np.array_split(rises, min(len(rises), MOST_HEIGHTS)) if len(rises) else []
        self.heights = [int(group[0]) for group in groups]
        self._tops = [int(group[-1]) for group in groups]
        best = np.zeros((len(groups), self._length + 1))
        for row, at in enumerate(self._widths):
            size = self._order[at].along // self._step
            value, left, count = table[row, self._tops], self._length // size, 1
            while left > 0:
                count = min(count, left)
                wide = size * count
                with_it = best[:, :-wide] + count * value[:, None]
                best[:, wide:] = np.maximum(best[:, wide:], with_it)
                left -= count
                count *= 2
        self.worth = [float(value) for value in best[:, -1]]
        self._table = table

    def _filling(self, order: Sequence[Entry], sizes: Sequence[int], room: int) -> Fillings:
        return Fillings(
            [size // self._step for size in sizes],
            values=[self._prices[e.kind] for e in order],
            copies=[self._room.demand[e.kind] for e in order],
            room=room,
        )

    def strip(self, at: int) -> Ripped | None:
        """The best strip of the height numbered ``at``; None if it is empty or too long as it is.

        It is too long only where the step does not measure the sizes.
        """
        top = self._tops[at]
        stacks: list[Stack] = []
        if self._room.stages == 2:
            counts = self._fill.counts(self._length, first=top + 1)
            stacks = [(e,) for e, n in zip(self._order, counts, strict=True) for _ in range(n)]
        else:
            wide = Fillings(
                [self._order[w].along // self._step for w in self._widths],
                values=[float(v) for v in self._table[:, top]],
                copies=[self._length] * len(self._widths),
                room=self._length,
            )
            for w, n in zip(self._widths, wide.counts(self._length), strict=True):
                if n:
                    counts = self._fill.counts(top, first=w + 1)
                    stack = tuple(
                        e for e, c in zip(self._order, counts, strict=True) for _ in range(c)
                    )
                    stacks += [stack] * n
        if not stacks:
            return None
        strip = strip_of(self._room, stacks)
        return strip if fits(self._room, strip) else None


def grown(
    room: Room, demand: Sequence[int], first: Entry, *, high: int, dice: random.Random
) -> Ripped:
    """A strip of height ``high`` at most that holds ``first`` and as much more as can be.

    ``demand`` is what is still to be cut. Areas are weighed with a little chance.
    """
    left = list(demand)
    left[first.kind] -= 1
    weight = [1.0 + 0.2 * dice.random() for _ in left]
    stacks: list[Stack] = []
    if room.stages == 2:
        able = [e for e in room.entries if e.across <= high and left[e.kind] > 0]
        stacks = [(first,), *((e,) for e in _row(able, left, room.along - first.along, weight))]
        return strip_of(room, stacks)
    under = [e for e in room.entries if e.along <= first.along and left[e.kind] > 0]
    stack = (first, *_column(under, left, high - first.across, weight))
    taken = first.along
    while stack:
        stacks.append(stack)
        able = [
            e
            for e in room.entries
            if e.across <= high and e.along <= room.along - taken and left[e.kind] > 0
        ]
        stack, wide, best = (), 0, 0.0
        for width in sorted({e.along for e in able}):
            trial = list(left)
            tried = _column([e for e in able if e.along <= width], trial, high, weight)
            worth = sum(e.along * e.across * weight[e.kind] for e in tried)
            share = worth / width * (0.9 + 0.1 * width / room.along)
            if share > best:
                stack, wide, best, kept = tried, width, share, trial
        if stack:
            left, taken = kept, taken + wide
    return strip_of(room, stacks)


def _row(able: list[Entry], left: list[int], room: int, weight: Sequence[float]) -> list[Entry]:
    """What fills a row of a strip best: each entry at most as often as is left of its kind."""
    return _packed(able, left, [e.along for e in able], room, weight)


def _column(able: list[Entry], left: list[int], room: int, weight: Sequence[float]) -> Stack:
    """What fills a stack best."""
    return tuple(_packed(able, left, [e.across for e in able], room, weight))


def _packed(
    able: list[Entry], left: list[int], sizes: list[int], room: int, weight: Sequence[float]
) -> list[Entry]:
    if not able or room < min(sizes):
        return []
    step = step_of(sizes, room)
    fill = Fillings(
        [-(-size // step) for size in sizes],
        values=[e.along * e.across * weight[e.kind] * 1e-6 for e in able],
        copies=[left[e.kind] for e in able],
        room=room // step,
    )
    made = []
    for entry, count in zip(able, fill.counts(room // step), strict=True):
        for _ in range(min(count, left[entry.kind])):
            left[entry.kind] -= 1
            made.append(entry)
    # rounding up may have left room for one more
    rest = room - sum(size for size, e in zip(sizes, able, strict=True) for m in made if m is e)
    for size, entry in sorted(zip(sizes, able, strict=True), key=lambda pair: -pair[0]):
        while size <= rest and left[entry.kind] > 0:
            left[entry.kind] -= 1
            rest -= size
            made.append(entry)
    return made
