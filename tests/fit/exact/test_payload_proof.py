"""Proofs for payloads of upright rectangles: candidate boxes, their values, and when it applies."""

from __future__ import annotations

import time

from hypothesis import given, settings
from hypothesis import strategies as st

from every_place import tried
from fitkit.fit.assign import problem_of
from fitkit.fit.exact import boxes, rectangles_of
from fitkit.fit.exact.crew import Crew
from fitkit.fit.exact.frontier import Frontier, outermost
from fitkit.fit.exact.planes import Box, boxes_in_order
from fitkit.fit.exact.task import Task
from fitkit.fit.search import smallest
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, CaseWishes, Clearance, Item, Payload, Section


def kit(sizes: list[tuple[float, float]], objective: str = "plan", **clear: float) -> Payload:
    """Blocks of the given sizes in plan, 30 mm high."""
    kinds = tuple(
        Item(f"block {k}", Body((Section(rectangle(float(w), float(h)), 0.0, 30.0),)))
        for k, (w, h) in enumerate(sizes)
    )
    wishes = CaseWishes(objective=objective, clearance=Clearance(**clear))  # type: ignore[arg-type]  # passed on
    return Payload("blocks", kinds, case=wishes)


FIVE = [(120.0, 80.0), (90.0, 60.0), (70.0, 50.0), (60.0, 40.0), (50.0, 30.0)]


def test_candidate_boxes_come_in_order_and_none_is_left_out() -> None:
    """All pairs of side sums within the limit are there, least area first (checked by counting)."""
    problem = problem_of(kit(FIVE, item_mm=0.0, wall_mm=0.0), objective="plan", pins={})
    rectangles = rectangles_of(problem)
    assert rectangles is not None
    found = boxes(problem, rectangles, below=25000.0)
    assert found is not None
    values = [box.value for box in found]
    assert values == sorted(values)
    sums = {0}
    for w, h in rectangles.sides:
        sums |= {s + w for s in sums} | {s + h for s in sums}
    area = sum(w * h for w, h in rectangles.sides)
    wanted = {
        (a, b)
        for a in sums
        for b in sums
        if a >= b >= 8000 and a >= 12000 and area <= a * b < 25000 * 100**2
    }
    assert {(box.length, box.width) for box in found} == wanted


def test_a_proof_is_not_claimed_where_it_does_not_apply() -> None:
    """Webs, free turns, round outlines and zones are all beyond the proof for rectangles."""
    assert rectangles_of(problem_of(kit(FIVE, item_mm=5.0), objective="plan", pins={})) is None
    can = Item("can", Body((Section(circle(20.0, at=(20.0, 20.0)), 0.0, 30.0),)))
    cans = Payload("cans", (can,), case=CaseWishes(clearance=Clearance(item_mm=0.0)))
    assert rectangles_of(problem_of(cans, objective="plan", pins={})) is None


def test_long_odd_sides_are_proven_on_the_grid_of_interiors() -> None:
    """Blocks with sides in odd millimetres, walls of foam around: proven, named with its grid."""
    sizes = [(197.0, 131.0), (173.0, 97.0), (151.0, 113.0), (89.0, 71.0), (67.0, 53.0)]
    fit = smallest(kit(sizes, item_mm=0.0, wall_mm=12.0), budget_s=30.0)
    assert fit.proven
    assert fit.bound == fit.value
    assert fit.bound_name in (
        "boxes refuted one by one, on a grid of 1 mm",
        "areas and longest sides",
    )


def test_boxes_of_a_plane_are_all_there_in_order() -> None:
    """Against counting: every pair of sums that has the area, least first, longer side first."""
    task = Task(
        tuple(((w, h, 1), (h, w, 1)) for w, h in [(4, 2), (3, 1), (5, 2)]), "volume", 2, (50, 50, 1)
    )
    found = list(boxes_in_order(task, 60))
    assert [box[0] for box in found] == sorted(box[0] for box in found)
    sums = {0}
    for w, h in [(4, 2), (3, 1), (5, 2)]:
        sums |= {s + w for s in sums} | {s + h for s in sums}
    wanted = {
        (a * b, a, b) for a in sums for b in sums if a >= b >= 2 and a >= 5 and 21 <= a * b < 60
    }
    assert set(found) == wanted


rectangles_at_random = st.lists(
    st.tuples(st.integers(1, 4), st.integers(1, 4)), min_size=1, max_size=4
)


@settings(deadline=None, max_examples=30)
@given(rectangles_at_random)
def test_refuting_from_the_outside_finds_the_least(sides: list[tuple[int, int]]) -> None:
    """The same least area as trying every place in every box, and the bound ends there."""
    ways = tuple(((w, h, 1), (h, w, 1)) if w != h else ((w, h, 1),) for w, h in sides)
    task = Task(ways, "volume", 2, (40, 40, 1))
    value = 400
    order = list(boxes_in_order(task, value))
    best: float = value
    with Crew(size=2) as crew:
        for news in Frontier(ways, order, value, 0).run(crew):
            best = min(best, news.value or best)
            assert news.bound <= best
    assert news.done
    assert news.bound == best
    assert best == next(a for a, x, y in order if tried(ways, (x, y, 1)))


@given(st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9)), min_size=1, max_size=12))
def test_outermost_boxes_cover_all_and_no_other(pairs: list[tuple[int, int]]) -> None:
    """Every box lies in one that is kept; no kept box lies in another kept one."""
    given_boxes: list[Box] = [(x * y, x, y) for x, y in pairs]
    kept = outermost(given_boxes)
    for _, x, y in given_boxes:
        assert any(x <= a and y <= b for _, a, b in kept)
    for one in kept:
        assert sum(one[1] <= a and one[2] <= b for _, a, b in kept) == 1


def test_a_cancel_in_the_proof_takes_effect_at_once() -> None:
    """Cancelled while boxes are refuted, the search is back with its best."""
    payload = kit([(7.0 * i, 7.0 * i) for i in range(5, 25)], item_mm=0.0, wall_mm=0.0)
    seen: list[float] = []
    stages: list[str] = []

    def cancelled() -> bool:
        if stages and stages[-1] == "proof":
            seen.append(time.monotonic())
        return len(seen) >= 6

    fit = smallest(
        payload,
        budget_s=60.0,
        progress=lambda now: stages.append(now.stage),
        cancelled=cancelled,
    )
    assert seen
    # 0.1 s at rest; the refutation itself would take a minute
    assert time.monotonic() - seen[-1] < 1.0
    assert fit.interrupted
    assert not fit.proven
    assert fit.bound <= fit.value
