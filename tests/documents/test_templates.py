"""Templates at 1:1: read back with pypdf, and measured on pages drawn by pdfium."""

from __future__ import annotations

import io
import math

import numpy as np
import pypdf
import pypdfium2
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from fitkit.documents.sheet import Inset, Sheet
from fitkit.documents.templates import template_sheets, templates_pdf
from fitkit.documents.tiles import OVERLAP_MM, PAPERS_MM, grid_for, pages_along
from fitkit.plan import Plan

DPI = 254.0  # ten dots per millimetre


@pytest.fixture(scope="module")
def printed(plan: Plan) -> bytes:
    """The templates on A4."""
    return templates_pdf(plan)


def dark(document: bytes, page: int) -> NDArray[np.bool_]:
    """Where a page is darker than mid grey, ten dots per millimetre, row 0 at the top."""
    opened = pypdfium2.PdfDocument(document)
    grey = opened[page].render(scale=DPI / 72, grayscale=True).to_numpy()
    opened.close()
    return grey.reshape(grey.shape[0], grey.shape[1]) < 128


def longest_run(line: NDArray[np.bool_]) -> int:
    """Length of the longest run of true values."""
    edges = np.diff(np.concatenate([[0], line.astype(int), [0]]))
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return int((ends - starts).max(initial=0))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_pages_have_the_size_of_the_paper(plan: Plan, paper: str) -> None:
    """Every page is A4 or Letter, upright or on its side, to a hundredth of a millimetre."""
    reader = pypdf.PdfReader(io.BytesIO(templates_pdf(plan, paper=paper)))  # type: ignore[arg-type]  # by test
    wanted = sorted(PAPERS_MM[paper])  # type: ignore[index]  # by test
    for page in reader.pages:
        size = sorted(
            (float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72)
        )
        assert size == pytest.approx(wanted, abs=0.01)


def test_the_printer_is_asked_not_to_scale_and_type_is_embedded(printed: bytes) -> None:
    """PrintScaling is None; every font has its file inside, as a subset of DejaVu Sans."""
    reader = pypdf.PdfReader(io.BytesIO(printed))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    names = set()
    for page in reader.pages:
        for font in page["/Resources"].get("/Font", {}).values():
            font = font.get_object()
            if font["/Subtype"] != "/TrueType":
                continue
            names.add(str(font["/BaseFont"]).split("+")[-1])
            assert "/FontFile2" in font["/FontDescriptor"]
    assert names == {"DejaVuSans", "DejaVuSans-Bold"}


def test_both_check_lines_measure_100_mm_on_every_page(printed: bytes) -> None:
    """On each tile drawn at 10 dots per mm, a level and an upright line of 100 mm, to 0.1 mm."""
    reader = pypdf.PdfReader(io.BytesIO(printed))
    for k in range(1, min(len(reader.pages), 6)):
        ink = dark(printed, k)
        tall = ink.shape[0]
        foot = ink[tall - 170 : tall - 150]  # the level line stands 16 mm above the paper's edge
        assert any(abs(longest_run(row) - 1000) <= 3 for row in foot)
        side = ink[:, ink.shape[1] - 135 : ink.shape[1] - 115].T  # the upright one 12.5 mm from it
        assert any(abs(longest_run(column) - 1000) <= 3 for column in side)


def test_every_page_says_where_it_belongs(plan: Plan, printed: bytes) -> None:
    """Each tile names its layers, row and column, page number, and the neighbour at each join."""
    texts = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(printed)).pages]
    total = len(texts)
    for number, text in enumerate(texts[1:], start=2):
        assert f"page {number} of {total}" in text
        assert "row " in text
        assert "column " in text
    assert "join A2" in texts[1]
    assert "join B1" in texts[1]


