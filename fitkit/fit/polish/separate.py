"""Taking overlaps out: pieces that are too near are pushed apart while the box stays small.

Each pair of parts that lacks some of its web may go on lacking it, at a price; the program of
:mod:`.compact` with such prices is run until nothing is lacking or nothing gets better.
"""

from __future__ import annotations

import numpy as np

from fitkit.fit.polish.compact import Never, bounds_of, moves_of, never, walls
from fitkit.fit.polish.program import Rows, minimise
from fitkit.fit.polish.scene import Scene, near

PRICE = 40.0
"""What a millimetre that a pair lacks costs, in millimetres of the box."""

HELD_MM = 1e-6
"""Less than this is not lacking."""


def separated(
    scene: Scene,
    size_mm: tuple[float, float],
    *,
    weights: tuple[float, float],
    most_mm: tuple[float, float],
    least_mm: tuple[float, float] = (0.0, 0.0),
    steps: int = 12,
    stop: Never = never,
) -> tuple[Scene, tuple[float, float]] | None:
    """The scene with all webs kept, and its box [mm]; None if overlaps stay.

    Arguments as for :func:`fitkit.fit.polish.compact.closed_up`; the scene may overlap itself and
    the walls.
    """
    step = 0.25 * max(size_mm)
    last = np.inf
    for _ in range(steps):
        if stop():
            return None
        found = _step(scene, weights, most_mm, least_mm, step)
        if found is None:
            return None
        moves, size, lacking = found
        scene = scene.shifted(moves)
        if lacking <= HELD_MM:
            return scene, size
        if lacking > last * 0.9:
            return None
        last = lacking
        step = max(0.5 * step, 0.03 * max(size_mm))
    return None


def _step(
    scene: Scene,
    weights: tuple[float, float],
    most: tuple[float, float],
    least: tuple[float, float],
    step: float,
) -> tuple[np.ndarray, tuple[float, float], float] | None:
    """Moves, the box, and by how much webs are short in all [mm]."""
    count = scene.count
    close = near(scene, step_mm=step)
    low, high = bounds_of(scene, step)
    keys = close.one * count + close.other
    pairs, number = np.unique(keys, return_inverse=True)
    prices = np.full(len(pairs), PRICE * max(weights))
    first = 2 * count + 2
    cost = np.concatenate([np.zeros(2 * count), weights, prices])
    web = np.full(len(close.gap), scene.setting.keep_mm)
    rows: list[Rows] = [
        close.rows(count, web, extra=first + number),
        walls(scene, columns=(2 * count, 2 * count + 1)),
    ]
    answer = minimise(
        cost,
        low=np.concatenate([low, least, np.zeros(len(pairs))]),
        high=np.concatenate([high, most, np.full(len(pairs), np.inf)]),
        rows=rows,
    )
    if answer is None:
        return None
    size = (float(answer.point[2 * count]), float(answer.point[2 * count + 1]))
    return moves_of(answer, count), size, float(answer.point[first:].sum())
