"""Workshop drawings of panels: every hole and opening once, mirrored rightly, nothing overlaps."""

from __future__ import annotations

from itertools import combinations

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import hand_shell
from fitkit.documents.clear_text import area_of
from fitkit.documents.hole_rows import rows_of, steps_words
from fitkit.documents.lettering import CAP_SHARE, width_of
from fitkit.documents.ordinates import spread
from fitkit.documents.panel_drawing import LEFT_MM, panel_sheet, panel_sheets
from fitkit.documents.sheet import Circle, Sheet, Text
from fitkit.documents.shell_faces import Drilled, alike, face_of, same_from_inside
from fitkit.plan import Plan
from fitkit.shell.model import Hole, Opening, Shell


@pytest.fixture(scope="module")
def built(plan: Plan) -> Plan:
    """The demo plan with the worked example's shell."""
    return hand_shell.with_shell(plan)


def shell_of(plan: Plan) -> Shell:
    """The plan's shell, which is there."""
    assert plan.shell is not None
    return plan.shell


def drawn_holes(sheet: Sheet) -> list[Circle]:
    """Circles of holes on the panel: not those of the legend, nor the corner's."""
    return [
        mark for mark in sheet.marks
        if isinstance(mark, Circle) and mark.style.width_mm == 0.25 and mark.x_mm < 210.0
    ]  # fmt: skip


def text_room(mark: Text) -> shapely.Polygon:
    """What a text takes: base line to capitals, by this test's own arithmetic."""
    wide = width_of(mark.text, size_mm=mark.size_mm, bold=mark.bold)
    start = {"start": 0.0, "middle": -wide / 2, "end": -wide}[mark.anchor]
    box = shapely.box(start, 0.0, start + wide, mark.size_mm * CAP_SHARE)
    turned = shapely.affinity.rotate(box, mark.turn_deg, origin=(0, 0))
    return shapely.affinity.translate(turned, mark.x_mm, mark.y_mm)


def no_text_overlaps(sheet: Sheet) -> None:
    """Texts keep off each other, stay on the paper, and are 2.5 mm or more."""
    marks = [mark for mark in sheet.marks if isinstance(mark, Text)]
    rooms = [text_room(mark) for mark in marks]
    page = shapely.box(5, 3, sheet.width_mm - 5, sheet.height_mm - 5)
    for (one, a), (other, b) in combinations(zip(marks, rooms, strict=True), 2):
        assert a.intersection(b).area < 0.01, (one.text, other.text)
    for mark, room in zip(marks, rooms, strict=True):
        assert page.covers(room), mark.text
        assert mark.size_mm >= 2.5


def test_every_hole_of_the_shell_is_drawn_once_on_its_panel(built: Plan) -> None:
    """As many circles as holes, each at the hole's place and of its size, at the drawing's scale.

    Places are worked out here from the case's coordinates, for the front: u is x, v is z.
    """
    shell = shell_of(built)
    for name in ("deep front", "shallow front"):
        panel = shell.panel(name)
        sheet = panel_sheet(built, (panel,))
        x0 = panel.centre_mm[0] - panel.length_mm / 2
        z0 = panel.centre_mm[2] - panel.width_mm / 2
        holes = [hole for hole in shell.holes if name in hole.pieces]
        drawn = drawn_holes(sheet)
        assert len(drawn) == len(holes) > 10
        scale = 4.1 / drawn[0].diameter_mm
        low = drawn[0].y_mm - min(h.at_mm[2] - z0 for h in holes) / scale
        found = sorted((round((c.x_mm - LEFT_MM) * scale, 2), round((c.y_mm - low) * scale, 2))
                       for c in drawn)  # fmt: skip
        wanted = sorted((round(h.at_mm[0] - x0, 2), round(h.at_mm[2] - z0, 2)) for h in holes)
        for got, want in zip(found, wanted, strict=True):
            assert got == pytest.approx(want, abs=0.011)


def test_each_group_is_drawn_with_its_count_and_names(built: Plan) -> None:
    """Left and right of the deep half are alike and share a drawing; every panel is on one."""
    shell = shell_of(built)
    groups = alike(shell)
    assert sorted(panel.name for group in groups for panel in group) == sorted(
        panel.name for panel in shell.panels
    )
    assert ("deep left", "deep right") in [tuple(p.name for p in group) for group in groups]
    titles = [sheet.title for sheet in panel_sheets(built)]
    assert "left and right of the deep half, seen from outside" in titles
    (shared,) = (s for s in panel_sheets(built) if s.title.startswith("left and right of the deep"))
    texts = [mark.text for mark in shared.marks if isinstance(mark, Text)]
    assert "2 pieces alike, 379 × 185" in texts
    assert "handle" in texts  # without the place of one of the two


def test_openings_are_named_and_sized_where_they_are(built: Plan) -> None:
    """Both latches of the deep front, each once in the drawing, with its share of the opening."""
    sheet = panel_sheet(built, (shell_of(built).panel("deep front"),))
    texts = [mark.text for mark in sheet.marks if isinstance(mark, Text) and mark.x_mm < 210.0]
    for name in ("latch front 1", "latch front 2"):
        assert texts.count(name) == 1
    assert texts.count("90 × 43.5") == 2


