"""Boxes in the plane with long sides, refuted from the outside: one proof for all that lie inside.

A box that cannot hold the rectangles cannot do so with shorter sides either. So of all boxes below
a limit only those are refuted that lie in no other; the limit rises towards the best value.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from attrs import field, mutable

from fitkit.fit.exact.crew import Crew
from fitkit.fit.exact.news import News, Spot
from fitkit.fit.exact.planes import Box
from fitkit.fit.exact.task import Sides

POLL_S = 0.05

STEPS = (0.4, 0.7, 1.0)
"""Shares of the boxes, in order of value, below the successive limits."""


@mutable
class Frontier:
    """The search for the least of ``boxes`` (rising in value, all below ``value``)."""

    ways: tuple[tuple[Sides, ...], ...]
    boxes: Sequence[Box]
    value: float
    bound: float
    nodes: int = 0
    _refuted: list[tuple[int, int]] = field(factory=list, init=False)
    _asked: dict[int, Box] = field(factory=dict, init=False)
    _tag: int = field(default=0, init=False)

    def run(self, crew: Crew) -> Iterator[News]:
        """Search; every item may be the last that is asked for."""
        for share in STEPS:
            again = True
            while again:
                again = False
                below = [box for box in self.boxes if box[0] < self.value]
                part = below[: math.ceil(len(below) * share)]
                for news in self._refute(crew, part):
                    yield news
                    if news.done:
                        return
                    again = again or news.spots is not None
            left = [box[0] for box in self.boxes if box[0] < self.value and not self._inside(box)]
            self.bound = min(left, default=self.value)
            yield News(self.bound)
        self.bound = self.value
        yield News(self.bound, done=True)

    def _inside(self, box: Box) -> bool:
        return any(box[1] <= x and box[2] <= y for x, y in self._refuted)

    def _refute(self, crew: Crew, part: Sequence[Box]) -> Iterator[News]:
        """Refute the outermost of some boxes; ends early where a better placement was found."""
        waiting = [box for box in outermost(part) if not self._inside(box)]
        found = False
        while (waiting and not found) or self._asked:
            while waiting and not found and crew.room():
                box = waiting.pop()
                self._tag += 1
                self._asked[self._tag] = box
                crew.ask(self._tag, self._job(box))
            for tag, told in crew.heard(POLL_S):
                if "fault" in told or (told["state"] == "open" and told["spots"] is None):
                    yield News(self.bound, fault=told.get("fault", ""), done=True)
                    return
                box = self._asked.pop(tag)
                if told["spots"] is None:
                    self._refuted.append((box[1], box[2]))
                elif box[0] < self.value:
                    found = True
                    self.value = box[0]
                    spots: list[Spot] = [(x, y, z, way) for x, y, z, way in told["spots"]]
                    yield News(self.bound, self.value, tuple(spots))
            yield News(self.bound)

    def _job(self, box: Box) -> dict[str, Any]:
        sides = (box[1], box[2], 1)
        return {
            "kind": "cell",
            "ways": self.ways,
            "axes": 2,
            "goal": "volume",
            "low": sides,
            "high": sides,
            "below": box[1] * box[2] + 1,
            "nodes": self.nodes,
        }


def outermost(boxes: Sequence[Box]) -> list[Box]:
    """The boxes that lie in no other.

    >>> outermost([(6, 3, 2), (8, 4, 2), (9, 3, 3)])
    [(9, 3, 3), (8, 4, 2)]
    """
    kept: list[Box] = []
    widest = 0
    for box in sorted(boxes, key=lambda box: (-box[1], -box[2])):
        if box[2] > widest:
            kept.append(box)
            widest = box[2]
    return kept[::-1]
