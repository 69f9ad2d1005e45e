"""A body in every pose: nothing of it is lost, and nothing is bigger than its box."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.geometry.shapes import circle
from fitkit.payload.model import FACES, Body, Face, Item, Section, Zone
from fitkit.payload.pose import Solid, body_size, flipped, posed, stood
from strategies import bodies, halves, items

# Rotations that bring a face up, as right-handed matrices on (x, y, z); by hand, independent of
# the module: the image of the named face's outward normal is (0, 0, 1).
NORMALS: dict[Face, tuple[int, int, int]] = {
    "top": (0, 0, 1),
    "bottom": (0, 0, -1),
    "left": (-1, 0, 0),
    "right": (1, 0, 0),
    "front": (0, -1, 0),
    "back": (0, 1, 0),
}


def carried(xyz: np.ndarray, up: Face, size: tuple[float, float, float]) -> np.ndarray:
    """Points of the measured pose as they lie when ``up`` looks up (through ``stood``)."""
    return np.array([stood((*point, *point), up, size)[:3] for point in xyz])


def rotation(up: Face) -> np.ndarray:
    """The matrix of a pose: what it does to the three directions."""
    unit = carried(np.vstack([np.zeros(3), np.eye(3)]), up, (7.0, 11.0, 13.0))
    return (unit[1:] - unit[0]).T


def about_z(turn_deg: float) -> np.ndarray:
    """A turn about the vertical, counter-clockwise seen from above."""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def volume(solid: Solid) -> float:
    """The volume of a solid [mm3]."""
    return sum(band.shape.area * (band.z1_mm - band.z0_mm) for band in solid.bands)


def true_volume(body: Body) -> float:
    """The volume of the union of the sections, worked out band by band."""
    marks = sorted({m for s in body.sections for m in (s.z0_mm, s.z1_mm)})
    total = 0.0
    for low, high in zip(marks[:-1], marks[1:], strict=True):
        here = [s.outline for s in body.sections if s.z0_mm < (low + high) / 2 < s.z1_mm]
        total += shapely.union_all(here).area * (high - low)
    return total


@st.composite
def bodies_with_points(draw: st.DrawFn) -> tuple[Body, np.ndarray]:
    """A body and some points within it."""
    body = draw(bodies())
    points = []
    for section in body.sections:
        x0, y0, x1, y1 = section.outline.bounds
        for _ in range(6):
            fx, fy, fz = (draw(st.floats(0, 1)) for _ in range(3))
            x, y = x0 + fx * (x1 - x0), y0 + fy * (y1 - y0)
            if section.outline.covers(shapely.Point(x, y)):
                points.append((x, y, section.z0_mm + fz * (section.z1_mm - section.z0_mm)))
        corner = section.outline.exterior.coords[0]
        points.append((corner[0], corner[1], section.z1_mm))
    return body, np.array(points)


@pytest.mark.parametrize("up", FACES)
def test_a_pose_is_a_rotation_that_brings_its_face_up(up: Face) -> None:
    """Each pose is a proper rotation (never a mirror image), with the named face on top."""
    matrix = rotation(up)
    assert np.allclose(matrix @ matrix.T, np.eye(3))
    assert np.linalg.det(matrix) == pytest.approx(1.0)
    assert np.allclose(matrix @ NORMALS[up], (0, 0, 1))


@settings(max_examples=60, deadline=None)
@given(bodies_with_points(), st.sampled_from(FACES))
def test_a_posed_solid_contains_the_body(found: tuple[Body, np.ndarray], up: Face) -> None:
    """Every point of the body is in the posed solid, and its volume is never less."""
    body, points = found
    item = Item("probe", body)
    solid = posed(item, up)
    for x, y, z in carried(points, up, body_size(body)):
        near = [b for b in solid.bands if b.z0_mm - 1e-6 <= z <= b.z1_mm + 1e-6]
        assert any(b.shape.distance(shapely.Point(x, y)) <= 1e-6 for b in near)
    assert volume(solid) >= true_volume(body) * (1 - 1e-9) - 1e-6


@settings(max_examples=60, deadline=None)
@given(bodies(), st.sampled_from(FACES))
def test_the_box_of_a_pose_is_that_of_the_body(body: Body, up: Face) -> None:
    """The posed solid's box has the body's three sizes, starts at 0, 0, 0, and has no gaps."""
    w, d, h = body_size(body)
    solid = posed(Item("probe", body), up)
    x0, y0, x1, y1 = solid.silhouette.bounds
    box = {"top": (w, d, h), "bottom": (w, d, h), "left": (h, d, w), "right": (h, d, w)}.get(
        up, (w, h, d)
    )
    assert (x0, y0, solid.z0_mm) == pytest.approx((0, 0, 0), abs=1e-6)
    assert (x1, y1, solid.height_mm) == pytest.approx(box, abs=1e-6)
    for lower, upper in zip(solid.bands[:-1], solid.bands[1:], strict=True):
        assert upper.z0_mm == pytest.approx(lower.z1_mm, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(bodies())
def test_upright_poses_are_exact(body: Body) -> None:
    """As measured and upside down nothing is added: the volume is the body's own."""
    item = Item("probe", body)
    for up in ("top", "bottom"):
        assert volume(posed(item, up)) == pytest.approx(true_volume(body), rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(items(), st.sampled_from(FACES), st.integers(0, 3))
def test_four_quarter_turns_come_back(item: Item, up: Face, quarters: int) -> None:
    """Turning in quarters keeps volume and height, and a full turn is no turn."""
    solid = posed(item, up)
    once = solid.placed(turn_deg=90.0 * quarters, x_mm=0, y_mm=0, z_mm=0)
    back = once.placed(turn_deg=360.0 - 90.0 * quarters, x_mm=0, y_mm=0, z_mm=0)
    assert volume(once) == pytest.approx(volume(solid), rel=1e-9)
    assert once.height_mm == pytest.approx(solid.height_mm)
    home = solid.placed(turn_deg=0, x_mm=0, y_mm=0, z_mm=0)
    for a, b in zip(back.bands, home.bands, strict=True):
        assert a.shape.symmetric_difference(b.shape).area < 1e-6
    for one, two in zip(back.rooms, home.rooms, strict=True):
        assert one.outline.symmetric_difference(two.outline).area < 1e-6


@settings(max_examples=40, deadline=None)
@given(items(), st.sampled_from(FACES), st.floats(0, 360), halves(-50, 400), halves(-50, 400))
def test_placing_puts_the_box_where_it_was_asked(
    item: Item, up: Face, turn: float, x: float, y: float
) -> None:
    """The lower left bottom corner of the turned body's box stands at x, y, z."""
    solid = posed(item, up).placed(turn_deg=turn, x_mm=x, y_mm=y, z_mm=31.0)
    left, low, _, _ = shapely.total_bounds([band.shape for band in solid.bands])
    assert (left, low, solid.z0_mm) == pytest.approx((x, y, 31.0), abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(items(zones_at_most=2), st.sampled_from(FACES))
def test_zones_stay_outside_the_body_and_touch_its_box(item: Item, up: Face) -> None:
    """A zone has its size in every pose, keeps off the body's box, and shares a face with it."""
    solid = posed(item, up)
    box = shapely.box(*solid.silhouette.bounds)
    for zone, room in zip(item.zones, solid.rooms, strict=True):
        volume_mm3 = room.outline.area * (room.z1_mm - room.z0_mm)
        assert volume_mm3 == pytest.approx(zone.size_mm[0] * zone.size_mm[1] * zone.depth_mm)
        over_plan = room.outline.intersection(box).area
        over_height = min(room.z1_mm, solid.z1_mm) - max(room.z0_mm, solid.z0_mm)
        assert over_plan < 1e-6 or over_height < 1e-6
        assert room.outline.distance(box) < 1e-6
        assert over_height > -1e-6


def test_a_zone_goes_with_its_face() -> None:
    """The plug at a box's back looks up when the back looks up, at the place it was measured."""
    body = Body((Section(shapely.box(0, 0, 100, 60), 0, 40),))
    # seen from behind, 20 from the left is 20 from the box's right-hand end
    item = Item("box", body, zones=(Zone("connector", "back", (20.0, 10.0), (8.0, 6.0), 30.0),))
    standing = posed(item, "back")
    (room,) = standing.rooms
    assert (room.z0_mm, room.z1_mm) == (60.0, 90.0)
    assert room.outline.bounds == pytest.approx((76.0, 27.0, 84.0, 33.0))
    measured = posed(item, "top").rooms[0]
    assert measured.outline.bounds == pytest.approx((76.0, 60.0, 84.0, 90.0))
    assert (measured.z0_mm, measured.z1_mm) == pytest.approx((7.0, 13.0))


def test_a_can_on_its_side_is_a_drum() -> None:
    """A cylinder lying down contains the true drum and, in bands of 2 mm, is at most 6 % larger."""
    can = Item("can", Body((Section(circle(20.0, at=(20.0, 20.0)), 0.0, 90.0),)))
    lying = posed(can, "front")
    true = math.pi * 20.0**2 * 90.0
    assert true <= volume(lying) <= 1.06 * true


@settings(max_examples=30, deadline=None)
@given(items())
def test_upside_down_twice_is_as_measured(item: Item) -> None:
    """Turning an item over twice gives the pose it was measured in."""
    over = posed(item, "bottom")
    body = Body(
        tuple(
            Section(part, band.z0_mm, band.z1_mm)
            for band in over.bands
            for part in shapely.get_parts(band.shape)
        )
    )
    again = posed(evolve(item, body=body, zones=()), "bottom")
    for a, b in zip(again.bands, posed(item, "top").bands, strict=True):
        assert a.shape.symmetric_difference(b.shape).area < 1e-6
        assert (a.z0_mm, a.z1_mm) == pytest.approx((b.z0_mm, b.z1_mm))


@given(st.sampled_from(FACES), st.floats(0, 360, exclude_max=True))
def test_closing_a_half_is_half_a_turn_about_the_long_side(up: Face, turn: float) -> None:
    """The flipped pose is the same rotation as the pose followed by 180 degrees about x."""
    over, turned = flipped(up, turn)
    closed = np.diag([1.0, -1.0, -1.0]) @ about_z(turn) @ rotation(up)
    assert np.allclose(about_z(turned) @ rotation(over), closed)
    assert 0 <= turned < 360
    again, back = flipped(over, turned)
    assert again == up
    assert math.cos(math.radians(back - turn)) == pytest.approx(1.0)
