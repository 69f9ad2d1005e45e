"""Which hardware a case gets, and where: the rules on cases worked out by hand.

Rules are common practice, no source, except where a test names one.
"""

from __future__ import annotations

import pytest
from attrs import evolve

from fitkit.fit.layout import Placement
from fitkit.payload.hardware import generic
from fitkit.payload.model import Clearance
from fitkit.payload.workshop import HardwareType, HardwareWishes, Workshop
from fitkit.shell.model import Fitted
from hardware_kits import Case, box_item, case_of, of_kind, with_hardware


def _sides(pieces: tuple[Fitted, ...]) -> list[str]:
    return [one.side for one in pieces]


def test_the_worked_example_by_hand() -> None:
    """600 x 400 x 300 outside, halves 200 + 100: four latches, two handles, four feet.

    Latches: middles 120 mm from the ends of the long sides (x = 110 and 470 inside), on the closing
    plane z = 190. Feet: inset 30 + 19 + 3 mm from the outside. Handles at the ends, at the centre
    of mass along y.
    """
    placed = case_of(centre_mm=(270.0, 200.0, 120.0)).fitted()
    latches = of_kind(placed, "latch")
    assert {(one.side, *one.centre_mm) for one in latches} == {
        ("front", 110.0, -10.0, 190.0),
        ("front", 470.0, -10.0, 190.0),
        ("back", 110.0, 390.0, 190.0),
        ("back", 470.0, 390.0, 190.0),
    }
    assert {one.centre_mm for one in of_kind(placed, "foot")} == {
        (42.0, 42.0, -10.0),
        (538.0, 42.0, -10.0),
        (42.0, 338.0, -10.0),
        (538.0, 338.0, -10.0),
    }
    assert {(one.side, one.centre_mm) for one in of_kind(placed, "handle")} == {
        ("left", (-10.0, 200.0, 120.0)),
        ("right", (590.0, 200.0, 120.0)),
    }
    assert len(of_kind(placed, "corner")) == 8
    assert not placed.troubles


def test_a_latch_s_openings_are_half_a_dish_less_the_rims() -> None:
    """A dish 60 x 44 on the plane: 22 mm each way, less rim and play (4.5 and 6.5 mm), in panels.

    Panels begin 10.5 mm from the outside along, so x = 110 inside is 109.5 on the panel.
    """
    placed = case_of().fitted()
    mine = {o.panel: o.shape.bounds for o in placed.openings if o.owner == "latch front 1"}
    assert mine == {
        "deep front": pytest.approx((79.5, 167.5, 139.5, 185.0)),
        "shallow front": pytest.approx((79.5, 0.0, 139.5, 15.5)),
    }
    cuts = [cut for cut in placed.bar_cuts if cut.owner == "latch front 1"]
    assert {(cut.bar, cut.from_mm, cut.to_mm, cut.deep_mm) for cut in cuts} == {
        ("deep tongue front top", 90.0, 150.0, 22.0),
        ("shallow groove front bottom", 90.0, 150.0, 22.0),
    }


def test_a_dish_s_room_is_its_depth_less_what_lies_before_it() -> None:
    """1.5 (leaf) + 10 (depth) + 3 - 10 (wall) = 4.5 mm inside; cut-out and 5 mm each side."""
    (latch, *_) = of_kind(case_of().fitted(), "latch")
    assert latch.room is not None
    assert latch.room.low_mm == (75.0, 0.0, 163.0)
    assert latch.room.high_mm == (145.0, 4.5, 217.0)


def test_long_cases_are_latched_all_round() -> None:
    """A lift-off lid longer than 700 mm has latches on all four sides, else on the long two."""
    for length, sides in ((670.0, {"front", "back"}), (690.0, {"front", "back", "left", "right"})):
        placed = case_of(size_mm=(length, 400.0)).fitted()
        assert set(_sides(of_kind(placed, "latch"))) == sides
    placed = case_of(size_mm=(300.0, 600.0)).fitted()
    assert set(_sides(of_kind(placed, "latch"))) == {"left", "right"}


def test_an_upright_case_stands_on_its_back_and_closes_at_its_ends() -> None:
    """Feet on the long back side, handles across from them, a latch on each short side at least."""
    placed = with_hardware(case_of(form="pair", depths_mm=(140.0, 140.0)), use="upright").fitted()
    assert set(_sides(of_kind(placed, "foot"))) == {"back"}
    assert set(_sides(of_kind(placed, "handle"))) == {"front"}
    assert set(_sides(of_kind(placed, "latch"))) == {"left", "right"}
    assert {one.parts for one in of_kind(placed, "foot")} == {("deep",), ("shallow",)}
    assert not placed.troubles


def test_a_hinged_lid_has_hinges_behind_and_a_stay() -> None:
    """Latches at the front alone, hinges at the back, one stay to 600 mm and two beyond."""
    placed = with_hardware(case_of(), lid="hinged").fitted()
    assert _sides(of_kind(placed, "latch")) == ["front", "front"]
    assert _sides(of_kind(placed, "hinge")) == ["back", "back"]
    assert len(of_kind(placed, "stay")) == 1
    long = with_hardware(case_of(size_mm=(880.0, 400.0)), lid="hinged").fitted()
    assert _sides(of_kind(long, "hinge")) == ["back"] * 3
    assert sorted(_sides(of_kind(long, "stay"))) == ["left", "right"]


