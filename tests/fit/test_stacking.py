"""Items through tiers, items in both halves of a box, and heavy ones low."""

from __future__ import annotations

import random

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.fit.arrange import Layout, arrange, interior_of, placements_of
from fitkit.fit.assign import Assignment, Problem, elevation_of, problem_of, stands
from fitkit.fit.candidates import candidates, meeting, neighbour
from fitkit.fit.heavy_low import heavy_low
from fitkit.fit.pieces import Spot
from fitkit.fit.place import place_all
from fitkit.fit.raster import Recipe, once
from fitkit.fit.search import smallest
from fitkit.fit.stacking import across, conflicts, linked
from fitkit.fit.validate import violations
from fitkit.foam.stack import settle
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Clearance, FoamWishes, Item, Payload, Section
from fitkit.plan import plan_of
from strategies import payloads


def item(name: str, w: float, d: float, h: float, **more: object) -> Item:
    """A block."""
    body = Body((Section(rectangle(w, d), 0.0, h),))
    return Item(name, body, **more)  # type: ignore[arg-type]  # by test


def kit(*items: Item, **case: object) -> Payload:
    """Items with sheets of 10 mm, so that heights are easy to add up by hand."""
    clear = Clearance(item_mm=12.0, wall_mm=20.0, floor_mm=30.0, lid_mm=20.0, tier_mm=10.0)
    wishes = CaseWishes(clearance=clear, **case)  # type: ignore[arg-type]  # by test
    return Payload("Tideline mast", items, case=wishes, foam=FoamWishes(sheets_mm=(10.0,)))


MAST = item("mast", 60.0, 60.0, 150.0)
FLAT = item("recorder", 200.0, 140.0, 50.0, count=2)
LOW = item("probe", 180.0, 40.0, 40.0, count=3)


def seated(problem: Problem, *levels: tuple[int, int], meet_mm: float | None = None) -> Assignment:
    """Every copy as measured: its level, and how many more tiers it stands through."""
    seats = [
        problem.seat(level, options[0], through)
        for options, (level, through) in zip(problem.options, levels, strict=True)
    ]
    return Assignment(tuple(seats), meet_mm)


def test_who_ends_below_the_next_tier_does_not_stand_through_it() -> None:
    """A probe of 40 mm beside a recorder of 50 mm never reaches the next tier's floor.

    Foam would lie over it, so such an assignment has no heights; a mast's stands.
    """
    problem = problem_of(kit(MAST, FLAT, LOW, tiers=2), objective="volume", pins={})
    levels = [(0, 1), (0, 0), (1, 0), (0, 0), (1, 0), (1, 0)]
    assert elevation_of(problem, seated(problem, *levels)) is not None
    levels[3] = (0, 1)
    assert elevation_of(problem, seated(problem, *levels)) is None


def test_standing_through_a_tier_takes_no_more_height_than_the_item() -> None:
    """A mast of 150 mm through two tiers of 50 mm: 30 + 150 + 20 mm inside (added up by hand).

    With the second tier above it: 30 + 150 + 10 + 50 + 20 mm.
    """
    problem = problem_of(kit(MAST, FLAT, tiers=2), objective="volume", pins={})
    through = elevation_of(problem, seated(problem, (0, 1), (0, 0), (1, 0)))
    stacked = elevation_of(problem, seated(problem, (0, 0), (0, 0), (1, 0)))
    assert through is not None
    assert stacked is not None
    assert through.height_mm == 200.0
    assert through.floors_mm == (30.0, 90.0)
    assert stacked.height_mm == 260.0


