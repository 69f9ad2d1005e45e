"""Faces, panels and profiles in their own coordinates, and back."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from assemblies import kits, panel_box
from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import Payload
from fitkit.payload.workshop import SIDES, Side
from fitkit.shell.bars import bars_of
from fitkit.shell.frame import (
    AXES,
    along,
    from_face,
    from_panel,
    mirrored,
    opposite,
    out_of,
    plane_mm,
    side_at,
    to_bar,
    to_face,
    to_panel,
    u_of,
    v_of,
)
from fitkit.shell.graph import assembly_of
from fitkit.shell.model import Bar, Point
from fitkit.shell.panels import panels_of
from strategies import outlines

lengths = st.floats(-2000.0, 2000.0)
points = st.tuples(lengths, lengths, lengths)
sides = st.sampled_from(SIDES)

SEEN = {
    "front": ((1, 0, 0), (0, 0, 1)),
    "back": ((-1, 0, 0), (0, 0, 1)),
    "left": ((0, -1, 0), (0, 0, 1)),
    "right": ((0, 1, 0), (0, 0, 1)),
    "top": ((1, 0, 0), (0, 1, 0)),
    "bottom": ((-1, 0, 0), (0, 1, 0)),
}
"""What one sees to the right and upwards, for each face; by hand, standing before it."""


def vector(axis: int, sense: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """A unit vector of the case."""
    found = np.zeros(3)
    found[axis] = sense
    return found


@pytest.mark.parametrize("side", SIDES)
def test_u_v_and_out_are_right_handed(side: Side) -> None:
    """U x v points out of the face, so what is drawn is what one sees, not its mirror image."""
    u, v, out = vector(*u_of(side)), vector(*v_of(side)), vector(*out_of(side))
    assert np.cross(u, v).tolist() == out.tolist()
    assert [u.tolist(), v.tolist()] == [list(map(float, one)) for one in SEEN[side]]


@given(sides, points)
def test_to_face_and_back(side: Side, point: Point) -> None:
    """From a face and to it are inverse, and lengths within the face are kept."""
    axis, _ = out_of(side)
    assert from_face(side, to_face(side, point), point[axis]) == point


@given(sides, points, points)
def test_faces_keep_distances(side: Side, one: Point, two: Point) -> None:
    """Two points of one plane are as far apart in u and v as in the case."""
    axis, _ = out_of(side)
    level = tuple(one[axis] if index == axis else value for index, value in enumerate(two))
    seen = math.dist(to_face(side, one), to_face(side, level))  # type: ignore[arg-type]  # by test
    assert seen == pytest.approx(math.dist(one, level), abs=1e-9)


@pytest.mark.parametrize("side", SIDES)
def test_opposite_faces(side: Side) -> None:
    """The opposite of the opposite is the face itself; both look along one axis, apart."""
    assert opposite(opposite(side)) == side
    assert out_of(opposite(side)) == (out_of(side)[0], -out_of(side)[1])
    axis, sense = out_of(side)
    assert side_at(AXES[axis], high=sense > 0) == side


@settings(max_examples=40)
@given(kits(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_panels_and_back(drawn: tuple[Interior, Payload], right: float, up: float) -> None:
    """From a panel and to it are inverse; outer and inner face are its thickness apart."""
    interior, payload = drawn
    for panel in panels_of(assembly_of(interior, payload=payload), payload=payload):
        uv = (right * panel.length_mm, up * panel.width_mm)
        outer, inner = (from_panel(panel, *uv, out=out) for out in (True, False))
        assert to_panel(panel, outer) == pytest.approx(uv, abs=1e-9)
        assert to_panel(panel, inner) == pytest.approx(uv, abs=1e-9)
        axis, sense = out_of(panel.side)
        assert sense * (outer[axis] - inner[axis]) == pytest.approx(panel.thickness_mm)
        low, high = panel_box(panel)
        for point in (outer, inner):
            assert all(a - 1e-9 <= p <= b + 1e-9 for a, p, b in zip(low, point, high, strict=True))


@settings(max_examples=40)
@given(kits())
def test_a_panel_starts_at_its_lower_left_corner(drawn: tuple[Interior, Payload]) -> None:
    """(0, 0) is the corner at the left and at the bottom of one who looks at it from outside."""
    interior, payload = drawn
    for panel in panels_of(assembly_of(interior, payload=payload), payload=payload):
        start = to_face(panel.side, from_panel(panel, 0.0, 0.0))
        corners = [to_face(panel.side, corner) for corner in panel_box(panel)]
        assert start[0] == pytest.approx(min(corner[0] for corner in corners), abs=1e-9)
        assert start[1] == pytest.approx(min(corner[1] for corner in corners), abs=1e-9)


@settings(max_examples=40)
@given(kits())
def test_profiles_start_at_nothing_and_end_at_their_length(
    drawn: tuple[Interior, Payload],
) -> None:
    """On both leaves start and end lie on the outer line, 0 and the length along it."""
    interior, payload = drawn
    case = assembly_of(interior, payload=payload)
    for bar in bars_of(case, wall=payload.wall):
        middle = tuple(
            (low + high) / 2
            for low, high in zip(
                case.part(bar.part).low_mm, case.part(bar.part).high_mm, strict=True
            )
        )
        for side in bar.sides:
            assert to_bar(bar, bar.start_mm, side) == pytest.approx((0.0, 0.0))
            assert to_bar(bar, bar.end_mm, side) == pytest.approx((bar.length_mm, 0.0))
            # inwards is positive: the middle of the part lies away from every edge of it
            assert to_bar(bar, middle, side)[1] > 0  # type: ignore[arg-type]  # by test
            assert along(bar)[1] == 1


def test_a_profile_has_two_leaves() -> None:
    """A face that the profile does not touch is refused."""
    bar = Bar(
        "deep",
        "edge",
        ("bottom", "front"),
        (30.0, 0.0, 0.0),
        (70.0, 0.0, 0.0),
        40.0,
        40.0,
        "square",
    )
    with pytest.raises(ValueError, match="no leaf on the top"):
        to_bar(bar, (0.0, 0.0, 0.0), "top")


@settings(max_examples=40)
@given(outlines(), st.floats(50.0, 900.0))
def test_mirrored_twice_is_the_same(shape: shapely.Polygon, width: float) -> None:
    """A mirror image keeps area and height, its mirror image is the shape again."""
    flipped = mirrored(shape, width)
    assert flipped.is_valid
    assert flipped.area == pytest.approx(shape.area)
    assert flipped.bounds[1::2] == shape.bounds[1::2]
    assert flipped.bounds[0] == pytest.approx(width - shape.bounds[2])
    assert mirrored(flipped, width).symmetric_difference(shape).area == pytest.approx(0, abs=1e-6)


def test_a_mirrored_hole_is_where_it_is_from_inside() -> None:
    """What lies 30 from the left as seen from outside lies 30 from the right seen from inside."""
    assert mirrored(shapely.Point(30.0, 12.0), 200.0).coords[0] == (170.0, 12.0)


def test_where_a_face_lies() -> None:
    """A part's six faces at its six coordinates."""
    payload = Payload("kit", ())
    inside = Interior(400.0, 300.0, (Half("deep", 200.0), Half("shallow", 90.0)))
    deep = assembly_of(inside, payload=payload).part("deep")
    assert [plane_mm(deep, side) for side in SIDES] == [-10.0, 200.0, -10.0, 310.0, -10.0, 410.0]
