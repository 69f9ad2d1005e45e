"""Positions on a grid of half millimetres, which a builder can measure and mark.

Where all pieces can go to their nearest grid point they do. Otherwise one piece after another is
set on the grid; the others make room for it with a linear program. A piece that no near grid point
takes stays where it is.
"""

from __future__ import annotations

import itertools
import math

import numpy as np

from fitkit.fit.pieces import turned_outline
from fitkit.fit.polish.compact import Never, never
from fitkit.fit.polish.program import Rows, minimise
from fitkit.fit.polish.scene import Near, Scene, near
from fitkit.fit.polish.spread import Size, level_rows

SNAP_MM = 0.5
"""The grid [mm]."""

STEP_MM = 1.0
"""How far a piece may move to be set on the grid, or to make room [mm]."""


def snapped(scene: Scene, size_mm: Size, *, stop: Never = never) -> Scene:
    """The scene with as many pieces as possible on the grid, within the box to ``size_mm``.

    What is on the grid are the lower left corners of the pieces' boxes. Clearances hold after it as
    they did before.
    """
    count = scene.count
    corner = np.array(
        [
            turned_outline(piece, spot.turn_deg).bounds[:2] + np.array([spot.x_mm, spot.y_mm])
            for piece, spot in zip(scene.setting.pieces, scene.spots, strict=True)
        ]
    )
    close = near(scene, step_mm=STEP_MM)
    nearest = np.round(corner / SNAP_MM) * SNAP_MM - corner
    nearest[list(scene.setting.fixed)] = 0.0
    at_once = nearest.ravel(order="F")
    if _room_for(scene, size_mm, close, at_once, at_once) is not None:
        return scene.shifted(nearest)
    low, high = np.full(2 * count, -STEP_MM), np.full(2 * count, STEP_MM)
    for k in scene.setting.fixed:
        low[[k, count + k]] = high[[k, count + k]] = 0.0
    moves = np.zeros((count, 2))
    for k in _order(close, count):
        if k in scene.setting.fixed:
            continue
        here = corner[k] + moves[k]
        for target in _grid_near(here):
            if stop():
                return scene
            at = target - corner[k]
            if float(np.abs(at).max()) > STEP_MM:
                continue
            bounds = low.copy(), high.copy()
            for made in bounds:
                made[[k, count + k]] = at
            found = _room_for(scene, size_mm, close, *bounds)
            if found is not None:
                (low, high), moves = bounds, found
                break
    return scene.shifted(moves)


def _order(close: Near, count: int) -> list[int]:
    """The pieces with the least room first."""
    least = np.full(count, np.inf)
    np.minimum.at(least, close.one, close.gap)
    np.minimum.at(least, close.other, close.gap)
    return [int(k) for k in np.argsort(least, kind="stable")]


def _grid_near(at: np.ndarray) -> list[np.ndarray]:
    """The four grid points about a point, the nearest first."""
    sides = [(math.floor(v / SNAP_MM) * SNAP_MM, math.ceil(v / SNAP_MM) * SNAP_MM) for v in at]
    points = sorted(set(itertools.product(*sides)), key=lambda p: (math.dist(p, at), p))
    return [np.array(point) for point in points]


def _room_for(
    scene: Scene, size: Size, close: Near, low: np.ndarray, high: np.ndarray
) -> np.ndarray | None:
    """Moves within bounds that keep all clearances, with the most room left; None if none do."""
    count = scene.count
    free = np.flatnonzero(low[:count] < high[:count])
    settled = np.ones(count, dtype=bool)
    settled[free] = False
    frozen = [
        # nothing is to be gained between two that stay where they are
        np.where(settled[close.one] & settled[close.other], 0.0, -np.inf),
        np.full(4 * len(free), -np.inf),
    ]
    rows: list[Rows] = level_rows(scene, size, close, free, frozen)
    stuck = np.array(
        [k for k in np.flatnonzero(settled) if k not in scene.setting.fixed], dtype=int
    )
    if stuck.size:
        _, *walls = level_rows(scene, size, close, stuck, [frozen[0], np.zeros(4 * len(stuck))])
        rows += walls
    cost = np.zeros(2 * count + 1)
    cost[-1] = -1.0
    answer = minimise(cost, low=np.append(low, 0.0), high=np.append(high, STEP_MM), rows=rows)
    if answer is None:
        return None
    return np.stack([answer.point[:count], answer.point[count : 2 * count]], axis=1)
