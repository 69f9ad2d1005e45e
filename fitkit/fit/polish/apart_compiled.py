"""The directions and gaps of :mod:`.apart`, one pair after the other, compiled.

For searches that ask for them thousands of times. This module is compiled with numba when first
used in a child process; nothing else imports it.
"""

from __future__ import annotations

import numpy as np
from numba import njit


@njit(cache=True)
def separations_of(
    corners: np.ndarray,
    sizes: np.ndarray,
    first: np.ndarray,
    second: np.ndarray,
    enough_mm: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Unit directions, shape (k, 2), and gaps [mm], shape (k,), of pairs of parts.

    ``corners`` has shape (parts, m, 2), of which the first ``sizes`` count; ``first`` and
    ``second`` list the pairs. A gap of ``enough_mm`` (for each pair) or more need not be the
    largest.
    """
    count = len(first)
    ways, gaps = np.zeros((count, 2)), np.empty(count)
    for k in range(count):
        best, way_x, way_y = -np.inf, 1.0, 0.0
        for swap in range(2):
            a, b = (first[k], second[k]) if swap == 0 else (second[k], first[k])
            for i in range(sizes[a]):
                j = i + 1 if i + 1 < sizes[a] else 0
                x, y = corners[a, i, 0], corners[a, i, 1]
                dx, dy = corners[a, j, 0] - x, corners[a, j, 1] - y
                size = np.sqrt(dx * dx + dy * dy)
                if size <= 1e-9:
                    continue
                nx, ny = dy / size, -dx / size
                least = np.inf
                for v in range(sizes[b]):
                    away = nx * (corners[b, v, 0] - x) + ny * (corners[b, v, 1] - y)
                    if away < least:
                        least = away
                        if least <= best:
                            break
                if least > best:
                    best = least
                    way_x, way_y = (nx, ny) if swap == 0 else (-nx, -ny)
        if best == -np.inf or 0.0 < best < enough_mm[k]:
            a, b = first[k], second[k]
            square = np.inf
            lx, ly = 0.0, 0.0
            for i in range(sizes[a]):
                for j in range(sizes[b]):
                    dx = corners[b, j, 0] - corners[a, i, 0]
                    dy = corners[b, j, 1] - corners[a, i, 1]
                    if dx * dx + dy * dy < square:
                        square, lx, ly = dx * dx + dy * dy, dx, dy
            size = max(np.sqrt(square), 1e-12)
            lx, ly = lx / size, ly / size
            near, far = -np.inf, np.inf
            for i in range(sizes[a]):
                near = max(near, lx * corners[a, i, 0] + ly * corners[a, i, 1])
            for j in range(sizes[b]):
                far = min(far, lx * corners[b, j, 0] + ly * corners[b, j, 1])
            if far - near > best:
                best, way_x, way_y = far - near, lx, ly
        ways[k, 0], ways[k, 1], gaps[k] = way_x, way_y, best
    return ways, gaps
