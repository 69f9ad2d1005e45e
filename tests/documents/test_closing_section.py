"""The closing section: what is drawn lies where the plan has it, and every number is the plan's."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import closing_kits
import hand_plan
import hand_shell
from fitkit.documents.closing_section import (
    gaps_words,
    picture_sheet,
    place_of,
    section_sheet,
)
from fitkit.documents.gap_column import share_marks
from fitkit.documents.gap_words import what_to_do
from fitkit.documents.pens.svg import svg
from fitkit.documents.section_cut import cut_through
from fitkit.documents.section_view import worst_gap
from fitkit.documents.sheet import Sheet, Text
from fitkit.shell.model import Opening
from sheet_texts import assert_texts_apart


def texts(sheet: Sheet) -> list[str]:
    """Every text of a drawing."""
    return [mark.text for mark in sheet.marks if isinstance(mark, Text)]


def test_the_cut_goes_through_what_is_there() -> None:
    """At y = 160 both screens and both plugs' zones, six panels, and no rail."""
    plan = closing_kits.twins()
    cut = cut_through(plan, 160.0)
    assert [one.label for one in cut.bodies] == ["field screen 1", "field screen 2"]
    assert cut.bodies[0].shape.bounds == pytest.approx((25.0, 23.0, 445.0, 63.0))
    assert cut.bodies[1].shape.bounds == pytest.approx((25.0, 87.0, 445.0, 127.0))
    # frame 420 x 28 and electronics 180 x 12, from the item's own sections
    assert cut.bodies[0].shape.area == pytest.approx(420 * 28 + 180 * 12)
    assert [kind for kind, _ in cut.zones] == ["connector", "connector"]
    assert [(one.name, one.through) for one in cut.supports] == [
        ("rail deep 2", False), ("rail shallow 2", False),
    ]  # fmt: skip
    assert len(cut.panels) == 6


def test_panels_are_cut_where_they_lie() -> None:
    """By hand: the floor's middle is f + s/2 = 5 mm inside the outer face, 6.4 mm thick."""
    cut = cut_through(closing_kits.twins(), 160.0)
    lowest = min(cut.panels, key=lambda one: one.bounds[1])
    assert lowest.bounds == pytest.approx((0.5, -8.2, 469.5, -1.8))


def test_an_opening_is_left_out_of_its_panel() -> None:
    """Through the handles' dishes the left and right wall are in two pieces; elsewhere in one."""
    plan = hand_shell.with_shell(hand_plan.plan())
    through = [one for one in cut_through(plan, 190.0).panels if one.geom_type == "MultiPolygon"]
    beside = [one for one in cut_through(plan, 30.0).panels if one.geom_type == "MultiPolygon"]
    assert [round(one.bounds[0]) for one in through] == [-8, 582]
    assert beside == []
    for wall in through:  # the dish is 100 mm high about z = 90
        missing = shapely.box(*wall.bounds).difference(wall)
        assert missing.bounds[1::2] == pytest.approx((40.0, 140.0))


def test_every_gap_and_recess_stands_in_the_drawing() -> None:
    """The gap of 24, both recesses of 12, 23 behind, and what is left at worst: 13.9."""
    said = texts(section_sheet(closing_kits.twins()))
    assert said.count("12") == 2
    assert {"24", "23 behind", "OK", "Where the 24 mm go", "13.9", "± 0.5", "5.4"} <= set(said)
    assert "13.9 of 24 mm are left at worst, 2 mm are to be kept." in said


def test_what_is_not_known_is_not_counted_among_the_small() -> None:
    """However many there are, the row with the question mark stays; the sum says what it lacks."""
    plan = closing_kits.twins(unknown=True)
    assert plan.shell is not None
    (gap,) = plan.shell.gaps
    (lost,) = [one for one in gap.contributions if one.mm is None]
    some = next(one for one in gap.contributions if one.mm)
    more = tuple(evolve(some, what=f"part {k}", mm=1.0 + k / 100) for k in range(30))
    many = evolve(gap, contributions=(lost, *more))
    said = [m.text for m in share_marks(many, (20.0, 120.0), (100.0, 60.0)) if isinstance(m, Text)]
    assert lost.what in said
    assert "?" in said
    assert any(text.endswith("smaller ones together") for text in said)
    assert "left at worst, what is known added up" in said


