"""What goes into each hole: by the grip table, counted, with spares, and said where it cannot."""

from __future__ import annotations

import math
from collections import Counter

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.payload.hardware import type_for
from fitkit.payload.model import Payload, Profile, Wall
from fitkit.payload.workshop import Board, HardwareType, HoleAt, PanelChoice
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.reference.rivets import rivet_grips, rivet_sizes
from fitkit.reference.tee_nuts import tee_nuts
from fitkit.reference.wood_screws import wood_screws
from fitkit.shell.fasteners import fasteners_of, with_spares
from fitkit.shell.frame import to_bar
from fitkit.shell.model import Fastener, Fitted, Hole, Trouble
from fitkit.shell.openings import holes_of
from fitkit.shell.stacks import PLATE_MM, WASHER_MM
from riveted import WORKED, Riveted, cases, on_face, plain, riveted

Found = tuple[tuple[Hole, ...], tuple[Fastener, ...], tuple[Trouble, ...], tuple[str, ...]]

HANDLE = (270.0, 90.0)
"""A place on the front, far from every profile."""


def fastened(case: Riveted, holes: tuple[Hole, ...] | None = None) -> Found:
    """The fasteners of a case's rivets, or of these holes."""
    return fasteners_of(
        case.payload,
        panels=case.panels,
        bars=case.bars,
        fitted=case.fitted,
        holes=case.holes if holes is None else holes,
    )


def hardware_holes(case: Riveted) -> tuple[Hole, ...]:
    """The holes of the hardware on a case."""
    return tuple(
        hole
        for one in case.fitted
        for hole in holes_of(
            one,
            type_for(case.payload, one.kind),
            assembly=case.assembly,
            panels=case.panels,
            bars=case.bars,
            profile=case.payload.wall.profile,
        )
    )


def with_one(kind: HardwareType, at: tuple[float, float] = HANDLE, **changes: object) -> Riveted:
    """The worked example with one piece of hardware on its front."""
    payload = plain(types=(kind,), **changes)
    bare = riveted(WORKED, payload)
    one = on_face(bare.assembly, "front", at, kind.flange_mm, kind=kind.kind)
    return evolve(bare, fitted=(one,))


def over_inner_leaf(case: Riveted, hole: Hole) -> bool:
    """Whether any of a hole lies over the inner leaf, that ends ``engagement`` off the slot."""
    profile, bar = case.payload.wall.profile, case.bar(hole.pieces[0])
    slot = profile.outer_leaf_mm + profile.slot_mm + profile.slot_web_mm
    rims = {"edge": slot, "tongue": profile.tongue_rim_mm, "groove": profile.groove_rim_mm}
    _, away = to_bar(bar, hole.at_mm, hole.side)
    return away - hole.diameter_mm / 2 < rims[bar.kind] + profile.engagement_mm


def of_rivets(found: tuple[Fastener, ...]) -> dict[str, Fastener]:
    """The lines of rivets by name."""
    return {line.name: line for line in found if line.kind == "rivet"}


@settings(max_examples=25, deadline=None)
@given(cases())
def test_each_hole_is_counted_once_or_said_to_be_in_trouble(case: Riveted) -> None:
    """Rivets used are the holes that name them; a hole without one has a trouble behind it."""
    holes, found, troubles, _ = fastened(case)
    named = Counter(hole.fastener for hole in holes if hole.fastener)
    assert named == Counter({line.name: line.used for line in of_rivets(found).values()})
    assert len(holes) == len(case.holes)
    if any(not hole.fastener for hole in holes):
        assert troubles
        assert all(trouble.remedy and trouble.short_mm > 0 for trouble in troubles)
    else:
        assert not troubles


