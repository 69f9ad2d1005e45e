"""One layer of foam as a cutting drawing: finished size, 1:1, one operation per drawing layer.

``CUT_THRU`` holds closed contours only, inner ones before those around them; ``MARK`` the names of
the items; ``NOTE`` what the sheet is, and a square of 100 mm to check the scale with.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.lettering import width_of
from fitkit.documents.naming import half_names, label_of, plan_id, size
from fitkit.documents.sheet import Contour, Mark, Path, Sheet, Style, Text, box, contours_of
from fitkit.documents.spots import roomiest
from fitkit.foam.model import Cutout, Layer
from fitkit.plan import Plan

MARGIN_MM = 5.0
CHECK_MM = 100.0
NOTES_MM = 130.0
HAIR_MM = 0.1
CUT, MARK, NOTE = "CUT_THRU", "MARK", "NOTE"


@frozen
class CutSheet:
    """A cutting drawing, and where the plan's origin lies on it [mm]."""

    sheet: Sheet
    left_mm: float
    low_mm: float


@lru_cache(maxsize=128)
def cut_contours(layer: Layer) -> tuple[Contour, ...]:
    """The closed contours to cut, in plan coordinates [mm]; inner ones before those around."""
    rings: list[tuple[float, Contour]] = []
    for part in shapely.get_parts(layer.shape):
        for contour, ring in zip(contours_of(part), (*part.interiors, part.exterior), strict=True):
            rings.append((float(Polygon(ring).area), contour))
    return tuple(contour for _, contour in sorted(rings, key=lambda ring: ring[0]))


def pockets_of(layer: Layer) -> Mapping[tuple[str, int], BaseGeometry]:
    """What is cut out for each copy's pocket in this layer, in the order of the cut-outs."""
    return _pockets_of(layer.cutouts)


@lru_cache(maxsize=128)
def _pockets_of(cutouts: tuple[Cutout, ...]) -> Mapping[tuple[str, int], BaseGeometry]:
    found: dict[tuple[str, int], list[BaseGeometry]] = {}
    for cutout in cutouts:
        if cutout.kind == "pocket":
            found.setdefault((cutout.item, cutout.copy), []).append(cutout.shape)
    return MappingProxyType({key: shapely.union_all(shapes) for key, shapes in found.items()})


def cut_sheet(plan: Plan, layer: Layer) -> CutSheet:
    """The cutting drawing of one layer."""
    interior = plan.fit.interior
    left, low = MARGIN_MM, MARGIN_MM + NOTES_MM
    marks: list[Mark] = [
        Path((_moved(contour, left, low),), Style("cut", HAIR_MM), CUT)
        for contour in cut_contours(layer)
    ]
    for (item, copy), shape in pockets_of(layer).items():
        name = label_of(plan, item, copy)
        spot = roomiest(shape, name, largest_mm=8.0, smallest_mm=3.0)
        marks.append(
            Text(spot.x_mm + left, spot.y_mm + low, name, spot.size_mm, "middle",
                 role="mark", turn_deg=spot.turn_deg, operation=MARK)
        )  # fmt: skip
    notes = _notes(plan, layer, low - 12.0)
    marks += notes
    reach = max(m.x_mm + width_of(m.text, size_mm=m.size_mm) for m in notes if isinstance(m, Text))
    width = max(interior.length_mm + MARGIN_MM, reach) + MARGIN_MM
    sheet = Sheet(
        width,
        interior.width_mm + NOTES_MM + 2 * MARGIN_MM,
        f"{plan.payload.title}: {layer.name}",
        tuple(marks),
    )
    return CutSheet(sheet, left, low)


def origin_note(cut: CutSheet) -> str:
    """How the drawing's coordinates stand to the plan's, for a file whose y runs down."""
    down = size(cut.sheet.height_mm - cut.low_mm)
    return (
        f"1:1, millimetres. Plan x = x - {size(cut.left_mm)}, plan y = {down} - y. "
        f"{CUT}: cut through; {MARK}: names; {NOTE}: do not cut."
    )


def facts(plan: Plan, layer: Layer) -> list[str]:
    """What a layer is, in lines for its notes."""
    view = ""
    if layer.half == "shallow":
        view = (
            "Seen from above with the case closed: "
            "turn the cut sheet over to lay it in the open half."
        )
    material = "accent foam" if layer.material == "accent" else "foam"
    lines = [
        f"{plan.payload.title}",
        f"{layer.name}: {half_names(plan)[layer.half]}, layer {layer.index} from its floor",
        f"{material} {size(layer.thickness_mm)} mm, "
        f"heights {size(layer.z0_mm)} to {size(layer.z1_mm)} mm",
        f"plan {plan_id(plan)}",
        view,
    ]
    return [line for line in lines if line]


def _notes(plan: Plan, layer: Layer, top: float) -> list[Mark]:
    lines = [
        *facts(plan, layer),
        "1:1, all sizes in mm, finished size: no kerf is taken off.",
        f"{CUT}: cut through, inner contours first.  {MARK}, {NOTE}: do not cut.",
    ]
    return note_marks(lines, top_mm=top)


def note_marks(lines: list[str], *, top_mm: float) -> list[Mark]:
    """The square to check the scale with, its upper edge at ``top_mm``, and lines beside it."""
    left, low = MARGIN_MM, top_mm - CHECK_MM
    x, y = left + CHECK_MM / 2, low + CHECK_MM / 2
    marks: list[Mark] = [
        Path((box(left, low, left + CHECK_MM, top_mm),), Style("note", HAIR_MM), NOTE),
        Text(x, y + 2, "100 × 100 mm", 6.0, "middle", role="note", operation=NOTE),
        Text(x, y - 6, "measure before cutting", 5.0, "middle", role="note", operation=NOTE),
    ]
    for k, line in enumerate(lines):
        shown = 7.0 if k == 0 else 4.5
        at = (left + CHECK_MM + 8, top_mm - 7.0 - 9.0 * k)
        marks.append(Text(*at, line, shown, role="note", operation=NOTE))
    return marks


def _moved(contour: Contour, dx: float, dy: float) -> Contour:
    return Contour(tuple((x + dx, y + dy, b) for x, y, b in contour.vertices), contour.closed)
