"""What one pose asks of a plan, and the least value of an objective for what is asked."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely
from attrs import frozen

from fitkit.fit.pieces import Piece
from fitkit.payload.model import Objective

GRID_MM = 1.0
"""Length and width of an interior are whole multiples of this [mm]."""


@frozen
class Share:
    """What one pose asks of a level: grown area, height, and the least sides it fits in [mm]."""

    area_mm2: float
    height_mm: float
    short_mm: float
    long_mm: float


@lru_cache(maxsize=2048)
def share(piece: Piece, grow_mm: float) -> Share:
    """The share of one piece grown by ``grow_mm``."""
    outline = piece.outline
    grown = outline.buffer(grow_mm, quad_segs=16) if grow_mm > 0 else outline
    low, high = piece.solid.z0_mm, piece.solid.z1_mm
    if piece.item.turn == "free":
        short, long = _least_width(piece), _longer_side(piece)
    else:
        x0, y0, x1, y1 = outline.bounds
        short, long = sorted((x1 - x0, y1 - y0))
    return Share(grown.area, high - low + piece.lift_mm, short, long)


def least_sides_mm(piece: Piece, *, wall_mm: float) -> tuple[float, float]:
    """The least sides, shorter and longer, of the plan of a room for this piece, less 2 walls [mm].

    A body keeps ``wall_mm`` to the panels, and its zones lie inside the room: a zone that reaches
    further than that beyond the body takes so much more. Of a piece that may turn freely only the
    body counts, as by :func:`share`.
    """
    own = share(piece, 0.0)
    if piece.item.turn == "free":
        return own.short_mm, own.long_mm
    x0, y0, x1, y1 = piece.outline.bounds
    along, across = beyond_mm(piece, wall_mm)
    short, long = sorted((x1 - x0 + sum(along), y1 - y0 + sum(across)))
    return short, long


def beyond_mm(piece: Piece, wall_mm: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """How much further than the wall clearance zones reach beyond the body on each side [mm].

    Along x and along y, at the low end and at the high one.
    """
    x0, y0, x1, y1 = piece.outline.bounds
    out = [0.0, 0.0, 0.0, 0.0]
    for room in piece.plan.rooms:
        a0, b0, a1, b1 = room.outline.bounds
        for at, far in enumerate((x0 - a0, a1 - x1, y0 - b0, b1 - y1)):
            out[at] = max(out[at], far - wall_mm)
    return ((out[0], out[1]), (out[2], out[3]))


def objective_value(objective: Objective, size_mm: tuple[float, float, float]) -> float:
    """What is made small, for an interior of ``size_mm``.

    Its volume [mm3], plan area [mm2], longest side or sum of the three sides [mm]; "first" counts
    volume, which breaks ties among layouts that fit.
    """
    length, width, height = size_mm
    if objective == "plan":
        return length * width
    if objective == "longest":
        return max(size_mm)
    if objective == "linear":
        return length + width + height
    return length * width * height


def least_value(
    objective: Objective,
    *,
    area_mm2: float,
    sides_mm: tuple[float, float],
    rim_mm: float,
    least_mm: float,
    height_mm: float,
) -> float:
    """The least value over all plans in whole steps that offer what is asked.

    Shrunk by ``rim_mm`` in all, the plan has at least ``area_mm2`` and the sides ``sides_mm``
    (shorter, longer); neither side is below ``least_mm``. Of the plan's sides the shorter is tried
    in every step up to the square's; the longer follows.
    """
    short, long = sides_mm
    first, last = short + rim_mm, math.sqrt(area_mm2) + rim_mm
    start = math.ceil(max(first, least_mm) / GRID_MM - 1e-6)
    stop = max(start, math.ceil(last / GRID_MM - 1e-6))
    width = np.arange(start, stop + 1) * GRID_MM
    by_area = area_mm2 / np.maximum(width - rim_mm, 1e-9) + rim_mm
    longer = np.maximum(by_area, max(long + rim_mm, least_mm))
    length = np.maximum(np.ceil(longer / GRID_MM - 1e-6) * GRID_MM, width)
    if objective == "plan":
        values = length * width
    elif objective == "longest":
        values = np.maximum(length, height_mm)
    elif objective == "linear":
        values = length + width + height_mm
    else:
        values = length * width * height_mm
    return float(values.min())


@lru_cache(maxsize=1024)
def _least_width(piece: Piece) -> float:
    """Least distance of two parallel lines that hold the outline: one lies on a hull edge."""
    hull = shapely.get_coordinates(shapely.convex_hull(piece.outline))[:-1]
    edges = np.roll(hull, -1, axis=0) - hull
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    keep = lengths > 1e-9
    normals = np.column_stack([-edges[keep, 1], edges[keep, 0]]) / lengths[keep, None]
    reach = normals @ hull.T
    return float((reach.max(axis=1) - reach.min(axis=1)).min())


@lru_cache(maxsize=1024)
def _longer_side(piece: Piece) -> float:
    """The least longer side of a rectangle that holds the outline at some turn.

    A free outline of diameter d lies in a rectangle with diagonal d or more, whose longer side is
    at least d / sqrt 2.
    """
    hull = shapely.get_coordinates(shapely.convex_hull(piece.outline))
    spans = hull[:, None, :] - hull[None, :, :]
    return float(np.hypot(spans[..., 0], spans[..., 1]).max()) * math.sqrt(0.5)