def test_a_third_tier_stands_on_what_reaches_through_the_second() -> None:
    """Floors are 30, 90 and then 190: the mast's top at 180 with a pad of 10 on it."""
    third = item("float", 50.0, 50.0, 20.0)
    problem = problem_of(kit(MAST, FLAT, third, tiers=3), objective="volume", pins={})
    found = elevation_of(problem, seated(problem, (0, 1), (0, 0), (1, 0), (2, 0)))
    assert found is not None
    assert found.floors_mm == (30.0, 90.0, 190.0)
    beside, over = Spot(0.0, 72.0, 0.0), Spot(0.0, 5.0, 5.0)
    assignment = seated(problem, (0, 1), (0, 0), (1, 0), (2, 0))
    layout = arrange(problem, assignment, [Spot(0.0, 0.0, 0.0), beside, beside, over])
    assert layout is not None
    interior, placements = interior_of(problem, layout), placements_of(problem, layout)
    assert violations(problem.payload, interior=interior, placements=placements) == ()


def test_a_pair_needs_no_more_between_its_halves_than_the_recesses() -> None:
    """With recesses of 2 mm, facing screens 4 mm apart hold, though tiers keep 10 mm."""
    clear = Clearance(lid_mm=2.0, tier_mm=10.0)
    payload = Payload(
        "screens",
        (item("screen", 300.0, 200.0, 30.0, count=2),),
        case=CaseWishes(form="pair", clearance=clear),
        foam=FoamWishes(sheets_mm=(1.0,)),
    )
    fit = smallest(payload, repeatable=True, budget_s=0.1)
    deep, shallow = sorted(fit.placements, key=lambda p: p.half)
    assert shallow.z_mm - (deep.z_mm + 30.0) == 4.0
    assert violations(payload, interior=fit.interior, placements=fit.placements) == ()


def test_who_stands_through_is_in_the_way_of_both_tiers() -> None:
    """The mast keeps the web from all copies; recorders above each other need not."""
    problem = problem_of(kit(MAST, FLAT, tiers=2), objective="volume", pins={})
    assignment = seated(problem, (0, 1), (0, 0), (1, 0))
    assert conflicts(problem, assignment) == {(0, 1), (0, 2)}
    assert across(problem, assignment) == {(0, 2)}
    assert linked(problem, assignment) == ((0, 1),)
    apart = seated(problem, (0, 0), (0, 0), (1, 0))
    assert conflicts(problem, apart) == {(0, 1)}
    assert linked(problem, apart) == ((0,), (1,))


def test_a_layout_across_tiers_is_refused_where_it_overlaps() -> None:
    """A recorder of tier 2 laid over the mast that comes up through it does not hold."""
    problem = problem_of(kit(MAST, FLAT, tiers=2), objective="volume", pins={})
    assignment = seated(problem, (0, 1), (0, 0), (1, 0))
    beside, over = Spot(0.0, 72.0, 0.0), Spot(0.0, 0.0, 0.0)
    assert arrange(problem, assignment, [over, beside, beside]) is not None
    assert arrange(problem, assignment, [over, beside, over]) is None
    assert arrange(problem, assignment, [over, beside, beside.shifted(-1.0, 0.0)]) is None


def test_the_search_lets_a_mast_stand_through() -> None:
    """The least case for a mast and flat gear has the mast's own height, and its foam holds."""
    payload = kit(MAST, FLAT, LOW, tiers=2)
    fit = smallest(payload, repeatable=True, budget_s=0.5)
    assert fit.interior.height_mm == 200.0
    placed = {p.item: p for p in fit.placements}
    assert placed["mast"].tier == 1
    assert max(p.tier for p in fit.placements) == 2
    plan = plan_of(payload, fit=fit)
    assert violations(payload, interior=fit.interior, placements=plan.fit.placements) == ()
    assert [f for f in plan.findings if f.verdict == "fails"] == []
    # through the upper tier the mast has a hole that lets the tray pass, not a snug pocket
    mast = [
        (layer.z0_mm, cut.kind)
        for layer in plan.foam.layers
        if layer.half == "deep"
        for cut in layer.cutouts
        if cut.item == "mast" and cut.kind != "notch"
    ]
    split = settle(payload, interior=fit.interior, placements=fit.placements).stack("deep")
    assert {kind for z, kind in mast if z < split.splits_mm[0] - 1e-6} == {"pocket"}
    assert {kind for z, kind in mast if z >= split.splits_mm[0] - 1e-6} == {"relief"}


