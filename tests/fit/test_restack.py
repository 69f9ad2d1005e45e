"""Heights after a layout was changed by hand."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import hand_plan
from fitkit.errors import BadInput
from fitkit.fit.elevation import halves_for
from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.move import find, key_of, own_pose, plan_box, posed_as, shifted_to
from fitkit.fit.restack import restacked, sent_to
from fitkit.fit.search import smallest
from fitkit.fit.validate import violations
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import (
    Body,
    CaseWishes,
    Clearance,
    FoamWishes,
    Item,
    Payload,
    Section,
    Zone,
)
from fitkit.payload.pose import flipped
from fitkit.payload.sheet import read_sheet
from strategies import layouts

SAMPLES = Path(__file__).parents[2] / "sample_payloads"
CLEAR = Clearance(item_mm=10.0, wall_mm=10.0, floor_mm=20.0, lid_mm=10.0, tier_mm=10.0)
FOAM = FoamWishes(sheets_mm=(10.0,))
ROOM = Interior(400.0, 300.0, (Half("deep", 60.0), Half("shallow", 50.0)))
SOME = settings(
    deadline=None,
    max_examples=80,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
OF_HEIGHT = {"floor", "lid", "proud", "tier", "pose", "half", "count"}


def block(name: str, x: float, y: float, z: float, **more: object) -> Item:
    """An item that is a box."""
    return Item(name, Body((Section(rectangle(x, y), 0.0, z),)), **more)  # type: ignore[arg-type]  # passed on


def kit(*items: Item, tiers: int = 3, **case: object) -> Payload:
    """A payload of boxes on sheets of 10 mm."""
    wishes = CaseWishes(tiers=tiers, half="any", clearance=CLEAR, **case)  # type: ignore[arg-type]  # passed on
    return Payload("Tideline trial", items, case=wishes, foam=FOAM)


def at(item: str, x: float, y: float, *, half="deep", tier=1, up="top") -> Placement:
    """A placement whose height is of no account yet."""
    return Placement(item, 1, half, tier, up, 0.0, x, y, 0.0)


def faults(payload: Payload, interior: Interior, placements) -> list[str]:
    """What the independent check says, in words."""
    return [str(v) for v in violations(payload, interior=interior, placements=placements)]


@st.composite
def standing(draw: st.DrawFn) -> tuple[Payload, Interior, tuple[Placement, ...]]:
    """Any kit, strewn over halves and tiers in poses that its items may have."""
    payload, interior, placements = draw(layouts())
    case = evolve(payload.case, tiers=3, half="any", draft_deg=0.0)
    payload = evolve(payload, case=case)
    stood = []
    for p in placements:
        up = draw(st.sampled_from(payload.item(p.item).up))
        face, turn = flipped(up, 0.0) if p.half == "shallow" else (up, 0.0)
        stood.append(evolve(p, up=face, turn_deg=turn))
    return payload, interior, tuple(stood)


def in_a_row(placements, payload) -> tuple[tuple[Placement, ...], float]:
    """The placements side by side, far enough apart for all zones, and the length they take."""
    made, x = placements, 60.0
    for p in placements:
        made = shifted_to(made, key_of(p), x_mm=x, y_mm=60.0)
        x = plan_box(payload, find(made, key_of(p))).x1_mm + 100.0
    return made, x


@SOME
@given(layout=standing(), seed=st.integers(0, 999), apart=st.booleans())
def test_whatever_is_sent_where_its_heights_hold(layout, seed, apart) -> None:
    """Free in plan it passes the whole check; piled up it breaks nothing that heights decide."""
    payload, interior, placements = layout
    rng = random.Random(seed)
    if apart:
        placements, length = in_a_row(placements, payload)
        interior = evolve(interior, length_mm=length, width_mm=320.0, corner_mm=0.0)
    for _ in range(3):
        some = rng.sample(placements, rng.randint(1, len(placements)))
        half = rng.choice([half.name for half in interior.halves])
        tier = rng.randint(1, 1 + max((p.tier for p in placements if p.half == half), default=0))
        keys = [key_of(p) for p in some]
        before = {key: plan_box(payload, find(placements, key)).centre_mm for key in keys}
        own = {key: own_pose(find(placements, key)) for key in keys}
        if (
            tier == 4
            and len({p.tier for p in placements if key_of(p) not in keys and p.half == half}) == 3
        ):
            with pytest.raises(BadInput, match="tier 4"):
                sent_to(payload, interior, placements, keys, half=half, tier=tier)
            continue
        interior, placements = sent_to(payload, interior, placements, keys, half=half, tier=tier)
        for key in keys:
            now = find(placements, key)
            assert now.half == half
            assert plan_box(payload, now).centre_mm == pytest.approx(before[key], abs=1e-6)
            assert own_pose(now) == own[key]
        for name in {p.half for p in placements}:
            tiers = {p.tier for p in placements if p.half == name}
            assert tiers == set(range(1, len(tiers) + 1))
        found = violations(payload, interior=interior, placements=placements)
        if apart:
            assert [str(v) for v in found] == []
        assert [str(v) for v in found if v.kind in OF_HEIGHT] == []
        assert [str(v) for v in found if v.right == "floor or lid"] == []


@pytest.mark.parametrize("sheet", ["tideline.toml"])
def test_what_a_search_found_is_not_made_higher(sheet: str) -> None:
    """A layout of the search comes back as low or lower, and just as valid."""
    payload = read_sheet(SAMPLES / sheet)
    fit = smallest(payload, budget_s=2.0, seed=1)
    interior, placements = restacked(payload, fit.interior, fit.placements)
    assert faults(payload, fit.interior, fit.placements) == []
    assert faults(payload, interior, placements) == []
    assert interior.height_mm <= fit.interior.height_mm + 1e-6
    assert interior.size_mm[:2] == fit.interior.size_mm[:2]


def test_a_new_tier_on_top_costs_its_pad_and_its_height() -> None:
    """A recorder of 40 below a calibrator of 60: 20 floor + 40 + 10 pad + 60 + 10 lid."""
    payload = kit(block("recorder", 100.0, 80.0, 40.0), block("calibrator", 60.0, 40.0, 60.0))
    flat = (at("recorder", 10.0, 10.0), at("calibrator", 120.0, 10.0))
    room, laid = restacked(payload, ROOM, flat)
    assert [p.z_mm for p in laid] == [20.0, 20.0]
    assert room.height_mm == 100.0  # halves are no shallower than their corner profiles: 45 each
    # over the recorder, so that it cannot stand beside it
    over = shifted_to(laid, ("calibrator", 1), x_mm=20.0, y_mm=20.0)
    room, laid = sent_to(payload, room, over, [("calibrator", 1)], half="deep", tier=2)
    assert [p.tier for p in laid] == [1, 2]
    assert [p.z_mm for p in laid] == [20.0, 70.0]
    assert room.height_mm == 140.0
    assert faults(payload, room, laid) == []


def test_what_is_tall_stands_through_the_next_tier_where_the_plan_has_room() -> None:
    """Beside a low stack the mast stands through; with the stack moved over it the case grows."""
    payload = kit(
        block("mast", 40.0, 40.0, 80.0), block("probe", 60.0, 40.0, 30.0),
        block("lamp", 60.0, 40.0, 30.0),
    )  # fmt: skip
    beside = (at("mast", 10.0, 10.0), at("probe", 80.0, 10.0), at("lamp", 80.0, 10.0, tier=2))
    room, laid = restacked(payload, ROOM, beside)
    assert [p.z_mm for p in laid] == [20.0, 20.0, 60.0]
    # the lamp is held by a sheet: 60 + 10 mm, and the lid's least depth of 50 mm over it
    assert room.height_mm == 120.0
    assert faults(payload, room, laid) == []
    over = shifted_to(laid, ("lamp", 1), x_mm=20.0, y_mm=10.0)
    room, laid = restacked(payload, room, over)
    assert [p.z_mm for p in laid] == [20.0, 20.0, 110.0]
    assert faults(payload, room, laid) == []


def test_only_those_stand_through_that_have_room_there() -> None:
    """The mast beside the lamp stands through its tier; the reel below it holds the tier up."""
    payload = kit(
        block("mast", 40.0, 40.0, 80.0), block("reel", 60.0, 60.0, 60.0),
        block("lamp", 60.0, 40.0, 30.0),
    )  # fmt: skip
    laid = (at("mast", 10.0, 10.0), at("reel", 80.0, 10.0), at("lamp", 80.0, 10.0, tier=2))
    room, laid = restacked(payload, ROOM, laid)
    assert [p.z_mm for p in laid] == [20.0, 20.0, 90.0]
    assert faults(payload, room, laid) == []


def test_through_tiers_and_past_the_other_half_at_once() -> None:
    """Where the plan keeps all apart, one saves height on top of the other."""
    payload = kit(
        block("mast", 40.0, 40.0, 100.0), block("probe", 60.0, 40.0, 30.0),
        block("lamp", 60.0, 40.0, 30.0), block("reel", 60.0, 60.0, 70.0),
    )  # fmt: skip
    laid = (
        at("mast", 10.0, 10.0), at("probe", 80.0, 10.0), at("lamp", 80.0, 10.0, tier=2),
        at("reel", 200.0, 10.0, half="shallow", up="bottom"),
    )  # fmt: skip
    room, laid = restacked(payload, ROOM, laid)
    # the least that faces the reel is the probe: 20 + 30 + 10 + 70 + 20
    assert room.height_mm == pytest.approx(150.0)
    assert laid[2].z_mm == 60.0
    assert faults(payload, room, laid) == []


def test_facing_items_reach_past_each_other_where_the_plan_has_room() -> None:
    """Tall faces low twice: side by side the case is lower than with tall above tall."""
    payload = kit(
        block("reel", 60.0, 60.0, 70.0), block("case", 60.0, 60.0, 20.0),
        block("lamp", 60.0, 60.0, 70.0), block("clamp", 60.0, 60.0, 20.0), tiers=1,
    )  # fmt: skip
    hang = {"half": "shallow", "up": "bottom"}
    apart = (
        at("reel", 10.0, 10.0), at("case", 100.0, 10.0),
        at("lamp", 100.0, 10.0, **hang), at("clamp", 200.0, 10.0, **hang),
    )  # fmt: skip
    room, laid = restacked(payload, ROOM, apart)
    assert room.height_mm == pytest.approx(20.0 + 70.0 + 10.0 + 20.0 + 20.0)
    assert faults(payload, room, laid) == []
    facing = shifted_to(laid, ("lamp", 1), x_mm=30.0, y_mm=10.0)
    room, laid = restacked(payload, room, facing)
    assert room.height_mm == pytest.approx(20.0 + 70.0 + 10.0 + 70.0 + 20.0)
    assert faults(payload, room, laid) == []


def test_a_fixed_interior_keeps_its_depths_and_says_what_breaks() -> None:
    """Nothing is refused: the depths stay, and the check names who comes too near."""
    payload = kit(block("recorder", 100.0, 80.0, 40.0), block("calibrator", 60.0, 40.0, 60.0))
    laid = (at("recorder", 10.0, 10.0), at("calibrator", 20.0, 20.0))
    room, laid = sent_to(payload, ROOM, laid, [("calibrator", 1)], half="deep", tier=2, fixed=True)
    assert room == ROOM
    assert [p.z_mm for p in laid] == [20.0, 70.0]
    kinds = {v.kind for v in violations(payload, interior=room, placements=laid)}
    assert kinds == {"lid"}
    deep = evolve(ROOM, halves=(Half("deep", 130.0), Half("shallow", 50.0)))
    room, laid = restacked(payload, deep, laid, fixed=True)
    assert room == deep
    assert faults(payload, room, laid) == []


def test_given_depths_stay_where_they_hold_nothing() -> None:
    """Depths from the sheet are never changed, even where they are too small."""
    payload = kit(block("recorder", 100.0, 80.0, 200.0), depths_mm=(60.0, 50.0))
    room, laid = restacked(payload, ROOM, (at("recorder", 10.0, 10.0),))
    assert room == ROOM
    assert laid[0].z_mm == 20.0
    assert any("lid" in fault for fault in faults(payload, room, laid))


def test_what_the_sheet_forbids_is_refused_with_every_fault() -> None:
    """A half that the items may not stand in and a tier too many: all in one message."""
    payload = kit(block("recorder", 10.0, 8.0, 40.0, half="deep"), block("lamp", 9.0, 9.0, 9.0),
                  tiers=1)  # fmt: skip
    laid = (at("recorder", 10.0, 10.0), at("lamp", 30.0, 30.0))
    with pytest.raises(BadInput) as said:
        sent_to(payload, ROOM, laid, [("recorder", 1), ("lamp", 1)], half="shallow", tier=3)
    assert [fault.place for fault in said.value.faults] == ['item "recorder"', "tier 3"]
    with pytest.raises(BadInput, match="tray half"):
        sent_to(payload, ROOM, laid, [("lamp", 1)], half="tray", tier=1)
    with pytest.raises(KeyError):
        sent_to(payload, ROOM, laid, [("lamp", 2)], half="deep", tier=1)


def test_zones_below_lift_an_item_off_its_floor() -> None:
    """Stood on its connector a probe is raised by the plug's room, rounded up to sheets."""
    plug = Zone("connector", "bottom", (20.0, 20.0), (10.0, 10.0), 24.0)
    payload = kit(block("probe", 40.0, 40.0, 30.0, up=("top", "bottom"), zones=(plug,)))
    room, laid = restacked(payload, ROOM, (at("probe", 10.0, 10.0),))
    assert laid[0].z_mm == 20.0 + 30.0
    assert faults(payload, room, laid) == []
    over = posed_as(payload, laid, ("probe", 1), up="bottom")
    assert over[0].z_mm == 20.0
    room, laid = restacked(payload, room, over)
    assert laid == over
    assert faults(payload, room, laid) == []


def test_the_hand_plan_comes_back_as_it_was() -> None:
    """Heights that were worked out from the same rules stay where they are when fixed."""
    payload, plan = hand_plan.payload(), hand_plan.plan()
    room, laid = restacked(payload, plan.fit.interior, hand_plan.placements(), fixed=True)
    assert room == plan.fit.interior
    assert faults(payload, room, laid) == []
    assert all(halves_for(payload, payload.item(p.item)) for p in laid)
