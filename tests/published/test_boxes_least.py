"""Least volumes for cubes 1..n and for boxes 4i x 3i x 2i.

The families are those of Huang and Korf, "Optimal rectangle packing: an absolute placement
approach", JAIR 46 (2013), section on three dimensions for the cubes (from memory); the volumes were
proven by a computation of our own with another solver (a constraint solver, box by box) before this
one was written.
"""

from __future__ import annotations

import pytest

from fitkit.fit.exact import least_box

CUBES = {4: 140, 5: 300, 6: 594, 7: 1001, 8: 1560, 9: 2430}
FOUR_THREE_TWO = {5: 6048, 6: 12096, 7: 21120, 8: 33792, 9: 51840}


@pytest.mark.parametrize(("n", "volume"), CUBES.items())
def test_cubes(n: int, volume: int) -> None:
    """Cubes 1 to n: the least volume, proven."""
    found = least_box([(i, i, i) for i in range(1, n + 1)], budget_s=120.0)
    assert (found.value, found.proven) == (volume, True)


@pytest.mark.parametrize(("n", "volume"), FOUR_THREE_TWO.items())
def test_boxes_four_three_two(n: int, volume: int) -> None:
    """Boxes 4i x 3i x 2i, i = 1 to n, six orientations: the least volume, proven."""
    found = least_box([(4 * i, 3 * i, 2 * i) for i in range(1, n + 1)], turn="any", budget_s=120.0)
    assert (found.value, found.proven) == (volume, True)
