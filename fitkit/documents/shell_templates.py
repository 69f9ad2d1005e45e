"""Templates of panels to print at 1:1: outline, openings, and every hole with its centre.

Panels that have openings, or holes for hardware or for what holds mounted items, get one; panels
alike share it. What holds mounted items follows after them. Openings are sawn
from the inner face, where splinters do not show (common practice, no source), so a panel with
openings has a mirrored template too, unless it looks the same from inside.
"""

from __future__ import annotations

import shapely
from attrs import frozen

from fitkit.documents.centre_marks import centre_marks
from fitkit.documents.clear_text import Taken, area_of, block
from fitkit.documents.naming import plan_id, size, sizes
from fitkit.documents.page_map import Mapped, Preface, preface_pages
from fitkit.documents.panel_cut import cut_shape
from fitkit.documents.panel_facts import opening_words
from fitkit.documents.pens.pdf import pdf
from fitkit.documents.sheet import (
    PRINTED,
    Mark,
    Path,
    Sheet,
    Style,
    Text,
    contours_of,
)
from fitkit.documents.shell_faces import Face, alike, face_of, same_from_inside
from fitkit.documents.shell_words import piece_words, said_together
from fitkit.documents.spots import roomiest
from fitkit.documents.support_templates import support_templates
from fitkit.documents.tile_pages import Tiled, tile_pages
from fitkit.documents.tiles import Grid, Paper, grid_for
from fitkit.plan import Plan
from fitkit.reference.cautions import cautions
from fitkit.shell.model import Panel, Shell

AROUND_MM = 4.0
STEPS = (
    "Print every page at actual size (100 %): switch off “fit to page” and “shrink”.",
    "Measure both 100 mm lines on every page. Reject the print if one is off by more than 0.5 mm.",
    "Lay pages that join so that their cross-hairs lie on each other, and tape them. They overlap "
    "by 10 mm.",
    "Lay the template's outline on the panel's edges, the face as the template says, and tape it. "
    "Check the panel's size with a rule first.",
    "Prick each centre with an awl through the paper. Drill small first, then to size, on waste "
    "wood. Holes that a profile shares are drilled with the profile in place.",
    "Drill a hole in each corner of an opening, then saw from the inner face.",
)
"""What to do (common practice, no source)."""


@frozen
class PanelTemplate:
    """Panels that share a template, the face that it shows, its drawing and its pages."""

    panels: tuple[Panel, ...]
    face: Face
    title: str
    drawing: Sheet
    grid: Grid
    first_page: int


def shell_templates_pdf(plan: Plan, *, paper: Paper = "A4") -> bytes:
    """All templates of the panels as one PDF; the first page says what to do and shows the map."""
    return pdf(
        shell_template_sheets(plan, paper=paper),
        title=f"{plan.payload.title}: drilling templates, 1:1",
        subject=f"plan {plan_id(plan)}; print at actual size",
        colours=PRINTED,
    )


def shell_template_sheets(plan: Plan, *, paper: Paper = "A4") -> list[Sheet]:
    """The pages in order; only the first where no panel needs a template."""
    count = 0
    while True:  # the map's own length moves the numbers that it prints
        templates = panel_templates(plan, paper=paper, first=count + 1)
        after = count + 1 + sum(t.grid.pages for t in templates)
        held = support_templates(plan, paper=paper, first=after)
        mapped = [*_mapped(templates), *(one.mapped for one in held)]
        maps = preface_pages(_preface(plan, templates), mapped, paper=paper)
        if len(maps) == count:
            break
        count = len(maps)
    tiled = [*(_tiled(plan, t) for t in templates), *(one.tiled(plan) for one in held)]
    total = count + sum(one.grid.pages for one in tiled)
    pages = [page for one in tiled for page in tile_pages(one, total=total)]
    return [*maps, *pages]


def panel_templates(plan: Plan, *, paper: Paper, first: int = 1) -> list[PanelTemplate]:
    """The templates, the first page numbered ``first``; none where the plan has no shell."""
    shell = plan.shell
    if shell is None:
        return []
    said = piece_words(plan)
    found: list[PanelTemplate] = []
    for group in alike(shell):
        if not needs_template(shell, group[0]):
            continue
        outside = face_of(shell, group[0])
        faces = [outside]
        if outside.openings and not same_from_inside(outside):
            faces.append(face_of(shell, group[0], inside=True))
        names = said_together([said[panel.name] for panel in group])
        for face in faces:
            drawing = template_drawing(face, names, single=len(group) == 1)
            grid = grid_for(drawing.width_mm, drawing.height_mm, paper=paper)
            seen = "seen from inside, mirrored" if face.inside else "seen from outside"
            title = f"{names}: {seen}"
            found.append(PanelTemplate(group, face, title, drawing, grid, first))
            first += grid.pages
    return found


