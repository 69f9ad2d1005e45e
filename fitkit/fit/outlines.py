"""The stage for true outlines: two workers that share the best layouts.

Each takes an assignment and searches for its least box on a grid (:mod:`fitkit.fit.conflict`), in a
child. Where too many pieces are in each other's way for that, it nests strips in a child, over
widths, for a second or two each, and closes up what comes (:mod:`fitkit.fit.polish`); one of them
also tries every place (:mod:`fitkit.fit.raster`) in between. Then it searches near the best so far.
"""

from __future__ import annotations

import math
import random
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager

from fitkit.fit import quick, raster
from fitkit.fit.arrange import Layout, arrange, score_of
from fitkit.fit.assign import Assignment, elevation_of
from fitkit.fit.bounds import share
from fitkit.fit.candidates import neighbour
from fitkit.fit.child import Child, nest_job, spots_of
from fitkit.fit.elevation import Elevation
from fitkit.fit.pieces import Margins, Piece, Spot, quarter_free, room_of
from fitkit.fit.polish.child import Work
from fitkit.fit.polish.whole import better_of, compacted, roughly_compacted
from fitkit.fit.pool import Pool
from fitkit.fit.stacking import across, conflicts
from fitkit.fit.state import State

ENGINE = "fitkit.fit.engine"

SEARCHES = "fitkit.fit.conflict.child"

RUN_SHARE, LEAST_RUN_S, MOST_RUN_S = 0.27, 1, 10
"""How long the engine explores all strips of a layout: a share of the budget, within limits [s]."""

SQUARE = 0.5
"""Share of strips about as wide as a square of the pieces' area, each grown by half a web."""

NEAR_SHARE, NEAR_GRID_SHARE = 0.12, 0.03
"""How long a search near one layout takes, about, as a share of the budget: after a nesting, and
after a search on a grid."""

LOADED_S = 4.0
"""How long a worker waits for its child to be ready; where code is still being compiled, the first
time on a machine, it nests meanwhile [s]."""

WORTH = 1.03
"""A layout this much worse than the best is not closed up to the last hundredth."""

PLACES_PER_NEST = (0, 2)
"""For each worker: rounds of trying places between two nestings."""

GRID_COPIES = 25
"""Copies that must keep apart, up to which the search on a grid is worth its while."""

GRID_SHARE, MOST_GRID_SHARE, LEAST_GRID_S = 0.09, 0.3, 0.7
"""How long one search on a grid takes, about: a share of the budget for each time that the
assignment is searched, up to a most, and this at least [s]."""

FIRST_ROUND = 3
"""So many assignments each worker tries in turn before it prefers those that came out best."""

AFRESH = 0.5
"""Share of searches on a grid that begin with an empty board."""

HOPELESS = 1.06
"""Levels nested in a strip this much worse than the best are given up."""


@contextmanager
def loading() -> Iterator[tuple[Child, ...]]:
    """The workers' children, which load what they need meanwhile; killed when left."""
    with ExitStack() as stack:
        yield tuple(stack.enter_context(Child(SEARCHES)) for _ in PLACES_PER_NEST)


def improve(state: State, seed: int, watch: Callable[[], bool], children: Sequence[Child]) -> bool:
    """Nest until the search is over; true if it was cancelled. ``children`` are of `loading`."""
    state.stage = "outlines"
    workers = [
        threading.Thread(target=_work, args=(state, seed * 1000 + k, share, child), daemon=True)
        for k, (share, child) in enumerate(zip(PLACES_PER_NEST, children, strict=True))
    ]
    for worker in workers:
        worker.start()
    cancelled = False
    try:
        while not state.over():
            if watch():
                cancelled = True
                break
            state.stop.wait(0.08)
    finally:
        state.stop.set()
        for worker in workers:
            worker.join()
    if state.failure is not None:
        raise state.failure
    return cancelled


def _work(state: State, seed: int, places_per_nest: int, child: Child) -> None:
    """One worker, until the search is over; what goes wrong in it is raised by the caller."""
    try:
        _work_on(state, seed, places_per_nest, child)
    except Exception as error:  # noqa: BLE001  # kept for the thread that started this one
        state.failure = error
        state.stop.set()


