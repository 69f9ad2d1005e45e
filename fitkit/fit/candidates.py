"""Assignments worth laying out, and their neighbours.

Good ones are rare and easy to name: fix the heights that the levels may have, give each copy the
pose of least area that is low enough, let what is too tall stand through the next tier, and share
the copies out so that the levels' areas are alike. They are ranked by an estimate; the search lays
out the best of them and tries their neighbours.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import TypeVar

from attrs import evolve, frozen

from fitkit.fit.assign import (
    Assignment,
    Problem,
    Seat,
    consecutive,
    elevation_of,
    stands,
)
from fitkit.fit.elevation import Level, halves_for
from fitkit.fit.estimate import asked_of, estimate
from fitkit.fit.pieces import Piece
from fitkit.fit.stacking import SAME_MM, across, tops_mm

_T = TypeVar("_T")

MOST_CAPS = 9
"""Heights that are tried as a level's limit."""

MOST_CAP_SETS = 240
"""Sets of limits, one for each level, that are tried."""

MOST_LOW_CAPS = 5
"""Heights below the tallest piece that are tried where it may stand through two tiers."""

MOST_MEETS = 3
"""Ways to let facing items reach past each other that are tried for one assignment."""

LEAST_MEET_MM = 5.0
"""Less height saved than this is not worth holding two halves against each other [mm]."""


def candidates(
    problem: Problem,
    rng: random.Random,
    *,
    most: int,
    stop: Callable[[], bool] = lambda: False,
) -> list[Assignment]:
    """Assignments worth laying out, likely best first (at least one if any exists).

    ``stop`` is asked often: once there is one, those found so far are all that come.
    """
    table = _table(problem)
    found: dict[Assignment, float] = {}
    for spread in range(2):
        for caps in _caps(problem):
            if found and stop():
                break
            made = _shared_out(problem, table, caps, rng if spread else None)
            for one in () if made is None else (made, *meeting(problem, made)):
                if one not in found:
                    found[one] = estimate(problem, one)
    ranked = sorted((value, k, made) for k, (made, value) in enumerate(found.items()))
    return [made for value, _, made in ranked[:most] if value < math.inf]


def first_candidate(problem: Problem) -> Assignment | None:
    """An assignment found without looking at others: every level as high as may be."""
    table = _table(problem)
    tallest = max(pose.height_mm for poses in table for pose in poses)
    count = len(problem.levels)
    for used in range(count, 0, -1):
        if not consecutive(problem.levels, range(used)):
            continue
        caps = tuple(tallest if index < used else 0.0 for index in range(count))
        made = _shared_out(problem, table, caps, None)
        if made is not None and elevation_of(problem, made) is not None:
            return made
    return None


def meeting(problem: Problem, assignment: Assignment) -> list[Assignment]:
    """The same seats in less height: facing items of a box's halves stand among each other.

    Only where both of every pair that then meets may stand proud. The least meetings come first.
    """
    tops = tops_mm(problem, assignment)
    if tops is None:
        return []
    halves: dict[str, list[float]] = {"deep": [], "shallow": []}
    for seat, top in zip(assignment.seats, tops, strict=True):
        halves[problem.levels[seat.level].half].append(top)
    if not all(halves.values()):
        return []
    most = max(halves["deep"]) + max(halves["shallow"])
    sums = {round(a + b, 6) for a, b in itertools.product(halves["deep"], halves["shallow"])}
    saved = [0.0, *sorted(most - total for total in sums if total <= most - LEAST_MEET_MM)]
    made: list[Assignment] = []
    height = _height_mm(problem, assignment)
    for meet_mm in saved[: 2 * MOST_MEETS]:
        one = evolve(assignment, meet_mm=meet_mm)
        pairs, seats = across(problem, one), one.seats
        lower = _height_mm(problem, one) < height - SAME_MM
        if lower and all(seats[k].piece.item.proud for pair in pairs for k in pair):
            made.append(one)
            height = _height_mm(problem, one)
    return made[:MOST_MEETS]


def _height_mm(problem: Problem, assignment: Assignment) -> float:
    elevation = elevation_of(problem, assignment)
    return math.inf if elevation is None else elevation.height_mm


@frozen
class _Pose:
    """One pose of a copy in numbers, and its seats by level."""

    height_mm: float
    area_mm2: float
    seats: tuple[Seat, ...]


@lru_cache(maxsize=8)
def _table(problem: Problem) -> tuple[tuple[_Pose, ...], ...]:
    """For every copy its poses, least area first."""
    clear = problem.payload.case.clearance
    grow = min(clear.item_mm / 2, clear.wall_mm)
    made: dict[tuple[Piece, ...], tuple[_Pose, ...]] = {}
    for poses in problem.options:
        if poses not in made:
            made[poses] = tuple(
                sorted(
                    (
                        _Pose(
                            _height(piece),
                            asked_of(piece, grow, problem.web_mm).area_mm2,
                            tuple(
                                problem.seat(level, piece) for level in range(len(problem.levels))
                            ),
                        )
                        for piece in poses
                    ),
                    key=lambda pose: pose.area_mm2,
                )
            )
    return tuple(made[poses] for poses in problem.options)


