"""Moving by hand, and the interior that follows."""

from __future__ import annotations

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

import hand_plan
from fitkit.errors import BadInput
from fitkit.fit.assign import lift_of
from fitkit.fit.layout import HalfName, Interior, Placement
from fitkit.fit.move import (
    PlanBox,
    allowed_turn,
    by_hand,
    find,
    following_box,
    may_turn_over,
    move_reach,
    moved_together,
    own_pose,
    piece_of,
    plan_box,
    posed_as,
    settled,
    shifted_to,
    turned_over,
    turned_to,
)
from fitkit.fit.place import place
from fitkit.fit.validate import pose_faults, violations
from fitkit.payload.model import (
    FACES,
    Body,
    CaseWishes,
    Face,
    FoamWishes,
    Item,
    Payload,
    Section,
    Zone,
)
from fitkit.payload.pose import flipped

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


@given(x=st.floats(-200.0, 600.0), y=st.floats(-200.0, 500.0))
def test_several_move_together(x: float, y: float) -> None:
    """The lead stands exactly where it was put, the chosen as far from it as before."""
    keys = [FLOAT, RECORDER]
    after = moved_together(LAID, keys, lead=FLOAT, x_mm=x, y_mm=y)
    lead, was = find(after, FLOAT), find(LAID, FLOAT)
    assert (lead.x_mm, lead.y_mm) == (x, y)
    for key in keys:
        now, before = find(after, key), find(LAID, key)
        assert now.x_mm - lead.x_mm == pytest.approx(before.x_mm - was.x_mm, abs=1e-9)
        assert now.y_mm - lead.y_mm == pytest.approx(before.y_mm - was.y_mm, abs=1e-9)
        assert evolve(now, x_mm=0.0, y_mm=0.0) == evolve(before, x_mm=0.0, y_mm=0.0)
    rest = [p for p in LAID if p.item not in ("float", "recorder")]
    assert [p for p in after if p in rest] == rest
    assert find(after, ("float", 2)) == find(LAID, ("float", 2))
    with pytest.raises(KeyError):
        moved_together(LAID, [("float", 9)], lead=FLOAT, x_mm=0.0, y_mm=0.0)


LOPSIDED = Item(
    "clamp",
    Body(
        (
            Section(Polygon([(0, 0), (80, 0), (80, 20), (20, 30), (0, 50)]), 0.0, 30.0),
            Section(Polygon([(0, 0), (20, 0), (20, 20), (0, 20)]), 30.0, 45.0),
        )
    ),
    up=FACES,
    turn="free",
    zones=(Zone("connector", "top", (10.0, 10.0), (8.0, 8.0), 12.0),),
)


def clamp_kit(**changes: object) -> Payload:
    """A clamp with a connector on top, on sheets of 10 mm."""
    item = evolve(LOPSIDED, **changes)  # type: ignore[arg-type]  # passed on
    case = CaseWishes(tiers=2, half="any")
    return Payload("kit", (item,), case=case, foam=FoamWishes(sheets_mm=(10.0,)))


def clamp_at(up: Face, turn_deg: float, *, half: HalfName = "deep") -> tuple[Placement, ...]:
    """The clamp in a pose, its floor 25 mm from that of its half in a room of 200."""
    payload = clamp_kit()
    here = Placement("clamp", 1, half, 1, up, turn_deg, 100.0, 60.0, 0.0)
    piece = piece_of(payload, here)
    own = 25.0 + lift_of(payload, piece)
    z_mm = own if half == "deep" else 200.0 - own - piece.solid.height_mm
    return (evolve(here, z_mm=z_mm),)


def own_floor_mm(payload: Payload, placement: Placement) -> float:
    """The height above its half's floor of the level that an item stands on."""
    one = place(payload.item(placement.item), placement)
    own = one.z0_mm if placement.half == "deep" else 200.0 - one.z1_mm
    return own - lift_of(payload, piece_of(payload, placement))


