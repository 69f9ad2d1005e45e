"""Rectangles inside grown outlines: what of their shape a refutation counts.

Grown bodies that are disjoint stay disjoint when each is replaced by something inside it. A *frame*
is an axis-parallel rectangle inside the grown outline; each pose has one for every *family*: a
broad one, one that is long along x and one that is long along y, all about one middle. Frames of
one family are disjoint for every two copies that keep the web.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray
from shapely import Polygon

from fitkit.fit.bounds.shares import beyond_mm
from fitkit.fit.pieces import Piece

FAMILIES = (0.5, 0.86, 0.14)
"""For each family the weight of a frame's extent along x against that along y."""

FINE_MM = 0.1
"""Distance of the points on an outline that a frame is checked against [mm]."""

ROUGH_MM = 2.0

SAME_MM = 1e-6

GROWN_MORE_MM = 0.05
"""A round buffer is drawn inside the true one, by less than this [mm]."""

ALIKE_MM = 0.5
"""Half extents that differ by less count as the same after a quarter turn [mm]."""


@frozen
class Frame:
    """Half extents of a pose's frames about their middle, unturned [mm].

    ``halves_mm`` holds (along x, along y) for each family; ``ends_mm`` how far the body itself
    reaches from the middle at least, either way along x and along y. ``beyond_mm`` is how much
    further than the wall clearance zones reach beyond the body: for x and for y, at one end and at
    the other. ``turn`` tells whether a quarter turn is allowed and changes anything.
    """

    halves_mm: tuple[tuple[float, float], ...]
    ends_mm: tuple[float, float]
    beyond_mm: tuple[tuple[float, float], tuple[float, float]]
    turn: bool

    def turned(self) -> Frame:
        """The frames after a quarter turn; the family long along x is long along x again."""
        broad, across, along = self.halves_mm
        return Frame(
            ((broad[1], broad[0]), (along[1], along[0]), (across[1], across[0])),
            (self.ends_mm[1], self.ends_mm[0]),
            (self.beyond_mm[1], self.beyond_mm[0]),
            self.turn,
        )


@lru_cache(maxsize=2048)
def frame_of(piece: Piece, grow_mm: float, wall_mm: float) -> Frame:
    """The frames of a pose grown by ``grow_mm``; ``wall_mm`` is the wall clearance.

    A pose that may be turned freely counts as the largest circle inside it: whatever its turn, the
    circle grown by r contains every upright rectangle whose half diagonal is its radius plus r.
    """
    if piece.item.turn == "free":
        return _of_circle(piece.outline, grow_mm)
    outline = piece.outline
    grown = outline.buffer(grow_mm, quad_segs=16) if grow_mm > 0 else outline
    assert isinstance(grown, Polygon)
    middle = _middle(grown)
    halves = tuple(_best(grown, middle, weight) for weight in FAMILIES)
    x0, y0, x1, y1 = outline.bounds
    ends = (
        max(0.0, min(middle[0] - x0, x1 - middle[0])),
        max(0.0, min(middle[1] - y0, y1 - middle[1])),
    )
    may_turn = piece.item.turn == "quarter"
    plain = Frame(halves, ends, beyond_mm(piece, wall_mm), may_turn)
    turned = plain.turned()
    same = plain.beyond_mm == turned.beyond_mm and all(
        abs(a - b) < ALIKE_MM
        for one, other in zip(halves, turned.halves_mm, strict=True)
        for a, b in zip(one, other, strict=True)
    )
    if not (may_turn and same):
        return plain
    # a turn changes next to nothing: count what both have
    least = tuple(
        (min(a[0], b[0]), min(a[1], b[1])) for a, b in zip(halves, turned.halves_mm, strict=True)
    )
    return Frame(least, (min(ends), min(ends)), plain.beyond_mm, False)


