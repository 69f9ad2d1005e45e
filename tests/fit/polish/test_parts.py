"""Convex parts, few vertices, directions and gaps: checked against shapely."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from fitkit.fit.pieces import Piece
from fitkit.fit.polish.apart import separations
from fitkit.fit.polish.apart_compiled import separations_of
from fitkit.fit.polish.parts import convex_parts, fewer_vertices, parts_of
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, Item, Section
from strategies import hulls, outlines


@settings(deadline=None, max_examples=60)
@given(outlines())
def test_convex_parts_make_up_the_outline(outline: Polygon) -> None:
    """Parts are convex, do not overlap, and together are the outline (holes filled)."""
    solid = Polygon(outline.exterior)
    parts = [Polygon(ring) for ring in convex_parts(solid)]
    for part in parts:
        assert part.convex_hull.area == pytest.approx(part.area, rel=1e-6)
    assert sum(part.area for part in parts) == pytest.approx(solid.area, rel=1e-6)
    assert shapely.union_all(parts).symmetric_difference(solid).area < 1e-6 * solid.area


@settings(deadline=None, max_examples=60)
@given(outlines(), st.sampled_from((0.01, 0.15)))
def test_fewer_vertices_contain_the_outline(outline: Polygon, tolerance: float) -> None:
    """Nothing is cut off, and nothing reaches farther out than the tolerance."""
    solid = Polygon(outline.exterior)
    few = fewer_vertices(solid, tolerance)
    assert few.buffer(1e-6).covers(solid)
    assert solid.buffer(tolerance * 1.01 + 1e-6, join_style="mitre").covers(few)
    assert len(few.exterior.coords) <= len(solid.exterior.coords)


def test_straight_sides_stay_where_they_are() -> None:
    """A box with rounded corners keeps its four sides to the last digit."""
    box = rectangle(120.0, 80.0, corner_mm=6.0)
    assert fewer_vertices(box, 0.15).bounds == pytest.approx(box.bounds, abs=1e-9)


@pytest.mark.parametrize("outline", [circle(30.0), rectangle(90.0, 50.0, corner_mm=8.0)])
def test_round_parts_become_a_core_with_a_radius(outline: Polygon) -> None:
    """Core and radius contain the outline and reach no farther than the tolerance."""
    bounds = outline.bounds
    shifted = shapely.transform(outline, lambda xy: xy - np.array(bounds[:2]))
    piece = Piece(Item("part", Body((Section(shifted, 0.0, 10.0),))), "top")
    (part,), _ = parts_of(piece, 0.15)
    core = shapely.MultiPoint(part.core).convex_hull
    assert len(part.core) < 9
    for x, y in shapely.get_coordinates(shifted):
        assert core.distance(shapely.Point(x, y)) <= part.radius_mm + 1e-9
    grown = core.buffer(part.radius_mm, quad_segs=90)
    assert shifted.buffer(0.16).covers(grown)


@settings(deadline=None, max_examples=80)
@given(hulls(), hulls(), st.floats(-150.0, 150.0), st.floats(-150.0, 150.0))
def test_gaps_are_the_distances(one: Polygon, other: Polygon, dx: float, dy: float) -> None:
    """Apart, the gap is the distance; overlapping, a shift by the gap just parts the two."""
    a = shapely.get_coordinates(shapely.orient_polygons(one))[:-1]
    b = shapely.get_coordinates(shapely.orient_polygons(other))[:-1] + np.array([dx, dy])
    size = max(len(a), len(b))
    corners = np.stack([np.pad(r, ((0, size - len(r)), (0, 0)), mode="edge") for r in (a, b)])
    way, gap = separations(corners[:1], corners[1:])
    assert np.hypot(*way[0]) == pytest.approx(1.0)
    still, moved = Polygon(a), Polygon(b)
    if gap[0] > 0:
        assert gap[0] == pytest.approx(still.distance(moved), abs=1e-6)
    else:
        parted = shapely.transform(moved, lambda xy: xy - gap[0] * way[0])
        assert still.intersection(parted).area < 1e-3
    ways, gaps = separations_of(
        corners, np.array([len(a), len(b)]), np.array([0]), np.array([1]), np.array([np.inf])
    )
    assert gaps[0] == pytest.approx(gap[0], abs=1e-9)
    assert np.hypot(*ways[0]) == pytest.approx(1.0)
