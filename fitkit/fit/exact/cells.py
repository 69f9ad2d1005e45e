"""Ranges of boxes refuted one by one, down to nothing better than the best placement found.

Sides of a least box are sums of blocks' sides, and a box with longer sides holds whatever a smaller
one holds. So boxes are refuted in ranges (cells): a worker searches all boxes of a cell whose value
is below the best value so far at once, and a cell that takes too long is split. Until the last cell
is done the bound is that of volumes and sides.
"""

from __future__ import annotations

import bisect
import math
from collections import deque
from collections.abc import Iterator
from typing import Any

from attrs import field, frozen, mutable

from fitkit.fit.exact.crew import Crew
from fitkit.fit.exact.news import News, Spot
from fitkit.fit.exact.task import Sides, Task, box_sides

POLL_S = 0.05

FIRST_NODES = 20_000
"""Nodes of a first look for any good placement."""

SHORT_NODES = 8_000
"""Nodes of the first look at every cell, where there are many blocks."""

CELL_NODES = 300_000
"""Nodes after which a cell is split: about a second's work."""

WIDE = 1.2
"""A cell whose largest box is so many times above the limit is split at once."""

WIDE_SUM = 1.06
"""The same for sums of sides."""

FEW = 9
"""With no more blocks than this, one cell after the other is seen through."""


@frozen
class Cell:
    """Ranges of indices into the lists of sides, first and last, and the nodes it may take."""

    first: tuple[int, ...]
    last: tuple[int, ...]
    nodes: int


