"""The master: who stands in which tier and on which face, for heights that promise most.

Every pattern of heights (:mod:`fitkit.fit.bounds.patterns`) has an estimate: its least plan, the
levels' areas shared out evenly, over the share of a plan that outlines fill. For the best of them
the constraint solver shares the copies out so that the fullest level is as empty as can be, zones
counted, and among nearly equals so that heavy copies stand low and those that are often used on
top. Further solutions of a pattern differ from the earlier ones in more than one copy. The search
lays the assignments out; the fill that it reaches makes the next estimates better.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Iterator, Sequence

from attrs import evolve

from fitkit.fit.assign import Assignment, Problem, Seat, elevation_of, stands
from fitkit.fit.bounds.areas import Kit
from fitkit.fit.bounds.patterns import Kind, Pattern, Way, ways_of
from fitkit.fit.candidates import meeting
from fitkit.fit.estimate import FILL, asked_of, estimate
from fitkit.fit.solver import Model, Term

WORK = 0.01
"""The solver's work on one assignment (1 is about 10 s)."""

PATTERNS = 10
"""Patterns that are looked at, the most promising first."""

APART = 2
"""In how many copies solutions of one pattern differ at least."""

SOLUTIONS = 4
"""Solutions of one pattern at most."""

AREA_MM2 = 10.0
"""Areas are counted in multiples of this [mm2]."""

THROUGH_SHARE = 1.06
"""A copy that stands through tiers binds their plans to each other: it counts as so much larger."""

TIE_SHARE = 0.01
"""A level may be fuller by this share at most for the sake of heavy copies low and use on top."""


_Found = tuple[Way, ...]
"""A solution: the way of each copy, by the copy's number."""


def assignments(
    problem: Problem,
    *,
    density: float = FILL,
    most: int = 20,
    stop: Callable[[], bool] = lambda: False,
) -> Iterator[Assignment]:
    """Assignments worth laying out, the most promising first, each once; at most ``most``.

    ``density`` is the share of a level's plan (shrunk by wall - r) that the grown outlines of its
    copies, zones counted, are likely to fill: from layouts so far, between 0 and 1. ``stop`` is
    asked before each is worked out, which takes about 0.1 s. The same in every run. Pinned copies
    keep their level. Every one of them makes sense (:func:`fitkit.fit.assign.stands`) and is held
    by the depths that are given.
    """
    kit = Kit.of(problem.payload, problem.options, objective=problem.objective)
    kinds = _single(kit.kinds) if any(problem.pins) else kit.kinds
    claims = [
        [asked_of(a.piece, kit.grow_mm, problem.web_mm).area_mm2 for a in kind.asks]
        for kind in kinds
    ]
    seen: set[Assignment] = set()
    found: dict[Pattern, list[_Found]] = {}
    given = 0
    # rounds: the best of every pattern before the second best of any
    for turn in range(SOLUTIONS):
        waiting: list[tuple[float, int, Assignment]] = []
        ranked = _promising(kit, density) if turn == 0 else ((0.0, p) for p in list(found))
        for value, pattern in ranked:
            if stop():
                return
            # what is no worse than anything still to come in this round is given at once
            while waiting and waiting[0][0] <= value and given < most:
                yield heapq.heappop(waiting)[2]
                given += 1
            if given == most:
                return
            one = _solve(problem, pattern, kinds, claims, found.get(pattern, []))
            made = None if one is None else _assignment(problem, kinds, one)
            if one is not None and made is not None:
                found.setdefault(pattern, []).append(one)
                if made not in seen:
                    seen.add(made)
                    rated = estimate(problem, made, fill=density)
                    heapq.heappush(waiting, (rated, len(seen), made))
            if turn == 0 and len(found) == PATTERNS:
                break
        while waiting and given < most:
            yield heapq.heappop(waiting)[2]
            given += 1


def _promising(kit: Kit, density: float) -> Iterator[tuple[float, Pattern]]:
    """Patterns with the least value that they are likely to come to, the most promising first."""
    number = itertools.count()
    heap = [(kit.at_least(p, fill=density), next(number), p, False) for p in kit.patterns]
    heapq.heapify(heap)
    while heap:
        value, _, pattern, known = heapq.heappop(heap)
        if known:
            yield value, pattern
            continue
        better = max(value, kit.levels_value(pattern, fill=density))
        if better < math.inf:
            heapq.heappush(heap, (better, next(number), pattern, True))


def _single(kinds: Sequence[Kind]) -> tuple[Kind, ...]:
    """Kinds of one copy each."""
    return tuple(evolve(kind, copies=(copy,)) for kind in kinds for copy in kind.copies)


