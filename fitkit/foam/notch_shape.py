"""The shape of a finger notch: round at its outer end, rooted in the pocket it belongs to."""

from __future__ import annotations

import math

import numpy as np
import shapely
from attrs import field, frozen
from shapely import LinearRing, Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.foam.pockets import polygons
from fitkit.geometry.shapes import steps_for
from fitkit.payload.model import Notch

STRAIGHT_MM = 6.0
"""A side shorter than this is no straight one: the way out is square to its neighbourhood [mm]."""

_FAR_MM = 1e4
_OVER_MM = 0.5
_ENDS = np.array([[1.0, -1.0], [1.0, 1.0]])


@frozen
class Side:
    """One side of a pocket, or of the tightest box about it.

    ``middle_mm`` is a point from which is measured, ``out`` points from there to the side,
    ``half_mm`` is half the side's length.
    """

    middle_mm: tuple[float, float]
    out: tuple[float, float]
    half_mm: float

    @property
    def along(self) -> tuple[float, float]:
        """The direction along the side; the same for the side across."""
        x, y = self.out
        return (-y + 0.0, x) if (-y, x) > (0.0, 0.0) else (y, -x + 0.0)

    def to_own(self, xy: np.ndarray) -> np.ndarray:
        """Points of the case as (along the side, outwards) from the middle."""
        axes = np.array([self.along, self.out]).T
        return np.asarray((xy - np.array(self.middle_mm)) @ axes)

    def to_case(self, own: np.ndarray) -> np.ndarray:
        """Points given along the side and outwards, in the case's coordinates."""
        return np.asarray(own @ np.array([self.along, self.out]) + np.array(self.middle_mm))


@frozen
class Drawn:
    """A notch as drawn, before the tool's radius and the pocket beside it are taken into account.

    It lies ``along_mm`` from the middle of ``side``; in its own middle the pocket's edge is at
    ``edge_mm`` outwards, its tip at ``tip_mm``.
    """

    shape: Polygon = field(eq=False)
    side: Side
    along_mm: float
    edge_mm: float
    tip_mm: float
    width_mm: float

    @property
    def at_mm(self) -> tuple[float, float]:
        """Its place on the pocket's edge (x, y) [mm]."""
        x, y = self.side.to_case(np.array([self.along_mm, self.edge_mm])).tolist()
        return (x, y)

    @property
    def depth_mm(self) -> float:
        """How far it reaches from the pocket's edge [mm]."""
        return self.tip_mm - self.edge_mm


def drawn_along(
    pocket: BaseGeometry, side: Side, offsets: list[float], notch: Notch
) -> dict[float, Drawn]:
    """Notches along one side of the box about a pocket, by distance from the side's middle.

    Places where the pocket slants too much for a notch to sit square are left out.
    """
    half = notch.width_mm / 2
    at = np.array(offsets)
    corners = np.array([[-half, -_FAR_MM], [half, -_FAR_MM], [half, _FAR_MM], [-half, _FAR_MM]])
    strips = shapely.polygons(corners + np.stack([at, np.zeros_like(at)], axis=-1)[:, None, :])
    turned = shapely.transform(pocket, side.to_own)
    shapely.prepare(turned)
    edge = _foremost(shapely.intersection(turned, strips))
    marks = np.stack([at - half, at, at + half])
    ends = np.stack([marks, marks]).transpose(1, 2, 0)
    cuts = shapely.linestrings(np.stack([ends, np.full_like(ends, _FAR_MM)], axis=-1) * _ENDS)
    reach = np.stack([edge, *(_foremost(shapely.intersection(turned, row)) for row in cuts)])
    root = np.maximum(np.nanmin(reach, axis=0), edge - notch.width_mm) - 1.0
    neck = edge + notch.depth_mm - half
    rows: dict[float, Drawn] = {}
    square = edge - root <= half + 1.0  # a slanting side leaves a wedge of foam beside the notch
    middle = np.where(np.isnan(reach[2]), edge, reach[2])
    places = zip(
        offsets, root.tolist(), neck.tolist(), middle.tolist(), edge.tolist(), square, strict=True
    )
    for t, low, mid, inner, outer, sits in places:
        if math.isnan(mid) or not sits:
            continue
        shape = _round_ended(side, along_mm=t, root_mm=low, neck_mm=mid, half_mm=half)
        rows[t] = Drawn(shape, side, t, inner, outer + notch.depth_mm, notch.width_mm)
    return rows


