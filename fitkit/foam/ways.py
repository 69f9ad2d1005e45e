"""Channels for cables: room in the foam for every stretch of a cable's path, and for its coil."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.foam.channels import opened, run_out
from fitkit.foam.cutting import Method
from fitkit.foam.model import Cutout, Way
from fitkit.foam.pockets import LEAST_MM2, polygons
from fitkit.foam.view import SAME_MM, HalfView, Stand

Key = tuple[str, int]

MOST_JOINS = 6
"""How often what was joined is looked at anew."""


def way_cuts(
    ways: Sequence[Way],
    *,
    view: HalfView,
    band_mm: tuple[float, float],
    edge: Polygon,
    stands: Sequence[Stand],
    cuts: Sequence[Cutout],
    method: Method,
) -> list[Cutout]:
    """What cables take out of one sheet, from ``band_mm`` above the half's floor [mm].

    A way that is laid in is open up to the closing plane, or to the body that lies over it. Foam
    between it and another cut-out, or the sheet's ``edge``, that would be narrower than the
    method's narrowest web goes with it.
    """
    shapes: dict[Key, list[BaseGeometry]] = {}
    for way in ways:
        low, high = view.span(way.z0_mm, way.z1_mm)
        if way.laid:
            over = [
                one.low_mm
                for one in stands
                if one.low_mm >= high - SAME_MM
                and one.placed.solid.silhouette.intersects(way.outline)
            ]
            # under a body the foam that it stands on stays whole
            high = high if over else view.depth_mm
        if band_mm[0] < high - SAME_MM and band_mm[1] > low + SAME_MM:
            shapes.setdefault((way.item, way.copy), []).append(way.outline)
    made = []
    taken: list[BaseGeometry] = [cut.shape for cut in cuts]
    beyond = shapely.difference(shapely.box(*edge.bounds).buffer(4 * method.min_web_mm), edge)
    for (item, copy), own in shapes.items():
        parts = [run_out(part, edge=edge, least_mm=method.min_web_mm) for part in own]
        whole = _joined(parts, taken, method.min_web_mm)
        whole = _without_wedges(whole, [*taken, beyond], method.min_web_mm)
        # no wedge of foam in the corner where it runs into another cut-out
        done = opened(whole, shapely.union_all(taken), method)
        taken += done
        made += [Cutout(item, copy, "channel", part) for part in done if part.area > LEAST_MM2]
    return made


def _joined(
    parts: Sequence[BaseGeometry], others: Sequence[BaseGeometry], least_mm: float
) -> BaseGeometry:
    """A way of convex parts, with the foam that is left too narrow between it and other cut-outs.

    Between its own parts as well. What is joined may come near to something else in turn.
    """
    made = list(parts)
    for _ in range(MOST_JOINS):
        whole = shapely.union_all(made)
        apart = [*polygons(whole), *others]
        more = []
        for k, one in enumerate(polygons(whole)):
            for other in apart[k + 1 :]:
                gap = float(one.distance(other))
                if SAME_MM < gap < least_mm:
                    ends = [
                        one.intersection(shapely.buffer(other, least_mm, quad_segs=8)),
                        other.intersection(shapely.buffer(one, least_mm, quad_segs=8)),
                    ]
                    more.append(shapely.union_all(ends).convex_hull)
        if not more:
            return whole
        made += more
    return shapely.union_all(made)


def _without_wedges(
    way: BaseGeometry, others: Sequence[BaseGeometry], least_mm: float
) -> BaseGeometry:
    """The way, and the narrow foam in the corners that it makes with itself and other cut-outs."""
    near = shapely.buffer(way, 3 * least_mm, quad_segs=4)
    both = shapely.union_all([way, *(shapely.intersection(other, near) for other in others)])
    reach = least_mm / 2 + 0.05
    closed = shapely.buffer(shapely.buffer(both, reach, quad_segs=8), -reach, quad_segs=8)
    wedges = [
        shapely.buffer(part, 0.05)
        for part in polygons(shapely.difference(closed, both))
        if part.distance(way) < 0.05 and part.area > LEAST_MM2
    ]
    return shapely.union_all([way, *wedges])
