"""Rectangles in one box: the compiled search that gives all x first, then all y.

The idea of giving all x-coordinates before any y, intervals before single values, is that of
Simonis and O'Sullivan (2008) and of Huang and Korf, "Optimal rectangle packing: an absolute
placement approach", JAIR 46 (2013). Seen along x alone, rectangle i asks for its height over its
width's columns, and no column may hold more than the box is high. Large rectangles first get an
interval of starts (the columns that they cover from every start count at once), then a start.

After every step, free cells that no rectangle can use are counted: a column with r free cells takes
only rectangles of height r at most, so the cells of columns with few free cells are set against the
area of low rectangles. If more cells are wasted than the box has to spare, the branch is dead.

With all x given, y is found by filling the lowest, leftmost gap, with a rectangle that starts in
that column or with one wasted cell; every rectangle rests on another or on the floor.

All numbers are whole. This module is compiled with numba when first used in a child process;
nothing else imports it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

# arguments of compiled functions are Any: the compiler takes their types from what it is given,
# and the docstrings say what that is


def _stack(
    length: Any,
    height: Any,
    n: Any,
    w: Any,
    h: Any,
    x: Any,
    given: Any,
    y: Any,
    nodes_most: Any,
) -> Any:
    """Give y to the rectangles with a given x: 1 if they fit, 0 if not, -1 if it takes too long."""
    spare = np.full(length, height, np.int64)
    todo = 0
    for k in range(n):
        if given[k]:
            todo += 1
            for c in range(x[k], x[k] + w[k]):
                spare[c] -= h[k]
    deep = todo + 2
    for c in range(length):
        deep += spare[c]
    level = np.zeros(length, np.int64)
    hollow = np.zeros(length, np.bool_)
    done = np.zeros(n, np.bool_)
    column = np.zeros(deep, np.int64)
    tried = np.full(deep, -1, np.int64)
    kept = np.zeros((deep, length), np.bool_)
    d = 0
    nodes = 0
    while d >= 0:
        c0 = column[d]
        k = tried[d]
        if k == n:
            level[c0] -= 1
            spare[c0] += 1
            hollow[c0] = kept[d, c0]
            d -= 1
            continue
        if k >= 0:
            for c in range(x[k], x[k] + w[k]):
                level[c] -= h[k]
                hollow[c] = kept[d, c]
            done[k] = False
            todo += 1
        floor = level[c0]
        c1 = c0
        while c1 < length and level[c1] == floor:
            c1 += 1
        k += 1
        while k < n:
            if (
                given[k]
                and not done[k]
                and x[k] == c0
                and c0 + w[k] <= c1
                and floor + h[k] <= height
            ):
                rests = floor == 0
                for c in range(c0, c0 + w[k]):
                    if not hollow[c]:
                        rests = True
                twin = False
                for j in range(k):
                    if given[j] and not done[j] and x[j] == c0 and w[j] == w[k] and h[j] == h[k]:
                        twin = True
                if rests and not twin:
                    break
            k += 1
        tried[d] = k
        if k < n:
            for c in range(c0, c0 + w[k]):
                kept[d, c] = hollow[c]
                level[c] += h[k]
                hollow[c] = False
            done[k] = True
            y[k] = floor
            todo -= 1
            if todo == 0:
                return 1
        else:
            if spare[c0] == 0:
                d -= 1
                continue
            kept[d, c0] = hollow[c0]
            spare[c0] -= 1
            level[c0] += 1
            hollow[c0] = True
        nodes += 1
        if nodes_most > 0 and nodes > nodes_most:
            return -1
        d += 1
        lowest = 0
        for c in range(1, length):
            if level[c] < level[lowest]:
                lowest = c
        column[d] = lowest
        tried[d] = -1
    return 0


_stack_fast: Any = njit(cache=True, error_model="numpy")(_stack)

LOOK_Y = 20000
"""Nodes after which a look at y, half way through x, is given up."""


def _search(
    length: Any,
    height: Any,
    n: Any,
    ws: Any,
    hs: Any,
    ways: Any,
    at: Any,
    way: Any,
    low: Any,
    high: Any,
    allowed: Any,
    twin: Any,
    step_of: Any,
    kind_of: Any,
    look: Any,
    spots: Any,
    turned: Any,
    nodes_most: Any,
    told: Any,
) -> Any:
    """Put n rectangles into one box: 1 if they fit, 0 if refuted, -1 if ``nodes_most`` is reached.

    ``ws, hs`` [n, 2]: sides as given and turned; ``ways``: 1, or 2 where it may turn. Interval p of
    rectangle k (at[k] <= p < at[k + 1]) has orientation ``way[p]`` and starts from ``low[p]`` to
    ``high[p]``; ``allowed[k, o, x]`` says whether a start is looked at. ``twin[k]``: the alike
    rectangle before k, or -1. Steps: rectangle ``step_of[t]`` gets an interval (``kind_of[t]`` 0)
    or a start (1), and where ``look[t]`` y is tried for what is given. ``told``: nodes.
    """
    steps = step_of.size
    used = np.zeros(length, np.int64)
    free = np.zeros(height + 1, np.int64)
    free[height] = length
    low_area = np.zeros(height + 1, np.int64)
    least = np.zeros(n, np.int64)
    spare = length * height
    for k in range(n):
        least[k] = hs[k, 0] if ways[k] == 1 else min(hs[k, 0], hs[k, 1])
        spare -= ws[k, 0] * hs[k, 0]
        if least[k] > height:
            return 0
        low_area[least[k]] += ws[k, 0] * hs[k, 0]
    if spare < 0:
        return 0
    o = np.zeros(n, np.int64)
    lo = np.zeros(n, np.int64)
    hi = np.zeros(n, np.int64)
    x = np.zeros(n, np.int64)
    y = np.zeros(n, np.int64)
    w = np.zeros(n, np.int64)
    h = np.zeros(n, np.int64)
    picked = np.full(n, -1, np.int64)
    given = np.zeros(n, np.bool_)
    at_step = np.full(steps, -1, np.int64)
    looks = np.zeros(steps, np.int64)
    hits = np.zeros(steps, np.int64)
    t = 0
    nodes = 0
    while t >= 0:
        k = step_of[t]
        p = at_step[t]
        good = False
        if kind_of[t] == 0:
            if p >= 0:
                c0 = hi[k]
                c1 = max(lo[k] + w[k], c0)
                for c in range(c0, c1):
                    r = height - used[c]
                    free[r] -= 1
                    free[r + h[k]] += 1
                    used[c] -= h[k]
                low_area[h[k]] -= (w[k] - (c1 - c0)) * h[k]
                low_area[least[k]] += w[k] * h[k]
                picked[k] = -1
                p += 1
            else:
                p = at[k]
                if twin[k] >= 0:
                    p = max(p, picked[twin[k]])
            while p < at[k + 1]:
                c0 = high[p]
                c1 = max(low[p] + ws[k, way[p]], c0)
                good = True
                for c in range(c0, c1):
                    if used[c] + hs[k, way[p]] > height:
                        good = False
                        break
                if good:
                    break
                p += 1
            if not good:
                at_step[t] = -1
                t -= 1
                continue
            picked[k] = p
            o[k] = way[p]
            w[k] = ws[k, o[k]]
            h[k] = hs[k, o[k]]
            lo[k] = low[p]
            hi[k] = high[p]
            for c in range(c0, c1):
                r = height - used[c]
                free[r] -= 1
                free[r - h[k]] += 1
                used[c] += h[k]
            low_area[least[k]] -= w[k] * h[k]
            low_area[h[k]] += (w[k] - (c1 - c0)) * h[k]
        else:
            c0 = hi[k]
            c1 = max(lo[k] + w[k], c0)
            if p >= 0:
                for c in range(x[k], x[k] + w[k]):
                    if c < c0 or c >= c1:
                        r = height - used[c]
                        free[r] -= 1
                        free[r + h[k]] += 1
                        used[c] -= h[k]
                low_area[h[k]] += (w[k] - (c1 - c0)) * h[k]
                given[k] = False
                p += 1
            else:
                p = lo[k]
                if twin[k] >= 0 and given[twin[k]] and o[twin[k]] == o[k]:
                    p = max(p, x[twin[k]])
            while p <= hi[k]:
                if allowed[k, o[k], p]:
                    good = True
                    for c in range(p, p + w[k]):
                        if (c < c0 or c >= c1) and used[c] + h[k] > height:
                            good = False
                            break
                    if good:
                        break
                p += 1
            if not good:
                at_step[t] = -1
                t -= 1
                continue
            x[k] = p
            given[k] = True
            for c in range(p, p + w[k]):
                if c < c0 or c >= c1:
                    r = height - used[c]
                    free[r] -= 1
                    free[r - h[k]] += 1
                    used[c] += h[k]
            low_area[h[k]] -= (w[k] - (c1 - c0)) * h[k]
        at_step[t] = p
        nodes += 1
        told[0] = nodes
        if nodes_most > 0 and nodes > nodes_most:
            return -1
        carried = 0
        wasted = 0
        for r in range(1, height + 1):
            carried += low_area[r]
            cells = free[r] * r
            if carried >= cells:
                carried -= cells
            else:
                wasted += cells - carried
                carried = 0
        if wasted > spare:
            continue
        last = t == steps - 1
        # a look that seldom pays is left out
        if last or (look[t] and (looks[t] < 500 or hits[t] * 10 > looks[t])):
            looks[t] += 1
            found = _stack_fast(
                length, height, n, w, h, x, given, y, nodes_most if last else LOOK_Y
            )
            if found == 0:
                hits[t] += 1
                continue
            if last and found < 0:
                return -1
            if last:
                for j in range(n):
                    spots[j, 0] = x[j]
                    spots[j, 1] = y[j]
                    turned[j] = o[j]
                return 1
        t += 1
    return 0


search: Any = njit(cache=True, error_model="numpy")(_search)
"""The compiled search of one box; see :func:`_search`."""
