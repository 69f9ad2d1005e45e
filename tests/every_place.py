"""Trying every place: what the exact searches are measured against."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

Sides = tuple[int, int, int]


def tried(ways: Sequence[Sequence[Sides]], box: Sides) -> bool:
    """Whether blocks fit a box, by trying every place of every block, cell by cell."""
    length, width, height = box
    masks = []
    for block in ways:
        own = []
        for a, b, c in block:
            cells = [(x, y, z) for x in range(a) for y in range(b) for z in range(c)]
            for x, y, z in itertools.product(
                range(length - a + 1), range(width - b + 1), range(height - c + 1)
            ):
                own.append(
                    sum(1 << ((x + i) + length * ((y + j) + width * (z + k))) for i, j, k in cells)
                )
        masks.append(own)
    masks.sort(key=len)

    def rest(k: int, taken: int) -> bool:
        return k == len(masks) or any(
            not mask & taken and rest(k + 1, taken | mask) for mask in masks[k]
        )

    return rest(0, 0)


def apart(spots: Sequence[Sequence[float]], sides: Sequence[Sequence[float]]) -> bool:
    """Whether no two blocks overlap."""
    return all(
        any(p[d] + s[d] <= q[d] or q[d] + t[d] <= p[d] for d in range(len(s)))
        for (p, s), (q, t) in itertools.combinations(zip(spots, sides, strict=True), 2)
    )
