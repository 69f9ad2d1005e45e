"""Plans with mounted gear, whole: recesses that keep every gap, and halves that may be swapped."""

from __future__ import annotations

import pytest
import shapely
from attrs import evolve

from fitkit.fit.place import place_all
from fitkit.fit.recess import STEP_MM, recess_mm
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section
from fitkit.payload.mounts import HolePattern, Mount, Rails
from fitkit.plan import Choices, Plan, make_plan
from fitkit.plan_json import dumps, loads
from fitkit.shell.gap.model import Gap
from mounted_kits import desk, keyboard, mounted, pair, screen

QUICK = Choices(budget_s=0.3)


def gaps(plan: Plan) -> tuple[Gap, ...]:
    """The closing gaps of a plan."""
    assert plan.shell is not None
    return plan.shell.gaps


def recesses(plan: Plan) -> dict[str, float]:
    """How far each copy stands behind the closing plane [mm]."""
    return {
        one.label: recess_mm(one, plan.fit.interior)
        for one in place_all(plan.payload, plan.fit.placements)
    }


@pytest.mark.parametrize("kit", [pair(), pair(least_mm=0.0), desk()], ids=["pair", "free", "desk"])
def test_free_recesses_keep_every_gap_and_are_no_deeper_than_that(kit: Payload) -> None:
    """At worst every gap is kept; a step of depth less on both sides, and the least one is not."""
    plan = make_plan(kit, choices=QUICK)
    assert gaps(plan)
    assert all(gap.known for gap in gaps(plan))
    assert all(gap.worst_mm >= gap.keep_mm - 1e-6 for gap in gaps(plan))
    spare = min(gap.worst_mm - gap.keep_mm for gap in gaps(plan))
    sides = 2 if kit.case.form == "pair" else 1
    # steps of the recess, and whole millimetres of the half
    assert spare <= sides * (STEP_MM + 1.0) + 1e-6
    assert loads(dumps(plan)) == plan


def test_more_to_keep_asks_for_deeper_halves() -> None:
    """With 10 mm more to be kept each screen of a pair stands 5 mm further back, or a step more."""
    kit = pair()
    more = evolve(kit, closing=evolve(kit.closing, keep_mm=kit.closing.keep_mm + 10.0))
    before, after = (recesses(make_plan(one, choices=QUICK)) for one in (kit, more))
    for label, mm in before.items():
        assert 5.0 - STEP_MM - 1.0 <= after[label] - mm <= 5.0 + STEP_MM + 1.0


def test_a_recess_that_is_given_stays_and_what_it_lacks_is_told() -> None:
    """2 mm of recess do not keep two screens apart in a drop: the gap fails, with what would do."""
    plan = make_plan(pair(recess_mm=2.0), choices=QUICK)
    assert set(recesses(plan).values()) == {2.0}
    (found,) = [one for one in plan.findings if one.check == "closing gap"]
    assert found.verdict == "fails"
    (gap,) = gaps(plan)
    short = gap.keep_mm - gap.worst_mm
    assert gap.least_recess_mm == pytest.approx((2.0 + short, 2.0 + short))


def test_halves_swapped_give_the_same_plan_mirrored() -> None:
    """A screen over a keyboard or a keyboard over a screen: depths swap, recesses and gap stay."""
    kit = desk()
    low, high = kit.items
    assert low.mount is not None
    assert high.mount is not None
    over = (keyboard(half="shallow", mount=low.mount), screen(half="deep", mount=high.mount))
    one, other = (make_plan(k, choices=QUICK) for k in (kit, evolve(kit, items=over)))
    depths = [half.depth_mm for half in one.fit.interior.halves]
    assert [half.depth_mm for half in other.fit.interior.halves] == depths[::-1]
    assert recesses(other) == pytest.approx(recesses(one))
    (here,), (there,) = gaps(one), gaps(other)
    assert (there.deep, there.shallow) == (here.shallow, here.deep)
    assert there.nominal_mm == pytest.approx(here.nominal_mm)
    assert there.worst_mm == pytest.approx(here.worst_mm, abs=0.02)


@pytest.mark.parametrize(
    "mount",
    [
        Mount(by="walls", least_mm=8.0),
        Mount(by="rails", rails=Rails(on="walls"), least_mm=8.0),
        Mount(by="sub-panel", least_mm=8.0),
    ],
    ids=["blocks", "rails from wall to wall", "sub-panel"],
)
def test_no_foam_lies_where_gear_is_held(mount: Mount) -> None:
    """Foam keeps a millimetre from every piece that holds gear; others still stand on theirs."""
    mixer = Item("mixer", Body((Section(rectangle(220.0, 140.0), 0.0, 60.0),)), mass_kg=2.0)
    reel = Item("reel", Body((Section(rectangle(160.0, 120.0), 0.0, 70.0),)), mass_kg=0.5, count=2)
    holes = HolePattern("free", ((20.0, 20.0), (60.0, 20.0)))
    gear = mounted(mixer, evolve(mount, pattern=holes))
    plan = make_plan(Payload("kit", (gear, reel), case=CaseWishes(form="tray")), choices=QUICK)
    assert plan.shell is not None
    assert plan.shell.supports
    for one in plan.shell.supports:
        (x0, y0, z0), (x1, y1, z1) = one.low_mm, one.high_mm
        near = shapely.box(x0 - 0.9, y0 - 0.9, x1 + 0.9, y1 + 0.9)
        beside = [la for la in plan.foam.layers if la.z0_mm < z1 - 0.01 and la.z1_mm > z0 + 0.01]
        assert beside
        assert all(layer.shape.intersection(near).area < 1e-6 for layer in beside)
    assert {one.check for one in plan.findings if one.verdict == "fails"} <= {"web"}


def test_an_upright_sub_panel_is_held_by_the_side_walls() -> None:
    """Behind gear that looks at a wall no panel is near: it runs from wall to wall, clear of gear.

    It is not screwed to a tray's loose lid either.
    """
    body = Body((Section(rectangle(140.0, 40.0), 0.0, 70.0),))
    mount = Mount(by="sub-panel", front="front", faces="left wall", recess_mm=24.0)
    outlet = mounted(Item("outlet", body, mass_kg=0.6), mount)
    reel = Item("reel", Body((Section(rectangle(160.0, 120.0), 0.0, 70.0),)), mass_kg=0.5, count=2)
    plan = make_plan(Payload("kit", (outlet, reel), case=CaseWishes(form="tray")), choices=QUICK)
    assert plan.shell is not None
    (board,) = [one for one in plan.shell.supports if one.kind == "sub-panel"]
    battens = [one for one in plan.shell.supports if one.kind == "batten"]
    room = plan.fit.interior
    assert (board.low_mm[1], board.high_mm[1]) == (0.0, room.width_mm)
    assert len(battens) == 2
    for one in (board, *battens):
        assert one.high_mm[2] < room.height_mm - 1e-6
    placed = [one for one in place_all(plan.payload, plan.fit.placements) if one.item is reel]
    for one in plan.shell.supports:
        box = shapely.box(*one.low_mm[:2], *one.high_mm[:2])
        assert all(box.intersection(copy.solid.silhouette).area < 1e-6 for copy in placed)
    assert {one.check for one in plan.findings if one.verdict == "fails"} == set()