def test_every_closing_plane_gets_its_latches() -> None:
    """A ring between the halves makes two planes, with four latches each, one row above another."""
    shop = Workshop(rings_mm=(90.0,))
    placed = case_of(depths_mm=(260.0, 90.0), shop=shop).fitted()
    heights = [one.centre_mm[2] for one in of_kind(placed, "latch")]
    assert sorted(heights) == [170.0] * 4 + [260.0] * 4
    assert not placed.troubles


def test_doors_have_hinges_and_latches_of_their_own() -> None:
    """Doors at both ends of a tray: hinges behind, door latches in front, no latch elsewhere."""
    shop = Workshop(opening="ends")
    placed = case_of(form="tray", depths_mm=(300.0,), shop=shop).fitted()
    assert set(_sides(of_kind(placed, "hinge"))) == {"back"}
    assert set(_sides(of_kind(placed, "door latch"))) == {"front"}
    assert not of_kind(placed, "latch")
    doors = {name for one in of_kind(placed, "hinge") for name in one.parts} - {"tray"}
    assert doors == {"door left", "door right"}
    assert set(_sides(of_kind(placed, "handle"))) == {"front", "back"}


def test_a_latch_on_a_loose_lid_ends_flush_with_it() -> None:
    """The lid is as thick as the wall: the latch moves down so that its flange ends at the top."""
    placed = case_of(form="tray", depths_mm=(180.0,)).fitted()
    for latch in of_kind(placed, "latch"):
        assert latch.centre_mm[2] + latch.size_mm[1] / 2 == 190.0
        assert latch.parts == ("tray", "lid")
    assert any("flush on the frame of lid" in note for note in placed.notes)


def test_a_hinge_on_a_loose_lid_is_bent_over_its_edge() -> None:
    """The upper leaf, 34 mm, has 10 mm on the edge: its holes at 18 mm are 8 mm in on the top."""
    placed = with_hardware(case_of(form="tray", depths_mm=(180.0,)), lid="hinged").fitted()
    (hinge, *_) = of_kind(placed, "hinge")
    assert hinge.size_mm == (60.0, 44.0)
    assert hinge.centre_mm[2] == 168.0
    holes = [hole for hole in placed.holes if hole.owner == hinge.name]
    assert sorted((hole.side, round(hole.at_mm[2], 6)) for hole in holes) == [
        ("back", 162.0),
        ("back", 162.0),
        ("top", 190.0),
        ("top", 190.0),
    ]
    assert {round(hole.at_mm[1], 6) for hole in holes if hole.side == "top"} == {382.0}


def test_counts_and_sides_of_the_builder_overrule_the_rules() -> None:
    """Six latches on three sides, two handles on the front, whatever the rules say."""
    latch = evolve(generic()["latch"], count=6, sides=("front", "left", "right"), known="measured")
    handle = evolve(generic()["handle"], count=2, sides=("front",), known="measured")
    shop = Workshop(hardware=HardwareWishes(types=(latch, handle)))
    placed = case_of(shop=shop).fitted()
    assert sorted(_sides(of_kind(placed, "latch"))) == ["front"] * 2 + ["left"] * 2 + ["right"] * 2
    assert _sides(of_kind(placed, "handle")) == ["front", "front"]
    wrong = evolve(latch, sides=("top",))
    placed = case_of(shop=Workshop(hardware=HardwareWishes(types=(wrong,)))).fitted()
    assert any(trouble.where == "latch on the top" for trouble in placed.troubles)


def test_castors_must_carry_a_third_each() -> None:
    """60 kg on four castors want 20 kg each (source S21, read): 19 kg is a trouble, 20 is not."""
    for load, troubled in ((19.0, True), (20.0, False)):
        castor = evolve(generic()["castor"], load_kg=load, known="measured")
        shop = Workshop(hardware=HardwareWishes(ground="castors", types=(castor,)))
        placed = case_of(shop=shop, gross_kg=60.0).fitted()
        said = [trouble for trouble in placed.troubles if trouble.where == "castors"]
        assert bool(said) == troubled
        assert all("20.0 kg" in trouble.what and "19.0 kg" in trouble.what for trouble in said)


def test_handles_must_carry_their_share() -> None:
    """20 kg on two handles are 10 kg each: 9 kg is a trouble."""
    handle = evolve(generic()["handle"], load_kg=9.0, known="measured")
    placed = case_of(
        shop=Workshop(hardware=HardwareWishes(types=(handle,))), gross_kg=20.0
    ).fitted()
    assert [trouble.where for trouble in placed.troubles] == ["handles"]


