"""Drawn shapes contain what they stand for, and are never far from it."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from fitkit.geometry.shapes import (
    CHORD_MM,
    arc_points,
    circle,
    grow,
    moved,
    rectangle,
    regular,
    steps_for,
    union,
)
from strategies import halves, outlines

radii = st.floats(0.5, 400.0)
spots = st.tuples(st.floats(-300, 300), st.floats(-300, 300))


@given(radii, spots)
def test_a_circle_contains_the_true_one(radius: float, at: tuple[float, float]) -> None:
    """No flat comes inside the true circle, no vertex is far outside, and the box is exact."""
    drawn = circle(radius, at=at)
    middle = shapely.Point(at)
    assert drawn.exterior.distance(middle) >= radius * (1 - 1e-12)
    reach = max(math.dist(at, xy) for xy in drawn.exterior.coords)
    assert reach <= radius + 1.5 * CHORD_MM
    box = (at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius)
    assert drawn.bounds == pytest.approx(box, abs=1e-9)


@given(radii, st.floats(1, 360))
def test_arcs_take_enough_steps(radius: float, sweep: float) -> None:
    """The rise of each chord over its arc is no more than the promised distance."""
    steps = steps_for(radius, sweep)
    rise = radius * (1 - math.cos(math.radians(sweep) / steps / 2))
    assert rise <= CHORD_MM * (1 + 1e-9) or steps == 720
    assert steps % 4 == 0


@given(halves(4, 400), halves(4, 400), st.floats(0.01, 60), spots)
def test_a_rounded_rectangle_is_between_its_true_self_and_its_box(
    width: float, depth: float, corner: float, at: tuple[float, float]
) -> None:
    """It fills its box exactly, and the true round corners lie within it."""
    drawn = rectangle(width, depth, corner_mm=corner, at=at)
    box = shapely.box(at[0], at[1], at[0] + width, at[1] + depth)
    assert drawn.bounds == pytest.approx(box.bounds, abs=1e-9)
    radius = min(corner, width / 2, depth / 2)
    true_area = width * depth - (4 - math.pi) * radius**2
    assert (
        true_area - 1e-6 <= drawn.area <= true_area + 1.5 * CHORD_MM * 2 * math.pi * radius + 1e-6
    )
    for step in range(32):  # points on the true upper right corner
        angle = step / 31 * math.pi / 2
        x = at[0] + width - radius + radius * math.cos(angle)
        y = at[1] + depth - radius + radius * math.sin(angle)
        assert drawn.distance(shapely.Point(x, y)) < 1e-9


@given(st.integers(3, 40), halves(2, 300))
def test_a_regular_polygon_has_its_width_across_flats(sides: int, across: float) -> None:
    """Every flat is half the width away from the middle, and the area is n r^2 tan(pi/n)."""
    drawn = regular(sides, across)
    coords = shapely.get_coordinates(drawn)
    middles = (coords[1:] + coords[:-1]) / 2
    assert np.hypot(*middles.T) == pytest.approx(across / 2)
    area = sides * (across / 2) ** 2 * math.tan(math.pi / sides)
    assert drawn.area == pytest.approx(area)
    assert drawn.bounds[1] == pytest.approx(-across / 2)


def test_a_polygon_of_two_sides_is_refused() -> None:
    """Fewer than three sides enclose nothing."""
    with pytest.raises(ValueError, match="3 sides"):
        regular(2, 10.0)


@given(spots, spots, st.floats(1.0, 4.0), st.sampled_from((1, -1)))
def test_an_arc_keeps_its_radius(
    start: tuple[float, float], end: tuple[float, float], slack: float, side: int
) -> None:
    """Points lie on one circle of the radius, on the side that its sign says."""
    chord = math.dist(start, end)
    if chord < 1.0:
        return
    radius = chord / 2 * slack
    points = arc_points(start, end, side * radius)
    middle = np.mean([start, end], axis=0)
    along = (np.array(end) - start) / chord
    right = np.array([along[1], -along[0]])
    rise = math.sqrt(max(radius**2 - (chord / 2) ** 2, 0.0))
    centre = middle - side * right * rise
    away = np.hypot(*(np.array(points) - centre).T)
    assert away == pytest.approx(radius, rel=1e-6)
    assert np.all(side * (np.array(points) - middle) @ right > -1e-6)


@given(halves(4, 200), st.floats(1.0, 4.0))
def test_an_outside_arc_contains_the_true_one(chord: float, slack: float) -> None:
    """Drawn outside, the true arc lies within the outline and the ends stay where they are."""
    radius = chord / 2 * slack
    start, end = (0.0, 0.0), (0.0, chord)
    ring = [start, *arc_points(start, end, radius, outside=True), end]
    outline = shapely.Polygon(ring)
    true = [start, *arc_points(start, end, radius), end]
    for point in true:
        assert outline.distance(shapely.Point(point)) < 1e-9
    assert outline.area <= shapely.Polygon(true).area + 2.1 * CHORD_MM * math.pi * radius


def test_an_arc_too_tight_for_its_ends_is_refused() -> None:
    """A radius under half the distance of the ends draws no arc."""
    with pytest.raises(ValueError, match="radius"):
        arc_points((0, 0), (0, 40), 19.0)


@given(outlines(), st.floats(0.1, 40))
def test_growing_is_never_short(outline: shapely.Polygon, distance: float) -> None:
    """Nothing within the distance of the outline is outside the grown one; it is not far out."""
    grown = grow(outline, distance)
    assert grown.covers(outline)
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_parts(grown.boundary)]
    middles = np.vstack([(ring[1:] + ring[:-1]) / 2 for ring in rings])
    away = shapely.distance(outline, shapely.points(middles))
    assert away.min() >= distance - 1e-6
    corners = shapely.distance(outline, shapely.points(np.vstack(rings)))
    assert corners.max() <= 1.01 * distance * math.sqrt(2) + 2 * CHORD_MM


def test_shrinking_is_exact_along_straight_edges() -> None:
    """A negative distance takes just that from each side."""
    assert grow(shapely.box(0, 0, 10, 20), -3.0).bounds == pytest.approx((3, 3, 7, 17))


@given(outlines(), st.integers(0, 7))
def test_quarter_turns_are_exact(outline: shapely.Polygon, quarters: int) -> None:
    """Four quarter turns give back the very same coordinates, not nearly the same."""
    turned = outline
    for _ in range(4):
        turned = moved(turned, turn_deg=90.0 * quarters)
    assert np.array_equal(shapely.get_coordinates(turned), shapely.get_coordinates(outline))
    assert moved(outline, turn_deg=90.0 * quarters).area == pytest.approx(outline.area)


@given(outlines(), st.floats(-360, 720), spots)
def test_moving_keeps_shape(outline: shapely.Polygon, turn: float, by: tuple[float, float]) -> None:
    """Area and length stay, and a turn is counter-clockwise seen from above."""
    there = moved(outline, turn_deg=turn, by=by)
    assert there.area == pytest.approx(outline.area)
    assert there.length == pytest.approx(outline.length)
    x, y = shapely.get_coordinates(moved(shapely.Point(1, 0), turn_deg=30.0))[0]
    assert (x, y) == pytest.approx((math.sqrt(3) / 2, 0.5))


@given(outlines(), outlines())
def test_a_union_does_not_depend_on_the_order(a: shapely.Polygon, b: shapely.Polygon) -> None:
    """Equal shapes compare equal, whichever came first."""
    assert union([a, b]).equals(union([b, a]))
