"""Layouts by trying every place on a grid: for pins, for obstacles, and for counted work.

Each piece goes where the case grows least (:mod:`fitkit.fit.canvas`). They go in by size with some
noise, so that every round is another layout; the best recipes so far are varied.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Mapping, Sequence
from types import MappingProxyType

import numpy as np
from attrs import frozen

from fitkit.fit.arrange import Layout, Score, arrange, pin_spot, score_of
from fitkit.fit.assign import Assignment, Problem, elevation_of
from fitkit.fit.bounds import share
from fitkit.fit.candidates import candidates, neighbour
from fitkit.fit.canvas import Canvas, Grid
from fitkit.fit.pieces import Margins, Piece, Spot, room_of
from fitkit.fit.skyline import cells
from fitkit.fit.stacking import Pair, across, linked
from fitkit.fit.state import State
from fitkit.fit.tighten import tighten

REFINED = 0.6
"""Share of rounds that vary one of the best recipes so far; the others are drawn anew."""

KEPT_RECIPES = 4
"""Recipes that are varied."""

ROUNDS_PER_SECOND = 5.0
"""With work counted instead of time: layouts of a dozen pieces that stand for one second."""


def improve(state: State, rng: random.Random, watch: Callable[[], bool]) -> bool:
    """Lay out round after round until the search is over; true if cancelled.

    With work counted, the number of rounds follows from the budget and the number of copies.
    """
    state.stage = "places"
    rounds = round(state.budget_s * ROUNDS_PER_SECOND * 12 / len(state.problem.copies))
    places = Places(state, rng)
    cancelled = False

    def stopped() -> bool:
        nonlocal cancelled
        cancelled = cancelled or watch()
        return cancelled or state.over()

    while places.go_on(stopped) and not stopped():
        if state.counted and places.rounds >= max(2, rounds):
            break
    return cancelled


class Places:
    """Rounds of layouts for one search; the best recipes so far are varied."""

    def __init__(self, state: State, rng: random.Random) -> None:
        """Start with the likeliest assignments."""
        self.state, self.rng, self.rounds = state, rng, 0
        known = [] if state.counted else state.kept()
        self._ranked = known or candidates(state.problem, rng, most=12, stop=state.over)
        self._recipes: list[tuple[float, Recipe]] = []

    def go_on(self, stopped: Callable[[], bool]) -> bool:
        """One more round; false if there is nothing to lay out."""
        state = self.state
        known = [*(state.kept() or self._ranked)[:4]]
        if not known:
            return False
        recipe = self._next(known)
        self.rounds += 1
        best = state.best.score if state.best else None
        layout = once(state.problem, recipe, stopped, worth=best)
        if layout is not None:
            state.offer(layout, "places")
            self._recipes.append((layout.score.value + 1e12 * layout.score.miss_mm, recipe))
            self._recipes = sorted(self._recipes, key=lambda pair: pair[0])[:KEPT_RECIPES]
        return True

    def _next(self, known: Sequence[Assignment]) -> Recipe:
        rng = self.rng
        if self.rounds < min(3, len(self._ranked)):
            return Recipe.plain(self._ranked[self.rounds])
        if self._recipes and rng.random() < REFINED:
            return rng.choice(self._recipes)[1].varied(self.state.problem, rng)
        return Recipe.drawn(rng.choice(known), rng)


@frozen
class Recipe:
    """How one layout is made: the assignment, each copy's push in the order, the plan's stretch."""

    assignment: Assignment
    pushes: tuple[float, ...]
    stretch: float

    @classmethod
    def plain(cls, assignment: Assignment) -> Recipe:
        """Strictly by size, as square as may be."""
        return cls(assignment, (1.0,) * len(assignment.seats), 1.0)

    @classmethod
    def drawn(cls, assignment: Assignment, rng: random.Random) -> Recipe:
        """With noise in the order and a stretch of its own."""
        pushes = tuple(rng.uniform(0.6, 1.4) for _ in assignment.seats)
        return cls(assignment, pushes, rng.uniform(0.55, 1.8))

    def varied(self, problem: Problem, rng: random.Random) -> Recipe:
        """A little different: some pushes, the stretch, or a neighbouring assignment."""
        pushes = list(self.pushes)
        for _ in range(rng.randint(1, 2)):
            pushes[rng.randrange(len(pushes))] = rng.uniform(0.4, 1.8)
        stretch = self.stretch * rng.uniform(0.93, 1.07) if rng.random() < 0.5 else self.stretch
        other = neighbour(problem, self.assignment, rng) if rng.random() < 0.35 else None
        return Recipe(other or self.assignment, tuple(pushes), stretch)


def once(
    problem: Problem,
    recipe: Recipe,
    stopped: Callable[[], bool] = lambda: False,
    *,
    worth: Score | None = None,
    given: Mapping[int, Spot] = MappingProxyType({}),
) -> Layout | None:
    """One layout by a recipe, or None if it was stopped or a level's canvas is full.

    ``given`` are spots of copies (by index) that are laid out already, with the case's corner at
    the origin; the others go around them.

    A layout that is far from ``worth`` even before it is closed up comes back as it is.
    """
    assignment, stretch = recipe.assignment, recipe.stretch
    elevation = elevation_of(problem, assignment)
    if elevation is None:
        return None
    margins = Margins.of(problem.payload, depth_mm=max(elevation.depths_mm))
    spots: list[Spot | None] = [
        None if pin is None else pin_spot(seat.piece, pin)
        for seat, pin in zip(assignment.seats, problem.pins, strict=True)
    ]
    length = width = 0.0
    for k, known in given.items():
        spots[k] = known
        room = room_of([(assignment.seats[k].piece, known)], margins)
        length, width = max(length, room[2]), max(width, room[3])
    pinned = any(problem.pins)
    groups = [assignment.of_level(level) for level in range(len(problem.levels))]
    groups = sorted((g for g in groups if g), key=lambda g: -_load(assignment, g, problem.web_mm))

    def cost(x: Grid, y: Grid) -> Grid:
        """What the case comes to when a piece reaches to x and y; nearness to the corner last."""
        long, wide = np.maximum(x, length), np.maximum(y, width) * stretch
        if problem.objective == "longest":
            grown = np.maximum(long, wide) + 0.01 * (long + wide)
        elif problem.objective == "linear":
            grown = long + wide
        else:
            grown = np.sqrt(long * wide)
        return grown + 0.02 * (x + y)

    facing = across(problem, assignment)
    sharing = [
        [k for level in levels for k in assignment.of_level(level)]
        for levels in linked(problem, assignment)
    ]
    for group in groups:
        canvas = Canvas.of(problem, assignment, sharing, [spot for spot in spots if spot], margins)
        for k in group:
            spot = spots[k]
            if spot is not None:
                canvas.put(assignment.seats[k].piece, spot)
                room = room_of([(assignment.seats[k].piece, spot)], margins)
                length, width = max(length, room[2]), max(width, room[3])
        for k in _order(recipe, [k for k in group if spots[k] is None], problem.web_mm):
            if stopped():
                return None
            piece = assignment.seats[k].piece
            met = _met(assignment, spots, k, facing)
            found = canvas.with_also(met).seat(piece, cost) if met else canvas.seat(piece, cost)
            if found is None:
                return None
            spots[k] = found
            canvas.put(piece, found)
            room = room_of([(piece, found)], margins)
            length, width = max(length, room[2]), max(width, room[3])
    size = (length, width, elevation.height_mm)
    if worth is not None and score_of(problem, size).hopeless(worth):
        return arrange(problem, assignment, [spot for spot in spots if spot is not None])
    for group in groups:
        # those of other levels that are in the way stay where they are
        group = [*group, *sorted({k for pair in facing for k in _others(pair, group)})]
        placed = [(assignment.seats[k].piece, spots[k]) for k in group]
        guests = {k for k in group if assignment.seats[k].level != assignment.seats[group[0]].level}
        fixed = frozenset(
            j for j, k in enumerate(group) if problem.pins[k] is not None or k in guests
        )
        tight = tighten(
            [(piece, spot) for piece, spot in placed if spot is not None],
            web_mm=problem.web_mm,
            margins=margins,
            fixed=fixed,
            corner_mm=(0.0, 0.0) if pinned else None,
        )
        for k, spot in zip(group, tight, strict=True):
            spots[k] = spot
    return arrange(problem, assignment, [spot for spot in spots if spot is not None])


def _met(
    assignment: Assignment, spots: Sequence[Spot | None], copy: int, pairs: Iterable[Pair]
) -> list[tuple[Piece, Spot]]:
    """Those already placed on other levels that ``copy`` must keep the web from."""
    found = []
    for pair in sorted(pairs):
        for k in _others(pair, [copy]):
            spot = spots[k]
            if spot is not None:
                found.append((assignment.seats[k].piece, spot))
    return found


def _others(pair: Pair, group: Sequence[int]) -> list[int]:
    """The other one of a pair, for a group that has one of the two."""
    i, j = pair
    return [j] if i in group and j not in group else [i] if j in group and i not in group else []


def _load(assignment: Assignment, group: Sequence[int], web_mm: float) -> float:
    return sum(share(assignment.seats[k].piece, web_mm / 2).area_mm2 for k in group)


def _order(recipe: Recipe, group: list[int], web_mm: float) -> list[int]:
    def size(k: int) -> float:
        cell = cells(recipe.assignment.seats[k].piece, web_mm)[0]
        return cell.length_mm * cell.width_mm * recipe.pushes[k]

    sizes = {k: size(k) for k in group}
    return sorted(group, key=lambda k: (-sizes[k], k))
