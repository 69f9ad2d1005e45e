"""Bars, boards and foam as they are cut: every piece is named, and no text touches another."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.documents.bars_picture import SLANT_MM
from fitkit.documents.block_pages import MARGIN_MM, entries_in_lines
from fitkit.documents.clear_text import area_of
from fitkit.documents.foam_cut_picture import as_laid
from fitkit.documents.lettering import width_of
from fitkit.documents.sheet import Path, Sheet, Text
from fitkit.documents.shell_words import piece_words
from fitkit.documents.stock_view import bars_sheet, board_sheet, foam_stock_sheet, stock_sheets
from fitkit.plan import Plan
from fitkit.stock.bars import cut_bars
from fitkit.stock.model import CutBar, CutSheet, Laid, LaidLayer, SawCut, SheetPlan, Stick
from shell_kits import shell, with_shell


@pytest.fixture(scope="module")
def fitted(plan: Plan) -> Plan:
    """The demo plan with the worked example's shell and a stock."""
    return with_shell(plan)


def texts_of(sheets: tuple[Sheet, ...]) -> list[Text]:
    """All texts of all sheets."""
    return [mark for sheet in sheets for mark in sheet.marks if isinstance(mark, Text)]


def check_texts(sheet: Sheet) -> None:
    """No text touches another, none leaves the paper, none is smaller than 2.5 mm."""
    marks = [mark for mark in sheet.marks if isinstance(mark, Text)]
    page = shapely.box(5, 3, sheet.width_mm - 5, sheet.height_mm - 5)
    areas = [area_of(mark) for mark in marks]
    for (one, a), (other, b) in combinations(zip(marks, areas, strict=True), 2):
        assert a.intersection(b).area < 0.01, (one.text, other.text)
    for mark, area in zip(marks, areas, strict=True):
        assert page.covers(area), mark.text
        assert mark.size_mm >= 2.5


def words_in(sheets: tuple[Sheet, ...]) -> str:
    """All texts of the sheets in one line, in the order in which they are drawn."""
    return " ".join(mark.text for mark in texts_of(sheets))


def test_texts_keep_off_each_other(fitted: Plan) -> None:
    """On every sheet of bars, boards and foam."""
    drawn = stock_sheets(fitted)
    assert [name for name, _ in drawn] == ["bars-1", "boards-1", "foam-1", "foam-2"]
    for _, sheet in drawn:
        check_texts(sheet)
    numbers = [f"sheet {k} of 4" for k in range(1, 5)]
    assert [next(t.text for t in texts_of((s,)) if t.text in numbers) for _, s in drawn] == numbers


def test_every_profile_is_named_as_often_as_it_is(fitted: Plan) -> None:
    """Edges with their part, closing profiles by their wall alone, under a heading of each kind."""
    said = piece_words(fitted)
    text = words_in(bars_sheet(fitted))
    for bar in shell().bars:
        where = said[bar.name].partition(", ")[2]
        assert where in text, where
    for heading in ("Edge profile: 2 bars of 3000", "Tongue profile: 1 bar of 3000"):
        assert heading in text
    lengths = Counter(t.text for t in texts_of(bars_sheet(fitted)))
    assert (lengths["540"], lengths["600"], lengths["400"]) == (4, 4, 4)


def test_pieces_lie_on_the_bar_true_to_scale(fitted: Plan) -> None:
    """Each strip's long side is its length at the sheet's scale, and none overlaps the next."""
    assert fitted.stock is not None
    (sheet,) = bars_sheet(fitted)
    scale = 11.0
    assert any(t.text.endswith(f"mm at 1 : {scale:g}") for t in texts_of((sheet,)))
    drawn = [
        [v[0] for v in mark.contours[0].vertices]
        for mark in sheet.marks
        if isinstance(mark, Path) and mark.style.fill == "white"
    ]
    wanted = [
        stick.length_mm / scale
        for plan in fitted.stock.bars
        for bar in plan.bars
        for stick in bar.sticks
    ]
    found = [max(xs) - min(xs) for xs in drawn]
    assert found == pytest.approx(wanted, abs=1e-6)
    first = drawn[: len(fitted.stock.bars[0].bars[0].sticks)]
    assert min(first[0]) == pytest.approx(MARGIN_MM + 10.0 / scale)
    for one, other in zip(first, first[1:], strict=False):
        assert min(other) - max(one) == pytest.approx(3.0 / scale)