@settings(max_examples=40, deadline=None)
@given(
    up=st.sampled_from(FACES),
    turn_deg=st.sampled_from([0.0, 90.0, 180.0, 270.0, 33.0]),
    half=st.sampled_from(["deep", "shallow"]),
)
def test_turned_over_the_outline_is_mirrored_in_its_box(up, turn_deg, half) -> None:
    """The mirror image of the outline, in the same box, on the same floor; twice is as before."""
    payload, laid = clamp_kit(), clamp_at(up, turn_deg, half=half)
    over = turned_over(payload, laid, ("clamp", 1))
    before, after = place(LOPSIDED, laid[0]).silhouette, place(LOPSIDED, over[0]).silhouette
    assert after.bounds == pytest.approx(before.bounds, abs=1e-6)
    assert over[0].up == flipped(up, 0.0)[0]
    middle = (before.bounds[1] + before.bounds[3]) / 2
    mirrored = shapely.transform(before, lambda xy: xy * (1, -1) + (0, 2 * middle))
    # a body stood on its side is cut into bands from below: up to 2 mm of rounding
    assert after.symmetric_difference(mirrored).area <= 2.0 * before.length
    if up in ("top", "bottom"):
        assert after.symmetric_difference(mirrored).area <= 1e-6
    assert own_floor_mm(payload, over[0]) == pytest.approx(25.0, abs=1e-6)
    (again,) = turned_over(payload, over, ("clamp", 1))
    assert evolve(again, x_mm=0, y_mm=0, z_mm=0) == evolve(laid[0], x_mm=0, y_mm=0, z_mm=0)
    here = (laid[0].x_mm, laid[0].y_mm, laid[0].z_mm)
    assert (again.x_mm, again.y_mm, again.z_mm) == pytest.approx(here, abs=1e-6)


@pytest.mark.parametrize("half", ["deep", "shallow"])
@pytest.mark.parametrize("turn", ["fixed", "half", "quarter"])
@pytest.mark.parametrize("up", FACES)
def test_turned_over_an_item_keeps_to_the_turns_it_may_have(half, turn, up) -> None:
    """However it may turn, turned over it stands in a pose that its sheet allows."""
    payload = clamp_kit(turn=turn)
    closed = flipped(up, 0.0) if half == "shallow" else (up, 0.0)
    (over,) = turned_over(payload, clamp_at(*closed, half=half), ("clamp", 1))
    assert pose_faults(place(payload.item("clamp"), over)) == []


def test_an_item_is_turned_over_only_where_its_sheet_allows_it() -> None:
    """What lies below is judged by the item's own faces, in the shallow half too."""
    only_top = clamp_kit(up=("top",))
    item = only_top.item("clamp")
    assert not may_turn_over(item, "top", half="deep")
    assert not may_turn_over(item, "bottom", half="shallow")
    with pytest.raises(BadInput, match="bottom may not look up"):
        turned_over(only_top, clamp_at("top", 0.0), ("clamp", 1))
    with pytest.raises(BadInput, match="left may not look up"):
        posed_as(only_top, clamp_at("top", 0.0), ("clamp", 1), up="left")
    both = clamp_kit(up=("top", "bottom")).item("clamp")
    assert may_turn_over(both, "top", half="deep")
    assert may_turn_over(both, "top", half="shallow")


@pytest.mark.parametrize("half", ["deep", "shallow"])
@pytest.mark.parametrize("up", FACES)
def test_stood_on_another_face_it_keeps_its_middle_its_turn_and_its_floor(half, up) -> None:
    """The face asked for looks out of the half; zones below raise it by whole sheets."""
    payload = clamp_kit()
    start = flipped("top", 90.0) if half == "shallow" else ("top", 90.0)
    laid = clamp_at(*start, half=half)
    stood = posed_as(payload, laid, ("clamp", 1), up=up)
    assert own_pose(stood[0]) == (up, 90.0)
    before, after = plan_box(payload, laid[0]), plan_box(payload, stood[0])
    assert after.centre_mm == pytest.approx(before.centre_mm, abs=1e-6)
    assert own_floor_mm(payload, stood[0]) == pytest.approx(25.0, abs=1e-6)
    if up == "bottom":  # it stands on a plug of 12 mm: two sheets
        assert lift_of(payload, piece_of(payload, stood[0])) == 20.0
