"""Moving by hand, and the interior that follows."""

from __future__ import annotations

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import hand_plan
from fitkit.fit.layout import Interior
from fitkit.fit.move import (
    PlanBox,
    allowed_turn,
    by_hand,
    find,
    following_box,
    move_reach,
    plan_box,
    settled,
    shifted_to,
    turned_to,
)
from fitkit.fit.validate import violations

PAYLOAD = hand_plan.payload()
PLAN = hand_plan.plan()
LAID = hand_plan.placements()
FLOAT, RECORDER = ("float", 1), ("recorder", 1)


def wall_faults(interior: Interior, placements) -> list[str]:
    """What the independent layout check says of the walls."""
    found = violations(PAYLOAD, interior=interior, placements=placements)
    return [str(one) for one in found if one.kind in ("wall", "inside")]


def test_hand_plan_keeps_every_promise() -> None:
    """The plan that these tests start from is valid, and its interior is the one that follows."""
    assert violations(PAYLOAD, interior=PLAN.fit.interior, placements=LAID) == ()
    box = following_box(PAYLOAD, PLAN.fit.interior, LAID)
    assert (box.x0_mm, box.y0_mm) == pytest.approx((0.0, 0.0), abs=0.01)
    assert box.size_mm == pytest.approx((480.0, 300.0), abs=0.01)


@settings(max_examples=25, deadline=None)
@given(
    x=st.floats(-200.0, 600.0),
    y=st.floats(-200.0, 500.0),
    corner=st.sampled_from([0.0, 12.0, 45.0, 90.0]),
    draft=st.sampled_from([0.0, 4.0]),
)
def test_the_interior_follows_the_items_and_is_least(x, y, corner, draft) -> None:
    """The box that follows keeps the walls' clearance, and no side of it can come in further."""
    interior = evolve(PLAN.fit.interior, corner_mm=corner, draft_deg=draft)
    placed = shifted_to(LAID, FLOAT, x_mm=x, y_mm=y)
    box = following_box(PAYLOAD, interior, placed)
    assert wall_faults(*settled(interior, placed, box)) == []
    if corner > PAYLOAD.case.clearance.wall_mm:
        return  # a rounded corner that decides moves both its sides: either alone could stay
    for side, by in (("x0_mm", 0.2), ("y0_mm", 0.2), ("x1_mm", -0.2), ("y1_mm", -0.2)):
        less = evolve(box, **{side: getattr(box, side) + by})
        assert wall_faults(*settled(interior, placed, less)) != []


@settings(max_examples=25, deadline=None)
@given(turn=st.floats(-720.0, 720.0))
def test_turning_keeps_the_middle_where_it_is(turn: float) -> None:
    """A turned item stays about the middle of its box."""
    before = plan_box(PAYLOAD, find(LAID, FLOAT)).centre_mm
    after = turned_to(PAYLOAD, LAID, FLOAT, turn_deg=turn)
    assert plan_box(PAYLOAD, find(after, FLOAT)).centre_mm == pytest.approx(before, abs=1e-6)


@given(
    kind=st.sampled_from(["free", "quarter", "half", "fixed"]),
    start=st.sampled_from([0.0, 30.0, 90.0, 180.0]),
    wanted=st.floats(-1000.0, 1000.0),
)
def test_only_allowed_turns_are_taken(kind, start, wanted) -> None:
    """The turn taken is a whole number of the item's steps from where it stood."""
    step = {"free": None, "quarter": 90.0, "half": 180.0, "fixed": 360.0}[kind]
    taken = allowed_turn(kind, from_deg=start, to_deg=wanted)
    assert 0.0 <= taken < 360.0 + 1e-9
    if step is None:
        assert (taken - wanted) % 360.0 == pytest.approx(0.0, abs=1e-6) or (
            (taken - wanted) % 360.0 == pytest.approx(360.0, abs=1e-6)
        )
    else:
        assert ((taken - start) / step) % 1.0 == pytest.approx(0.0, abs=1e-9)


def test_a_quarter_turn_swaps_the_sides() -> None:
    """Length and width of a turned item change places."""
    after = turned_to(PAYLOAD, LAID, RECORDER, turn_deg=80.0)
    assert find(after, RECORDER).turn_deg == 90.0
    assert plan_box(PAYLOAD, find(after, RECORDER)).size_mm == pytest.approx((148.0, 212.0))


def test_moving_edits_nothing() -> None:
    """The layout that was moved from is as it was; all other items stay where they are."""
    before = hand_plan.placements()
    after = shifted_to(before, FLOAT, x_mm=1.0, y_mm=2.0)
    assert before == hand_plan.placements()
    assert [p for p in after if p.item != "float"] == [p for p in before if p.item != "float"]
    with pytest.raises(KeyError):
        shifted_to(before, ("float", 3), x_mm=0.0, y_mm=0.0)


def test_a_fit_by_hand_counts_its_own_interior() -> None:
    """Value and gap are those of the new interior; a larger one is not proven."""
    proven = evolve(PLAN.fit, proven=True, gap=0.0, bound=PLAN.fit.value)
    larger = evolve(PLAN.fit.interior, length_mm=600.0)
    fit = by_hand(proven, interior=larger, placements=LAID)
    assert fit.value == pytest.approx(600.0 * 300.0 * 170.0)
    assert fit.gap == pytest.approx(1 - 480.0 / 600.0)
    assert not fit.proven
    assert by_hand(proven, interior=PLAN.fit.interior, placements=LAID).proven


def test_the_reach_of_the_sliders_holds_the_item() -> None:
    """However far out an item is, its own place is within the sliders' reach."""
    placed = shifted_to(LAID, FLOAT, x_mm=-900.0, y_mm=900.0)
    box = following_box(PAYLOAD, PLAN.fit.interior, LAID)
    reach = move_reach(placed, FLOAT, box)
    assert reach.x0_mm <= -900.0 <= reach.x1_mm
    assert reach.y0_mm <= 900.0 <= reach.y1_mm


def test_a_ready_made_case_follows_nothing() -> None:
    """The walls of a case that was bought stay where they are, wherever an item is put."""
    bought = evolve(PLAN.fit.interior, floors_mm=((460.0, 280.0), (470.0, 290.0)))
    for x_mm in (-300.0, 20.0, 900.0):
        moved = shifted_to(LAID, RECORDER, x_mm=x_mm, y_mm=20.0)
        box = following_box(PAYLOAD, bought, moved)
        assert box == PlanBox(0.0, 0.0, bought.length_mm, bought.width_mm)
        assert settled(bought, moved, box) == (bought, moved)
