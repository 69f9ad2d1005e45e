"""Templates of rails, sub-panels, battens and blocks to print at 1:1, the item's side up.

A sub-panel has a drawing of its own; strips stand one above the other on one drawing.
"""

from __future__ import annotations

import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.documents.centre_marks import centre_marks
from fitkit.documents.clear_text import Taken, block
from fitkit.documents.lettering import cut_to
from fitkit.documents.naming import plan_id, safe_name, size, sizes
from fitkit.documents.page_map import Mapped
from fitkit.documents.sheet import Mark, Path, Sheet, Style, Text, contours_of
from fitkit.documents.support_drawing import STRIP_MM, Group, groups_of
from fitkit.documents.tile_pages import Tiled
from fitkit.documents.tiles import Grid, Paper, grid_for
from fitkit.plan import Plan
from fitkit.shell.mounting.model import Support

AROUND_MM = 4.0
BELOW_MM = 9.0
"""Under each strip, for its name [mm]."""


@frozen
class SupportTemplate:
    """One drawing at 1:1 of one or several pieces, and its pages."""

    groups: tuple[Group, ...]
    title: str
    fact: str
    shape: BaseGeometry
    drawing: Sheet
    grid: Grid
    first_page: int

    @property
    def mapped(self) -> Mapped:
        """What the map of pages shows of it."""
        return Mapped(self.title, self.fact, self.shape, self.grid, self.first_page, AROUND_MM)

    def tiled(self, plan: Plan) -> Tiled:
        """Its pages."""
        foot = f"{plan.payload.title} · {self.fact} · plan {plan_id(plan)}"
        key = f"support-{safe_name(self.title)}"
        return Tiled(key, self.title, foot, self.drawing, self.grid, self.first_page)


def support_templates(plan: Plan, *, paper: Paper, first: int = 1) -> list[SupportTemplate]:
    """The templates of all pieces that have holes, the first page numbered ``first``."""
    shell = plan.shell
    if shell is None:
        return []
    groups = [one for one in groups_of(shell.supports) if one.first.holes or one.first.openings]
    wide = [one for one in groups if one.first.width_mm > STRIP_MM]
    strips = [one for one in groups if one.first.width_mm <= STRIP_MM]
    jobs: list[tuple[tuple[Group, ...], str, str]] = [
        ((one,), f"{one.names}: the item's side up",
         f"{one.first.material}, {sizes((one.first.length_mm, one.first.width_mm))} mm")
        for one in wide
    ]  # fmt: skip
    if strips:
        count = len(strips)
        fact = f"{count} {'strips' if count > 1 else 'strip'}"
        jobs.append((tuple(strips), "rails, battens and blocks: the item's side up", fact))
    found = []
    for members, title, fact in jobs:
        drawing, shape = _drawing(members, title)
        grid = grid_for(drawing.width_mm, drawing.height_mm, paper=paper)
        found.append(SupportTemplate(members, title, fact, shape, drawing, grid, first))
        first += grid.pages
    return found


def _drawing(groups: tuple[Group, ...], title: str) -> tuple[Sheet, BaseGeometry]:
    """Pieces one above the other at 1:1, the first one on top, each named under its lower edge."""
    d = AROUND_MM
    wide = max(one.first.length_mm for one in groups)
    tall = sum(one.first.width_mm + BELOW_MM for one in groups)
    marks: list[Mark] = []
    shapes: list[BaseGeometry] = []
    top = tall
    for group in groups:
        one = group.first
        low = top - one.width_mm
        made, shape = _piece(one, d, low + d)
        marks += made
        shapes.append(shapely.affinity.translate(shape, -d, -d))
        name = f"{group.names}: {len(group.supports)} × {sizes((one.length_mm, one.width_mm))}, "
        name += f"{size(one.thick_mm)} thick"
        room = max(one.length_mm, min(wide, 180.0))
        marks.append(
            Text(d, low + d - 5.0, cut_to(name, width_mm=room, size_mm=3.0), 3.0, role="quiet")
        )
        top = low - BELOW_MM
    return Sheet(wide + 2 * d, tall + 2 * d, title, tuple(marks)), shapely.union_all(shapes)


def _piece(one: Support, dx: float, dy: float) -> tuple[list[Mark], BaseGeometry]:
    """A piece at 1:1 with its lower left corner there: outline, cut-outs, centres of holes."""
    outline = shapely.box(0.0, 0.0, one.length_mm, one.width_mm)
    shape = shapely.difference(outline, shapely.union_all(list(one.openings)))
    moved = shapely.affinity.translate(shape, dx, dy)
    marks: list[Mark] = [Path(contours_of(moved), Style("ink", 0.35))]
    taken = Taken([moved.boundary])
    for hole in one.holes:
        x, y, across = hole.u_mm + dx, hole.v_mm + dy, hole.diameter_mm
        marks += centre_marks(x, y, across, taken=taken)
    for hole in one.holes:
        away = hole.diameter_mm / 2 + 2.4
        text = [(size(hole.diameter_mm, 2), 2.8, False)]
        spots = [
            (block(hole.u_mm + dx + sx * (away + 1.4), hole.v_mm + dy + sy * away, text), 0.1)
            for sx, sy in ((1, 1), (-1, 1), (1, -1), (-1, -1))
        ]
        marks += taken.first(spots, inside=moved) or []
    return marks, moved