def drawn_at(
    pocket: BaseGeometry, at_mm: tuple[float, float], *, notch: Notch, way_deg: float | None = None
) -> Drawn:
    """The notch at the place on a pocket's edge nearest to ``at_mm``.

    It reaches out square to the edge, or in the direction ``way_deg`` (counter-clockwise from x).
    ValueError for an empty pocket.
    """
    edge = nearest_edge(pocket, at_mm)
    s_mm = float(edge.project(shapely.Point(at_mm)))
    if way_deg is None:
        out = outwards(edge, s_mm)
    else:
        angle = math.radians(way_deg)
        out = (round(math.cos(angle), 12) + 0.0, round(math.sin(angle), 12) + 0.0)
    foot = edge.interpolate(s_mm)
    half = notch.width_mm / 2
    side = Side((float(foot.x), float(foot.y)), out, half)
    turned = shapely.transform(pocket, side.to_own)
    marks = shapely.linestrings(
        [[[t, _OVER_MM], [t, -notch.width_mm - 1.0]] for t in (-half, 0.0, half)]
    )
    reach = _foremost(shapely.intersection(turned, marks))
    lowest = min([0.0, *(v for v in reach.tolist() if not math.isnan(v))])
    root = max(lowest, -notch.width_mm) - 1.0
    neck = notch.depth_mm - half
    shape = _round_ended(side, along_mm=0.0, root_mm=root, neck_mm=neck, half_mm=half)
    return Drawn(shape, side, 0.0, 0.0, notch.depth_mm, notch.width_mm)


def nearest_edge(pocket: BaseGeometry, at_mm: tuple[float, float]) -> LinearRing:
    """The outer ring of a pocket, of several the one nearest to a point. ValueError if empty."""
    rings = [part.exterior for part in polygons(pocket)]
    here = shapely.Point(at_mm)
    return min(rings, key=lambda ring: float(ring.distance(here)))


def outwards(ring: LinearRing, s_mm: float) -> tuple[float, float]:
    """The direction out of a ring, square to it at ``s_mm`` from its start.

    On a straight side that is the side's own; elsewhere the chord of the next 6 mm counts, so that
    the small steps of a round outline do not.

    >>> outwards(shapely.box(0, 0, 40, 30).exterior, 10.0)
    (1.0, 0.0)
    """
    points = shapely.get_coordinates(ring)
    steps = np.diff(points, axis=0)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    ends = np.cumsum(lengths)
    s_mm = s_mm % float(ends[-1])
    k = min(int(np.searchsorted(ends, s_mm, side="left")), len(lengths) - 1)
    way = steps[k]
    if lengths[k] < STRAIGHT_MM:
        before, after = (
            shapely.get_coordinates(ring.interpolate((s_mm + d) % float(ends[-1])))[0]
            for d in (-STRAIGHT_MM / 2, STRAIGHT_MM / 2)
        )
        way = after - before
    length = float(np.hypot(*way))
    if length == 0.0:
        way, length = steps[k], float(lengths[k]) or 1.0
    x, y = (round(float(v) / length, 12) + 0.0 for v in way)
    return (y + 0.0, -x + 0.0) if ring.is_ccw else (-y + 0.0, x + 0.0)


def _round_ended(
    side: Side, *, along_mm: float, root_mm: float, neck_mm: float, half_mm: float
) -> Polygon:
    """A notch of two straight sides and a round end about the neck, cut off at its root."""
    lean = math.asin(min(1.0, max(0.0, (root_mm - neck_mm) / half_mm)))
    steps = max(8, steps_for(half_mm) // 2)
    angles = np.linspace(lean, math.pi - lean, steps)
    arc = np.column_stack([along_mm + half_mm * np.cos(angles), neck_mm + half_mm * np.sin(angles)])
    wide = half_mm * math.cos(lean)
    foot = np.array([[along_mm - wide, root_mm], [along_mm + wide, root_mm]])
    return shapely.normalize(Polygon(side.to_case(np.vstack([foot, arc]))))


def _foremost(shapes: np.ndarray) -> np.ndarray:
    """The highest second coordinate of each shape; not a number for an empty one."""
    return np.asarray(shapely.bounds(shapes)[:, 3], dtype=float)
