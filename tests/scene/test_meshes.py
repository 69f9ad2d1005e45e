"""Meshes of parts: closed, right way out, and as large as what they show."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import hand_plan
from fitkit.fit.place import place_all
from fitkit.foam.exploded import Part, exploded_parts
from fitkit.geometry.shapes import circle, rectangle

PLAN = hand_plan.plan()


def parts() -> tuple[Part, ...]:
    """The parts of the plan laid out by hand."""
    placed = place_all(PLAN.payload, PLAN.fit.placements)
    return exploded_parts(PLAN.foam, PLAN.fit.interior, placed, outside_mm=PLAN.outside_mm)


@settings(max_examples=20, deadline=None)
@given(
    width=st.floats(20.0, 300.0),
    depth=st.floats(20.0, 300.0),
    hole=st.floats(2.0, 9.0),
    height=st.floats(1.0, 80.0),
)
def test_a_prism_is_closed_and_holds_its_volume(width, depth, hole, height) -> None:
    """VTK's own volume of the closed mesh is area times height, holes taken out."""
    shape = rectangle(width, depth, corner_mm=5.0).difference(circle(hole, at=(10.0, 10.0)))
    from fitkit.scene.meshes import PICTURE_MM, prism

    mesh = prism(Part("foam", "sheet", "deep", shape, 5.0, 5.0 + height)).clean()
    assert mesh.is_manifold
    assert mesh.n_open_edges == 0
    thinned = shape.simplify(PICTURE_MM)
    assert mesh.triangulate().volume == pytest.approx(thinned.area * height, rel=1e-3)
    assert mesh.bounds[4:] == pytest.approx((5.0, 5.0 + height))


def test_every_sheet_and_item_is_in_the_open_case() -> None:
    """No sheet and no copy is missing, and each keeps its area and height."""
    made = parts()
    for layer in PLAN.foam.layers:
        (part,) = [p for p in made if p.name == layer.name]
        assert part.shape.area == pytest.approx(layer.shape.area)
        assert part.z1_mm - part.z0_mm == pytest.approx(layer.thickness_mm)
    placed = place_all(PLAN.payload, PLAN.fit.placements)
    assert {p.name for p in made if p.kind == "item"} == {one.label for one in placed}


def test_parts_taken_apart_do_not_touch() -> None:
    """Within a half no two parts share room, save sections of one item."""
    made = parts()
    for i, one in enumerate(made):
        for other in made[i + 1 :]:
            if (one.half, one.name) == (other.half, other.name):
                continue
            meet = one.z0_mm < other.z1_mm - 1e-9 and other.z0_mm < one.z1_mm - 1e-9
            assert not (meet and shapely.area(one.shape.intersection(other.shape)) > 1e-6)


def test_items_hang_over_their_own_pockets() -> None:
    """Seen from above, an item and the pocket under it cover the same ground, in both halves."""
    made = parts()
    for half in ("deep", "shallow"):
        top = max((p for p in made if p.half == half and p.kind == "foam"), key=lambda p: p.z1_mm)
        for item in (p for p in made if p.half == half and p.kind == "item"):
            assert item.z0_mm > top.z1_mm
            assert item.shape.intersection(top.shape).area == pytest.approx(0.0, abs=1e-6)


def test_the_shallow_half_lies_turned_over_about_its_long_side() -> None:
    """What is at the front of the closed case lies at the back of the opened shallow half."""
    made = parts()
    floor = next(p for p in made if p.name == "shallow floor").shape.bounds
    pouch = next(p for p in made if p.name == "pouch").shape.bounds
    # closed, the pouch is 60 mm from the front wall's inside and 130 mm from the back one's
    assert pouch[0] == pytest.approx(60.0)
    assert floor[3] - 10.0 - pouch[3] == pytest.approx(60.0)
    assert pouch[1] - (floor[1] + 10.0) == pytest.approx(130.0)
