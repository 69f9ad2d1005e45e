"""The turns that a piece is tried at on a grid: those that make a difference."""

from __future__ import annotations

import random
from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

from fitkit.fit.pieces import Piece, turned_outline, turned_rooms
from fitkit.fit.skyline import cells
from fitkit.geometry.shapes import moved, union

ALIKE = 0.004
"""Turns whose outlines differ by no more than this share of their area are one and the same."""

SEVERAL_DEG = 15.0
"""Free pieces are tried at multiples of this, a few of them at a time [deg]."""


def turns_of(
    piece: Piece,
    web_mm: float,
    *,
    also: Iterable[float] = (),
    more: int = 0,
    rng: random.Random | None = None,
) -> tuple[float, ...]:
    """Turns with different outlines: those in ``also``, the exact ones, the snug ones.

    For a piece that turns freely ``more`` are drawn.
    """
    turns = [*also, *piece.turns_deg, *(cell.turn_deg for cell in cells(piece, web_mm))]
    if piece.item.turn == "free" and rng is not None:
        turns += [
            (SEVERAL_DEG * rng.randrange(24) + rng.uniform(-2.0, 2.0)) % 360.0 for _ in range(more)
        ]
    seen: list[BaseGeometry] = []
    kept: list[float] = []
    for turn in dict.fromkeys(turns):
        own = union([turned_outline(piece, turn), *turned_rooms(piece, turn)])
        x0, y0, x1, y1 = own.bounds
        own = moved(own, by=(-(x0 + x1) / 2, -(y0 + y1) / 2))
        limit = ALIKE * own.area
        if any(shapely.symmetric_difference(own, other).area <= limit for other in seen):
            continue
        seen.append(own)
        kept.append(turn)
    return tuple(kept)