def test_a_mitred_piece_leans_at_both_ends_and_a_square_one_does_not(fitted: Plan) -> None:
    """Closing profiles are drawn shorter on their inner side, edges are not."""
    (sheet,) = bars_sheet(fitted)
    leans = []
    for mark in sheet.marks:
        if isinstance(mark, Path) and mark.style.fill == "white":
            xs = [v[0] for v in mark.contours[0].vertices]
            leans.append(round((xs[1] - xs[0]) - (xs[2] - xs[3]), 6))
    assert Counter(leans) == {0.0: 16, 2 * SLANT_MM: 8}


def test_bars_sawn_alike_are_drawn_once_with_all_names(fitted: Plan) -> None:
    """Three bars of the same cuts make one strip, "3 × alike", and a line of names for each."""
    assert fitted.stock is not None
    names = [bar.name for bar in shell().bars if bar.kind == "edge"][:12]
    sticks = tuple(Stick(name, 700.0) for name in names)
    bars = tuple(CutBar(3000.0, False, sticks[k : k + 4], 168.0) for k in (0, 4, 8))
    edge = evolve(fitted.stock.bars[0], bars=bars)
    plan = evolve(fitted, stock=evolve(fitted.stock, bars=(edge,)))
    sheets = bars_sheet(plan)
    texts = [t.text for t in texts_of(sheets)]
    assert "3 × alike: bar 1, bar 2, bar 3" in texts
    assert texts.count("700") == 4
    said = piece_words(plan)
    for k in (0, 4, 8):
        line = next(t for t in texts if t.startswith(f"bar {k // 4 + 1}:"))
        assert all(said[name].partition(", ")[2] in line for name in names[k : k + 4])
    for sheet in sheets:
        check_texts(sheet)


def test_a_kept_piece_is_told_from_a_new_bar(fitted: Plan) -> None:
    """What the builder already has is named so, in the heading and on its strip."""
    sticks = [Stick(bar.name, bar.length_mm) for bar in shell().bars if bar.kind == "edge"]
    edge = cut_bars(sticks, what="edge profile", bars_mm=(2500.0,), offcuts_mm=(800.0,))
    assert fitted.stock is not None
    plan = evolve(fitted, stock=evolve(fitted.stock, bars=(edge,)))
    text = words_in(bars_sheet(plan))
    kept = sum(bar.offcut for bar in edge.bars)
    assert ("kept piece 1" in text) == (kept == 1) == ("1 piece that you have" in text)


def test_a_piece_too_short_for_type_is_named_below(fitted: Plan) -> None:
    """Uprights of 6 mm share a bracket with their numbers; their names and lengths stand below."""
    assert fitted.stock is not None
    names = [bar.name for bar in shell().bars if bar.kind == "edge"]
    sticks = (Stick(names[0], 2900.0), *(Stick(name, 6.0) for name in names[1:4]))
    edge = evolve(fitted.stock.bars[0], bars=(CutBar(3000.0, False, sticks, 50.0),))
    sheets = bars_sheet(evolve(fitted, stock=evolve(fitted.stock, bars=(edge,))))
    texts = [t.text for t in texts_of(sheets)]
    assert "2–4" in texts
    said = piece_words(fitted)
    line = next(t for t in texts if t.startswith("2 "))
    assert all(f"{said[name].partition(', ')[2]}: 6" in line for name in names[1:4])
    for sheet in sheets:
        check_texts(sheet)


