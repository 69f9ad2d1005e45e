"""What holds mounted items: where it is, what it is screwed with, and what does not go."""

from __future__ import annotations

import math

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.fit.layout import HalfName, Placement
from fitkit.fit.place import place_all
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section, Zone
from fitkit.payload.mounts import HolePattern, Mount, Rails, Run, SubPanel
from fitkit.payload.workshop import Workshop
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.shell.frame import to_panel
from fitkit.shell.model import Fitted, Hole, Trouble
from fitkit.shell.mounting.meets import Solid, overlap_mm
from fitkit.shell.mounting.model import Support
from support_kits import (
    ON_RAILS,
    PATTERN,
    SIDES,
    WALL_RAILS,
    WIDTH_MM,
    Held,
    between_walls,
    held,
    on_sub_panel,
    one_screen,
    screen,
    twins,
)

VOID_MM = 1.8
"""T - f - (s + t) / 2 of the default wall: 10 - 1.5 - (7 + 6.4) / 2."""


def of_kind(found: Held, kind: str) -> list[Support]:
    """The supports of one kind."""
    return [one for one in found.mounting.supports if one.kind == kind]


def said(found: Held, verdict: str = "fails") -> list[Trouble]:
    """The troubles of one verdict."""
    return [one for one in found.mounting.troubles if one.verdict == verdict]


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


def test_the_bench_shows_the_items_side() -> None:
    """With the item's side up a lopsided pattern keeps its hand: u, v and up are right-handed."""
    lopsided = HolePattern("odd", ((130.0, 90.0), (290.0, 90.0), (140.0, 170.0)))
    halves: tuple[HalfName, ...] = ("deep", "shallow")
    for half in halves:
        found = one_screen(Mount(by="sub-panel", pattern=lopsided), half=half, behind_mm=26.4)
        (board,) = of_kind(found, "sub-panel")
        holes = [one for one in board.holes if one.use.startswith("screw M4")]
        at = sorted((round(one.u_mm, 6), round(one.v_mm, 6)) for one in holes)
        # 20 mm of margin; the back is seen from above in the sheet, and so it is from the item
        expected = [(150.0, 110.0), (160.0, 190.0), (310.0, 110.0)]
        turned = sorted((460.0 - u, 302.0 - v) for u, v in expected)
        assert at in (expected, turned), half


def test_every_screw_hole_goes_through_panel_and_rail() -> None:
    """A hole in the panel has a pilot hole in its support right behind it."""
    for found in (twins(), on_sub_panel(), one_screen(ON_RAILS, behind_mm=35.0)):
        supports = {one.name: one for one in found.mounting.supports}
        assert found.mounting.holes
        for hole in found.mounting.holes:
            support = supports[hole.owner]
            u, v = _bench(support, hole)
            assert any(
                math.dist((u, v), (one.u_mm, one.v_mm)) < 1e-6
                or math.dist((support.length_mm - u, v), (one.u_mm, one.v_mm)) < 1e-6
                for one in support.holes
                if "pilot" in one.use
            ), hole
            panel = found.shell.panel(hole.pieces[-1])
            at = to_panel(panel, hole.at_mm)
            assert 0 < at[0] < panel.length_mm
            assert 0 < at[1] < panel.width_mm


def _bench(support: Support, hole: Hole) -> tuple[float, float]:
    u, v = "xyz".index(support.u_axis), "xyz".index(support.v_axis)
    return hole.at_mm[u] - support.low_mm[u], hole.at_mm[v] - support.low_mm[v]


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


def test_a_sub_panel_is_cut_out_for_plugs() -> None:
    """The plug's zone goes through the sub-panel with 2 mm of play, and nothing fails."""
    found = on_sub_panel()
    assert said(found) == []
    (board,) = of_kind(found, "sub-panel")
    (cut,) = board.openings
    assert cut.bounds == pytest.approx((210.0, 110.0, 254.0, 134.0))
    net_m2 = (board.length_mm * board.width_mm - 44.0 * 24.0) * 1e-6
    assert board.kg == pytest.approx(net_m2 * 4.37)


def test_battens_fill_the_room_behind_a_sub_panel() -> None:
    """Two battens under the long edges, from the sub-panel to the panel, clear of inner leaves."""
    found = on_sub_panel()
    (board,) = of_kind(found, "sub-panel")
    for batten in of_kind(found, "batten"):
        assert batten.high_mm[2] == pytest.approx(board.low_mm[2])
        assert batten.low_mm[2] == pytest.approx(-VOID_MM)
        assert batten.low_mm[1] >= 15.0 - 1e-9
        assert batten.high_mm[1] <= WIDTH_MM - 15.0 + 1e-9
        assert board.low_mm[1] <= batten.low_mm[1]
        assert batten.high_mm[1] <= board.high_mm[1]


