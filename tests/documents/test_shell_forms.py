"""Drawings of shells as they are really made: box, pair, rings, doors, trays, mitred edges."""

from __future__ import annotations

import io
from itertools import combinations

import ezdxf.recover
import pytest
import shapely
from attrs import evolve

from fitkit.documents.bar_drawing import bar_sheets
from fitkit.documents.bar_faces import pieces
from fitkit.documents.clear_text import area_of
from fitkit.documents.outside_view import outside_sheet
from fitkit.documents.panel_cut import panel_cut_sheet
from fitkit.documents.panel_drawing import panel_sheet, panel_sheets
from fitkit.documents.pens.dxf import dxf
from fitkit.documents.sheet import Circle, Sheet, Text
from fitkit.documents.shell_faces import alike, edge_words
from fitkit.fit.layout import Half, HalfName, Interior
from fitkit.payload.model import Payload
from fitkit.payload.workshop import Workshop
from fitkit.plan import Plan
from fitkit.shell.make import make_shell

BOX = (("deep", 160.0), ("shallow", 70.0))
PAIR = (("deep", 110.0), ("shallow", 110.0))
TRAY = (("tray", 210.0),)
FORMS = {
    "box": ("box", BOX, Workshop()),
    "rings": ("box", BOX, Workshop(rings_mm=(60.0,))),
    "pair": ("pair", PAIR, Workshop()),
    "doors": ("pair", PAIR, Workshop(doors=True)),
    "lid": ("tray", TRAY, Workshop()),
    "drawer": ("tray", TRAY, Workshop(opening="front")),
    "ends": ("tray", TRAY, Workshop(opening="ends")),
}


def made(plan: Plan, form: str, *, ends: str = "square") -> Plan:
    """The demo plan with the shell of an empty case of a form."""
    kind, halves, workshop = FORMS[form]
    payload = evolve(Payload(plan.payload.title, ()), workshop=workshop)
    profile = evolve(payload.wall.profile, ends=ends)
    payload = evolve(payload, case=evolve(payload.case, form=kind),
                     wall=evolve(payload.wall, profile=profile))  # fmt: skip
    names: tuple[tuple[HalfName, float], ...] = halves  # type: ignore[assignment]  # names of halves
    interior = Interior(460.0, 310.0, tuple(Half(name, deep) for name, deep in names))
    shell = make_shell(payload, interior=interior, placements=())
    fit = evolve(plan.fit, interior=interior, placements=())
    return evolve(plan, payload=payload, fit=fit, shell=shell)


def texts_are_clear(sheet: Sheet) -> None:
    """On the paper, 2.5 mm or more, and none on another."""
    marks = [m for m in sheet.marks if isinstance(m, Text)]
    rooms = [area_of(m).buffer(-0.15) for m in marks]
    page = shapely.box(5, 3, sheet.width_mm - 5, sheet.height_mm - 5)
    for (one, a), (other, b) in combinations(zip(marks, rooms, strict=True), 2):
        assert a.intersection(b).area < 0.01, (sheet.title, one.text, other.text)
    for mark, room in zip(marks, rooms, strict=True):
        assert page.covers(room), (sheet.title, mark.text)
        assert mark.size_mm >= 2.5


@pytest.fixture(scope="module", params=FORMS)
def built(plan: Plan, request: pytest.FixtureRequest) -> Plan:
    """One form after the other."""
    return made(plan, request.param)


def test_every_hole_and_opening_is_on_its_drawings_once(built: Plan) -> None:
    """Each panel's drawing and each piece's has as many circles as the shell has holes there."""
    shell = built.shell
    assert shell is not None
    for panel, *_ in alike(shell):
        sheet = panel_sheet(built, (panel,))
        holes = [h for h in shell.holes if panel.name in h.pieces]
        circles = [m for m in sheet.marks if isinstance(m, Circle) and m.style.width_mm == 0.25
                   and m.x_mm < 210.0]  # fmt: skip
        assert len(circles) == len(holes)
        column = [m.text for m in sheet.marks if isinstance(m, Text) and m.x_mm > 210.0]
        for opening in shell.openings:
            if opening.panel == panel.name:
                assert sum(t.startswith(f"{opening.owner}:") for t in column) == 1
    groups = pieces(shell, profile=built.payload.wall.profile)
    wanted = sum(sum(1 for h in shell.holes if g[0].bar.name in h.pieces) for g in groups)
    drawn = [m for s in bar_sheets(built) for m in s.marks if isinstance(m, Circle)]
    assert len(drawn) == wanted > 0
    assert sum(len(group) for group in groups) == len(shell.bars)


def test_no_text_lies_on_another(built: Plan) -> None:
    """Panels, profiles and the outside of every form."""
    for sheet in (*panel_sheets(built), *bar_sheets(built), outside_sheet(built)):
        texts_are_clear(sheet)


def test_mitred_edges_are_drawn_without_overlap(plan: Plan) -> None:
    """Long and short points of mitred edge profiles have room for their numbers."""
    for sheet in bar_sheets(made(plan, "box", ends="mitred")):
        texts_are_clear(sheet)


def test_cutting_files_of_every_form_are_sound(built: Plan) -> None:
    """A strict reader has nothing to mend, and every drilled hole is on its layer once."""
    shell = built.shell
    assert shell is not None
    for panel in shell.panels:
        cut = panel_cut_sheet(built, panel, inside=True)
        data = dxf(cut.sheet, left_mm=cut.left_mm, low_mm=cut.low_mm)
        document, auditor = ezdxf.recover.read(io.BytesIO(data))
        assert not auditor.errors
        holes = [h for h in shell.holes if panel.name in h.pieces]
        circles = [
            e for e in document.modelspace().query("CIRCLE")
            if e.dxf.layer.startswith("DRILL_") and "PILOT" not in e.dxf.layer
        ]  # fmt: skip
        assert len(circles) == len(holes)
        for circle in circles:
            assert -0.01 <= circle.dxf.center.x <= panel.length_mm + 0.01
            assert -0.01 <= circle.dxf.center.y <= panel.width_mm + 0.01


def test_edges_at_closing_planes_are_named_as_they_are_seen(plan: Plan) -> None:
    """A wall under the lid closes above, the lid's below; beside a door, left is right inside."""
    box = made(plan, "box").shell
    ends = made(plan, "drawer").shell
    rings = made(plan, "rings").shell
    assert box is not None
    assert ends is not None
    assert rings is not None
    assert edge_words(box, box.panel("deep front")) == "upper edge: at the closing plane"
    assert edge_words(box, box.panel("shallow left")) == "lower edge: at the closing plane"
    assert edge_words(box, box.panel("shallow top")) == "upper edge: to the back"
    ring = next(p for p in rings.panels if p.part.startswith("ring") and p.side == "back")
    assert edge_words(rings, ring).endswith("edges: at closing planes")
    wall = ends.panel("tray left")  # the drawer's front lies to its right as seen from outside
    assert edge_words(ends, wall) == "right edge: at the closing plane; upper edge to the top"
    inside = edge_words(ends, wall, inside=True)
    assert inside == "left edge: at the closing plane; upper edge to the top"
