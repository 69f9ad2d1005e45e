"""The best filling of a bar or a strip, for all lengths at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np


class Fillings:
    """Most value that fits into each room, by dynamic programming over the room.

    ``sizes`` and rooms are whole steps, ``copies`` the most of each size in one filling. With f(c)
    the most value in room c, each bundle of k copies gives f(c) = max(f(c), f(c - k size) + k
    value); bundles of 1, 2, 4 ... copies make up every count.

    >>> best = Fillings([5, 3], values=[5.0, 3.1], copies=[2, 9], room=11)
    >>> best.value(11), best.counts(11)
    (11.2, (1, 2))
    >>> best.value(11, first=1)
    10.0
    """

    def __init__(
        self, sizes: Sequence[int], *, values: Sequence[float], copies: Sequence[int], room: int
    ) -> None:
        """Fill every room up to ``room``."""
        self._best = np.zeros(room + 1)
        self._bundles: list[tuple[int, int, int, np.ndarray]] = []
        self._after = [self._best.copy()]
        for at, (size, value, most) in enumerate(zip(sizes, values, copies, strict=True)):
            left, count = min(most, room // size), 1
            while left > 0 and value > 0:
                count = min(count, left)
                self._take(at, count, size * count, value * count)
                left -= count
                count *= 2
            self._after.append(self._best.copy())

    def _take(self, at: int, count: int, size: int, value: float) -> None:
        with_it = self._best[:-size] + value
        taken = with_it > self._best[size:] + 1e-12
        self._best[size:] = np.where(taken, with_it, self._best[size:])
        self._bundles.append((at, count, size, taken))

    def values(self, *, first: int | None = None) -> np.ndarray:
        """Most value in every room with the ``first`` sizes only, shape (rooms,)."""
        return self._after[-1 if first is None else first]

    def value(self, room: int, *, first: int | None = None) -> float:
        """Most value in ``room`` with the ``first`` sizes only (None: with all)."""
        return float(self.values(first=first)[room])

    def counts(self, room: int, *, first: int | None = None) -> tuple[int, ...]:
        """How many of each size make up that value."""
        made = [0] * (len(self._after) - 1)
        for at, count, size, taken in reversed(self._bundles):
            if first is not None and at >= first:
                continue
            if room >= size and taken[room - size]:
                made[at] += count
                room -= size
        return tuple(made)
