"""Outlines as convex parts with few vertices, made once per piece.

The parts together contain the true outline. Straight sides stay where they are; only arcs take
fewer vertices, and they get outwards by no more than a stated tolerance.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely
from attrs import frozen
from shapely import Polygon

from fitkit.fit.pieces import Piece
from fitkit.geometry.shapes import moved

Xy = np.ndarray
"""Vertices, counter-clockwise, shape (m, 2) [mm]."""

FLAT = 1e-9

ROUND_MM = 0.1
"""With a tolerance of this or more, round parts are taken as a core with a radius about it [mm]."""


@frozen(eq=False)
class Part:
    """A convex part: all within ``radius_mm`` of a convex core."""

    core: Xy
    radius_mm: float = 0.0


@lru_cache(maxsize=1024)
def parts_of(piece: Piece, tolerance_mm: float) -> tuple[tuple[Part, ...], tuple[Part, ...]]:
    """The convex parts of a piece's body, and those of its zones, not turned."""
    zones = tuple(Part(_ring(room.outline)) for room in piece.plan.rooms)
    whole = Polygon(piece.outline.exterior)
    if tolerance_mm >= ROUND_MM and _is_convex(_ring(whole)):
        rounded = _rounded(_ring(whole), tolerance_mm)
        if rounded is not None:
            return (rounded,), zones
    rings = convex_parts(fewer_vertices(whole, tolerance_mm))
    return tuple(Part(ring) for ring in rings), zones


def turned_parts(
    piece: Piece, turn_deg: float, tolerance_mm: float
) -> tuple[list[Part], list[Part]]:
    """The same, turned about the piece's origin."""
    bodies, zones = parts_of(piece, tolerance_mm)
    return [_turned(part, turn_deg) for part in bodies], [_turned(part, turn_deg) for part in zones]


@lru_cache(maxsize=4096)
def turn_matrix(turn_deg: float) -> np.ndarray:
    """What turns row vectors counter-clockwise; quarter turns are exact."""
    axes = shapely.MultiPoint([(1.0, 0.0), (0.0, 1.0)])
    return shapely.get_coordinates(moved(axes, turn_deg=turn_deg))


def _turned(part: Part, turn_deg: float) -> Part:
    return Part(part.core @ turn_matrix(turn_deg), part.radius_mm)


def _rounded(ring: Xy, tolerance_mm: float) -> Part | None:
    """A convex outline as a core with a radius, if that has far fewer vertices."""
    if len(ring) < 12:
        return None
    outline = Polygon(ring)
    middle = np.array(outline.centroid.coords[0])
    reach = float(np.hypot(*(ring - middle).T).max())
    if reach - outline.exterior.distance(outline.centroid) <= tolerance_mm:
        return Part(middle[None, :], reach)
    side = np.roll(ring, -1, 0) - ring
    size = np.hypot(side[:, 0], side[:, 1])
    after, next_size = np.roll(side, -1, 0), np.roll(size, -1)
    turn = np.arctan2(
        side[:, 0] * after[:, 1] - side[:, 1] * after[:, 0], (side * after).sum(axis=1)
    )
    arcs = (turn > 1e-3) & (turn < 0.3)
    if not arcs.any():
        return None
    bends = np.minimum(size, next_size)[arcs] / 2 / np.tan(turn[arcs] / 2)
    radius = float(np.median(bends))
    core = outline.buffer(-radius).simplify(tolerance_mm / 4)
    if not isinstance(core, Polygon) or core.is_empty or 2 * len(core.exterior.coords) > len(ring):
        return None
    reach = float(shapely.distance(shapely.points(ring), core).max())
    if reach > radius + tolerance_mm:
        return None
    hull = core.convex_hull
    return Part(_ring(hull), reach) if isinstance(hull, Polygon) else None


def _ring(outline: Polygon) -> Xy:
    """The vertices of an outline without holes, counter-clockwise, none twice."""
    return shapely.get_coordinates(shapely.orient_polygons(Polygon(outline.exterior)))[:-1]


def fewer_vertices(outline: Polygon, tolerance_mm: float) -> Polygon:
    """An outline that contains ``outline`` (holes filled) and is at most ``tolerance_mm`` larger.

    A short side between two bulging corners gives way to the meeting point of its neighbours, a
    hollow corner to its chord; what changes least goes first.

    >>> from fitkit.geometry.shapes import circle
    >>> few = fewer_vertices(circle(28.0), 0.05)
    >>> len(few.exterior.coords) < 100, few.bounds[2] < 28.06
    (True, True)
    """
    ring = [(float(x), float(y), 0.0) for x, y in _ring(outline)]
    while len(ring) > 4:
        found = _least_change(ring, tolerance_mm)
        if found is None:
            break
        at, new = found
        after = (at + 1) % len(ring)
        if new is None:
            del ring[at]
        else:
            ring[at] = new
            del ring[after]
    simple = Polygon([(x, y) for x, y, _ in ring])
    if simple.is_valid and shapely.covers(simple.buffer(1e-7), Polygon(outline.exterior)):
        return simple
    return Polygon(outline.exterior)


