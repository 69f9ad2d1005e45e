"""Templates to print at 1:1, tape together and cut by: a page map, then every layer in tiles."""

from __future__ import annotations

import shapely
from attrs import frozen

from fitkit.documents.cut_layer import cut_contours, pockets_of
from fitkit.documents.lettering import wrapped
from fitkit.documents.naming import label_of, plan_id, size
from fitkit.documents.page_map import map_pages
from fitkit.documents.pens.pdf import pdf
from fitkit.documents.sheet import (
    DASHED,
    PRINTED,
    Contour,
    Inset,
    Mark,
    Path,
    Sheet,
    Style,
    Text,
    disc,
    polyline,
)
from fitkit.documents.spots import roomiest
from fitkit.documents.tiles import MARGIN_MM, OVERLAP_MM, Grid, Paper, grid_for, row_name
from fitkit.foam.model import Layer
from fitkit.plan import Plan

AROUND_MM = 2.0
CHECK_MM = 100.0


@frozen
class Template:
    """Layers that are cut alike, their drawing at 1:1, its pages, and the first page's number."""

    layers: tuple[Layer, ...]
    drawing: Sheet
    grid: Grid
    first_page: int

    @property
    def title(self) -> str:
        """Names of the layers."""
        return ", ".join(layer.name for layer in self.layers)


def templates_pdf(plan: Plan, *, paper: Paper = "A4") -> bytes:
    """All templates as one PDF; page 1 is the map with what to do."""
    sheets = template_sheets(plan, paper=paper)
    return pdf(
        sheets,
        title=f"{plan.payload.title}: foam templates, 1:1",
        subject=f"plan {plan_id(plan)}; print at actual size",
        colours=PRINTED,
    )


def template_sheets(plan: Plan, *, paper: Paper = "A4") -> list[Sheet]:
    """The pages of the templates in order."""
    count = 0
    templates: list[Template] = []
    while True:  # the map's own length moves the numbers that it prints
        templates = _templates(plan, paper, first=count + 1)
        maps = map_pages(plan, _mapped(templates), plain_layers(plan), paper=paper)
        if len(maps) == count:
            break
        count = len(maps)
    total = count + sum(t.grid.pages for t in templates)
    return [*maps, *(page for t in templates for page in _pages(plan, t, total))]


def plain_layers(plan: Plan) -> tuple[Layer, ...]:
    """Layers that are plain rectangles: they need a rule, not a template."""
    return tuple(layer for layer in plan.foam.layers if _is_plain(layer))


def _is_plain(layer: Layer) -> bool:
    return not layer.cutouts and abs(layer.outline.area - layer.outline.envelope.area) < 0.01


def _templates(plan: Plan, paper: Paper, *, first: int) -> list[Template]:
    alike: dict[tuple[str, bytes], list[Layer]] = {}
    for layer in plan.foam.layers:
        if not _is_plain(layer):
            key = (
                layer.half,
                shapely.to_wkb(shapely.set_precision(layer.shape, 0.001).normalize()),
            )
            alike.setdefault(key, []).append(layer)
    found: list[Template] = []
    for layers in alike.values():
        drawing = _drawing(plan, layers[0])
        grid = grid_for(drawing.width_mm, drawing.height_mm, paper=paper)
        found.append(Template(tuple(layers), drawing, grid, first))
        first += grid.pages
    return found


def _mapped(templates: list[Template]) -> list[tuple[str, Layer, Grid, int, float]]:
    return [(t.title, t.layers[0], t.grid, t.first_page, AROUND_MM) for t in templates]


def _drawing(plan: Plan, layer: Layer) -> Sheet:
    left, low, right, high = layer.outline.bounds
    dx, dy = AROUND_MM - left, AROUND_MM - low
    contours = tuple(
        Contour(tuple((x + dx, y + dy, b) for x, y, b in c.vertices)) for c in cut_contours(layer)
    )
    marks: list[Mark] = [Path(contours, Style("ink", 0.35))]
    for (item, copy), shape in pockets_of(layer).items():
        name = label_of(plan, item, copy)
        spot = roomiest(shape, name, largest_mm=6.0, smallest_mm=2.5)
        marks.append(
            Text(spot.x_mm + dx, spot.y_mm + dy, name, spot.size_mm, "middle", True,
                 "quiet", spot.turn_deg)
        )  # fmt: skip
    return Sheet(right - left + 2 * AROUND_MM, high - low + 2 * AROUND_MM, layer.name, tuple(marks))


def _pages(plan: Plan, template: Template, total: int) -> list[Sheet]:
    grid = template.grid
    return [
        _page(plan, template, row, column, total)
        for row in range(grid.rows)
        for column in range(grid.columns)
    ]


