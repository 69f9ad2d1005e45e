"""What the view draws: nothing missing, nothing in the way of anything else."""

from __future__ import annotations

import json
from typing import Any

import pytest
import shapely
from attrs import evolve
from shapely import Polygon

import hand_plan
from fitkit.fit.layout import Half, Interior
from fitkit.fit.place import place_all
from fitkit.scene.page import view_frame, view_page
from fitkit.scene.solids import LID, scene_of, solids_of, wall_mm

PLAN = hand_plan.plan()


def area(piece: dict[str, Any]) -> float:
    """The area that the triangles of a piece cover; all must be counter-clockwise."""
    flat = [value for ring in piece["rings"] for value in ring]
    corners = list(zip(flat[::2], flat[1::2], strict=True))
    total = 0.0
    for k in range(0, len(piece["triangles"]), 3):
        (ax, ay), (bx, by), (cx, cy) = (corners[i] for i in piece["triangles"][k : k + 3])
        one = ((bx - ax) * (cy - ay) - (cx - ax) * (by - ay)) / 2
        assert one > 0
        total += one
    return total


def test_every_sheet_item_and_wall_is_there_at_its_height() -> None:
    """Each layer, each copy and both halves' walls are in the scene with their own bands."""
    solids = solids_of(PLAN)
    for layer in PLAN.foam.layers:
        (one,) = [s for s in solids if s.name == layer.name]
        assert (one.z0_mm, one.z1_mm) == (layer.z0_mm, layer.z1_mm)
        assert one.shape.equals(layer.shape)
    placed = place_all(PLAN.payload, PLAN.fit.placements)
    assert {s.name for s in solids if s.kind == "item"} == {one.label for one in placed}
    assert [s.half for s in solids if s.kind == "panel"] == ["deep", "deep", "shallow", "shallow"]


def test_the_walls_are_what_stands_between_inside_and_outside() -> None:
    """Their volume is that of the outside box less the room; nothing of them is in the room."""
    solids = [s for s in solids_of(PLAN) if s.kind == "panel"]
    made = sum(s.shape.area * (s.z1_mm - s.z0_mm) for s in solids)
    outside = 1.0
    for inside, wall in zip(PLAN.fit.interior.size_mm, wall_mm(PLAN), strict=True):
        outside *= inside + 2 * wall
    length, width, height = PLAN.fit.interior.size_mm
    assert made == pytest.approx(outside - length * width * height)


def test_triangles_cover_each_piece_and_nothing_else() -> None:
    """The triangles of every piece add up to its area, holes left out; heights and JSON agree."""
    scene = json.loads(json.dumps(scene_of(PLAN)))
    for part in scene["parts"]:
        for piece in part["pieces"]:
            shell, *holes = (
                list(zip(ring[::2], ring[1::2], strict=True)) for ring in piece["rings"]
            )
            assert area(piece) == pytest.approx(Polygon(shell, holes).area, rel=1e-3)


def test_taken_apart_nothing_touches() -> None:
    """Lifted, no two solids of a half share room, but for the bands of one item."""
    room = PLAN.fit.interior.height_mm
    boxes = []
    for s in solids_of(PLAN):
        z = (s.z0_mm, s.z1_mm) if s.half == "deep" else (room - s.z1_mm, room - s.z0_mm)
        boxes.append((s, z[0] + s.lift_mm, z[1] + s.lift_mm))
    for i, (one, low, high) in enumerate(boxes):
        for other, low2, high2 in boxes[i + 1 :]:
            if one.half != other.half or (one.name == other.name and one.kind == "item"):
                continue
            if low < high2 - 1e-9 and low2 < high - 1e-9:
                assert shapely.area(one.shape.intersection(other.shape)) < 1e-6


def test_a_tray_shows_its_loose_lid() -> None:
    """With one half there is a lid of its own that can be laid aside."""
    room = PLAN.fit.interior
    tray = Interior(room.length_mm, room.width_mm, (Half("tray", room.height_mm),))
    fit = evolve(PLAN.fit, interior=tray, placements=())
    scene = scene_of(evolve(PLAN, fit=fit, foam=evolve(PLAN.foam, layers=())))
    (lid,) = [part for part in scene["parts"] if part["half"] == LID]
    assert lid["swings"]
    assert [half["name"] for half in scene["halves"]] == ["tray", LID]


def test_the_page_holds_all_it_needs() -> None:
    """No address of another computer is in the page, and a title cannot end its script."""
    payload = evolve(PLAN.payload, title='A "case" </script><b>&')
    page = view_page(evolve(PLAN, payload=payload), look="")
    assert "http" not in page
    assert page.count("</script>") == 2
    frame = view_frame(PLAN, look="", height_px=500)
    assert frame.startswith("<iframe")
    assert frame.count('"') == 8
