"""Closing up: pieces of a level are slid towards a corner as far as true outlines allow.

Engines work with coarse outlines and a little extra; what they leave is taken back here. A slide
moves one piece straight along an axis; how far it can go is found by bisection on the true
distances, so the result keeps every clearance.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from fitkit.fit.pieces import Margins, Piece, Spot, room_of

KEEP_MM = 0.002
"""Kept beyond the clearance, so that rounding of coordinates never eats into it [mm]."""


def tighten(
    placed: Sequence[tuple[Piece, Spot]],
    *,
    web_mm: float,
    margins: Margins,
    rounds: int = 3,
) -> list[Spot]:
    """Spots slid towards low x and low y, in turns, while that makes the level smaller.

    The given spots must hold; those that come back do too, and their level is no larger.
    """
    pieces = [piece for piece, _ in placed]
    spots = [spot for _, spot in placed]
    best, size = list(spots), _size(pieces, spots, margins)
    for _ in range(rounds):
        for axis in (0, 1):
            spots = _slide(pieces, spots, axis, web_mm=web_mm, margins=margins)
        now = _size(pieces, spots, margins)
        if now[0] > size[0] - 1e-3 and now[1] > size[1] - 1e-3:
            break
        if now[0] <= size[0] + 1e-9 and now[1] <= size[1] + 1e-9:
            best, size = list(spots), now
    return best


def _size(pieces: Sequence[Piece], spots: Sequence[Spot], margins: Margins) -> tuple[float, float]:
    x0, y0, x1, y1 = room_of(zip(pieces, spots, strict=True), margins)
    return x1 - x0, y1 - y0


def _slide(
    pieces: Sequence[Piece],
    spots: Sequence[Spot],
    axis: int,
    *,
    web_mm: float,
    margins: Margins,
) -> list[Spot]:
    """Every piece once as far as it goes towards low x (axis 0) or low y (axis 1)."""
    x0, y0, _, _ = room_of(zip(pieces, spots, strict=True), margins)
    floor = (x0, y0)[axis]
    bodies = [spot.body(piece) for piece, spot in zip(pieces, spots, strict=True)]
    rooms = [spot.rooms(piece) for piece, spot in zip(pieces, spots, strict=True)]
    made = list(spots)
    for k in sorted(range(len(pieces)), key=lambda i: (bodies[i].bounds[axis], i)):
        own = room_of([(pieces[k], made[k])], margins)
        most = own[axis] - floor
        if most < 1e-3:
            continue
        others = [b for j, b in enumerate(bodies) if j != k]
        other_rooms = [room for j, have in enumerate(rooms) if j != k for room in have]
        step = _farthest(bodies[k], rooms[k], others, other_rooms, axis, most, web_mm)
        if step > 1e-3:
            shift = (-step, 0.0) if axis == 0 else (0.0, -step)
            made[k] = made[k].shifted(*shift)
            bodies[k] = made[k].body(pieces[k])
            rooms[k] = made[k].rooms(pieces[k])
    return made


def _farthest(
    body: shapely.Polygon,
    own_rooms: Sequence[shapely.Polygon],
    others: Sequence[shapely.Polygon],
    other_rooms: Sequence[shapely.Polygon],
    axis: int,
    most: float,
    web_mm: float,
) -> float:
    """How far a body may slide: to the first obstacle on its way, by small steps and bisection."""
    swept = _swept(body, axis, most)
    near = [o for o in others if shapely.dwithin(swept, o, web_mm + KEEP_MM)]
    near_rooms = [r for r in other_rooms if shapely.intersects(swept, r)]
    swept_rooms = [_swept(room, axis, most) for room in own_rooms]
    in_rooms = [o for o in others if any(shapely.intersects(room, o) for room in swept_rooms)]
    if not near and not near_rooms and not in_rooms:
        return most
    near_array = np.array(near, dtype=object)

    def holds(step: float) -> bool:
        shift = (-step, 0.0) if axis == 0 else (0.0, -step)
        moved = shapely.transform(body, lambda xy: xy + shift)
        if near and float(shapely.distance(near_array, moved).min()) < web_mm + KEEP_MM:
            return False
        if any(shapely.intersection(moved, room).area > 1e-9 for room in near_rooms):
            return False
        for room in own_rooms:
            shifted = shapely.transform(room, lambda xy: xy + shift)
            if any(shapely.intersection(shifted, o).area > 1e-9 for o in in_rooms):
                return False
        return True

    # walk in steps shorter than any body, so that nothing is jumped over
    stride = max(2.0, min(most, web_mm / 2 if web_mm > 4 else 2.0))
    low, high = 0.0, most
    reached = 0.0
    while reached < most:
        step = min(most, reached + stride)
        if not holds(step):
            low, high = reached, step
            break
        reached = step
        low = step
    else:
        return most
    for _ in range(14):
        middle = (low + high) / 2
        if holds(middle):
            low = middle
        else:
            high = middle
    return low


def _swept(shape: shapely.Polygon, axis: int, most: float) -> shapely.Polygon:
    x0, y0, x1, y1 = shape.bounds
    return shapely.box(x0 - most, y0, x1, y1) if axis == 0 else shapely.box(x0, y0 - most, x1, y1)
