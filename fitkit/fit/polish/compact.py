"""Closing a layout up: all pieces move at once so that the box gets smaller.

One program gives the best moves while each pair of parts keeps its web along the direction in which
the two are farthest apart now. Directions are found anew after each step, until nothing is gained.
Every step is exact, so what held before holds after it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from fitkit.fit.pieces import Spot
from fitkit.fit.polish.program import Answer, Rows, minimise
from fitkit.fit.polish.scene import Scene, near

STEP_SHARE = 0.12
"""How far a piece may move in one step, as a share of the box's longer side."""

MOST_STEPS = 30
"""Steps at most."""

GAIN = 1e-6
"""A step that gains less than this share of the box is the last."""

PULL = 1e-5
"""How much a piece that does not hold the box open is drawn to the corner."""

Never = Callable[[], bool]


def never() -> bool:
    """Not to stop."""
    return False


def closed_up(
    scene: Scene,
    size_mm: tuple[float, float],
    *,
    weights: tuple[float, float],
    most_mm: tuple[float, float],
    least_mm: tuple[float, float] = (0.0, 0.0),
    pull: np.ndarray | None = None,
    any_gain: bool = False,
    stop: Never = never,
) -> tuple[Scene, tuple[float, float]]:
    """The scene closed up, and its box (from the origin) [mm].

    The scene lies within ``size_mm``; the box gets no longer and no wider than ``most_mm``, and
    counts as ``least_mm`` at least. ``weights`` say what a millimetre of length and of width
    costs. ``pull`` draws pieces along x and y, shape (pieces, 2), positive towards the corner. With
    ``any_gain`` the first step is taken even if it costs: the box was to get within ``most_mm``.
    """
    size = size_mm
    step = STEP_SHARE * max(size)
    draw = np.ones((scene.count, 2)) if pull is None else pull
    for number in range(MOST_STEPS):
        if stop():
            break
        found = _step(scene, weights, most_mm, least_mm, draw, step)
        if found is None:
            break
        moves, after = found
        gain = weights[0] * (size[0] - after[0]) + weights[1] * (size[1] - after[1])
        first = any_gain and number == 0
        if gain < -GAIN and not first:
            break
        scene, size = scene.shifted(moves), after
        if gain <= GAIN * (weights[0] * size[0] + weights[1] * size[1]) and not first:
            break
    return scene, size


def _step(
    scene: Scene,
    weights: tuple[float, float],
    most: tuple[float, float],
    least: tuple[float, float],
    draw: np.ndarray,
    step: float,
) -> tuple[np.ndarray, tuple[float, float]] | None:
    """The best moves for the directions of now, and the box they make."""
    count = scene.count
    close = near(scene, step_mm=step)
    low, high = bounds_of(scene, step)
    cost = np.concatenate([draw[:, 0], draw[:, 1], [0.0, 0.0]]) * PULL / count
    cost[2 * count :] = weights
    web = np.full(len(close.gap), scene.setting.keep_mm)
    # where the web cannot be had (outlines are taken a little larger), no gap gets smaller
    for kept in (web, np.minimum(web, close.gap)):
        answer = minimise(
            cost,
            low=np.concatenate([low, least]),
            high=np.concatenate([high, most]),
            rows=[close.rows(count, kept), walls(scene, columns=(2 * count, 2 * count + 1))],
        )
        if answer is not None:
            size = (float(answer.point[2 * count]), float(answer.point[2 * count + 1]))
            return moves_of(answer, count), size
    return None


def moves_of(answer: Answer, count: int) -> np.ndarray:
    """The moves in an answer, shape (pieces, 2) [mm]."""
    return np.stack([answer.point[:count], answer.point[count : 2 * count]], axis=1)


def bounds_of(scene: Scene, step_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """Least and greatest moves (x, then y): within the step, and not beyond the walls at 0."""
    count = scene.count
    low = np.full(2 * count, -step_mm)
    high = np.full(2 * count, step_mm)
    walls_at = np.concatenate([scene.reach[:, 0], scene.reach[:, 1]])
    low = np.maximum(low, np.minimum(-walls_at, 0.0))
    low = np.where(walls_at < 0, np.minimum(-walls_at, step_mm), low)
    for k in scene.setting.fixed:
        low[[k, count + k]] = high[[k, count + k]] = 0.0
    return low, high


def walls(scene: Scene, *, columns: tuple[int, int]) -> Rows:
    """Rows that keep every piece within the box whose length and width are the given columns."""
    count = scene.count
    own = np.arange(count)
    made = []
    for axis in (0, 1):
        box = np.full(count, columns[axis])
        made.append(np.stack([own + axis * count, box], axis=1))
    factors = np.tile([-1.0, 1.0], (2 * count, 1))
    return Rows(
        np.concatenate(made), factors, np.concatenate([scene.reach[:, 2], scene.reach[:, 3]])
    )


def lined_up(spots: Sequence[Spot], scene: Scene) -> Scene:
    """The scene moved so that its lowest x and y are at the origin; not if anything is fixed."""
    if scene.setting.fixed:
        return scene
    shift = -scene.reach[:, :2].min(axis=0)
    return scene.shifted(np.tile(shift, (len(spots), 1)))