@mutable
class Cells:
    """The search of one task: its sides, its best placement so far and its bound."""

    task: Task
    value: int
    bound: int
    repeatable: bool = False
    work: int = 0
    lists: list[list[int]] = field(init=False)
    swaps: list[tuple[int, int]] = field(init=False)

    def __attrs_post_init__(self) -> None:
        """List the sides, and find out which axes are alike."""
        self.lists = [box_sides(self.task, d) for d in range(3)]
        axes = self.task.axes
        self.swaps = [(d, d + 1) for d in range(axes - 1) if self.task.alike(d, d + 1)]

    def run(self, crew: Crew) -> Iterator[News]:
        """Search; every item may be the last that is asked for."""
        yield from self._first_look(crew)
        if self.bound < self.value:
            yield from self._refute(crew)
        yield News(self.bound, done=True)

    def _first_look(self, crew: Crew) -> Iterator[News]:
        """Any good placement: the whole range, with limits rising until one is found."""
        limit = self.bound
        while limit < self.value:
            limit = min(self.value, limit + max(1, limit // 8))
            cell = self.trimmed(self._whole(FIRST_NODES), limit)
            if cell is None:
                continue
            crew.ask(0, self._job(cell, limit))
            answers: list[tuple[int, dict[str, Any]]] = []
            while not answers:
                answers = crew.heard(POLL_S)
                yield News(self.bound)
            told = answers[0][1]
            if "fault" in told:
                yield News(self.bound, fault=told["fault"])
                return
            self.work += told["nodes"]
            if told["spots"] is not None:
                yield self._better(told)
                return

    def _refute(self, crew: Crew) -> Iterator[News]:
        """Refute all boxes better than the best, or find better ones, until none is left.

        With few blocks one cell after the other is seen through; with many, every cell gets a short
        look first and a longer one later, since that is how good placements are found soon.
        """
        many = len(self.task.ways) > FEW
        waiting = deque([self._whole(SHORT_NODES if many else CELL_NODES)])
        asked: dict[int, Cell] = {}
        tag = 0
        while waiting or asked:
            while waiting and crew.room():
                cell = self.trimmed(waiting.popleft(), self.value)
                if cell is None:
                    continue
                if self._wide(cell, self.value) and self._splits(cell):
                    waiting.extendleft(self._halves(cell))
                    continue
                tag += 1
                asked[tag] = cell
                crew.ask(tag, self._job(cell, self.value))
            for index, told in crew.heard(POLL_S) if asked else []:
                if "fault" in told:
                    yield News(self.bound, fault=told["fault"])
                    return
                cell = asked.pop(index)
                self.work += told["nodes"]
                if told["spots"] is not None and told["value"] < self.value:
                    yield self._better(told)
                if told["state"] == "open":
                    again = [Cell(cell.first, cell.last, cell.nodes * 5)]
                    if cell.nodes >= CELL_NODES and self._splits(cell):
                        again = self._halves(cell)
                    if many:
                        waiting.extend(reversed(again))
                    else:
                        waiting.extendleft(again)
            yield News(self.bound)
        self.bound = self.value
        yield News(self.bound)

    def _better(self, told: dict[str, Any]) -> News:
        self.value = told["value"]
        spots: list[Spot] = [(x, y, z, way) for x, y, z, way in told["spots"]]
        return News(self.bound, self.value, tuple(spots))

    def _job(self, cell: Cell, below: int) -> dict[str, Any]:
        return {
            "kind": "cell",
            "ways": self.task.ways,
            "axes": self.task.axes,
            "goal": self.task.goal,
            "low": self.low(cell),
            "high": self.high(cell),
            "below": below,
            "nodes": cell.nodes,
        }

    def low(self, cell: Cell) -> Sides:
        """The least sides of a cell's boxes."""
        a, b, c = cell.first
        return self.lists[0][a], self.lists[1][b], self.lists[2][c]

    def high(self, cell: Cell) -> Sides:
        """The largest sides of a cell's boxes."""
        a, b, c = cell.last
        return self.lists[0][a], self.lists[1][b], self.lists[2][c]

    def _whole(self, nodes: int) -> Cell:
        return Cell((0, 0, 0), tuple(len(sides) - 1 for sides in self.lists), nodes)

    def trimmed(self, cell: Cell, below: int) -> Cell | None:
        """The cell without boxes that are too large or too small, or None if none is left.

        Boxes that are others with axes changed are left out, where the task does not mind.
        """
        first, last = list(cell.first), list(cell.last)
        volume = self.task.volume
        while True:
            if any(a > b for a, b in zip(first, last, strict=True)):
                return None
            low = [sides[k] for sides, k in zip(self.lists, first, strict=True)]
            high = [sides[k] for sides, k in zip(self.lists, last, strict=True)]
            most = [self.task.longest_side(d, low, below) for d in range(self.task.axes)]
            least = [-(-volume * high[d] // math.prod(high)) for d in range(self.task.axes)]
            for a, b in self.swaps:
                most[b] = min(most[b], high[a])
                least[a] = max(least[a], low[b])
            before = (*first, *last)
            for d in range(self.task.axes):
                last[d] = min(last[d], bisect.bisect_right(self.lists[d], most[d]) - 1)
                first[d] = max(first[d], bisect.bisect_left(self.lists[d], least[d]))
            if before == (*first, *last):
                return Cell(tuple(first), tuple(last), cell.nodes)

    def _wide(self, cell: Cell, below: int) -> bool:
        high = self.high(cell)
        if self.task.goal == "longest":
            return False
        if self.task.goal == "linear":
            return sum(high) > WIDE_SUM * below
        return self.task.value(high) > WIDE * below

    def _axes(self) -> int:
        return 2 if self.task.goal == "plan" else self.task.axes

    def _splits(self, cell: Cell) -> bool:
        return self.task.goal != "longest" and any(
            cell.first[d] < cell.last[d] for d in range(self._axes())
        )

    def _halves(self, cell: Cell) -> list[Cell]:
        """The cell in two, across the side that varies most; the smaller sides come last."""
        low, high = self.low(cell), self.high(cell)
        axis = max(
            (d for d in range(self._axes()) if cell.first[d] < cell.last[d]),
            key=lambda d: high[d] / low[d],
        )
        middle = (cell.first[axis] + cell.last[axis]) // 2
        first, last = list(cell.first), list(cell.last)
        first[axis], last[axis] = middle + 1, middle
        return [
            Cell(tuple(first), cell.last, cell.nodes),
            Cell(cell.first, tuple(last), cell.nodes),
        ]


def least_value(task: Task) -> int:
    """A value that no box can be below: from the blocks' volume and their longest least sides."""
    least = [box_sides(task, d)[0] for d in range(3)]
    volume = task.volume
    floor = task.value(least)
    if task.goal == "volume":
        return max(floor, volume)
    if task.goal == "plan":
        return max(floor, -(-volume // task.at_most[2])) if task.axes == 3 else max(floor, volume)
    side = round(math.pow(volume, 1 / task.axes))
    while math.pow(side, task.axes) < volume:
        side += 1
    while math.pow(side - 1, task.axes) >= volume:
        side -= 1
    if task.goal == "longest":
        return max(floor, side)
    total = max(0, math.floor(task.axes * math.pow(volume, 1 / task.axes)) - 1)
    while math.pow(total, task.axes) < math.pow(task.axes, task.axes) * volume:
        total += 1
    return max(floor, total)
