"""Checks of the shell and the stock, each seen to pass and to fail on a shell made by hand."""

from __future__ import annotations

import pytest
from attrs import evolve

from checks.kit import at, stages
from fitkit.checks import hardware, profiles, stock
from fitkit.checks.building import panel_in_slot
from fitkit.checks.stages import Stages
from fitkit.fit.layout import Half, Interior
from fitkit.foam.model import Room
from fitkit.payload.boards import board_of
from fitkit.payload.model import Profile, Wall
from fitkit.payload.workshop import (
    HardwareType,
    HardwareWishes,
    PanelChoice,
    StockWishes,
    Workshop,
)
from fitkit.shell.model import BarCut, Shell, Trouble
from fitkit.stock.model import BarPlan, CutBar, CutSheet, FoamPlan, SheetPlan, Stick, Stock
from shell_kits import shell as kit_shell

ROOM = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))


def looked(made: Shell | None = None, **payload_more: object) -> Stages:
    """Two blocks in the worked example's case, 600 x 400 x 300 outside."""
    base = stages(**payload_more)  # type: ignore[arg-type]  # passed on as they are
    made = evolve(kit_shell(), troubles=()) if made is None else made
    return evolve(base, fit=evolve(base.fit, interior=ROOM), shell=made)


def shop(**more: object) -> Workshop:
    """A workshop with some hardware wishes."""
    return Workshop(hardware=HardwareWishes(**more))  # type: ignore[arg-type]  # passed on


def test_without_a_shell_nothing_is_said() -> None:
    """A ready-made case, or a plan of an older version, has no findings about a shell."""
    bare = stages()
    assert bare.shell is None
    for check in (
        profiles.tongue_in_groove, profiles.corners_reach, profiles.profiles_take_rivets,
        hardware.shell_goes_together, hardware.dishes_clear, hardware.cuts_line_up,
        hardware.handles_carry, hardware.castors_carry, stock.bars_long_enough,
        stock.panels_on_sheets, stock.foam_on_sheets, stock.stock_bought,
    ):  # fmt: skip
        assert check(bare) == ()


def test_each_board_is_judged_with_its_panels() -> None:
    """A board of its own is named with its panels; a thick one is tight or fails, a thin one loose.

    Range of birch plywood 9: 8.8 to 9.5 mm (source S18, secondary).
    """
    own = (
        PanelChoice("top", board_of("aluminium composite 4")),
        PanelChoice("deep front", board_of("birch plywood 9")),
    )
    wall = Wall(profile=Profile(slot_mm=9.3))
    found = panel_in_slot(looked(wall=wall, workshop=Workshop(panels=own)))
    by = {(one.check, one.subject.split(":")[0]): one for one in found}
    assert by["panel in slot", "birch plywood 9"].verdict == "tight"
    assert by["panel in slot", "birch plywood 9"].subject.endswith(": deep front")
    assert by["panel in slot", "birch plywood 6.5"].verdict == "ok"
    loose = by["panel loose in slot", "aluminium composite 4"]
    assert (loose.verdict, loose.value) == ("tight", pytest.approx(5.3))
    assert ("panel loose in slot", "birch plywood 9") not in by
    narrow = evolve(wall, profile=Profile(slot_mm=9.0))
    found = panel_in_slot(looked(wall=narrow, workshop=Workshop(panels=own)))
    assert [one.verdict for one in found if one.subject.startswith("birch plywood 9")] == ["fails"]


@pytest.mark.parametrize(
    ("groove", "rim", "verdicts"),
    [(4.0, 6.0, ["ok", "ok"]), (3.6, 6.0, ["tight", "ok"]), (3.4, 4.2, ["fails", "fails"])],
)
def test_tongue_and_groove(groove: float, rim: float, verdicts: list[str]) -> None:
    """A tongue of 3.5 wants a groove of 3.8, and a floor of 1 mm (common practice, no source)."""
    wall = Wall(profile=Profile(groove_mm=groove, groove_rim_mm=rim))
    assert [one.verdict for one in profiles.tongue_in_groove(looked(wall=wall))] == verdicts


@pytest.mark.parametrize(
    ("reach", "ends", "verdict", "limit"),
    [(50.0, "square", "ok", 46.0), (45.0, "square", "fails", 46.0), (45.0, "mitred", "ok", 16.0)],
)
def test_corner_reach(reach: float, ends: str, verdict: str, limit: float) -> None:
    """R_b >= k + 2 (2 d): 30 + 16 with rivets of 4 mm (derived; 2 d from memory)."""
    wall = Wall(profile=Profile(corner_reach_mm=reach, ends=ends))  # type: ignore[arg-type]  # by test
    (one,) = profiles.corners_reach(looked(wall=wall))
    assert (one.verdict, one.limit) == (verdict, limit)


