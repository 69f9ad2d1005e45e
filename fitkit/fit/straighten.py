"""Odd turns made square where it costs nothing: a square pocket is easier to mark and to cut.

A nesting engine that may turn a piece freely leaves it at 1.3 or 87.4 degrees without need. Here
such a piece is set to the nearest quarter turn, moved by a few millimetres if that is what it
takes; the case stays as it is.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import shapely
from attrs import evolve
from shapely import Polygon

from fitkit.fit.arrange import Layout
from fitkit.fit.assign import Problem
from fitkit.fit.pieces import Margins, Piece, Spot, apart, room_of, turned_outline

NUDGES_MM = (0.0, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0)
"""How far a piece is moved along either side, one way or the other, to be set square [mm]."""

OFFSETS = sorted(
    {(a * dx, b * dy) for dx in NUDGES_MM for dy in NUDGES_MM for a in (-1, 1) for b in (-1, 1)},
    key=lambda offset: (math.hypot(*offset), offset),
)
"""Moves to try, the shortest first."""

KEEP_MM = 1e-5
"""Kept beyond the clearance, against rounding [mm]."""


def straightened(
    problem: Problem, layout: Layout, *, stop: Callable[[], bool] = lambda: False
) -> Layout:
    """The layout with free pieces set square where every clearance and the case's size allow it.

    Once ``stop`` says so the pieces that are left stay as they are.
    """
    margins = Margins.of(problem.payload, depth_mm=max(layout.elevation.depths_mm))
    spots = list(layout.spots)
    for level in range(len(problem.levels)):
        group = layout.assignment.of_level(level)
        for k in group:
            piece = layout.assignment.seats[k].piece
            square = round(spots[k].turn_deg / 90.0) * 90.0 % 360.0
            if problem.pins[k] is not None or piece.item.turn != "free":
                continue
            if spots[k].turn_deg == square or stop():
                continue
            others = [(layout.assignment.seats[j].piece, spots[j]) for j in group if j != k]
            found = _squared(
                piece,
                spots[k],
                square,
                others,
                web_mm=problem.web_mm,
                margins=margins,
                size_mm=layout.size_mm[:2],
                stop=stop,
            )
            if found is not None:
                spots[k] = found
    return evolve(layout, spots=tuple(spots))


def _squared(
    piece: Piece,
    spot: Spot,
    square_deg: float,
    others: list[tuple[Piece, Spot]],
    *,
    web_mm: float,
    margins: Margins,
    size_mm: tuple[float, float],
    stop: Callable[[], bool],
) -> Spot | None:
    """The nearest spot at ``square_deg`` that holds; None if there is none, or told to stop."""
    x0, y0, x1, y1 = spot.body(piece).bounds
    a0, b0, a1, b1 = turned_outline(piece, square_deg).bounds
    middle = Spot(square_deg, (x0 + x1 - a0 - a1) / 2, (y0 + y1 - b0 - b1) / 2)
    keep = web_mm + KEEP_MM if web_mm > 0 else 0.0
    reach = keep + NUDGES_MM[-1] + 1.0
    around = [middle.body(piece), *middle.rooms(piece)]
    bodies = _near(around, [at.body(other) for other, at in others], reach_mm=reach)
    rooms = [room for other, at in others for room in at.rooms(other)]
    rooms = _near(around, rooms, reach_mm=reach)
    for dx, dy in OFFSETS:
        if stop():
            return None
        tried = middle.shifted(dx, dy)
        room = room_of([(piece, tried)], margins)
        if min(room[0], room[1]) < -1e-9:
            continue
        if room[2] > size_mm[0] + 1e-9 or room[3] > size_mm[1] + 1e-9:
            continue
        own = [(tried.body(piece), [*bodies, *rooms])]
        own += [(zone, bodies) for zone in tried.rooms(piece)]
        if all(apart(shape, obstacles, keep_mm=keep) for shape, obstacles in own):
            return tried
    return None


def _near(around: list[Polygon], shapes: list[Polygon], *, reach_mm: float) -> list[Polygon]:
    """The shapes whose boxes are within reach of the box of any outline ``around``."""
    if not shapes:
        return []
    boxes = shapely.bounds(np.array(shapes, dtype=object))
    close = np.zeros(len(shapes), dtype=bool)
    for outline in around:
        x0, y0, x1, y1 = outline.bounds
        close |= (
            (boxes[:, 0] < x1 + reach_mm)
            & (boxes[:, 2] > x0 - reach_mm)
            & (boxes[:, 1] < y1 + reach_mm)
            & (boxes[:, 3] > y0 - reach_mm)
        )
    return [shapes[k] for k in np.flatnonzero(close)]