@settings(max_examples=25, deadline=None)
@given(cases())
def test_every_rivet_holds_the_stack_that_it_goes_through(case: Riveted) -> None:
    """Leaf + panel + inner leaf, and a corner's flange: within the grip of the rivet chosen.

    Where a row lies beyond the inner leaf there is a washer instead.

    The stack is added up here by hand; ISO 15981 says what each length holds.
    """
    profile, d = case.payload.wall.profile, case.payload.workshop.hardware.rivet_mm
    holes, found, _, _ = fastened(case)
    rows = {f"blind rivet {row.size}": row for row in rivet_grips()[d]}
    for hole in holes:
        if not hole.fastener:
            continue
        grip = profile.outer_leaf_mm + case.panel(hole.pieces[1]).thickness_mm
        grip += profile.inner_leaf_mm if over_inner_leaf(case, hole) else WASHER_MM
        grip += PLATE_MM if hole.owner.startswith("corner ") else 0.0
        row = rows[hole.fastener]
        assert row.least_grip_mm - 1e-6 <= grip <= row.most_grip_mm + 1e-6
        assert round(grip, 1) <= (of_rivets(found)[hole.fastener].grip_mm or 0.0) + 1e-6
        assert hole.diameter_mm == rivet_sizes()[d].least_hole_mm
        assert hole.pilot_mm is not None
        assert hole.pilot_mm < hole.diameter_mm


@given(st.integers(0, 500), st.floats(0.0, 0.5))
def test_spares_are_rounded_up_and_two_at_the_least(used: int, share: float) -> None:
    """Bought is never less than used and its share on top; no spares, none on top."""
    buy = with_spares(used, share)
    assert buy >= used * (1 + share) - 1e-6
    if used and share:
        assert buy - used == max(2, math.ceil(used * share - 1e-6))
    else:
        assert buy == used


def test_the_worked_example() -> None:
    """216 rivets of 4.0 x 16: 9.4 mm in the profiles, 10.9 mm at the corners; a tenth on top.

    1.5 + 6.4 + 1.5, and a corner of 1.5 (assumption); the length for 8.5 to 12.5 mm by ISO 15981.
    """
    holes, found, troubles, notes = fastened(riveted(WORKED, Payload("kit", ())))
    assert troubles == ()
    assert len(found) == 1
    line = found[0]
    assert (line.name, line.used, line.buy) == ("blind rivet 4.0 x 16", 216, 238)
    assert line.where == "corners 48, edge profiles 120, closing profiles 48"
    assert "9.4, 10.9" in line.note
    assert {hole.fastener for hole in holes} == {line.name}
    assert any("corners" in note and "assumption" in note for note in notes)


def test_a_measured_flange_is_not_assumed() -> None:
    """A corner whose thickness was measured counts as that, and no assumption is printed."""
    corner = HardwareType("corner", "ball corner", (50.0, 50.0), plate_mm=3.2)
    _, found, troubles, notes = fastened(riveted(WORKED, plain(types=(corner,))))
    assert troubles == ()
    # 9.4 + 3.2 = 12.6: past 12.5, so the next length
    assert [line.name for line in found] == ["blind rivet 4.0 x 16", "blind rivet 4.0 x 20"]
    assert [line.used for line in found] == [168, 48]
    assert not any("taken to be 1.5 mm thick" in note for note in notes)


RIVETED = HardwareType(
    "handle", "handle", (120.0, 60.0), holes=(HoleAt(-50.0, 0.0, 4.1), HoleAt(50.0, 0.0, 4.1))
)


def test_a_tail_on_the_panel_gets_a_washer_which_the_grip_counts() -> None:
    """A handle's rivets have a washer behind each; 1.5 + 6.4 + 1 mm are 8.9 mm.

    Common practice, no source: a backing washer where the tail would bulge in wood.
    """
    case = with_one(RIVETED)
    holes, found, troubles, notes = fastened(case, hardware_holes(case))
    assert troubles == ()
    assert {line.kind: (line.used, line.grip_mm) for line in found} == {
        "rivet": (2, pytest.approx(PLATE_MM + 6.4 + WASHER_MM)),
        "washer": (2, None),
    }
    assert {hole.fastener for hole in holes} == {"blind rivet 4.0 x 16"}
    assert any("washer" in note and "assumption" in note for note in notes)


def test_without_washers_the_caution_is_printed() -> None:
    """A builder who wants no washers is told that tails in wood hold less, and what would do."""
    case = with_one(RIVETED, washers=False)
    holes, found, _, notes = fastened(case, hardware_holes(case))
    assert [line.kind for line in found] == ["rivet"]
    assert {hole.fastener for hole in holes} == {"blind rivet 4.0 x 12"}
    assert any("handles" in note and "wood" in note and "tee nuts" in note for note in notes)


