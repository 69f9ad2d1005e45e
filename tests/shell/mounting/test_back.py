"""A face of an item in the case: where its places are, and which way they run."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from fitkit.fit.layout import HalfName, Placement
from fitkit.fit.place import place
from fitkit.geometry.shapes import rectangle
from fitkit.payload.faces import FACES, Face
from fitkit.payload.model import Body, Item, Section, Zone
from fitkit.shell.mounting.back import back_of, body_depth_mm

BODY = Body((Section(rectangle(90.0, 60.0), 0.0, 30.0),))
DEEP: HalfName = "deep"


@given(
    face=st.sampled_from(FACES),
    up=st.sampled_from(FACES),
    quarter=st.integers(0, 3),
    a=st.floats(5.0, 25.0),
    b=st.floats(5.0, 25.0),
)
def test_a_place_on_a_face_is_where_a_zone_there_would_be(
    face: Face, up: Face, quarter: int, a: float, b: float
) -> None:
    """A box before the face is the room that a zone of that place, size and depth takes."""
    item = Item("brick", BODY, zones=(Zone("hand", face, (a, b), (6.0, 4.0), 12.0),))
    copy = place(item, Placement("brick", 1, DEEP, 1, up, quarter * 90.0, 40.0, 50.0, 70.0))
    low, high = back_of(copy, face).box((a, b), (6.0, 4.0), from_mm=0.0, to_mm=12.0)
    (room,) = copy.rooms
    west, south, east, north = room.outline.bounds
    assert (*low, *high) == pytest.approx(
        (west, south, room.z0_mm, east, north, room.z1_mm), abs=1e-6
    )


def test_a_turned_item_is_not_square() -> None:
    """At 30 degrees no face but the upper and the lower one lies along the axes, nor do they."""
    item = Item("brick", BODY)
    copy = place(item, Placement("brick", 1, DEEP, 1, "top", 30.0, 0.0, 0.0, 0.0))
    assert not back_of(copy, "bottom").square
    assert not back_of(copy, "left").square
    assert back_of(
        place(item, Placement("brick", 1, DEEP, 1, "left", 270.0, 0.0, 0.0, 0.0)), "bottom"
    ).square


@pytest.mark.parametrize(
    ("face", "at", "deep"),
    [
        ("bottom", (45.0, 30.0), 0.0),
        ("bottom", (5.0, 30.0), 12.0),
        ("top", (5.0, 30.0), 0.0),
        ("front", (45.0, 5.0), 15.0),
        ("front", (45.0, 20.0), 0.0),
        ("back", (45.0, 5.0), 15.0),
        ("left", (30.0, 5.0), 20.0),
        ("right", (30.0, 5.0), 40.0),
        ("left", (30.0, 20.0), 0.0),
    ],
)
def test_how_deep_the_body_lies(face: Face, at: tuple[float, float], deep: float) -> None:
    """A frame 90 x 60 from 12 to 30 with a box 30 x 30 at 20, 15 under it, by hand."""
    stepped = Body((Section(rectangle(90.0, 60.0), 12.0, 30.0),
                    Section(rectangle(30.0, 30.0, at=(20.0, 15.0)), 0.0, 12.0)))  # fmt: skip
    assert body_depth_mm(stepped, face, *at) == pytest.approx(deep)


def test_beside_the_body_is_nothing() -> None:
    """A place off the outline has no body behind it."""
    hole = list(rectangle(30.0, 20.0, at=(30.0, 20.0)).exterior.coords)
    outline = Polygon(rectangle(90.0, 60.0).exterior, [hole])
    ring = Body((Section(outline, 0.0, 10.0),))
    assert body_depth_mm(ring, "bottom", 45.0, 30.0) is None
    assert body_depth_mm(ring, "bottom", 10.0, 30.0) == 0.0
