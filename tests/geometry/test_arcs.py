"""Arcs are found where they were drawn, nowhere else, and never leave the ring by 0.01 mm."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, Polygon

from fitkit.geometry.arcs import arc_of, bulged, bulged_rings, ring_of
from fitkit.geometry.shapes import arc_points, circle, grow, moved, rectangle, regular

sizes = st.floats(5.0, 400.0)
radii = st.floats(1.0, 150.0)
turns = st.floats(0.0, 360.0)


def apart_mm(shape: Polygon) -> float:
    """Largest distance between the rings and their bulged twins, drawn finely, both ways."""
    worst = 0.0
    rings = shapely.orient_polygons(shape)
    for ring, vertices in zip((rings.exterior, *rings.interiors), bulged_rings(shape), strict=True):
        curve = LinearRing(ring_of(vertices, chord_mm=0.0005))
        worst = max(worst, shapely.hausdorff_distance(ring, curve, densify=0.05))
    return worst


@given(radius=radii, x=st.floats(-500, 500), y=st.floats(-500, 500))
def test_a_circle_is_two_half_circles_of_its_radius(radius: float, x: float, y: float) -> None:
    """A drawn circle comes back as two arcs of bulge 1 with centre and radius within 0.005 mm."""
    (x0, y0, b0), (x1, y1, b1) = bulged_rings(circle(radius, at=(x, y)))[0]
    assert b0 == b1 == 1.0
    assert math.hypot((x0 + x1) / 2 - x, (y0 + y1) / 2 - y) < 1e-6
    assert abs(math.hypot(x1 - x0, y1 - y0) / 2 - radius) < 0.005


@settings(deadline=None, max_examples=50)
@given(width=sizes, depth=sizes, share=st.floats(0.05, 0.45), turn=turns)
def test_a_rounded_rectangle_has_four_straights_and_four_corner_arcs(
    width: float, depth: float, share: float, turn: float
) -> None:
    """Four arcs of the corner's radius, joined by straight sides, at any turn; within 0.01 mm."""
    corner = max(1.0, share * min(width, depth))
    shape = moved(rectangle(width, depth, corner_mm=corner), turn_deg=turn)
    assert isinstance(shape, Polygon)
    vertices = bulged_rings(shape)[0]
    arcs = [
        arc_of(v[:2], vertices[(k + 1) % len(vertices)][:2], v[2])
        for k, v in enumerate(vertices)
        if v[2]
    ]
    assert len(arcs) == 4
    assert all(abs(radius - corner) < 0.02 + 0.01 * corner for _, _, radius, _, _ in arcs)
    assert apart_mm(shape) < 0.01


@given(
    points=st.lists(
        st.tuples(st.integers(0, 60), st.integers(0, 60)), min_size=3, max_size=9, unique=True
    )
)
def test_real_corners_stay_corners(points: list[tuple[int, int]]) -> None:
    """A polygon with whole-millimetre corners has no arcs, and keeps every corner where it was."""
    hull = shapely.convex_hull(shapely.multipoints(points))
    if not isinstance(hull, Polygon):
        return
    vertices = bulged_rings(hull)[0]
    assert all(bulge == 0 for _, _, bulge in vertices)
    assert Polygon([v[:2] for v in vertices]).equals(hull)


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 8, 12, 16, 24])
def test_a_regular_polygon_is_no_circle(sides: int) -> None:
    """A nut with up to 24 flats, 30 mm across, keeps its flats."""
    vertices = bulged_rings(regular(sides, 30.0))[0]
    assert len(vertices) == sides
    assert all(bulge == 0 for _, _, bulge in vertices)


def test_a_straight_run_of_many_points_stays_straight() -> None:
    """Points every 0.5 mm along straight sides make no arcs and are not needed."""
    dense = shapely.segmentize(shapely.box(0, 0, 80, 50), 0.5)
    assert (
        bulged(shapely.get_coordinates(dense.exterior))
        == [(0.0, 0.0, 0.0), (80.0, 0.0, 0.0), (80.0, 50.0, 0.0), (0.0, 50.0, 0.0)]
        or len(bulged(shapely.get_coordinates(dense.exterior))) == 4
    )


@settings(deadline=None, max_examples=60)
@given(
    width=st.floats(20, 200),
    depth=st.floats(20, 200),
    turn=turns,
    bite=st.floats(3.0, 30.0),
    along=st.floats(-0.2, 1.2),
    hole=st.floats(1.0, 4.0),
)
def test_pockets_with_notches_and_holes_stay_within_a_hundredth(
    width: float, depth: float, turn: float, bite: float, along: float, hole: float
) -> None:
    """Grown, turned, bitten outlines with holes: each curve is within 0.01 mm of its ring."""
    shape = grow(moved(rectangle(width, depth, corner_mm=4.0), turn_deg=turn), 1.5)
    centre = shape.centroid
    shape = shape.union(moved(circle(bite, at=(width * along, 0.0)), turn_deg=turn))
    shape = shape.difference(circle(hole, at=(centre.x, centre.y)))
    for part in shapely.get_parts(shape):
        assert apart_mm(part) < 0.01


@given(radius=st.floats(10, 300), share=st.floats(0.05, 0.99), side=st.sampled_from([1, -1]))
def test_a_typed_arc_comes_back_with_its_radius(radius: float, share: float, side: int) -> None:
    """A point list with one arc edge gives one arc of that radius, bent the way it was typed."""
    chord = 2 * radius * share
    arc = arc_points((0.0, 0.0), (chord, 0.0), side * radius)
    tall = 3 * radius
    shape = Polygon([(0.0, 0.0), *arc, (chord, 0.0), (chord, tall), (0.0, tall)])
    vertices = bulged_rings(shape)[0]
    arcs = [(k, v) for k, v in enumerate(vertices) if v[2]]
    if radius - math.sqrt(radius**2 - (chord / 2) ** 2) < 0.03:
        return
    assert len(arcs) == 1
    k, vertex = arcs[0]
    assert math.copysign(1, vertex[2]) == side
    found = arc_of(vertex[:2], vertices[(k + 1) % len(vertices)][:2], vertex[2])[2]
    rise = radius - math.sqrt(radius**2 - (chord / 2) ** 2)
    assert abs(found - radius) / radius < 0.02 / rise + 1e-6


def test_an_arc_edge_agrees_with_an_independent_reader() -> None:
    """Centre and radius of a bulged edge equal those of ezdxf's own conversion."""
    from ezdxf.math import bulge_center, bulge_radius

    for bulge in (-2.0, -1.0, -0.3, 0.1, 0.41421356, 1.0, 1.7):
        cx, cy, radius, _, _ = arc_of((3.0, 4.0), (13.0, -2.0), bulge)
        assert bulge_center((3.0, 4.0), (13.0, -2.0), bulge).isclose((cx, cy))
        assert math.isclose(abs(bulge_radius((3.0, 4.0), (13.0, -2.0), bulge)), radius)


def test_less_than_three_points_are_no_ring() -> None:
    """Two points are refused."""
    with pytest.raises(ValueError, match="three points"):
        bulged([(0.0, 0.0), (1.0, 0.0)])