def test_a_long_list_of_bars_flows_over_several_sheets(fitted: Plan) -> None:
    """Each bar is drawn once, on one sheet; a heading is said again where it goes on."""
    assert fitted.stock is not None
    names = [bar.name for bar in shell().bars if bar.kind == "edge"]
    bars = tuple(
        CutBar(3000.0, False, (Stick(name, 500.0 + 10 * k),), 100.0) for k, name in enumerate(names)
    )
    edge = evolve(fitted.stock.bars[0], bars=bars)
    sheets = bars_sheet(evolve(fitted, stock=evolve(fitted.stock, bars=(edge,))))
    assert len(sheets) == 3
    labels = Counter(t.text for t in texts_of(sheets) if t.text.startswith("bar "))
    assert labels == {f"bar {k}": 1 for k in range(1, 17)}
    assert words_in(sheets).count("Edge profile, continued") == 2
    for sheet in sheets:
        assert sheet.height_mm == 210.0
        check_texts(sheet)


def test_every_panel_is_named_in_its_place_with_its_size(fitted: Plan) -> None:
    """Each tile has its name (in full, or short) and its size; the offcut is named with its own."""
    assert fitted.stock is not None
    said = piece_words(fitted)
    (sheet,) = board_sheet(fitted)
    text = words_in((sheet,))
    for panel in shell().panels:
        words = said[panel.name]
        assert words in text or words.replace(" of the ", ", ") in text
    sizes = Counter(t.text for t in texts_of((sheet,)))
    assert sizes["579 × 379"] == sizes["579 × 185"] == sizes["379 × 83"] == 2
    assert "keep: offcut 1" in text
    assert "grain" in text


def test_every_saw_cut_has_its_number_once(fitted: Plan) -> None:
    """Numbers 1 to n in the picture, and as many in the list of cuts."""
    assert fitted.stock is not None
    (plan,) = fitted.stock.sheets
    count = len(plan.sheets[0].cuts)
    tags = Counter(t.text for t in texts_of(board_sheet(fitted)) if t.role == "ok")
    assert tags == {str(k): 1 for k in range(1, count + 1)}
    listed = words_in(board_sheet(fitted))
    for k, cut in enumerate(plan.sheets[0].cuts, start=1):
        kind = {1: "rip", 2: "cross cut"}[cut.stage]
        way = "up" if cut.along == "x" else "right"
        assert f"{k} {kind} {cut.at_mm:g} {way}" in listed


def test_sheets_cut_alike_are_drawn_once(fitted: Plan) -> None:
    """Two sheets of the same places are one picture; the names of both are listed by number."""
    assert fitted.stock is not None
    (plan,) = fitted.stock.sheets
    names = [panel.name for panel in shell().panels]
    pairs = (names[:2], names[2:4])
    sheets = tuple(
        CutSheet(2440.0, 1220.0, _pair(first, second), (), ()) for first, second in pairs
    )
    drawn = board_sheet(
        evolve(fitted, stock=evolve(fitted.stock, sheets=(evolve(plan, sheets=sheets),)))
    )
    assert len(drawn) == 1
    text = words_in(drawn)
    assert "2 × alike: sheets 1 and 2 of 2" in text
    said = piece_words(fitted)
    assert f"sheet 1: 1 {said[names[0]]} · 2 {said[names[1]]}" in text
    assert f"sheet 2: 1 {said[names[2]]} · 2 {said[names[3]]}" in text
    assert "500 × 300, turned" in text
    check_texts(drawn[0])


def _pair(first: str, second: str) -> tuple[Laid, Laid]:
    return (
        Laid(first, 10.0, 10.0, 500.0, 300.0, False),
        Laid(second, 513.0, 10.0, 500.0, 300.0, True),
    )


@st.composite
def strips(draw: st.DrawFn) -> CutSheet:
    """A sheet in strips of any height, each cut into tiles of any length, with all their cuts."""
    long, wide = 2440.0, 1220.0
    names = iter([panel.name for panel in shell().panels] * 4)
    tiles: list[Laid] = []
    cuts: list[SawCut] = []
    y = 10.0
    for tall in draw(st.lists(st.integers(30, 400), min_size=1, max_size=6)):
        if y + tall > wide - 10:
            break
        x = 10.0
        for size in draw(st.lists(st.integers(40, 900), min_size=1, max_size=6)):
            if x + size > long - 10:
                break
            tiles.append(Laid(next(names), x, y, float(size), float(tall), draw(st.booleans())))
            x += size + 3.0
            cuts.append(SawCut(2, "y", x - 1.5, y, y + tall))
        y += tall + 3.0
        cuts.append(SawCut(1, "x", y - 1.5, 0.0, long))
    cuts.sort(key=lambda cut: cut.stage)
    return CutSheet(long, wide, tuple(tiles), tuple(cuts), ())