def test_a_range_that_straddles_two_lengths_is_said() -> None:
    """Without washers 7.6 to 8.4 mm is one length; with 1 mm more of plate it may be two."""
    case = with_one(evolve(RIVETED, plate_mm=2.0), washers=False)
    holes, _, _, notes = fastened(case, hardware_holes(case))
    # 2.0 + 6.4 = 8.4 as measured, 8.1 to 8.9 as sold: past 8.5 the next length holds
    assert {hole.fastener for hole in holes} == {"blind rivet 4.0 x 12"}
    said = [note for note in notes if "measure it before you buy" in note]
    assert len(said) == 1
    assert "8.1 to 8.9" in said[0]


def test_a_stack_out_of_the_table_is_refused_with_its_millimetres() -> None:
    """Rivets of 4 mm end at 21 mm: 25.5 is 4.5 too much, and bolts or thicker rivets would do."""
    thick = Board("birch plywood 24", 22.5, 22.5, 22.5, wood=True)
    profile = Profile(slot_mm=23.0, leg_mm=60.0, corner_mm=60.0, corner_reach_mm=90.0)
    payload = Payload("kit", (), wall=Wall(panel=thick.name, panel_mm=22.5, profile=profile))
    case = riveted(WORKED, payload)
    holes, found, troubles, _ = fastened(case)
    assert not any(hole.fastener for hole in holes)
    assert found == ()
    shorts = {trouble.where: trouble.short_mm for trouble in troubles}
    assert shorts == {
        "corners": pytest.approx(6.0),
        "edge profiles": pytest.approx(4.5),
        "closing profiles": pytest.approx(4.5),
    }
    assert all("bolts" in trouble.remedy for trouble in troubles)


def test_a_diameter_that_no_table_has_is_said() -> None:
    """For rivets of 6 mm there is no table of grips: which there are is said."""
    wide = Profile(engagement_mm=20.0, leg_mm=40.0, corner_mm=40.0, corner_reach_mm=65.0)
    payload = evolve(plain(rivet_mm=6.0), wall=Wall(profile=wide))
    holes, found, troubles, _ = fastened(riveted(WORKED, payload))
    assert found == ()
    assert not any(hole.fastener for hole in holes)
    assert {round(trouble.short_mm, 6) for trouble in troubles} == {0.4}
    assert all("6.4" in trouble.remedy for trouble in troubles)


FEET = HardwareType("foot", "foot", (40.0, 40.0), holes=(HoleAt(0.0, 0.0, 6.5),), fixing="tee nut")


def test_a_foot_gets_a_tee_nut_and_its_bolt() -> None:
    """The hole is the barrel's; the barrel may be no longer than the panel is thick.

    Barrel, not thread, sets the hole (hobby guides, read); 8 mm for M6 is from memory.
    """
    case = with_one(FEET)
    holes, found, troubles, _ = fastened(case, hardware_holes(case))
    assert troubles == ()
    assert [(line.name, line.used, line.buy) for line in found] == [
        ("tee nut M6", 1, 3),
        ("bolt M6", 1, 3),
    ]
    assert holes[0].diameter_mm == tee_nuts()["M6"].most_hole_mm
    assert holes[0].fastener == "tee nut M6"
    assert "no longer than 6.4 mm" in found[0].note
    assert "memory" in found[0].note


