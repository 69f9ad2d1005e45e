"""Whole layouts closed up: all levels at once, in one box whose sides are whole millimetres."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitkit.fit.arrange import Layout, arrange, score_of
from fitkit.fit.assign import Assignment, Problem
from fitkit.fit.bounds import GRID_MM
from fitkit.fit.elevation import Elevation
from fitkit.fit.pieces import Margins, Spot
from fitkit.fit.polish.compact import Never, closed_up, lined_up, never
from fitkit.fit.polish.disturb import Aim, Size
from fitkit.fit.polish.scene import Scene, Setting
from fitkit.fit.stacking import conflicts
from fitkit.payload.walls import least_side_mm

FINE_MM = 0.02
"""How far outlines are taken too large where the last tenth counts [mm]."""

ROUGH_MM = 0.15
"""The same while a search goes through many layouts [mm]."""

SPARE_MM = 3.0
"""How much longer or wider a box may get on the way to a smaller one [mm]."""


def setting_of(
    problem: Problem,
    assignment: Assignment,
    elevation: Elevation,
    *,
    tolerance_mm: float = FINE_MM,
) -> Setting:
    """Who keeps how far from whom in an assignment; pinned copies stay where they are."""
    return Setting(
        pieces=tuple(seat.piece for seat in assignment.seats),
        pairs=conflicts(problem, assignment),
        web_mm=problem.web_mm,
        margins=Margins.of(problem.payload, depth_mm=max(elevation.depths_mm)),
        fixed=frozenset(k for k, pin in enumerate(problem.pins) if pin is not None),
        tolerance_mm=tolerance_mm,
    )


def aim_of(problem: Problem, height_mm: float) -> Aim:
    """What is made small: the objective, and more than that what a limit is missed by."""
    least = least_side_mm(problem.payload.wall.profile)

    def value(size: Size) -> float:
        score = score_of(problem, (size[0], size[1], height_mm))
        # where another side decides, shorter sides still leave room for what comes next
        return score.value * (1 + 0.01 * score.miss_mm) + 1e-4 * (size[0] + size[1])

    return Aim(value, least_mm=(least, least))


def roughly_compacted(problem: Problem, layout: Layout, *, stop: Never = never) -> Layout:
    """The layout closed up once, its outlines taken a little too large: in a fifth of the time."""
    setting = setting_of(problem, layout.assignment, layout.elevation, tolerance_mm=ROUGH_MM)
    aim = aim_of(problem, layout.elevation.height_mm)
    scene = lined_up(layout.spots, Scene.of(setting, layout.spots))
    size = scene.size_mm
    scene, size = closed_up(
        scene,
        size,
        weights=aim.weights(size),
        most_mm=(size[0] + SPARE_MM, size[1] + SPARE_MM),
        least_mm=aim.least_mm,
        stop=stop,
    )
    return better_of(problem, layout, scene.spots)


def compacted(problem: Problem, layout: Layout, *, stop: Never = never) -> Layout:
    """The layout closed up as far as true outlines allow; the same one if that gains nothing.

    The score never gets worse. Copies that must keep the web in plan (those of one level, and those
    whose heights meet) do; pinned copies stay. Sides are whole steps; a side is made longer only
    where the box gets smaller by it. Same input, same answer; ``stop`` is asked between the
    programs, which take milliseconds each.
    """
    setting = setting_of(problem, layout.assignment, layout.elevation)
    aim = aim_of(problem, layout.elevation.height_mm)
    scene = lined_up(layout.spots, Scene.of(setting, layout.spots))
    size = scene.size_mm
    most = (size[0] + SPARE_MM, size[1] + SPARE_MM)
    least = aim.least_mm
    scene, size = closed_up(
        scene, size, weights=aim.weights(size), most_mm=most, least_mm=least, stop=stop
    )
    best = better_of(problem, layout, scene.spots)
    while not stop():
        found = _one_step_less(scene, size, aim, stop)
        if found is None:
            break
        scene, size = found
        best = better_of(problem, best, scene.spots)
    return best


def better_of(problem: Problem, best: Layout, spots: Sequence[Spot]) -> Layout:
    """The layout of these spots if it holds and is better than ``best``; otherwise ``best``."""
    made = arrange(problem, best.assignment, list(spots))
    return made if made is not None and made.score.better_than(best.score) else best


def whole(size_mm: Size) -> Size:
    """Sides rounded up to whole steps."""
    length, width = (math.ceil(side / GRID_MM - 1e-6) * GRID_MM for side in size_mm)
    return length, width


def _one_step_less(scene: Scene, size: Size, aim: Aim, stop: Never) -> tuple[Scene, Size] | None:
    """A scene with one side a whole step shorter, the other as short as may be, if that is less."""
    here = aim.value(whole(size))
    for axis in (0, 1):
        target = whole(size)[axis] - GRID_MM
        if target < aim.least_mm[axis] or stop():
            continue
        most = [size[0] + SPARE_MM, size[1] + SPARE_MM]
        most[axis] = target
        weights = (1e-3, 1.0) if axis == 0 else (1.0, 1e-3)
        tried, reached = closed_up(
            scene,
            size,
            weights=weights,
            most_mm=(most[0], most[1]),
            least_mm=aim.least_mm,
            any_gain=True,
            stop=stop,
        )
        if reached[axis] <= target + 1e-6 and aim.value(whole(reached)) < here * (1 - 1e-9):
            return tried, reached
    return None
