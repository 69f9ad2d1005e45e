"""Rails and blocks: under rows of holes, on the panel or between walls, with room for heads."""

from __future__ import annotations

import pytest
from attrs import evolve

from fitkit.fit.layout import Placement
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section, Zone
from fitkit.payload.mounts import HolePattern, Mount, Rails
from fitkit.payload.workshop import Workshop
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.shell.model import Fitted
from support_kits import (
    ON_RAILS,
    PATTERN,
    SIDES,
    VOID_MM,
    WALL_RAILS,
    WIDTH_MM,
    between_walls,
    held,
    of_kind,
    one_screen,
    said,
    screen,
    twins,
)


def test_two_screens_on_rails_by_hand() -> None:
    """Two rails each, under the rows of holes, 20 high; packings fill 3 mm and the void."""
    found = twins()
    assert found.mounting.troubles == ()
    rails = of_kind(found, "rail")
    assert [(one.low_mm, one.high_mm) for one in rails[:2]] == [
        ((35.0, 91.0, 3.0), (455.0, 121.0, 23.0)),
        ((35.0, 191.0, 3.0), (455.0, 221.0, 23.0)),
    ]
    assert [one.low_mm[2] for one in rails[2:]] == [137.0, 137.0]
    packings = of_kind(found, "batten")
    assert [one.thick_mm for one in packings] == pytest.approx([3.0 + VOID_MM] * 4)
    threads = [one for one in found.mounting.screwings if one.size == "M4"]
    assert [(one.count, one.length_mm, one.engaged_mm) for one in threads] == [(4, 25.0, 5.0)] * 2
    assert sum(one.used for one in found.mounting.fasteners) == 8 + 12


def test_holes_of_a_rail_lie_over_those_of_the_item() -> None:
    """Seen from the item's side, each rail has its clearance holes 100 apart, and is symmetric."""
    for rail in of_kind(twins(), "rail"):
        at = [(one.u_mm, one.v_mm) for one in rail.holes if one.use.startswith("screw M4")]
        assert at == [(160.0, 15.0), (260.0, 15.0)]
        bored = {one.diameter_mm for one in rail.holes if one.use.startswith("screw M4")}
        assert bored == {clearance_holes()["M4"].medium_mm}


def test_heads_that_stand_out_need_room() -> None:
    """Rails right on the room's end leave 1.8 mm for heads of 3.1: 1.3 are missing, unless sunk."""
    (short,) = {one.what: one for one in said(one_screen(ON_RAILS, behind_mm=20.0))}.values()
    assert short.short_mm == pytest.approx(3.1 - VOID_MM)
    assert said(one_screen(evolve(ON_RAILS, sunk=True), behind_mm=20.0)) == []
    sunk = of_kind(one_screen(evolve(ON_RAILS, sunk=True), behind_mm=20.0), "rail")[0]
    assert {one.sink_mm for one in sunk.holes if one.use.startswith("screw")} == {7.5}


def test_rails_too_high_for_the_room_are_said() -> None:
    """Rails of 20 mm with 15 mm behind the item lack 5 mm."""
    lacking = [one for one in said(one_screen(ON_RAILS, behind_mm=15.0)) if "15.0" in one.what]
    assert [one.short_mm for one in lacking] == pytest.approx([5.0])


def test_a_step_in_the_back_takes_a_spacer() -> None:
    """Holes in the frame, 12 mm before the electronics' back, make the stack 12 mm higher."""
    frame = HolePattern("frame", ((40.0, 81.0), (380.0, 81.0)), "M4", 10.0)
    found = one_screen(Mount(pattern=frame))
    (screw,) = [one for one in found.mounting.screwings if one.size == "M4"]
    assert (screw.stack_mm, screw.length_mm) == (32.0, 40.0)
    assert "spacer 12.0 mm" in screw.note


def test_a_hole_beside_the_rail_is_said() -> None:
    """A rail 80 mm long ends 10 mm short of holes that are 100 mm apart."""
    found = one_screen(evolve(ON_RAILS, rails=Rails(length_mm=80.0)))
    assert {round(one.short_mm, 6) for one in said(found) if "hole" in one.what} == {10.0}


