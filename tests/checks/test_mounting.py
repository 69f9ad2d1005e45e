"""Is what is mounted held: screws far enough in and not too far, pattern, recess."""

from __future__ import annotations

import shapely
from attrs import evolve

from checks.kit import block, stages
from fitkit.checks.finding import Finding
from fitkit.checks.mounting import (
    mounted_items,
    patterns_carry,
    recess_kept,
    screws_clear_of_rivets,
    screws_stay_short,
    supports_clear_of_tails,
)
from fitkit.checks.stages import Stages
from fitkit.fit.layout import Fit, Placement
from fitkit.foam.model import Foam
from fitkit.payload.hardware import type_for
from fitkit.payload.model import Payload
from fitkit.payload.mounted import turn_deg
from fitkit.payload.mounts import HolePattern, Mount
from fitkit.reference.hole_patterns import hole_patterns
from fitkit.shell.mass import Mass
from fitkit.shell.model import Fitted, Hole
from support_kits import (
    ON_RAILS,
    PATTERN,
    Held,
    between_walls,
    held,
    one_screen,
    screen,
    twins,
)


def looked(kit: Held) -> Stages:
    """The stages of a kit that stands by hand, with its supports in the shell."""
    fit = Fit("volume", 1.0, 1.0, "none", 0.0, True, 0.0, 1, kit.interior, kit.placements)
    made = kit.mounting
    shell = evolve(kit.shell, supports=made.supports, screwings=made.screwings, holes=made.holes,
                   troubles=made.troubles)  # fmt: skip
    mass = Mass((), 0.0, (0.0, 0.0, 0.0))
    return Stages(kit.payload, fit, (0.0, 0.0, 0.0), Foam((), (), ()), mass, shell)


def only(findings: tuple[Finding, ...]) -> Finding:
    """The one finding."""
    (one,) = findings
    return one


def test_each_copy_is_judged_by_its_worst_screw() -> None:
    """Two screens on rails: M4 goes in 5 mm, 4 are wanted; what holds them is told."""
    found = mounted_items(looked(twins()))
    assert [one.subject for one in found] == ["field screen 1", "field screen 2"]
    for one in found:
        assert (one.verdict, one.value, one.limit) == ("ok", 5.0, 4.0)
        assert "2 rails, 2 packings, 4 screws M4 x 25 and 6 screws no. 8" in one.note


def test_a_thread_that_is_too_short_fails() -> None:
    """A screw that goes in 3.9 mm of 4: fails by 0.1."""
    stage = looked(twins())
    assert stage.shell is not None
    first, *rest = stage.shell.screwings
    short = evolve(stage.shell, screwings=(evolve(first, engaged_mm=3.9), *rest))
    found = mounted_items(evolve(stage, shell=short))
    assert [one.verdict for one in found] == ["fails", "ok"]


def test_a_hole_without_a_screw_fails() -> None:
    """Three screws in a pattern of four: one is missing."""
    stage = looked(twins())
    assert stage.shell is not None
    first, *rest = stage.shell.screwings
    few = evolve(stage.shell, screwings=(evolve(first, count=3), *rest))
    one = mounted_items(evolve(stage, shell=few))[0]
    assert (one.verdict, one.value, one.limit, one.unit) == ("fails", 3.0, 4.0, "screws")


def test_walls_count_their_pattern_on_both_sides() -> None:
    """Two holes on each of two faces: four screws hold it."""
    one = only(mounted_items(looked(between_walls())))
    assert (one.verdict, one.value) == ("ok", 6.8)
    assert "2 blocks" in one.note


def test_what_the_sheet_does_not_say_is_unknown() -> None:
    """No mount, no hole pattern, no shell: unknown, with what to do."""
    bare = stages(items=(block("recorder", hold="mounted"), block("probe")))
    assert "Say how it is mounted" in only(mounted_items(bare)).note
    assert only(mounted_items(looked(one_screen(Mount())))).verdict == "unknown"
    ready = evolve(looked(one_screen()), shell=None)
    assert "ready-made" in only(mounted_items(ready)).note
    assert mounted_items(stages()) == ()


