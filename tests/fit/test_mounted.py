"""The search with mounted items: where they stand, how deep the halves get, and the foam."""

from __future__ import annotations

import pytest
from attrs import evolve
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.fit.assign import Assignment, problem_of, stands
from fitkit.fit.bounds import lower_bound
from fitkit.fit.layout import Fit
from fitkit.fit.place import place_all
from fitkit.fit.recess import deepened, recess_mm
from fitkit.fit.restack import restacked
from fitkit.fit.search import smallest
from fitkit.fit.validate import violations
from fitkit.foam.layers import make_foam
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section
from fitkit.payload.mounts import Mount
from fitkit.payload.walls import plank_depths_mm
from mounted_kits import desk, kits, pair, screen

QUICK = settings(max_examples=25, deadline=None)


def laid_out(payload: Payload) -> Fit:
    """A first layout; a kit whose given recesses hold no layout is not looked at."""
    try:
        return smallest(payload, budget_s=0.02, repeatable=False)
    except BadInput:
        assume(False)
        raise


def test_a_pair_is_as_deep_as_rails_body_and_recess() -> None:
    """Behind 20 + 3, body 40, recess 14: halves of 77 mm, the screens stand on their rails."""
    fit = smallest(pair(), budget_s=0.1)
    assert [half.depth_mm for half in fit.interior.halves] == [77.0, 77.0]
    assert sorted(p.z_mm for p in fit.placements) == [23.0, 154.0 - 23.0 - 40.0]
    assert violations(pair(), interior=fit.interior, placements=fit.placements) == ()


def test_depths_come_up_to_the_next_plank() -> None:
    """A half without foam is as deep as a wall from the least plank that will do makes it."""
    kit = pair()
    planks = (60.0, 80.0, 120.0)
    kit = evolve(kit, workshop=evolve(kit.workshop, planks_mm=planks))
    depths = plank_depths_mm(planks, profile=kit.wall.profile)
    fit = smallest(kit, budget_s=0.1)
    assert depths == (65.0, 85.0, 125.0)
    assert [half.depth_mm for half in fit.interior.halves] == [85.0, 85.0]


def test_a_given_recess_is_kept_and_spare_depth_goes_behind() -> None:
    """In a half deeper than asked the front keeps its 14 mm, and the back gets the rest."""
    kit = pair(recess_mm=14.0)
    kit = evolve(kit, workshop=evolve(kit.workshop, planks_mm=(100.0,)))
    fit = smallest(kit, budget_s=0.1)
    placed = place_all(kit, fit.placements)
    assert [recess_mm(one, fit.interior) for one in placed] == pytest.approx([14.0, 14.0])
    assert fit.interior.halves[0].depth_mm == 105.0


def test_knobs_stand_proud_into_the_recess_that_faces_them() -> None:
    """Knobs 6 mm proud and a screen recessed deeper: face to face in one plan, nothing overlaps."""
    kit = desk()
    fit = smallest(kit, budget_s=0.2)
    placed = {one.item.name: one for one in place_all(kit, fit.placements)}
    assert recess_mm(placed["keyboard"], fit.interior) == pytest.approx(-6.0)
    assert placed["keyboard"].solid.silhouette.intersects(placed["field screen"].solid.silhouette)
    assert violations(kit, interior=fit.interior, placements=fit.placements) == ()


@QUICK
@given(kits())
def test_mounted_items_keep_every_promise(kit: Payload) -> None:
    """No overlap, zones free, everything inside; recesses at least as asked, given ones exact."""
    fit = laid_out(kit)
    assert violations(kit, interior=fit.interior, placements=fit.placements) == ()
    for one in place_all(kit, fit.placements):
        mount = one.item.mount
        if mount is None or mount.faces != "closing plane":
            continue
        found = recess_mm(one, fit.interior)
        assert found >= mount.asked_recess_mm - 1e-6
        if mount.recess_mm is not None:
            assert found == pytest.approx(mount.recess_mm, abs=1e-6)
    value = lower_bound(
        kit, problem_of(kit, objective="volume", pins={}).options, objective="volume"
    )
    assert value <= fit.value * (1 + 1e-9)


