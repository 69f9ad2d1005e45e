"""Where a dragged item snaps."""

from __future__ import annotations

import math
import random

import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import hand_plan
from fitkit.fit.gaps import failing_gaps
from fitkit.fit.layout import Interior, Placement
from fitkit.fit.live import Table
from fitkit.fit.move import PlanBox, find, following_box, key_of, moved_together
from fitkit.fit.place import Placed, place_all
from fitkit.fit.snap import Snap, Snapped, snapped
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, Item, Payload, Section
from strategies import layouts

PAYLOAD = hand_plan.payload()
LAID = hand_plan.placements()
BOX = following_box(PAYLOAD, hand_plan.plan().fit.interior, LAID)
FLOAT, OTHER_FLOAT, HYDROPHONES = ("float", 1), ("float", 2), ("hydrophone box", 1)
CALIBRATOR = ("calibrator", 1)
ALL = Snap()
WALLS = ("left wall", "right wall", "front wall", "back wall")
SOME = settings(
    deadline=None,
    max_examples=80,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def put(key, x_mm, y_mm, *, snap=ALL, box=BOX, placements=LAID, payload=PAYLOAD) -> Snapped:
    """Where one item snaps."""
    return snapped(payload, placements, [key], lead=key, x_mm=x_mm, y_mm=y_mm, box=box, snap=snap)


def distance_to(payload: Payload, placements, keys, name: str, limit_mm: float) -> float:
    """The distance between a moved body or zone and what ``name`` names, nearest the limit."""
    placed = place_all(payload, placements)
    mine = [one for one in placed if key_of(one.placement) in keys]
    found = []
    for one in placed:
        if one in mine:
            continue
        if name == one.label:
            found += [m.silhouette.distance(one.silhouette) for m in mine]
            found += [room.outline.distance(one.silhouette) for m in mine for room in m.rooms]
        for room in one.rooms:
            if name == f"{one.label} {room.kind} zone":
                found += [m.silhouette.distance(room.outline) for m in mine]
    return min(found, key=lambda gap: abs(gap - limit_mm))


def wall_gap(mine: list[Placed], box: PlanBox, name: str) -> float:
    """The least gap of bodies to a wall, or of their zones."""
    shapes = [one.silhouette for one in mine]
    if name.endswith(", zone"):
        shapes += [room.outline for one in mine for room in one.rooms]
    x0, y0, x1, y1 = (
        pick(shape.bounds[k] for shape in shapes) for k, pick in enumerate((min, min, max, max))
    )
    return {
        "left wall": x0 - box.x0_mm,
        "front wall": y0 - box.y0_mm,
        "right wall": box.x1_mm - x1,
        "back wall": box.y1_mm - y1,
    }[name.removesuffix(", zone")]


def broken(payload: Payload, placements, keys, box: PlanBox) -> set[tuple[object, ...]]:
    """The clearances that moved items break: between which, of which kind."""
    found: set[tuple[object, ...]] = {
        (gap.left, gap.right, gap.kind)
        for gap in failing_gaps(payload, placements)
        if gap.left in keys or gap.right in keys
    }
    return found | {("outside", key) for key in Table.of(payload, placements).outside_walls(box)}


@SOME
@given(
    layout=layouts(),
    share=st.floats(0.0, 0.6),
    seed=st.integers(0, 9999),
    grid=st.sampled_from((None, None, 5.0)),
    gear=st.booleans(),
    walls=st.booleans(),
)
def test_promises_of_snapping(layout, share, seed, grid, gear, walls) -> None:
    """Within reach; every clearance kept before is kept; what is named stands at its clearance."""
    payload, interior, placements = layout
    rng = random.Random(seed)
    lead = key_of(rng.choice(placements))
    keys = {lead, *(key_of(p) for p in placements if rng.random() < share)}
    box = PlanBox(0.0, 0.0, interior.length_mm, interior.width_mm)
    # near something that it could snap to: a neighbour's place or a wall, a little off
    near = rng.choice(placements)
    x, y = (
        rng.choice((near.x_mm, at + rng.uniform(-8.0, 8.0), rng.uniform(0.0, most)))
        for at, most in ((near.x_mm, box.x1_mm), (near.y_mm, box.y1_mm))
    )
    snap = Snap(grid_mm=grid, gear=gear, walls=walls)
    asked = moved_together(placements, keys, lead=lead, x_mm=x, y_mm=y)
    found = snapped(payload, placements, keys, lead=lead, x_mm=x, y_mm=y, box=box, snap=snap)
    assert math.hypot(found.x_mm - x, found.y_mm - y) <= snap.reach_mm + 1e-9
    if not found.to:
        assert (found.x_mm, found.y_mm) == (x, y)
    after = moved_together(placements, keys, lead=lead, x_mm=found.x_mm, y_mm=found.y_mm)
    assert broken(payload, after, keys, box) <= broken(payload, asked, keys, box)
    clear = payload.case.clearance
    mine = [one for one in place_all(payload, after) if key_of(one.placement) in keys]
    for name in found.to:
        if name.removesuffix(", zone") in WALLS:
            assert walls
            keep = 0.0 if name.endswith(", zone") else clear.wall_mm
            assert wall_gap(mine, box, name) == pytest.approx(keep, abs=0.01)
        elif name == "grid":
            off = [abs(v / grid - round(v / grid)) for v in (found.x_mm, found.y_mm)]
            assert min(off) <= 1e-9
        elif not name.startswith("in line with "):
            assert gear
            gap = distance_to(payload, after, keys, name, clear.item_mm)
            assert gap == pytest.approx(clear.item_mm, abs=0.01)
    again = snapped(
        payload, placements, keys, lead=lead, x_mm=x, y_mm=y, box=box, snap=snap,
        table=Table.of(payload, placements),
    )  # fmt: skip
    assert again == found


def test_a_disc_comes_to_the_clearance_of_a_disc_along_the_line_of_their_centres() -> None:
    """Put 3 mm too far away at a slant it stands at centre distance 66 + 15, same direction."""
    away, slant = 66.0 + 15.0 + 3.0, math.radians(118.0)
    still = find(LAID, FLOAT)
    x, y = still.x_mm + away * math.cos(slant), still.y_mm + away * math.sin(slant)
    found = put(OTHER_FLOAT, x, y, box=None)
    assert found.to == ("float 1",)
    dx, dy = found.x_mm - still.x_mm, found.y_mm - still.y_mm
    assert math.hypot(dx, dy) == pytest.approx(81.0, abs=0.01)
    assert math.atan2(dy, dx) == pytest.approx(slant, abs=1e-3)


@pytest.mark.parametrize("off_mm", [-4.0, 0.0, 4.0])
def test_too_near_is_pushed_away_and_too_far_is_drawn_in(off_mm: float) -> None:
    """A box beside a box stands exactly at the clearance, and in line with its edge."""
    rest = LAID[1:]  # the recorder's connector zone would hold it too
    found = put(HYDROPHONES, 247.0 - 15.0 - 128.0 + off_mm, 218.0, box=None, placements=rest)
    assert set(found.to) == {"calibrator", "in line with calibrator"}
    assert (found.x_mm, found.y_mm) == pytest.approx((104.0, 216.0), abs=1e-4)


def test_in_the_corner_of_two_walls_both_clearances_are_exact() -> None:
    """Near a corner both walls hold."""
    found = put(HYDROPHONES, 24.5, 300.0 - 20.0 - 83.0 - 3.0, snap=Snap(gear=False))
    assert found == Snapped(20.0, 197.0, ("left wall", "back wall"))


def test_between_a_neighbour_and_a_wall_both_hold() -> None:
    """A float against the wall and its twin: a place that only both together fix."""
    found = put(OTHER_FLOAT, 391.5, 103.5)
    assert set(found.to) == {"right wall", "float 1"}
    assert (found.x_mm, found.y_mm) == pytest.approx((394.0, 101.0), abs=0.01)


def test_two_neighbours_hold_at_once() -> None:
    """A disc nests between two boxes at right angles, at the clearance of each."""
    body = {
        "case": Body((Section(rectangle(80.0, 80.0), 0.0, 30.0),)),
        "probe": Body((Section(circle(20.0, at=(20.0, 20.0)), 0.0, 30.0),)),
    }
    payload = Payload("kit", (Item("case", body["case"], count=2), Item("probe", body["probe"])))
    at = Placement("case", 1, "deep", 1, "top", 0.0, 0.0, 100.0, 25.0)
    laid = (at, evolve(at, copy=2, x_mm=100.0, y_mm=0.0), evolve(at, item="probe", x_mm=300.0))
    found = put(("probe", 1), 98.0, 97.0, placements=laid, payload=payload, box=None)
    assert set(found.to) == {"case 1", "case 2"}
    assert (found.x_mm, found.y_mm) == pytest.approx((95.0, 95.0), abs=0.01)


def test_without_gear_walls_and_grid_it_stays_as_asked() -> None:
    """Nothing to snap to: the place asked for, to the last bit."""
    snap = Snap(grid_mm=None, gear=False, walls=False)
    assert put(FLOAT, 391.3, 19.7, snap=snap) == Snapped(391.3, 19.7)


def test_the_grid_holds_where_nothing_stronger_does() -> None:
    """Far from all gear it goes to the nearest crossing; off the table of reach it stays."""
    snap = Snap(grid_mm=10.0)
    assert put(FLOAT, 803.0, -398.0, snap=snap, box=None) == Snapped(800.0, -400.0, ("grid",))
    coarse = Snap(grid_mm=100.0)
    assert put(FLOAT, 840.0, -440.0, snap=coarse, box=None) == Snapped(840.0, -440.0)


def test_leaning_walls_hold_at_their_foot() -> None:
    """Where walls lean the body stands at the clearance from the wall at its own height."""
    room = evolve(hand_plan.plan().fit.interior, draft_deg=5.0)
    lean = (110.0 - 25.0) * math.tan(math.radians(5.0))
    found = snapped(
        PAYLOAD, LAID, [HYDROPHONES], lead=HYDROPHONES, x_mm=25.0, y_mm=180.0, box=BOX,
        snap=Snap(gear=False), interior=room,
    )  # fmt: skip
    assert found.to == ("left wall",)
    assert found.x_mm == pytest.approx(20.0 + lean, abs=1e-6)
    assert isinstance(room, Interior)


def test_round_corners_are_not_snapped_into() -> None:
    """Where a round corner leaves no room at the wall clearance the item stays as put."""
    room = evolve(hand_plan.plan().fit.interior, corner_mm=70.0)
    x, y = 32.5, 300.0 - 83.0 - 32.5
    snap = Snap(gear=False, reach_mm=20.0)
    assert put(HYDROPHONES, x, y, snap=snap).to == ("left wall", "back wall")
    rounded = snapped(
        PAYLOAD, LAID, [HYDROPHONES], lead=HYDROPHONES, x_mm=x, y_mm=y, box=BOX, snap=snap,
        interior=room,
    )  # fmt: skip
    assert rounded == Snapped(x, y)


def test_one_of_several_is_not_pushed_over_a_wall_because_another_is_past_it() -> None:
    """Moved together, one already outside, the other keeps its wall: the grid gives way."""
    outside = moved_together(LAID, [FLOAT], lead=FLOAT, x_mm=-30.0, y_mm=20.0)
    keys = [HYDROPHONES, FLOAT]
    snap = Snap(grid_mm=9.0, gear=False, walls=False)
    alone = put(HYDROPHONES, 21.0, 120.0, snap=snap, placements=outside)
    both = snapped(
        PAYLOAD, outside, keys, lead=HYDROPHONES, x_mm=21.0, y_mm=120.0, box=BOX, snap=snap
    )
    assert both == alone == Snapped(21.0, 117.0, ("grid",))
