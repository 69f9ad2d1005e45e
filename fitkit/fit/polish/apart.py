"""How far pairs of convex parts are apart, and along which direction: many pairs at once.

For two convex parts the largest gap over all directions is found along the outward normal of a
side of either, or along the line between their two nearest corners (the theorem of the separating
axis). It is their distance where they are apart; where they overlap, its negative is the least
shift that parts them.
"""

from __future__ import annotations

import numpy as np

Pairs = tuple[np.ndarray, np.ndarray]

MOST_AT_ONCE = 1_500_000
"""Numbers held in one array at a time."""


def separations(first: np.ndarray, second: np.ndarray, *, enough_mm: float = np.inf) -> Pairs:
    """Unit directions, shape (k, 2), and gaps [mm], shape (k,), from each first to its second part.

    Both have shape (k, m, 2): counter-clockwise vertices, the last repeated to fill up. A gap of
    ``enough_mm`` or more need not be the largest.

    >>> box = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]])
    >>> way, gap = separations(box[None], box[None] + [5.0, 0.5])
    >>> [abs(float(v)) for v in way[0]], float(gap[0])
    ([1.0, 0.0], 3.0)
    """
    count, corners = first.shape[0], max(first.shape[1], second.shape[1], 1)
    chunk = max(1, MOST_AT_ONCE // (corners * corners))
    if count <= chunk:
        return _some(first, second, enough_mm)
    found = [
        _some(first[k : k + chunk], second[k : k + chunk], enough_mm)
        for k in range(0, count, chunk)
    ]
    return np.concatenate([n for n, _ in found]), np.concatenate([g for _, g in found])


def _some(first: np.ndarray, second: np.ndarray, enough_mm: float) -> Pairs:
    way, gap = _by_sides(first, second)
    back, other = _by_sides(second, first)
    better = other > gap
    way = np.where(better[:, None], -back, way)
    gap = np.where(better, other, gap)
    points = np.isneginf(gap)  # both parts are mere points
    clear = np.flatnonzero(((gap > 0) & (gap < enough_mm)) | points)
    if clear.size:
        line, wide = _by_corners(first[clear], second[clear])
        more = wide > gap[clear]
        way[clear[more]], gap[clear[more]] = line[more], wide[more]
    return way, gap


def _by_sides(first: np.ndarray, second: np.ndarray) -> Pairs:
    """The best outward normal of a side of the first part."""
    side = np.roll(first, -1, axis=1) - first
    size = np.hypot(side[..., 0], side[..., 1])
    real = size > 1e-9
    size = np.where(real, size, 1.0)
    normal = np.stack([side[..., 1], -side[..., 0]], axis=-1) / size[..., None]
    own = np.einsum("kmc,kmc->km", normal, first)
    theirs = (normal @ second.transpose(0, 2, 1)).min(axis=2)
    gaps = np.where(real, theirs - own, -np.inf)
    best = gaps.argmax(axis=1)
    rows = np.arange(len(first))
    return normal[rows, best], gaps[rows, best]


def _by_corners(first: np.ndarray, second: np.ndarray) -> Pairs:
    """The line between the two nearest corners."""
    delta = second[:, None, :, :] - first[:, :, None, :]
    square = np.einsum("kabc,kabc->kab", delta, delta).reshape(len(first), -1)
    rows = np.arange(len(first))
    nearest = square.argmin(axis=1)
    line = delta.reshape(len(first), -1, 2)[rows, nearest]
    size = np.sqrt(square[rows, nearest])
    way = line / np.maximum(size, 1e-12)[:, None]
    near = np.einsum("kmc,kc->km", first, way).max(axis=1)
    far = np.einsum("kmc,kc->km", second, way).min(axis=1)
    return way, far - near
