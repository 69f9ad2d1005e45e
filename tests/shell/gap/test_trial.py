"""A layout tried with other figures: what was not asked for stays, and gaps follow exactly."""

from __future__ import annotations

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import closing_kits
from fitkit.fit.layout import Half
from fitkit.fit.place import place_all
from fitkit.payload.closing import Tolerances
from fitkit.plan import Plan
from fitkit.shell.gap.trial import (
    Trial,
    Wishes,
    as_planned,
    behind_mm,
    least_behind_mm,
    least_depths,
    least_recesses,
    movable,
    moved_foam,
    tried,
)

TWINS, DESK = closing_kits.twins(), closing_kits.desk()


def wishes_of(plan: Plan) -> Wishes:
    """What a plan fulfils as it is."""
    assert plan.shell is not None
    return as_planned(
        plan.payload,
        interior=plan.fit.interior,
        placements=plan.fit.placements,
        shell=plan.shell,
    )


def trial_of(plan: Plan, wishes: Wishes) -> Trial:
    """A plan tried with other figures."""
    return tried(plan.payload, wishes, interior=plan.fit.interior, placements=plan.fit.placements)


@pytest.mark.parametrize("plan", [TWINS, DESK], ids=["twins", "desk"])
def test_a_plan_tried_as_it_is_stays_as_it_is(plan: Plan) -> None:
    """Interior, placements, panels and recesses are those of the plan; nothing is missing."""
    trial = trial_of(plan, wishes_of(plan))
    assert plan.shell is not None
    assert trial.interior == plan.fit.interior
    assert trial.placements == plan.fit.placements
    assert trial.shell.panels == plan.shell.panels
    assert trial.shortages == ()


def test_what_can_be_moved_is_mounted_towards_the_closing_plane() -> None:
    """Screen and keyboard; an item in foam has no recess of its own to try."""
    assert [item.name for item in movable(DESK.payload)] == ["screen", "keyboard"]
    plain = evolve(DESK.payload.items[0], mount=None, hold="pocket")
    assert movable(evolve(DESK.payload, items=(plain,))) == ()


def test_a_deeper_half_gives_its_room_behind_the_gear() -> None:
    """10 mm more depth at the same recess: the gap stays, and 10 mm more are behind each screen."""
    wishes = evolve(wishes_of(TWINS), depths_mm=(85.0, 85.0))
    trial = trial_of(TWINS, wishes)
    before = trial_of(TWINS, wishes_of(TWINS))
    assert trial.interior.height_mm == 170.0
    for old, new in zip(
        place_all(before.payload, before.placements),
        place_all(trial.payload, trial.placements),
        strict=True,
    ):
        assert behind_mm(new, trial.interior) == pytest.approx(
            behind_mm(old, before.interior) + 10.0
        )
    assert trial.gaps[0].nominal_mm == pytest.approx(24.0)


def test_a_depth_that_is_tried_is_off_the_tape() -> None:
    """A half of a given depth is measured by tape, one that was found is sawn."""
    plain = {one.what for one in trial_of(TWINS, wishes_of(TWINS)).gaps[0].contributions}
    deeper = trial_of(TWINS, evolve(wishes_of(TWINS), depths_mm=(85.0, 85.0), found=False))
    told = {one.what for one in deeper.gaps[0].contributions}
    assert any("as sawn" in what for what in plain)
    assert any("tape" in what for what in told - plain)


def test_too_little_room_behind_is_named_with_its_millimetres() -> None:
    """A recess 7 mm more in a half that has none to spare: 7 mm are missing behind."""
    trial = trial_of(TWINS, wishes_of(TWINS).with_recess("field screen", 19.0))
    assert [(one.where, one.kind) for one in trial.shortages] == [
        ("field screen 1", "room behind"), ("field screen 2", "room behind"),
    ]  # fmt: skip
    assert trial.shortages[0].short_mm == pytest.approx(7.0)
    assert "7.0 mm deeper" in trial.shortages[0].what


def test_backs_thicker_than_the_slot_are_refused_in_words() -> None:
    """9 mm backs in a slot of 7: both are 2 mm too thick, and they flex less."""
    trial = trial_of(TWINS, evolve(wishes_of(TWINS), backs_mm=9.0))
    slots = [one for one in trial.shortages if one.kind == "slot"]
    assert [(one.where, one.short_mm) for one in slots] == [
        ("deep bottom", 2.0), ("shallow top", 2.0),
    ]  # fmt: skip
    assert trial.gaps[0].shifts_mm <= trial_of(TWINS, wishes_of(TWINS)).gaps[0].shifts_mm


def test_a_loose_back_gives_way_like_a_fixed_one() -> None:
    """Screwed backs are pressed in and pulled in a drop as well: two lines for each half."""
    shop = evolve(TWINS.payload.workshop, removable=True)
    plan = evolve(TWINS, payload=evolve(TWINS.payload, workshop=shop))
    loose = trial_of(plan, wishes_of(plan)).gaps[0]
    fixed = trial_of(TWINS, wishes_of(TWINS)).gaps[0]
    shifts = [one.what for one in loose.contributions if one.kind == "shift"]
    assert len(shifts) == len([one for one in fixed.contributions if one.kind == "shift"]) == 4
    assert sum("panel back deep bottom" in what for what in shifts) == 2