def test_a_narrow_margin_puts_battens_over_screws() -> None:
    """Holes 5 mm from the item's edge, with no margin, lie over a batten: said."""
    low = HolePattern("low", ((160.0, 5.0), (260.0, 5.0), (210.0, 181.0)))
    mount = Mount(by="sub-panel", pattern=low, sub_panel=SubPanel(margin_mm=0.0))
    found = one_screen(mount, behind_mm=26.4)
    assert any("head of a screw" in one.what for one in said(found))


def test_a_sub_panel_without_battens_hangs_on_two_walls() -> None:
    """It reaches from front to back, the nearer pair of walls; battens lie on the item's side."""
    found = on_sub_panel(sub_panel=SubPanel(batten_mm=None))
    assert said(found) == []
    (board,) = of_kind(found, "sub-panel")
    assert (board.low_mm[1], board.high_mm[1]) == (0.0, WIDTH_MM)
    battens = of_kind(found, "batten")
    assert [one.low_mm[2] for one in battens] == pytest.approx([board.high_mm[2]] * 2)
    assert {one.side for one in found.mounting.holes} == {"front", "back"}


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


def test_rails_far_from_their_panel_go_to_the_walls() -> None:
    """An item 100 mm before its panel has rails from wall to wall."""
    found = one_screen(behind_mm=100.0, depths_mm=(160.0, 80.0))
    assert {(one.low_mm[0], one.high_mm[0]) for one in of_kind(found, "rail")} == {(0.0, 490.0)}
    assert not of_kind(found, "batten")


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


def test_without_holes_nothing_is_known_of_the_screws() -> None:
    """No pattern: rails are made, what screws the item to them is unknown."""
    for found in (
        one_screen(Mount()),
        one_screen(Mount(by="sub-panel"), behind_mm=26.4),
        between_walls(pattern=None),
    ):
        assert said(found, "unknown")
        assert not [one for one in found.mounting.screwings if one.hole_mm is not None]


def test_an_unknown_thread_is_said() -> None:
    """A thread that no table knows makes no screw and no claim."""
    inch = evolve(PATTERN, thread="1/4 inch")
    found = one_screen(Mount(pattern=inch))
    assert any("1/4 inch" in one.what for one in said(found, "unknown"))


def test_an_item_turned_askew_gets_no_rails() -> None:
    """Rails lie along the walls: an item turned by 30 degrees has none, and it is said."""
    found = one_screen(turn_deg=30.0, at=(0.0, 0.0))
    assert found.mounting.supports == ()
    assert ["30.0 degrees" in one.what for one in said(found)] == [True]


def test_screws_keep_clear_of_feet() -> None:
    """A foot right over a screw moves that screw along its rail, and no screw lies under it."""
    plain = one_screen()
    first = plain.mounting.holes[0].at_mm
    foot = Fitted("foot bottom 1", "foot", "rubber foot", "bottom", ("deep",), first, 0.0,
                  (38.0, 38.0))  # fmt: skip
    found = one_screen(fitted=(foot,))
    assert said(found) == []
    for hole in found.mounting.holes:
        off = max(abs(hole.at_mm[0] - first[0]), abs(hole.at_mm[1] - first[1]))
        assert off >= 19.0 + (hole.sink_mm or 0.0) / 2


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


def test_nothing_mounted_makes_nothing() -> None:
    """A kit that lies in foam has no supports, no screws, no words."""
    brick = Item("brick", Body((Section(rectangle(30.0, 60.0), 0.0, 30.0),)))
    place = Placement("brick", 1, "deep", 1, "top", 0.0, 45.0, 90.0, 25.0)
    found = held(Payload("foam", (brick,)), (place,))
    assert found.mounting == type(found.mounting)()


