"""A panel and a face of the case as drawings need them: flat, with what is cut and drilled there.

Everything here is millimetres; u runs to the right and v up, as seen from outside. Seen from
inside, u is counted from the other end.
"""

from __future__ import annotations

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.affinity import affine_transform

from fitkit.payload.workshop import Side
from fitkit.shell.model import Axis, Hole, Opening, Panel, Point, Shell

AXES: dict[Axis, int] = {"x": 0, "y": 1, "z": 2}

FACES: dict[Side, tuple[tuple[int, float], tuple[int, float]]] = {
    "front": ((0, 1.0), (2, 1.0)),
    "back": ((0, -1.0), (2, 1.0)),
    "left": ((1, -1.0), (2, 1.0)),
    "right": ((1, 1.0), (2, 1.0)),
    "top": ((0, 1.0), (1, 1.0)),
    "bottom": ((0, -1.0), (1, 1.0)),
}
"""For each face seen from outside, the axis along which u and v run, and which way."""

ALIKE_MM = 0.01
"""Panels that differ by less are cut alike [mm]."""


def on_face(side: Side, point: Point) -> tuple[float, float]:
    """A point of the case as (u, v) on a face, both counted from the case's origin [mm].

    >>> on_face("back", (10.0, 20.0, 30.0))
    (-10.0, 30.0)
    """
    (a, u), (b, v) = FACES[side]
    return (u * point[a], v * point[b])


def corner_of(panel: Panel) -> tuple[float, float]:
    """The panel's lower left corner as seen from outside, on its face [mm]."""
    u, v = on_face(panel.side, panel.centre_mm)
    return (u - panel.length_mm / 2, v - panel.width_mm / 2)


@frozen
class Drilled:
    """A hole of a flat piece: where its middle is on it [mm], and the record that it is from."""

    u_mm: float
    v_mm: float
    hole: Hole


@frozen
class Face:
    """A panel laid flat: openings and holes from its lower left corner as seen [mm].

    ``inside``: seen from inside, u turned round.
    """

    panel: Panel
    inside: bool
    openings: tuple[Opening, ...]
    holes: tuple[Drilled, ...]

    @property
    def outline(self) -> Polygon:
        """The panel before anything is cut out of it."""
        return shapely.box(0.0, 0.0, self.panel.length_mm, self.panel.width_mm)

    @property
    def blank(self) -> bool:
        """Whether nothing is cut or drilled."""
        return not self.openings and not self.holes


def face_of(shell: Shell, panel: Panel, *, inside: bool = False) -> Face:
    """The panel with its openings and holes, seen from outside or from inside."""
    left, low = corner_of(panel)
    long = panel.length_mm

    def across(u: float) -> float:
        return long - u if inside else u

    holes = []
    for hole in shell.holes:
        if panel.name in hole.pieces:
            u, v = on_face(hole.side, hole.at_mm)
            holes.append(Drilled(across(u - left), v - low, hole))
    openings = tuple(
        Opening(one.panel, one.owner, turned_over(one.shape, long) if inside else one.shape)
        for one in shell.openings
        if one.panel == panel.name
    )
    return Face(panel, inside, openings, tuple(sorted(holes, key=lambda d: (d.v_mm, d.u_mm))))


def turned_over(shape: Polygon, width_mm: float) -> Polygon:
    """A shape seen from the other face of a panel that is ``width_mm`` wide."""
    turned: Polygon = affine_transform(shape, [-1.0, 0.0, 0.0, 1.0, width_mm, 0.0])
    return turned


def same_from_inside(face: Face) -> bool:
    """Whether a panel looks the same from both faces."""
    long = face.panel.length_mm
    holes = [_hole_key(d, d.u_mm) for d in face.holes]
    turned = [_hole_key(d, long - d.u_mm) for d in face.holes]
    if sorted(holes, key=repr) != sorted(turned, key=repr):
        return False
    shapes = [o.shape for o in face.openings]
    if not shapes:
        return True
    both = shapely.union_all(shapes)
    other = shapely.union_all([turned_over(shape, long) for shape in shapes])
    return float(both.symmetric_difference(other).area) < ALIKE_MM


def alike(shell: Shell) -> tuple[tuple[Panel, ...], ...]:
    """Panels in groups that are cut and drilled alike, seen from outside the same way up."""
    groups: dict[object, list[Panel]] = {}
    for panel in shell.panels:
        face = face_of(shell, panel)
        shapes = sorted(
            shapely.to_wkt(shapely.set_precision(o.shape, ALIKE_MM).normalize())
            for o in face.openings
        )
        holes = sorted((_hole_key(d, d.u_mm) for d in face.holes), key=repr)
        key = (
            round(panel.length_mm, 2), round(panel.width_mm, 2), panel.board, panel.thickness_mm,
            panel.grain, up_words(shell, panel), tuple(shapes), tuple(holes),
        )  # fmt: skip
        groups.setdefault(key, []).append(panel)
    return tuple(tuple(group) for group in groups.values())


def _hole_key(drilled: Drilled, u_mm: float) -> tuple[object, ...]:
    hole = drilled.hole
    at = (round(u_mm, 1) + 0.0, round(drilled.v_mm, 1) + 0.0)
    return (*at, hole.diameter_mm, hole.use, hole.pilot_mm or 0.0, hole.sink_mm or 0.0)


def up_words(shell: Shell, panel: Panel) -> str:
    """What the upper edge of a panel looks at, as it is drawn."""
    if panel.side in ("top", "bottom"):
        return "upper edge: to the back"
    part = shell.assembly.part(panel.part)
    if "top" in part.open:
        return "upper edge: at the closing plane"
    if "bottom" in part.open:
        return "lower edge: at the closing plane"
    return "upper edge: to the top"
