"""Least boxes that others have published, or that follow from a published definition.

Sources: OEIS A038666, "Minimal area rectangle into which squares of sizes 1, 2, 3, ... n can be
packed", and A005842, "minimal integer m such that an m X m square contains non-overlapping squares
of sides 1, ..., n (some values are only conjectures)", both as facts. The families of rectangles
and of boxes are those of Huang and Korf, "Optimal rectangle packing: an absolute placement
approach", JAIR 46 (2013); their least areas and volumes were proven by a computation of our own
with another solver (a constraint solver, box by box) before this one was written.
"""

from __future__ import annotations

import pytest

from fitkit.fit.exact import least_box

A038666 = (1, 6, 15, 35, 60, 99, 154, 210, 300, 405, 513, 667, 836, 1035, 1265, 1512, 1794, 2139)

A005842 = (1, 3, 5, 7, 9, 11, 13, 15, 18, 21, 24, 27, 30, 33, 36, 39, 43, 47)


@pytest.mark.parametrize("n", range(1, 19))
def test_squares_take_the_published_area(n: int) -> None:
    """Squares 1 to n: the published least area, proven."""
    found = least_box([(i, i) for i in range(1, n + 1)], budget_s=120.0)
    assert found.proven
    assert found.value == A038666[n - 1]


@pytest.mark.parametrize("n", range(1, 19))
def test_squares_take_the_published_square(n: int) -> None:
    """Squares 1 to n: the published side of the least square, proven."""
    found = least_box([(i, i) for i in range(1, n + 1)], objective="longest", budget_s=120.0)
    assert found.proven
    assert found.value == A005842[n - 1]


FREE = {6: 114, 8: 240, 9: 336, 10: 442, 11: 572, 12: 735, 13: 910, 14: 1120}
ORIENTED = {6: 117, 8: 252, 9: 345, 10: 450, 11: 588, 12: 748, 13: 924, 14: 1134}
EQUAL_PERIMETER = {8: 128, 10: 231}
DOUBLE_PERIMETER = {6: 171, 8: 378, 9: 533}


@pytest.mark.parametrize(("n", "area"), FREE.items())
def test_rectangles_one_longer_than_wide_that_may_turn(n: int, area: int) -> None:
    """Rectangles i x (i + 1), i = 1 to n, quarter turns."""
    found = least_box([(i, i + 1) for i in range(1, n + 1)], turn="quarter", budget_s=120.0)
    assert (found.value, found.proven) == (area, True)


@pytest.mark.parametrize(("n", "area"), ORIENTED.items())
def test_rectangles_one_longer_than_wide_as_they_stand(n: int, area: int) -> None:
    """Rectangles i wide and i + 1 high, i = 1 to n, no turns."""
    found = least_box([(i, i + 1) for i in range(1, n + 1)], budget_s=120.0)
    assert (found.value, found.proven) == (area, True)


@pytest.mark.parametrize(("n", "area"), EQUAL_PERIMETER.items())
def test_rectangles_of_equal_perimeter_as_they_stand(n: int, area: int) -> None:
    """Rectangles i x (n + 1 - i), i = 1 to n, no turns."""
    found = least_box([(i, n + 1 - i) for i in range(1, n + 1)], budget_s=120.0)
    assert (found.value, found.proven) == (area, True)


@pytest.mark.parametrize(("n", "area"), DOUBLE_PERIMETER.items())
def test_rectangles_of_double_perimeter_that_may_turn(n: int, area: int) -> None:
    """Rectangles i x (2n - i), i = 1 to n, quarter turns."""
    found = least_box([(i, 2 * n - i) for i in range(1, n + 1)], turn="quarter", budget_s=120.0)
    assert (found.value, found.proven) == (area, True)