@settings(max_examples=40)
@given(
    behind_mm=st.floats(23.2, 55.0),
    at=st.tuples(st.floats(20.0, 50.0), st.floats(20.0, 30.0)),
    quarter=st.sampled_from((0, 2)),
    half=st.sampled_from(("deep", "shallow")),
    sunk=st.booleans(),
    run=st.sampled_from(("along", "up")),
)
def test_what_is_made_keeps_its_promises(
    behind_mm: float,
    at: tuple[float, float],
    quarter: int,
    half: HalfName,
    sunk: bool,
    run: Run,
) -> None:
    """However a screen stands: rails and packings fill the room behind it, and meet no body."""
    mount = Mount(pattern=PATTERN, sunk=sunk, rails=Rails(run=run))
    found = one_screen(
        mount, half=half, behind_mm=behind_mm, at=at, turn_deg=90.0 * quarter,
        depths_mm=(120.0, 120.0),
    )  # fmt: skip
    assert said(found) == []
    rails, packings = of_kind(found, "rail"), of_kind(found, "batten")
    assert len(rails) == 2
    for rail, packing in zip(rails, packings, strict=True):
        together = rail.thick_mm + packing.thick_mm
        assert together == pytest.approx(behind_mm + VOID_MM)
    placed = place_all(found.payload, found.placements)
    for support in found.mounting.supports:
        for copy in placed:
            for band in copy.solid.bands:
                solid = Solid("body", band.shape, band.z0_mm, band.z1_mm)
                assert overlap_mm(support.low_mm, support.high_mm, solid) < 1e-6
    for screw in found.mounting.screwings:
        if screw.hole_mm is not None:
            assert screw.length_mm <= screw.stack_mm + screw.hole_mm - 0.3 + 1e-9
            assert screw.engaged_mm >= 4.0
    holes = [hole.at_mm for hole in found.mounting.holes]
    for k, one in enumerate(holes):
        assert all(math.dist(one, other) >= 20.0 - 1e-6 for other in holes[k + 1 :])


def test_halves_swapped_give_the_same_supports_mirrored() -> None:
    """A screen in the other half has the same pieces and screws, turned over about the x axis."""
    deep, shallow = one_screen(half="deep"), one_screen(half="shallow")
    height = 160.0
    mirrored = sorted(
        (
            round(one.low_mm[0], 6), round(WIDTH_MM - one.high_mm[1], 6),
            round(height - one.high_mm[2], 6), round(one.high_mm[0], 6),
            round(WIDTH_MM - one.low_mm[1], 6), round(height - one.low_mm[2], 6),
        )
        for one in shallow.mounting.supports
    )  # fmt: skip
    assert mirrored == sorted(
        tuple(round(value, 6) for value in (*one.low_mm, *one.high_mm))
        for one in deep.mounting.supports
    )
    assert [(one.size, one.length_mm, one.count) for one in deep.mounting.screwings] == [
        (one.size, one.length_mm, one.count) for one in shallow.mounting.screwings
    ]


def test_side_holes_count_on_both_walls() -> None:
    """The pattern is that of each face: two holes make two screws on each wall."""
    assert len(SIDES.holes_mm) == 2
    assert [one.count for one in between_walls().mounting.screwings] == [2, 2]


def test_alike_pieces_of_both_halves_are_alike_to_the_last_figure() -> None:
    """A void of 1.55 mm: the packings of both halves have one thickness, and one drawing."""
    from fitkit.payload.model import Wall

    item = screen(ON_RAILS, count=2)
    places = (Placement(item.name, 1, "deep", 1, "top", 0.0, 35.0, 25.0, 23.0),
              Placement(item.name, 2, "shallow", 1, "bottom", 0.0, 35.0, 25.0, 97.0))  # fmt: skip
    kit = Payload("two", (item,), case=CaseWishes(form="pair"), wall=Wall(panel_mm=6.9))
    found = held(kit, places)
    assert {one.thick_mm for one in of_kind(found, "batten")} == {4.55}


def test_screws_from_two_sides_of_a_batten_keep_apart() -> None:
    """Through the sub-panel and through the panel: 6 mm or more lie between their middles."""
    for wish in (SubPanel(margin_mm=22.0), SubPanel(batten_mm=None)):
        found = on_sub_panel(wish)
        assert said(found) == []
        (board,) = of_kind(found, "sub-panel")
        for batten in of_kind(found, "batten"):
            u = "xyz".index(batten.u_axis)
            outer = [h.at_mm[u] for h in found.mounting.holes if h.owner == batten.name]
            inner = [
                board.low_mm[u] + (one.u_mm if board.u_axis == batten.u_axis else one.v_mm)
                for one in board.holes
                if "batten" in one.use
            ]
            assert len(outer) >= 2
            assert min(abs(a - b) for a in outer for b in inner) >= 6.0


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
