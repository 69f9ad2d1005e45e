"""The last touch on the best layout: square turns, webs alike, whole positions, walls reached."""

from __future__ import annotations

from attrs import evolve

from fitkit.fit.arrange import Layout, interior_of, placements_of
from fitkit.fit.assign import Problem
from fitkit.fit.polish.compact import Never, never
from fitkit.fit.polish.scene import Scene
from fitkit.fit.polish.snap import snapped
from fitkit.fit.polish.spread import spread
from fitkit.fit.polish.whole import setting_of
from fitkit.fit.straighten import straightened
from fitkit.fit.validate import violations
from fitkit.fit.wall_gear.between import strips_free
from fitkit.fit.wall_gear.rights import brought


def finished(problem: Problem, layout: Layout, *, stop: Never = never) -> Layout:
    """The layout made fit to be built, its box unchanged.

    Free pieces at odd turns are set square where that costs nothing. The slack that rounding the
    box up has left is shared out so that the smallest web is as large as can be. Lower left corners
    go to multiples of 0.5 mm as far as there is room, and mounted gear that looks at a wall
    is brought up to it, and held by two
    walls half-way between them. Each step is kept only if the layout passes
    the check of :mod:`fitkit.fit.validate` after it. Same input, same answer, unless stopped.
    """
    best = layout
    strips = strips_free(problem, layout)

    def good(tried: Layout) -> bool:
        return holds(problem, tried) and (not strips or strips_free(problem, tried))

    tried = straightened(problem, best, stop=stop)
    if good(tried):
        best = tried
    size = best.size_mm[:2]
    setting = setting_of(problem, best.assignment, best.elevation)
    even = spread(Scene.of(setting, best.spots), size, stop=stop)
    tried = evolve(best, spots=even.spots)
    if not stop() and good(tried):
        best = tried
    if stop():
        return best
    on_grid = snapped(Scene.of(setting, best.spots), size, stop=stop)
    tried = evolve(best, spots=on_grid.spots)
    best = tried if good(tried) else best
    return brought(problem, best, holds=holds)


def holds(problem: Problem, layout: Layout) -> bool:
    """Whether a layout passes the check."""
    return not violations(
        problem.payload,
        interior=interior_of(problem, layout),
        placements=placements_of(problem, layout),
    )