def test_a_latch_wider_than_its_side_is_named_with_what_is_missing() -> None:
    """A latch 500 mm wide on a side of 400: 106 mm are missing, no more and no less."""
    wide = HardwareType("latch", "bar latch", (500.0, 40.0), sides=("left",), known="measured")
    placed = case_of(shop=Workshop(hardware=HardwareWishes(types=(wide,)))).fitted()
    (trouble,) = placed.troubles
    assert trouble.where == "latch on the left"
    assert trouble.short_mm == pytest.approx(500.0 + 6.0 - 400.0, abs=0.1)
    assert not of_kind(placed, "latch")
    narrow = evolve(wide, flange_mm=(500.0 - trouble.short_mm, 40.0))
    fits = case_of(shop=Workshop(hardware=HardwareWishes(types=(narrow,)))).fitted()
    assert len(of_kind(fits, "latch")) == 1
    assert not fits.troubles


def test_a_handle_higher_than_its_wall_is_named_with_what_is_missing() -> None:
    """A handle of the builder's own does not fit a low wall; less what is missing, it does."""
    tall = HardwareType("handle", "own grip", (150.0, 180.0), (120.0, 150.0), 8.0, 10.0)
    tall = evolve(tall, known="measured")
    placed = case_of(shop=Workshop(hardware=HardwareWishes(types=(tall,)))).fitted()
    (trouble,) = placed.troubles
    assert trouble.where == "handle on the left and right"
    assert trouble.short_mm > 0
    assert not of_kind(placed, "handle")
    low = 180.0 - trouble.short_mm
    small = evolve(tall, flange_mm=(150.0, low), dish_mm=(120.0, low - 30.0))
    fits = case_of(shop=Workshop(hardware=HardwareWishes(types=(small,)))).fitted()
    assert len(of_kind(fits, "handle")) == 2
    assert not fits.troubles


def _beside_an_item(x_mm: float, wide_mm: float) -> Case:
    item = box_item("recorder", wide_mm, 60.0, 200.0)
    latch = evolve(generic()["latch"], sides=("front",), count=1, depth_mm=20.0, known="measured")
    return case_of(
        items=(item,),
        placements=(Placement("recorder", 1, "deep", 1, "top", 0.0, x_mm, 5.0, 40.0),),
        shop=Workshop(hardware=HardwareWishes(types=(latch,))),
        clearance=Clearance(item_mm=15.0),
    )


def test_a_latch_moves_aside_for_an_item() -> None:
    """An item 5 mm from the wall at the side's middle: the latch goes as far off as is needed.

    The item spans x = 250 to 330; the room is 70 wide and keeps 15 mm: 250 - 15 - 35 = 200.
    """
    placed = _beside_an_item(250.0, 80.0).fitted()
    (latch,) = of_kind(placed, "latch")
    assert latch.centre_mm[0] == 200.0
    assert not placed.troubles


def test_a_dish_that_meets_an_item_is_named_with_millimetres() -> None:
    """An item all along the front: the dish reaches 14.5 mm in, the item begins at 5 mm.

    The trouble names latch, item and 9.5 mm; a latch shallower by that does not meet it.
    """
    case = _beside_an_item(5.0, 570.0)
    placed = case.fitted()
    (trouble,) = placed.troubles
    assert trouble.where == "latch front 1"
    assert "recorder" in trouble.what
    assert trouble.short_mm == pytest.approx(9.5)
    assert "shallower" in trouble.remedy
    assert "lid" in trouble.remedy
    (own,) = case.payload.workshop.hardware.types
    less = evolve(own, depth_mm=own.depth_mm - trouble.short_mm)
    assert not with_hardware(case, types=(less,)).fitted().troubles


def test_feet_that_leave_the_centre_of_mass_outside_are_said() -> None:
    """A centre of mass beyond the feet tips the case: by how many millimetres."""
    placed = case_of(centre_mm=(20.0, 190.0, 100.0)).fitted()
    (trouble,) = [one for one in placed.troubles if "tips over" in one.what]
    assert trouble.short_mm == pytest.approx(42.0 - 20.0)


def test_low_walls_get_low_handles_of_the_generic_kind() -> None:
    """Halves 60 mm deep are too low for a sunk handle: a strap handle is set and said."""
    placed = case_of(depths_mm=(60.0, 60.0)).fitted()
    assert {one.type for one in of_kind(placed, "handle")} == {"strap handle"}
    assert any("too low for a sunk handle" in note for note in placed.notes)


def test_braces_stand_on_both_sides_of_every_closing_corner() -> None:
    """Eight closing corners of two halves have a brace each, if they are wished."""
    assert not of_kind(case_of().fitted(), "brace")
    placed = with_hardware(case_of(), braces=True).fitted()
    assert len(of_kind(placed, "brace")) == 8
    assert not placed.troubles


def test_what_is_not_known_is_said() -> None:
    """Without a mass one pair of handles is set about the middle, and a note says so."""
    case = case_of()
    placed = evolve(case, gross_kg=None, centre_mm=None).fitted()
    assert len(of_kind(placed, "handle")) == 2
    assert any("mass is not known" in note for note in placed.notes)
    assert any("measure yours" in note for note in placed.notes)
