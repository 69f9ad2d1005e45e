"""Boxes in the plane, refuted one by one in order of the objective."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Iterator
from typing import Any

from attrs import field, mutable

from fitkit.fit.exact.crew import Crew
from fitkit.fit.exact.news import News, Spot
from fitkit.fit.exact.task import Task, box_sides

POLL_S = 0.05

Box = tuple[float, int, int]
"""Value, length and width of one box."""


@mutable
class Planes:
    """The search through boxes in order: the first that holds the rectangles is the least.

    ``boxes`` come with rising values, all below ``value``, the best known.
    """

    sides: list[tuple[int, int]]
    turns: list[bool]
    boxes: Iterable[Box]
    value: float
    bound: float
    nodes: int = 0
    work: int = 0
    _asked: dict[int, Box] = field(factory=dict, init=False)

    def run(self, crew: Crew) -> Iterator[News]:
        """Search; every item may be the last that is asked for."""
        # sides have a common measure: 40, 80 and 120 are 1, 2 and 3
        waiting = iter(self.boxes)
        ahead = next(waiting, None)
        index = 0
        holds: tuple[int, Box, list[list[int]]] | None = None
        while True:
            while ahead is not None and holds is None and crew.room():
                self._asked[index] = ahead
                crew.ask(index, self._job(ahead))
                index += 1
                ahead = next(waiting, None)
            for tag, told in crew.heard(POLL_S) if self._asked else []:
                if "fault" in told or told["state"] == "open":
                    yield News(self.bound, fault=told.get("fault", ""), done=True)
                    return
                box = self._asked.pop(tag)
                self.work += told["nodes"]
                if told["state"] == "holds" and (holds is None or tag < holds[0]):
                    holds = tag, box, self._scaled(box, told["spots"])
            if holds is not None and all(tag > holds[0] for tag in self._asked):
                _, (value, _, _), spots = holds
                self.value = self.bound = value
                found: list[Spot] = [(x, y, 0, o) for x, y, o in spots]
                yield News(value, value, tuple(found), done=True)
                return
            if holds is None and ahead is None and not self._asked:
                self.bound = self.value
                yield News(self.bound, done=True)
                return
            open_ = [box[0] for box in self._asked.values()]
            if holds is None:
                open_.append(self.value if ahead is None else ahead[0])
            self.bound = max(self.bound, min(open_))
            yield News(self.bound)

    def _measure(self, box: Box) -> int:
        return math.gcd(box[1], box[2], *(side for pair in self.sides for side in pair))

    def _scaled(self, box: Box, spots: list[list[int]]) -> list[list[int]]:
        step = self._measure(box)
        return [[x * step, y * step, o] for x, y, o in spots]

    def _job(self, box: Box) -> dict[str, Any]:
        step = self._measure(box)
        return {
            "kind": "plane",
            "length": box[1] // step,
            "width": box[2] // step,
            "sides": [(w // step, h // step) for w, h in self.sides],
            "turns": self.turns,
            "nodes": self.nodes,
        }


def boxes_in_order(task: Task, below: int) -> Iterator[Box]:
    """All boxes of a plane task whose value is less than ``below``, least first.

    Sides are sums of the rectangles' sides, and the area holds all of them; where axes may change
    places, only boxes that are at least as long as wide.

    >>> from fitkit.fit.exact.task import Task
    >>> squares = Task((((1, 1, 1),), ((2, 2, 1),)), "volume", 2, (99, 99, 1))
    >>> list(boxes_in_order(squares, 7))
    [(6, 3, 2)]
    """
    lengths, widths = box_sides(task, 0), box_sides(task, 1)
    area = task.volume
    swap = task.alike(0, 1)
    heap: list[tuple[int, int, int]] = []

    def push(length: int, k: int) -> None:
        """The next box of this length that is large enough, and as long as wide where asked."""
        while k < len(widths) and length * widths[k] < area:
            k += 1
        if k < len(widths) and not (swap and widths[k] > length):
            value = task.value((length, widths[k], 1))
            if value < below:
                heapq.heappush(heap, (value, length, k))

    for length in lengths:
        push(length, 0)
    while heap:
        value, length, k = heapq.heappop(heap)
        if _each_fits(task, length, widths[k]):
            yield value, length, widths[k]
        push(length, k + 1)


def _each_fits(task: Task, length: int, width: int) -> bool:
    return all(any(x <= length and y <= width for x, y, _ in block) for block in task.ways)


def shelves(task: Task, lengths: int = 40) -> tuple[int, list[Spot]]:
    """A first box: rectangles on shelves, high ones first, the best of some lengths.

    >>> from fitkit.fit.exact.task import Task
    >>> shelves(Task((((1, 1, 1),), ((2, 2, 1),)), "volume", 2, (99, 99, 1)))[0]
    6
    """
    sides = [side for side in box_sides(task, 0) if side**2 <= 9 * task.volume]
    sides = sides or box_sides(task, 0)[:1]
    best: tuple[int, list[Spot]] | None = None
    for length in (*sides[:: max(1, len(sides) // lengths)], box_sides(task, 0)[-1]):
        made = _shelved(task, length)
        if made is None:
            continue
        size, spots = made
        if size[1] <= task.at_most[1] and (best is None or task.value(size) < best[0]):
            best = task.value(size), spots
    if best is None:
        raise ValueError("no shelves keep the limits")
    return best


def _shelved(task: Task, length: int) -> tuple[tuple[int, int, int], list[Spot]] | None:
    """Shelves of one length: the size they take, and the spots."""
    chosen = []
    for k, block in enumerate(task.ways):
        fitting = [(way[1], -way[0], p) for p, way in enumerate(block) if way[0] <= length]
        if not fitting:
            return None
        high, wide, p = min(fitting)
        chosen.append((high, -wide, k, p))
    spots: list[Spot] = [(0, 0, 0, 0)] * len(chosen)
    x = y = shelf = widest = 0
    for high, wide, k, p in sorted(chosen, key=lambda one: (-one[0], -one[1], one[2])):
        if x + wide > length:
            x, y, shelf = 0, y + shelf, 0
        spots[k] = (x, y, 0, p)
        x += wide
        shelf = max(shelf, high)
        widest = max(widest, x)
    return (widest, y + shelf, 1), spots
