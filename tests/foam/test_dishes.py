"""Sunk hardware inside the case: no foam lies where a dish is, and webs are measured to it."""

from __future__ import annotations

import shapely
from hypothesis import given
from hypothesis import strategies as st

from fitkit.foam.channels import run_out
from fitkit.foam.cutting import method_for
from fitkit.foam.layers import make_foam
from fitkit.foam.model import Foam, Room
from foam_kits import Kit, block, kit_of


def lined(kit: Kit, *rooms: Room) -> Foam:
    """The kit's foam round the dishes."""
    return make_foam(kit.payload, interior=kit.interior, placements=kit.placements, rooms=rooms)[1]


@given(
    x=st.floats(0, 200),
    width=st.floats(5, 120),
    deep=st.floats(1, 25),
    low=st.floats(0, 70),
    high=st.floats(1, 60),
)
def test_no_foam_in_a_dish(x: float, width: float, deep: float, low: float, high: float) -> None:
    """Whatever layer a dish reaches into leaves its box free; the others are as they were."""
    kit = kit_of(block("recorder", 100, 60, 50), depths=(80.0, 50.0), at=((50, 50, 30.0),))
    dish = Room((x, 0.0, low), (x + width, deep, low + high), "latch front 1")
    plain, round_it = lined(kit), lined(kit, dish)
    plan = shapely.box(x, 0.0, x + width, deep)
    for before, after in zip(plain.layers, round_it.layers, strict=True):
        if before.z0_mm < low + high - 1e-6 and before.z1_mm > low + 1e-6:
            assert after.shape.intersection(plan).area < 1e-6
            expected = before.outline.difference(plan)
            assert after.outline.symmetric_difference(expected).area < 1e-6
        else:
            assert after == before


def test_webs_are_measured_to_the_dish() -> None:
    """A dish 6 mm from a pocket leaves a web of 6 mm where the knife asks for 8."""
    kit = kit_of(block("recorder", 100, 60, 50), depths=(80.0, 50.0), at=((50, 50, 30.0),))
    least = method_for(kit.payload.foam).min_web_mm
    assert lined(kit).webs == ()
    webs = lined(kit, Room((70.0, 0.0, 40.0), (110.0, 44.0, 80.0))).webs
    assert {web.right for web in webs} == {"dish"}
    assert abs(min(web.width_mm for web in webs) - 6.0) < 0.05
    assert {web.limit_mm for web in webs} == {least} == {8.0}


def test_a_dish_may_come_nearer_than_a_wall() -> None:
    """9 mm to a dish are enough where 20 are asked to a wall: a dish does not press on foam."""
    kit = kit_of(block("recorder", 100, 60, 50), depths=(80.0, 50.0), at=((50, 50, 30.0),))
    assert kit.payload.case.clearance.wall_mm == 20.0
    assert lined(kit, Room((70.0, 0.0, 40.0), (110.0, 41.0, 80.0))).webs == ()


def test_a_wall_is_still_a_wall_beside_a_dish() -> None:
    """A pocket 16 mm from the wall is told of, dish or no dish."""
    kit = kit_of(block("recorder", 100, 60, 50), depths=(80.0, 50.0), at=((50, 16, 30.0),))
    for rooms in ((), (Room((300.0, 0.0, 40.0), (350.0, 10.0, 80.0)),)):
        webs = lined(kit, *rooms).webs
        assert {(web.right, web.width_mm, web.limit_mm) for web in webs} == {("edge", 16.0, 20.0)}


def test_a_bit_that_a_dish_cuts_off_goes_too() -> None:
    """Two dishes that part a layer leave its larger piece: no loose bit is drawn."""
    kit = kit_of(block("recorder", 100, 60, 50), depths=(80.0, 50.0), at=((50, 50, 30.0),))
    across = Room((180.0, 0.0, 0.0), (190.0, 1000.0, 30.0))
    lowest = lined(kit, across).layers[0]
    assert isinstance(lowest.outline, shapely.Polygon)
    assert lowest.outline.bounds == (190.0, 0.0, 400.0, 300.0)


def test_a_channel_runs_out_into_a_dish_only_where_the_dish_is() -> None:
    """5 mm before a dish it goes out through it; beside it, 11 mm from the wall, it stays."""
    sheet = shapely.box(0, 0, 100, 100).difference(shapely.box(30, 0, 70, 5))
    before, beside = shapely.box(40, 10, 60, 40), shapely.box(75, 11, 90, 40)
    assert run_out(before, edge=sheet, least_mm=8.0).bounds == (40.0, 1.0, 60.0, 40.0)
    assert run_out(beside, edge=sheet, least_mm=8.0).equals(beside)
    over = run_out(shapely.box(60, 11, 80, 40), edge=sheet, least_mm=8.0)
    assert over.intersection(shapely.box(70.01, 0, 80, 10.99)).area < 1e-6