def test_a_plug_on_the_back_meets_a_rail() -> None:
    """A plug whose zone lies 11 mm over the lower rail: it must move by so much, and is named."""
    plug = Zone("connector", "bottom", (210.0, 95.0), (40.0, 20.0), 15.0)
    found = one_screen(zones=(plug,))
    meets = [one for one in said(found) if "connector zone" in one.what]
    assert [one.where for one in meets] == ["field screen rail 1"]
    assert meets[0].short_mm == pytest.approx(11.0)


def test_rails_from_wall_to_wall() -> None:
    """They reach both walls; screws through the profiles' legs name them, and go in 30 mm."""
    found = one_screen(evolve(ON_RAILS, rails=WALL_RAILS))
    assert said(found) == []
    rails = of_kind(found, "rail")
    assert {(one.low_mm[0], one.high_mm[0]) for one in rails} == {(0.0, 490.0)}
    assert {hole.pieces for hole in found.mounting.holes} == {
        ("deep edge bottom left", "deep left"), ("deep edge bottom right", "deep right"),
    }  # fmt: skip
    (ends,) = [one for one in found.mounting.screwings if one.hole_mm is None]
    assert (ends.count, ends.stack_mm, ends.engaged_mm) == (8, 10.0, 30.0)


def test_rails_go_to_the_walls_where_a_door_is_behind() -> None:
    """A door would carry the screen along: its rails are held by the walls, and it is said."""
    found = one_screen(workshop=Workshop(doors=True))
    assert {(one.low_mm[0], one.high_mm[0]) for one in of_kind(found, "rail")} == {(0.0, 490.0)}
    assert any("door" in note for note in found.mounting.notes)


def test_rails_far_from_their_panel_stand_on_a_strut_and_are_told_so() -> None:
    """An item 100 mm before its panel: 80 mm of packing, 20 more than is well; the walls do better.

    The closing gap counts on the panel that the sheet asks for: nothing else is chosen unasked.
    """
    found = one_screen(behind_mm=100.0, depths_mm=(160.0, 80.0))
    assert {one.high_mm[0] - one.low_mm[0] for one in of_kind(found, "rail")} != {490.0}
    (strut,) = [one for one in found.mounting.troubles if "strut" in one.what]
    assert strut.verdict == "tight"
    assert 'rail = { on = "walls" }' in strut.remedy
    high = {one.high_mm[2] - one.low_mm[2] for one in of_kind(found, "batten")}
    assert strut.short_mm == pytest.approx(max(high) - 60.0)


def test_blocks_fill_the_gap_to_the_walls() -> None:
    """A block on each wall, as thick as gap and void; M4 x 45 through panel and block."""
    found = between_walls()
    assert found.mounting.troubles == ()
    blocks = of_kind(found, "block")
    assert [one.thick_mm for one in blocks] == pytest.approx([30.0 + VOID_MM] * 2)
    for screw in found.mounting.screwings:
        # 6.4 + 31.8 under the head, 8 mm of hole
        assert (screw.stack_mm, screw.length_mm) == (pytest.approx(38.2), 45.0)
    assert {one.side for one in found.mounting.holes} == {"front", "back"}
    assert {one.use for one in found.mounting.holes} == {"bolt"}
    assert all(one.diameter_mm == 4.5 for one in found.mounting.holes)


def test_a_strut_is_no_block() -> None:
    """150 mm to the wall can be built, but rails do better: tight."""
    short = [one.short_mm for one in said(between_walls(room_mm=150.0), "tight")]
    assert short == pytest.approx([150.0 + VOID_MM - 120.0] * 2)


def test_an_item_turned_askew_gets_no_rails() -> None:
    """Rails lie along the walls: an item turned by 30 degrees has none, and it is said."""
    found = one_screen(turn_deg=30.0, at=(0.0, 0.0))
    assert found.mounting.supports == ()
    assert ["30.0 degrees" in one.what for one in said(found)] == [True]


