"""One level as a grid of cells: every place for a piece is tried at once.

Where a piece may stand is a convolution of what is occupied with the piece grown by the web; of the
free places those of least cost are checked on the true outlines, the best that holds is taken.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np
import shapely
from attrs import evolve, mutable
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.assign import Assignment, Problem
from fitkit.fit.pieces import Margins, Piece, Spot, apart, room_of, turned_outline, turned_rooms
from fitkit.fit.skyline import cells
from fitkit.geometry.shapes import grow, moved, union

Grid = NDArray[np.floating]
"""Counts stay far below 2**24: single precision is exact enough to tell 0 hits from 1."""

CELLS = 160
"""About as many cells as a canvas is long."""

CHECKED = 24
"""Places per piece and turn that are checked on the true outlines, the best first."""


@mutable
class Canvas:
    """One level as cells: what bodies take, what zones take, and the true outlines."""

    cell_mm: float
    shape: tuple[int, int]
    web_mm: float
    margins: Margins
    bodies: Grid
    zones: Grid
    outlines: list[Polygon]
    rooms: list[Polygon]

    @classmethod
    def of(
        cls,
        problem: Problem,
        assignment: Assignment,
        groups: Sequence[Sequence[int]],
        fixed: Sequence[Spot],
        margins: Margins,
    ) -> Canvas:
        """An empty canvas with room enough for any level of the assignment."""
        web = problem.web_mm
        boxes = [cells(seat.piece, web) for seat in assignment.seats]
        most = max(
            sum(min(c.length_mm * c.width_mm for c in boxes[k]) for k in group) for group in groups
        )
        longest = max(max(c.length_mm, c.width_mm) for have in boxes for c in have)
        rim = 2 * max(margins.body_mm, margins.zone_mm)
        reach = max([0.0, *(max(abs(s.x_mm), abs(s.y_mm)) for s in fixed)])
        side = max(1.9 * math.sqrt(most), 1.15 * longest) + rim + reach + longest * bool(fixed)
        cell = max(0.5, side / CELLS)
        count = math.ceil(side / cell)
        blank = np.zeros((count, count), dtype=np.float32)
        return cls(cell, (count, count), web, margins, blank, blank.copy(), [], [])

    def put(self, piece: Piece, spot: Spot) -> None:
        """Mark a piece as standing at a spot."""
        body, rooms = spot.body(piece), spot.rooms(piece)
        self.outlines.append(body)
        self.rooms.extend(rooms)
        self._mark(self.bodies, body)
        for room in rooms:
            self._mark(self.zones, room)

    def with_also(self, placed: Sequence[tuple[Piece, Spot]]) -> Canvas:
        """This canvas with more pieces on it; the canvas itself stays as it is."""
        other = evolve(
            self,
            bodies=self.bodies.copy(),
            zones=self.zones.copy(),
            outlines=list(self.outlines),
            rooms=list(self.rooms),
        )
        for piece, spot in placed:
            other.put(piece, spot)
        return other

    def _mark(self, grid: Grid, shape: Polygon) -> None:
        x0, y0, x1, y1 = shape.bounds
        i0, j0 = max(0, int(x0 / self.cell_mm) - 1), max(0, int(y0 / self.cell_mm) - 1)
        i1 = min(self.shape[0], int(x1 / self.cell_mm) + 2)
        j1 = min(self.shape[1], int(y1 / self.cell_mm) + 2)
        if i1 <= i0 or j1 <= j0:
            return
        x, y = np.meshgrid(
            (np.arange(i0, i1) + 0.5) * self.cell_mm,
            (np.arange(j0, j1) + 0.5) * self.cell_mm,
            indexing="ij",
        )
        inside = shapely.contains_xy(shape.buffer(self.cell_mm * 0.5), x, y)
        grid[i0:i1, j0:j1] = np.maximum(grid[i0:i1, j0:j1], inside)

    def seat(self, piece: Piece, cost: Callable[[Grid, Grid], Grid]) -> Spot | None:
        """The free spot of least cost over all turns, or None if the canvas is full."""
        # the web around a piece may reach over the canvas' edge: room for it, so that nothing wraps
        size = _smooth(self.shape[0] + 2 * math.ceil(self.web_mm / self.cell_mm) + 4)
        shape = (size, size)
        taken = np.fft.rfft2(np.maximum(self.bodies, self.zones), shape)
        bodies = np.fft.rfft2(self.bodies, shape) if piece.plan.rooms else None
        best: tuple[float, Spot] | None = None
        for turn in _turns(piece, self.web_mm):
            found = self._place(piece, turn, taken, bodies, cost, shape)
            if found and (best is None or found[0] < best[0] - 1e-9):
                best = found
        return best[1] if best else None

    def _place(
        self,
        piece: Piece,
        turn: float,
        taken: NDArray[np.complexfloating],
        bodies: NDArray[np.complexfloating] | None,
        cost: Callable[[Grid, Grid], Grid],
        shape: tuple[int, int],
    ) -> tuple[float, Spot] | None:
        room = room_of([(piece, Spot(turn, 0.0, 0.0))], self.margins)
        cell, (rows, columns) = self.cell_mm, self.shape
        spectrum, (oi, oj) = _kernel(piece, turn, cell, self.web_mm, shape, False)
        hits = np.fft.irfft2(taken * spectrum, shape)
        # places: the piece's origin at x = x_first + i * cell, so that it touches the wall exactly
        i0, j0 = math.ceil(-room[0] / cell - 1e-9), math.ceil(-room[1] / cell - 1e-9)
        i1, j1 = math.floor(rows - room[2] / cell), math.floor(columns - room[3] / cell)
        if i1 < i0 or j1 < j0:
            return None
        i, j = np.arange(i0, i1 + 1), np.arange(j0, j1 + 1)
        free = hits[np.ix_((i + oi) % shape[0], (j + oj) % shape[1])] < 0.5
        if bodies is not None:
            spectrum, (zi, zj) = _kernel(piece, turn, cell, self.web_mm, shape, True)
            zone_hits = np.fft.irfft2(bodies * spectrum, shape)
            free &= zone_hits[np.ix_((i + zi) % shape[0], (j + zj) % shape[1])] < 0.5
        if not free.any():
            return None
        price = cost(
            np.broadcast_to(i[:, None] * cell + room[2], free.shape),
            np.broadcast_to(j[None, :] * cell + room[3], free.shape),
        )
        price = np.where(free, price, np.inf)
        flat = price.ravel()
        count = min(CHECKED, int(free.sum()))
        near = np.argpartition(flat, count - 1)[:count]
        for index in near[np.lexsort((near, flat[near]))]:
            a, b = divmod(int(index), free.shape[1])
            spot = Spot(turn, float(i[a]) * cell, float(j[b]) * cell)
            if self._holds(piece, spot):
                return float(flat[index]), spot
        return None

    def _holds(self, piece: Piece, spot: Spot) -> bool:
        own = [(spot.body(piece), [*self.outlines, *self.rooms])]
        own += [(room, self.outlines) for room in spot.rooms(piece)]
        keep = max(0.0, self.web_mm - 1e-6)
        return all(apart(shape, others, keep_mm=keep) for shape, others in own)


@lru_cache(maxsize=64)
def _smooth(least: int) -> int:
    """The least size at or above ``least`` that a fast Fourier transform likes: 2, 3 and 5 only."""
    size = least
    while True:
        rest = size
        for prime in (2, 3, 5):
            while rest % prime == 0:
                rest //= prime
        if rest == 1:
            return size
        size += 1


@lru_cache(maxsize=512)
def _turns(piece: Piece, web_mm: float) -> tuple[float, ...]:
    """Turns worth trying: those that give different outlines."""
    turns = list(dict.fromkeys((*piece.turns_deg, *(c.turn_deg for c in cells(piece, web_mm)))))
    seen: list[BaseGeometry] = []
    kept: list[float] = []
    for turn in turns:
        outline = turned_outline(piece, turn)
        x0, y0, _, _ = outline.bounds
        whole = union([outline, *turned_rooms(piece, turn)])
        own = moved(whole, by=(-x0, -y0))
        if any(own.equals_exact(other, 1e-6, normalize=True) for other in seen):
            continue
        seen.append(own)
        kept.append(turn)
    return tuple(kept)


@lru_cache(maxsize=512)
def _kernel(
    piece: Piece, turn: float, cell: float, web_mm: float, shape: tuple[int, int], zones: bool
) -> tuple[NDArray[np.complexfloating], tuple[int, int]]:
    """Spectrum of the mirrored cells of a piece grown by the web, and its origin's place in it."""
    true = union(turned_rooms(piece, turn)) if zones else turned_outline(piece, turn)
    grown = grow(true, web_mm - cell * 0.5) if web_mm > cell * 0.5 else true
    x0, y0, x1, y1 = grown.bounds
    i0, j0 = math.floor(x0 / cell), math.floor(y0 / cell)
    i1, j1 = math.ceil(x1 / cell), math.ceil(y1 / cell)
    x, y = np.meshgrid(
        (np.arange(i0, i1) + 0.5) * cell, (np.arange(j0, j1) + 0.5) * cell, indexing="ij"
    )
    inside = np.asarray(shapely.contains_xy(grown, x, y), dtype=np.float32)[::-1, ::-1]
    # convolving with the mirrored cells counts hits of the piece moved by (i, j) at
    # (i + i1 - 1, j + j1 - 1)
    return np.fft.rfft2(inside, shape), (i1 - 1, j1 - 1)