def _page(plan: Plan, template: Template, row: int, column: int, total: int) -> Sheet:
    grid = template.grid
    (left, low), (u, v) = grid.low_mm, grid.window_mm
    number = template.first_page + row * grid.columns + column
    x, y = grid.window_of(row, column)
    marks: list[Mark] = [
        Inset(f"cut-{template.layers[0].name}", template.drawing, left - x, low - y,
              (left, low, left + u, low + v)),
    ]  # fmt: skip
    marks += _joins(template, row, column)
    marks += _check_lines(grid)
    foot = MARGIN_MM + 6.6
    place = f"row {row_name(row)}, column {column + 1}"
    marks.append(Text(left, foot, f"{row_name(row)}{column + 1}", 6.0, bold=True))
    title_at = left + 14.0
    for k, line in enumerate(
        wrapped(f"{template.title} · {place}", width_mm=u - 118.0, size_mm=2.9, bold=True)[:2]
    ):
        marks.append(Text(title_at, foot + 1.6 - 3.6 * k, line, 2.9, bold=True))
    layer = template.layers[0]
    material = "accent foam" if layer.material == "accent" else "foam"
    thick = ", ".join(dict.fromkeys(size(one.thickness_mm) for one in template.layers))
    marks.append(
        Text(
            left,
            MARGIN_MM - 1.0,
            f"{plan.payload.title} · {material} {thick} mm · plan {plan_id(plan)}",
            2.5,
            role="quiet",
        )
    )
    marks.append(
        Text(
            grid.paper_mm[0] - MARGIN_MM,
            MARGIN_MM - 1.0,
            f"page {number} of {total}",
            2.5,
            "end",
            role="quiet",
        )
    )
    return Sheet(*grid.paper_mm, f"{template.title} {place}", tuple(marks))


def _joins(template: Template, row: int, column: int) -> list[Mark]:
    """Join lines in the middle of each overlap, cross-hairs where they meet, and who is next."""
    grid = template.grid
    (left, low), (u, v) = grid.low_mm, grid.window_mm
    half = OVERLAP_MM / 2
    xs, ys = (left + half, left + u - half), (low + half, low + v - half)
    last_row, last_column = grid.rows - 1, grid.columns - 1
    marks: list[Mark] = []
    sides = (
        (column > 0, (xs[0], low, xs[0], low + v), f"{row_name(row)}{column}"),
        (column < last_column, (xs[1], low, xs[1], low + v), f"{row_name(row)}{column + 2}"),
        (row < last_row, (left, ys[0], left + u, ys[0]), f"{row_name(row + 1)}{column + 1}"),
        (row > 0, (left, ys[1], left + u, ys[1]), f"{row_name(row - 1)}{column + 1}"),
    )
    for joined, (x0, y0, x1, y1), other in sides:
        if not joined:
            continue
        marks.append(Path((polyline([(x0, y0), (x1, y1)]),), Style("quiet", 0.13, DASHED)))
        if x0 == x1:  # named a third of the way, clear of most drawings' middle
            aside = -1.2 if x0 == xs[0] else 3.2
            marks.append(
                Text(
                    x0 + aside,
                    low + v * 0.3,
                    f"join {other}",
                    2.5,
                    "middle",
                    role="quiet",
                    turn_deg=90.0,
                )
            )
        else:
            aside = -3.2 if y0 == ys[0] else 1.2
            marks.append(
                Text(left + u * 0.3, y0 + aside, f"join {other}", 2.5, "middle", role="quiet")
            )
    for x in xs:
        for y in ys:
            marks.append(
                Path(
                    (polyline([(x - 4, y), (x + 4, y)]), polyline([(x, y - 4), (x, y + 4)])),
                    Style("ink", 0.18),
                )
            )
            marks.append(Path((disc(x, y, 1.8),), Style("ink", 0.18)))
    return marks


def _check_lines(grid: Grid) -> list[Mark]:
    """A line of 100 mm level in the foot and one upright at the right."""
    left, low = grid.low_mm
    right = left + grid.window_mm[0]
    top = low + CHECK_MM
    words = "100 mm: measure before cutting"
    y = MARGIN_MM + 6.0
    x0 = right - CHECK_MM
    x = grid.paper_mm[0] - MARGIN_MM - 2.5
    return [
        Path((polyline([(x0, y), (right, y)]), polyline([(x0, y - 1.5), (x0, y + 1.5)]),
              polyline([(right, y - 1.5), (right, y + 1.5)])), Style("ink", 0.25)),
        Text(x0 + CHECK_MM / 2, y + 1.6, words, 2.5, "middle"),
        Path((polyline([(x, low), (x, top)]), polyline([(x - 1.5, low), (x + 1.5, low)]),
              polyline([(x - 1.5, top), (x + 1.5, top)])), Style("ink", 0.25)),
        Text(x - 1.6, low + CHECK_MM / 2, words, 2.5, "middle", turn_deg=90.0),
    ]  # fmt: skip
