"""Cutting stock against a worked example whose least number of bars is known.

The paper-roll example of 13 lengths, width 5600, 219 pieces: 73 rolls. Typed from memory; it is
widely printed in texts on the one-dimensional cutting-stock problem.
"""

from __future__ import annotations

import math
from collections import Counter

from fitkit.stock.bars import cut_bars
from fitkit.stock.model import Stick

WIDTH_MM = 5600.0
ROLLS = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
    2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
}  # fmt: skip
LEAST = 73


def test_the_worked_example_takes_73_bars_proven() -> None:
    """The known optimum is reached and proven; every piece is cut once and no bar is overfull."""
    sticks = [
        Stick(f"{length} number {n}", float(length))
        for length, count in ROLLS.items()
        for n in range(count)
    ]
    plan = cut_bars(sticks, what="rolls", bars_mm=[WIDTH_MM], kerf_mm=0.0, trim_mm=0.0)
    assert (plan.bought, plan.proven) == (LEAST, True)
    assert plan.bound_mm == LEAST * WIDTH_MM
    assert Counter(s for bar in plan.bars for s in bar.sticks) == Counter(sticks)
    assert all(math.fsum(s.length_mm for s in bar.sticks) <= WIDTH_MM for bar in plan.bars)
    # the length alone asks for 73 as well: the example's waste is 0.4 %
    assert math.ceil(math.fsum(s.length_mm for s in sticks) / WIDTH_MM) == LEAST