def _solve(
    problem: Problem,
    pattern: Pattern,
    kinds: Sequence[Kind],
    claims: Sequence[Sequence[float]],
    before: Sequence[_Found],
) -> _Found | None:
    """The best way to share the copies out, unlike the ones before; None if there is none."""
    ways = ways_of(pattern, kinds)
    if ways is None:
        return None
    model = Model()
    flags: list[list[list[int]]] = []
    rows: dict[int, list[Term]] = {}
    standing: dict[int, list[Term]] = {}
    ties: list[Term] = []
    heaviest = max((kind.asks[0].piece.item.mass_kg or 0.0 for kind in kinds), default=0.0)
    total = 0
    for kind, own, areas in zip(kinds, ways, claims, strict=True):
        item = kind.asks[0].piece.item
        copies: list[list[int]] = []
        for copy in kind.copies:
            mine = [model.flag() for _ in own]
            able = [
                flag for flag, way in zip(mine, own, strict=True) if _pinned(problem, copy, way)
            ]
            if not able:
                return None
            model.exactly_one(able)
            for flag, way in zip(mine, own, strict=True):
                if flag not in able:
                    model.linear([(flag, 1)], 0, 0)
                more = THROUGH_SHARE if way.through else 1.0
                area = math.ceil(areas[way.pose] * more / AREA_MM2)
                total += area
                for row in way.rows:
                    rows.setdefault(row, []).append((flag, area))
                tier = problem.levels[way.level].tier
                if not way.through:
                    standing.setdefault(way.level, []).append((flag, 1))
                heavy = 50.0 * (item.mass_kg or 0.0) / heaviest if heaviest else 0.0
                ties.append((flag, round(heavy) * (tier - 1) + way.through))
            if copies and len(own) > 1:
                last = [(flag, -at) for at, flag in enumerate(copies[-1])]
                model.linear([*last, *((f, at) for at, f in enumerate(mine))], 0, len(own))
            copies.append(mine)
        flags.append(copies)
    for column in pattern.columns:
        for level in column.levels:
            if level not in standing:
                return None
            model.linear(standing[level], 1, len(problem.copies))
    fullest = model.whole(0, total)
    for terms in rows.values():
        model.linear([*terms, (fullest, -1)], -total, 0)
    for one in before:
        model.linear(_same(kinds, ways, flags, one), 0, max(0, len(problem.copies) - APART))
    model.minimise(_weighed(fullest, ties, total))
    answer = model.solve(work=WORK)
    if not answer.values:
        return None
    made: dict[int, Way] = {}
    for kind, own, copies in zip(kinds, ways, flags, strict=True):
        for copy, mine in zip(kind.copies, copies, strict=True):
            made[copy] = next(w for w, flag in zip(own, mine, strict=True) if answer.values[flag])
    return tuple(made[copy] for copy in sorted(made))


def _weighed(fullest: int, ties: Sequence[Term], total: int) -> list[Term]:
    """The fullest level first; ties weigh no more than a small share of it."""
    worst = max(1, sum(abs(weight) for _, weight in ties))
    scale = max(1, round(worst / max(1.0, TIE_SHARE * total / 2)))
    return [(fullest, scale), *((flag, weight) for flag, weight in ties if weight)]


def _same(
    kinds: Sequence[Kind],
    ways: Sequence[Sequence[Way]],
    flags: Sequence[Sequence[Sequence[int]]],
    one: _Found,
) -> list[Term]:
    """Flags of the copies that stand in the same level as in an earlier solution."""
    terms = []
    for kind, own, copies in zip(kinds, ways, flags, strict=True):
        for copy, mine in zip(kind.copies, copies, strict=True):
            for way, flag in zip(own, mine, strict=True):
                if (way.level, way.through) == (one[copy].level, one[copy].through):
                    terms.append((flag, 1))
    return terms


def _pinned(problem: Problem, copy: int, way: Way) -> bool:
    """Whether a way agrees with the copy's pin, if it has one."""
    pin, level = problem.pins[copy], problem.levels[way.level]
    return pin is None or (pin.half, pin.tier) == (level.half, level.tier)


def _assignment(problem: Problem, kinds: Sequence[Kind], one: _Found) -> Assignment | None:
    """The assignment of a solution; facing items meet where that promises more."""
    seats: dict[int, Seat] = {}
    for kind in kinds:
        for copy in kind.copies:
            way = one[copy]
            seats[copy] = problem.seat(way.level, kind.asks[way.pose].piece, way.through)
    made = Assignment(tuple(seats[copy] for copy in sorted(seats)))
    if not stands(problem, made):
        return None
    able = [a for a in (made, *meeting(problem, made)) if elevation_of(problem, a) is not None]
    return min(able, key=lambda a: estimate(problem, a), default=None)
