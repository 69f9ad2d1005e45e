"""The stage for true outlines: two workers that share the best layouts.

Both nest strips in children, over widths and assignments; one of them also tries every place on a
grid (:mod:`fitkit.fit.raster`) in between.
"""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Callable, Sequence

from fitkit.fit import quick, raster
from fitkit.fit.arrange import Layout, arrange, score_of
from fitkit.fit.assign import Assignment, elevation_of
from fitkit.fit.candidates import neighbour
from fitkit.fit.child import Child, nest_job, spots_of
from fitkit.fit.elevation import Elevation
from fitkit.fit.pieces import Margins, Piece, Spot, quarter_free, room_of
from fitkit.fit.state import State
from fitkit.fit.tighten import tighten

ENGINE = "fitkit.fit.engine"

PLACES_PER_NEST = (0, 8)
"""For each worker: rounds of trying places between two nestings."""

HOPELESS = 1.06
"""A strip this much worse than the best is given up as soon as its first layout is in."""


def improve(state: State, seed: int, watch: Callable[[], bool]) -> bool:
    """Nest until the search is over; true if it was cancelled."""
    state.stage = "outlines"
    workers = [
        threading.Thread(target=_work, args=(state, seed * 1000 + k, share), daemon=True)
        for k, share in enumerate(PLACES_PER_NEST)
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


def _work(state: State, seed: int, places_per_nest: int) -> None:
    """One worker, until the search is over; what goes wrong in it is raised by the caller."""
    try:
        _work_on(state, seed, places_per_nest)
    except Exception as error:  # noqa: BLE001  # kept for the thread that started this one
        state.failure = error
        state.stop.set()


def _work_on(state: State, seed: int, places_per_nest: int) -> None:
    """Try places for some rounds, then nest one assignment at one width; again."""
    rng = random.Random(seed)
    places = raster.Places(state, rng)
    turn = 0
    while not state.over():
        turn += 1
        for _ in range(places_per_nest):
            if state.over():
                return
            places.go_on(state.over)
        assignment = _pick(state, rng)
        if assignment is None:
            return
        elevation = elevation_of(state.problem, assignment)
        if elevation is not None:
            _nest_once(state, assignment, elevation, rng, seed * 97 + turn)


def _pick(state: State, rng: random.Random) -> Assignment | None:
    kept = state.kept()
    if not kept:
        return None
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
) -> None:
    """Nest every level of an assignment at one strip width and offer what comes of it."""
    problem = state.problem
    margins = Margins.of(problem.payload, depth_mm=max(elevation.depths_mm))
    groups = [
        group for group in (assignment.of_level(k) for k in range(len(problem.levels))) if group
    ]
    groups.sort(key=lambda group: -sum(assignment.seats[k].piece.outline.area for k in group))
    levels = [[assignment.seats[k].piece for k in group] for group in groups]
    free = all(quarter_free(seat.piece) for seat in assignment.seats)
    base = 0.0 if free or rng.random() < 0.5 else 90.0
    across = _across(state, levels[0], margins, base, rng)
    spots: list[Spot | None] = [None] * len(assignment.seats)
    length, taken = 0.0, (0.0, 0.0)
    for group, pieces in zip(groups, levels, strict=True):
        if state.over():
            return

        def good_enough(so_far: float, first: float = length) -> bool:
            return so_far <= first

        def hopeless(so_far: float) -> bool:
            size = (so_far + 2 * margins.body_mm, across + 2 * margins.body_mm, elevation.height_mm)
            best = state.best
            if best is None or best.score.miss_mm > 0:
                return False
            return score_of(problem, size).value > best.score.value * HOPELESS

        nested = _nest(state, pieces, across, base, seed, good_enough, hopeless)
        if nested is None:
            return
        placed = list(zip(pieces, nested, strict=True))
        tight = tighten(placed, web_mm=problem.web_mm, margins=margins)
        room = room_of(zip(pieces, tight, strict=True), margins)
        sides = (room[2] - room[0], room[3] - room[1])
        taken = (max(taken[0], sides[0]), max(taken[1], sides[1]))
        length = (taken[0] if base == 0 else taken[1]) - 2 * margins.body_mm
        best = state.best
        if best and not score_of(problem, (*taken, elevation.height_mm)).better_than(best.score):
            return  # the levels that are still to come can only add to it
        for k, spot in zip(group, tight, strict=True):
            spots[k] = spot
    done = [spot for spot in spots if spot is not None]
    layout: Layout | None = arrange(problem, assignment, done)
    state.offer(layout, "outlines")


def _across(
    state: State, pieces: Sequence[Piece], margins: Margins, base: float, rng: random.Random
) -> float:
    """A strip width to try: near the best layout's sides, or anywhere sensible."""
    least = min(quick.widths(pieces, 0.0, count=1, base_deg=base))
    best = state.best
    if best is not None and rng.random() < 0.75:
        side = rng.choice(best.size_mm[:2]) - 2 * margins.body_mm
        return max(least + 0.5, side * rng.choice((1.0, 0.985, rng.uniform(0.88, 1.12))))
    return max(
        least + 0.5, rng.choice(quick.widths(pieces, state.problem.web_mm, count=16, base_deg=base))
    )


def _nest(
    state: State,
    pieces: Sequence[Piece],
    across: float,
    base: float,
    seed: int,
    good_enough: Callable[[float], bool],
    hopeless: Callable[[float], bool],
) -> list[Spot] | None:
    """Spots for one level from the engine: the last layout it sent before it was stopped."""
    web = state.problem.web_mm
    patience = 0.3 + 0.04 * len(pieces)
    job = nest_job(pieces, across_mm=across, web_mm=web, seconds=2, seed=seed, base_deg=base)
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
            if latest is not None and answers and hopeless(answers[-1]["length"] - 2 * web):
                # it may still shrink: give it a moment, not the whole patience
                patience = min(patience, 0.2)
            if done or state.elapsed() >= state.budget_s:
                break
            if latest is not None and time.monotonic() - last > patience:
                break
    return latest
