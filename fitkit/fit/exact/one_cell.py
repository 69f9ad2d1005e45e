"""Blocks in a range of boxes: what the search of :mod:`fitkit.fit.exact.space` is handed."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np

from fitkit.fit.exact.space import LINEAR, LONGEST, PLAN, VOLUME, search

GOALS = {"volume": VOLUME, "linear": LINEAR, "longest": LONGEST, "plan": PLAN}

Sides = tuple[int, int, int]


def in_cell(
    blocks: tuple[tuple[Sides, ...], ...],
    *,
    axes: int,
    goal: str,
    low: tuple[int, ...],
    high: tuple[int, ...],
    below: int,
    nodes: int,
) -> dict[str, Any]:
    """The best box from ``low`` to ``high`` whose value is below a limit; see the worker's words.

    >>> told = in_cell((((1, 2, 2),), ((2, 2, 2),)), axes=3, goal="volume", low=(1, 1, 1),
    ...                high=(9, 9, 9), below=100, nodes=0)
    >>> told["state"], told["value"]
    ('done', 12)
    """
    n = len(blocks)
    order, count, ways, volume, ties, nexts = _tables(blocks, axes, _rounded_up(max(high)))
    # a plane's third side of 1 adds to the sum and may not be the longest: allow for it
    extra = 3 - axes if goal == "linear" else 0
    limit = np.array([below + extra], np.int64)
    spots = np.zeros((n, 3), np.int64)
    chosen = np.zeros(n, np.int64)
    told = np.zeros(2, np.int64)
    state = search(
        GOALS[goal], limit, nexts, n, axes, np.array(low, np.int64), np.array(high, np.int64),
        count, ways, volume, ties, spots, chosen, nodes, told,
    )  # fmt: skip
    found: list[list[int]] | None = None
    if told[1]:
        found = [[] for _ in range(n)]
        for k, spot, way in zip(order, spots.tolist(), chosen.tolist(), strict=True):
            found[k] = [*spot, way]
    return {
        "state": "open" if state < 0 else "done",
        "value": int(limit[0]) - extra,
        "spots": found,
        "nodes": int(told[0]),
    }


def _rounded_up(side: int) -> int:
    """A size for tables, so that they serve many cells."""
    size = 256
    while size <= side:
        size *= 2
    return size


@lru_cache(maxsize=16)
def _tables(blocks: tuple[tuple[Sides, ...], ...], axes: int, size: int) -> tuple[Any, ...]:
    """Blocks as arrays, the largest first; pairs that may lie either way; sums of others' sides."""
    n = len(blocks)
    order = sorted(range(n), key=lambda k: (-math.prod(blocks[k][0]), blocks[k]))
    count = np.array([len(blocks[k]) for k in order], np.int64)
    ways = np.ones((n, int(count.max()), 3), np.int64)
    for row, k in enumerate(order):
        ways[row, : len(blocks[k])] = blocks[k]
    volume = np.array([math.prod(blocks[k][0]) for k in order], np.int64)
    ties = np.full((n, n), (1 << 2 * axes) - 1, np.int64)
    for i in range(n):
        for j in range(i + 1, n):
            # alike blocks are numbered along x; those like the first are held by its mirror rule
            if blocks[order[i]] == blocks[order[j]] != blocks[order[0]]:
                ties[i, j] &= ~2
    nexts = np.zeros((n, 2, size + 1), np.int64)
    for row, k in enumerate(order):
        reached = 1
        for other, block in enumerate(blocks):
            if other != k:
                grown = reached
                for side in {way[d] for way in block for d in range(axes)}:
                    grown |= reached << side
                reached = grown & ((1 << (size + 1)) - 1)
        bits = np.frombuffer(reached.to_bytes(size // 8 + 1, "little"), np.uint8)
        hit = np.unpackbits(bits, bitorder="little")[: size + 1].astype(bool)
        at = np.arange(size + 1)
        nexts[row, 1] = np.maximum.accumulate(np.where(hit, at, 0))
        after = np.where(hit, at, 4 * size)[::-1]
        nexts[row, 0] = np.minimum.accumulate(after)[::-1]
    return order, count, ways, volume, ties, nexts
