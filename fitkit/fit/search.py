"""The smallest-case search: first a layout in no time, then better ones until told to stop.

It runs in three stages. *Boxes*: assignments ranked by estimate are laid out as boxes around
pieces. *Proof*: where all outlines are upright rectangles in one level, candidate boxes are refuted
one after the other (:mod:`fitkit.fit.exact`). *Outlines*: true outlines are laid out for the best
assignments and their neighbours (:mod:`fitkit.fit.outlines`); what comes is tightened and checked.
With pins, or when work is counted instead of time, layouts come from :mod:`fitkit.fit.raster`.
"""

from __future__ import annotations

import math
import random
import threading
import time
from collections.abc import Callable
from functools import partial

from attrs import evolve

from fitkit.fit import exact, master, outlines, quick, raster
from fitkit.fit.arrange import (
    Layout,
    interior_of,
    misses,
    placements_of,
)
from fitkit.fit.assign import Assignment, Problem, elevation_of, problem_of
from fitkit.fit.bounds import BOUND_NAME, GRID_MM, lower_bound, raise_bound
from fitkit.fit.candidates import candidates, first_candidate, neighbour
from fitkit.fit.fallback import check_pins, no_room
from fitkit.fit.heavy_low import heavy_low
from fitkit.fit.layout import Fit, Placement
from fitkit.fit.polish.finish import finished
from fitkit.fit.stacking import across
from fitkit.fit.state import Progress, State
from fitkit.fit.validate import violations
from fitkit.fit.watching import first_in_line, watched
from fitkit.payload.model import Objective, Payload

FIRST_WIDTHS = 12
"""Strip widths that the first stage tries for each assignment."""

SEEDED = 14
"""Assignments that the first stage lays out."""

MASTERED = 8
"""Assignments of the master that the first stage lays out."""

MASTER_SHARE = 0.2
"""Share of the budget after which the master's assignments wait for no more layouts."""

MASTER_FROM_S, MASTER_PER_COPY_S = 1.5, 0.05
"""Budgets below this, and so much more for each copy, leave no time for the master [s]."""

RAISE_SHARE = 0.4
"""Share of the budget in which the bound is raised beside the search."""

RAISE_FROM_S = 5.0
"""With work counted, budgets from this on are worth raising the bound [s]."""

BOX_SHARE, MORE_BOXES, MOST_BOX_SHARE = 0.12, 0.006, 0.36
"""Share of the budget after which boxes give way to outlines; more for each copy beyond MANY."""

MANY = 20
"""With more copies than this an outline layout takes long, and boxes are worth more time."""

AFTER_CANCEL_S = 0.06
"""How long a layout is improved after a cancel: turns set square, heavy items low [s]."""


