"""Conflicts resolved one piece at a time, compiled with numba, for child processes."""

from __future__ import annotations

import numpy as np
from numba import njit

LEAST_RISE, MOST_RISE = 1.2, 2.0
"""By what the weight of a pair in conflict is multiplied: more, the deeper it is."""

FADE = 0.95
"""By what the weight of a pair that is not in conflict is multiplied; 1 is the least weight."""

HEAVIEST = 1e6

ABOVE, BELOW = np.float32(1.00001), np.float32(0.99999)
"""Prices within this are the same."""


@njit(cache=True, nogil=True)
def drawn(seed: np.ndarray, most: int) -> int:
    """A whole number from 0 to ``most`` - 1; ``seed`` (one unsigned number) moves on."""
    x = seed[0]
    x ^= x << np.uint64(13)
    x ^= x >> np.uint64(7)
    x ^= x << np.uint64(17)
    seed[0] = x
    return int((x >> np.uint64(11)) % np.uint64(most))


@njit(cache=True, nogil=True)
def depth_of(
    flat: np.ndarray,
    starts: np.ndarray,
    low: np.ndarray,
    shape: np.ndarray,
    index: np.ndarray,
    a: int,
    b: int,
    dx: int,
    dy: int,
) -> int:
    """How deep shape a, at (dx, dy) cells from shape b, is in conflict with it."""
    k = index[a, b]
    if a > b:
        dx, dy = -dx, -dy
    c, r = dx - low[k, 0], dy - low[k, 1]
    if c < 0 or r < 0 or c >= shape[k, 0] or r >= shape[k, 1]:
        return 0
    return int(flat[starts[k] + c * shape[k, 1] + r])


@njit(cache=True, nogil=True, fastmath=True)
def priced(
    flat: np.ndarray,
    start: int,
    c0: int,
    r0: int,
    columns: int,
    rows: int,
    back: bool,
    x: int,
    y: int,
    weight: float,
    nx: int,
    ny: int,
    cost: np.ndarray,
) -> None:
    """Add the price of one partner at (x, y) to all places of a shape."""
    w = np.float32(weight)
    if back:
        x0, x1 = x - c0 - columns + 1, x - c0 + 1
        y0, y1 = y - r0 - rows + 1, y - r0 + 1
    else:
        x0, x1 = x + c0, x + c0 + columns
        y0, y1 = y + r0, y + r0 + rows
    x0, x1, y0, y1 = max(0, x0), min(nx, x1), max(0, y0), min(ny, y1)
    if y1 <= y0:
        return
    wide = y1 - y0
    for i in range(x0, x1):
        line = cost[i * ny + y0 : i * ny + y1]
        if back:
            at = start + (x - i - c0) * rows + (y - y0 - r0)
            marks = flat[at - wide + 1 : at + 1]
            for t in range(wide):
                line[t] += w * np.float32(marks[wide - 1 - t])
        else:
            at = start + (i - x - c0) * rows + (y0 - y - r0)
            marks = flat[at : at + wide]
            for t in range(wide):
                line[t] += w * np.float32(marks[t])


@njit(cache=True, nogil=True, fastmath=True)
def lowest(cost: np.ndarray, nx: int, ny: int, lines: np.ndarray) -> np.float32:
    """The least price of all places; ``lines`` takes the least of each x."""
    best = np.float32(3e38)
    for c in range(nx):
        line = cost[c * ny : (c + 1) * ny]
        least = line[0]
        for r in range(1, ny):
            least = min(least, line[r])
        lines[c] = least
        best = min(best, least)
    return best


