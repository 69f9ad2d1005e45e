"""Drawings and templates of what holds mounted items: every hole once, at its place."""

from __future__ import annotations

import io
from functools import lru_cache

import pypdf
from attrs import evolve

import mounted_plans
from fitkit.documents.pens.pdf import pdf
from fitkit.documents.sheet import Circle, Text
from fitkit.documents.shell_documents import shell_documents, shell_paths
from fitkit.documents.shell_templates import needs_template, shell_template_sheets
from fitkit.documents.support_drawing import (
    FACTS_MM,
    STRIP_MM,
    groups_of,
    hole_kinds,
    support_sheets,
)
from fitkit.documents.support_templates import AROUND_MM, support_templates
from fitkit.payload.mounts import Rails
from fitkit.plan import Plan
from fitkit.shell.mounting.model import Support, SupportHole
from sheet_texts import assert_texts_apart
from support_kits import ON_RAILS, between_walls, on_sub_panel, one_screen, twins


@lru_cache(maxsize=1)
def built() -> Plan:
    """A plan whose supports are those of four kits."""
    sunk = one_screen(evolve(ON_RAILS, sunk=True, rails=Rails(run="up")))
    kits = (twins(), on_sub_panel(), between_walls(), sunk)
    supports = tuple(one for kit in kits for one in kit.mounting.supports)
    plan = mounted_plans.pair()
    assert plan.shell is not None
    return evolve(plan, shell=evolve(plan.shell, supports=supports))


def supports_of(plan: Plan) -> tuple[Support, ...]:
    """The plan's supports."""
    assert plan.shell is not None
    return plan.shell.supports


def test_pieces_that_are_made_alike_are_drawn_once() -> None:
    """Four rails of the twins are one group, their packings one, and each group is drawn once."""
    groups = groups_of(supports_of(built()))
    assert sum(len(group.supports) for group in groups) == len(supports_of(built()))
    assert groups[0].names == "field screen 1 rail 1, 2; field screen 2 rail 1, 2"
    texts = [m.text for sheet in support_sheets(built()) for m in sheet.marks
             if isinstance(m, Text)]  # fmt: skip
    for group in groups:
        count = len(group.supports)
        head = f"{count} pieces alike" if count > 1 else "1 piece"
        assert any(text.startswith(head) for text in texts)


def test_a_piece_turned_half_round_is_the_same_piece() -> None:
    """Turned by 180 degrees it is alike; mirrored it is not."""
    hole = SupportHole(20.0, 10.0, 4.5, "screw M4 into the screen")
    one = Support("a 1", "rail", "a", 1, "deep", (0.0, 0.0, 0.0), (100.0, 30.0, 20.0), "x", "y",
                  100.0, 30.0, 20.0, "strip", (hole,))  # fmt: skip
    turned = evolve(one, name="a 2", holes=(evolve(hole, u_mm=80.0, v_mm=20.0),))
    mirrored = evolve(one, name="a 3", holes=(evolve(hole, u_mm=80.0),))
    assert [len(group.supports) for group in groups_of((one, turned, mirrored))] == [2, 1]


def test_every_hole_is_drawn_at_scale() -> None:
    """Holes of each group as circles of their diameter at the sheet's scale, none more."""
    drawn = sorted(
        round(mark.diameter_mm, 3)
        for sheet in support_sheets(built())
        for mark in sheet.marks
        if isinstance(mark, Circle) and mark.x_mm < FACTS_MM and mark.style.width_mm == 0.25
    )
    assert len(drawn) == sum(len(group.first.holes) for group in groups_of(supports_of(built())))


def test_holes_are_told_by_what_they_are_for() -> None:
    """Clearance, pilot and head room of a rail and its packing, the widest first."""
    rail, packing, *_ = (group.first for group in groups_of(supports_of(built())))
    assert [(kind[0], len(holes)) for kind, holes in hole_kinds(rail).items()] == [
        (4.5, 2), (2.0, 3),
    ]  # fmt: skip
    assert [(kind[0], len(holes)) for kind, holes in hole_kinds(packing).items()] == [
        (10.0, 2), (4.5, 3),
    ]  # fmt: skip


def test_texts_keep_apart() -> None:
    """2.5 mm at the least, on the paper, and none over another, on every sheet."""
    for sheet in support_sheets(built()):
        assert_texts_apart(sheet)


def test_the_drawings_are_read_back() -> None:
    """As many pages as sheets; each group's size stands on one of them."""
    sheets = support_sheets(built())
    reader = pypdf.PdfReader(io.BytesIO(pdf(sheets, title="supports", subject="test")))
    assert len(reader.pages) == len(sheets)
    text = " ".join(" ".join(page.extract_text().split()) for page in reader.pages)
    for group in groups_of(supports_of(built())):
        assert f"{group.first.length_mm:g} × {group.first.width_mm:g}," in text


def test_templates_are_full_size() -> None:
    """Circles of each hole's own diameter at its own place, from the piece's lower left corner."""
    (board, strips) = support_templates(built(), paper="A4", first=3)
    assert (board.first_page, strips.first_page) == (3, 3 + board.grid.pages)
    (one,) = (group.first for group in board.groups)
    assert one.width_mm > STRIP_MM
    below = 9.0
    circles = {
        (round(m.x_mm - AROUND_MM, 3), round(m.y_mm - AROUND_MM - below, 3), m.diameter_mm)
        for m in board.drawing.marks if isinstance(m, Circle)
    }  # fmt: skip
    assert circles == {(round(h.u_mm, 3), round(h.v_mm, 3), h.diameter_mm) for h in one.holes}
    found = [m for m in strips.drawing.marks if isinstance(m, Circle)]
    assert len(found) == sum(len(group.first.holes) for group in strips.groups)


def test_templates_follow_those_of_the_panels() -> None:
    """Every page is numbered once, and a panel with screws for rails has a template of its own."""
    sheets = shell_template_sheets(built())
    last = [m.text for m in sheets[-1].marks if isinstance(m, Text)]
    assert f"page {len(sheets)} of {len(sheets)}" in last
    shell = built().shell
    assert shell is not None
    bare = evolve(shell, hardware=(), openings=())
    back = bare.panel("deep bottom")
    assert needs_template(bare, back)
    assert not needs_template(evolve(bare, supports=()), back)


def test_the_folder_gets_the_drawings_where_something_is_mounted() -> None:
    """shell/supports.pdf is written, and told beforehand, with mounted gear only."""
    assert "shell/supports.pdf" in shell_paths(built())
    assert [name for name, _ in shell_documents(built())] == shell_paths(built())
    plan = built()
    assert plan.shell is not None
    none = evolve(plan, shell=evolve(plan.shell, supports=()))
    assert "shell/supports.pdf" not in shell_paths(none)
    assert support_sheets(none) == []
