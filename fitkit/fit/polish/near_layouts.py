"""A search near a whole layout: its levels' pieces change places, turn, and are closed up again."""

from __future__ import annotations

import random
from collections.abc import Sequence

from attrs import evolve

from fitkit.fit.assign import Assignment, Problem
from fitkit.fit.elevation import Elevation
from fitkit.fit.pieces import Spot
from fitkit.fit.polish.compact import closed_up, lined_up
from fitkit.fit.polish.disturb import Search
from fitkit.fit.polish.scene import Scene
from fitkit.fit.polish.whole import ROUGH_MM, SPARE_MM, aim_of, setting_of


def search_near(
    problem: Problem,
    assignment: Assignment,
    elevation: Elevation,
    spots: Sequence[Spot],
    rng: random.Random,
    *,
    compiled: bool = False,
) -> Search:
    """A search that starts from spots of an assignment, closed up; same ``rng``, same trials.

    ``compiled`` code takes a moment to load: for children.
    """
    setting = evolve(
        setting_of(problem, assignment, elevation, tolerance_mm=ROUGH_MM), compiled=compiled
    )
    aim = aim_of(problem, elevation.height_mm)
    scene = lined_up(spots, Scene.of(setting, spots))
    size = scene.size_mm
    scene, size = closed_up(
        scene,
        size,
        weights=aim.weights(size),
        most_mm=(size[0] + SPARE_MM, size[1] + SPARE_MM),
        least_mm=aim.least_mm,
    )
    levels = [assignment.of_level(level) for level in range(len(problem.levels))]
    return Search(aim, scene, size, [level for level in levels if level], rng)
