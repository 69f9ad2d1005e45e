"""The least box: as good as trying everything, never below its bound, stopped at once."""

from __future__ import annotations

import itertools
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from every_place import apart, tried
from fitkit.fit.exact import LeastBox, least_box
from fitkit.fit.exact.cells import least_value
from fitkit.fit.exact.least import task_of

GOALS = ("volume", "longest", "linear")

PATIENT_S = 120.0
"""Long enough for a proof where the search must be compiled first, on a busy machine [s]."""


def holds(found: LeastBox) -> bool:
    """Whether the answer's own numbers hold: inside, apart, and of the value it says."""
    inside = all(
        p >= 0 and p + s <= side + 1e-9
        for spot, block in zip(found.spots_mm, found.blocks_mm, strict=True)
        for p, s, side in zip(spot, block, found.sides_mm, strict=True)
    )
    return inside and apart(found.spots_mm, found.blocks_mm)


def least_by_trying(ways: list[list[tuple[int, int, int]]], goal: str, axes: int) -> int:
    """The least objective over all boxes, each judged by trying every place."""
    most = sum(max(max(way) for way in block) for block in ways)
    boxes = itertools.product(
        range(1, most + 1), range(1, most + 1), range(1, most + 1) if axes == 3 else [1]
    )

    def value(box: tuple[int, int, int]) -> int:
        if goal == "longest":
            return max(box[:axes])
        return sum(box[:axes]) if goal == "linear" else box[0] * box[1] * box[2]

    volume = sum(block[0][0] * block[0][1] * block[0][2] for block in ways)
    for box in sorted(boxes, key=value):
        if box[0] * box[1] * box[2] >= volume and tried(ways, box):
            return value(box)
    raise AssertionError("a row holds everything")


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.tuples(st.integers(1, 4), st.integers(1, 4)), min_size=1, max_size=4),
    st.sampled_from(GOALS),
    st.sampled_from(["fixed", "quarter"]),
)
def test_rectangles_take_what_trying_everything_takes(
    blocks: list[tuple[int, int]], goal: str, turn: str
) -> None:
    """Value, proof and spots agree with trying all places in all boxes."""
    found = least_box(blocks, turn=turn, objective=goal, budget_s=PATIENT_S)  # type: ignore[arg-type]  # by test
    ways = [[(w, h, 1)] if turn == "fixed" else [(w, h, 1), (h, w, 1)] for w, h in blocks]
    assert found.proven
    assert found.gap == 0.0
    assert found.value == found.bound == least_by_trying(ways, goal, 2)
    assert holds(found)


@settings(deadline=None, max_examples=25)
@given(
    st.lists(st.tuples(*[st.integers(1, 3)] * 3), min_size=1, max_size=3),
    st.sampled_from(GOALS),
    st.sampled_from(["fixed", "any"]),
)
def test_blocks_take_what_trying_everything_takes(
    blocks: list[tuple[int, int, int]], goal: str, turn: str
) -> None:
    """The same in space, as given and with all six orientations."""
    found = least_box(blocks, turn=turn, objective=goal, budget_s=PATIENT_S)  # type: ignore[arg-type]  # by test
    ways = [[b] if turn == "fixed" else sorted(set(itertools.permutations(b))) for b in blocks]
    assert found.proven
    assert found.value == least_by_trying(ways, goal, 3)
    assert holds(found)


@settings(deadline=None, max_examples=25)
@given(st.lists(st.tuples(*[st.integers(40, 200)] * 3), min_size=2, max_size=5), st.booleans())
def test_boxes_in_millimetres_are_proven_whatever_their_order(
    blocks: list[tuple[int, int, int]], quarter: bool
) -> None:
    """Order does not matter; more turns never cost anything; the volume is never below the sum."""
    turn = "quarter" if quarter else "any"
    found = least_box(blocks, turn=turn, budget_s=PATIENT_S)  # type: ignore[arg-type]  # by test
    assert found.proven
    assert holds(found)
    assert least_box(blocks[::-1], turn=turn, budget_s=PATIENT_S).value == found.value  # type: ignore[arg-type]  # by test
    assert least_box(blocks, turn="fixed", budget_s=PATIENT_S).value >= found.value
    assert found.value >= sum(a * b * c for a, b, c in blocks)


