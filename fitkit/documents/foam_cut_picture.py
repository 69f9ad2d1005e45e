"""Sheets of foam and the layers that are cut from them, as they lie."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from fitkit.documents.block_pages import INNER_MM, Block, Draft, scale_in
from fitkit.documents.clear_text import area_of, block
from fitkit.documents.lettering import cut_to
from fitkit.documents.naming import size, sizes
from fitkit.documents.sheet import Hatch, Mark, Path, Style, Text, box, fast_contours
from fitkit.documents.stock_words import count_words, foam_plan_words
from fitkit.foam.model import Layer
from fitkit.stock.model import FoamPlan, FoamSheet, LaidLayer

SMALL_MM, GAP_MM, CAPTION_MM = 2.5, 9.0, 14.4
MOST_TALL_MM = 120.0


def foam_draft(plans: Sequence[FoamPlan], layers: Sequence[Layer]) -> Draft:
    """Every sheet of foam, two beside each other where there are several, at one scale."""
    known = {layer.name: layer for layer in layers}
    shown = [(plan, k, sheet) for plan in plans for k, sheet in enumerate(plan.sheets, start=1)]
    columns = 1 if len(shown) == 1 else 2
    wide = (INNER_MM - GAP_MM * (columns - 1)) / columns
    scale = max(
        (scale_in(s.length_mm, s.width_mm, (wide, MOST_TALL_MM)) for _, _, s in shown),
        default=10.0,
    )
    blocks: list[Block] = []
    for start in range(0, len(shown), columns):
        row = shown[start : start + columns]
        tall = max(sheet.width_mm for _, _, sheet in row) / scale
        marks: list[Mark] = []
        for column, (plan, number, sheet) in enumerate(row):
            x = column * (wide + GAP_MM)
            marks += _picture(sheet, known, x, -tall, scale)
            marks += _caption(plan, number, sheet, x, -tall, wide)
        blocks.append(Block(tall + CAPTION_MM, tuple(marks)))
    second = (
        f"layers on their sheets of foam, at 1 : {size(scale, 2)}, sizes in mm; cut each layer "
        "out first, then its pockets by its own drawing"
    )
    return Draft("foam as it is cut", second, tuple(blocks), scale)


def _caption(
    plan: FoamPlan, number: int, sheet: FoamSheet, x: float, low: float, wide: float
) -> list[Mark]:
    of = f", sheet {number} of {len(plan.sheets)}" if len(plan.sheets) > 1 else ""
    facts = (
        f"{sizes((sheet.length_mm, sheet.width_mm))} · {count_words(len(sheet.layers), 'layer')}"
    )
    lines = [facts, *([foam_plan_words(plan)] if number == 1 else [])]
    marks: list[Mark] = [Text(x, low - 4.4, f"{plan.what}{of}", 3.0, bold=True)]
    for k, line in enumerate(lines):
        shown = cut_to(line, width_mm=wide, size_mm=SMALL_MM)
        marks.append(Text(x, low - 8.2 - 3.6 * k, shown, SMALL_MM, role="quiet"))
    return marks


def _picture(
    sheet: FoamSheet, known: dict[str, Layer], x: float, y: float, scale: float
) -> list[Mark]:
    whole = box(x, y, x + sheet.length_mm / scale, y + sheet.width_mm / scale)
    marks: list[Mark] = [
        Path((whole,), Style(None, fill="foam")),
        Hatch((whole,), "foam"),
        Path((whole,), Style("ink", 0.4)),
    ]
    names: list[Mark] = []
    for laid in sheet.layers:
        layer = known.get(laid.layer)
        if layer is None:
            continue
        edge = as_laid(layer.outline, layer.outline, laid, (x, y), scale)
        rest = as_laid(layer.shape, layer.outline, laid, (x, y), scale)
        marks.append(Path(fast_contours(edge), Style("ink", 0.3, fill="white")))
        marks.append(Path(fast_contours(rest), Style("quiet", 0.18, fill="paper")))
        marks.append(Path(fast_contours(edge), Style("ink", 0.35)))
        names += _name(laid, layer, edge)
    return [*marks, *names]


def as_laid(
    shape: BaseGeometry,
    outline: BaseGeometry,
    laid: LaidLayer,
    corner: tuple[float, float],
    scale: float,
) -> BaseGeometry:
    """A shape of a layer as it lies: turned, then its outline's box moved to its place."""
    turned = rotate(shape, laid.turn_deg, origin=(0.0, 0.0))
    left, low, _, _ = rotate(outline, laid.turn_deg, origin=(0.0, 0.0)).bounds
    shift = np.array([laid.x_mm - left, laid.y_mm - low])
    return shapely.transform(turned, lambda xy: np.array(corner) + (xy + shift) / scale)


def _name(laid: LaidLayer, layer: Layer, edge: BaseGeometry) -> list[Mark]:
    """The layer's name and size on a plate in its middle, level or turned."""
    left, low, right, high = layer.outline.bounds
    words = sizes((right - left, high - low))
    turned = f", turned {size(laid.turn_deg)}°" if laid.turn_deg else ""
    x, y = edge.centroid.x, edge.centroid.y
    x0, y0, x1, y1 = edge.bounds
    inside = shapely.box(x0 + 0.4, y0 + 0.4, x1 - 0.4, y1 - 0.4)
    settings = (
        [(laid.layer, 3.0, True), (f"{words}{turned}", SMALL_MM, False)],
        [(laid.layer, SMALL_MM, True), (words, SMALL_MM, False)],
        [(laid.layer, SMALL_MM, True)],
    )
    for lines in settings:
        for turn in (0.0, 90.0):
            texts = block(x, y, list(lines), turn_deg=turn)
            area = shapely.union_all([area_of(text) for text in texts]).envelope.buffer(0.8)
            if inside.covers(area):
                plate = box(*area.bounds, corner_mm=1.0)
                return [Path((plate,), Style(None, fill="paper")), *texts]
    return list(block(x, y, [(laid.layer, SMALL_MM, True)]))
