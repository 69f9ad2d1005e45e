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
    fixed: frozenset[int] = frozenset(),
    corner_mm: tuple[float, float] | None = None,
) -> list[Spot]:
    """Spots slid towards low x and low y, in turns, while that makes the level smaller.

    The given spots must hold; those that come back do too, and their level is no larger. Pieces in
    ``fixed`` (by index) stay. ``corner_mm`` is the interior's corner if it is known; otherwise the
    level's own lower left.
    """
    pieces = [piece for piece, _ in placed]
    spots = [spot for _, spot in placed]
    best, size = list(spots), _size(pieces, spots, margins, corner_mm)
    for _ in range(rounds):
        for axis in (0, 1):
            spots = _slide(
                pieces,
                spots,
                axis,
                web_mm=web_mm,
                margins=margins,
                fixed=fixed,
                corner_mm=corner_mm,
            )
        now = _size(pieces, spots, margins, corner_mm)
        if now[0] > size[0] - 1e-3 and now[1] > size[1] - 1e-3:
            break
        if now[0] <= size[0] + 1e-9 and now[1] <= size[1] + 1e-9:
            best, size = list(spots), now
    return best


def _size(
    pieces: Sequence[Piece],
    spots: Sequence[Spot],
    margins: Margins,
    corner_mm: tuple[float, float] | None,
) -> tuple[float, float]:
    x0, y0, x1, y1 = room_of(zip(pieces, spots, strict=True), margins)
    return (x1, y1) if corner_mm else (x1 - x0, y1 - y0)


def _slide(
    pieces: Sequence[Piece],
    spots: Sequence[Spot],
    axis: int,
    *,
    web_mm: float,
    margins: Margins,
    fixed: frozenset[int],
    corner_mm: tuple[float, float] | None,
) -> list[Spot]:
    """Every piece once as far as it goes towards low x (axis 0) or low y (axis 1)."""
    floor = (corner_mm or room_of(zip(pieces, spots, strict=True), margins)[:2])[axis]
    bodies = [spot.body(piece) for piece, spot in zip(pieces, spots, strict=True)]
    rooms = [spot.rooms(piece) for piece, spot in zip(pieces, spots, strict=True)]
    made = list(spots)
    for k in sorted(range(len(pieces)), key=lambda i: (bodies[i].bounds[axis], i)):
        if k in fixed:
            continue
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
    keep = web_mm + KEEP_MM if web_mm > 0 else 0.0
    own = [(body, [*others, *other_rooms]), *((room, list(others)) for room in own_rooms)]
    paths = []
    for shape, obstacles in own:
        swept = _swept(shape, axis, most)
        near = [o for o in obstacles if shapely.dwithin(swept, o, keep)]
        if near:
            obstructing = np.array(near, dtype=object)
            shapely.prepare(obstructing)
            paths.append((shape, obstructing))
    if not paths:
        return most

    def holds(step: float) -> bool:
        shift = (-step, 0.0) if axis == 0 else (0.0, -step)
        for shape, near in paths:
            moved = shapely.transform(shape, lambda xy: xy + shift)
            if keep > 0:
                if bool(shapely.dwithin(near, moved, keep).any()):
                    return False
            elif float(shapely.area(shapely.intersection(near, moved)).max()) > 1e-9:
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
