"""The first pages of the templates: what to do, and which page shows which part of which layer."""

from __future__ import annotations

from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.documents.lettering import cut_to, wrapped
from fitkit.documents.naming import plan_id, size
from fitkit.documents.sheet import Contour, Mark, Path, Sheet, Style, Text, box, fast_contours
from fitkit.documents.tiles import PAPERS_MM, Grid, Paper, row_name
from fitkit.foam.model import Layer
from fitkit.plan import Plan
from fitkit.reference.cautions import cautions

LEFT_MM = 14.0
CELL_GAP_MM = 7.0

STEPS = (
    "Print every page at actual size (100 %): switch off “fit to page” and “shrink”.",
    "Measure both 100 mm lines on every page. Reject the print if one is off by more than 0.5 mm.",
    "Lay pages that join so that their cross-hairs lie on each other, and tape them. They overlap "
    "by 10 mm.",
    "Fix the template to its sheet of foam, check its outer size with a rule, then cut along the "
    "solid lines: inner lines first, the outer edge last.",
)

ROUTER = (
    "Router: hold the sheet down all round, keep your hands away from the tool, wear eye "
    "protection and a dust mask, and use extraction."
)
"""Common practice, no source."""


@frozen
class Mapped:
    """A drawing on the map: its title, a fact, its shape, its pages and the first one's number.

    ``around_mm`` is the width of paper around it, and ``corner_mm`` its lower left corner.
    """

    title: str
    fact: str
    shape: BaseGeometry
    grid: Grid
    first_page: int
    around_mm: float
    corner_mm: tuple[float, float] = (0.0, 0.0)


@frozen
class Preface:
    """What stands before the map: title, line under it, steps to follow, and cautions.

    ``plain`` tells what needs no template (empty: nothing does without).
    """

    title: str
    line: str
    steps: tuple[str, ...]
    plain: str
    cautions: tuple[str, ...]


def map_pages(
    plan: Plan, templates: list[Mapped], plain: tuple[Layer, ...], *, paper: Paper
) -> list[Sheet]:
    """The page map of the foam, on as many upright pages as it takes."""
    preface = Preface(
        plan.payload.title,
        f"foam templates at 1:1 · page map · plan {plan_id(plan)}",
        STEPS,
        _plain_words(plain),
        tuple(cautions_for(plan)),
    )
    return preface_pages(preface, templates, paper=paper)


def preface_pages(preface: Preface, templates: list[Mapped], *, paper: Paper) -> list[Sheet]:
    """What to do, then the page map, on as many upright pages as it takes."""
    width, height = PAPERS_MM[paper]
    inner = width - 2 * LEFT_MM
    cell = (inner - CELL_GAP_MM) / 2
    tall = 62.0
    marks = _head(preface, width, height)
    marks_end, y = _instructions(preface, LEFT_MM, height - 36.0, inner)
    marks += marks_end
    pages: list[list[Mark]] = [marks]
    top, k = y - 6.0, 0
    for mapped in templates:
        row, column = divmod(k, 2)
        if top - (row + 1) * tall < 14.0:
            pages.append(_head(preface, width, height))
            top, k = height - 36.0, 0
            row, column = 0, 0
        pages[-1] += _cell(
            mapped, LEFT_MM + column * (cell + CELL_GAP_MM), top - row * tall, cell, tall - 8.0
        )
        k += 1
    return [Sheet(width, height, "page map", tuple(page)) for page in pages]


def _head(preface: Preface, width: float, height: float) -> list[Mark]:
    title = cut_to(preface.title, width_mm=width - 2 * LEFT_MM, size_mm=6.2, bold=True)
    return [
        Text(LEFT_MM, height - 20.0, title, 6.2, bold=True),
        Text(LEFT_MM, height - 25.6, preface.line, 3.0, role="quiet"),
        Path(
            (box(LEFT_MM, height - 29.0, width - LEFT_MM, height - 28.5),), Style(None, fill="ink")
        ),
    ]


def _plain_words(plain: tuple[Layer, ...]) -> str:
    """Which layers are plain sheets, and their size if it is the same."""
    if not plain:
        return ""
    names = ", ".join(layer.name for layer in plain)
    left, low, right, high = plain[0].outline.bounds
    sentence = (
        f"No template: {names} are plain sheets."
        if len(plain) > 1
        else f"No template: {names} is a plain sheet."
    )
    if all(layer.outline.bounds == plain[0].outline.bounds for layer in plain):
        sentence += f" Cut to {size(right - left)} × {size(high - low)} mm."
    return sentence


