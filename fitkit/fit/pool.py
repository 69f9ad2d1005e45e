"""The layouts that a worker keeps to search near."""

from __future__ import annotations

import random

from attrs import field, mutable

from fitkit.fit.arrange import Layout

KEPT = 6
"""Layouts that each worker keeps to search near."""


@mutable
class Pool:
    """The best layouts of one worker, each with another box or assignment."""

    kept: list[Layout] = field(factory=list)

    def add(self, layout: Layout | None) -> None:
        """Keep a layout if it is among the best; of those much alike only the best."""
        if layout is None:
            return
        alike = [
            have
            for have in self.kept
            if have.assignment == layout.assignment and have.size_mm == layout.size_mm
        ]
        if alike:
            return
        ranked = sorted(
            [*self.kept, layout], key=lambda have: (have.score.miss_mm, have.score.value)
        )
        self.kept = ranked[:KEPT]

    def draw(self, rng: random.Random) -> Layout | None:
        """One of them, more often a good one."""
        if not self.kept:
            return None
        return self.kept[min(int(rng.expovariate(1.0)), len(self.kept) - 1)]
