"""Which copy stands in which level, and on which face.

An *assignment* gives every copy a level and a pose. Good ones are rare and easy to name: fix the
heights that the levels may have, give each copy the pose of least area that is low enough, and
share the copies out so that the levels' areas are alike. They are ranked by an estimate; the
search lays out the best of them and tries their neighbours.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import TypeVar

from attrs import evolve, frozen

from fitkit.fit.bounds import Share, objective_value, share
from fitkit.fit.elevation import Elevation, Level, Need, elevate, levels, thickness
from fitkit.fit.layout import Placement
from fitkit.fit.pieces import CopyKey, Margins, Piece
from fitkit.fit.skyline import cells
from fitkit.payload.model import Item, Objective, Payload
from fitkit.payload.pose import flipped

_T = TypeVar("_T")

FILL = 0.80
"""Share of a level's plan that its grown outlines fill, for the first estimate."""

MOST_CAPS = 9
"""Heights that are tried as a level's limit."""

MOST_CAP_SETS = 240
"""Sets of limits, one for each level, that are tried."""


@frozen
class Seat:
    """Level (by its index) and pose of one copy."""

    level: int
    piece: Piece


@frozen(cache_hash=True)
class Assignment:
    """A seat for every copy, in the order of the problem's copies."""

    seats: tuple[Seat, ...]

    def of_level(self, level: int) -> list[int]:
        """The copies (by index) that stand in one level."""
        return [k for k, seat in enumerate(self.seats) if seat.level == level]


@frozen(cache_hash=True)
class Problem:
    """The search's view of a payload: its copies, the poses each may take, and the levels."""

    payload: Payload
    objective: Objective
    copies: tuple[tuple[Item, int], ...]
    options: tuple[tuple[Piece, ...], ...]
    levels: tuple[Level, ...]
    pins: tuple[Placement | None, ...]

    @property
    def keys(self) -> list[CopyKey]:
        """Name and number of every copy."""
        return [(item.name, copy) for item, copy in self.copies]

    @property
    def web_mm(self) -> float:
        """The item-item clearance [mm]."""
        return self.payload.case.clearance.item_mm

    def seat(self, level: int, piece: Piece) -> Seat:
        """``piece`` seated in a level: hung there if the level is in the shallow half."""
        return Seat(level, evolve(piece, hung=self.levels[level].half == "shallow"))


def problem_of(
    payload: Payload, *, objective: Objective, pins: Mapping[CopyKey, Placement]
) -> Problem:
    """The problem of a payload; a pinned copy keeps its pose."""
    copies = tuple((item, n) for item in payload.items for n in range(1, item.count + 1))
    kept = tuple(pins.get((item.name, n)) for item, n in copies)
    options = tuple(
        poses(item) if pin is None else (_pinned_piece(item, pin),)
        for (item, _), pin in zip(copies, kept, strict=True)
    )
    return Problem(payload, objective, copies, options, levels(payload), kept)


def _pinned_piece(item: Item, pin: Placement) -> Piece:
    hung = pin.half == "shallow"
    return Piece(item, flipped(pin.up, 0.0)[0] if hung else pin.up, hung)


@lru_cache(maxsize=512)
def poses(item: Item) -> tuple[Piece, ...]:
    """The poses of an item that differ: a pose with the same solid as an earlier one is dropped."""
    found: list[Piece] = []
    for up in item.up:
        piece = Piece(item, up)
        if all(piece.solid != other.solid for other in found):
            found.append(piece)
    return tuple(found)


def lift_of(payload: Payload, piece: Piece) -> float:
    """How far a piece stands above its level's floor [mm]: zones below it, rounded up to sheets."""
    return thickness(tuple(sorted(payload.foam.sheets_mm)), piece.lift_mm)