@QUICK
@given(kits())
def test_heights_worked_out_anew_are_those_of_the_search(kit: Payload) -> None:
    """Restacking a layout as it is makes it no higher, and keeps the promises."""
    fit = laid_out(kit)
    room, again = restacked(kit, fit.interior, fit.placements)
    assert room.height_mm <= fit.interior.height_mm + 1e-6
    assert violations(kit, interior=room, placements=again) == ()


@QUICK
@given(kits())
def test_no_foam_where_anything_is_mounted(kit: Payload) -> None:
    """Foam keeps clear of mounted bodies and what holds them; a half of nothing else has none."""
    fit = laid_out(kit)
    placements, foam = make_foam(kit, interior=fit.interior, placements=fit.placements)
    assert violations(kit, interior=fit.interior, placements=placements) == ()
    placed = place_all(kit, placements)
    for half in fit.interior.halves:
        own = [one for one in placed if one.placement.half == half.name]
        layers = [layer for layer in foam.layers if layer.half == half.name]
        if own and all(one.item.mount is not None for one in own):
            assert layers == []
        for one in own:
            if one.item.mount is None:
                continue
            for layer in layers:
                left = layer.shape
                assert left.intersection(one.solid.silhouette).area < 1e-6
                assert all(left.intersection(r.outline).area < 1e-6 for r in one.solid.rooms)


@QUICK
@given(kits(), st.floats(0.0, 60.0))
def test_a_deeper_recess_is_given_where_it_is_free(kit: Payload, need_mm: float) -> None:
    """Free recesses come up to what is needed, given ones stay, and no promise breaks."""
    fit = laid_out(kit)
    free = [i for i in kit.items if i.mount is not None and i.mount.recess_mm is None]
    facing = [i.name for i in free if i.mount is not None and i.mount.faces == "closing plane"]
    made = deepened(kit, fit, needed_mm=dict.fromkeys(facing, need_mm))
    for one in place_all(kit, made.placements):
        mount = one.item.mount
        if one.item.name in facing:
            assert recess_mm(one, made.interior) >= need_mm - 1e-6
        elif mount is not None and mount.faces == "closing plane":
            assert recess_mm(one, made.interior) == pytest.approx(mount.recess_mm, abs=1e-6)
    assert violations(kit, interior=made.interior, placements=made.placements) == ()
    assert made.interior.height_mm >= fit.interior.height_mm - 1e-6
    assert deepened(kit, made, needed_mm=dict.fromkeys(facing, need_mm)) == made


def test_given_depths_are_not_overruled() -> None:
    """A recess that the depths of the sheet do not hold leaves the layout as it is."""
    kit = pair()
    kit = evolve(kit, case=evolve(kit.case, depths_mm=(80.0, 80.0)))
    fit = smallest(kit, budget_s=0.1)
    assert deepened(kit, fit, needed_mm={"field screen": 40.0}) == fit


def test_nothing_is_stacked_over_what_is_mounted() -> None:
    """A half with a mounted item has one tier: another item on its second one makes no sense."""
    rope = Item("rope", Body((Section(rectangle(90.0, 60.0), 0.0, 30.0),)))
    one = screen(half="deep", mount=Mount(least_mm=14.0))
    case = CaseWishes(form="box", tiers=2, half="deep")
    problem = problem_of(Payload("kit", (one, rope), case=case), objective="volume", pins={})
    below, above = (problem.seat(tier, problem.options[1][0]) for tier in (0, 1))
    held = problem.seat(0, problem.options[0][0])
    assert stands(problem, Assignment((held, below)))
    assert not stands(problem, Assignment((held, above)))
