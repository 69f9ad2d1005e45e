"""Distances between items and to the panels, judged on layouts by hand."""

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from checks.kit import at, block, stages
from fitkit.checks.clearances import (
    between_items,
    items_above_each_other,
    to_floor,
    to_lid,
    to_walls,
    wall_gap_mm,
)
from fitkit.fit.layout import Interior, Placement
from fitkit.fit.validate import violations
from fitkit.payload.model import CaseWishes


def test_a_kept_clearance_is_ok_and_says_how_much() -> None:
    """Two blocks 15.0 apart with 15 asked for: one finding, ok, margin 0."""
    (finding,) = between_items(stages())
    assert (finding.verdict, finding.value, finding.limit, finding.margin) == ("ok", 15.0, 15.0, 0)


def test_too_close_says_which_way_and_how_far() -> None:
    """8.1 apart with 15 asked for fails, and the note moves one block by the missing 6.9 mm."""
    looked = stages(at("recorder", 20.0, 20.0), at("probe", 88.1, 20.0))
    (finding,) = between_items(looked)
    assert finding.verdict == "fails"
    assert finding.margin == pytest.approx(-6.9)
    assert "move probe by 6.9 mm to the right" in finding.note


def test_the_move_that_the_note_asks_for_mends_it() -> None:
    """After the move of 6.9 mm to the right nothing fails between the two."""
    mended = stages(at("recorder", 20.0, 20.0), at("probe", 88.1 + 6.9, 20.0))
    assert [finding.verdict for finding in between_items(mended)] == ["ok"]


def test_a_measured_uncertainty_makes_it_tight() -> None:
    """15.5 apart holds for sure only if both are off by less than 0.5 together."""
    apart = (at("recorder", 20.0, 20.0), at("probe", 95.5, 20.0))
    sure = (block("recorder", uncertainty_mm=0.2), block("probe", uncertainty_mm=0.2))
    unsure = (block("recorder", uncertainty_mm=0.4), block("probe", uncertainty_mm=0.2))
    assert between_items(stages(*apart, items=sure))[0].verdict == "ok"
    assert between_items(stages(*apart, items=unsure))[0].verdict == "tight"


def test_overlapping_items_fail() -> None:
    """Two blocks in the same place fail with a gap of 0."""
    (finding,) = between_items(stages(at("recorder", 20.0, 20.0), at("probe", 30.0, 30.0)))
    assert (finding.verdict, finding.value) == ("fails", 0.0)


@given(st.floats(20.0, 120.0), st.floats(20.0, 60.0))
def test_wall_gap_is_the_least_of_the_four(x: float, y: float) -> None:
    """Of a block at (x, y) the wall gap is the least distance to the four sides of the room."""
    looked = stages(at("recorder", x, y), items=(block("recorder"),))
    expected = min(x, y, 200.0 - 60.0 - x, 120.0 - 40.0 - y)
    assert wall_gap_mm(looked.placed[0], looked) == pytest.approx(expected)


def test_too_near_a_wall_says_which_way() -> None:
    """12 from the left wall with 20 asked for: move it by 8 mm to the right."""
    (finding,) = to_walls(stages(at("recorder", 12.0, 40.0), items=(block("recorder"),)))
    assert finding.verdict == "fails"
    assert finding.note == "Move recorder by 8.0 mm to the right."


def test_a_body_through_the_wall_has_a_negative_gap() -> None:
    """A block that stands 5 mm through the wall is 5 mm short of touching it."""
    looked = stages(at("recorder", -5.0, 40.0), items=(block("recorder"),))
    assert wall_gap_mm(looked.placed[0], looked) == pytest.approx(-5.0)


def test_a_draft_narrows_the_room_at_the_floor() -> None:
    """With walls that lean by 3 degrees the gap is measured where the room is narrowest."""
    looked = stages()
    room = looked.interior
    drafted = evolve(
        looked, fit=evolve(looked.fit, interior=Interior(200.0, 120.0, room.halves, 0.0, 3.0))
    )
    gap = wall_gap_mm(drafted.placed[0], drafted)
    # 45 mm below the closing plane the wall has come in by 45 tan 3 degrees = 2.358
    assert gap == pytest.approx(20.0 - 2.3584, abs=1e-3)