@settings(deadline=None, max_examples=30)
@given(sheet=strips())
def test_no_number_meets_a_name_whatever_the_pieces_are(fitted: Plan, sheet: CutSheet) -> None:
    """Texts keep off each other, and every cut and every piece is told, on any sheet of strips."""
    assert fitted.stock is not None
    plan = SheetPlan("birch plywood 6.5", (sheet,), 1, "area", True, 1, 2)
    drawn = board_sheet(evolve(fitted, stock=evolve(fitted.stock, sheets=(plan,))))
    assert len(drawn) == 1
    check_texts(drawn[0])
    tags = sorted(int(t.text) for t in texts_of(drawn) if t.role == "ok")
    assert tags == list(range(1, len(sheet.cuts) + 1))
    text, said = words_in(drawn), piece_words(fitted)
    for tile in sheet.tiles:
        words = said[tile.name]
        assert words in text or words.replace(" of the ", ", ") in text


def test_layers_lie_on_their_foam_as_the_plan_says(fitted: Plan) -> None:
    """Turned and moved, a layer's box has its lower left corner where it is laid; names are all."""
    layer = fitted.foam.layers[1]
    for turn in (0.0, 90.0, 180.0, 37.0):
        laid = LaidLayer(layer.name, 120.0, 40.0, turn)
        shape = as_laid(layer.outline, layer.outline, laid, (12.0, 30.0), 16.0)
        left, low, _, _ = shape.bounds
        assert (left, low) == pytest.approx((12.0 + 120.0 / 16.0, 30.0 + 40.0 / 16.0))
        assert shape.area == pytest.approx(layer.outline.area / 256.0)
    text = words_in(foam_stock_sheet(fitted))
    assert all(one.name in text for one in fitted.foam.layers)


def test_words_tell_bound_waste_and_the_naive_way(fitted: Plan) -> None:
    """Proven or not, how much is wasted, and what cutting piece by piece would take."""
    assert fitted.stock is not None
    text = words_in(bars_sheet(fitted))
    assert "proven: no way of sawing takes less than 6000 mm of new bars" in text
    assert f"{100 * fitted.stock.bars[0].waste:.1f} % waste" in text
    assert "3 new bars, 3000 mm more" in text
    open_plan = evolve(fitted.stock.bars[0], proven=False, bound_mm=5200.0)
    stock = evolve(fitted.stock, bars=(open_plan,))
    text = words_in(bars_sheet(evolve(fitted, stock=stock)))
    assert "at least 5200 mm of new bars are needed; not proven to be least" in text


def test_nothing_is_drawn_without_a_stock(plan: Plan) -> None:
    """No stock, no sheets; a stock of foam alone draws foam alone."""
    assert stock_sheets(evolve(plan, stock=None)) == ()
    full = with_shell(plan)
    assert full.stock is not None
    foam = evolve(full, stock=evolve(full.stock, bars=(), sheets=()))
    assert [name for name, _ in stock_sheets(foam)] == ["foam-1", "foam-2"]
    assert bars_sheet(foam) == board_sheet(foam) == ()


@given(entries=st.lists(st.text("abc ", min_size=1, max_size=30), min_size=1, max_size=12))
def test_entries_keep_their_words_and_fit(entries: list[str]) -> None:
    """Lines hold every word in order and none is wider than asked."""
    words = [" ".join(entry.split()) or "x" for entry in entries]
    lines = entries_in_lines(words, width_mm=60.0, size_mm=2.5)
    assert " ".join(lines).replace("· ", "").split() == " ".join(words).split()
    assert all(width_of(line, size_mm=2.5) <= 60.0 for line in lines)