def test_what_stands_proud_is_called_so() -> None:
    """Knobs 9 mm over the closing plane under a screen 25 behind it: 16 between, no minus sign."""
    plan = closing_kits.desk()
    assert plan.shell is not None
    closing = plan.fit.interior.closing_mm
    screen, keyboard = plan.fit.placements
    places = (evolve(screen, z_mm=closing + 25.0), evolve(keyboard, z_mm=keyboard.z_mm + 18.0))
    first = plan.shell.gaps[0]
    at = (*first.at_mm[:2], closing + 17.0)
    shell = evolve(plan.shell, gaps=(evolve(first, at_mm=at, nominal_mm=16.0),))
    moved = evolve(plan, fit=evolve(plan.fit, placements=places), shell=shell)
    said = texts(section_sheet(moved))
    assert {"9 proud", "25", "16"} <= set(said)
    assert "-9" not in said


def test_what_fails_says_how_far_to_set_back() -> None:
    """At 5 mm recess each the gap of 10 is 2.1 mm short: either screen goes to 7.1 mm."""
    said = " ".join(texts(section_sheet(closing_kits.twins(recess=5.0))))
    assert "FAILS" in said
    assert "10, 2.1 short" in said
    assert "set field screen 1 to 7.1 mm or field screen 2 to 7.1 mm behind the closing" in said
    assert "or both by 1.1 mm" in said


def test_what_is_not_known_is_asked_for() -> None:
    """A contribution without a figure makes the gap unknown, and is named."""
    said = " ".join(texts(section_sheet(closing_kits.twins(unknown=True))))
    assert "UNKNOWN" in said
    assert "Find out: movement in a drop." in said
    assert "?" in said


def test_the_cut_goes_through_the_tightest_gap() -> None:
    """Unless it is told where; a gap that the cut misses has no line in the drawing."""
    plan = closing_kits.desk()
    gap = worst_gap(plan)
    assert gap is not None
    assert (gap.deep, gap.shallow) == ("keyboard", "screen")
    assert place_of(plan, None) == 180.0
    assert place_of(plan, 90.0) == 90.0
    assert "15" in texts(picture_sheet(plan))
    assert "15" not in texts(picture_sheet(plan, at_mm=90.0))
    assert gaps_words(plan)[0] == "keyboard to screen: 15 mm"


def test_a_case_without_a_shell_or_gaps_is_drawn_too() -> None:
    """A plan of foam alone: its wall, its layers, its gear, and a word that nothing faces."""
    sheet = section_sheet(hand_plan.plan(), at_mm=60.0)
    said = texts(sheet)
    assert "recorder" in said
    assert "Nothing faces anything that it must stay clear of." in said
    assert_texts_apart(sheet)


@pytest.mark.parametrize(
    "plan",
    [
        closing_kits.twins(),
        closing_kits.twins(recess=5.0),
        closing_kits.twins(unknown=True),
        closing_kits.desk(),
    ],
    ids=["ok", "fails", "unknown", "desk"],
)
def test_no_text_meets_another(plan) -> None:
    """In the sheet and in the picture alone, texts are 2.5 mm or more and apart."""
    assert_texts_apart(section_sheet(plan))
    assert_texts_apart(picture_sheet(plan))


