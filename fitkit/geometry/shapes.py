"""Outlines made from the shapes that a builder measures.

Every curve is drawn as a polygon that *contains* the true curve where it bulges outwards, so a
pocket or a gap worked out from it is never short. Vertices are so close that the polygon is
never more than :data:`CHORD_MM` away from the curve.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TypeVar

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

_Shape = TypeVar("_Shape", bound=BaseGeometry)

CHORD_MM = 0.004
"""Largest distance between a drawn curve and the true one [mm]."""


def steps_for(radius_mm: float, sweep_deg: float = 360.0, chord_mm: float = CHORD_MM) -> int:
    """How many straight steps an arc takes so that it is within ``chord_mm`` of the true one.

    A multiple of 4 for a full circle, so that its four extreme points are vertices.

    >>> steps_for(28.0)
    188
    """
    if radius_mm <= chord_mm:
        return 4
    step = 2 * math.acos(1 - chord_mm / radius_mm)
    quarters = max(1, math.ceil(math.radians(abs(sweep_deg)) / 4 / step))
    return min(4 * quarters, 720)


def circle(radius_mm: float, *, at: tuple[float, float] = (0.0, 0.0)) -> Polygon:
    """A circle of ``radius_mm`` about ``at``, circumscribed: it contains the true circle.

    >>> round(circle(28.0).area / (math.pi * 28.0**2), 3)
    1.0
    """
    steps = steps_for(radius_mm)
    # half a step aside, flats touch the true circle's four extreme points: the box is exact
    angles = (np.arange(steps) + 0.5) * (2 * math.pi / steps)
    reach = radius_mm / math.cos(math.pi / steps)
    xy = np.column_stack([at[0] + reach * np.cos(angles), at[1] + reach * np.sin(angles)])
    return shapely.normalize(Polygon(xy))


def rectangle(
    width_mm: float,
    depth_mm: float,
    *,
    corner_mm: float = 0.0,
    at: tuple[float, float] = (0.0, 0.0),
) -> Polygon:
    """A rectangle with its lower left corner at ``at``, corners rounded by ``corner_mm``.

    >>> rectangle(212.0, 148.0).bounds
    (0.0, 0.0, 212.0, 148.0)
    """
    x, y = at
    if corner_mm <= 0:
        return shapely.normalize(shapely.box(x, y, x + width_mm, y + depth_mm))
    radius = min(corner_mm, width_mm / 2, depth_mm / 2)
    steps = max(1, steps_for(radius) // 4)
    angles = (np.arange(steps) + 0.5) * (math.pi / 2 / steps)
    reach = radius / math.cos(math.pi / 4 / steps)
    centres = (
        (x + width_mm - radius, y + depth_mm - radius),
        (x + radius, y + depth_mm - radius),
        (x + radius, y + radius),
        (x + width_mm - radius, y + radius),
    )
    parts = [
        np.column_stack([cx + reach * np.cos(angles + turn), cy + reach * np.sin(angles + turn)])
        for (cx, cy), turn in zip(centres, np.arange(4) * (math.pi / 2), strict=True)
    ]
    xy = np.vstack(parts)
    # the arcs start half a step inside their quarter, on the straight sides: put them there exactly
    for axis, edges in ((0, (x, x + width_mm)), (1, (y, y + depth_mm))):
        for edge in edges:
            xy[np.abs(xy[:, axis] - edge) < 1e-9, axis] = edge
    return shapely.normalize(Polygon(xy))


def regular(sides: int, across_mm: float, *, at: tuple[float, float] = (0.0, 0.0)) -> Polygon:
    """A regular polygon about ``at``, ``across_mm`` from flat to flat (twice the inscribed radius).

    One flat looks down. ``sides`` is 3 or more.

    >>> hexagon = regular(6, 30.0)
    >>> round(hexagon.bounds[3] - hexagon.bounds[1], 6)
    30.0
    """
    if sides < 3:
        raise ValueError("a polygon has 3 sides or more")
    reach = across_mm / 2 / math.cos(math.pi / sides)
    angles = -math.pi / 2 + math.pi / sides + np.arange(sides) * (2 * math.pi / sides)
    xy = np.column_stack([at[0] + reach * np.cos(angles), at[1] + reach * np.sin(angles)])
    return shapely.normalize(Polygon(xy))


def arc_points(
    start: tuple[float, float],
    end: tuple[float, float],
    radius_mm: float,
    *,
    outside: bool = False,
) -> list[tuple[float, float]]:
    """Points from ``start`` to ``end`` (both left out) along the shorter arc of ``radius_mm``.

    A positive radius bends to the left of the way from start to end seen as a counter-clockwise
    arc (it bulges to the right, outwards on a counter-clockwise outline); a negative one bulges
    to the left. The points lie on the arc, or with ``outside`` just beyond it, so that the true
    arc lies between them and its chord. ValueError if the radius is shorter than half the chord.
    """
    (x0, y0), (x1, y1) = start, end
    chord = math.hypot(x1 - x0, y1 - y0)
    radius = abs(radius_mm)
    if chord == 0 or radius < chord / 2 - 1e-9:
        raise ValueError("the radius of an arc is at least half the distance of its ends")
    rise = math.sqrt(max(radius**2 - (chord / 2) ** 2, 0.0))
    side = 1.0 if radius_mm > 0 else -1.0
    # centre: to the left of the way for a counter-clockwise (positive) arc
    cx = (x0 + x1) / 2 - side * rise * (y1 - y0) / chord
    cy = (y0 + y1) / 2 + side * rise * (x1 - x0) / chord
    first = math.atan2(y0 - cy, x0 - cx)
    sweep = side * 2 * math.asin(min(1.0, chord / 2 / radius))
    steps = max(2, steps_for(radius, math.degrees(abs(sweep))))
    if outside:  # flats touch the arc at its ends and in between
        reach = radius / math.cos(sweep / steps / 2)
        turns = [first + sweep * (k + 0.5) / steps for k in range(steps)]
        return [(cx + reach * math.cos(turn), cy + reach * math.sin(turn)) for turn in turns]
    return [
        (
            cx + radius * math.cos(first + sweep * k / steps),
            cy + radius * math.sin(first + sweep * k / steps),
        )
        for k in range(1, steps)
    ]


def grow(outline: BaseGeometry, distance_mm: float) -> BaseGeometry:
    """``outline`` grown by ``distance_mm`` with round corners, never short of the true offset.

    A plain round buffer is inscribed (its chords cut the arcs); this one is enlarged by just so
    much that the true offset lies within it. Negative distances shrink, exactly as asked along
    straight edges.

    >>> tip = grow(shapely.box(0, 0, 10, 10), 3.0)
    >>> tip.covers(shapely.Point(10, 10).buffer(2.9999, quad_segs=64))
    True
    """
    if distance_mm <= 0:
        return shapely.buffer(outline, distance_mm, quad_segs=16)
    quads = max(4, steps_for(distance_mm) // 4)
    # a chord of a round corner spans up to one and a half steps (their number is rounded):
    # reach so far that even such a chord touches the true arc
    reach = distance_mm / math.cos(0.75 * math.pi / 2 / quads)
    return shapely.buffer(outline, reach, quad_segs=quads)


def union(outlines: Iterable[BaseGeometry]) -> BaseGeometry:
    """The union of outlines, normalised, so that equal shapes compare equal."""
    return shapely.normalize(shapely.union_all(list(outlines)))


def moved(outline: _Shape, *, turn_deg: float = 0.0, by: Sequence[float] = (0.0, 0.0)) -> _Shape:
    """``outline`` turned about the origin (counter-clockwise), then shifted.

    Quarter turns are exact: no rounding creeps into right angles.
    """
    cos, sin = _cos_sin(turn_deg)
    matrix = np.array([[cos, sin], [-sin, cos]])
    shift = np.asarray(by, dtype=float)
    return shapely.transform(outline, lambda xy: xy @ matrix + shift)


def _cos_sin(turn_deg: float) -> tuple[float, float]:
    quarter = turn_deg / 90.0
    if abs(quarter - round(quarter)) < 1e-12:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
    return math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
