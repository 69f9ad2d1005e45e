"""Narrow webs on the finished layer: where, how wide, between what.

The web asked for between two items is the clearance between them, less what the allowance and
the corner relief of both pockets take; at the edge it is the clearance to the wall, less the same.
No web may be narrower than the cutting method allows. Cut-outs that run into each other or out of
the edge have no web between them.
"""

from __future__ import annotations

import numpy as np
import shapely
from attrs import frozen
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.foam.cutting import Method
from fitkit.foam.model import Cutout, CutoutKind, Layer, Web
from fitkit.foam.pockets import RELIEF_MM, polygons
from fitkit.payload.model import Payload

TOLERANCE_MM = 0.02
"""A web is thin when it is narrower than its limit by more than this [mm]."""

EDGE = "edge"
DISH = "dish"


@frozen
class WebRule:
    """The narrowest webs allowed for one payload and cutting method."""

    item_mm: float
    wall_mm: float
    allowance_mm: float
    corner_mm: float
    least_mm: float

    @classmethod
    def of(cls, payload: Payload, method: Method) -> WebRule:
        """The rule for ``payload`` cut by ``method``."""
        clear = payload.case.clearance
        return cls(
            clear.item_mm,
            clear.wall_mm,
            max(0.0, payload.foam.allowance_mm),
            method.corner_take_mm,
            method.min_web_mm,
        )

    def take(self, kind: CutoutKind) -> float:
        """How far a cut-out's edge may lie outside its item [mm]."""
        if kind == "pocket":
            return self.allowance_mm + self.corner_mm
        if kind == "relief":
            return RELIEF_MM + self.corner_mm
        return self.corner_mm if kind == "channel" else 0.0

    def between(self, one: CutoutKind, other: CutoutKind) -> float:
        """The narrowest web allowed between cut-outs of two kinds [mm].

        A channel's zone may end anywhere beside a neighbour: only the method limits its web.
        """
        if "channel" in (one, other):
            return self.least_mm
        return max(self.least_mm, self.item_mm - self.take(one) - self.take(other))

    def at_edge(self, kind: CutoutKind) -> float:
        """The narrowest web allowed between a cut-out and the layer's edge [mm]."""
        if kind == "pocket":
            return max(self.least_mm, self.wall_mm - self.take(kind))
        if kind == "channel":
            return self.least_mm
        return max(self.least_mm, min(self.item_mm, self.wall_mm) - self.take(kind))

    @property
    def widest_mm(self) -> float:
        """No limit is above this [mm]."""
        return max(self.item_mm, self.wall_mm, self.least_mm)


def narrow_webs(
    layer: Layer,
    *,
    rule: WebRule,
    labels: dict[tuple[str, int], str],
    bold: frozenset[tuple[str, int]] = frozenset(),
) -> tuple[Web, ...]:
    """The narrow webs of a finished layer, narrowest first; one for each pair of neighbours.

    ``labels`` gives each (item, copy) the name that is printed. Where a notch of one of ``bold``,
    whose notches the builder placed, runs into a neighbour or out of the edge, the web is 0 mm.
    """
    cuts = layer.cutouts
    if not cuts:
        return ()
    shapes = np.array([cut.shape for cut in cuts], dtype=object)
    void = shapely.union_all(shapes)
    shapely.prepare(void)
    found: dict[tuple[str, str], Web] = {}

    def keep(left: str, right: str, limit: float, line: LineString) -> None:
        width = float(line.length)
        known = found.get((left, right))
        if known is not None and known.width_mm <= width:
            return
        (ax, ay), (bx, by) = np.round(shapely.get_coordinates(line), 3).tolist()
        found[(left, right)] = Web(
            layer.half,
            layer.index,
            left,
            right,
            round(width, 3),
            round(limit, 3),
            (ax, ay),
            (bx, by),
        )

    tree = shapely.STRtree(shapes)
    pairs = tree.query(shapes, predicate="dwithin", distance=rule.widest_mm)
    for i, j in sorted(zip(*pairs.tolist(), strict=True)):
        one, other = cuts[i], cuts[j]
        if i >= j or (one.item, one.copy) == (other.item, other.copy):
            continue
        limit = rule.between(one.kind, other.kind)
        gap = float(one.shape.distance(other.shape))
        if gap == 0.0 and (_is_bold(one, bold) or _is_bold(other, bold)):
            names = sorted((_label(one, labels), _label(other, labels)))
            keep(names[0], names[1], limit, _dot(shapely.intersection(one.shape, other.shape)))
        if 0.0 < gap < limit - TOLERANCE_MM:
            line = shapely.shortest_line(one.shape, other.shape)
            if _in_foam(line, void):
                names = sorted((_label(one, labels), _label(other, labels)))
                keep(names[0], names[1], limit, line)
    for name, ring in _edges(layer.outline):
        for cut, gap in zip(cuts, shapely.distance(shapes, ring).tolist(), strict=True):
            # hardware does not press on foam: only the method limits the web beside it
            limit = rule.at_edge(cut.kind) if name == EDGE else rule.least_mm
            if gap == 0.0 and _is_bold(cut, bold):
                keep(_label(cut, labels), name, limit, _dot(shapely.intersection(cut.shape, ring)))
            if 0.0 < gap < limit - TOLERANCE_MM:
                line = shapely.shortest_line(cut.shape, ring)
                if _in_foam(line, void):
                    keep(_label(cut, labels), name, limit, line)
    for web in _slender(layer, rule, labels, tuple(found.values())):
        keep(web.left, web.right, web.limit_mm, LineString([web.a_mm, web.b_mm]))
    return tuple(sorted(found.values(), key=lambda w: (w.width_mm, w.left, w.right)))


