"""The best filling of a bar, for all lengths of bar at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np


class Fillings:
    """Most value that fits into each room, by dynamic programming over the room.

    ``sizes`` and rooms are whole steps, ``copies`` the most of each size in one bar. With f(c) the
    most value in room c, each bundle of k copies gives f(c) = max(f(c), f(c - k size) + k value);
    bundles of 1, 2, 4 ... copies make up every count.

    >>> best = Fillings([5, 3], values=[5.0, 3.1], copies=[2, 9], room=11)
    >>> best.value(11), best.counts(11)
    (11.2, (1, 2))
    """

    def __init__(
        self, sizes: Sequence[int], *, values: Sequence[float], copies: Sequence[int], room: int
    ) -> None:
        """Fill every room up to ``room``."""
        self._best = np.zeros(room + 1)
        self._kinds = len(sizes)
        self._bundles: list[tuple[int, int, int, np.ndarray]] = []
        for at, (size, value, most) in enumerate(zip(sizes, values, copies, strict=True)):
            left, count = min(most, room // size), 1
            while left > 0 and value > 0:
                count = min(count, left)
                self._take(at, count, size * count, value * count)
                left -= count
                count *= 2

    def _take(self, at: int, count: int, size: int, value: float) -> None:
        with_it = self._best[:-size] + value
        taken = with_it > self._best[size:] + 1e-12
        self._best[size:] = np.where(taken, with_it, self._best[size:])
        self._bundles.append((at, count, size, taken))

    def value(self, room: int) -> float:
        """Most value in ``room``."""
        return float(self._best[room])

    def counts(self, room: int) -> tuple[int, ...]:
        """How many of each size make up that value."""
        made = [0] * self._kinds
        for at, count, size, taken in reversed(self._bundles):
            if room >= size and taken[room - size]:
                made[at] += count
                room -= size
        return tuple(made)