def test_tolerances_are_those_that_are_tried() -> None:
    """Twice the saw's tolerance takes its share twice from the worst case."""
    plain = trial_of(TWINS, wishes_of(TWINS)).gaps[0]
    closing = evolve(TWINS.payload.closing, tolerances=Tolerances(saw_mm=1.0))
    rough = trial_of(TWINS, evolve(wishes_of(TWINS), closing=closing)).gaps[0]
    sawn = [one for one in plain.contributions if one.what.endswith("as sawn")]
    assert len(sawn) == 2
    assert plain.worst_mm - rough.worst_mm == pytest.approx(2 * 0.5)


@settings(max_examples=8, deadline=None)
@given(recess=st.floats(0.0, 25.0), more=st.floats(0.1, 25.0))
def test_more_recess_never_shrinks_a_gap(recess: float, more: float) -> None:
    """Whatever the recess of a screen, more of it leaves as much or more at worst."""
    plain = wishes_of(DESK)
    less = trial_of(DESK, plain.with_recess("screen", recess))
    deep = trial_of(DESK, plain.with_recess("screen", recess + more))
    for one in less.gaps:
        (same,) = [g for g in deep.gaps if (g.deep, g.shallow) == (one.deep, one.shallow)]
        assert same.worst_mm >= one.worst_mm - 1e-6
        assert same.nominal_mm >= one.nominal_mm - 1e-6


@pytest.mark.parametrize("plan", [TWINS, DESK], ids=["twins", "desk"])
def test_the_least_recesses_just_keep_every_gap(plan: Plan) -> None:
    """At them every gap is kept at worst; half a millimetre less on both sides is too little."""
    wishes = wishes_of(plan)
    for name, mm in least_recesses(trial_of(plan, wishes)).items():
        wishes = wishes.with_recess(name, mm)
    kept = trial_of(plan, wishes)
    assert all(one.worst_mm >= one.keep_mm - 0.011 for one in kept.gaps)
    for name, mm in wishes.recesses_mm:
        wishes = wishes.with_recess(name, mm - 0.5)
    assert any(one.worst_mm < one.keep_mm for one in trial_of(plan, wishes).gaps)


@settings(max_examples=5, deadline=None)
@given(recess=st.floats(0.0, 40.0))
def test_the_least_depth_just_holds_what_is_tried(recess: float) -> None:
    """At that depth nothing is missing; a millimetre less, and room behind is."""
    wishes = wishes_of(TWINS).with_recess("field screen", recess)
    depths = least_depths(trial_of(TWINS, wishes))
    assert depths[0] == depths[1] == float(int(depths[0]))
    assert trial_of(TWINS, evolve(wishes, depths_mm=depths)).shortages == ()
    less = trial_of(TWINS, evolve(wishes, depths_mm=(depths[0] - 1.01, depths[1] - 1.01)))
    assert [one.kind for one in less.shortages] == ["room behind"] * 2


def test_the_least_depth_is_that_of_a_plank() -> None:
    """Walls as wide as planks of 80 mm: 85 mm inside depth, e + g + d + g - T on top (by hand)."""
    shop = evolve(TWINS.payload.workshop, planks_mm=(60.0, 80.0))
    plan = evolve(TWINS, payload=evolve(TWINS.payload, workshop=shop))
    assert least_depths(trial_of(plan, wishes_of(plan))) == (85.0, 85.0)


def test_room_behind_is_what_rails_and_plugs_need() -> None:
    """20 mm of rail and 3 mm of screw heads behind a screen, as its mount says."""
    trial = trial_of(TWINS, wishes_of(TWINS))
    low, high = place_all(trial.payload, trial.placements)
    assert least_behind_mm(low, trial.interior) == pytest.approx(23.0)
    assert least_behind_mm(high, trial.interior) == pytest.approx(23.0)


def test_foam_stays_on_its_own_floor_and_ends_at_the_plane() -> None:
    """A shallow half deeper by 10 carries its sheets up along; a lower one cuts off the top."""
    import hand_plan

    plan = hand_plan.plan()
    before = plan.fit.interior
    taller = evolve(before, halves=(before.halves[0], Half("shallow", 70.0)))
    moved = moved_foam(plan.foam, before=before, after=taller)
    tops = {la.name: la.z1_mm for la in moved.layers}
    assert tops["shallow-01"] == 180.0
    assert tops["deep-03"] == 110.0
    lower = evolve(before, halves=(Half("deep", 90.0), before.halves[1]))
    cut = moved_foam(plan.foam, before=before, after=lower)
    assert max(la.z1_mm for la in cut.layers if la.half == "deep") == 90.0
    assert min(la.z0_mm for la in cut.layers if la.half == "shallow") == 90.0


def test_gear_in_foam_keeps_its_height_over_its_own_floor() -> None:
    """Halves 10 mm deeper: what lies in foam stays where its floor is, in either half."""
    kit = evolve(
        TWINS.payload,
        items=tuple(evolve(one, mount=None, hold="pocket") for one in TWINS.payload.items),
    )
    plan = evolve(TWINS, payload=kit)
    trial = trial_of(plan, evolve(wishes_of(plan), depths_mm=(85.0, 85.0), found=False))
    before = place_all(kit, plan.fit.placements)
    for old, new in zip(before, place_all(kit, trial.placements), strict=True):
        assert behind_mm(new, trial.interior) == pytest.approx(behind_mm(old, plan.fit.interior))
    assert trial.gaps[0].nominal_mm == pytest.approx(24.0 + 20.0)