def needs_template(shell: Shell, panel: Panel) -> bool:
    """Whether a panel has openings, or holes for a piece of hardware or a support."""
    fitted = {one.name for one in shell.hardware} | {one.name for one in shell.supports}
    face = face_of(shell, panel)
    return bool(face.openings) or any(one.hole.owner in fitted for one in face.holes)


def template_drawing(face: Face, names: str, *, single: bool) -> Sheet:
    """A panel at 1:1, its lower left corner ``AROUND_MM`` from that of the sheet."""
    d = AROUND_MM
    moved = shapely.affinity.translate(cut_shape(face), d, d)
    marks: list[Mark] = [Path(contours_of(moved), Style("ink", 0.35))]
    taken = Taken([moved.boundary])
    for one in face.holes:
        x, y, across = one.u_mm + d, one.v_mm + d, one.hole.diameter_mm
        marks += centre_marks(x, y, across, taken=taken)
    for opening in face.openings:
        shape = shapely.affinity.translate(opening.shape, d, d)
        name, fact = opening_words(opening, single=single)
        middle = shapely.box(*shape.bounds).centroid
        lines = [(name, 5.0, True), (f"{fact}: saw out", 3.5, False)]
        found = taken.first([(block(middle.x, middle.y, lines), 0.5)])
        marks += found or []
    bare = moved.buffer(-2.0)
    seen = "SEEN FROM INSIDE" if face.inside else "SEEN FROM OUTSIDE"
    holes = [shapely.Point(one.u_mm + d, one.v_mm + d).buffer(8.0) for one in face.holes]
    room = shapely.difference(bare, shapely.union_all(holes)) if holes else bare
    if not room.is_empty:
        spot = roomiest(room, f"{names}: {seen}", largest_mm=7.0, smallest_mm=3.0)
        text = Text(spot.x_mm, spot.y_mm, f"{names}: {seen}", spot.size_mm, "middle", True,
                    "quiet", spot.turn_deg)  # fmt: skip
        if spot.fits and taken.free(area_of(text)):
            taken.take(area_of(text))
            marks.append(text)
    for one in face.holes:
        marks += taken.first(_sizes_beside(one.u_mm + d, one.v_mm + d, one.hole.diameter_mm)) or []
    panel = face.panel
    return Sheet(panel.length_mm + 2 * d, panel.width_mm + 2 * d, names, tuple(marks))


def _sizes_beside(x: float, y: float, across: float) -> list[tuple[list[Text], float]]:
    """A hole's diameter, in a corner of its centre mark."""
    away = across / 2 + 2.4
    text = [(size(across, 2), 2.8, False)]
    return [
        (block(x + dx * (away + 1.4), y + dy * away, text), 0.1)
        for dx, dy in ((1, 1), (-1, 1), (1, -1), (-1, -1))
    ]


def _tiled(plan: Plan, template: PanelTemplate) -> Tiled:
    panel = template.panels[0]
    key = f"panel-{panel.part}-{panel.side}-{'inside' if template.face.inside else 'outside'}"
    foot = (
        f"{plan.payload.title} · {panel.board}, {sizes((panel.length_mm, panel.width_mm))} mm · "
        f"plan {plan_id(plan)}"
    )
    return Tiled(key.replace(" ", "-"), template.title, foot, template.drawing, template.grid,
                 template.first_page)  # fmt: skip


def _mapped(templates: list[PanelTemplate]) -> list[Mapped]:
    return [
        Mapped(
            t.title,
            sizes((t.face.panel.length_mm, t.face.panel.width_mm)),
            cut_shape(t.face),
            t.grid,
            t.first_page,
            AROUND_MM,
        )
        for t in templates
    ]


def _preface(plan: Plan, templates: list[PanelTemplate]) -> Preface:
    plain = ""
    if plan.shell is not None:
        said = piece_words(plan)
        drawn = {panel.name for t in templates for panel in t.panels}
        rest = [said[panel.name] for panel in plan.shell.panels if panel.name not in drawn]
        if rest:
            plain = (
                f"No template: {said_together(rest)}. They have no opening and no hole of their "
                "own: cut them to size and drill them through the profiles."
            )
    known = cautions()
    return Preface(
        plan.payload.title,
        f"drilling templates at 1:1 · page map · plan {plan_id(plan)}",
        STEPS,
        plain,
        (known["wood dust"].text, known["riveting"].text, known["sharp edges"].text),
    )