Vertex = tuple[float, float, float]
"""A vertex, and how far it is from the true outline at most."""


def _least_change(ring: list[Vertex], most: float) -> tuple[int, Vertex | None] | None:
    """The vertex or side whose removal changes least, and the vertex that takes its place."""
    xy = np.array(ring)
    prev, here, nxt, far = xy, np.roll(xy, -1, 0), np.roll(xy, -2, 0), np.roll(xy, -3, 0)
    a, b, c = here - prev, nxt - here, far - nxt
    turn1 = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    turn2 = b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0]
    # hollow corners: ``here`` goes, its distance from the chord prev-nxt is what is filled
    chord = a + b
    length = np.hypot(chord[:, 0], chord[:, 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        hollow = np.where(turn1 <= FLAT, np.abs(turn1) / length, np.inf) + here[:, 2]
        # bulging sides: prev-here and far-nxt are made longer until they meet
        cross = a[:, 0] * c[:, 1] - a[:, 1] * c[:, 0]
        along = turn2 / cross  # here + along * a is where they meet
        tip = here[:, :2] + along[:, None] * a[:, :2]
        side = np.hypot(b[:, 0], b[:, 1])
        d = tip - here[:, :2]
        rise = np.abs(d[:, 0] * b[:, 1] - d[:, 1] * b[:, 0]) / side
    bulge = np.where((turn1 > FLAT) & (turn2 > FLAT) & (cross > FLAT), rise, np.inf)
    bulge = bulge + np.maximum(here[:, 2], nxt[:, 2])
    hollow[~np.isfinite(hollow)] = np.inf
    bulge[~np.isfinite(bulge)] = np.inf
    i, j = int(hollow.argmin()), int(bulge.argmin())
    size = len(ring)
    if hollow[i] <= bulge[j]:
        if hollow[i] > most:
            return None
        return (i + 1) % size, None
    if bulge[j] > most:
        return None
    return (j + 1) % size, (float(tip[j, 0]), float(tip[j, 1]), float(bulge[j]))


def convex_parts(outline: Polygon) -> tuple[Xy, ...]:
    """Convex parts that make up an outline without holes: triangles, merged while they can be.

    >>> ell = Polygon([(0, 0), (4, 0), (4, 1), (1, 1), (1, 4), (0, 4)])
    >>> len(convex_parts(ell))
    2
    """
    ring = _ring(outline)
    if _is_convex(ring):
        return (ring,)
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(Polygon(ring)))
    rings = [[(float(x), float(y)) for x, y in _ring(t)] for t in triangles if t.area > FLAT]
    return tuple(np.array(part) for part in _merged(rings))


Point = tuple[float, float]


def _merged(rings: list[list[Point]]) -> list[list[Point]]:
    """Parts joined over the longest common sides first, as long as they stay convex."""
    parts = dict(enumerate(rings))
    home: dict[tuple[Point, Point], int] = {}
    for number, ring in parts.items():
        for a, b in _sides(ring):
            home[a, b] = number
    inner = [(a, b) for a, b in home if (b, a) in home and a < b]
    inner.sort(key=lambda side: -math.dist(*side))
    for a, b in inner:
        one, other = home[a, b], home[b, a]
        if one == other:
            continue
        joined = _joined(parts[one], parts[other], a, b)
        if joined is None:
            continue
        parts[one] = joined
        for side in _sides(parts.pop(other)):
            home[side] = one
    return list(parts.values())


def _sides(ring: list[Point]) -> list[tuple[Point, Point]]:
    return list(zip(ring, [*ring[1:], ring[0]], strict=True))


def _joined(one: list[Point], other: list[Point], a: Point, b: Point) -> list[Point] | None:
    """Two rings joined over the side from a to b (of ``one``); None if not convex."""
    at, there = one.index(b), other.index(a)
    ring = one[at:] + one[:at]  # starts at b, ends at a
    rest = other[there:] + other[:there]  # starts at a, ends at b
    joined = ring + rest[1:-1]
    return joined if _is_convex(np.array(joined)) else None


def _is_convex(ring: Xy) -> bool:
    side = np.roll(ring, -1, 0) - ring
    after = np.roll(side, -1, 0)
    turn = side[:, 0] * after[:, 1] - side[:, 1] * after[:, 0]
    size = np.hypot(side[:, 0], side[:, 1]) * np.hypot(after[:, 0], after[:, 1])
    return bool((turn >= -FLAT * np.maximum(size, 1.0)).all())