def test_uprights_take_rivets() -> None:
    """Uprights of 145 and 45 take two rivets of 4 mm (28 mm); two of 6.4 mm (44.8 mm) only just."""
    assert [one.value for one in profiles.profiles_take_rivets(looked())] == [145.0, 45.0]
    assert {one.verdict for one in profiles.profiles_take_rivets(looked())} == {"ok"}
    made = kit_shell()
    for long, verdict in ((28.0, "ok"), (27.9, "tight"), (15.0, "tight")):
        bars = tuple(
            evolve(bar, length_mm=long, short_mm=long) if bar.length_mm == 45 else bar
            for bar in made.bars
        )
        low = profiles.profiles_take_rivets(looked(evolve(made, bars=bars)))[1]
        assert (low.verdict, low.value) == (verdict, long)
        assert ("short of one rivet" in low.note) == (long < 16.0)


def test_every_trouble_is_a_finding_of_its_verdict() -> None:
    """Each trouble is a finding with its millimetres, its remedy and its verdict; 0 mm or more."""
    two = (
        Trouble("latch front 1", "it meets a foot", 3.5, "move it"),
        Trouble("foot bottom 1", "nothing holds it", 0.0, "another flange", "unknown"),
    )
    found = hardware.shell_goes_together(looked(evolve(kit_shell(), troubles=two)))
    assert [(one.subject, one.value, one.verdict) for one in found] == [
        ("latch front 1", 3.5, "fails"), ("foot bottom 1", 0.0, "unknown"),
    ]  # fmt: skip
    assert found[0].note == "It meets a foot. Move it."


@pytest.mark.parametrize(
    ("deep", "verdict", "gap"), [(4.0, "ok", 16.0), (12.0, "tight", 8.0), (25.0, "fails", -5.0)]
)
def test_a_dish_and_the_item_behind_it(deep: float, verdict: str, gap: float) -> None:
    """The recorder stands 20 mm behind the front: a dish 4, 12 or 25 mm into the room beside it."""
    made = kit_shell()
    room = Room((20.0, 0.0, 30.0), (90.0, deep, 80.0), "latch front 1")
    first = evolve(made.hardware[0], room=room)
    made = evolve(made, hardware=(first, *made.hardware[1:]), troubles=())
    base = looked(made)
    base = evolve(base, fit=evolve(base.fit, placements=(at("recorder", 20.0, 20.0),)))
    (one,) = hardware.dishes_clear(base)
    assert (one.verdict, one.value) == (verdict, pytest.approx(gap))
    assert "recorder" in one.subject


def test_cut_outs_that_do_not_line_up() -> None:
    """A cut-out in the groove's profile 2 mm off the one in the tongue's fails by 2 mm."""
    made = kit_shell()
    tongue = next(bar for bar in made.bars if bar.kind == "tongue" and bar.sides[0] == "front")
    groove = next(bar for bar in made.bars if bar.kind == "groove" and bar.sides[0] == "front")
    for off, verdict in ((0.0, "ok"), (2.0, "fails")):
        cuts = (
            BarCut(tongue.name, "latch front 1", "front", 75.0, 165.0, 48.0),
            BarCut(groove.name, "latch front 1", "front", 75.0 + off, 165.0 + off, 48.0),
        )
        (one,) = hardware.cuts_line_up(looked(evolve(made, bar_cuts=cuts)))
        assert (one.verdict, one.value) == (verdict, pytest.approx(off))


def test_castors_carry_a_third() -> None:
    """T >= (E + Z) / (n - 1): of 60 kg on four castors each carries 20 kg.

    Castor load rule, five pages agree (source S21, secondary).
    """
    made = kit_shell()
    castors = tuple(
        evolve(one, kind="castor") if one.kind == "foot" else one for one in made.hardware
    )
    for load, verdict in ((None, "unknown"), (19.0, "fails"), (21.0, "ok")):
        piece = HardwareType("castor", "castor", (95.0, 65.0), load_kg=load, known="measured")
        base = looked(evolve(made, hardware=castors), workshop=shop(types=(piece,)))
        base = evolve(base, mass=evolve(base.mass, total_kg=60.0))
        (one,) = hardware.castors_carry(base)
        assert (one.verdict, one.value) == (verdict, 20.0)


