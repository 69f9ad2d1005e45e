"""Templates to print at 1:1, tape together and cut by: a page map, then every layer in tiles."""

from __future__ import annotations

import shapely
from attrs import frozen

from fitkit.documents.cut_layer import cut_contours, pockets_of
from fitkit.documents.naming import label_of, plan_id, size
from fitkit.documents.page_map import Mapped, map_pages
from fitkit.documents.pens.pdf import pdf
from fitkit.documents.sheet import PRINTED, Contour, Mark, Path, Sheet, Style, Text
from fitkit.documents.spots import roomiest
from fitkit.documents.tile_pages import Tiled, tile_pages
from fitkit.documents.tiles import Grid, Paper, grid_for
from fitkit.foam.model import Layer
from fitkit.plan import Plan

AROUND_MM = 2.0


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


def _mapped(templates: list[Template]) -> list[Mapped]:
    found = []
    for t in templates:
        layer = t.layers[0]
        left, low, _, _ = layer.outline.bounds
        fact = f"{size(layer.thickness_mm)} mm"
        found.append(
            Mapped(t.title, fact, layer.shape, t.grid, t.first_page, AROUND_MM, (left, low))
        )
    return found


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
    layer = template.layers[0]
    material = "accent foam" if layer.material == "accent" else "foam"
    thick = ", ".join(dict.fromkeys(size(one.thickness_mm) for one in template.layers))
    tiled = Tiled(
        f"cut-{layer.name}",
        template.title,
        f"{plan.payload.title} · {material} {thick} mm · plan {plan_id(plan)}",
        template.drawing,
        template.grid,
        template.first_page,
    )
    return tile_pages(tiled, total=total)
