"""Least rectangles for the squares 1..n, through the search that users call.

Source: OEIS A038666, "Minimal area rectangle into which squares of sizes 1, 2, 3, ... n can be
packed" (terms read in the table that came with this check: 1, 6, 15, 35, 60, 99, 154, 210, 300,
405, 513, 667).
"""

from __future__ import annotations

import pytest

from fitkit.payload.sheet import parse_sheet
from fitkit.plan import Choices, make_plan

A038666 = (1, 6, 15, 35, 60, 99, 154, 210, 300, 405, 513, 667)

SIDE_MM = 40
"""A square of side i stands for a block of 40 i mm, so that even the least makes a case."""

HEAD = """
title = "blocks"
units = "mm"
[case]
objective = "plan"
clearance = { item = 0, wall = 0 }
"""


def sheet(n: int) -> str:
    """A payload sheet of n square blocks."""
    items = [
        f'[[item]]\nname = "block {i}"\nbody = [{{ rectangle = [{SIDE_MM * i}, {SIDE_MM * i}], '
        f"z = [0, 30] }}]\n"
        for i in range(1, n + 1)
    ]
    return "\n".join([HEAD, *items])


@pytest.mark.parametrize("n", range(1, 13))
def test_squares_take_the_published_area(n: int) -> None:
    """The least area is found and proven, and it is the published one."""
    plan = make_plan(parse_sheet(sheet(n), name="squares"), choices=Choices(budget_s=25.0))
    length, width, _ = plan.fit.interior.size_mm
    assert length * width / SIDE_MM**2 == A038666[n - 1]
    assert plan.fit.proven
    assert plan.fit.gap == 0.0