def _work_on(state: State, seed: int, places_per_nest: int, child: Child) -> None:
    """Nest one assignment at one width, search near one of the best layouts; again."""
    rng = random.Random(seed)
    places = raster.Places(state, rng)
    pool = Pool()
    ready = False
    patience = LOADED_S
    visits: Counter[Assignment] = Counter()
    while not state.over():
        ready = ready or _ready(state, child, patience)
        patience = 0.0
        assignment = _pick(state, rng, sum(visits.values()), first=places_per_nest == 0)
        if assignment is None:
            return
        visits[assignment] += 1
        on_grid = ready and _few(state, assignment)
        if on_grid:
            pool.add(_on_grid(state, assignment, pool, child, rng, visits[assignment]))
        else:
            for _ in range(places_per_nest):
                if state.over():
                    return
                places.go_on(state.over)
            pool.add(_laid_out(state, assignment, rng))
        layout = pool.draw(rng)
        if layout is None or not ready or state.over():
            continue
        share = NEAR_GRID_SHARE if on_grid else NEAR_SHARE
        work = Work.near(
            state.problem,
            layout,
            seconds=share * state.budget_s * rng.uniform(0.7, 1.5),
            seed=rng.getrandbits(30),
        )
        child.hand(work.job())
        pool.add(_heard(state, layout.assignment, layout, child))


def _ready(state: State, child: Child, wait_s: float) -> bool:
    """Whether a child says within ``wait_s`` that it has loaded everything."""
    until = time.monotonic() + wait_s
    while not state.over():
        answers, _ = child.answers(0.05)
        if answers:
            return True
        if time.monotonic() >= until:
            break
    return False


def _few(state: State, assignment: Assignment) -> bool:
    """Whether the search on a grid is worth its while: no more copies in each other's way."""
    pairs = conflicts(state.problem, assignment)
    met = [sum(k in pair for pair in pairs) for k in range(len(assignment.seats))]
    return max(met, default=0) < GRID_COPIES


def _on_grid(
    state: State,
    assignment: Assignment,
    pool: Pool,
    child: Child,
    rng: random.Random,
    visit: int,
) -> Layout | None:
    """A layout of an assignment from a search on a grid; it has been offered."""
    problem = state.problem
    elevation = elevation_of(problem, assignment)
    if elevation is None:
        return None
    alike = [have for have in pool.kept if have.assignment == assignment]
    start = None if rng.random() < AFRESH or not alike else alike[0]
    share = min(GRID_SHARE * visit, MOST_GRID_SHARE)
    seconds = share * state.budget_s * rng.uniform(0.8, 1.3)
    work = Work(
        problem,
        assignment,
        elevation,
        () if start is None else start.spots,
        max(LEAST_GRID_S, seconds),
        rng.getrandbits(30),
    )
    child.hand({**work.job(), "on": "grid"})
    return _heard(state, assignment, start, child)


def _laid_out(state: State, assignment: Assignment, rng: random.Random) -> Layout | None:
    """A new layout of an assignment, closed up; it has been offered."""
    problem = state.problem
    elevation = elevation_of(problem, assignment)
    if elevation is None:
        return None
    if across(problem, assignment):
        # the engine knows one level at a time; trying places knows them all
        layout = raster.once(problem, raster.Recipe.drawn(assignment, rng), state.over)
        state.offer(layout, "places")
    else:
        layout = _nest_once(state, assignment, elevation, rng, rng.getrandbits(30))
        state.offer(layout, "outlines")
    return None if layout is None else _closed_up(state, layout)


def _closed_up(state: State, layout: Layout) -> Layout:
    """A layout closed up, more finely where it is among the best; it has been offered."""
    problem = state.problem
    if state.over():
        return layout
    closed = roughly_compacted(problem, layout, stop=state.over)
    best = state.best
    if best is None or closed.score.value < best.score.value * WORTH:
        closed = compacted(problem, closed, stop=state.over)
    state.offer(closed, "outlines")
    return closed


def _heard(
    state: State, assignment: Assignment, start: Layout | None, child: Child
) -> Layout | None:
    """The best that a child finds of an assignment; what gets better is closed up and offered."""
    best = start
    done = False
    while not done and not state.over():
        answers, done = child.answers(0.05)
        if answers:
            latest = [Spot(*spot) for spot in answers[-1]["spots"]]
            found = (
                arrange(state.problem, assignment, latest)
                if best is None
                else better_of(state.problem, best, latest)
            )
            state.offer(found if found is not best else None, "outlines")
            best = found
    if best is None or best is start or state.over():
        return best
    # the child takes outlines a little too large
    closed = compacted(state.problem, best, stop=state.over)
    state.offer(closed, "outlines")
    return closed


