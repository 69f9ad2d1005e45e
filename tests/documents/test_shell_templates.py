"""Drilling templates at 1:1: read back with pypdf, and measured on pages drawn by pdfium."""

from __future__ import annotations

import io

import numpy as np
import pypdf
import pypdfium2
import pytest
from attrs import evolve
from numpy.typing import NDArray

import hand_shell
from fitkit.documents.sheet import Circle, Inset
from fitkit.documents.shell_documents import shell_documents, shell_paths
from fitkit.documents.shell_templates import (
    AROUND_MM,
    panel_templates,
    shell_template_sheets,
    shell_templates_pdf,
)
from fitkit.plan import Plan

DPI = 254.0  # ten dots per millimetre


@pytest.fixture(scope="module")
def built(plan: Plan) -> Plan:
    """The demo plan with the worked example's shell."""
    return hand_shell.with_shell(plan)


@pytest.fixture(scope="module")
def printed(built: Plan) -> bytes:
    """The templates on A4."""
    return shell_templates_pdf(built)


def dark(document: bytes, page: int) -> NDArray[np.bool_]:
    """Where a page is darker than mid grey, ten dots per millimetre, row 0 at the top."""
    opened = pypdfium2.PdfDocument(document)
    grey = opened[page].render(scale=DPI / 72, grayscale=True).to_numpy()
    opened.close()
    found: NDArray[np.bool_] = grey.reshape(grey.shape[0], grey.shape[1]) < 128
    return found


def test_panels_with_openings_or_hardware_have_a_template(built: Plan) -> None:
    """Both fronts from both faces, the handles' sides once for both, the bottom; no other."""
    titles = [t.title for t in panel_templates(built, paper="A4")]
    assert titles == [
        "bottom of the deep half: seen from outside",
        "front of the deep half: seen from outside",
        "front of the deep half: seen from inside, mirrored",
        "left and right of the deep half: seen from outside",
        "front of the shallow half: seen from outside",
        "front of the shallow half: seen from inside, mirrored",
    ]
    first = pypdf.PdfReader(io.BytesIO(shell_templates_pdf(built))).pages[0].extract_text()
    assert "No template: back of the deep half" in " ".join(first.split())


def test_every_hole_is_on_the_template_at_full_size(built: Plan) -> None:
    """Circles of 4.1 mm at the panel's own places, one for each hole."""
    assert built.shell is not None
    for template in panel_templates(built, paper="A4"):
        panel = template.panels[0]
        circles = [m for m in template.drawing.marks if isinstance(m, Circle)]
        holes = [h for h in built.shell.holes if panel.name in h.pieces]
        assert len(circles) == len(holes)
        assert {c.diameter_mm for c in circles} == {h.diameter_mm for h in holes}
        for circle in circles:
            assert 0 < circle.x_mm - AROUND_MM < panel.length_mm
            assert 0 < circle.y_mm - AROUND_MM < panel.width_mm


def test_a_printed_hole_measures_its_diameter(built: Plan, printed: bytes) -> None:
    """The foot's hole of 6.6 mm on the first page of the bottom, by pdfium at 10 dots per mm."""
    (template, *_) = panel_templates(built, paper="A4")
    sheets = shell_template_sheets(built)
    number = next(k for k, s in enumerate(sheets) if any(isinstance(m, Inset) for m in s.marks))
    pages = range(number, number + template.grid.pages)
    foot = next(m for m in template.drawing.marks if isinstance(m, Circle) and m.diameter_mm == 6.6)
    found = 0
    for page in pages:
        (inset,) = (m for m in sheets[page].marks if isinstance(m, Inset))
        x, y = inset.x_mm + foot.x_mm, inset.y_mm + foot.y_mm
        left, low, right, high = inset.box_mm
        if not (left + 5 < x < right - 5 and low + 5 < y < high - 5):
            continue
        ink = dark(printed, page)
        # a level line 1 mm above the middle crosses the circle at two places, 6.29 mm apart
        row = ink[ink.shape[0] - round((y + 1.0) * 10)]
        hits = np.flatnonzero(row[round((x - 5) * 10) : round((x + 5) * 10)])
        assert hits.max() - hits.min() == pytest.approx(62.9, abs=4.5)
        middle = (hits.max() + hits.min()) / 20 + (x - 5)
        assert middle == pytest.approx(x, abs=0.15)
        found += 1
    assert found == 1


def test_windows_cover_each_drawing(built: Plan) -> None:
    """The pages of a template show its whole drawing."""
    groups: dict[str, list[Inset]] = {}
    for sheet in shell_template_sheets(built):
        for mark in sheet.marks:
            if isinstance(mark, Inset):
                groups.setdefault(mark.key, []).append(mark)
    assert len(groups) == len(panel_templates(built, paper="A4"))
    for insets in groups.values():
        drawing = insets[0].sheet
        assert min(i.box_mm[0] - i.x_mm for i in insets) <= 0
        assert max(i.box_mm[2] - i.x_mm for i in insets) >= drawing.width_mm
        assert min(i.box_mm[1] - i.y_mm for i in insets) <= 0
        assert max(i.box_mm[3] - i.y_mm for i in insets) >= drawing.height_mm


def test_pages_are_numbered_and_say_which_face(built: Plan, printed: bytes) -> None:
    """Every page after the maps has its number, its face, and the instruction to measure."""
    texts = [" ".join(p.extract_text().split()) for p in pypdf.PdfReader(io.BytesIO(printed)).pages]
    maps = sum(1 for s in shell_template_sheets(built) if s.title == "page map")
    for number, text in enumerate(texts[maps:], start=maps + 1):
        assert f"page {number} of {len(texts)}" in text
        assert "seen from" in text
        assert "100 mm: measure before cutting" in text
    assert "eye protection" in texts[0]
    assert "actual size" in texts[0]


def test_files_are_those_that_are_announced(built: Plan) -> None:
    """Paths in order, none twice, the same bytes again; nothing at all without a shell."""
    made = dict(shell_documents(built))
    assert list(made) == shell_paths(built)
    for name in ("shell/deep-front.dxf", "shell/deep-front.svg", "shell/deep-front-inside.dxf",
                 "shell/panels.pdf", "shell/profiles.pdf", "shell/templates.pdf",
                 "views/outside.png"):  # fmt: skip
        assert name in made
    assert "shell/deep-back-inside.dxf" not in made
    assert dict(shell_documents(built)) == made
    bare = evolve(built, shell=None)
    assert list(shell_documents(bare)) == []
    assert shell_paths(bare) == []


def test_workshop_pdfs_are_a4_on_their_side(built: Plan) -> None:
    """297 × 210 mm to a hundredth, one page for each sheet."""
    made = dict(shell_documents(built))
    for name in ("shell/panels.pdf", "shell/profiles.pdf"):
        pages = pypdf.PdfReader(io.BytesIO(made[name])).pages
        assert len(pages) >= 4
        for page in pages:
            size = [float(v) * 25.4 / 72 for v in (page.mediabox.width, page.mediabox.height)]
            assert size == pytest.approx([297.0, 210.0], abs=0.01)
