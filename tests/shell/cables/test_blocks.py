"""Boxes that stand for bodies, supports and rooms: they contain what they stand for."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

import mounted_kits
import strategies
from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.place import place
from fitkit.payload.model import FACES, Body, Face, Item, Section, Zone
from fitkit.payload.pose import flipped
from fitkit.shell.cables.blocks import (
    Block,
    body_blocks,
    boxes_of,
    front_blocks,
    outwards,
    room_blocks,
    strips_of,
    support_blocks,
)
from fitkit.shell.mounting.model import Support


@settings(deadline=None, max_examples=40)
@given(strategies.rectangles(), st.floats(0, 359), st.integers(1, 60))
def test_strips_contain_their_shape(outline: Polygon, turn: float, cut: float) -> None:
    """No part of a shape lies outside its strips, however it is turned or cut off."""
    shape = shapely.affinity.rotate(outline, turn)
    shape = shape.difference(shapely.Point(shape.bounds[0], shape.bounds[1]).buffer(float(cut)))
    strips = shapely.union_all([shapely.box(*strip) for strip in strips_of(shape)])
    corner = 0.016 * shapely.box(*shape.bounds).area if len(strips_of(shape)) == 1 else 1e-6
    assert shape.difference(strips).area < 1e-6
    assert strips.area >= shape.area - corner


@settings(deadline=None, max_examples=30)
@given(st.sampled_from(FACES), st.sampled_from([0.0, 90.0, 180.0, 270.0, 33.0]))
def test_bodies_are_contained_and_faces_look_out(up: Face, turn: float) -> None:
    """Blocks contain every band of a posed body; a face's zone lies where the face looks."""
    body = Body(
        (
            Section(shapely.box(0, 0, 90, 50), 0.0, 20.0),
            Section(shapely.Point(30, 25).buffer(15), 20.0, 44.0),
        )
    )
    zones = tuple(Zone("connector", face, (20.0, 10.0), (8.0, 6.0), 30.0) for face in FACES)
    copy = place(
        Item("box", body, zones=zones), Placement("box", 1, "deep", 1, up, turn, 40.0, 60.0, 7.0)
    )
    blocks = body_blocks([copy])
    for band in copy.solid.bands:
        middle = (band.z0_mm + band.z1_mm) / 2
        held = shapely.union_all(
            [
                shapely.box(*block.low_mm[:2], *block.high_mm[:2])
                for block in blocks
                if block.low_mm[2] - 1e-9 <= middle <= block.high_mm[2] + 1e-9
            ]
        )
        assert band.shape.difference(held).area < 1e-6
    x0, y0, x1, y1 = copy.silhouette.bounds
    centre = np.array([(x0 + x1) / 2, (y0 + y1) / 2, (copy.z0_mm + copy.z1_mm) / 2])
    for face, room in zip(FACES, copy.rooms, strict=True):
        way = np.array(outwards(copy, face))
        middle_of = np.array(
            [room.outline.centroid.x, room.outline.centroid.y, (room.z0_mm + room.z1_mm) / 2]
        )
        assert np.linalg.norm(way) == pytest.approx(1.0)
        assert (middle_of - centre) @ way > 15.0


@pytest.mark.parametrize("half", ["deep", "shallow"])
def test_before_a_front_nothing_may_run(half: str) -> None:
    """From the glass to the closing plane is kept free, in either half, and nothing behind it."""
    kit = mounted_kits.pair()
    item = kit.items[0]
    up: Face = "top"
    turn = 0.0
    if half == "shallow":
        up, turn = flipped("top", 0.0)
    z = 25.0 if half == "deep" else 200.0 - 25.0 - 40.0
    copy = place(item, Placement(item.name, 1, half, 1, up, turn, 30.0, 30.0, z))  # type: ignore[arg-type]  # one of the two
    interior = Interior(500.0, 330.0, (Half("deep", 100.0), Half("shallow", 100.0)))
    blocks = front_blocks([copy], interior=interior)
    assert blocks
    glass = copy.z1_mm if half == "deep" else copy.z0_mm
    ends = {round(z, 6) for block in blocks for z in (block.low_mm[2], block.high_mm[2])}
    assert {round(glass, 6), 100.0} <= ends
    assert all(block.kind == "front" for block in blocks)
    covered = shapely.union_all([shapely.box(*b.low_mm[:2], *b.high_mm[:2]) for b in blocks])
    assert covered.symmetric_difference(shapely.box(*copy.silhouette.bounds)).area < 1e-6


def test_rooms_for_air_and_hands_are_told_apart() -> None:
    """A vent's and a hand's room are kept free where they can be, a plug's room for plugs."""
    body = Body((Section(shapely.box(0, 0, 90, 50), 0.0, 20.0),))
    zones = (
        Zone("vent", "left", (20.0, 10.0), (8.0, 6.0), 30.0),
        Zone("hand", "front", (20.0, 10.0), (8.0, 6.0), 30.0),
        Zone("cable", "back", (20.0, 10.0), (8.0, 6.0), 30.0),
    )
    copy = place(Item("box", body, zones=zones), Placement("box", 1, "deep", 1, "top", 0, 0, 0, 0))
    assert [block.kind for block in room_blocks([copy])] == ["air", "hand", "plug room"]


def test_a_sub_panel_is_open_where_its_plug_goes_through() -> None:
    """An opening near the low end of x stays there, seen from the item's side, in either half."""
    kit = mounted_kits.desk()
    item = kit.items[0]
    for z, mirrored in ((40.0, False), (-60.0, True)):
        copy = place(item, Placement(item.name, 1, "deep", 1, "top", 0.0, 0.0, 0.0, z))
        # on the bench the item's side is up: u runs with x above the panel, against it below
        cut = shapely.box(10, 20, 50, 60)
        if mirrored:
            cut = shapely.box(400 - 50, 20, 400 - 10, 60)
        panel = Support(
            "sub-panel", "sub-panel", item.name, 1, "deep", (0.0, 0.0, 20.0), (400.0, 260.0, 26.4),
            "x", "y", 400.0, 260.0, 6.4, "board", openings=(cut,),
        )  # fmt: skip
        blocks = support_blocks([panel], [copy])
        solid = shapely.union_all([shapely.box(*b.low_mm[:2], *b.high_mm[:2]) for b in blocks])
        open_area = shapely.box(0, 0, 400, 260).difference(solid)
        assert shapely.box(10.0, 20.0, 50.0, 60.0).contains(open_area.buffer(-0.01))
        assert open_area.area > 0.4 * 1600


def test_rails_stand_in_where_none_are_made_yet() -> None:
    """Without supports the room kept for rails is gone around; with them, the rails themselves."""
    item = mounted_kits.pair().items[0]
    copy = place(item, Placement(item.name, 1, "deep", 1, "top", 0.0, 30.0, 30.0, 25.0))
    assert {block.kind for block in support_blocks([], [copy])} == {"support"}
    rail = Support(
        "rail", "rail", item.name, 1, "deep", (30.0, 60.0, 0.0), (450.0, 90.0, 20.0), "x", "y",
        420.0, 30.0, 20.0, "strip",
    )  # fmt: skip
    assert [block.owner for block in support_blocks([rail], [copy])] == ["rail"]


def test_grown_boxes_grow_on_all_sides() -> None:
    """Half a cable's thickness is added everywhere."""
    rows = boxes_of([Block((1.0, 2.0, 3.0), (4.0, 5.0, 6.0), "x")], grown_mm=2.0)
    assert rows.tolist() == [[-1.0, 0.0, 1.0, 6.0, 7.0, 8.0]]
    assert boxes_of([], grown_mm=2.0).shape == (0, 6)