@lru_cache(maxsize=2048)
def kept_free_mm2(piece: Piece, grow_mm: float, wall_mm: float) -> float:
    """Area that one of the pose's zones surely keeps free of grown bodies [mm2].

    Bodies keep the web from a zone too, so other grown bodies stay out of the zone grown by r. What
    the pose's own grown body covers of that is counted already. The zone may reach to the panel,
    so what is nearer than wall - r to its outer end may lie outside the shrunk plan and is left
    out. The rest lies inside where the zone is beside the body and no wider than its side, and the
    pose stands upright; other zones count nothing. Zones may share space with zones, so of all
    zones of a row one may be counted.
    """
    if piece.item.turn == "free":
        return 0.0
    x0, y0, x1, y1 = piece.outline.bounds
    own = piece.outline.buffer(grow_mm + GROWN_MORE_MM, quad_segs=16)
    back = wall_mm - grow_mm
    best = 0.0
    for room in piece.plan.rooms:
        a0, b0, a1, b1 = room.outline.bounds
        level = b0 >= y0 - SAME_MM and b1 <= y1 + SAME_MM
        plumb = a0 >= x0 - SAME_MM and a1 <= x1 + SAME_MM
        if level and a0 >= x1 - SAME_MM:
            part = (a0, b0 - grow_mm, a1 - back, b1 + grow_mm)
        elif level and a1 <= x0 + SAME_MM:
            part = (a0 + back, b0 - grow_mm, a1, b1 + grow_mm)
        elif plumb and b0 >= y1 - SAME_MM:
            part = (a0 - grow_mm, b0, a1 + grow_mm, b1 - back)
        elif plumb and b1 <= y0 + SAME_MM:
            part = (a0 - grow_mm, b0 + back, a1 + grow_mm, b1)
        else:
            continue
        if part[0] < part[2] and part[1] < part[3]:
            grown = room.outline.buffer(grow_mm, quad_segs=16) if grow_mm > 0 else room.outline
            left = shapely.difference(shapely.intersection(grown, shapely.box(*part)), own)
            best = max(best, float(left.area))
    return best


def _of_circle(outline: Polygon, grow_mm: float) -> Frame:
    line = shapely.maximum_inscribed_circle(outline, tolerance=0.05)
    middle = shapely.get_point(line, 0)
    inside = outline.covers(middle)
    radius = float(shapely.distance(middle, outline.exterior)) if inside else 0.0
    whole = radius + grow_mm
    angles = (math.atan2(math.sqrt(1 - w), math.sqrt(w)) for w in FAMILIES)
    halves = tuple((whole * math.cos(a), whole * math.sin(a)) for a in angles)
    return Frame(halves, (radius, radius), ((0.0, 0.0), (0.0, 0.0)), False)


def _middle(grown: Polygon) -> tuple[float, float]:
    """The middle of a large rectangle inside: the best of a few places."""
    x0, y0, x1, y1 = grown.bounds
    tries = [((x0 + x1) / 2, (y0 + y1) / 2)]
    tries += [
        (x0 + (x1 - x0) * a / 8, y0 + (y1 - y0) * b / 8) for a in range(1, 8) for b in range(1, 8)
    ]
    edge = shapely.get_coordinates(shapely.segmentize(grown, ROUGH_MM))
    inside = shapely.covers(grown, shapely.points(tries))
    rated = []
    for number, (place, yes) in enumerate(zip(tries, inside, strict=True)):
        if yes:
            across, along = _stairs(edge, place)
            # the first, the middle of the box, is kept unless another is clearly better
            rated.append((float((across * along).max()) * (1.02 if number == 0 else 1.0), place))
    return max(rated)[1] if rated else tries[0]


def _best(grown: Polygon, middle: tuple[float, float], weight: float) -> tuple[float, float]:
    """Half extents of the best rectangle about ``middle`` that lies inside."""
    if not grown.covers(shapely.Point(middle)):
        return (0.0, 0.0)
    edge = shapely.get_coordinates(shapely.segmentize(grown, FINE_MM))
    across, along = _stairs(edge, middle)
    # between two points the outline may reach half their distance further in
    across, along = across - FINE_MM / 2, along - FINE_MM / 2
    keep = (across > 0) & (along > 0)
    if not keep.any():
        return (0.0, 0.0)
    across, along = across[keep], along[keep]
    best = int(np.argmax(weight * np.log(across) + (1 - weight) * np.log(along)))
    return (float(across[best]), float(along[best]))


def _stairs(
    edge: NDArray[np.float64], middle: tuple[float, float]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Largest half extents (across, along) of rectangles about ``middle`` free of edge points."""
    away = np.abs(edge - middle)
    order = np.argsort(away[:, 1], kind="stable")
    along = away[order, 1]
    across = np.minimum.accumulate(away[order, 0])
    # a rectangle as high as the next point's distance has only the points before it beside it
    return across[:-1], along[1:]