def _instructions(preface: Preface, x: float, y: float, width: float) -> tuple[list[Mark], float]:
    marks: list[Mark] = []
    for number, step in enumerate(preface.steps, start=1):
        for k, line in enumerate(wrapped(step, width_mm=width - 7.0, size_mm=3.0)):
            if k == 0:
                marks.append(Text(x, y, f"{number}", 3.0, bold=True))
            marks.append(Text(x + 7.0, y, line, 3.0))
            y -= 4.4
        y -= 0.8
    if preface.plain:
        for line in wrapped(preface.plain, width_mm=width - 7.0, size_mm=3.0):
            marks.append(Text(x + 7.0, y, line, 3.0))
            y -= 4.4
        y -= 0.8
    top = y + 1.5
    lines = [
        line
        for text in preface.cautions
        for line in wrapped(text, width_mm=width - 8.0, size_mm=2.8)
    ]
    low = top - 3.0 - 4.0 * len(lines)
    marks.append(Path((box(x, low, x + width, top),), Style("ink", 0.35)))
    for k, line in enumerate(lines):
        marks.append(Text(x + 4.0, top - 4.4 - 4.0 * k, line, 2.8, bold=False))
    return marks, low - 3.0


def _cell(mapped: Mapped, x: float, top: float, width: float, tall: float) -> list[Mark]:
    grid, first, around = mapped.grid, mapped.first_page, mapped.around_mm
    title = cut_to(mapped.title, width_mm=width, size_mm=3.0, bold=True)
    step_x, step_y = grid.step_mm
    whole = (
        (grid.columns - 1) * step_x + grid.window_mm[0],
        (grid.rows - 1) * step_y + grid.window_mm[1],
    )
    pages = f"page {first}" if grid.pages == 1 else f"pages {first}–{first + grid.pages - 1}"
    marks: list[Mark] = [
        Text(x, top - 3.0, title, 3.0, bold=True),
        Text(x, top - 6.8, f"{mapped.fact} · {pages}", 2.5, role="quiet"),
    ]
    scale = min(width / whole[0], (tall - 12.0) / whole[1])
    low = top - 9.0 - whole[1] * scale
    left_mm, low_mm = mapped.corner_mm
    dx, dy = around - left_mm, around - low_mm
    contours = tuple(
        Contour(
            tuple((x + (vx + dx) * scale, low + (vy + dy) * scale, b) for vx, vy, b in c.vertices)
        )
        for c in fast_contours(mapped.shape, tolerance_mm=0.3)
    )
    marks.append(Path(contours, Style("ink", 0.2, fill="foam")))
    for row in range(grid.rows):
        for column in range(grid.columns):
            wx, wy = grid.window_of(row, column)
            u, v = grid.window_mm
            # windows as trimmed to the middle of the overlaps, so that they do not cross
            l_cut, r_cut = (5.0 if column else 0.0), (5.0 if column < grid.columns - 1 else 0.0)
            b_cut, t_cut = (5.0 if row < grid.rows - 1 else 0.0), (5.0 if row else 0.0)
            marks.append(
                Path((box(x + (wx + l_cut) * scale, low + (wy + b_cut) * scale,
                          x + (wx + u - r_cut) * scale, low + (wy + v - t_cut) * scale),),
                     Style("quiet", 0.18, (1.0, 0.7)))
            )  # fmt: skip
            number = first + row * grid.columns + column
            name = f"{row_name(row)}{column + 1} · {number}"
            cx, cy = x + (wx + u / 2) * scale, low + (wy + v / 2) * scale
            marks.append(
                Path(
                    (box(cx - 6.5, cy - 2.0, cx + 6.5, cy + 2.0, corner_mm=2.0),),
                    Style("ink", 0.18, fill="white"),
                )
            )
            marks.append(Text(cx, cy - 0.95, name, 2.6, "middle", True))
    return marks


def cautions_for(plan: Plan) -> list[str]:
    """What to mind when this foam is cut: blade or hot wire, and dust where a router is used."""
    if plan.payload.foam.cutting == "router":
        return [ROUTER]
    hazard = "hot wire" if plan.payload.foam.cutting == "hot wire" else "knife"
    return [cautions()[hazard].text]
