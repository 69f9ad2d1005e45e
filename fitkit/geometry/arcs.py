"""Arcs found again in outlines that were drawn as many short chords, and drawn back as chords.

A *bulged ring* is a list of vertices (x, y, bulge): the edge from a vertex to the next is straight
where the bulge is 0, else an arc of sweep 4 atan(bulge), counter-clockwise when positive. Cutting
files carry such arcs, so that a machine runs smoothly and a radius can be measured in the file.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from fitkit.geometry.shapes import CHORD_MM

Vertex = tuple[float, float, float]

FIT_MM = 0.004
"""Largest distance of a vertex from the arc that replaces it [mm]."""

SAG_MM = 0.0045
"""Largest height of an arc over each chord that it replaces [mm]."""

LEAST_CHORDS = 3
LEAST_RISE_MM = 0.02
LARGEST_RADIUS_MM = 5000.0
LARGEST_SWEEP = math.radians(300.0)
STRAIGHT_MM = 1e-6

Points = NDArray[np.float64]


def bulged_rings(shape: Polygon) -> list[list[Vertex]]:
    """The rings of a polygon as bulged rings: the outer one, counter-clockwise, then holes.

    >>> from fitkit.geometry.shapes import circle
    >>> [[round(v, 2) + 0.0 for v in vertex] for vertex in bulged_rings(circle(28.0))[0]]
    [[-28.0, 0.0, 1.0], [28.0, 0.0, 1.0]]
    """
    turned = shapely.orient_polygons(shape)
    return [bulged(shapely.get_coordinates(ring)) for ring in (turned.exterior, *turned.interiors)]


def bulged(ring: Sequence[tuple[float, float]] | Points) -> list[Vertex]:
    """One closed ring of points [mm], first point repeated or not, as a bulged ring.

    Runs of vertices that lie on a common circle within :data:`FIT_MM`, by chords that it rises over
    by no more than :data:`SAG_MM`, become one arc; a full circle becomes two. All else stays as it
    is: the curve is within 0.01 mm of the ring, both ways. ValueError for less than 3 points.

    >>> bulged([(0, 0), (40, 0), (40, 30), (0, 30)])
    [(0.0, 0.0, 0.0), (40.0, 0.0, 0.0), (40.0, 30.0, 0.0), (0.0, 30.0, 0.0)]
    """
    points = _without_straight(np.asarray(ring, dtype=float)[:, :2])
    count = len(points)
    whole = _whole_circle(points)
    if whole is not None:
        return whole
    turns, lengths = _turns(points)
    start = int(np.argmax(np.abs(turns) * np.maximum(lengths, np.roll(lengths, 1))))
    points = np.roll(points, -start, axis=0)
    turns, lengths = np.roll(turns, -start), np.roll(lengths, -start)
    closed = np.vstack([points, points[:1]])
    vertices: list[Vertex] = []
    at = 0
    while at < count:
        end, bulge = _longest(closed, turns, lengths, at)
        vertices.append((float(closed[at, 0]), float(closed[at, 1]), bulge))
        at = end
    return vertices


def ring_of(vertices: Sequence[Vertex], *, chord_mm: float = CHORD_MM) -> list[tuple[float, float]]:
    """A bulged ring as points, not closed, by chords at most ``chord_mm`` away from its arcs [mm].

    >>> len(ring_of([(0.0, 0.0, 1.0), (10.0, 0.0, 1.0)], chord_mm=0.1)) >= 12
    True
    """
    points: list[tuple[float, float]] = []
    for k, (x, y, bulge) in enumerate(vertices):
        points.append((x, y))
        if bulge:
            after = vertices[(k + 1) % len(vertices)]
            points.extend(arc_between((x, y), after[:2], bulge, chord_mm=chord_mm))
    return points


def arc_between(
    start: tuple[float, float],
    end: tuple[float, float],
    bulge: float,
    *,
    chord_mm: float = CHORD_MM,
) -> list[tuple[float, float]]:
    """Points on the arc of ``bulge`` from ``start`` to ``end``, both left out [mm]."""
    cx, cy, radius, first, sweep = arc_of(start, end, bulge)
    if radius <= chord_mm:
        return []
    steps = max(2, math.ceil(abs(sweep) / (2 * math.acos(1 - chord_mm / radius))))
    return [
        (
            cx + radius * math.cos(first + sweep * k / steps),
            cy + radius * math.sin(first + sweep * k / steps),
        )
        for k in range(1, steps)
    ]


def arc_of(
    start: tuple[float, float], end: tuple[float, float], bulge: float
) -> tuple[float, float, float, float, float]:
    """Centre x, y and radius [mm], first angle and signed sweep [rad] of a bulged edge.

    Equation: sweep = 4 atan(b), centre on the perpendicular bisector of the chord c,
    at c (1 - b^2) / (4 b) to the left of the way. ValueError for a bulge of 0.

    >>> arc_of((0.0, 0.0), (10.0, 0.0), 1.0)[:3]
    (5.0, 0.0, 5.0)
    """
    if bulge == 0:
        raise ValueError("an edge without a bulge is no arc")
    (x0, y0), (x1, y1) = start, end
    aside = (1 - bulge * bulge) / (4 * bulge)
    cx = (x0 + x1) / 2 - aside * (y1 - y0)
    cy = (y0 + y1) / 2 + aside * (x1 - x0)
    radius = math.hypot(x1 - x0, y1 - y0) * (1 + bulge * bulge) / (4 * abs(bulge))
    return cx, cy, radius, math.atan2(y0 - cy, x0 - cx), 4 * math.atan(bulge)


def _without_straight(points: Points) -> Points:
    """Drop the closing point, doubled points, and points in the middle of straight runs."""
    if len(points) > 1 and np.array_equal(points[0], points[-1]):
        points = points[:-1]
    while True:
        before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
        along = after - before
        length = np.hypot(along[:, 0], along[:, 1])
        away = np.abs(
            along[:, 0] * (points[:, 1] - before[:, 1])
            - along[:, 1] * (points[:, 0] - before[:, 0])
        ) / np.maximum(length, STRAIGHT_MM)
        doubled = np.hypot(*(points - before).T) < STRAIGHT_MM
        forward = np.einsum("ij,ij->i", points - before, after - points) >= 0
        drop = doubled | ((away < STRAIGHT_MM) & forward)
        drop[1:] &= ~drop[:-1]  # never two neighbours in one go
        if not drop.any():
            break
        if len(points) - drop.sum() < 3:
            break
        points = points[~drop]
    if len(points) < 3:
        raise ValueError("a ring has three points or more")
    return points


def _turns(points: Points) -> tuple[Points, Points]:
    """Turn at each vertex [rad] and length of the edge that leaves it."""
    edges = np.roll(points, -1, axis=0) - points
    came = np.roll(edges, 1, axis=0)
    cross = came[:, 0] * edges[:, 1] - came[:, 1] * edges[:, 0]
    return np.arctan2(cross, np.einsum("ij,ij->i", came, edges)), np.hypot(edges[:, 0], edges[:, 1])


def _whole_circle(points: Points) -> list[Vertex] | None:
    """Two half circles if all points lie on one circle, else None."""
    if len(points) < 8:
        return None
    middle = points.mean(axis=0)
    local = points - middle
    matrix = np.column_stack([2 * local, np.ones(len(local))])
    answer, *_ = np.linalg.lstsq(matrix, (local**2).sum(axis=1), rcond=None)
    centre = answer[:2]
    away = np.hypot(*(local - centre).T)
    mids = np.hypot(*((local + np.roll(local, -1, axis=0)) / 2 - centre).T)
    radius = float(away.max() + mids.min()) / 2
    worst = max(float(away.max()) - radius, radius - float(mids.min()))
    turns, _ = _turns(points)
    one_way = bool((turns > 0).all() or (turns < 0).all())
    if worst > FIT_MM or not one_way or abs(abs(turns.sum()) - 2 * math.pi) > 1e-3:
        return None
    bulge = 1.0 if turns.sum() > 0 else -1.0
    cx, cy = (float(v) for v in middle + centre)
    return [(cx - radius, cy, bulge), (cx + radius, cy, bulge)]


def _longest(closed: Points, turns: Points, lengths: Points, at: int) -> tuple[int, float]:
    """The end of the longest arc from vertex ``at``, and its bulge; else the next vertex and 0."""
    count = len(closed) - 1
    most = _most(turns, lengths, at)
    best, best_bulge = at + 1, 0.0
    step, end = LEAST_CHORDS, at + LEAST_CHORDS
    if end > most:
        return best, best_bulge
    reach = most + 1
    while end < reach:  # gallop forward while it fits
        bulge = _arc(closed[at : end + 1])
        if bulge is None:
            reach = end
            break
        best, best_bulge = end, bulge
        step *= 2
        end = min(end + step, most) if end < most else most + 1
    low, high = best, reach
    while best_bulge and high - low > 1:  # then narrow down
        middle = (low + high) // 2
        bulge = _arc(closed[at : middle + 1])
        if bulge is None:
            high = middle
        else:
            low, best, best_bulge = middle, middle, bulge
    if best_bulge and not _rises(closed[at], closed[best], best_bulge):
        return at + 1, 0.0
    return min(best, count), best_bulge


def _most(turns: Points, lengths: Points, at: int) -> int:
    """How far a run from ``at`` could go: turns one way, by chords that one circle could have."""
    count = len(turns)
    if at + 1 >= count:
        return at + 1
    side = np.sign(turns[at + 1])
    sweep = 0.0
    end = at + 1
    while end < count:
        turn = turns[end]
        sag = max(lengths[end - 1], lengths[end]) * abs(turn) / 8  # rough: chord x sweep / 8
        sweep += abs(turn)
        if np.sign(turn) != side or sag > 4 * SAG_MM or sweep > LARGEST_SWEEP:
            break
        end += 1
    return end


def _arc(run: Points) -> float | None:
    """The bulge of the arc from the first to the last point through those between, or None."""
    chord = run[-1] - run[0]
    half = math.hypot(chord[0], chord[1]) / 2
    if half < STRAIGHT_MM:
        return None
    along = chord / (2 * half)
    local = run - (run[0] + run[-1]) / 2
    x = local @ along
    y = local[:, 1] * along[0] - local[:, 0] * along[1]
    weight = float((y * y).sum())
    if weight < STRAIGHT_MM**2:
        return None
    # least squares for the centre (0, t): x^2 + y^2 - half^2 = 2 y t
    centre = float((y * (x * x + y * y - half * half)).sum()) / (2 * weight)
    radius = math.hypot(half, centre)
    if radius > LARGEST_RADIUS_MM:
        return None
    away = np.hypot(x, y - centre)
    if float(np.abs(away - radius).max()) > FIT_MM:
        return None
    mids = np.hypot((x[1:] + x[:-1]) / 2, (y[1:] + y[:-1]) / 2 - centre)
    if float(np.abs(mids - radius).max()) > FIT_MM + SAG_MM:
        return None
    sags = radius - np.sqrt(np.maximum(radius**2 - ((np.diff(x) ** 2 + np.diff(y) ** 2) / 4), 0.0))
    if float(sags.max()) > SAG_MM:
        return None
    angles = np.unwrap(np.arctan2(y - centre, x))
    steps = np.diff(angles)
    if not ((steps > 0).all() or (steps < 0).all()):
        return None
    sweep = float(angles[-1] - angles[0])
    if abs(sweep) > LARGEST_SWEEP:
        return None
    return math.tan(sweep / 4)


def _rises(start: Points, end: Points, bulge: float) -> bool:
    """Whether an arc stands off its chord enough to be one."""
    return abs(bulge) * math.hypot(*(end - start)) / 2 >= LEAST_RISE_MM
