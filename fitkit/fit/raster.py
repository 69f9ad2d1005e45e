"""Layouts by trying every place on a grid: for pins, for obstacles, and for counted work.

A level is a canvas of square cells. Where a piece may stand is found for all places at once by a
convolution of what is occupied with the piece grown by the web; of the places that are free the one
is taken that makes the case grow least. Places are checked on the true outlines before they are
used. Pieces go in by size with some noise, so that every round is another layout.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import shapely
from attrs import frozen, mutable
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.arrange import Layout, Score, arrange, pin_spot, score_of
from fitkit.fit.assign import Assignment, Problem, candidates, elevation_of, neighbour
from fitkit.fit.bounds import share
from fitkit.fit.pieces import Margins, Piece, Spot, room_of, turned_outline, turned_rooms
from fitkit.fit.skyline import cells
from fitkit.fit.tighten import tighten
from fitkit.geometry.shapes import grow, moved, union

if TYPE_CHECKING:
    from fitkit.fit.search import State

Grid = NDArray[np.floating]
"""Counts stay far below 2**24: single precision is exact enough to tell 0 hits from 1."""

CELLS = 160
"""About as many cells as a canvas is long."""

CHECKED = 24
"""Places per piece and turn that are checked on the true outlines, the best first."""

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
        self._ranked = candidates(state.problem, rng, most=12)
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
) -> Layout | None:
    """One layout by a recipe, or None if it was stopped or a level's canvas is full.

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
    pinned = any(problem.pins)
    groups = [assignment.of_level(level) for level in range(len(problem.levels))]
    groups = sorted((g for g in groups if g), key=lambda g: -_load(assignment, g, problem.web_mm))
    length = width = 0.0

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

    for group in groups:
        canvas = Canvas.of(problem, assignment, groups, [spot for spot in spots if spot], margins)
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
            found = canvas.seat(piece, cost)
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
        placed = [(assignment.seats[k].piece, spots[k]) for k in group]
        fixed = frozenset(j for j, k in enumerate(group) if problem.pins[k] is not None)
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


def _load(assignment: Assignment, group: Sequence[int], web_mm: float) -> float:
    return sum(share(assignment.seats[k].piece, web_mm / 2).area_mm2 for k in group)


def _order(recipe: Recipe, group: list[int], web_mm: float) -> list[int]:
    def size(k: int) -> float:
        cell = cells(recipe.assignment.seats[k].piece, web_mm)[0]
        return cell.length_mm * cell.width_mm * recipe.pushes[k]

    sizes = {k: size(k) for k in group}
    return sorted(group, key=lambda k: (-sizes[k], k))


