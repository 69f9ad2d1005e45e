"""What an assignment is likely to come to, before anything is laid out."""

from __future__ import annotations

import math
from functools import lru_cache

from attrs import evolve

from fitkit.fit.assign import Assignment, Problem, elevation_of
from fitkit.fit.bounds import Share, objective_value, share
from fitkit.fit.pieces import Margins, Piece
from fitkit.fit.skyline import cells
from fitkit.fit.stacking import across

FILL = 0.80
"""Share of a level's plan that its grown outlines fill, for the first estimate."""


def estimate(problem: Problem, assignment: Assignment, *, fill: float = FILL) -> float:
    """What the objective is likely to come to (infinite where the depths do not hold it)."""
    elevation = elevation_of(problem, assignment)
    if elevation is None:
        return math.inf
    clear = problem.payload.case.clearance
    grow = min(clear.item_mm / 2, clear.wall_mm)
    margins = Margins.of(problem.payload, depth_mm=max(elevation.depths_mm))
    loads = [0.0] * len(problem.levels)
    areas = []
    short = long = 0.0
    for seat in assignment.seats:
        asked = asked_of(evolve(seat.piece, hung=False), grow, problem.web_mm)
        areas.append(asked.area_mm2)
        for level in range(seat.level, seat.level + seat.through + 1):
            loads[level] += asked.area_mm2
        short, long = max(short, asked.short_mm), max(long, asked.long_mm)
    area = max(*loads, _facing_load(problem, assignment, areas)) / fill
    side = max(math.sqrt(area), long + 2 * grow)
    other = max(area / side, short + 2 * grow)
    rim = 2 * (margins.body_mm - grow)
    return objective_value(problem.objective, (side + rim, other + rim, elevation.height_mm))


@lru_cache(maxsize=2048)
def asked_of(piece: Piece, grow_mm: float, web_mm: float) -> Share:
    """The share of a pose in a level, its zones counted as well."""
    asked = share(piece, grow_mm)
    return evolve(asked, area_mm2=max(asked.area_mm2, _claim(piece, web_mm)))


@lru_cache(maxsize=2048)
def _claim(piece: Piece, web_mm: float) -> float:
    """Area that a piece with its zones takes from a level; a zone's share counts half."""
    grown = share(piece, web_mm / 2).area_mm2
    if not piece.solid.rooms:
        return grown
    cell = cells(piece, web_mm)[0]
    return grown + max(0.0, cell.length_mm * cell.width_mm - grown) / 2


def _facing_load(problem: Problem, assignment: Assignment, areas: list[float]) -> float:
    """Area of facing items that are all in each other's way, at the worst height.

    An item of the one half with all those that it meets in the other, and all of its own half that
    meet as many: such a group shares one plan.
    """
    met: dict[int, set[int]] = {}
    for i, j in across(problem, assignment):
        met.setdefault(i, set()).add(j)
        met.setdefault(j, set()).add(i)
    worst = 0.0
    for k, others in met.items():
        level = assignment.seats[k].level
        alike = [m for m, have in met.items() if assignment.seats[m].level == level]
        group = [m for m in alike if met[m] >= others]
        facing = {
            m for m in others if assignment.seats[m].level == assignment.seats[min(others)].level
        }
        worst = max(worst, sum(areas[m] for m in (*group, *facing)))
    return worst