def smallest(
    payload: Payload,
    *,
    objective: Objective | None = None,
    budget_s: float = 10.0,
    seed: int = 1,
    repeatable: bool = False,
    pins: tuple[Placement, ...] = (),
    progress: Callable[[Progress], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Fit:
    """The smallest interior found within the budget.

    Where the halves' given depths hold no arrangement, they are set free, and the fit's ``misses``
    say by how much they are short. BadInput if pins contradict the sheet or each other.

    ``budget_s`` [s] limits the search; ``repeatable`` counts work instead and gives the same answer
    for the same ``seed``. ``pins`` stay where they are. ``progress`` is called about ten times a
    second from the calling thread; ``cancelled`` is asked twice as often, and KeyboardInterrupt
    counts as a cancel: the best layout so far comes back at once, with ``interrupted`` set.
    """
    goal = objective or payload.case.objective
    check_pins(payload, pins)
    short = not _depths_hold(payload, goal)
    asked, payload = payload, (_depths_free(payload) if short else payload)
    problem = problem_of(payload, objective=goal, pins={(pin.item, pin.copy): pin for pin in pins})
    state = State(
        problem=problem,
        bound=0.0,
        bound_name=BOUND_NAME,
        budget_s=budget_s,
        started=time.monotonic(),
        counted=repeatable,
    )
    interrupted = watched(
        state,
        lambda: _run(state, random.Random(seed), seed),
        progress=progress,
        cancelled=cancelled,
    )
    if state.best is None:
        # stopped before anything was laid out, or given pins leave no room at all
        state.offer(_at_once(problem), "boxes")
    if state.best is None:
        raise no_room(asked, pins)
    with first_in_line():
        fit = _fit(state, seed, interrupted)
    return evolve(fit, misses=(*fit.misses, *_short_depths(asked, fit))) if short else fit


def _lay_out(
    problem: Problem,
    assignment: Assignment,
    *,
    count: int,
    rng: random.Random | None = None,
    stop: Callable[[], bool] = lambda: False,
) -> Layout | None:
    """A quick layout: boxes on a skyline, or on a grid where levels are in each other's way."""
    if across(problem, assignment):
        draw = raster.Recipe.drawn(assignment, rng) if rng else raster.Recipe.plain(assignment)
        return raster.once(problem, draw, stop)
    return quick.lay_out(problem, assignment, count=count, rng=rng, stop=stop)


def _at_once(problem: Problem) -> Layout | None:
    """Any layout, made without looking at the clock."""
    for assignment in candidates(problem, random.Random(0), most=3):
        layout = (
            raster.once(problem, raster.Recipe.plain(assignment))
            if any(problem.pins)
            else _lay_out(problem, assignment, count=3)
        )
        if layout is not None:
            return layout
    return None


def _depths_hold(payload: Payload, objective: Objective) -> bool:
    """Whether any assignment fits the depths that were given."""
    if payload.case.depths_mm == (None, None):
        return True
    problem = problem_of(payload, objective=objective, pins={})
    return bool(candidates(problem, random.Random(0), most=1))


def _depths_free(payload: Payload) -> Payload:
    return evolve(payload, case=evolve(payload.case, depths_mm=(None, None)))


def _short_depths(asked: Payload, fit: Fit) -> list[str]:
    found = []
    for half, given in zip(fit.interior.halves, asked.case.depths_mm, strict=False):
        if given is not None and half.depth_mm > given + 1e-6:
            found.append(
                f"the {half.name} half must be {half.depth_mm:.1f} mm deep inside, "
                f"{half.depth_mm - given:.1f} mm more than the {given:.1f} mm given"
            )
    return found


def _run(state: State, rng: random.Random, seed: int) -> None:
    """All stages, each until it has no more to give or the search is stopped."""
    if any(state.problem.pins):
        raster.improve(state, rng, state.stop.is_set)
        return
    _first(state)
    if state.over():
        return
    if state.counted:
        _boxes(state, rng)
        if not state.over():
            exact.prove(state, state.stop.is_set)
        if not state.over() and state.budget_s >= RAISE_FROM_S:
            _raise_bound(state)
        if not state.over():
            raster.improve(state, rng, state.stop.is_set)
    elif exact.rectangles_of(state.problem) is not None:
        _boxes(state, rng)
        if not state.over():
            exact.prove(state, state.stop.is_set)
        if not state.over():
            with outlines.loading() as children:
                outlines.improve(state, seed, state.stop.is_set, children)
    else:
        _all_at_work(state, rng, seed)


def _all_at_work(state: State, rng: random.Random, seed: int) -> None:
    """Boxes, then outlines, while the bound rises; what takes time to load is begun at once."""
    climb = threading.Thread(target=_beside, args=(state,), name="bound", daemon=True)
    with outlines.loading() as children:
        climb.start()
        try:
            _boxes(state, rng)
            if not state.over():
                outlines.improve(state, seed, state.stop.is_set, children)
        finally:
            climb.join()
    if state.failure is not None:
        raise state.failure


def _beside(state: State) -> None:
    """Raise the bound in a thread of its own; what goes wrong is raised by the one that waits."""
    try:
        _raise_bound(state)
    except Exception as error:  # noqa: BLE001  # kept for the thread that runs the stages
        state.failure = error
        state.stop.set()


def _raise_bound(state: State) -> None:
    """Raise the bound for a share of the budget."""
    raise_bound(
        state.problem,
        report=state.bounded,
        best=state.best.score.value if state.best else math.inf,
        seconds=None if state.counted else RAISE_SHARE * state.budget_s,
        stop=state.over,
    )


def _first(state: State) -> None:
    """A layout in no time, and a bound."""
    problem = state.problem
    quickly = first_candidate(problem)
    if quickly is not None:
        state.offer(_lay_out(problem, quickly, count=3), "boxes")
    state.bounded(
        lower_bound(problem.payload, problem.options, objective=problem.objective), BOUND_NAME
    )


def _boxes(state: State, rng: random.Random) -> None:
    """The first stage: assignments as boxes, then their neighbours for a short while."""
    problem = state.problem
    if any(len(poses) > 1 for poses in problem.options) or len(problem.levels) > 1:
        _mastered(state)
    ranked = candidates(problem, rng, most=SEEDED, stop=lambda: _late(state, _box_share(state)))
    for assignment in ranked:
        layout = _lay_out(problem, assignment, count=FIRST_WIDTHS, stop=state.over)
        state.offer(layout, "boxes")
        if state.over():
            return
        if state.best is not None and _late(state, _box_share(state)):
            break
    tries = 0
    while ranked and (tries < 40 if state.counted else not _late(state, _box_share(state))):
        tries += 1
        start = rng.choice(state.kept() or ranked)
        other = neighbour(problem, start, rng) if rng.random() < 0.7 else start
        if other is None or elevation_of(problem, other) is None:
            continue
        layout = _lay_out(problem, other, count=max(4, FIRST_WIDTHS // 2), rng=rng, stop=state.over)
        state.offer(layout, "boxes")
        if state.over():
            return


def _mastered(state: State) -> None:
    """Lay out what the master shares out, unless there is no time for it."""
    needed = MASTER_FROM_S + MASTER_PER_COPY_S * len(state.problem.copies)
    if not state.counted and state.budget_s < needed:
        return
    late = partial(_late, state, max(MASTER_SHARE, _box_share(state)))
    for assignment in master.assignments(state.problem, most=MASTERED, stop=late):
        layout = _lay_out(state.problem, assignment, count=FIRST_WIDTHS, stop=state.over)
        state.offer(layout, "boxes")
        if late():
            return


def _box_share(state: State) -> float:
    more = MORE_BOXES * max(0, len(state.problem.copies) - MANY)
    return min(BOX_SHARE + more, MOST_BOX_SHARE)


CLOSING_SHARE = 0.2
"""Share of the budget that the last touch on a layout may take beyond it."""

CLOSING_LEAST_S = 1.0
"""The last touch may take at least this long [s]."""


def _late(state: State, share: float) -> bool:
    """Whether a share of the budget is over, or the search; where work counts only the latter."""
    return state.over() or (not state.counted and state.elapsed() > share * state.budget_s)


def _if_it_holds(problem: Problem, layout: Layout, before: Layout) -> Layout:
    """``layout`` if nothing is wrong with it, else the one before."""
    interior, placements = interior_of(problem, layout), placements_of(problem, layout)
    wrong = violations(problem.payload, interior=interior, placements=placements)
    return before if wrong else layout


def _closing_s(state: State, interrupted: bool) -> float:
    """How long the last touch on the layout may take [s]; without end where work is counted."""
    if interrupted:
        return AFTER_CANCEL_S
    return math.inf if state.counted else max(CLOSING_LEAST_S, CLOSING_SHARE * state.budget_s)


def _fit(state: State, seed: int, interrupted: bool) -> Fit:
    best, problem = state.best, state.problem
    assert best is not None
    until = time.monotonic() + _closing_s(state, interrupted)
    if time.monotonic() <= until:
        best = _if_it_holds(problem, heavy_low(problem, best), best)
    best = finished(problem, best, stop=lambda: time.monotonic() > until)
    value = best.score.value
    proven = state.proven or state.bound >= value * (1 - 1e-9)
    bound = value if proven else min(state.bound, value)
    return Fit(
        objective=problem.objective,
        value=value,
        bound=bound,
        bound_name=state.bound_name,
        gap=0.0 if proven else 1 - bound / value,
        proven=proven,
        seconds=round(state.elapsed(), 2),
        seed=seed,
        interior=interior_of(problem, best),
        placements=placements_of(problem, best),
        history=tuple(state.history),
        misses=tuple(text for _, text in misses(problem.payload, best.size_mm)),
        interrupted=interrupted,
        grid_mm=GRID_MM,
    )