def neighbour(problem: Problem, assignment: Assignment, rng: random.Random) -> Assignment | None:
    """An assignment with one change; None where the change that was drawn cannot be.

    One copy is moved, re-posed, or let stand through the next tier, two copies of different levels
    are swapped, or facing items reach past each other by more or less.
    """
    free = [k for k, pin in enumerate(problem.pins) if pin is None]
    if not free:
        return None
    seats = list(assignment.seats)
    k = rng.choice(free)
    seat = seats[k]
    kind = rng.random()
    if kind < 0.1 and len(problem.levels) > 1:
        return _other_heights(problem, assignment, k, rng)
    if kind < 0.4 and len(problem.options[k]) > 1:
        seats[k] = problem.seat(seat.level, rng.choice(problem.options[k]), seat.through)
    elif kind < 0.7 and len(problem.levels) > 1:
        seats[k] = problem.seat(rng.randrange(len(problem.levels)), rng.choice(problem.options[k]))
    else:
        others = [j for j in free if seats[j].level != seat.level]
        if not others:
            return None
        j = rng.choice(others)
        seats[j], seats[k] = (
            problem.seat(seat.level, seats[j].piece),
            problem.seat(seats[j].level, seat.piece),
        )
    return settled(problem, seats, assignment)


def _other_heights(
    problem: Problem, assignment: Assignment, copy: int, rng: random.Random
) -> Assignment | None:
    """A copy stands through the next tier or no longer does, or the halves meet otherwise."""
    if assignment.meet_mm is not None or rng.random() < 0.5:
        apart = evolve(assignment, meet_mm=None)
        others = [apart, *meeting(problem, apart)]
        others = [one for one in others if one != assignment]
        return rng.choice(others) if others else None
    seats = list(assignment.seats)
    seats[copy] = evolve(seats[copy], through=0 if seats[copy].through else 1)
    return settled(problem, seats, assignment)


def settled(problem: Problem, seats: Sequence[Seat], before: Assignment) -> Assignment | None:
    """An assignment of seats with empty tiers closed up; None if it makes no sense or is as before.

    With pins nothing is closed up: tiers keep their numbers.
    """
    if not any(problem.pins):
        seats = _closed_up(problem, seats)
    made = Assignment(tuple(seats))
    return None if made == before or not stands(problem, made) else made


def _closed_up(problem: Problem, seats: Sequence[Seat]) -> list[Seat]:
    used = sorted({seat.level for seat in seats})
    now: dict[int, int] = {}
    for half in dict.fromkeys(level.half for level in problem.levels):
        own = [index for index, level in enumerate(problem.levels) if level.half == half]
        for new, old in zip(own, [index for index in used if index in own], strict=False):
            now[old] = new
    if all(new == old for old, new in now.items()):
        return list(seats)
    made = []
    for seat in seats:
        crossed = [level for level in used if seat.level < level <= seat.level + seat.through]
        made.append(problem.seat(now[seat.level], evolve(seat.piece, hung=False), len(crossed)))
    return made


def _caps(problem: Problem) -> list[tuple[float, ...]]:
    """Limits on the levels' heights to try: one per level, 0 for a level left empty."""
    shares = [[pose.height_mm for pose in poses] for poses in _table(problem)]
    tallest_least = max(min(heights) for heights in shares)
    every = sorted({round(h, 6) for heights in shares for h in heights})
    marks = _thinned(every, MOST_CAPS)
    tall = [m for m in marks if m >= tallest_least - 1e-6] or [marks[-1]]
    low = _thinned([m for m in every if m < tallest_least - 1e-6], MOST_LOW_CAPS)
    caps: list[tuple[float, ...]] = []
    count = len(problem.levels)
    for used in range(1, min(count, len(problem.copies)) + 1):
        for chosen in itertools.combinations(range(count), used):
            if not consecutive(problem.levels, chosen):
                continue
            for heights in itertools.chain(
                _tall_once(tall, marks, used), _all_low(problem, chosen, low, tallest_least)
            ):
                cap = [0.0] * count
                for level, height in zip(chosen, heights, strict=True):
                    cap[level] = height
                caps.append(tuple(cap))
    unique = list(dict.fromkeys(caps))
    return _thinned(unique, MOST_CAP_SETS)


def _tall_once(
    tall: Sequence[float], marks: Sequence[float], used: int
) -> Iterable[tuple[float, ...]]:
    """Heights for levels of which one holds the tallest piece."""
    for first in tall:
        lower = [m for m in marks if m <= first + 1e-6]
        for rest in itertools.combinations_with_replacement(lower, used - 1):
            for place in range(used):
                yield (*rest[:place], first, *rest[place:])


