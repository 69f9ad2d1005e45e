"""The compiled searches against trying every place, on tiny boxes."""

from __future__ import annotations

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from every_place import Sides, apart, tried
from fitkit.fit.exact.one_box import idle_gaps, in_box
from fitkit.fit.exact.one_cell import in_cell

rectangles = st.lists(
    st.tuples(st.integers(1, 5), st.integers(1, 5), st.booleans()), min_size=1, max_size=5
)


@settings(deadline=None, max_examples=300)
@given(rectangles, st.integers(2, 8), st.integers(2, 8))
def test_one_box_is_judged_as_by_trying_every_place(
    kinds: list[tuple[int, int, bool]], length: int, width: int
) -> None:
    """A box is refuted exactly where no places at all will do; spots that come back hold."""
    sides = [(w, h) for w, h, _ in kinds]
    told = in_box(sides, [turn for *_, turn in kinds], length=length, width=width, nodes=0)
    ways = [[(w, h, 1), (h, w, 1)] if turn else [(w, h, 1)] for w, h, turn in kinds]
    assert (told["state"] == "holds") == tried(ways, (length, width, 1))
    if told["state"] == "holds":
        stand = [
            (h, w) if o else (w, h) for (w, h), (_, _, o) in zip(sides, told["spots"], strict=True)
        ]
        assert all(
            turn or not o for (*_, turn), (_, _, o) in zip(kinds, told["spots"], strict=True)
        )
        assert apart(told["spots"], stand)
        for (x, y, _), (w, h) in zip(told["spots"], stand, strict=True):
            assert 0 <= x <= length - w
            assert 0 <= y <= width - h


@settings(deadline=None, max_examples=150)
@given(
    st.lists(st.tuples(*[st.integers(1, 3)] * 3, st.booleans()), min_size=1, max_size=4),
    st.tuples(*[st.integers(1, 4)] * 3),
)
def test_one_cell_is_judged_as_by_trying_every_place(
    kinds: list[tuple[int, int, int, bool]], box: Sides
) -> None:
    """A single box is refuted exactly where no places at all will do."""
    ways = tuple(
        tuple(sorted(set(itertools.permutations((a, b, c))))) if turn else ((a, b, c),)
        for a, b, c, turn in kinds
    )
    told = in_cell(
        ways,
        axes=3,
        goal="volume",
        low=box,
        high=box,
        below=box[0] * box[1] * box[2] + 1,
        nodes=0,
    )
    assert told["state"] == "done"
    assert (told["spots"] is not None) == tried(ways, box)


def test_a_look_that_is_cut_short_refutes_nothing() -> None:
    """With too few nodes the answer is open, in the plane and in space."""
    squares = [(i, i) for i in range(1, 19)]
    assert in_box(squares, [False] * 18, length=71, width=30, nodes=50)["state"] == "open"
    cubes = tuple(((i, i, i),) for i in range(1, 10))
    told = in_cell(
        cubes, axes=3, goal="volume", low=(9, 9, 9), high=(40, 40, 40), below=2430, nodes=50
    )
    assert told["state"] == "open"


def test_gaps_are_idle_only_where_all_that_is_narrow_fits_them() -> None:
    """By hand, beside a square of 5: 1 and 2 stack to 3; with a second 2, a gap of 2 takes 5."""
    alone = ((5, 5, False), (2, 2, False), (1, 1, False))
    assert idle_gaps(alone, 5, 5) == (1, 2, 3, 4)
    assert idle_gaps(alone, 5, 2) == (1,)
    long = ((5, 5, False), (1, 6, False))
    assert idle_gaps(long, 5, 5) == ()
    turned = ((5, 5, False), (4, 1, True))
    assert idle_gaps(turned, 5, 4) == (1, 2, 3, 4)
    assert idle_gaps(turned, 5, 3) == ()
