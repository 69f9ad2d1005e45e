"""Who is in whose way: which copies must keep the web in plan, given where all of them stand.

Copies of one level always do. Copies of different levels do where their heights meet: an item that
stands *through* the tiers above it is among all that stand there, and *facing* items of the two
halves of a box may reach past each other. All other pairs may lie above one another in plan.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np
import shapely

from fitkit.fit.assign import Assignment, Problem, Seat, elevation_of, lift_of, stand_mm
from fitkit.fit.elevation import Elevation
from fitkit.fit.pieces import Spot

Pair = tuple[int, int]

SAME_MM = 1e-6


@lru_cache(maxsize=512)
def conflicts(problem: Problem, assignment: Assignment) -> frozenset[Pair]:
    """Pairs (i, j), i < j, of copies that must keep the web in plan.

    Those of one level, and those of :func:`across`.
    """
    levels: dict[int, list[int]] = {}
    for k, seat in enumerate(assignment.seats):
        levels.setdefault(seat.level, []).append(k)
    same = {pair for group in levels.values() for pair in itertools.combinations(group, 2)}
    return frozenset(same) | across(problem, assignment)


@lru_cache(maxsize=512)
def across(problem: Problem, assignment: Assignment) -> frozenset[Pair]:
    """The pairs that must keep the web in plan though they stand on different levels.

    One stands through the other's tier; or they face each other with less than the pad between
    their heights, or one reaches into the other's pocket, which is open up to the closing plane or
    to the tier above it. Nobody faces anybody where the given depths hold no such assignment.
    """
    return frozenset({*_through(problem, assignment), *_facing(problem, assignment)})


def _through(problem: Problem, assignment: Assignment) -> Iterator[Pair]:
    for i, one in enumerate(assignment.seats):
        if not one.through:
            continue
        half = problem.levels[one.level].half
        for j, other in enumerate(assignment.seats):
            same = problem.levels[other.level].half == half
            if same and one.level != other.level and stand_together(one, other):
                yield (min(i, j), max(i, j))


def _facing(problem: Problem, assignment: Assignment) -> Iterator[Pair]:
    tops = tops_mm(problem, assignment)
    if tops is None:
        return
    elevation = elevation_of(problem, assignment)
    assert elevation is not None
    height, pad = elevation.height_mm, problem.payload.case.clearance.tier_mm
    ceilings = _ceilings_mm(problem, assignment, elevation)
    hung = [problem.levels[seat.level].half == "shallow" for seat in assignment.seats]
    for i, j in itertools.combinations(range(len(tops)), 2):
        if hung[i] == hung[j]:
            continue
        mounts = [assignment.seats[k].piece.item.mount for k in (i, j)]
        if any(mount is not None for mount in mounts):
            # recesses keep them apart; those that are still free are made as deep as that asks for
            free = any(mount is not None and mount.recess_mm is None for mount in mounts)
            if not free and tops[i] + tops[j] > height + SAME_MM:
                yield (i, j)
            continue
        most = max(tops[i] + tops[j] + pad, tops[i] + ceilings[j], tops[j] + ceilings[i])
        if most > height + SAME_MM:
            yield (i, j)


def _ceilings_mm(problem: Problem, assignment: Assignment, elevation: Elevation) -> list[float]:
    """Up to where each copy's pocket is open, above its half's floor."""
    used = {seat.level for seat in assignment.seats}
    made = []
    for seat in assignment.seats:
        half = problem.levels[seat.level].half
        last = seat.level + seat.through
        above = [k for k in used if k > last and problem.levels[k].half == half]
        depth = elevation.depths_mm[1 if half == "shallow" else 0]
        made.append(elevation.floors_mm[min(above)] if above else depth)
    return made


def stand_together(one: Seat, other: Seat) -> bool:
    """Whether two seats of one half share a level, standing through tiers included."""
    first, second = sorted((one, other), key=lambda seat: seat.level)
    return second.level <= first.level + first.through


def tops_mm(problem: Problem, assignment: Assignment) -> list[float] | None:
    """How high each copy reaches above its half's floor; None where nothing can face anything."""
    if problem.payload.case.form != "box" or len({level.half for level in problem.levels}) < 2:
        return None
    elevation = elevation_of(problem, assignment)
    if elevation is None:
        return None
    made = []
    for seat in assignment.seats:
        solid = seat.piece.solid
        if seat.piece.item.mount is not None:
            hung = problem.levels[seat.level].half == "shallow"
            depth = elevation.depths_mm[1 if hung else 0]
            stand = stand_mm(problem.payload, seat.piece, floor_mm=0.0, depth_mm=depth)
            made.append(stand + solid.height_mm)
            continue
        above = lift_of(problem.payload, seat.piece) + solid.reach_mm[1] - solid.z0_mm
        made.append(elevation.floors_mm[seat.level] + above)
    return made


def linked(problem: Problem, assignment: Assignment) -> tuple[tuple[int, ...], ...]:
    """Levels (by index) that hold each other in place because some pair across them conflicts.

    Every level in use is in exactly one group; a level that is free of the others is alone.
    """
    seats = assignment.seats
    group = {seat.level: seat.level for seat in seats}

    def root(level: int) -> int:
        while group[level] != level:
            level = group[level]
        return level

    for i, j in across(problem, assignment):
        first, second = sorted((root(seats[i].level), root(seats[j].level)))
        group[second] = first
    made: dict[int, list[int]] = {}
    for level in sorted(group):
        made.setdefault(root(level), []).append(level)
    return tuple(tuple(levels) for levels in made.values())


def holds_across(problem: Problem, assignment: Assignment, spots: Sequence[Spot]) -> bool:
    """Whether pairs on different levels keep the web, from each other's zones as well."""
    keep = problem.web_mm
    for i, j in across(problem, assignment):
        one, other = assignment.seats[i].piece, assignment.seats[j].piece
        shapes = [(spots[i].body(one), [spots[j].body(other), *spots[j].rooms(other)])]
        shapes += [(room, [spots[j].body(other)]) for room in spots[i].rooms(one)]
        for shape, near in shapes:
            array = np.array(near, dtype=object)
            if keep > 0:
                if bool(shapely.dwithin(array, shape, keep - SAME_MM).any()):
                    return False
            elif float(shapely.area(shapely.intersection(array, shape)).max()) > 1e-6:
                return False
    return True