def facing(**case: object) -> Payload:
    """A tall mast and low gear that may stand in either half."""
    return kit(item("mast", 60.0, 60.0, 110.0), FLAT, LOW, half="any", **case)


def test_each_half_holds_its_own_unless_they_may_meet() -> None:
    """Mast below, recorders above: 30 + 110, a pad of 10, 50 + 30 make 230 mm (by hand).

    Meeting by 60 mm makes 170, and by 90 no less than the mast with its floor and lid, 160.
    """
    problem = problem_of(facing(), objective="volume", pins={})
    assert [level.half for level in problem.levels] == ["deep", "shallow"]
    levels = [(0, 0), (1, 0), (1, 0), (0, 0), (0, 0), (0, 0)]
    for meet_mm, height in ((None, 230.0), (60.0, 170.0), (90.0, 160.0)):
        found = elevation_of(problem, seated(problem, *levels, meet_mm=meet_mm))
        assert found is not None
        assert found.height_mm == height
        if meet_mm is None:
            assert found.depths_mm[0] >= 140.0
            assert found.depths_mm[1] >= 80.0


def test_who_reaches_past_each_other_keeps_the_web() -> None:
    """At 170 mm the mast (up to 140) meets the recorders that hang down to 90, and nothing else.

    Probes end at 70.
    """
    problem = problem_of(facing(), objective="volume", pins={})
    levels = [(0, 0), (1, 0), (1, 0), (0, 0), (0, 0), (0, 0)]
    apart = seated(problem, *levels)
    assert across(problem, apart) == frozenset()
    (first, *_) = meeting(problem, apart)
    assert across(problem, first) == {(0, 1), (0, 2)}
    assert linked(problem, first) == ((0, 1),)


def test_only_items_that_may_stand_proud_reach_past_each_other() -> None:
    """With recorders that may not stand proud, nothing is let past the mast."""
    payload = facing()
    items = tuple(evolve(i, proud=i.name != "recorder") for i in payload.items)
    problem = problem_of(evolve(payload, items=items), objective="volume", pins={})
    levels = [(0, 0), (1, 0), (1, 0), (0, 0), (0, 0), (0, 0)]
    assert meeting(problem, seated(problem, *levels)) == []


def test_both_halves_make_a_smaller_case() -> None:
    """Gear allowed in both halves needs less room than in the deep half alone, and holds."""
    alone = evolve(facing(), case=evolve(facing().case, half="deep"))
    deep = smallest(alone, repeatable=True, budget_s=0.2)
    both = smallest(facing(), repeatable=True, budget_s=0.4)
    assert {p.half for p in both.placements} == {"deep", "shallow"}
    assert both.value < 0.8 * deep.value
    plan = plan_of(facing(), fit=both)
    assert violations(facing(), interior=both.interior, placements=plan.fit.placements) == ()
    assert [f for f in plan.findings if f.verdict == "fails"] == []


def test_a_half_that_was_asked_for_is_kept() -> None:
    """One item for the shallow half, one for the deep one: each is where it was asked to be."""
    payload = kit(
        item("keyboard", 300.0, 120.0, 30.0, half="shallow"), item("battery", 90.0, 60.0, 50.0)
    )
    fit = smallest(payload, repeatable=True, budget_s=0.2)
    assert {p.item: p.half for p in fit.placements} == {"keyboard": "shallow", "battery": "deep"}
    assert violations(payload, interior=fit.interior, placements=fit.placements) == ()


def test_a_kit_for_the_shallow_half_alone_is_laid_out() -> None:
    """Everything may be asked to stand in the shallow half; the deep half then is the cover."""
    payload = kit(item("keyboard", 300.0, 120.0, 30.0), half="shallow")
    fit = smallest(payload, repeatable=True, budget_s=0.2)
    assert {p.half for p in fit.placements} == {"shallow"}
    assert violations(payload, interior=fit.interior, placements=fit.placements) == ()
    assert fit.misses == ()


