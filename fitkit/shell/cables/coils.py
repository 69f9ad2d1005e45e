"""What is too long is wound up: how large the coil is, and where it finds a place.

A cable of diameter d and length l wound on a mean diameter Dm makes N = l / (pi Dm) turns. They lie
in a round bundle of Db = d sqrt(N / phi), where phi is the share of the bundle that is cable; the
coil is Dm + Db wide and Db high. Its innermost turn must not be bent too tightly:
(Dm - Db) / 2 >= R. Wound long, with two straight sides of length s, a turn takes pi Dm + 2 s and
the coil is s longer than wide.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from fitkit.foam.model import Room
from fitkit.shell.cables.model import Coil

FILL = 0.55
"""Share of a hand-wound coil's bundle that is cable: 0.55 to 0.70 (common practice, no source)."""

WIDER = (1.0, 1.25, 1.6, 2.0)
"""A coil may be wound wider than the least, so that it lies lower."""

LONGER = (0.0, 1.0, 2.5)
"""Straight sides of a long coil over its mean diameter; the round one is tried first."""

CELL_MM = 4.0
"""Places for coils are looked for on a grid of this step [mm]."""

LEAST_TURNS = 1.0
"""Less than this is a loop, not a coil."""

Size = tuple[float, float, float]
Cells = tuple[int, int, int]


@frozen
class Winding:
    """A coil before it has a place: turns, mean and outer diameter, height, straight sides [mm]."""

    turns: float
    mean_mm: float
    outer_mm: float
    height_mm: float
    straight_mm: float = 0.0


def winding(
    length_mm: float,
    *,
    diameter_mm: float,
    radius_mm: float,
    wider: float = 1.0,
    longer: float = 0.0,
) -> Winding:
    """The coil of a cable, as tight as its least inside radius allows, or ``wider`` by a factor.

    The equations of the module, solved for (Dm - Db) / 2 = R. ``longer`` is s / Dm. ValueError for
    a length or diameter that is not above 0, and for factors below 1 and 0.

    >>> coil = winding(2000.0, diameter_mm=6.0, radius_mm=48.0)
    >>> round(coil.turns, 2), round(coil.outer_mm, 1), round(coil.height_mm, 1)
    (5.53, 134.1, 19.0)
    """
    if length_mm <= 0 or diameter_mm <= 0 or radius_mm < 0 or wider < 1 or longer < 0:
        raise ValueError("length and diameter are above 0, radius and longer 0 or more, wider 1")
    around = math.pi + 2 * longer
    mean = 2 * radius_mm + diameter_mm
    for _ in range(200):
        bundle = diameter_mm * math.sqrt(max(length_mm / (around * mean), 1.0) / FILL)
        better = 2 * radius_mm + bundle
        if abs(better - mean) < 1e-9:
            break
        mean = better
    mean *= wider
    turns = length_mm / (around * mean)
    bundle = diameter_mm * math.sqrt(max(turns, 1.0) / FILL)
    return Winding(turns, mean, mean + bundle, bundle, longer * mean)


