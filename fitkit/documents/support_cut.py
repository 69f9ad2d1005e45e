"""Sub-panels as cutting drawings: finished size, 1:1, one operation per drawing layer.

The layers are those of the panels (:mod:`fitkit.documents.panel_cut`): drill, cut openings, cut the
outside last. The piece lies with the item's side up; its origin is its lower left corner.
"""

from __future__ import annotations

import shapely
from shapely import Polygon

from fitkit.documents.cut_layer import HAIR_MM, MARGIN_MM, MARK, NOTE, NOTES_MM, CutSheet
from fitkit.documents.cut_layer import note_marks as notes
from fitkit.documents.lettering import width_of
from fitkit.documents.naming import plan_id, safe_name, size, sizes
from fitkit.documents.panel_cut import OPENING, OUTSIDE, drill_layer
from fitkit.documents.sheet import Circle, Mark, Path, Sheet, Style, Text, contours_of
from fitkit.documents.spots import roomiest
from fitkit.documents.support_drawing import Group, groups_of
from fitkit.plan import Plan
from fitkit.shell.mounting.model import Support


def sub_panel_cuts(plan: Plan) -> list[tuple[str, CutSheet]]:
    """Every distinct sub-panel: its file's name without ending, and its drawing."""
    names = sub_panel_names(plan)
    return [
        (name, support_cut_sheet(plan, group))
        for name, group in zip(names, _groups(plan), strict=True)
    ]


def sub_panel_names(plan: Plan) -> list[str]:
    """The names of :func:`sub_panel_cuts`, no two alike, without drawing anything."""
    names: list[str] = []
    for group in _groups(plan):
        name = safe_name(group.first.name)
        while name in names:
            name += "-2"
        names.append(name)
    return names


def _groups(plan: Plan) -> tuple[Group, ...]:
    supports = () if plan.shell is None else plan.shell.supports
    return groups_of(tuple(one for one in supports if one.kind == "sub-panel"))


def support_cut_sheet(plan: Plan, group: Group) -> CutSheet:
    """The cutting drawing of pieces that are made alike."""
    one = group.first
    left, low = MARGIN_MM, MARGIN_MM + NOTES_MM
    marks: list[Mark] = [*_drilled(one, left, low), *_cut(one, left, low)]
    bare = _shape(one).difference(
        shapely.union_all([shapely.Point(h.u_mm, h.v_mm).buffer(6.0) for h in one.holes])
    )
    words = f"{group.names}, the item's side up"
    spot = roomiest(bare, words, largest_mm=8.0, smallest_mm=3.0)
    marks.append(
        Text(spot.x_mm + left, spot.y_mm + low, words, spot.size_mm, "middle", role="mark",
             turn_deg=spot.turn_deg, operation=MARK)
    )  # fmt: skip
    count = len(group.supports)
    lines = notes(
        [
            plan.payload.title,
            words,
            f"{count} × {one.material}, {size(one.thick_mm, 2)} mm thick, "
            f"{sizes((one.length_mm, one.width_mm))} mm",
            f"plan {plan_id(plan)}",
            "1:1, all sizes in mm, finished size: no kerf is taken off.",
            "DRILL to size, SINK on the far side, then CUT_OPENING, CUT_OUTSIDE last.",
            f"Origin: the piece's lower left corner.  {MARK}, {NOTE}: do not cut.",
        ],
        top_mm=low - 12.0,
    )
    marks += lines
    reach = max(m.x_mm + width_of(m.text, size_mm=m.size_mm) for m in lines if isinstance(m, Text))
    width = max(one.length_mm + MARGIN_MM, reach) + MARGIN_MM
    tall = one.width_mm + NOTES_MM + 2 * MARGIN_MM
    return CutSheet(Sheet(width, tall, f"{plan.payload.title}: {words}", tuple(marks)), left, low)


def _shape(one: Support) -> shapely.geometry.base.BaseGeometry:
    outline = shapely.box(0.0, 0.0, one.length_mm, one.width_mm)
    return outline.difference(shapely.union_all(list(one.openings)))


def _drilled(one: Support, dx: float, dy: float) -> list[Mark]:
    """The holes as circles: to size, then countersinks."""
    style = Style("mark", HAIR_MM)
    holes = [(drill_layer("DRILL", hole.diameter_mm), hole, hole.diameter_mm) for hole in one.holes]
    holes += [
        (drill_layer("SINK", hole.sink_mm), hole, hole.sink_mm)
        for hole in one.holes
        if hole.sink_mm is not None
    ]
    return [
        Circle(hole.u_mm + dx, hole.v_mm + dy, across, style, layer)
        for layer, hole, across in holes
    ]


def _cut(one: Support, dx: float, dy: float) -> list[Mark]:
    """The contours to cut: openings, then the outside."""
    inner: list[Mark] = []
    outer: list[Mark] = []
    style = Style("cut", HAIR_MM)
    for part in shapely.get_parts(shapely.affinity.translate(_shape(one), dx, dy)):
        inner += [Path(contours_of(Polygon(ring)), style, OPENING) for ring in part.interiors]
        outer.append(Path(contours_of(Polygon(part.exterior)), style, OUTSIDE))
    return [*inner, *outer]