@settings(deadline=None, max_examples=25)
@given(
    payloads(max_items=4, most=90.0),
    st.integers(1, 3),
    st.sampled_from(["deep", "shallow", "any"]),
    st.integers(0, 3),
)
def test_assignments_stand_and_their_neighbours_too(
    payload: Payload, tiers: int, half: str, seed: int
) -> None:
    """Every assignment offered has its heights, tiers without gaps, and items where they may be."""
    case = evolve(payload.case, tiers=tiers, half=half, depths_mm=(None, None))
    problem = problem_of(evolve(payload, case=case), objective="volume", pins={})
    rng = random.Random(seed)
    found = candidates(problem, rng, most=20)
    assert found
    for one in found:
        assert stands(problem, one)
        assert elevation_of(problem, one) is not None
        for _ in range(5):
            other = neighbour(problem, one, rng)
            assert other is None or (other != one and stands(problem, other))


@settings(deadline=None, max_examples=15)
@given(payloads(max_items=4, most=90.0), st.integers(1, 2), st.integers(0, 9))
def test_layouts_across_levels_hold(payload: Payload, tiers: int, seed: int) -> None:
    """Whatever stands through tiers or meets across the closing plane passes the check."""
    case = evolve(payload.case, tiers=tiers, half="any", form="box", depths_mm=(None, None))
    payload = evolve(payload, case=case)
    problem = problem_of(payload, objective="volume", pins={})
    rng = random.Random(seed)
    tried = 0
    for assignment in candidates(problem, rng, most=30):
        if not across(problem, assignment) or tried == 3:
            continue
        tried += 1
        layout = once(problem, Recipe.drawn(assignment, rng))
        if layout is None:  # a canvas may be full: another recipe is drawn then
            continue
        placements = placements_of(problem, layout)
        interior = interior_of(problem, layout)
        assert violations(payload, interior=interior, placements=placements) == ()
        placed = place_all(payload, placements)
        for i, j in conflicts(problem, assignment):
            gap = shapely.distance(placed[i].solid.silhouette, placed[j].solid.silhouette)
            assert gap >= payload.case.clearance.item_mm - 1e-4


def moment(problem: Problem, layout: Layout) -> float:
    """Mass times height [kg mm], from the placed solids."""
    placed = place_all(problem.payload, placements_of(problem, layout))
    return sum((p.item.mass_kg or 0.0) * (p.solid.z0_mm + p.solid.z1_mm) / 2 for p in placed)


@pytest.mark.parametrize("half", ["deep", "any"])
def test_heavy_items_come_to_stand_low(half: str) -> None:
    """The heavy one of two alike items ends up in the lower tier, or in the deep half."""
    light = item("light", 100.0, 80.0, 40.0, mass_kg=0.5)
    heavy = item("heavy", 100.0, 80.0, 40.0, mass_kg=5.0)
    payload = kit(light, heavy, half=half, tiers=2 if half == "deep" else 1)
    problem = problem_of(payload, objective="volume", pins={})
    spots = [Spot(0.0, 0.0, 0.0), Spot(0.0, 0.0, 0.0)]
    layout = arrange(problem, seated(problem, (0, 0), (1, 0)), spots)
    assert layout is not None
    better = heavy_low(problem, layout)
    assert better.size_mm == layout.size_mm
    assert moment(problem, better) < moment(problem, layout)
    low = min(placements_of(problem, better), key=lambda p: p.z_mm)
    assert low.item == "heavy"
    interior, placements = interior_of(problem, better), placements_of(problem, better)
    assert violations(payload, interior=interior, placements=placements) == ()


def test_what_must_be_in_reach_stays_on_top_even_if_heavy() -> None:
    """Tiers do not change places if that buries an item that must always be in reach."""
    light = item("light", 100.0, 80.0, 40.0, mass_kg=0.5)
    heavy = item("heavy", 100.0, 80.0, 40.0, mass_kg=5.0, reach="always")
    problem = problem_of(kit(light, heavy, tiers=2), objective="volume", pins={})
    layout = arrange(problem, seated(problem, (0, 0), (1, 0)), [Spot(0.0, 0.0, 0.0)] * 2)
    assert layout is not None
    assert heavy_low(problem, layout) == layout
