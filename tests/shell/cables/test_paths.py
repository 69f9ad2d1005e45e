"""Ways of cables: clear of everything, bent no tighter than allowed, straight at both ends."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.shell.cables.curve import length_mm, rounded, tightest_mm
from fitkit.shell.cables.ends import Ray
from fitkit.shell.cables.paths import Boxes, Way, way_between, widest_way

ROOM = ((0.0, 0.0, 0.0), (500.0, 300.0, 100.0))
NONE: Boxes = np.zeros((0, 6))
X, Y, Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
BACK_X, BACK_Y, DOWN = (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0)


def between(
    start: Ray, goal: Ray, *, boxes: Boxes = NONE, radius: float, high: float = 100.0
) -> Way | None:
    """A way in the room of these tests."""
    top = (ROOM[1][0], ROOM[1][1], high)
    return way_between([start], [goal], boxes=boxes, low_mm=ROOM[0], high_mm=top, radius_mm=radius)


def samples(way: Way) -> np.ndarray:
    """Points on the middle line, no further apart than 0.5 mm."""
    line = rounded(way.corners, radius_mm=way.radius_mm, chord_deg=1.0)
    dense = [line[:1]]
    for a, b in zip(line[:-1], line[1:], strict=True):
        steps = max(1, math.ceil(float(np.linalg.norm(b - a)) / 0.5))
        dense.append(a + (b - a) * np.linspace(0, 1, steps + 1)[1:, None])
    return np.vstack(dense)


@st.composite
def cluttered(draw: st.DrawFn) -> tuple[Boxes, Ray, Ray, float]:
    """A room with boxes in it, a connector on the left side and one at the back, and a radius."""
    boxes = []
    for _ in range(draw(st.integers(0, 7))):
        x, y = draw(st.integers(70, 360)), draw(st.integers(10, 190))
        wide, deep = draw(st.integers(10, 110)), draw(st.integers(10, 90))
        low, tall = draw(st.integers(0, 60)), draw(st.integers(6, 90))
        boxes.append((x, y, low, x + wide, y + deep, min(low + tall, 100)))
    start = Ray((10.0, float(draw(st.integers(20, 280))), float(draw(st.integers(5, 95)))), X, 8.0)
    way = draw(st.sampled_from([BACK_Y, BACK_X]))
    goal = Ray((float(draw(st.integers(440, 490))), 290.0, float(draw(st.integers(5, 95)))), way, 6)
    return np.array(boxes, dtype=float).reshape(-1, 6), start, goal, float(draw(st.integers(6, 40)))


@settings(deadline=None, max_examples=40)
@given(cluttered())
def test_ways_keep_clear_and_bend_gently(drawn: tuple[Boxes, Ray, Ray, float]) -> None:
    """Clear of every box, in the room, straight at both ends, no bend tighter than asked."""
    boxes, start, goal, radius = drawn
    way = between(start, goal, boxes=boxes, radius=radius)
    if way is None:
        return
    points = samples(way)
    for box in boxes:
        inside = np.all(points > box[:3] + 0.11, axis=1) & np.all(points < box[3:] - 0.11, axis=1)
        assert not inside.any()
    assert (points >= np.array(ROOM[0]) - 0.06).all()
    assert (points <= np.array(ROOM[1]) + 0.06).all()
    assert tightest_mm(way.line) >= radius - 1e-3
    for ray, ends in ((start, points), (goal, points[::-1])):
        run = np.array(ray.at_mm) + np.array(ray.way) * np.linspace(0, ray.straight_mm, 9)[:, None]
        apart = np.linalg.norm(ends[:, None] - run[None], axis=2).min(axis=0)
        assert apart.max() < 0.3
    drawn_mm = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    assert way.length_mm == pytest.approx(drawn_mm, rel=2e-4)
    straight = float(np.linalg.norm(np.array(start.at_mm) - np.array(goal.at_mm)))
    assert way.length_mm >= straight - 1e-6


@settings(deadline=None, max_examples=25)
@given(cluttered())
def test_a_gentler_bend_never_finds_a_way_where_a_tighter_has_none(
    drawn: tuple[Boxes, Ray, Ray, float],
) -> None:
    """The gentlest way that is found is no tighter than one that is known, and can be laid."""
    boxes, start, goal, radius = drawn
    way = widest_way(
        [start], [goal], boxes=boxes, low_mm=ROOM[0], high_mm=ROOM[1], radius_mm=radius
    )
    whole = between(start, goal, boxes=boxes, radius=radius)
    if whole is not None:
        assert way is not None
        assert way.radius_mm == radius
    elif way is not None:
        assert way.radius_mm < radius
        assert tightest_mm(way.line) >= way.radius_mm - 1e-3


@pytest.mark.parametrize(("diameter", "factor", "plug"), [(6, 4, 30), (8, 8, 22), (10, 5, 45)])
def test_a_device_needs_plug_run_radius_and_diameter_before_the_wall(
    diameter: float, factor: float, plug: float
) -> None:
    """X = L_plug + s0 + R + d: with X before the wall the cable turns, with less it cannot.

    Source: derived in the tables of cables (K1), with s0 = d, the straight run that was read. The
    wall stops the cable's outer side: its middle line stays d / 2 off it.
    """
    inside = factor * diameter
    needed = plug + diameter + inside + diameter
    radius = inside + diameter / 2
    for spare, turns in ((0.0, True), (-1.0, False)):
        wall = 100.0 + needed + spare - diameter / 2
        start = Ray((100.0, 150.0, 50.0), X, plug + diameter)
        goal = Ray((wall, 290.0, 50.0), BACK_Y, diameter)
        way = way_between(
            [start],
            [goal],
            boxes=NONE,
            low_mm=ROOM[0],
            high_mm=(wall, 300.0, 100.0),
            radius_mm=radius,
        )
        assert (way is not None) == turns


def test_a_quarter_turn_in_the_open_is_as_long_as_geometry_says() -> None:
    """No longer than two straight pieces and a quarter of a circle between them."""
    start, goal = Ray((0.0, 50.0, 50.0), X, 20.0), Ray((200.0, 250.0, 50.0), BACK_Y, 20.0)
    way = between(start, goal, radius=40.0)
    assert way is not None
    # the corner at (200, 50), rounded as gently as the straight runs leave room: never longer
    # than with the least radius
    corner = np.array([[0, 50, 50], [200, 50, 50], [200, 250, 50]], dtype=float)
    assert way.length_mm <= length_mm(corner, radius_mm=40.0) + 1e-6


def test_a_wall_across_shuts_the_way() -> None:
    """Nothing leads through a wall from side to side and floor to top; a slit in it does."""
    start, goal = Ray((10.0, 150.0, 50.0), X, 8.0), Ray((490.0, 150.0, 50.0), BACK_X, 8.0)
    wall = np.array([[240.0, -5.0, -5.0, 260.0, 305.0, 105.0]])
    assert between(start, goal, boxes=wall, radius=10.0) is None
    slit = np.array([[240.0, -5.0, -5.0, 260.0, 270.0, 105.0]])
    assert between(start, goal, boxes=slit, radius=10.0) is not None


def test_a_thin_plate_is_no_way_through() -> None:
    """A plate thinner than the lattice's step is not slipped through between two lines."""
    start, goal = Ray((10.0, 150.0, 50.0), X, 8.0), Ray((490.0, 150.0, 50.0), BACK_X, 8.0)
    plate = np.array([[247.3, -5.0, -5.0, 248.1, 305.0, 105.0]])
    assert between(start, goal, boxes=plate, radius=10.0) is None


def test_a_ray_askew_is_followed() -> None:
    """A connector that looks 30 degrees aside is left along its own direction."""
    way = (math.cos(math.pi / 6), math.sin(math.pi / 6), 0.0)
    start, goal = Ray((50.0, 50.0, 50.0), way, 15.0), Ray((400.0, 280.0, 50.0), BACK_Y, 10.0)
    found = between(start, goal, radius=20.0)
    assert found is not None
    first = found.corners[1] - found.corners[0]
    assert np.allclose(first / np.linalg.norm(first), way, atol=1e-6)
    assert float(np.linalg.norm(first)) >= 15.0


def test_the_same_question_has_the_same_answer() -> None:
    """Twice the same way, point by point."""
    boxes = np.array([[150.0, 60.0, 0.0, 300.0, 200.0, 90.0]])
    start, goal = Ray((10.0, 150.0, 40.0), X, 8.0), Ray((480.0, 150.0, 60.0), BACK_X, 8.0)
    one = between(start, goal, boxes=boxes, radius=25.0)
    other = between(start, goal, boxes=boxes.copy(), radius=25.0)
    assert one is not None
    assert other is not None
    assert np.array_equal(one.line, other.line)