def _all_low(
    problem: Problem, chosen: Sequence[int], low: Sequence[float], tallest_mm: float
) -> Iterable[tuple[float, ...]]:
    """Heights for levels that are all lower than the tallest piece, which stands through two."""
    pairs = [
        k
        for k, (a, b) in enumerate(itertools.pairwise(chosen))
        if problem.levels[a].half == problem.levels[b].half
    ]
    pad = problem.payload.case.clearance.tier_mm
    # what stands through the highest tier may be as tall as it is
    open_above = {
        k
        for k in pairs
        if k + 2 == len(chosen)
        or problem.levels[chosen[k + 2]].half != problem.levels[chosen[k]].half
    }
    for heights in itertools.product(low, repeat=len(chosen)):
        rooms = [math.inf if k in open_above else heights[k] + pad + heights[k + 1] for k in pairs]
        if max(rooms, default=0.0) >= tallest_mm - 1e-6:
            yield heights


def _thinned(values: list[_T], most: int) -> list[_T]:
    if len(values) <= most:
        return values
    return [values[round(k * (len(values) - 1) / (most - 1))] for k in range(most)]


def _height(piece: Piece) -> float:
    low, high = piece.solid.reach_mm
    return high - low


@frozen
class _Choice:
    """One way to seat a copy: its pose, its level, and how many more tiers it stands through."""

    level: int
    pose: _Pose
    through: int

    @property
    def crossed(self) -> range:
        return range(self.level, self.level + self.through + 1)

    def seat(self) -> Seat:
        return evolve(self.pose.seats[self.level], through=self.through)


def _shared_out(
    problem: Problem,
    table: Sequence[Sequence[_Pose]],
    caps: tuple[float, ...],
    rng: random.Random | None,
) -> Assignment | None:
    """Copies shared out over the levels under ``caps``: the least free to choose, then by area."""
    highest: dict[str, int] = {}
    used = [index for index, cap in enumerate(caps) if cap > 0]
    for index in used:
        level = problem.levels[index]
        highest[level.half] = max(highest.get(level.half, 0), level.tier)
    choices: list[list[_Choice]] = []
    for k, poses in enumerate(table):
        able = []
        for index in used:
            low = next((p for p in poses if p.height_mm <= caps[index] + 1e-6), None)
            if low is not None and _may_stand(problem, k, index, 0, highest):
                able.append(_Choice(index, low, 0))
        if not able or (rng is not None and rng.random() < 0.1):
            able += _through(problem, k, poses, caps, highest)
        if not able:
            return None
        choices.append(able)
    areas = [
        min(c.pose.area_mm2 for c in able) * (rng.uniform(0.7, 1.3) if rng else 1.0)
        for able in choices
    ]
    order = sorted(range(len(choices)), key=lambda k: (len(choices[k]) > 1, -areas[k], k))
    loads = [0.0] * len(caps)
    seats: list[Seat | None] = [None] * len(choices)

    def load(choice: _Choice) -> tuple[float, int, int]:
        most = max(loads[level] for level in choice.crossed) + choice.pose.area_mm2
        return most, choice.through, choice.level

    for k in order:
        chosen = min(choices[k], key=load)
        seats[k] = chosen.seat()
        for index in chosen.crossed:
            loads[index] += chosen.pose.area_mm2
    made = Assignment(tuple(seat for seat in seats if seat is not None))
    if not any(problem.pins):
        made = Assignment(tuple(_closed_up(problem, made.seats)))
    return made if stands(problem, made) else None


def _through(
    problem: Problem,
    copy: int,
    poses: Sequence[_Pose],
    caps: tuple[float, ...],
    highest: Mapping[str, int],
) -> list[_Choice]:
    """Ways to let a copy stand through two tiers that are each too low for it."""
    pad = problem.payload.case.clearance.tier_mm
    found = []
    for below, above in itertools.pairwise(range(len(caps))):
        same = problem.levels[below].half == problem.levels[above].half
        if not same or not caps[below] or not caps[above]:
            continue
        topmost = problem.levels[above].tier == highest[problem.levels[above].half]
        room = math.inf if topmost else caps[below] + pad + caps[above] + 1e-6
        tall = next((p for p in poses if p.height_mm <= room), None)
        if tall is not None and _may_stand(problem, copy, below, 1, highest):
            found.append(_Choice(below, tall, 1))
    return found


def _may_stand(
    problem: Problem, copy: int, level: int, through: int, highest: Mapping[str, int]
) -> bool:
    pin = problem.pins[copy]
    place: Level = problem.levels[level]
    if pin is not None and (pin.half, pin.tier) != (place.half, place.tier):
        return False
    item = problem.copies[copy][0]
    if place.half not in halves_for(problem.payload, item):
        return False
    return item.reach == "any" or place.tier + through == highest[place.half]