def test_handles_carry_and_are_enough() -> None:
    """Two handles of a case of 40 kg: 20 kg on each, and one person too few for 25 kg a head."""
    piece = HardwareType("handle", "handle", (150.0, 80.0), load_kg=18.0, known="measured")
    base = looked(workshop=shop(types=(piece,)))
    base = evolve(base, mass=evolve(base.mass, total_kg=40.0))
    load, people = hardware.handles_carry(base)
    assert (load.verdict, load.value, load.limit) == ("fails", 20.0, 18.0)
    assert (people.verdict, people.value) == ("fails", 40.0)
    assert "Fit 4 handles for 2 people" in people.note


@pytest.mark.parametrize(
    ("bars", "verdict"), [((3000.0,), "ok"), ((620.0,), "ok"), ((610.0,), "fails")]
)
def test_the_longest_piece_comes_out_of_a_bar(bars: tuple[float, ...], verdict: str) -> None:
    """Tongue and groove of 600 come out of 620 with 10 trimmed off each end, not out of 610."""
    base = looked(workshop=Workshop(stock=StockWishes(bars_mm=bars)))
    found = {one.subject.split(":")[0]: one for one in stock.bars_long_enough(base)}
    assert found["edge profile"].verdict == "ok"
    assert found["tongue profile"].verdict == found["groove profile"].verdict == verdict
    assert found["tongue profile"].margin == max(bars) - 20 - 600


@pytest.mark.parametrize(
    ("sheet", "verdict", "margin"),
    [((2440.0, 1220.0), "ok", None), ((599.0, 399.0), "ok", 0.0), ((590.0, 500.0), "fails", -9.0)],
)
def test_the_largest_panel_comes_out_of_a_sheet(
    sheet: tuple[float, float], verdict: str, margin: float | None
) -> None:
    """The bottom of 579 x 379, grain lengthwise, comes out of 599 x 399 less 10 all round."""
    (one,) = stock.panels_on_sheets(looked(wall=Wall(sheet_mm=sheet)))
    assert one.verdict == verdict
    assert margin is None or one.margin == pytest.approx(margin)


def test_the_grain_is_kept_on_the_sheet() -> None:
    """A sheet long enough only across the grain does not do, unless the grain is free."""
    base = looked(wall=Wall(sheet_mm=(420.0, 900.0)))
    (one,) = stock.panels_on_sheets(base)
    assert one.verdict == "fails"
    made = kit_shell()
    free = evolve(made, panels=tuple(evolve(panel, grain=None) for panel in made.panels))
    (one,) = stock.panels_on_sheets(evolve(base, shell=free))
    assert one.verdict == "ok"


def test_foam_on_its_sheet() -> None:
    """Layers of 200 x 120 come out of 210 x 130, turned or not, and not out of 190 x 130."""
    for foam, verdict in (((130.0, 210.0), "ok"), ((190.0, 130.0), "fails")):
        base = looked(workshop=Workshop(stock=StockWishes(foam_mm=foam)))
        (one,) = stock.foam_on_sheets(base)
        assert one.verdict == verdict


def test_what_is_bought_is_told_with_its_bound() -> None:
    """A proven plan has no margin left; one that is not proven says how far off it may be."""
    bar = CutBar(3000.0, False, (Stick("a", 2000.0),), 990.0)
    bars = BarPlan(
        "edge profile", (bar,), 1, 3000.0, 3000.0, "length", True, 2, 6000.0, 2000.0, 3.0
    )
    sheets = SheetPlan("birch plywood 6.5", (), 1, "area", False, 3, 2)
    foam = FoamPlan("foam 30", 30.0, (), 0, True, 1, 0.2)
    base = evolve(looked(), stock=Stock((bars,), (sheets,), (foam,), (), None, None))
    one, two, three = stock.stock_bought(base)
    assert (one.value, one.limit, one.margin, one.verdict) == (3000.0, 3000.0, 0.0, "ok")
    assert "it would take 2" in one.note
    assert "1 bar, 33% waste" in one.note
    assert two.margin is None
    assert two.note.startswith("At most")
    assert three.verdict == "ok"
    cut = CutSheet(2440.0, 1220.0, (), (), ())
    least = evolve(sheets, sheets=(cut,), proven=True)
    (single,) = stock.stock_bought(evolve(base, stock=Stock((), (least,), (), (), None, None)))
    assert (single.value, single.limit, single.unit) == (1.0, 1.0, "sheet")
    over = evolve(sheets, sheets=(cut, cut))
    (double,) = stock.stock_bought(evolve(base, stock=Stock((), (over,), (), (), None, None)))
    assert (double.unit, double.note[:17]) == ("sheets", "At most 1 sheet m")
