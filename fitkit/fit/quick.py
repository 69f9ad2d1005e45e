"""Layouts from boxes around pieces, for one assignment: many widths, the best one kept."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence

from fitkit.fit.arrange import Layout, arrange
from fitkit.fit.assign import Assignment, Problem
from fitkit.fit.pieces import Margins, Piece, Spot, quarter_free
from fitkit.fit.skyline import cells, orders, pack
from fitkit.fit.wall_gear.rights import has_wall_gear, roomy
from fitkit.payload.walls import build_up_mm


def widths(
    pieces: Sequence[Piece], web_mm: float, *, count: int, base_deg: float = 0.0
) -> list[float]:
    """Strip widths worth trying for pieces of one level, from slim to square and a bit beyond."""
    boxes = [cells(piece, web_mm, base_deg) for piece in pieces]
    area = sum(min(c.length_mm * c.width_mm for c in have) for have in boxes)
    least = max(min(c.width_mm for c in have) for have in boxes)
    side = math.sqrt(area)
    low, high = max(least, 0.45 * side), max(1.25 * side, 1.05 * least)
    if count == 1 or high <= low * 1.001:
        return [low]
    return [low * (high / low) ** (k / (count - 1)) for k in range(count)]


def given_widths(problem: Problem) -> list[float]:
    """Strip widths that use up a limit on the outside length or width, half webs included."""
    limits, web = problem.payload.case.limits.outside_mm, problem.web_mm
    given = [side for side in limits[:2] if side is not None]
    if not given:
        return []
    beside = 2 * build_up_mm(problem.payload.wall.profile)
    beside += 2 * Margins.of(problem.payload, depth_mm=0.0).body_mm - web
    return [side - beside for side in sorted(set(given)) if side > beside]


def lay_out(
    problem: Problem,
    assignment: Assignment,
    *,
    count: int,
    rng: random.Random | None = None,
    stop: Callable[[], bool] = lambda: False,
) -> Layout | None:
    """The best layout of boxes for an assignment over ``count`` widths; None if none holds.

    With ``rng`` the order of the pieces is shuffled a little, for another try.
    """
    web = problem.web_mm
    groups = [assignment.of_level(level) for level in range(len(problem.levels))]
    levels = [(group, [assignment.seats[k].piece for k in group]) for group in groups if group]
    lead = max(levels, key=lambda level: sum(_least_area(p, web) for p in level[1]))
    best: Layout | None = None
    walls = has_wall_gear(problem)
    turned = all(quarter_free(seat.piece) for seat in assignment.seats)
    for base in (0.0,) if turned else (0.0, 90.0):
        tried = widths(lead[1], web, count=count, base_deg=base)
        for width in [*given_widths(problem), *tried]:
            if stop():
                return best
            spots: list[Spot | None] = [None] * len(assignment.seats)
            for group, pieces in levels:
                packed = _shortest(pieces, width, web, base, rng)
                if packed is None:
                    break
                for k, spot in zip(group, packed, strict=True):
                    for _ in range(round(-base / 90.0) % 4):
                        spot = spot.quarter()
                    spots[k] = spot
            done = [spot for spot in spots if spot is not None]
            if len(done) < len(spots):
                continue
            layout = arrange(problem, assignment, done)
            if layout is not None and walls:
                layout = roomy(problem, layout)
            if layout and layout.score.better_than(best.score if best else None):
                best = layout
    return best


def _shortest(
    pieces: Sequence[Piece], width: float, web: float, base: float, rng: random.Random | None
) -> tuple[Spot, ...] | None:
    best: tuple[Spot, ...] | None = None
    length = math.inf
    for order in orders(pieces, web):
        if rng:
            for _ in range(max(1, len(order) // 6)):
                j = rng.randrange(len(order))
                k = min(len(order) - 1, j + rng.randint(1, 3))
                order[j], order[k] = order[k], order[j]
        packed = pack(pieces, width_mm=width, web_mm=web, order=order, base_deg=base)
        if packed is None:
            continue
        reach = max(
            cell_end(piece, spot, web, base) for piece, spot in zip(pieces, packed, strict=True)
        )
        if reach < length:
            best, length = packed, reach
    return best


def cell_end(piece: Piece, spot: Spot, web: float, base: float) -> float:
    """Far end of a piece's box along the strip [mm]."""
    cell = next(c for c in cells(piece, web, base) if c.turn_deg == spot.turn_deg)
    return spot.x_mm + cell.box[2]


def _least_area(piece: Piece, web: float) -> float:
    return min(c.length_mm * c.width_mm for c in cells(piece, web))