def test_a_dish_that_meets_a_rail_is_said() -> None:
    """A dish's room that reaches 8 mm under a rail's side: so much is missing."""
    from fitkit.foam.model import Room

    room = Room((100.0, 60.0, 0.0), (160.0, 99.0, 20.0), "latch")
    dish = Fitted("handle front 1", "handle", "sunk handle", "front", ("deep",),
                  (130.0, -10.0, 40.0), 0.0, (150.0, 80.0), room)  # fmt: skip
    found = said(one_screen(fitted=(dish,)))
    (meets,) = [one for one in found if "handle" in one.what and "rail" in one.where]
    assert meets.where == "field screen rail 1"
    assert meets.short_mm == pytest.approx(8.0)


def test_two_items_share_no_rail() -> None:
    """Rails from wall to wall of two screens side by side lie in each other's way: said."""
    mount = evolve(ON_RAILS, rails=WALL_RAILS)
    item = screen(mount, count=2)
    places = tuple(
        Placement(item.name, copy, "deep", 1, "top", 0.0, 30.0 + 450.0 * (copy - 1), 25.0, 23.0)
        for copy in (1, 2)
    )
    kit = Payload("two", (item,), case=CaseWishes(form="pair"))
    found = held(kit, places, size_mm=(930.0, WIDTH_MM))
    assert any("field screen 2 rail" in one.what for one in said(found))


def test_another_item_on_a_rail_is_said() -> None:
    """A block 10 mm over a rail's end meets it by 10 mm."""
    brick = Item("brick", Body((Section(rectangle(30.0, 60.0), 0.0, 30.0),)))
    place = Placement("brick", 1, "deep", 1, "top", 0.0, 445.0, 90.0, 5.0)
    found = one_screen(others=((brick, place),))
    (meets,) = [one for one in said(found) if "the brick" in one.what]
    assert meets.short_mm == pytest.approx(10.0)


def test_side_holes_count_on_both_walls() -> None:
    """The pattern is that of each face: two holes make two screws on each wall."""
    assert len(SIDES.holes_mm) == 2
    assert [one.count for one in between_walls().mounting.screwings] == [2, 2]


def test_a_screen_that_looks_at_the_back_panel_has_rails_at_the_closing_plane() -> None:
    """Its back looks out: rails right behind it, from wall to wall, clear of the closing plane."""
    item = screen(evolve(ON_RAILS, faces="back panel"))
    assert item.up == ("bottom",)
    place = Placement(item.name, 1, "deep", 1, "bottom", 0.0, 35.0, 25.0, 10.0)
    found = held(Payload("out", (item,), case=CaseWishes(form="pair")), (place,))
    assert said(found) == []
    for rail in of_kind(found, "rail"):
        assert (rail.low_mm[0], rail.high_mm[0]) == (0.0, 490.0)
        assert (rail.low_mm[2], rail.high_mm[2]) == (50.0, 70.0)
    assert any("closing plane" in note for note in found.mounting.notes)
    too_high = evolve(place, z_mm=25.0)
    short = said(held(Payload("out", (item,), case=CaseWishes(form="pair")), (too_high,)))
    assert {one.short_mm for one in short if "15.0 mm are left" in one.what} == {5.0}


def test_a_rail_that_is_held_at_one_end_is_tight() -> None:
    """Upright rails from the floor end below the closing plane: held at one end, and said."""
    rails = Rails(on="walls", run="along")
    item = screen(Mount(faces="left wall", pattern=PATTERN, rails=rails))
    place = Placement(item.name, 1, "deep", 1, "right", 0.0, 20.0, 25.0, 25.0)
    found = held(Payload("upright", (item,)), (place,), size_mm=(140.0, WIDTH_MM),
                 depths_mm=(460.0, 60.0))  # fmt: skip
    assert {one.where for one in said(found, "tight")} == {
        "field screen rail 1", "field screen rail 2",
    }  # fmt: skip
    assert {hole.side for hole in found.mounting.holes} == {"bottom"}


def test_only_room_that_is_there_is_told() -> None:
    """Rails on the room's end: only the void is packed; with 3 mm behind them both are told."""
    sunk = evolve(ON_RAILS, sunk=True)
    for behind, told in ((20.0, False), (23.0, True)):
        (note,) = [one for one in one_screen(sunk, behind_mm=behind).mounting.notes
                   if "packed up" in one]  # fmt: skip
        assert ("that are left behind them" in note) == told
        assert f"{VOID_MM:.1f} mm between the inner leaves" in note
