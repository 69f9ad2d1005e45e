"""A panel and a face of the case as drawings need them: flat, with what is cut and drilled there.

Everything here is millimetres; u runs to the right and v up, as seen from outside. Seen from
inside, u is counted from the other end.
"""

from __future__ import annotations

import shapely
from attrs import frozen
from shapely import Polygon

from fitkit.shell.frame import mirrored, out_of, to_face, to_panel
from fitkit.shell.model import Hole, Opening, Panel, Shell

ALIKE_MM = 0.01
"""Panels that differ by less are cut alike [mm]."""


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
    long = panel.length_mm

    def across(u: float) -> float:
        return long - u if inside else u

    holes = []
    for hole in shell.holes:
        if panel.name in hole.pieces:
            u, v = to_panel(panel, hole.at_mm)
            holes.append(Drilled(across(u), v, hole))
    openings = tuple(
        Opening(one.panel, one.owner, mirrored(one.shape, long) if inside else one.shape)
        for one in shell.openings
        if one.panel == panel.name
    )
    return Face(panel, inside, openings, tuple(sorted(holes, key=lambda d: (d.v_mm, d.u_mm))))


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
    other = shapely.union_all([mirrored(shape, long) for shape in shapes])
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
            panel.grain, edge_words(shell, panel), tuple(shapes), tuple(holes),
        )  # fmt: skip
        groups.setdefault(key, []).append(panel)
    return tuple(tuple(group) for group in groups.values())


def _hole_key(drilled: Drilled, u_mm: float) -> tuple[object, ...]:
    hole = drilled.hole
    at = (round(u_mm, 1) + 0.0, round(drilled.v_mm, 1) + 0.0)
    return (*at, hole.diameter_mm, hole.use, hole.pilot_mm or 0.0, hole.sink_mm or 0.0)


def edge_words(shell: Shell, panel: Panel, *, inside: bool = False) -> str:
    """Which way up a panel is drawn: which of its edges lie at a closing plane, or where up is."""
    part = shell.assembly.part(panel.part)
    own = out_of(panel.side)[0]
    closing = []
    for side in part.open:
        axis, sense = out_of(side)
        if axis == own:
            continue
        step = [0.0, 0.0, 0.0]
        step[axis] = float(sense)
        u, v = to_face(panel.side, (step[0], step[1], step[2]))
        u = -u if inside else u
        closing.append("right" if u > 0 else "left" if u < 0 else "upper" if v > 0 else "lower")
    up = "to the back" if panel.side in ("top", "bottom") else "to the top"
    if not closing:
        return f"upper edge: {up}"
    edges = " and ".join(closing)
    several = "s: at closing planes" if len(closing) > 1 else ": at the closing plane"
    upright = "upper" in closing or "lower" in closing
    return f"{edges} edge{several}" + ("" if upright else f"; upper edge {up}")