def test_no_screw_reaches_the_bottom_of_its_hole() -> None:
    """M4 x 25 through 20 into 10, a rail 0.3 thinner: 4.7 mm are left; one 30 long fails by 0.3."""
    stage = looked(twins())
    assert stage.shell is not None
    one = only(screws_stay_short(stage))
    assert one.verdict == "ok"
    assert one.margin is not None
    assert abs(one.margin - 4.7) < 1e-9
    first, *rest = stage.shell.screwings
    long = evolve(stage.shell, screwings=(evolve(first, length_mm=30.0), *rest))
    fails = only(screws_stay_short(evolve(stage, shell=long)))
    assert fails.verdict == "fails"
    assert "0.3 mm shorter" in fails.note
    assert screws_stay_short(stages()) == ()


def test_a_pattern_carries_what_it_is_meant_for() -> None:
    """Of the patterns' standard (S13): 100 x 100 carries 14 kg, a screen of 15 kg is too heavy."""
    assert hole_patterns()["100x100"].most_kg == 14.0
    stage = looked(one_screen())
    assert only(patterns_carry(stage)).verdict == "ok"
    heavy = evolve(stage.payload.items[0], mass_kg=15.0)
    fails = only(patterns_carry(evolve(stage, payload=evolve(stage.payload, items=(heavy,)))))
    assert (fails.verdict, fails.margin) == ("fails", -1.0)
    own = HolePattern("our own", PATTERN.holes_mm)
    assert patterns_carry(looked(one_screen(Mount(pattern=own)))) == ()


def test_the_recess_is_that_of_the_foremost_point() -> None:
    """A half 80 deep, 23 behind, 40 high: 17 mm behind the closing plane, in either half."""
    for half in ("deep", "shallow"):
        one = only(recess_kept(looked(one_screen(half=half))))
        assert one.value is not None
        assert abs(one.value - 17.0) < 1e-9
        assert one.verdict == "ok"
    given = evolve(ON_RAILS, recess_mm=20.0)
    fails = only(recess_kept(looked(one_screen(given))))
    assert (fails.verdict, fails.margin) == ("fails", -3.0)
    assert "3.0 mm more" in fails.note


def test_a_proud_item_is_told_as_proud() -> None:
    """6 mm proud as asked: kept, and said."""
    proud = evolve(ON_RAILS, recess_mm=-6.0)
    one = only(recess_kept(looked(one_screen(proud, behind_mm=46.0))))
    assert one.verdict == "ok"
    assert "6.0 mm proud" in one.note


def test_an_item_that_looks_at_a_wall_keeps_its_recess_from_it() -> None:
    """Its glass 30 mm before the left wall: 35 asked, 5 are missing; 20, it can go 10 nearer.

    Nearer than the clearance to walls it cannot go on the board: that has to give way first.
    """
    for asked, verdict in ((30.0, "ok"), (20.0, "tight"), (12.0, "tight"), (35.0, "fails")):
        item = screen(Mount(faces="left wall", recess_mm=asked, pattern=PATTERN))
        turn = turn_deg(item, "right")
        place = Placement(item.name, 1, "deep", 1, "right", turn or 0.0, 30.0, 25.0, 25.0)
        kit = held(Payload("upright", (item,)), (place,), size_mm=(120.0, 312.0),
                   depths_mm=(460.0, 60.0))  # fmt: skip
        one = only(recess_kept(looked(kit)))
        assert (one.verdict, one.value) == (verdict, 30.0)
        assert "30.0 mm behind the left wall" in one.note
        assert (f"Move it {30.0 - asked:.1f} mm to the left" in one.note) == (verdict == "tight")
        assert ("Your clearance to walls keeps 20.0 mm free" in one.note) == (asked == 12.0)