def test_the_grid_is_the_sides_common_measure() -> None:
    """Sides in tenths are proven on tenths, and scale the answer exactly."""
    found = least_box([(0.1, 0.1), (0.2, 0.2), (0.3, 0.3)], budget_s=PATIENT_S)
    assert found.grid_mm == 0.1
    assert found.value == pytest.approx(0.15)
    assert found.proven
    assert least_box([(50, 20), (30, 10)], budget_s=PATIENT_S).grid_mm == 10.0


def test_limits_are_kept() -> None:
    """A greatest width makes the box longer; the least plan under a greatest height stacks."""
    squares = [(i, i) for i in range(1, 6)]
    assert least_box(squares, budget_s=PATIENT_S).value == 60
    tight = least_box(squares, at_most_mm=(100, 5), budget_s=PATIENT_S)
    assert tight.sides_mm[1] <= 5
    assert tight.proven
    blocks = [(40, 30, 20)] * 4
    stacked = least_box(blocks, objective="plan", at_most_mm=(500, 500, 45), budget_s=PATIENT_S)
    assert stacked.value == 2 * 40 * 30
    assert stacked.proven
    assert (
        least_box(blocks, objective="plan", at_most_mm=(500, 500, 80), budget_s=PATIENT_S).value
        == 40 * 30
    )


@pytest.mark.parametrize(
    ("blocks", "more", "word"),
    [
        ([], {}, "two sides each"),
        ([(1, 2), (1, 2, 3)], {}, "two sides each"),
        ([(1,)], {}, "two sides each"),
        ([(1, 0)], {}, "above 0"),
        ([(1, float("nan"))], {}, "above 0"),
        ([(1, 2)], {"turn": ["any", "any"]}, "one for each"),
        ([(1, 2, 3)], {"objective": "plan"}, "greatest height"),
        ([(1000.000001, 2)], {}, "too fine"),
        ([(4, 4, 4), (4, 4, 4)], {"at_most_mm": (5, 5, 5)}, "limits"),
    ],
)
def test_what_cannot_be_asked_is_refused(
    blocks: list[tuple[float, ...]], more: dict[str, object], word: str
) -> None:
    """Each misuse is told in words."""
    with pytest.raises(ValueError, match=word):
        least_box(blocks, **more)  # type: ignore[arg-type]  # passed on


def test_a_search_can_be_stopped_at_once() -> None:
    """Cancelled in the middle of a long refutation, it comes back with its best and a bound."""
    hard = [(i, i) for i in range(1, 28)]
    asked: list[float] = []

    def cancelled() -> bool:
        asked.append(time.monotonic())
        return len(asked) > 8

    found = least_box(hard, budget_s=600.0, cancelled=cancelled)
    # 0.06 s at rest; the refutation itself would take hours
    assert time.monotonic() - asked[-1] < 1.0
    assert not found.proven
    assert holds(found)
    assert sum(i * i for i in range(1, 28)) <= found.bound < found.value
    assert found.gap == pytest.approx(1 - found.bound / found.value)


def test_without_a_clock_the_way_is_always_the_same() -> None:
    """Repeatable twice: the same spots, not only the same value."""
    blocks = [(81, 60, 44), (120, 75, 52), (66, 51, 40), (140, 90, 60), (100, 43, 41)]
    one, two = (least_box(blocks, turn="any", repeatable=True) for _ in range(2))
    assert one.proven
    assert (one.value, one.spots_mm, one.blocks_mm) == (two.value, two.spots_mm, two.blocks_mm)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(*[st.integers(1, 30)] * 3), min_size=1, max_size=8),
    st.sampled_from(GOALS),
)
def test_the_first_bound_holds_for_any_box_that_could(
    blocks: list[tuple[int, int, int]], goal: str
) -> None:
    """No box with room for the blocks' volume and each block has a lower objective."""
    task, _ = task_of(blocks, turn="any", objective=goal, at_most_mm=None)  # type: ignore[arg-type]  # by test
    bound = least_value(task)
    longest = [max(min(way[d] for way in block) for block in task.ways) for d in range(3)]
    for stretch in itertools.product((1, 1.3, 2), repeat=2):
        x, y = (max(longest[d], round(longest[d] * stretch[d])) for d in range(2))
        z = max(longest[2], -(-task.volume // (x * y)))
        assert task.value((x, y, z)) >= bound
