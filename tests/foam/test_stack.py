"""Sheets for each half, and items settled on the boundaries between them."""

from __future__ import annotations

import shapely

from fitkit.fit import elevation
from fitkit.foam.stack import Stacks, settle
from fitkit.payload.model import Body, CaseWishes, Clearance, FoamWishes, Item, Section, Zone
from foam_kits import Kit, block, kit_of


def settled(kit: Kit) -> Stacks:
    """The kit's stacks."""
    return settle(kit.payload, interior=kit.interior, placements=kit.placements)


def test_fewest_sheets() -> None:
    """One item on 30 mm of foam in a half of 80: two sheets, none cut that need not be."""
    kit = kit_of(block("recorder", 100, 60, 50), depths=(80.0, 50.0), at=((50, 50, 30.0),))
    stacks = settled(kit)
    assert stacks.stack("deep").sheets_mm == (30.0, 50.0)
    assert stacks.stack("shallow").sheets_mm == (50.0,)
    assert stacks.placements == kit.placements


def test_short_item_raised_to_the_fingers() -> None:
    """A flat item beside a tall one is raised so that its top is within a finger's reach."""
    kit = kit_of(
        block("tripod head", 100, 60, 80), block("clamp", 60, 60, 20),
        depths=(110.0, 30.0), at=((40, 40, 30.0), (200, 40, 30.0)),
    )  # fmt: skip
    stacks = settled(kit)
    tall, flat = stacks.placements
    assert tall.z_mm == 30.0
    assert flat.z_mm + 20 >= 110.0 - 30.0
    assert flat.z_mm in stacks.stack("deep").boundaries_mm
    assert len(stacks.stack("deep").sheets_mm) == 3


def test_raised_item_stays_below_its_tallest_neighbour() -> None:
    """Raising never takes an item above the top of the tallest in its tier, zones included."""
    zone = Zone("cable", "top", (30, 30), (10, 10), 35.0)
    kit = kit_of(
        block("tripod head", 100, 60, 80), block("clamp", 60, 60, 20, zones=(zone,)),
        depths=(110.0, 30.0), at=((40, 40, 30.0), (200, 40, 30.0)),
    )  # fmt: skip
    assert settled(kit).placements[1].z_mm + 55 <= 110.0


def test_tiers_split_at_a_boundary() -> None:
    """The upper tier's underside is a boundary above all of the lower tier, with its pad."""
    kit = kit_of(
        block("recorder", 100, 60, 38), block("lamp", 80, 60, 40),
        depths=(120.0, 30.0), at=((50, 50, 30.0), (50, 50, 80.0)), tiers=(1, 2),
        case=CaseWishes(tiers=2),
    )  # fmt: skip
    stacks = settled(kit)
    deep = stacks.stack("deep")
    assert deep.splits_mm == (70.0,)
    assert 70.0 in deep.boundaries_mm
    assert 80.0 in deep.boundaries_mm
    assert any("tier 2 lifts out" in note and "70 mm" in note for note in stacks.notes)


def test_items_hang_in_the_shallow_half_of_a_pair() -> None:
    """In the half that hangs, heights count from its own floor: the item's upper side there."""
    kit = kit_of(
        block("screen", 100, 60, 40), block("twin", 100, 60, 40),
        depths=(85.0, 85.0), at=((50, 50, 25.0), (50, 50, 105.0)), halves=("deep", "shallow"),
        case=CaseWishes(form="pair"), foam=FoamWishes(sheets_mm=(10.0, 25.0)),
    )  # fmt: skip
    stacks = settled(kit)
    for stack, one in zip(stacks.stacks, stacks.placements, strict=True):
        own = one.z_mm if stack.half == "deep" else 170.0 - one.z_mm - 40.0
        assert own in stack.boundaries_mm
        assert own >= 25.0


def test_depth_that_no_sheets_fill() -> None:
    """What the sheets cannot fill is left as air at the closing plane, and said."""
    kit = kit_of(block("recorder", 100, 60, 40), depths=(87.0, 34.0), at=((50, 50, 30.0),))
    stacks = settled(kit)
    assert sum(stacks.stack("deep").sheets_mm) == 80.0
    assert stacks.stack("deep").gap_mm == 7.0
    assert any("7 mm of air" in note for note in stacks.notes)
    assert any("4 mm of air" in note for note in stacks.notes)


def test_heights_that_do_not_stack_are_moved() -> None:
    """An item at 25 mm over sheets of 10s goes up to 30 where there is room for it."""
    kit = kit_of(block("recorder", 100, 60, 40), depths=(90.0, 30.0), at=((50, 50, 25.0),))
    assert settled(kit).placements[0].z_mm == 30.0


def test_packing_piece_where_nothing_stacks() -> None:
    """With no room to go up the item keeps its height and gets a packing piece, not less foam."""
    kit = kit_of(
        block("recorder", 100, 60, 65, proud=False), depths=(90.0, 30.0), at=((50, 50, 25.0),)
    )
    stacks = settled(kit)
    assert stacks.placements[0].z_mm == 25.0
    assert any("packing piece of 5.0 mm" in note for note in stacks.notes)


def test_relief_boundary_leaves_the_lid_clearance() -> None:
    """The lid's stack has a boundary between its clearance and the proud item's top."""
    kit = kit_of(block("lamp", 100, 60, 72), depths=(90.0, 40.0), at=((50, 50, 30.0),))
    lid = settled(kit).stack("shallow")
    assert any(15.0 <= b <= 28.0 for b in lid.boundaries_mm)


def test_foam_under_an_overhang() -> None:
    """A boundary under a wide part keeps foam below it, beside a narrow foot."""
    foot = Section(shapely.box(40, 20, 60, 40), 0.0, 20.0)
    head = Section(shapely.box(0, 0, 100, 60), 20.0, 50.0)
    kit = kit_of(Item("screen", Body((foot, head))), depths=(80.0, 30.0), at=((50, 50, 30.0),))
    assert 50.0 in settled(kit).stack("deep").boundaries_mm


def test_floor_clearance_is_kept() -> None:
    """No item is settled on less foam than the floor clearance asks for."""
    case = CaseWishes(clearance=Clearance(floor_mm=40.0))
    kit = kit_of(block("lamp", 80, 60, 30), depths=(110.0, 30.0), at=((50, 50, 30.0),), case=case)
    assert settled(kit).placements[0].z_mm >= 40.0


def test_item_under_a_proud_one_is_not_raised_into_it() -> None:
    """A flat item that faces a proud one of the other half stays clear of it."""
    kit = kit_of(
        block("mast", 60, 60, 80), block("clamp", 60, 60, 20), block("dome", 60, 60, 70),
        depths=(110.0, 60.0), at=((30, 30, 30.0), (200, 30, 30.0), (200, 30, 70.0)),
        halves=("deep", "deep", "shallow"), case=CaseWishes(form="pair"),
    )  # fmt: skip
    _, clamp, dome = settled(kit).placements
    assert clamp.z_mm + 20 + 10 <= dome.z_mm


def test_sheets_in_inches() -> None:
    """Sheets of 1/2, 1 and 5/16 in stack on heights from the fit, which counts hundredths."""
    shelf = (12.7, 25.4, 7.9375)
    depth = elevation.thickness(shelf, 75.0)
    floor = elevation.thickness(shelf, 25.0)
    kit = kit_of(
        block("recorder", 100, 60, depth - floor - 1), depths=(depth, 25.4),
        at=((50, 50, floor),), foam=FoamWishes(sheets_mm=shelf),
    )  # fmt: skip
    stacks = settled(kit)
    assert stacks.notes == ()
    assert stacks.placements == kit.placements