def test_where_a_tee_nut_does_not_bite_there_is_a_bolt() -> None:
    """In plastic, or over an inner leaf, a bolt with washer and locking nut stands in for it."""
    plastic = Board("twin-wall plastic 6", 6.0, 6.0, 6.0)
    case = with_one(FEET)
    workshop = evolve(case.payload.workshop, panels=(PanelChoice("front", plastic),))
    soft = riveted(WORKED, evolve(case.payload, workshop=workshop))
    soft = evolve(soft, fitted=case.fitted)
    holes, found, _, notes = fastened(soft, hardware_holes(soft))
    assert [line.kind for line in found] == ["washer", "bolt"]
    assert holes[0].diameter_mm == clearance_holes()["M6"].medium_mm
    assert holes[0].use == "bolt"  # what drawings and lists call it
    assert any("does not bite" in note for note in notes)
    over = with_one(FEET, (270.0, 7.0))
    holes, found, _, notes = fastened(over, hardware_holes(over))
    assert [line.kind for line in found] == ["bolt"]
    assert found[0].grip_mm == pytest.approx(PLATE_MM + 9.4)
    assert any("inner leaf" in note for note in notes)


def test_a_wood_screw_has_pilot_clearance_and_countersink() -> None:
    """No. 6 in plywood: pilot 1.6 as in softwood; under hardware no countersink (source S10)."""
    screwed = evolve(FEET, fixing="screw", holes=(HoleAt(0.0, 0.0, 3.8),))
    case = with_one(screwed)
    own = hardware_holes(case)
    holes, found, _, _ = fastened(case, own)
    six = wood_screws()[6]
    assert (holes[0].diameter_mm, holes[0].pilot_mm, holes[0].sink_mm) == (1.6, 1.6, None)
    assert found[0].name == "wood screw no. 6 (3.5 mm)"
    assert "no longer than 7.9 mm" in found[0].note
    # on a leaf, with nothing on top of it: clearance through the leaf, and a countersink
    bare = evolve(case, fitted=())
    name = "deep edge bottom front"
    loose = Hole("front", (270.0, -10.0, 7.75), 3.8, "screw", name, (name, "deep front"))
    holes, _, _, _ = fastened(bare, (loose,))
    assert (holes[0].diameter_mm, holes[0].pilot_mm, holes[0].sink_mm) == (
        six.clearance_mm,
        six.softwood_mm,
        six.sink_mm,
    )


def test_a_hole_off_the_panel_is_said() -> None:
    """Hardware whose hole meets no panel is named."""
    case = with_one(RIVETED, (270.0, -5.0))
    _, found, troubles, _ = fastened(case, hardware_holes(case))
    assert found == ()
    assert [trouble.where for trouble in troubles] == ["handles"]
    assert "no panel" in troubles[0].what
    # 5 mm from the outer edge, where the panel starts at 10.5
    assert troubles[0].short_mm == pytest.approx(5.5)


def test_a_hole_through_the_end_of_the_inner_leaf_is_said() -> None:
    """24.5 mm from the edge the inner leaf ends within the hole: half a seat for the tail."""
    case = with_one(RIVETED, (270.0, 14.5))
    _, _, _, notes = fastened(case, hardware_holes(case))
    assert any("half a seat" in note for note in notes)
    clear = with_one(RIVETED, (270.0, 7.75))
    _, _, _, notes = fastened(clear, hardware_holes(clear))
    assert not any("half a seat" in note for note in notes)


def test_gaps_wider_than_the_pitch_are_noted() -> None:
    """A long flange over a profile leaves its rivets further apart: which, and how far."""
    bare = riveted(WORKED, Payload("kit", ()))
    long = on_face(bare.assembly, "front", (290.0, 5.0), (200.0, 40.0), kind="handle")
    case = riveted(WORKED, bare.payload, (long,))
    _, _, _, notes = fastened(case)
    said = [note for note in notes if "further apart" in note]
    assert len(said) == 1
    assert "deep edge bottom front on the front (210 mm)" in said[0]
    assert not any("further apart" in note for note in fastened(bare)[3])


def test_the_list_says_what_each_is_for() -> None:
    """Fasteners are listed under the hardware that they hold, by its kind, with their number."""
    one = Fitted("brace 1", "brace", "brace", "front", ("deep",), (270.0, -10.0, 90.0), 0.0, (9, 9))
    hole = Hole("front", (270.0, -10.0, 90.0), 4.1, "rivet", "brace 1", ("deep front",))
    case = evolve(riveted(WORKED, Payload("kit", ())), fitted=(one,))
    _, found, _, _ = fastened(case, (hole,))
    assert of_rivets(found).popitem()[1].where == "braces 1"