@njit(cache=True, nogil=True)
def resolve(
    flat: np.ndarray,
    starts: np.ndarray,
    low: np.ndarray,
    shape: np.ndarray,
    index: np.ndarray,
    kinds: np.ndarray,
    room: np.ndarray,
    partners: np.ndarray,
    free: np.ndarray,
    at: np.ndarray,
    turn: np.ndarray,
    weights: np.ndarray,
    seed: np.ndarray,
    moves: int,
    best_at: np.ndarray,
    best_turn: np.ndarray,
    best: int,
) -> tuple[int, int]:
    """Move pieces until no pair conflicts or ``moves`` are made: moves made, least total depth.

    ``kinds[k]`` are the first and the last + 1 of piece k's shapes, ``turn[k]`` the shape that it
    has now, ``room`` the places of each shape along x and y (none: it does not fit), ``partners``
    which pairs must not conflict, ``free`` which pieces may move. ``at``, ``turn``, ``weights`` and
    ``seed`` are carried on; ``best_at`` and ``best_turn`` hold the state of the least total depth.
    """
    count = len(at)
    most = 1
    for s in range(len(room)):
        most = max(most, max(0, room[s, 0]) * max(0, room[s, 1]))
    cost, lines = np.empty(most, np.float32), np.empty(most, np.float32)
    depth = np.zeros((count, count), np.int32)
    for i in range(count):
        for j in range(i):
            if partners[i, j]:
                depth[i, j] = depth_of(
                    flat, starts, low, shape, index, turn[i], turn[j],
                    at[i, 0] - at[j, 0], at[i, 1] - at[j, 1],
                )  # fmt: skip
                depth[j, i] = depth[i, j]
    order = np.empty(count, np.int64)
    done = 0
    while True:
        total = deepest = 0
        found = 0
        for i in range(count):
            own = 0
            for j in range(count):
                own += depth[i, j]
                deepest = max(deepest, depth[i, j])
            total += own
            if own > 0 and free[i]:
                order[found] = i
                found += 1
        total //= 2
        if total < best:
            best = total
            best_at[:] = at
            best_turn[:] = turn
        if total == 0 or done >= moves or found == 0:
            return done, best
        for i in range(count):
            for j in range(i):
                if depth[i, j] > 0:
                    rise = LEAST_RISE + (MOST_RISE - LEAST_RISE) * depth[i, j] / deepest
                    weights[i, j] = min(HEAVIEST, weights[i, j] * rise)
                else:
                    weights[i, j] = max(1.0, weights[i, j] * FADE)
                weights[j, i] = weights[i, j]
        for n in range(found - 1, 0, -1):
            other = drawn(seed, n + 1)
            order[n], order[other] = order[other], order[n]
        for n in range(found):
            k = order[n]
            own = 0
            for j in range(count):
                own += depth[k, j]
            if own == 0:
                continue
            done += 1
            least, ties = np.float32(np.inf), 0
            bx, by, bs = at[k, 0], at[k, 1], turn[k]
            for s in range(kinds[k, 0], kinds[k, 1]):
                nx, ny = room[s, 0], room[s, 1]
                if nx <= 0 or ny <= 0:
                    continue
                size = nx * ny
                cost[:size] = 0.0
                for j in range(count):
                    if partners[k, j]:
                        m = index[s, turn[j]]
                        priced(
                            flat, starts[m], low[m, 0], low[m, 1], shape[m, 0], shape[m, 1],
                            s > turn[j], at[j, 0], at[j, 1], weights[k, j], nx, ny, cost,
                        )  # fmt: skip
                here = lowest(cost, nx, ny, lines)
                if here > least * ABOVE:
                    continue
                if here < least * BELOW:
                    least, ties = here, 0
                limit = least * ABOVE
                for c in range(nx):
                    if lines[c] > limit:
                        continue
                    for r in range(ny):
                        if cost[c * ny + r] <= limit:
                            ties += 1
                            if ties == 1 or drawn(seed, ties) == 0:
                                bx, by, bs = c, r, s
            at[k, 0], at[k, 1], turn[k] = bx, by, bs
            for j in range(count):
                if partners[k, j]:
                    depth[k, j] = depth_of(
                        flat, starts, low, shape, index, bs, turn[j],
                        bx - at[j, 0], by - at[j, 1],
                    )  # fmt: skip
                    depth[j, k] = depth[k, j]