def need_of(payload: Payload, pieces: Sequence[Piece]) -> Need | None:
    """What the pieces of one level ask for in height."""
    if not pieces:
        return None
    body = room = flush = 0.0
    for piece in pieces:
        solid = piece.solid
        lift = lift_of(payload, piece)
        top = lift + solid.z1_mm - solid.z0_mm
        body = max(body, top)
        room = max(room, lift + solid.reach_mm[1] - solid.z0_mm)
        if not piece.item.proud:
            flush = max(flush, top)
    return Need(body, room, flush)


def elevation_of(problem: Problem, assignment: Assignment) -> Elevation | None:
    """The least depths for an assignment; None where given depths do not hold it."""
    needs = tuple(
        need_of(problem.payload, [assignment.seats[k].piece for k in assignment.of_level(level)])
        for level in range(len(problem.levels))
    )
    return elevate(problem.payload, needs)


def reachable_by_hand(problem: Problem, assignment: Assignment) -> bool:
    """Whether every copy that must always be within reach stands in its half's highest level."""
    highest: dict[str, int] = {}
    for seat in assignment.seats:
        level = problem.levels[seat.level]
        highest[level.half] = max(highest.get(level.half, 0), level.tier)
    return all(
        seat.piece.item.reach == "any"
        or problem.levels[seat.level].tier == highest[problem.levels[seat.level].half]
        for seat in assignment.seats
    )


def estimate(problem: Problem, assignment: Assignment, *, fill: float = FILL) -> float:
    """What the objective is likely to come to (infinite where the depths do not hold it)."""
    elevation = elevation_of(problem, assignment)
    if elevation is None:
        return math.inf
    clear = problem.payload.case.clearance
    grow = min(clear.item_mm / 2, clear.wall_mm)
    margins = Margins.of(problem.payload, depth_mm=max(elevation.depths_mm))
    loads = [0.0] * len(problem.levels)
    short = long = 0.0
    for seat in assignment.seats:
        asked = _asked(evolve(seat.piece, hung=False), grow, problem.web_mm)
        loads[seat.level] += asked.area_mm2
        short, long = max(short, asked.short_mm), max(long, asked.long_mm)
    area = max(loads) / fill
    side = max(math.sqrt(area), long + 2 * grow)
    other = max(area / side, short + 2 * grow)
    rim = 2 * (margins.body_mm - grow)
    return objective_value(problem.objective, (side + rim, other + rim, elevation.height_mm))


@lru_cache(maxsize=2048)
def _asked(piece: Piece, grow_mm: float, web_mm: float) -> Share:
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


def candidates(problem: Problem, rng: random.Random, *, most: int) -> list[Assignment]:
    """Assignments worth laying out, likely best first (at least one if any exists)."""
    table = _table(problem)
    found: dict[Assignment, float] = {}
    for spread in range(2):
        for caps in _caps(problem):
            made = _shared_out(problem, table, caps, rng if spread else None)
            if made is not None and made not in found:
                found[made] = estimate(problem, made)
    ranked = sorted((value, k, made) for k, (made, value) in enumerate(found.items()))
    return [made for value, _, made in ranked[:most] if value < math.inf]


def first_candidate(problem: Problem) -> Assignment | None:
    """An assignment found without looking at others: every level as high as may be."""
    table = _table(problem)
    tallest = max(pose.height_mm for poses in table for pose in poses)
    count = len(problem.levels)
    for used in range(count, 0, -1):
        if not _stands(problem.levels, range(used)):
            continue
        caps = tuple(tallest if index < used else 0.0 for index in range(count))
        made = _shared_out(problem, table, caps, None)
        if made is not None and elevation_of(problem, made) is not None:
            return made
    return None


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
                            _asked(piece, grow, problem.web_mm).area_mm2,
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
    """An assignment with one copy moved, re-posed, or two copies of different levels swapped."""
    free = [k for k, pin in enumerate(problem.pins) if pin is None]
    if not free:
        return None
    seats = list(assignment.seats)
    k = rng.choice(free)
    kind = rng.random()
    if kind < 0.4 and len(problem.options[k]) > 1:
        seats[k] = problem.seat(seats[k].level, rng.choice(problem.options[k]))
    elif kind < 0.7 and len(problem.levels) > 1:
        seats[k] = problem.seat(rng.randrange(len(problem.levels)), rng.choice(problem.options[k]))
    else:
        others = [j for j in free if seats[j].level != seats[k].level]
        if not others:
            return None
        j = rng.choice(others)
        seats[j], seats[k] = (
            problem.seat(seats[k].level, seats[j].piece),
            problem.seat(seats[j].level, seats[k].piece),
        )
    made = Assignment(tuple(seats))
    if made == assignment or not reachable_by_hand(problem, made):
        return None
    return made


