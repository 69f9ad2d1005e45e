"""Branch and bound over where blocks lie to each other: the compiled search for boxes in a cell.

A *cell* is a range of boxes: each side lies between ``low`` and ``high``. The search looks for
blocks placed in a box of the cell whose value is below a limit, and lowers the limit with every
placement it finds; when it ends, no box of the cell is better. It never looks at single positions:
it branches on which orientation a block has, and on which side of one block another lies (left,
right, before, behind, below, above), and keeps for each block the least start and the greatest end
along each axis. A branch dies where

- a pair of blocks can be separated along no axis,
- a block fits in no orientation between its start and end,
- blocks that must stand over one point of an axis have more cross area than the box may have,
- the least box around what is decided is not below the limit.

Starts are raised to sums of other blocks' sides, since every placement can be pushed to the lower
left front corner (normal patterns). The next branch is the one with few choices that failed often
(dom/wdeg). All numbers are whole; a plane problem has a third side of 1.

This module is compiled with numba when first used in a child process; nothing else imports it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

# arguments of compiled functions are Any: the compiler takes their types from what it is given,
# and the docstrings say what that is

VOLUME, LINEAR, LONGEST, PLAN = 0, 1, 2, 3
"""Numbers of the objectives: product of the three sides, their sum, the longest, first x second."""


BIT = np.zeros(33, np.int64)
"""The number of the only bit in a mask."""
for _bit in range(6):
    BIT[1 << _bit] = _bit


COUNT = np.array([bin(mask).count("1") for mask in range(64)], np.int64)
"""How many bits a mask has."""


def _narrow(
    t: Any,
    goal: Any,
    limit: Any,
    nexts: Any,
    fails: Any,
    n: Any,
    axes: Any,
    count: Any,
    ways: Any,
    volume: Any,
    open_: Any,
    start: Any,
    end: Any,
    ties: Any,
    apart: Any,
    small: Any,
    large: Any,
    cross: Any,
    least: Any,
    most: Any,
) -> Any:
    """Narrow node ``t`` to a fixpoint; false where it is dead."""
    changed = True
    while changed:
        changed = False
        for k in range(n):
            mask = open_[t, k]
            new = 0
            a0 = a1 = a2 = 1 << 60
            b0 = b1 = b2 = 0
            r0 = end[t, k, 0] - start[t, k, 0]
            r1 = end[t, k, 1] - start[t, k, 1]
            r2 = end[t, k, 2] - start[t, k, 2]
            for p in range(count[k]):
                if mask >> p & 1:
                    s0 = ways[k, p, 0]
                    s1 = ways[k, p, 1]
                    s2 = ways[k, p, 2]
                    if s0 <= r0 and s1 <= r1 and s2 <= r2:
                        new |= 1 << p
                        a0 = min(a0, s0)
                        b0 = max(b0, s0)
                        a1 = min(a1, s1)
                        b1 = max(b1, s1)
                        a2 = min(a2, s2)
                        b2 = max(b2, s2)
            if new == 0:
                fails[k, k] += 1
                return False
            if new != mask or small[t, k, 0] == 0:
                open_[t, k] = new
                small[t, k, 0] = a0
                small[t, k, 1] = a1
                small[t, k, 2] = a2
                large[t, k, 0] = b0
                large[t, k, 1] = b1
                large[t, k, 2] = b2
                cross[t, k, 0] = volume[k] // b0
                cross[t, k, 1] = volume[k] // b1
                cross[t, k, 2] = volume[k] // b2
                changed = True
            for d in range(axes):
                if k == 0:
                    # a box can be mirrored: the first block's middle lies in the lower half
                    edge = (most[t, d] + large[t, 0, d]) // 2
                    if edge < end[t, 0, d]:
                        end[t, 0, d] = edge
                        changed = True
                edge = nexts[k, 0, start[t, k, d]]
                if edge > start[t, k, d]:
                    start[t, k, d] = edge
                    changed = True
                if edge + small[t, k, d] > end[t, k, d]:
                    fails[k, k] += 1
                    return False
                if small[t, k, d] == large[t, k, d]:
                    edge = nexts[k, 1, end[t, k, d] - small[t, k, d]] + small[t, k, d]
                    if edge < end[t, k, d]:
                        end[t, k, d] = edge
                        changed = True
        for i in range(n):
            for j in range(i + 1, n):
                mask = ties[t, i, j]
                if mask & (mask - 1):
                    new = 0
                    for d in range(axes):
                        both = small[t, i, d] + small[t, j, d]
                        if start[t, i, d] + both <= end[t, j, d]:
                            new |= 1 << 2 * d
                        if start[t, j, d] + both <= end[t, i, d]:
                            new |= 2 << 2 * d
                    mask &= new
                    if mask == 0:
                        fails[i, j] += 1
                        return False
                    ties[t, i, j] = mask
                one = -1 if mask & (mask - 1) else BIT[mask]
                mask = apart[t, i, j]
                if mask:
                    for b in range(2 * axes):
                        if mask >> b & 1:
                            # u does not lie before v: v starts before u ends
                            d = b >> 1
                            u, v = (j, i) if b & 1 else (i, j)
                            edge = end[t, u, d] - 1 + large[t, v, d]
                            if edge < end[t, v, d]:
                                end[t, v, d] = edge
                                changed = True
                            edge = start[t, v, d] + 1 - large[t, u, d]
                            if edge > start[t, u, d]:
                                start[t, u, d] = edge
                                changed = True
                if one >= 0:
                    d = one >> 1
                    u, v = (j, i) if one & 1 else (i, j)
                    edge = start[t, u, d] + small[t, u, d]
                    if edge > start[t, v, d]:
                        start[t, v, d] = edge
                        changed = True
                    if edge + small[t, v, d] > end[t, v, d]:
                        fails[i, j] += 1
                        return False
                    edge = end[t, v, d] - small[t, v, d]
                    if edge < end[t, u, d]:
                        end[t, u, d] = edge
                        changed = True
        for d in range(axes):
            edge = least[t, d]
            for k in range(n):
                edge = max(edge, start[t, k, d] + small[t, k, d])
            if edge > least[t, d]:
                least[t, d] = edge
                changed = True
        below = limit[0] - 1
        for d in range(axes):
            e = (d + 1) % 3
            f = (d + 2) % 3
            if goal == VOLUME:
                edge = below // (least[t, e] * least[t, f])
            elif goal == LINEAR:
                edge = below - least[t, e] - least[t, f]
            elif goal == LONGEST:
                edge = below
            elif d < 2:
                edge = below // least[t, 1 - d]
            else:
                edge = most[t, 2]
            if edge < most[t, d]:
                most[t, d] = edge
                changed = True
            if most[t, d] < least[t, d]:
                return False
            for k in range(n):
                if end[t, k, d] > most[t, d]:
                    end[t, k, d] = most[t, d]
    for d in range(axes):
        e = (d + 1) % 3
        f = (d + 2) % 3
        room = most[t, e] * most[t, f]
        if goal == VOLUME:
            room = min(room, (limit[0] - 1) // least[t, d])
        for k in range(n):
            at = end[t, k, d] - small[t, k, d]
            if at >= start[t, k, d] + small[t, k, d]:
                continue
            total = 0
            for q in range(n):
                if end[t, q, d] - small[t, q, d] <= at and at < start[t, q, d] + small[t, q, d]:
                    total += cross[t, q, d]
            if total > room:
                fails[k, k] += 1
                return False
    return True


_narrow_fast: Any = njit(cache=True, error_model="numpy")(_narrow)


def _search(
    goal: Any,
    limit: Any,
    nexts: Any,
    n: Any,
    axes: Any,
    low: Any,
    high: Any,
    count: Any,
    ways: Any,
    volume: Any,
    ties0: Any,
    spots: Any,
    chosen: Any,
    nodes_most: Any,
    told: Any,
) -> Any:
    """Search a cell: 0 if it is done with, -1 if ``nodes_most`` (0: no limit) was reached.

    ``limit`` holds the value to be below and is lowered with each placement found; ``told`` becomes
    the nodes looked at and whether a placement was found, ``spots`` and ``chosen`` the last one.
    """
    deep = n + n * n // 2 + 4
    open_ = np.zeros((deep, n), np.int64)
    start = np.zeros((deep, n, 3), np.int64)
    end = np.zeros((deep, n, 3), np.int64)
    ties = np.zeros((deep, n, n), np.int64)
    apart = np.zeros((deep, n, n), np.int64)
    # a least side of 0 says that sides are to be worked out anew
    small = np.zeros((deep, n, 3), np.int64)
    large = np.ones((deep, n, 3), np.int64)
    least = np.zeros((deep, 3), np.int64)
    most = np.zeros((deep, 3), np.int64)
    left = np.zeros(deep, np.int64)
    first = np.zeros(deep, np.int64)
    second = np.zeros(deep, np.int64)
    fails = np.ones((n, n), np.int64)
    cross = np.ones((deep, n, 3), np.int64)
    for k in range(n):
        open_[0, k] = (1 << count[k]) - 1
        for d in range(3):
            end[0, k, d] = high[d]
        for j in range(n):
            ties[0, k, j] = ties0[k, j]
    for d in range(3):
        least[0, d] = low[d]
        most[0, d] = high[d]
    if not _narrow_fast(
        0, goal, limit, nexts, fails, n, axes, count, ways, volume,
        open_, start, end, ties, apart, small, large, cross, least, most,
    ):  # fmt: skip
        return 0
    t = 0
    left[0] = -1
    nodes = 0
    while t >= 0:
        if left[t] == -1:
            i_best = -1
            j_best = -1
            least_score = 1e18
            size_best = 0
            stands = True
            for k in range(n):
                mask = open_[t, k]
                choices = COUNT[mask]
                if choices > 1:
                    stands = False
                    weight = 0
                    for q in range(n):
                        weight += fails[k, q] if q >= k else fails[q, k]
                    score = choices / weight
                    if score < least_score or (score == least_score and 2 * volume[k] > size_best):
                        i_best = k
                        j_best = -1
                        least_score = score
                        size_best = 2 * volume[k]
            clash = False
            for i in range(n):
                for j in range(i + 1, n):
                    mask = ties[t, i, j]
                    if mask & (mask - 1) == 0:
                        continue
                    sure = False
                    overlap = stands
                    for d in range(axes):
                        if end[t, i, d] <= start[t, j, d] or end[t, j, d] <= start[t, i, d]:
                            sure = True
                        if (
                            start[t, i, d] + small[t, i, d] <= start[t, j, d]
                            or start[t, j, d] + small[t, j, d] <= start[t, i, d]
                        ):
                            overlap = False
                    if sure:
                        continue
                    if overlap:
                        clash = True
                    score = COUNT[mask] / (fails[i, j] + (fails[i, i] + fails[j, j]) * 0.5)
                    size = volume[i] + volume[j]
                    if score < least_score or (score == least_score and size > size_best):
                        i_best = i
                        j_best = j
                        least_score = score
                        size_best = size
            if stands and not clash:
                # all starts at their least hold: a placement
                for k in range(n):
                    p = 0
                    while not open_[t, k] >> p & 1:
                        p += 1
                    chosen[k] = p
                    for d in range(3):
                        spots[k, d] = start[t, k, d]
                told[1] = 1
                x0 = least[t, 0]
                x1 = least[t, 1]
                x2 = least[t, 2]
                if goal == VOLUME:
                    limit[0] = x0 * x1 * x2
                elif goal == LINEAR:
                    limit[0] = x0 + x1 + x2
                elif goal == LONGEST:
                    limit[0] = max(x0, x1, x2)
                else:
                    limit[0] = x0 * x1
                t -= 1
                continue
            first[t] = i_best
            second[t] = j_best
            left[t] = open_[t, i_best] if j_best < 0 else ties[t, i_best, j_best]
        if left[t] == 0:
            t -= 1
            continue
        b = 0
        while not left[t] >> b & 1:
            b += 1
        left[t] &= ~(1 << b)
        u = t + 1
        for k in range(n):
            open_[u, k] = open_[t, k]
            for d in range(3):
                start[u, k, d] = start[t, k, d]
                end[u, k, d] = end[t, k, d]
                small[u, k, d] = small[t, k, d]
                large[u, k, d] = large[t, k, d]
                cross[u, k, d] = cross[t, k, d]
            for q in range(k + 1, n):
                ties[u, k, q] = ties[t, k, q]
                apart[u, k, q] = apart[t, k, q]
        for d in range(3):
            least[u, d] = least[t, d]
            most[u, d] = most[t, d]
        i = first[t]
        j = second[t]
        if j < 0:
            open_[u, i] = 1 << b
            small[u, i, 0] = 0
        else:
            ties[u, i, j] = 1 << b
            # what was tried before need not be tried again
            apart[u, i, j] |= ties[t, i, j] & ((1 << b) - 1)
        nodes += 1
        told[0] = nodes
        if nodes_most > 0 and nodes > nodes_most:
            return -1
        if _narrow_fast(
            u, goal, limit, nexts, fails, n, axes, count, ways, volume,
            open_, start, end, ties, apart, small, large, cross, least, most,
        ):  # fmt: skip
            t = u
            left[t] = -1
    return 0


search: Any = njit(cache=True, error_model="numpy")(_search)
"""The compiled search of a cell; see :func:`_search`."""
