"""Channels: foam taken out where a plug, a cable, moving air or a hand needs its zone.

A channel is its zone's outline, joined to the item's own pocket, in every layer from the zone's
lowest point up to the top of the tier, so that plug and cable lift out with the item.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.foam.cutting import Method
from fitkit.foam.pockets import cuttable, polygons, tongues
from fitkit.foam.view import SAME_MM, Stand
from fitkit.geometry.shapes import moved

JOIN_MM = 80.0
"""A zone farther from its item's pocket than this is not joined to it [mm] (assumption)."""

OVERLAP_MM = 1.0

FAR_MM = 10_000.0
"""Farther than any case is long [mm]."""


def channels(
    stand: Stand, *, top_mm: float, own: BaseGeometry, edge: Polygon, method: Method
) -> tuple[Polygon, ...]:
    """The channels of one item in a layer that ends at ``top_mm`` (its face to the closing plane).

    ``own`` is the item's own pocket in that layer (empty where it has none), ``edge`` the layer's
    outline: a channel that would leave less than the method's narrowest web there runs out through
    it.
    """
    made: list[Polygon] = []
    for room in stand.rooms:
        if room.z0_mm >= top_mm - SAME_MM:
            continue
        zone = joined(room.outline, own)
        made.extend(opened(run_out(zone, edge=edge, least_mm=method.min_web_mm), own, method))
    return tuple(made)


def run_out(zone: BaseGeometry, *, edge: Polygon, least_mm: float) -> BaseGeometry:
    """A convex ``zone``; what of it is nearer than ``least_mm`` to a straight side goes out there.

    Straight out, square to the side, so that no thin wedge of foam stays beside a slanted zone. A
    side that goes round sunk hardware counts only over its own length: beside it there is a wall.

    >>> run_out(shapely.box(40, 40, 60, 97), edge=shapely.box(0, 0, 100, 100), least_mm=8.0).bounds
    (40.0, 40.0, 60.0, 106.0)
    """
    ring = shapely.get_coordinates(edge.exterior)
    walls = edge.convex_hull.boundary
    parts: list[BaseGeometry] = [zone]
    for start, end in zip(ring[:-1], ring[1:], strict=True):
        length = float(np.hypot(*(end - start)))
        if length < least_mm:
            continue  # a step of a rounded corner: its neighbours' sides decide
        along = (end - start) / length
        out = np.array([along[1], -along[0]]) * (1.0 if edge.exterior.is_ccw else -1.0)
        middle = shapely.Point(*((start + end) / 2))
        far = along * (FAR_MM if walls.distance(middle) < SAME_MM else 0.0)
        strip = Polygon(
            [start - far - out * least_mm, end + far - out * least_mm, end + far + out * FAR_MM,
             start - far + out * FAR_MM]
        )  # fmt: skip
        near = shapely.intersection(zone, strip)
        if near.area > 0:
            dx, dy = (float(step) for step in out * (least_mm + OVERLAP_MM))
            parts.append(shapely.union_all([near, moved(near, by=(dx, dy))]).convex_hull)
    return shapely.union_all(parts) if len(parts) > 1 else zone


@lru_cache(maxsize=1024)
def opened(shape: BaseGeometry, own: BaseGeometry, method: Method) -> tuple[Polygon, ...]:
    """``shape``, cuttable where it runs into ``own``, without foam wedges between the two."""
    if not own.is_empty:
        wedges = tongues(shapely.union(shape, own), method)
        if wedges:
            shape = shapely.union_all([shape, *(shapely.buffer(wedge, 0.05) for wedge in wedges)])
    return polygons(cuttable(shape, method, own=own))


def joined(zone: Polygon, own: BaseGeometry) -> BaseGeometry:
    """A convex ``zone`` swept up to the pocket ``own``, so that no foam stands between them.

    >>> joined(shapely.box(12, 4, 30, 8), shapely.box(0, 0, 10, 10)).bounds
    (9.0, 4.0, 30.0, 8.0)
    """
    if own.is_empty:
        return zone
    gap = float(zone.distance(own))
    if gap > JOIN_MM:
        return zone
    if gap <= SAME_MM and float(zone.intersection(own).area) > 0.5:
        return zone
    (ax, ay), (bx, by) = shapely.get_coordinates(shapely.shortest_line(zone, own))
    way = np.array([bx - ax, by - ay])
    length = float(np.hypot(*way))
    if length < 1e-3:
        inside = own.representative_point()
        middle = zone.centroid
        way = np.array([inside.x - middle.x, inside.y - middle.y])
        length = float(np.hypot(*way))
        if length < 1e-3:
            return zone
        # straight towards the item, along the axis that leads there
        axis = int(np.argmax(np.abs(way)))
        way = np.array([way[0] if axis == 0 else 0.0, way[1] if axis == 1 else 0.0])
        shift = way / float(np.abs(way).max()) * OVERLAP_MM
    else:
        shift = way * (1 + OVERLAP_MM / length)
    return shapely.union_all([zone, shapely.transform(zone, lambda xy: xy + shift)]).convex_hull