def test_seen_from_inside_right_is_left(built: Plan) -> None:
    """A hole right of the middle comes left of it by as much, at the same height, in both."""
    shell = shell_of(built)
    panel = shell.panel("deep front")
    out, back = face_of(shell, panel), face_of(shell, panel, inside=True)
    assert not same_from_inside(out)
    places = sorted((round(579.0 - d.u_mm, 6), round(d.v_mm, 6)) for d in out.holes)
    assert sorted((round(d.u_mm, 6), round(d.v_mm, 6)) for d in back.holes) == places
    hole = Hole("front", (500.0, -10.0, 50.0), 9.0, "bolt", "mark", ("deep front",))
    marked = evolve(shell, holes=(*shell.holes, hole))
    (one,) = (d for d in face_of(marked, panel).holes if d.hole is hole)
    (other,) = (d for d in face_of(marked, panel, inside=True).holes if d.hole is hole)
    assert one.u_mm > 579.0 / 2 > other.u_mm
    assert one.u_mm + other.u_mm == pytest.approx(579.0)
    words = [m.text for m in panel_sheet(built, (panel,), inside=True).marks if isinstance(m, Text)]
    assert "SEEN FROM INSIDE" in words
    assert "Mirrored: mark on the inner face." in words


def test_a_panel_that_looks_the_same_from_inside_has_one_sheet(built: Plan) -> None:
    """The back of the deep half is symmetrical: no sheet from inside; the front has one."""
    titles = [sheet.title for sheet in panel_sheets(built)]
    assert "front of the deep half, seen from inside" in titles
    assert "back of the deep half, seen from inside" not in titles


def test_no_text_overlaps_and_none_is_cut_off(built: Plan) -> None:
    """On every sheet of the worked example's panels."""
    for sheet in panel_sheets(built):
        no_text_overlaps(sheet)


def test_a_board_that_is_named_nowhere_is_an_error_not_a_guess(plan: Plan) -> None:
    """Without a shell there is nothing to draw: no sheets, and an error for a single one."""
    bare = evolve(plan, shell=None)
    assert panel_sheets(bare) == []
    with pytest.raises(ValueError, match="no shell"):
        panel_sheet(bare, (hand_shell.shell().panels[0],))


@st.composite
def crowded(draw: st.DrawFn) -> Shell:
    """One front panel with up to thirty holes and two openings anywhere."""
    base = hand_shell.shell()
    panel = base.panel("deep front")
    holes = draw(
        st.lists(
            st.tuples(st.floats(2, 577), st.floats(2, 183), st.sampled_from([2.5, 4.1, 6.6])),
            max_size=30,
        )
    )
    x0, z0 = panel.centre_mm[0] - 289.5, panel.centre_mm[2] - 92.5
    openings = draw(st.lists(st.tuples(st.floats(0, 450), st.floats(0, 120)), max_size=2))
    return evolve(
        base,
        holes=tuple(
            Hole("front", (x0 + u, -10.0, z0 + v), d, "rivet", "one", ("deep front",))
            for u, v, d in holes
        ),
        openings=tuple(
            Opening("deep front", f"latch front {k}", shapely.box(u, v, u + 90, v + 50))
            for k, (u, v) in enumerate(openings, start=1)
        ),
    )


@settings(max_examples=30, deadline=None)
@given(shell=crowded())
def test_dimensions_never_collide_however_crowded(plan: Plan, shell: Shell) -> None:
    """Thirty holes and two openings anywhere: all drawn, and no two texts overlap."""
    crowd = evolve(plan, shell=shell)
    sheet = panel_sheet(crowd, (shell.panel("deep front"),))
    assert len(drawn_holes(sheet)) == len(shell.holes)
    no_text_overlaps(sheet)


@given(st.lists(st.floats(0, 100), min_size=1, max_size=20).map(sorted), st.floats(0.5, 4.0))
def test_labels_are_spread_apart_and_stay_in_order(wanted: list[float], gap: float) -> None:
    """At least the gap between neighbours, none outside where there is room."""
    found = spread(wanted, gap=gap, low=-10.0, high=110.0)
    assert all(b - a >= gap - 1e-6 for a, b in zip(found, found[1:], strict=False))
    if (len(wanted) - 1) * gap <= 120.0:
        assert found[0] >= -10.0 - 1e-6
        assert found[-1] <= 110.0 + 1e-6


def test_rows_tell_their_steps_and_every_hole_is_in_one_or_alone() -> None:
    """Seven holes at 92: one row, 6 × 92 = 552; a stray one stays alone."""

    def hole(u: float, v: float) -> Drilled:
        return Drilled(u, v, Hole("front", (u, 0.0, v), 4.1, "rivet", "bar", ("panel",)))

    holes = (*(hole(10.0 + 92.0 * k, 8.0) for k in range(7)), hole(50.0, 60.0))
    (row,), alone = rows_of(holes)
    assert row.words == "6 × 92 = 552"
    assert [d.u_mm for d in alone] == [50.0]
    assert steps_words(3, 93.333333) == "3 equal steps of 93.33 = 280"


def test_the_area_kept_for_a_text_holds_it() -> None:
    """Level and upright, what is kept free holds the text's own room."""
    for anchor in ("start", "middle", "end"):
        for turn in (0.0, 90.0):
            mark = Text(20.0, 30.0, "579.5", 2.6, anchor, turn_deg=turn)  # type: ignore[arg-type]  # by test
            assert area_of(mark).buffer(1e-6).covers(text_room(mark))