def _caps(problem: Problem) -> list[tuple[float, ...]]:
    """Limits on the levels' heights to try: one per level, 0 for a level left empty."""
    shares = [[pose.height_mm for pose in poses] for poses in _table(problem)]
    tallest_least = max(min(heights) for heights in shares)
    marks = sorted({round(h, 6) for heights in shares for h in heights})
    marks = _thinned(marks, MOST_CAPS)
    tall = [m for m in marks if m >= tallest_least - 1e-6] or [marks[-1]]
    caps: list[tuple[float, ...]] = []
    count = len(problem.levels)
    for used in range(1, min(count, len(problem.copies)) + 1):
        for chosen in itertools.combinations(range(count), used):
            if not _stands(problem.levels, chosen):
                continue
            for first in tall:
                lower = [m for m in marks if m <= first + 1e-6]
                for rest in itertools.combinations_with_replacement(lower, used - 1):
                    for place in range(used):
                        order = list(rest)
                        order.insert(place, first)
                        cap = [0.0] * count
                        for level, height in zip(chosen, order, strict=True):
                            cap[level] = height
                        caps.append(tuple(cap))
    unique = list(dict.fromkeys(caps))
    return _thinned(unique, MOST_CAP_SETS)


def _stands(places: Sequence[Level], chosen: Sequence[int]) -> bool:
    """Whether the chosen levels stand on each other: no half has a gap in its tiers."""
    tiers: dict[str, list[int]] = {}
    for index in chosen:
        tiers.setdefault(places[index].half, []).append(places[index].tier)
    return all(sorted(have) == list(range(1, len(have) + 1)) for have in tiers.values())


def _thinned(values: list[_T], most: int) -> list[_T]:
    if len(values) <= most:
        return values
    return [values[round(k * (len(values) - 1) / (most - 1))] for k in range(most)]


def _height(piece: Piece) -> float:
    low, high = piece.solid.reach_mm
    return high - low


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
    choices: list[list[tuple[int, _Pose]]] = []
    for k, poses in enumerate(table):
        able = []
        for index in used:
            if _may_stand(problem, k, index, highest):
                low = next((p for p in poses if p.height_mm <= caps[index] + 1e-6), None)
                if low is not None:
                    able.append((index, low))
        if not able:
            return None
        choices.append(able)
    areas = [
        min(pose.area_mm2 for _, pose in able) * (rng.uniform(0.7, 1.3) if rng else 1.0)
        for able in choices
    ]
    order = sorted(range(len(choices)), key=lambda k: (len(choices[k]) > 1, -areas[k], k))
    loads = [0.0] * len(caps)
    seats: list[Seat | None] = [None] * len(choices)
    for k in order:
        index, pose = min(choices[k], key=lambda c: (loads[c[0]] + c[1].area_mm2, c[0]))
        seats[k] = pose.seats[index]
        loads[index] += pose.area_mm2
    made = Assignment(tuple(seat for seat in seats if seat is not None))
    return made if reachable_by_hand(problem, made) else None


def _may_stand(problem: Problem, copy: int, level: int, highest: Mapping[str, int]) -> bool:
    pin = problem.pins[copy]
    place = problem.levels[level]
    if pin is not None and (pin.half, pin.tier) != (place.half, place.tier):
        return False
    item = problem.copies[copy][0]
    return item.reach == "any" or place.tier == highest[place.half]
