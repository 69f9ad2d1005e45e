"""The whole shell of a layout: hardware beside gear that fills the room."""

from __future__ import annotations

import pytest
import shapely
from attrs import evolve

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.payload.hardware import generic
from fitkit.payload.model import Body, Item, Payload, Section
from fitkit.payload.workshop import HardwareWishes, Workshop
from fitkit.shell.make import make_shell
from fitkit.shell.model import Shell

ROOM = Interior(340.0, 260.0, (Half("deep", 140.0), Half("shallow", 60.0)))
FULL = Item("recorder", Body((Section(shapely.box(0, 0, 324, 244), 0.0, 180.0),)), mass_kg=6.0)
SMALL = Item("probe", Body((Section(shapely.box(0, 0, 200, 120), 0.0, 60.0),)), mass_kg=1.0)


def made(item: Item, at: tuple[float, float, float], shop: Workshop = Workshop()) -> Shell:
    """The shell round one item."""
    payload = Payload("kit", (item,), workshop=shop)
    return make_shell(
        payload,
        interior=ROOM,
        placements=(Placement(item.name, 1, "deep", 1, "top", 0.0, *at),),
    )


def test_generic_hardware_that_is_sunk_gives_way_to_gear_by_the_walls() -> None:
    """8 mm from the wall no dish has room: latches and handles are flat ones, and that is said."""
    shell = made(FULL, (8.0, 8.0, 10.0))
    assert {one.type for one in shell.hardware if one.kind == "latch"} == {"surface latch"}
    assert {one.type for one in shell.hardware if one.kind == "handle"} == {"strap handle"}
    assert shell.rooms == ()
    assert shell.openings == ()
    assert sum("is taken instead" in note for note in shell.notes) == 2
    assert not [one for one in shell.troubles if one.verdict == "fails"]


def test_where_there_is_room_the_generic_ones_are_sunk() -> None:
    """An item in the middle of the room leaves dishes their place."""
    shell = made(SMALL, (70.0, 70.0, 25.0))
    assert {one.type for one in shell.hardware if one.kind == "latch"} == {"sunk latch"}
    assert len(shell.rooms) == sum(one.kind in ("latch", "handle") for one in shell.hardware)


def test_the_builder_s_own_sunk_latch_stays_and_fails() -> None:
    """A measured latch is not swapped: how far its dish meets the gear is named."""
    deep = evolve(generic()["latch"], name="deep latch", depth_mm=30.0, known="measured")
    shell = made(FULL, (8.0, 8.0, 10.0), Workshop(hardware=HardwareWishes(types=(deep,))))
    assert {one.type for one in shell.hardware if one.kind == "latch"} == {"deep latch"}
    meets = [one for one in shell.troubles if one.verdict == "fails"]
    assert meets
    # from the panel, 1.5 mm in: 30 mm and 3 beyond, less a wall of 10 and the 8 beside the item
    short = 1.5 + 30.0 + 3.0 - 10.0 - 8.0
    assert [one.short_mm for one in meets] == pytest.approx([short] * len(meets))


def test_a_generic_piece_whose_rivets_do_not_go_in_is_unknown_a_measured_one_fails() -> None:
    """Braces over rivets of the corners: placeholder sizes leave it open, measured ones fail."""
    shop = Workshop(hardware=HardwareWishes(braces=True))
    guessed = made(SMALL, (70.0, 70.0, 25.0), shop)
    brace = evolve(generic()["brace"], name="own brace", known="measured")
    wishes = HardwareWishes(braces=True, types=(brace,))
    measured = made(SMALL, (70.0, 70.0, 25.0), Workshop(hardware=wishes))
    for shell, verdict in ((guessed, "unknown"), (measured, "fails")):
        over = [one for one in shell.troubles if "lies over a rivet" in one.what]
        assert over
        assert {one.verdict for one in over} == {verdict}