def test_the_map_comes_first_and_says_what_to_do(printed: bytes) -> None:
    """Actual size, the 100 mm lines, half a millimetre, and a caution for the blade."""
    text = " ".join(pypdf.PdfReader(io.BytesIO(printed)).pages[0].extract_text().split())
    for words in (
        "actual size",
        "100 mm",
        "0.5 mm",
        "cut away from your hands",
        "Cut to 480 × 300 mm",
    ):
        assert words in text


def test_hot_wire_has_its_own_caution(plan: Plan) -> None:
    """Cutting by hot wire prints the caution for the wire, not for the knife."""
    foam = evolve(plan.payload.foam, cutting="hot wire")
    hot = evolve(plan, payload=evolve(plan.payload, foam=foam))
    text = pypdf.PdfReader(io.BytesIO(templates_pdf(hot))).pages[0].extract_text()
    assert "wire burns" in " ".join(text.split())
    assert "away from your hands" not in " ".join(text.split())


def test_layers_cut_alike_share_one_template(plan: Plan) -> None:
    """deep-02 to deep-04 are alike: one set of pages, named after them; deep-01 is plain: none."""
    titles = [sheet.title for sheet in template_sheets(plan)]
    assert any(title.startswith("deep-02, deep-03, deep-04") for title in titles)
    assert not any("deep-01" in title for title in titles)


def test_tiles_show_the_whole_drawing(plan: Plan) -> None:
    """The windows of a template's pages cover its drawing without a gap, each in its place."""
    groups: dict[str, list[Inset]] = {}
    for sheet in template_sheets(plan)[1:]:
        (inset,) = (mark for mark in sheet.marks if isinstance(mark, Inset))
        groups.setdefault(inset.key, []).append(inset)
    for insets in groups.values():
        drawing: Sheet = insets[0].sheet
        spans = [
            (i.box_mm[0] - i.x_mm, i.box_mm[2] - i.x_mm, i.box_mm[1] - i.y_mm, i.box_mm[3] - i.y_mm)
            for i in insets
        ]
        assert min(s[0] for s in spans) <= 0 <= drawing.width_mm <= max(s[1] for s in spans)
        assert min(s[2] for s in spans) <= 0 <= drawing.height_mm <= max(s[3] for s in spans)
        lefts = sorted({round(s[0], 6) for s in spans})
        width = spans[0][1] - spans[0][0]
        assert all(
            b - a <= width - OVERLAP_MM + 1e-6 for a, b in zip(lefts, lefts[1:], strict=False)
        )


def test_a_cut_line_stands_where_the_plan_has_it(plan: Plan, printed: bytes) -> None:
    """On page 2 the sheet's left edge is 2 mm into the window, the recorder's pocket 20 more."""
    ink = dark(printed, 1)
    # window starts at 10 mm; the foam's edge is 2 mm inside; the pocket's left side at x = 20
    columns = ink[750:1200].mean(axis=0) > 0.95  # a stretch clear of notch and corners
    found = np.flatnonzero(columns) / 10.0
    for wanted in (12.0, 32.0):
        assert min(abs(found - wanted)) <= 0.3


def test_the_same_plan_gives_the_same_bytes(plan: Plan, printed: bytes) -> None:
    """No date or chance in the file."""
    assert templates_pdf(plan) == printed


@given(
    width=st.floats(20, 2500), height=st.floats(20, 2500), paper=st.sampled_from(["A4", "Letter"])
)
def test_a_grid_covers_and_is_not_larger_than_needed(
    width: float, height: float, paper: str
) -> None:
    """Windows cover the drawing, each overlap is 10 mm, and one row or column less would not do."""
    grid = grid_for(width, height, paper=paper)  # type: ignore[arg-type]  # by test
    for length, window, count in zip(
        (width, height), grid.window_mm, (grid.columns, grid.rows), strict=True
    ):
        reach = count * (window - OVERLAP_MM) + OVERLAP_MM
        assert reach >= length - 1e-6
        assert count == 1 or reach - (window - OVERLAP_MM) < length
        assert (
            count
            == pages_along(length, window)
            == max(1, math.ceil((length - 10) / (window - 10) - 1e-9))
        )