def test_the_svg_is_read_back_to_scale() -> None:
    """Read by an XML parser: the screen's outline is 420 by 40 mm at the scale that is printed."""
    sheet = section_sheet(closing_kits.twins())
    second = next(text for text in texts(sheet) if "scale 1" in text)
    found = re.search(r"scale 1 : ([\d.]+)", second)
    assert found is not None
    root = ET.fromstring(svg(sheet))
    boxes = []
    for path in root.iter("{http://www.w3.org/2000/svg}path"):
        if path.get("fill") == "#FFFFFF" and path.get("stroke-width") == "0.4":
            numbers = [float(v) for v in re.findall(r"-?\d+\.?\d*", path.get("d", ""))]
            xs, ys = numbers[0::2], numbers[1::2]
            boxes.append((max(xs) - min(xs), max(ys) - min(ys)))
    scale = float(found[1])
    assert [(round(w * scale, 1), round(h * scale, 1)) for w, h in boxes] == [(420.0, 40.0)] * 2


@settings(max_examples=6, deadline=None)
@given(recess=st.floats(1.0, 30.0), y=st.floats(-30.0, 360.0))
def test_any_recess_and_any_place_is_drawn(recess: float, y: float) -> None:
    """Wherever the case is cut and however deep the gear lies, texts stay apart."""
    plan = closing_kits.twins(recess=recess)
    assert_texts_apart(picture_sheet(plan, at_mm=y))
    moved = evolve(plan, payload=evolve(plan.payload, title="Tideline " * 9))
    assert_texts_apart(section_sheet(moved, at_mm=y))


def test_the_cut_goes_through_a_sub_panels_opening() -> None:
    """A window of 60 in the keyboard's sub-panel is missing where the cut meets it, not beside."""
    plan = closing_kits.desk()
    assert plan.shell is not None
    board, *rest = plan.shell.supports
    holed = evolve(board, openings=(shapely.box(100.0, 50.0, 160.0, 90.0),))
    cut_open = evolve(plan, shell=evolve(plan.shell, supports=(holed, *rest)))
    for y, gaps in ((40.0 + 70.0, True), (40.0 + 120.0, False)):
        (shape,) = [
            one.shape for one in cut_through(cut_open, y).supports if one.kind == "sub-panel"
        ]
        spans = [part.bounds[::2] for part in shapely.get_parts(shape)]
        whole = [(25.0, 445.0)]
        assert sorted(spans) == ([(25.0, 125.0), (185.0, 445.0)] if gaps else whole)


def test_foam_and_panels_are_not_set_back() -> None:
    """Only the item is named where it faces foam alone; without the payload both sides are."""
    plan = closing_kits.twins()
    gap = closing_kits.gap("field screen 1", "foam", (1.0, 1.0, 1.0), (5.0, 2.0))
    assert "foam to" not in what_to_do(gap, payload=plan.payload)
    assert "set field screen 1 to 10.1 mm behind" in what_to_do(gap, payload=plan.payload)
    assert "foam to" in what_to_do(gap)


@pytest.mark.parametrize(("side", "x"), [("left", -8.2), ("right", 582.0)])
def test_an_opening_is_missed_where_it_is_not(side: str, x: float) -> None:
    """A hole 60 to 100 mm from the front in either side wall: cut through at 80, not at 300."""
    plan = hand_shell.with_shell(hand_plan.plan())
    assert plan.shell is not None
    panel = plan.shell.panel(f"deep {side}")
    # by hand: on the right wall u runs to the back from y = 0.5, on the left to the front
    at = 80.0 - 0.5 if side == "right" else panel.length_mm - (80.0 - 0.5)
    hole = Opening(panel.name, "trial", shapely.box(at - 20.0, 40.0, at + 20.0, 70.0))
    holed = evolve(plan, shell=evolve(plan.shell, openings=(hole,)))

    def pieces(y_mm: float) -> list[int]:
        walls = (one for one in cut_through(holed, y_mm).panels if abs(one.bounds[0] - x) < 1.0)
        return sorted(len(shapely.get_parts(one)) for one in walls)

    assert pieces(80.0) == [1, 2]
    assert pieces(300.0) == [1, 1]
