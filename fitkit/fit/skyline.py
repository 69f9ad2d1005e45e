"""A first layout in no time: boxes around pieces, set one after the other on a skyline.

The skyline is the front of what is already set, seen along the case's length: steps (y0, y1, x).
Each box goes where its far end comes out least. This takes milliseconds for dozens of pieces, so
that many widths, orders and sets of poses can be tried; the nesting of true outlines starts from
the best of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import shapely
from attrs import frozen

from fitkit.fit.pieces import (
    Box2,
    Piece,
    Spot,
    turned_outline,
    turned_rooms,
)

Step = tuple[float, float, float]


@frozen
class Cell:
    """The box that one piece takes at one turn: body and zones, and half the web around them."""

    turn_deg: float
    box: Box2

    @property
    def length_mm(self) -> float:
        """Extent along the strip [mm]."""
        return self.box[2] - self.box[0]

    @property
    def width_mm(self) -> float:
        """Extent across the strip [mm]."""
        return self.box[3] - self.box[1]


@lru_cache(maxsize=8192)
def cells(piece: Piece, web_mm: float, base_deg: float = 0.0) -> tuple[Cell, ...]:
    """The boxes of a piece at the turns worth trying; boxes of the same size once.

    ``base_deg`` turns the whole level: 90 for a strip that runs along y.
    """
    turns = [(turn + base_deg) % 360.0 for turn in piece.turns_deg]
    if piece.item.turn == "free":
        turns += _snug_turns(piece)
    found: list[Cell] = []
    for turn in turns:
        cell = Cell(turn, _cell_box(piece, turn, web_mm))
        size = (round(cell.length_mm, 6), round(cell.width_mm, 6))
        if all(size != (round(c.length_mm, 6), round(c.width_mm, 6)) for c in found):
            found.append(cell)
    return tuple(found)


def _cell_box(piece: Piece, turn_deg: float, web_mm: float) -> Box2:
    half = web_mm / 2
    boxes = [turned_outline(piece, turn_deg).bounds]
    boxes += [room.bounds for room in turned_rooms(piece, turn_deg)]
    array = np.array(boxes)
    return (
        float(array[:, 0].min()) - half,
        float(array[:, 1].min()) - half,
        float(array[:, 2].max()) + half,
        float(array[:, 3].max()) + half,
    )


def _snug_turns(piece: Piece) -> list[float]:
    """Turns that bring the outline's least enclosing rectangle upright."""
    around = shapely.minimum_rotated_rectangle(piece.outline)
    corners = shapely.get_coordinates(around)
    if len(corners) < 3:
        return []
    dx, dy = corners[1] - corners[0]
    angle = round(float(np.degrees(np.arctan2(dy, dx))) % 90.0, 4)
    if angle < 0.05 or angle > 89.95:
        return []
    return [(-angle) % 360.0, 90.0 - angle]


def pack(
    pieces: Sequence[Piece],
    *,
    width_mm: float,
    web_mm: float,
    order: Sequence[int],
    base_deg: float = 0.0,
) -> tuple[Spot, ...] | None:
    """Spots for ``pieces`` in a strip ``width_mm`` wide (half a web beside it included), or None.

    Set in the given ``order``; the strip runs along x. Boxes do not overlap, so bodies are at
    least a web apart and zones are free.
    """
    spots: list[Spot | None] = [None] * len(pieces)
    front: list[Step] = [(0.0, width_mm, 0.0)]
    for index in order:
        piece = pieces[index]
        best: tuple[float, float, float, float, Cell] | None = None
        for cell in cells(piece, web_mm, base_deg):
            for x, y, waste in _seats(front, cell.width_mm):
                key = (x + cell.length_mm, waste, y)
                if best is None or key < best[:3]:
                    best = (*key, x, cell)
        if best is None:
            return None
        _, _, y, x, cell = best
        spots[index] = Spot(cell.turn_deg, x - cell.box[0], y - cell.box[1])
        front = _raised(front, y, y + cell.width_mm, x + cell.length_mm)
    return tuple(spot for spot in spots if spot is not None)


def _seats(front: list[Step], width: float) -> list[tuple[float, float, float]]:
    """Where a box of ``width`` may stand: (x, y, wasted area), flush with a step's edge."""
    seats = []
    limit = front[-1][1] + 1e-9
    for y0, y1, _ in front:
        for y in (y0, y1 - width):
            if y < -1e-9 or y + width > limit:
                continue
            touched = [s for s in front if s[0] < y + width - 1e-9 and s[1] > y + 1e-9]
            x = max(step[2] for step in touched)
            waste = sum((x - sx) * (min(s1, y + width) - max(s0, y)) for s0, s1, sx in touched)
            seats.append((x, y, waste))
    return seats


def _raised(front: list[Step], y0: float, y1: float, x: float) -> list[Step]:
    """The front after a box with its far end at ``x`` was set between ``y0`` and ``y1``."""
    steps: list[Step] = []
    for s0, s1, sx in front:
        if s1 <= y0 + 1e-9 or s0 >= y1 - 1e-9:
            steps.append((s0, s1, sx))
            continue
        if s0 < y0 - 1e-9:
            steps.append((s0, y0, sx))
        if s1 > y1 + 1e-9:
            steps.append((y1, s1, sx))
    steps.append((y0, y1, x))
    steps.sort()
    merged: list[Step] = []
    for step in steps:
        if merged and abs(merged[-1][2] - step[2]) < 1e-9 and abs(merged[-1][1] - step[0]) < 1e-9:
            merged[-1] = (merged[-1][0], step[1], step[2])
        else:
            merged.append(step)
    return merged


def orders(pieces: Sequence[Piece], web_mm: float) -> list[list[int]]:
    """Orders worth trying: by area, by longest side, by shorter side, each falling."""

    def size(index: int) -> tuple[float, float, float]:
        cell = cells(pieces[index], web_mm)[0]
        a, b = cell.length_mm, cell.width_mm
        return (a * b, max(a, b), min(a, b))

    indices = list(range(len(pieces)))
    sizes = [size(index) for index in indices]
    return [sorted(indices, key=lambda i: (-sizes[i][key], i)) for key in range(3)]
