"""Gear that two opposite walls hold has nothing between it and them but its blocks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from attrs import evolve
from shapely import Polygon, box

from fitkit.fit.arrange import Layout, arrange
from fitkit.fit.assign import Problem
from fitkit.fit.pieces import Spot, apart
from fitkit.fit.wall_gear.pushing import ROUNDING_MM, Block, Way, neighbours_of, pushed
from fitkit.payload.mounted import pointing

FAR_MM = 1e4
"""Longer than any case [mm]."""

SQUARE_DEG = 0.5
"""Blocks lie between an item and walls that its faces are square to, within this [deg]."""


def held_between(problem: Problem, layout: Layout) -> tuple[tuple[int, int], ...]:
    """The copies (by index) that two side walls hold, with the axis (0: length) they are held on.

    Not those that are pinned, nor those whose faces look up and down or stand askew.
    """
    found = []
    for k, (seat, spot) in enumerate(zip(layout.assignment.seats, layout.spots, strict=True)):
        mount = seat.piece.item.mount
        if mount is None or mount.by != "walls" or problem.pins[k] is not None:
            continue
        x, y = pointing(mount.walls[0], seat.piece.closed_up)
        if math.hypot(x, y) < 0.5:
            continue
        quarters = (math.degrees(math.atan2(y, x)) + spot.turn_deg) / 90.0
        if abs(quarters - round(quarters)) * 90.0 <= SQUARE_DEG:
            found.append((k, round(quarters) % 2))
    return tuple(found)


def reserved(problem: Problem, layout: Layout) -> Layout:
    """The layout with the strips free in which blocks reach from gear to the walls that hold it.

    What stands there is pushed aside, to the one side or the other, in a box as large as that
    needs; of these the smallest is taken. Same input, same answer.
    """
    for k, axis in held_between(problem, layout):
        if _free(problem, layout, k, axis):
            continue
        best: Layout | None = None
        for spots in _aside(problem, layout, k, axis):
            made = arrange(problem, layout.assignment, spots)
            if made is not None and made.score.better_than(best.score if best else None):
                best = made
        layout = best or layout
    return layout


def strips_free(problem: Problem, layout: Layout) -> bool:
    """Whether nothing stands between gear and the walls that hold it."""
    return all(_free(problem, layout, k, axis) for k, axis in held_between(problem, layout))


def centred(
    problem: Problem, layout: Layout, *, holds: Callable[[Problem, Layout], bool]
) -> Layout:
    """The layout with gear half-way between the walls that hold it, where ``holds`` lets it."""
    for k, axis in held_between(problem, layout):
        x0, y0, x1, y1 = layout.spots[k].body(layout.assignment.seats[k].piece).bounds
        off = (layout.size_mm[axis] - ((x0 + x1), (y0 + y1))[axis]) / 2
        if abs(off) < 0.25:
            continue
        spots = list(layout.spots)
        spots[k] = spots[k].shifted(*((off, 0.0) if axis == 0 else (0.0, off)))
        tried = evolve(layout, spots=tuple(spots))
        if holds(problem, tried):
            layout = tried
    return layout


def _strip(layout: Layout, number: int, axis: int) -> Polygon:
    """From wall to wall, as wide as the item [in plan]."""
    x0, y0, x1, y1 = layout.spots[number].body(layout.assignment.seats[number].piece).bounds
    return box(-FAR_MM, y0, FAR_MM, y1) if axis == 0 else box(x0, -FAR_MM, x1, FAR_MM)


def _free(problem: Problem, layout: Layout, number: int, axis: int) -> bool:
    others = neighbours_of(problem, layout, number)
    bodies = [layout.spots[k].body(layout.assignment.seats[k].piece) for k in others]
    keep = max(0.0, problem.web_mm - ROUNDING_MM)
    return apart(_strip(layout, number, axis), bodies, keep_mm=keep)


def _aside(problem: Problem, layout: Layout, number: int, axis: int) -> Iterator[list[Spot]]:
    """Spots with the strip of one item free: all to one side, all to the other, each to its own."""
    others = neighbours_of(problem, layout, number)
    seats, spots = layout.assignment.seats, layout.spots
    across = 1 - axis

    def middle(k: int) -> float:
        bounds = spots[k].body(seats[k].piece).bounds
        return float(bounds[across] + bounds[across + 2]) / 2

    here = middle(number)
    first = (Block((), (_strip(layout, number, axis),)),)
    up: Way = (0, 1) if axis == 0 else (1, 0)
    down: Way = (-up[0], -up[1])
    for low in (
        {k for k in others if middle(k) < here},
        set[int](),
        set(others),
    ):
        made = pushed(
            problem, layout, spots, who=[k for k in others if k not in low], first=first,
            fixed=number, way=up,
        )  # fmt: skip
        yield pushed(problem, layout, made, who=low, first=first, fixed=number, way=down)