@mutable
class Canvas:
    """One level as cells: what bodies take, what zones take, and the true outlines."""

    cell_mm: float
    shape: tuple[int, int]
    web_mm: float
    margins: Margins
    bodies: Grid
    zones: Grid
    outlines: list[Polygon]
    rooms: list[Polygon]

    @classmethod
    def of(
        cls,
        problem: Problem,
        assignment: Assignment,
        groups: Sequence[Sequence[int]],
        fixed: Sequence[Spot],
        margins: Margins,
    ) -> Canvas:
        """An empty canvas with room enough for any level of the assignment."""
        web = problem.web_mm
        boxes = [cells(seat.piece, web) for seat in assignment.seats]
        most = max(
            sum(min(c.length_mm * c.width_mm for c in boxes[k]) for k in group) for group in groups
        )
        longest = max(max(c.length_mm, c.width_mm) for have in boxes for c in have)
        rim = 2 * max(margins.body_mm, margins.zone_mm)
        reach = max([0.0, *(max(abs(s.x_mm), abs(s.y_mm)) for s in fixed)])
        side = max(1.9 * math.sqrt(most), 1.15 * longest) + rim + reach + longest * bool(fixed)
        cell = max(0.5, side / CELLS)
        count = math.ceil(side / cell)
        blank = np.zeros((count, count), dtype=np.float32)
        return cls(cell, (count, count), web, margins, blank, blank.copy(), [], [])

    def put(self, piece: Piece, spot: Spot) -> None:
        """Mark a piece as standing at a spot."""
        body, rooms = spot.body(piece), spot.rooms(piece)
        self.outlines.append(body)
        self.rooms.extend(rooms)
        self._mark(self.bodies, body)
        for room in rooms:
            self._mark(self.zones, room)

    def _mark(self, grid: Grid, shape: Polygon) -> None:
        x0, y0, x1, y1 = shape.bounds
        i0, j0 = max(0, int(x0 / self.cell_mm) - 1), max(0, int(y0 / self.cell_mm) - 1)
        i1 = min(self.shape[0], int(x1 / self.cell_mm) + 2)
        j1 = min(self.shape[1], int(y1 / self.cell_mm) + 2)
        if i1 <= i0 or j1 <= j0:
            return
        x, y = np.meshgrid(
            (np.arange(i0, i1) + 0.5) * self.cell_mm,
            (np.arange(j0, j1) + 0.5) * self.cell_mm,
            indexing="ij",
        )
        inside = shapely.contains_xy(shape.buffer(self.cell_mm * 0.5), x, y)
        grid[i0:i1, j0:j1] = np.maximum(grid[i0:i1, j0:j1], inside)

    def seat(self, piece: Piece, cost: Callable[[Grid, Grid], Grid]) -> Spot | None:
        """The free spot of least cost over all turns, or None if the canvas is full."""
        # the web around a piece may reach over the canvas' edge: room for it, so that nothing wraps
        size = _smooth(self.shape[0] + 2 * math.ceil(self.web_mm / self.cell_mm) + 4)
        shape = (size, size)
        taken = np.fft.rfft2(np.maximum(self.bodies, self.zones), shape)
        bodies = np.fft.rfft2(self.bodies, shape) if piece.plan.rooms else None
        best: tuple[float, Spot] | None = None
        for turn in _turns(piece, self.web_mm):
            found = self._place(piece, turn, taken, bodies, cost, shape)
            if found and (best is None or found[0] < best[0] - 1e-9):
                best = found
        return best[1] if best else None

    def _place(
        self,
        piece: Piece,
        turn: float,
        taken: NDArray[np.complexfloating],
        bodies: NDArray[np.complexfloating] | None,
        cost: Callable[[Grid, Grid], Grid],
        shape: tuple[int, int],
    ) -> tuple[float, Spot] | None:
        room = room_of([(piece, Spot(turn, 0.0, 0.0))], self.margins)
        cell, (rows, columns) = self.cell_mm, self.shape
        spectrum, (oi, oj) = _kernel(piece, turn, cell, self.web_mm, shape, False)
        hits = np.fft.irfft2(taken * spectrum, shape)
        # places: the piece's origin at x = x_first + i * cell, so that it touches the wall exactly
        i0, j0 = math.ceil(-room[0] / cell - 1e-9), math.ceil(-room[1] / cell - 1e-9)
        i1, j1 = math.floor(rows - room[2] / cell), math.floor(columns - room[3] / cell)
        if i1 < i0 or j1 < j0:
            return None
        i, j = np.arange(i0, i1 + 1), np.arange(j0, j1 + 1)
        free = hits[np.ix_((i + oi) % shape[0], (j + oj) % shape[1])] < 0.5
        if bodies is not None:
            spectrum, (zi, zj) = _kernel(piece, turn, cell, self.web_mm, shape, True)
            zone_hits = np.fft.irfft2(bodies * spectrum, shape)
            free &= zone_hits[np.ix_((i + zi) % shape[0], (j + zj) % shape[1])] < 0.5
        if not free.any():
            return None
        price = cost(
            np.broadcast_to(i[:, None] * cell + room[2], free.shape),
            np.broadcast_to(j[None, :] * cell + room[3], free.shape),
        )
        price = np.where(free, price, np.inf)
        flat = price.ravel()
        count = min(CHECKED, int(free.sum()))
        near = np.argpartition(flat, count - 1)[:count]
        for index in near[np.lexsort((near, flat[near]))]:
            a, b = divmod(int(index), free.shape[1])
            spot = Spot(turn, float(i[a]) * cell, float(j[b]) * cell)
            if self._holds(piece, spot):
                return float(flat[index]), spot
        return None

    def _holds(self, piece: Piece, spot: Spot) -> bool:
        own = [(spot.body(piece), [*self.outlines, *self.rooms])]
        own += [(room, self.outlines) for room in spot.rooms(piece)]
        for shape, others in own:
            if not others:
                continue
            array = np.array(others, dtype=object)
            if self.web_mm > 0:
                if bool(shapely.dwithin(array, shape, self.web_mm - 1e-6).any()):
                    return False
            elif float(shapely.area(shapely.intersection(array, shape)).max()) > 1e-9:
                return False
        return True


@lru_cache(maxsize=64)
def _smooth(least: int) -> int:
    """The least size at or above ``least`` that a fast Fourier transform likes: 2, 3 and 5 only."""
    size = least
    while True:
        rest = size
        for prime in (2, 3, 5):
            while rest % prime == 0:
                rest //= prime
        if rest == 1:
            return size
        size += 1


@lru_cache(maxsize=512)
def _turns(piece: Piece, web_mm: float) -> tuple[float, ...]:
    """Turns worth trying: those that give different outlines."""
    turns = list(dict.fromkeys((*piece.turns_deg, *(c.turn_deg for c in cells(piece, web_mm)))))
    seen: list[BaseGeometry] = []
    kept: list[float] = []
    for turn in turns:
        outline = turned_outline(piece, turn)
        x0, y0, _, _ = outline.bounds
        whole = union([outline, *turned_rooms(piece, turn)])
        own = moved(whole, by=(-x0, -y0))
        if any(own.equals_exact(other, 1e-6, normalize=True) for other in seen):
            continue
        seen.append(own)
        kept.append(turn)
    return tuple(kept)


@lru_cache(maxsize=512)
def _kernel(
    piece: Piece, turn: float, cell: float, web_mm: float, shape: tuple[int, int], zones: bool
) -> tuple[NDArray[np.complexfloating], tuple[int, int]]:
    """Spectrum of the mirrored cells of a piece grown by the web, and its origin's place in it."""
    true = union(turned_rooms(piece, turn)) if zones else turned_outline(piece, turn)
    grown = grow(true, web_mm - cell * 0.5) if web_mm > cell * 0.5 else true
    x0, y0, x1, y1 = grown.bounds
    i0, j0 = math.floor(x0 / cell), math.floor(y0 / cell)
    i1, j1 = math.ceil(x1 / cell), math.ceil(y1 / cell)
    x, y = np.meshgrid(
        (np.arange(i0, i1) + 0.5) * cell, (np.arange(j0, j1) + 0.5) * cell, indexing="ij"
    )
    inside = np.asarray(shapely.contains_xy(grown, x, y), dtype=np.float32)[::-1, ::-1]
    # convolving with the mirrored cells counts hits of the piece moved by (i, j) at
    # (i + i1 - 1, j + j1 - 1)
    return np.fft.rfft2(inside, shape), (i1 - 1, j1 - 1)