class Places:
    """What is free of a half, for coils: a grid of cells, each free or not."""

    def __init__(
        self,
        *,
        low_mm: tuple[float, float, float],
        high_mm: tuple[float, float, float],
        taken: NDArray[np.float64],
    ) -> None:
        """The room between two corners, without the boxes that are ``taken`` (n, 6) [mm]."""
        self.low = np.array(low_mm)
        self.counts = np.maximum(((np.array(high_mm) - self.low) / CELL_MM + 1e-6).astype(int), 0)
        self.cells = np.zeros(tuple(self.counts), dtype=np.int32)
        self._total: NDArray[np.int32] | None = None
        self._found: dict[Cells, NDArray[np.int64]] = {}
        for box in taken:
            self.take(box)

    def take(self, box: Sequence[float] | NDArray[np.float64]) -> None:
        """Keep coils off a box [mm]."""
        row = np.asarray(box, dtype=float)
        first = np.floor((row[:3] - self.low) / CELL_MM + 1e-6).astype(int)
        last = np.ceil((row[3:] - self.low) / CELL_MM - 1e-6).astype(int)
        first, last = np.maximum(first, 0), np.minimum(last, self.counts)
        if np.all(last > first):
            self.cells[first[0] : last[0], first[1] : last[1], first[2] : last[2]] = 1
            self._total, self._found = None, {}

    def find(self, size_mm: Size) -> Room | None:
        """The lowest free box of that size; None if there is none."""
        free = self._free(_cells(size_mm))
        if not len(free):
            return None
        at = free[np.lexsort((free[:, 1], free[:, 0], free[:, 2]))[0]]
        low = self.low + at * CELL_MM
        high = low + np.array(size_mm)
        return Room(
            (float(low[0]), float(low[1]), float(low[2])),
            (float(high[0]), float(high[1]), float(high[2])),
            "coil",
        )

    def least_short(self, sizes_mm: Sequence[Size]) -> tuple[float, int]:
        """By how much a box must shrink in every direction to find a place, and which one [mm].

        In whole cells: the size that needs to shrink least is told by its number.
        """
        for step in range(1 + int(max(max(size) for size in sizes_mm) / CELL_MM)):
            for number, size in enumerate(sizes_mm):
                less = (
                    max(size[0] - step * CELL_MM, CELL_MM),
                    max(size[1] - step * CELL_MM, CELL_MM),
                    max(size[2] - step * CELL_MM, CELL_MM),
                )
                if len(self._free(_cells(less))):
                    return min(step * CELL_MM, max(size)), number
        return max(sizes_mm[0]), 0

    def _free(self, need: Cells) -> NDArray[np.int64]:
        """The lower corners, in cells, of every free block of that many cells."""
        if any(n > have or n < 1 for n, have in zip(need, self.counts, strict=True)):
            return np.zeros((0, 3), dtype=np.int64)
        if need not in self._found:
            if self._total is None:
                self._total = np.zeros(tuple(self.counts + 1), dtype=np.int32)
                self._total[1:, 1:, 1:] = self.cells.cumsum(0).cumsum(1).cumsum(2)
            taken = self._total
            for axis, step in enumerate(need):
                rows, back = [slice(None)] * 3, [slice(None)] * 3
                rows[axis], back[axis] = slice(step, None), slice(None, -step)
                taken = taken[tuple(rows)] - taken[tuple(back)]
            self._found[need] = np.argwhere(taken == 0)
        return self._found[need]


def _cells(size_mm: Size) -> Cells:
    a, b, c = (math.ceil(size / CELL_MM - 1e-6) for size in size_mm)
    return (a, b, c)


def coil_in(
    places: Places, *, length_mm: float, diameter_mm: float, radius_mm: float
) -> Coil | None:
    """The coil of a cable's spare length, with a place for it; None where it is but a loop.

    It may lie flat, or stand on edge along either wall. Where none of them has a place, the room is
    None, and ``short_mm`` says how much the coil that comes nearest lacks. What it takes is taken.
    """
    if length_mm <= 0:
        return None
    least = winding(length_mm, diameter_mm=diameter_mm, radius_mm=radius_mm)
    if least.turns < LEAST_TURNS:
        return None
    tried: list[tuple[Winding, Size]] = []
    for longer in LONGER:
        for wider in WIDER:
            one = winding(
                length_mm,
                diameter_mm=diameter_mm,
                radius_mm=radius_mm,
                wider=wider,
                longer=longer,
            )
            if one.turns < LEAST_TURNS:
                break
            for size in _sizes(one):
                room = places.find(size)
                if room is not None:
                    places.take((*room.low_mm, *room.high_mm))
                    return _coil(one, room)
                tried.append((one, size))
    short, number = places.least_short([size for _, size in tried])
    return _coil(tried[number][0], None, short)


def _sizes(one: Winding) -> Iterator[Size]:
    """The boxes in which a coil may lie: flat or on edge, along or across."""
    wide, long, high = one.outer_mm, one.outer_mm + one.straight_mm, one.height_mm
    yield (long, wide, high)
    if one.straight_mm > 0:
        yield (wide, long, high)
    yield (long, high, wide)
    yield (high, long, wide)


def _coil(one: Winding, room: Room | None, short_mm: float = 0.0) -> Coil:
    return Coil(
        one.turns, one.mean_mm, one.outer_mm, one.height_mm, room, short_mm, one.straight_mm
    )