def _edges(outline: Polygon) -> list[tuple[str, BaseGeometry]]:
    """A layer's edge along the walls, and where it goes round sunk hardware.

    A room without hardware in its walls is convex: what lies within its hull is a dish.
    """
    ring = outline.exterior
    hull = outline.convex_hull
    if hull.area - outline.area < 1.0:
        return [(EDGE, ring)]
    walls = shapely.buffer(hull.boundary, 0.01)
    parts = ((EDGE, ring.intersection(walls)), (DISH, ring.difference(walls)))
    return [(name, part) for name, part in parts if not part.is_empty]


def lost_to_opening(shape: BaseGeometry, width_mm: float) -> tuple[Polygon, ...]:
    """The parts of a layer that a disc of ``width_mm`` across cannot sweep, corners left out.

    A web narrower than the disc is lost; so are the tips of foam corners, which are no webs.
    """
    radius = width_mm / 2
    coarse = shapely.simplify(shape, 0.01)
    swept = shapely.buffer(
        shapely.buffer(coarse, -radius, quad_segs=6), radius + 0.05, quad_segs=12
    )
    lost = []
    for piece in polygons(coarse.difference(swept)):
        # the tip of a right-angled corner has 0.215 radius2 of area
        if piece.area > 0.45 * radius**2 and not piece.buffer(-0.05).is_empty:
            lost.append(piece)
    return tuple(lost)


def _slender(
    layer: Layer, rule: WebRule, labels: dict[tuple[str, int], str], known: tuple[Web, ...]
) -> list[Web]:
    """Thin places that no pair of neighbours shows: tongues within one item's cut-outs, mostly."""
    cuts = layer.cutouts
    shapes = np.array([cut.shape for cut in cuts], dtype=object)
    made = []
    reach = rule.least_mm / 2
    seen = [LineString([web.a_mm, web.b_mm]) for web in known]
    for piece in lost_to_opening(layer.shape, rule.least_mm - 2 * TOLERANCE_MM):
        if any(line.distance(piece) < reach for line in seen):
            continue
        near = np.flatnonzero(shapely.dwithin(shapes, piece, 0.1)).tolist()
        names = sorted({_label(cuts[k], labels) for k in near})
        if layer.outline.exterior.distance(piece) < 0.1:
            names.append(EDGE)
        if not names:
            continue
        line = shapely.maximum_inscribed_circle(piece, tolerance=0.05)
        (x, y), (bx, by) = shapely.get_coordinates(line).tolist()
        a, b = (2 * x - bx, 2 * y - by), (bx, by)
        left, right = names[0], names[-1]
        made.append(
            Web(layer.half, layer.index, left, right, 2 * float(line.length), rule.least_mm, a, b)
        )
    return made


def _is_bold(cut: Cutout, bold: frozenset[tuple[str, int]]) -> bool:
    return cut.kind == "notch" and (cut.item, cut.copy) in bold


def _dot(shape: BaseGeometry) -> LineString:
    """A place in a shape where two cut-outs meet, as a line of no length."""
    x, y = shapely.get_coordinates(shapely.point_on_surface(shape))[0].tolist()
    return LineString([(x, y), (x, y)])


def _in_foam(line: BaseGeometry, void: BaseGeometry) -> bool:
    """Whether a witness line runs through foam all the way."""
    return float(line.intersection(void).length) < TOLERANCE_MM


def _label(cut: Cutout, labels: dict[tuple[str, int], str]) -> str:
    return labels[(cut.item, cut.copy)]
