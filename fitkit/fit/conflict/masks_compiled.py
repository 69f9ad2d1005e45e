"""Masks of conflicting offsets, filled row by row; compiled with numba, for child processes."""

from __future__ import annotations

import numpy as np
from numba import njit

TOUCH_MM = 1e-7
"""Pieces this much too near still only touch [mm]."""

STRAIGHT, DIAGONAL, KNIGHT = 5, 7, 11
"""Depth of a step to the next cell: along an axis, across, and one along two (chamfer weights)."""

DEEPEST = 255


@njit(cache=True, nogil=True)
def summed(one: np.ndarray, other: np.ndarray, made: np.ndarray) -> int:
    """The Minkowski sum of two convex rings that start at their lowest corner; its corner count.

    ``made`` takes the corners, counter-clockwise.
    """
    m, n = len(one), len(other)
    i = j = count = 0
    while i < m or j < n:
        a, b = i % m, j % n
        made[count, 0] = one[a, 0] + other[b, 0]
        made[count, 1] = one[a, 1] + other[b, 1]
        count += 1
        if i == m:
            j += 1
            continue
        if j == n:
            i += 1
            continue
        a1, b1 = (i + 1) % m, (j + 1) % n
        ux, uy = one[a1, 0] - one[a, 0], one[a1, 1] - one[a, 1]
        vx, vy = other[b1, 0] - other[b, 0], other[b1, 1] - other[b, 1]
        turn = ux * vy - uy * vx
        if turn >= 0.0:
            i += 1
        if turn <= 0.0:
            j += 1
    return count


@njit(cache=True, nogil=True)
def mark(
    ring: np.ndarray, count: int, keep: float, step: float, at: np.ndarray, mask: np.ndarray
) -> None:
    """Mark the cells nearer than ``keep`` to a convex ring, those on the border not.

    Cell (i, j) of ``mask`` is the point ``at + (i, j) * step``.
    """
    rows = mask.shape[1]
    low, high = np.inf, -np.inf
    for k in range(count):
        low, high = min(low, ring[k, 1]), max(high, ring[k, 1])
    low, high = low - keep, high + keep
    first = max(0, int(np.ceil((low + TOUCH_MM - at[1]) / step)))
    last = min(rows - 1, int(np.floor((high - TOUCH_MM - at[1]) / step)))
    if last < first:
        return
    left = np.full(last - first + 1, np.inf)
    right = np.full(last - first + 1, -np.inf)
    for k in range(count):
        x, y = ring[k, 0], ring[k, 1]
        if keep > 0.0:
            r0 = max(first, int(np.ceil((y - keep - at[1]) / step)))
            r1 = min(last, int(np.floor((y + keep - at[1]) / step)))
            for r in range(r0, r1 + 1):
                up = at[1] + r * step - y
                half = np.sqrt(max(0.0, keep * keep - up * up))
                left[r - first] = min(left[r - first], x - half)
                right[r - first] = max(right[r - first], x + half)
        n = k + 1 if k + 1 < count else 0
        dx, dy = ring[n, 0] - x, ring[n, 1] - y
        size = np.sqrt(dx * dx + dy * dy)
        if size < 1e-12 or dy == 0.0:
            continue
        ox, oy = x + keep * dy / size, y - keep * dx / size
        b0, b1 = min(oy, oy + dy), max(oy, oy + dy)
        r0 = max(first, int(np.ceil((b0 - 1e-9 - at[1]) / step)))
        r1 = min(last, int(np.floor((b1 + 1e-9 - at[1]) / step)))
        for r in range(r0, r1 + 1):
            along = min(1.0, max(0.0, (at[1] + r * step - oy) / dy))
            px = ox + along * dx
            left[r - first] = min(left[r - first], px)
            right[r - first] = max(right[r - first], px)
    columns = mask.shape[0]
    for r in range(first, last + 1):
        c0 = (
            int(np.ceil((left[r - first] + TOUCH_MM - at[0]) / step))
            if (left[r - first] < right[r - first])
            else columns
        )
        if c0 >= columns:
            continue
        c1 = min(columns - 1, int(np.floor((right[r - first] - TOUCH_MM - at[0]) / step)))
        for c in range(max(0, c0), c1 + 1):
            mask[c, r] = 1


@njit(cache=True, nogil=True)
def deepened(mask: np.ndarray) -> None:
    """Turn marks into depths: how far it is to a cell that is not marked, in fifths of a cell.

    The rim of ``mask`` is free of marks.
    """
    columns, rows = mask.shape
    depth = np.where(mask > 0, 30000, 0).astype(np.int32)
    for sweep in range(2):
        for a in range(1, columns - 1):
            c = a if sweep == 0 else columns - 1 - a
            for b in range(1, rows - 1):
                r = b if sweep == 0 else rows - 1 - b
                here = depth[c, r]
                if here == 0:
                    continue
                s = -1 if sweep == 0 else 1
                here = min(here, depth[c, r + s] + STRAIGHT, depth[c + s, r] + STRAIGHT)
                here = min(here, depth[c + s, r + 1] + DIAGONAL, depth[c + s, r - 1] + DIAGONAL)
                if 2 <= r < rows - 2:
                    here = min(here, depth[c + s, r + 2] + KNIGHT, depth[c + s, r - 2] + KNIGHT)
                if 2 <= c < columns - 2:
                    t = 2 * s
                    here = min(here, depth[c + t, r + 1] + KNIGHT, depth[c + t, r - 1] + KNIGHT)
                depth[c, r] = here
    for c in range(columns):
        for r in range(rows):
            mask[c, r] = min(DEEPEST, depth[c, r])


@njit(cache=True, nogil=True)
def fill(
    flat: np.ndarray,
    starts: np.ndarray,
    low: np.ndarray,
    shape: np.ndarray,
    first: np.ndarray,
    second: np.ndarray,
    rings: np.ndarray,
    mirrored: np.ndarray,
    spans: np.ndarray,
    zone: np.ndarray,
    parts: np.ndarray,
    keep: float,
    step: float,
) -> None:
    """Fill the masks of pairs of shapes: depths by the offset of the first from the second.

    Mask k starts at ``starts[k]`` of ``flat``, has ``shape[k]`` cells and begins at the offset
    ``low[k]`` [cells]. Shape s has the parts ``parts[s]`` to ``parts[s + 1]``, part p the corners
    ``spans[p]`` to ``spans[p + 1]`` of ``rings`` (``mirrored``: of the part turned by 180 degrees),
    starting at the lowest. Two zones do not conflict.
    """
    most = 0
    for p in range(len(spans) - 1):
        most = max(most, spans[p + 1] - spans[p])
    made = np.empty((2 * most + 2, 2))
    for k in range(len(starts)):
        size = shape[k, 0] * shape[k, 1]
        mask = flat[starts[k] : starts[k] + size].reshape((shape[k, 0], shape[k, 1]))
        at = np.array([low[k, 0] * step, low[k, 1] * step])
        a, b = first[k], second[k]
        for p in range(parts[a], parts[a + 1]):
            for q in range(parts[b], parts[b + 1]):
                if zone[p] and zone[q]:
                    continue
                count = summed(
                    rings[spans[q] : spans[q + 1]], mirrored[spans[p] : spans[p + 1]], made
                )
                mark(made, count, keep, step, at, mask)
        deepened(mask)