def test_a_screw_beside_a_rivet_is_tight() -> None:
    """A rivet 5 mm from a screw's hole: they keep too little wood between them, by so much."""
    stage = looked(one_screen())
    assert stage.shell is not None
    assert screws_clear_of_rivets(stage) == ()
    first = stage.shell.holes[0]
    x, y, z = first.at_mm
    rivet = Hole(first.side, (x + 5.0, y, z), 4.1, "rivet", "deep edge bottom left", ())
    near = evolve(stage.shell, holes=(*stage.shell.holes, rivet))
    one = only(screws_clear_of_rivets(evolve(stage, shell=near)))
    assert one.verdict == "tight"
    # half of 8.4 and of 4.1 is 6.25, and 3 between: 9.25 wanted, 5 there
    assert one.margin is not None
    assert abs(one.margin + 4.25) < 1e-9
    assert shapely.Point(x, y).distance(shapely.Point(x + 5.0, y)) == one.value


def test_a_packing_over_a_tee_nut_is_tight() -> None:
    """A foot's bolt 10 mm inside a packing's edge, 8 mm wide: 14 mm to move, or bore it out."""
    stage = looked(one_screen())
    assert stage.shell is not None
    assert supports_clear_of_tails(stage) == ()
    # the first packing reaches from 91 to 121 along y, and lies on the panel
    bolt = Hole("bottom", (245.0, 101.0, -10.0), 8.0, "tee nut", "foot bottom 1", ("deep bottom",))
    near = evolve(stage.shell, holes=(*stage.shell.holes, bolt))
    one = only(supports_clear_of_tails(evolve(stage, shell=near)))
    assert (one.verdict, one.value) == ("tight", 14.0)
    assert one.subject == "field screen packing 1, foot bottom 1"
    beside = evolve(bolt, at_mm=(245.0, 86.9, -10.0))
    clear = evolve(stage.shell, holes=(*stage.shell.holes, beside))
    assert supports_clear_of_tails(evolve(stage, shell=clear)) == ()


def test_pockets_for_feet_are_bored_as_drawn() -> None:
    """A foot under a packing: its tee nut has a pocket 14 mm wide, and nothing is left to say."""
    foot = Fitted("foot bottom 1", "foot", "rubber foot", "bottom", ("deep",),
                  (245.0, 101.0, -10.0), 0.0, (38.0, 38.0))  # fmt: skip
    stage = looked(one_screen(fitted=(foot,)))
    assert stage.shell is not None
    pockets = {
        (support.name, one.diameter_mm)
        for support in stage.shell.supports
        for one in support.holes
        if one.use.startswith("pocket ")
    }
    across = next(one.diameter_mm for one in type_for(stage.payload, "foot").holes)
    assert pockets == {("field screen packing 1", across + 6.0)}
    bolt = Hole("bottom", foot.centre_mm, 8.0, "tee nut", foot.name, ("deep bottom",))
    near = evolve(stage.shell, holes=(*stage.shell.holes, bolt))
    assert supports_clear_of_tails(evolve(stage, shell=near)) == ()


def test_a_front_in_a_plane_is_flush_with_it() -> None:
    """Neither behind it nor proud of it by nought; a hair counts as nothing."""
    for recess in (0.0, 4e-13, -4e-13):
        given = evolve(ON_RAILS, recess_mm=0.0)
        one = only(recess_kept(looked(one_screen(given, behind_mm=40.0 - recess))))
        assert one.note == "Its foremost point is flush with the closing plane."
        assert one.verdict == "ok"


def test_no_shift_by_nothing_is_asked_for() -> None:
    """Two fasteners that lack 0.03 mm between them are far enough apart at the bench."""
    stage = looked(one_screen())
    assert stage.shell is not None
    first = stage.shell.holes[0]
    x, y, z = first.at_mm
    half = max(first.diameter_mm, first.sink_mm or 0.0) / 2
    for lacks, count in ((0.03, 0), (0.07, 1)):
        at = (x + half + 4.1 / 2 + 3.0 - lacks, y, z)
        rivet = Hole(first.side, at, 4.1, "rivet", "deep edge bottom left", ())
        near = evolve(stage.shell, holes=(first, rivet))
        assert len(screws_clear_of_rivets(evolve(stage, shell=near))) == count
