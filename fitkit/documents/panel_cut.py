"""Panels as cutting drawings: finished size, 1:1, one operation per drawing layer.

``CUT_OPENING`` and ``CUT_OUTSIDE`` hold closed contours, ``DRILL_4.1`` circles of that diameter,
``DRILL_PILOT_2.0`` the smaller holes to drill first, ``SINK_8.0`` countersinks, ``MARK`` the name,
``NOTE`` what the sheet is and a square of 100 mm. In the order in which a cutter works: drill, cut
openings, cut the outside last. An opening that reaches the panel's edge is part of its outside.
"""

from __future__ import annotations

import shapely
from shapely import Polygon
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from fitkit.documents.cut_layer import HAIR_MM, MARGIN_MM, MARK, NOTE, NOTES_MM, CutSheet
from fitkit.documents.cut_layer import note_marks as notes
from fitkit.documents.lettering import width_of
from fitkit.documents.naming import plan_id, size, sizes
from fitkit.documents.sheet import Circle, Mark, Path, Sheet, Style, Text, contours_of
from fitkit.documents.shell_faces import Face, edge_words, face_of
from fitkit.documents.shell_words import piece_words
from fitkit.documents.spots import roomiest
from fitkit.plan import Plan
from fitkit.shell.model import Panel

OUTSIDE, OPENING = "CUT_OUTSIDE", "CUT_OPENING"


def drill_layer(kind: str, diameter_mm: float) -> str:
    """The layer for holes of one diameter.

    >>> drill_layer("DRILL", 4.1), drill_layer("DRILL_PILOT", 2.0)
    ('DRILL_4.1', 'DRILL_PILOT_2.0')
    """
    return f"{kind}_{max(size(diameter_mm, 2), f'{diameter_mm:.1f}', key=len)}"


def panel_cut_sheet(plan: Plan, panel: Panel, *, inside: bool = False) -> CutSheet:
    """The cutting drawing of one panel, seen from outside or mirrored; its origin is the panel's.

    ValueError where the plan has no shell.
    """
    if plan.shell is None:
        raise ValueError("the plan has no shell to cut")
    face = face_of(plan.shell, panel, inside=inside)
    left, low = MARGIN_MM, MARGIN_MM + NOTES_MM
    marks: list[Mark] = [*drill_marks(face, left, low), *cut_marks(face, left, low)]
    name = piece_words(plan)[panel.name]
    seen = "seen from inside, mirrored" if inside else "seen from outside"
    bare = shapely.difference(
        cut_shape(face),
        shapely.union_all([shapely.Point(d.u_mm, d.v_mm).buffer(6.0) for d in face.holes]),
    )
    words = f"{name}, {seen}"
    spot = roomiest(bare, words, largest_mm=8.0, smallest_mm=3.0)
    marks.append(
        Text(spot.x_mm + left, spot.y_mm + low, words, spot.size_mm, "middle", role="mark",
             turn_deg=spot.turn_deg, operation=MARK)
    )  # fmt: skip
    lines = notes(
        [
            plan.payload.title,
            f"{name}: {seen}",
            f"{panel.board}, {size(panel.thickness_mm, 2)} mm thick, "
            f"{sizes((panel.length_mm, panel.width_mm))} mm, {_grain(panel)}",
            f"{edge_words(plan.shell, panel, inside=inside)} · plan {plan_id(plan)}",
            "1:1, all sizes in mm, finished size: no kerf is taken off.",
            "DRILL_PILOT first, DRILL to size, SINK, then CUT_OPENING, CUT_OUTSIDE last.",
            f"Origin: the panel's lower left corner.  {MARK}, {NOTE}: do not cut.",
        ],
        top_mm=low - 12.0,
    )
    marks += lines
    reach = max(m.x_mm + width_of(m.text, size_mm=m.size_mm) for m in lines if isinstance(m, Text))
    width = max(panel.length_mm + MARGIN_MM, reach) + MARGIN_MM
    tall = panel.width_mm + NOTES_MM + 2 * MARGIN_MM
    sheet = Sheet(width, tall, f"{plan.payload.title}: {name}, {seen}", tuple(marks))
    return CutSheet(sheet, left, low)


def cut_shape(face: Face) -> BaseGeometry:
    """What is left of a panel when its openings are cut."""
    return shapely.difference(face.outline, shapely.union_all([o.shape for o in face.openings]))


def cut_marks(face: Face, dx: float = 0.0, dy: float = 0.0) -> list[Mark]:
    """The contours to cut: openings, then the outside."""
    inner: list[Mark] = []
    outer: list[Mark] = []
    for part in shapely.get_parts(translate(cut_shape(face), dx, dy)):
        for ring in part.interiors:
            style = Style("cut", HAIR_MM)
            inner.append(Path(contours_of(Polygon(ring)), style, OPENING))
        outer.append(Path(contours_of(Polygon(part.exterior)), Style("cut", HAIR_MM), OUTSIDE))
    return [*inner, *outer]


def drill_marks(face: Face, dx: float = 0.0, dy: float = 0.0) -> list[Mark]:
    """The holes as circles, by what the drill is: pilots, holes to size, countersinks."""
    style = Style("mark", HAIR_MM)
    found: dict[str, list[Mark]] = {}
    for kind in ("DRILL_PILOT", "DRILL", "SINK"):
        for one in face.holes:
            hole = one.hole
            across = {"DRILL_PILOT": hole.pilot_mm, "DRILL": hole.diameter_mm,
                      "SINK": hole.sink_mm}[kind]  # fmt: skip
            if across:
                layer = drill_layer(kind, across)
                circle = Circle(one.u_mm + dx, one.v_mm + dy, across, style, layer)
                found.setdefault(layer, []).append(circle)
    return [mark for marks in found.values() for mark in marks]


def _grain(panel: Panel) -> str:
    if panel.grain is None:
        return "grain either way"
    return "grain left to right" if panel.grain == "length" else "grain upright"


def origin_note(cut: CutSheet) -> str:
    """How the drawing's coordinates stand to the panel's, for a file whose y runs down."""
    down = size(cut.sheet.height_mm - cut.low_mm)
    return (
        f"1:1, millimetres. From the panel's lower left corner: u = x - {size(cut.left_mm)}, "
        f"v = {down} - y. CUT: cut through; DRILL: holes; {MARK}, {NOTE}: do not cut."
    )
