"""What cables take of the foam: a channel along each path, and room for each coil."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import shapely
from shapely import LineString, Polygon

from fitkit.foam.model import Point, Way
from fitkit.payload.model import Payload
from fitkit.shell.cables.model import Route

SIDE_MM = 1.0
"""A channel is wider than its cable by this on each side [mm]: width d + 2, depth d + 2 (common
practice, no source)."""


def ways_of(payload: Payload, routes: Sequence[Route]) -> tuple[Way, ...]:
    """The channels and coil places of all cables, in the case's coordinates [mm].

    A channel follows the cable's middle line and is open up to the closing plane, so that the cable
    can be laid in; a coil has its own room only.
    """
    return tuple(way for route in routes for way in _of(payload, route))


def _of(payload: Payload, route: Route) -> Iterator[Way]:
    owner = owner_of(payload, route.start)
    if owner is None:
        return
    name, copy = owner
    reach = route.diameter_mm / 2 + SIDE_MM
    for start, end in pairwise(_thinned(route.path_mm)):
        outline = shapely.buffer(LineString([start[:2], end[:2]]), reach, quad_segs=8)
        if not isinstance(outline, Polygon) or outline.is_empty:  # straight up: a round hole
            outline = shapely.buffer(shapely.Point(start[:2]), reach, quad_segs=8)
        low, high = min(start[2], end[2]) - reach, max(start[2], end[2]) + reach
        yield Way(name, copy, shapely.normalize(outline), low, high)
    coil = route.coil
    if coil is not None and coil.room is not None:
        low_mm, high_mm = coil.room.low_mm, coil.room.high_mm
        box = shapely.box(low_mm[0], low_mm[1], high_mm[0], high_mm[1])
        yield Way(name, copy, shapely.normalize(box), low_mm[2], high_mm[2], laid=False)


def owner_of(payload: Payload, connector: str) -> tuple[str, int] | None:
    """The item and the copy that a connector such as "probe 2.left.1" belongs to."""
    for item in payload.items:
        for copy in range(1, item.count + 1):
            label = item.name if item.count == 1 else f"{item.name} {copy}"
            if connector.startswith(f"{label}."):
                return item.name, copy
    return None


def _thinned(path: Sequence[Point]) -> list[Point]:
    """The path without points that two neighbours lie in one place."""
    kept: list[Point] = []
    for point in path:
        if not kept or max(abs(a - b) for a, b in zip(point, kept[-1], strict=True)) > 1e-6:
            kept.append(point)
    return kept
