"""Gaps, their witness lines, and the way out of a place that is too tight."""

from __future__ import annotations

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import hand_plan
from fitkit.fit.gaps import WAYS, failing_gaps, gaps_of, way_out
from fitkit.fit.move import following_box, shifted_to, turned_to
from fitkit.fit.place import place_all
from fitkit.fit.validate import violations

RECORDER, HYDROPHONES = ("recorder", 1), ("hydrophone box", 1)
FLOAT_1, FLOAT_2, CALIBRATOR = ("float", 1), ("float", 2), ("calibrator", 1)
PAYLOAD = hand_plan.payload()
LAID = hand_plan.placements()
BOX = following_box(PAYLOAD, hand_plan.plan().fit.interior, LAID)


def gap_between(placements, key, other):
    """The gap between two bodies, whoever stands between them."""
    gaps = gaps_of(PAYLOAD, placements, key, box=BOX, most=50)
    return next(gap for gap in gaps if gap.right == other and gap.kind != "zone")


def test_gap_between_two_rectangles_is_that_of_a_ruler() -> None:
    """The witness of two facing sides is straight across, in the middle of what they share."""
    gap = gap_between(LAID, RECORDER, HYDROPHONES)
    assert gap.gap_mm == pytest.approx(197.0 - 168.0, abs=1e-9)
    assert gap.a_mm == pytest.approx((84.0, 168.0), abs=0.02)
    assert gap.b_mm == pytest.approx((84.0, 197.0), abs=0.02)
    assert gap.verdict == "ok"


def test_gap_between_two_discs_is_centre_distance_less_radii() -> None:
    """81 mm between the centres of two discs of radius 33 leaves 15 mm, within the drawn curve."""
    gap = gap_between(LAID, FLOAT_1, FLOAT_2)
    assert gap.gap_mm == pytest.approx(81.0 - 66.0, abs=0.01)


@pytest.mark.parametrize(
    ("off_mm", "uncertainty_mm", "verdict"),
    [(0.0, 0.0, "ok"), (0.0, 0.5, "tight"), (1.1, 0.5, "ok"), (-0.05, 0.0, "fails")],
)
def test_verdict_counts_the_uncertainty_of_both_items(off_mm, uncertainty_mm, verdict) -> None:
    """A gap at its limit holds; it is tight once both measurements may be off."""
    payload = evolve(
        PAYLOAD,
        items=tuple(evolve(item, uncertainty_mm=uncertainty_mm) for item in PAYLOAD.items),
    )
    placed = shifted_to(LAID, FLOAT_2, x_mm=394.0, y_mm=101.0 + off_mm)
    gaps = gaps_of(payload, placed, FLOAT_1, box=BOX, most=50)
    assert next(gap for gap in gaps if gap.right == FLOAT_2).verdict == verdict


def test_a_gap_behind_another_item_is_not_shown() -> None:
    """No witness line of a gap that holds crosses a third item."""
    placed = {p.label: p.solid.silhouette for p in place_all(PAYLOAD, LAID)}
    for key in (RECORDER, HYDROPHONES, FLOAT_1, CALIBRATOR):
        for gap in gaps_of(PAYLOAD, LAID, key, box=BOX, most=50):
            line = shapely.LineString([gap.a_mm, gap.b_mm])
            third = [shape for name, shape in placed.items() if name not in (*gap.names, "pouch")]
            assert not any(shape.intersects(line) for shape in third)


def test_a_body_in_a_connector_zone_fails() -> None:
    """An item put into another's connector zone is found, from either end."""
    placed = shifted_to(LAID, CALIBRATOR, x_mm=150.0, y_mm=190.0)
    for key in (CALIBRATOR, RECORDER):
        zones = [g for g in gaps_of(PAYLOAD, placed, key, box=BOX) if g.kind == "zone"]
        assert [gap.verdict for gap in zones] == ["fails"]
        assert zones[0].overlaps


@settings(max_examples=25, deadline=None)
@given(x=st.floats(-50.0, 500.0), y=st.floats(-50.0, 300.0))
def test_failing_gaps_and_the_layout_check_agree(x: float, y: float) -> None:
    """Wherever an item is put, gaps fail exactly where the independent layout check says so."""
    placed = shifted_to(LAID, FLOAT_1, x_mm=x, y_mm=y)
    found = failing_gaps(PAYLOAD, placed)
    interior = evolve(hand_plan.plan().fit.interior, length_mm=5000.0, width_mm=5000.0)
    away = tuple(evolve(p, x_mm=p.x_mm + 500.0, y_mm=p.y_mm + 500.0) for p in placed)
    broken = violations(PAYLOAD, interior=interior, placements=away)
    # within a hundredth of a millimetre of the limit either answer is right
    clear = [v for v in broken if v.value_mm < v.limit_mm - 0.02]
    assert len(clear) <= len(found) <= len(broken)


@settings(max_examples=15, deadline=None)
@given(x=st.floats(0.0, 450.0), y=st.floats(0.0, 260.0), turn=st.sampled_from([0.0, 90.0]))
def test_the_way_out_clears_the_item_and_no_shorter_way_does(
    x: float, y: float, turn: float
) -> None:
    """After the move nothing of the item fails; half a millimetre less would not have done."""
    placed = turned_to(PAYLOAD, LAID, CALIBRATOR, turn_deg=turn)
    placed = shifted_to(placed, CALIBRATOR, x_mm=x, y_mm=y)
    way = way_out(PAYLOAD, placed, CALIBRATOR)

    def fails(by_mm: float) -> bool:
        dx, dy = WAYS[way.way]
        moved = shifted_to(placed, CALIBRATOR, x_mm=x + dx * by_mm, y_mm=y + dy * by_mm)
        return any(CALIBRATOR in (gap.left, gap.right) for gap in failing_gaps(PAYLOAD, moved))

    if way is None:
        assert not any(CALIBRATOR in (gap.left, gap.right) for gap in failing_gaps(PAYLOAD, placed))
    else:
        assert not fails(way.by_mm)
        assert fails(max(0.0, way.by_mm - 0.5))


def test_the_way_out_of_a_plain_overlap_is_worked_out_by_hand() -> None:
    """Float 2 pushed 6.9 mm towards float 1 goes 6.9 mm back, as on the drawing board."""
    placed = shifted_to(LAID, FLOAT_2, x_mm=394.0, y_mm=101.0 - 6.9)
    way = way_out(PAYLOAD, placed, FLOAT_2)
    assert (way.way, way.by_mm) == ("back", pytest.approx(6.9, abs=0.051))


def test_where_no_web_is_asked_for_overlapping_still_fails() -> None:
    """With a clearance of 0 items may touch; sharing room is marked all the same."""
    clear = evolve(PAYLOAD.case.clearance, item_mm=0.0)
    payload = evolve(PAYLOAD, case=evolve(PAYLOAD.case, clearance=clear))
    touching = shifted_to(LAID, CALIBRATOR, x_mm=20.0 + 128.0, y_mm=216.0)
    assert failing_gaps(payload, touching) == ()
    (gap,) = failing_gaps(payload, shifted_to(LAID, CALIBRATOR, x_mm=145.0, y_mm=216.0))
    assert gap.overlaps
    assert gap.kind == "item"
    assert {gap.left, gap.right} == {HYDROPHONES, CALIBRATOR}
