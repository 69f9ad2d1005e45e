"""Layouts put right for gear that has to do with walls.

The engines keep the room free that such gear asks for beside its body, but know nothing of walls:
they may leave it in the middle of the case, or something between it and the walls that hold it.
Here it is set to its wall, what is in its way is pushed aside, and the case grows where it must.
"""

from __future__ import annotations

from collections.abc import Callable

from fitkit.fit.arrange import Layout
from fitkit.fit.assign import Problem
from fitkit.fit.wall_gear.between import by_walls, centred, reserved, strips_free
from fitkit.fit.wall_gear.toward import slid, stood

ROUNDS = 3
"""How often what was pushed aside for one is looked at for the others."""

Holds = Callable[[Problem, Layout], bool]


def put_right(problem: Problem, layout: Layout, *, holds: Holds) -> Layout:
    """The layout put right: made room, gear at its wall or half-way between two.

    Where something is pinned, the layout itself. Same input, same answer.
    """
    return brought(problem, roomy(problem, layout), holds=holds)


def roomy(problem: Problem, layout: Layout) -> Layout:
    """The layout in a box with room for gear at its walls and for its blocks.

    Gear is not yet brought there.
    """
    if any(pin is not None for pin in problem.pins):
        return layout
    for _ in range(ROUNDS):
        before = layout
        layout = reserved(problem, stood(problem, layout))
        if layout == before:
            break
    return layout


def brought(problem: Problem, layout: Layout, *, holds: Holds) -> Layout:
    """The layout with gear slid to its wall, or half-way between two, in the box as it is.

    Blocks that had their strips free keep them.
    """
    free = strips_free(problem, layout)

    def stays(problem: Problem, tried: Layout) -> bool:
        return holds(problem, tried) and (not free or strips_free(problem, tried))

    return centred(problem, slid(problem, layout, holds=stays), holds=stays)


def has_wall_gear(problem: Problem) -> bool:
    """Whether any copy looks at a wall, or is held by two, or its rails or sub-panel are."""
    mounts = (item.mount for item, _ in problem.copies)
    return any(mount is not None and (mount.upright or by_walls(mount)) for mount in mounts)