def _pick(state: State, rng: random.Random, turn: int, *, first: bool) -> Assignment | None:
    """An assignment to lay out: each of the best in turn at first, then rather the best ones."""
    kept = state.kept()
    if not kept:
        return None
    if turn < FIRST_ROUND:
        return kept[(2 * turn + (0 if first else 1)) % len(kept)]
    index = min(int(rng.expovariate(0.9)), len(kept) - 1)
    chosen = kept[index]
    if rng.random() < 0.25:
        other = neighbour(state.problem, chosen, rng)
        if other is not None:
            layout = quick.lay_out(state.problem, other, count=5, rng=rng, stop=state.over)
            state.offer(layout, "boxes")
            if (
                layout is not None
                and state.best is not None
                and (layout.score.value < state.best.score.value * 1.08)
            ):
                return other
    return chosen


def _nest_once(
    state: State,
    assignment: Assignment,
    elevation: Elevation,
    rng: random.Random,
    seed: int,
) -> Layout | None:
    """Every level of an assignment nested at one strip width; None if that is hopeless."""
    problem = state.problem
    margins = Margins.of(problem.payload, depth_mm=max(elevation.depths_mm))
    groups = [
        group for group in (assignment.of_level(k) for k in range(len(problem.levels))) if group
    ]
    groups.sort(key=lambda group: -sum(assignment.seats[k].piece.outline.area for k in group))
    levels = [[assignment.seats[k].piece for k in group] for group in groups]
    free = all(quarter_free(seat.piece) for seat in assignment.seats)
    base = 0.0 if free or rng.random() < 0.5 else 90.0
    width = _across(state, levels[0], margins, base, rng)
    spots: list[Spot | None] = [None] * len(assignment.seats)
    length, taken = 0.0, (0.0, 0.0)
    for group, pieces in zip(groups, levels, strict=True):
        if state.over():
            return None

        def good_enough(so_far: float, first: float = length) -> bool:
            return so_far <= first

        def hopeless(so_far: float) -> bool:
            size = (so_far + 2 * margins.body_mm, width + 2 * margins.body_mm, elevation.height_mm)
            best = state.best
            if best is None or best.score.miss_mm > 0:
                return False
            return score_of(problem, size).value > best.score.value * HOPELESS

        nested = _nest(state, pieces, width, base, seed, good_enough, len(levels))
        if nested is None:
            return None
        room = room_of(zip(pieces, nested, strict=True), margins)
        sides = (room[2] - room[0], room[3] - room[1])
        taken = (max(taken[0], sides[0]), max(taken[1], sides[1]))
        length = (taken[0] if base == 0 else taken[1]) - 2 * margins.body_mm
        if hopeless(length):
            return None  # the levels that are still to come can only add to it
        for k, spot in zip(group, nested, strict=True):
            spots[k] = spot
    done = [spot for spot in spots if spot is not None]
    return arrange(problem, assignment, done)


def _across(
    state: State, pieces: Sequence[Piece], margins: Margins, base: float, rng: random.Random
) -> float:
    """A strip width to try: near the best layout's sides, or anywhere sensible."""
    least = min(quick.widths(pieces, 0.0, count=1, base_deg=base))
    web, best, draw = state.problem.web_mm, state.best, rng.random()
    if draw < SQUARE:
        grown = sum(share(piece, web / 2).area_mm2 for piece in pieces)
        return max(least + 0.5, math.sqrt(grown) * rng.uniform(0.96, 1.1))
    if best is not None and draw < 0.85:
        side = rng.choice(best.size_mm[:2]) - 2 * margins.body_mm
        return max(least + 0.5, side * rng.choice((1.0, 0.985, rng.uniform(0.88, 1.12))))
    return max(least + 0.5, rng.choice(quick.widths(pieces, web, count=16, base_deg=base)))


def _nest(
    state: State,
    pieces: Sequence[Piece],
    across: float,
    base: float,
    seed: int,
    good_enough: Callable[[float], bool],
    levels: int,
) -> list[Spot] | None:
    """Spots for one level from the engine: the last layout it sent before it was stopped."""
    web = state.problem.web_mm
    share = RUN_SHARE * state.budget_s / levels
    seconds = round(min(max(share, LEAST_RUN_S), MOST_RUN_S))
    patience = 0.3 + 0.25 * seconds
    job = nest_job(pieces, across_mm=across, web_mm=web, seconds=seconds, seed=seed, base_deg=base)
    latest: list[Spot] | None = None
    with Child(ENGINE, job) as child:
        last = time.monotonic()
        while not state.stop.is_set():
            answers, done = child.answers(0.05)
            for answer in answers:
                found = spots_of(answer, pieces, base)
                if found is None:
                    continue
                latest, last = found, time.monotonic()
                reach = answer["length"] - 2 * web
                if good_enough(reach):
                    return latest
            if done or state.elapsed() >= state.budget_s:
                break
            if latest is not None and time.monotonic() - last > patience:
                break
    return latest