def test_floor_and_lid() -> None:
    """A block at 20 over the floor (25 asked for) and one 8 under the lid (15 asked for) fail."""
    low = to_floor(stages(at("recorder", 20, 20, 20.0), at("probe", 95, 20)))
    assert [(one.subject, one.verdict) for one in low] == [("recorder", "fails"), ("probe", "ok")]
    high = stages(at("recorder", 20, 20, 25.0), items=(block("recorder", height_mm=87.0),))
    (finding,) = to_lid(high)
    assert (finding.verdict, finding.value) == ("fails", 8.0)
    assert "7.0 mm deeper" in finding.note


def test_in_a_pair_the_lid_is_the_closing_plane() -> None:
    """In a pair an item ends below the closing plane by the lid clearance, in both halves."""
    pair = CaseWishes(form="pair")
    deep = stages(items=(block("recorder", height_mm=30.0), block("probe")), case=pair)
    assert [(one.subject, one.value) for one in to_lid(deep) if one.verdict == "fails"] == [
        ("probe", 0.0)
    ]
    flipped = Placement("probe", 1, "shallow", 1, "bottom", 0.0, 20.0, 20.0, 82.0)
    looked = stages(flipped, items=(block("probe", height_mm=13.0),), case=pair)
    (finding,) = to_lid(looked)
    assert (finding.check, finding.verdict, finding.value) == ("recess", "fails", 12.0)


def test_the_pad_between_tiers() -> None:
    """9 mm of pad between two items above each other fails against 10."""
    one, other = block("recorder", height_mm=20.0), block("probe", height_mm=20.0)
    looked = stages(at("recorder", 20, 20), at("probe", 30, 30, 54.0, tier=2), items=(one, other))
    (finding,) = items_above_each_other(looked)
    assert (finding.verdict, finding.value, finding.limit) == ("fails", 9.0, 10.0)
    assert finding.note.startswith("Raise probe by 1.0 mm")
    assert between_items(looked) == ()


@pytest.mark.parametrize("form", ["box", "pair"])
def test_the_pad_between_facing_items(form: str) -> None:
    """7 mm between an item and the one that hangs over it fail in a box; a pair has its recess."""
    one, other = block("recorder", height_mm=20.0), block("probe", height_mm=20.0)
    hung = Placement("probe", 1, "shallow", 1, "bottom", 0.0, 30.0, 30.0, 52.0)
    case = CaseWishes(form=form)  # type: ignore[arg-type]  # by test
    looked = stages(at("recorder", 20, 20), hung, items=(one, other), case=case)
    found = items_above_each_other(looked)
    if form == "pair":
        assert found == ()
        return
    assert [(f.verdict, f.value, f.limit) for f in found] == [("fails", 7.0, 10.0)]
    assert found[0].note == "Make either half 3.0 mm deeper: the two face each other."


@given(st.floats(5.0, 130.0), st.floats(5.0, 70.0), st.floats(5.0, 130.0), st.floats(5.0, 70.0))
def test_the_check_of_the_search_agrees(x0: float, y0: float, x1: float, y1: float) -> None:
    """Two independent looks at a layout agree: ours, and the one that every search must pass.

    Within 0.02 mm of a limit they may differ: they round differently.
    """
    looked = stages(at("recorder", x0, y0), at("probe", x1, y1))
    kinds = {
        one.kind
        for one in violations(
            looked.payload, interior=looked.interior, placements=looked.fit.placements
        )
    }
    for check, kind in ((between_items, "item"), (to_walls, "wall")):
        findings = check(looked)
        if any(abs(finding.margin or 0.0) < 0.02 for finding in findings):
            continue
        fails = any(finding.verdict == "fails" for finding in findings)
        assert fails == (kind in kinds), (kind, findings, kinds)
