"""The smallest-case search: first a layout in no time, then better ones until told to stop.

It runs in three stages. *Boxes*: assignments ranked by estimate are laid out as boxes around
pieces. *Proof*: where all outlines are upright rectangles in one level, candidate boxes are refuted
one after the other (:mod:`fitkit.fit.exact`). *Outlines*: true outlines are laid out for the best
assignments and their neighbours (:mod:`fitkit.fit.outlines`); what comes is tightened and checked.
With pins, or when work is counted instead of time, layouts come from :mod:`fitkit.fit.raster`.
"""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Callable

from attrs import evolve, field, frozen, mutable

from fitkit.fit import quick
from fitkit.fit.arrange import (
    Layout,
    interior_of,
    misses,
    placements_of,
)
from fitkit.fit.assign import (
    Assignment,
    Problem,
    candidates,
    elevation_of,
    first_candidate,
    neighbour,
    problem_of,
)
from fitkit.fit.bounds import BOUND_NAME, lower_bound
from fitkit.fit.fallback import check_pins
from fitkit.fit.layout import Fit, Improvement, Interior, Placement
from fitkit.fit.validate import violations
from fitkit.payload.model import Objective, Payload

FIRST_WIDTHS = 12
"""Strip widths that the first stage tries for each assignment."""

SEEDED = 14
"""Assignments that the first stage lays out."""

BOX_SHARE = 0.12
"""Share of the budget after which boxes give way to outlines."""

POOL = 6
"""Assignments that are kept for nesting."""


@frozen
class Progress:
    """Where a search stands: seconds so far and allowed, best value, bound, gap and size.

    ``value`` is None until the first layout; ``stage`` is a few words for people.
    """

    seconds: float
    budget_s: float
    value: float | None
    bound: float
    gap: float | None
    stage: str
    interior: Interior | None
    placements: tuple[Placement, ...] = ()


@mutable
class State:
    """What the stages share; guarded by ``lock``."""

    problem: Problem
    bound: float
    bound_name: str
    budget_s: float
    started: float
    counted: bool
    best: Layout | None = None
    history: list[Improvement] = field(factory=list)
    pool: dict[Assignment, float] = field(factory=dict)
    proven: bool = False
    stop: threading.Event = field(factory=threading.Event)
    lock: threading.RLock = field(factory=threading.RLock)
    steps: int = 0
    stage: str = "boxes"
    failure: Exception | None = None

    def elapsed(self) -> float:
        """Seconds since the start; 0 where work is counted instead."""
        return 0.0 if self.counted else time.monotonic() - self.started

    def over(self) -> bool:
        """Whether to stop: told to, proven, or out of time."""
        return self.stop.is_set() or self.proven or self.elapsed() >= self.budget_s

    def offer(self, layout: Layout | None, by: str) -> bool:
        """Take a layout if it is better than the best so far and passes the check."""
        if layout is None:
            return False
        with self.lock:
            value = layout.score.value + 1e12 * layout.score.miss_mm
            if value < self.pool.get(layout.assignment, float("inf")):
                self.pool[layout.assignment] = value
            if not layout.score.better_than(self.best.score if self.best else None):
                return False
            found = violations(
                self.problem.payload,
                interior=interior_of(self.problem, layout),
                placements=placements_of(self.problem, layout),
            )
            if found:
                return False
            self.best = layout
            self.history.append(Improvement(round(self.elapsed(), 2), layout.score.value, by))
            self.bounded(0.0)
            if layout.score.miss_mm <= 0 and self.problem.objective == "first":
                self.stop.set()
            return True

    def bounded(self, bound: float) -> None:
        """Take a bound that holds; the search is over when the best layout meets it."""
        with self.lock:
            self.bound = max(self.bound, bound)
            best = self.best.score if self.best else None
            if best and best.miss_mm <= 0 and best.value <= self.bound * (1 + 1e-9):
                self.proven = True

    def kept(self) -> list[Assignment]:
        """The best assignments so far, best first."""
        with self.lock:
            ranked = sorted(self.pool.items(), key=lambda pair: pair[1])
            return [assignment for assignment, _ in ranked[:POOL]]


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
    second from the calling thread; ``cancelled`` is asked as often, and KeyboardInterrupt counts as
    a cancel: the best layout so far comes back with ``interrupted`` set.
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
    interrupted = False

    def watch() -> bool:
        """Report, and say whether the search was cancelled."""
        if progress:
            progress(_progress(state))
        if cancelled and cancelled():
            state.stop.set()
            return True
        return False

    try:
        interrupted = _run(state, random.Random(seed), seed, watch)
    except KeyboardInterrupt:
        state.stop.set()
        interrupted = True
    finally:
        state.stop.set()
    if state.best is None:
        # stopped before anything was laid out, or given pins leave no room at all
        state.offer(_at_once(problem), "boxes")
    fit = _fit(state, seed, interrupted)
    return evolve(fit, misses=(*fit.misses, *_short_depths(asked, fit))) if short else fit


def _at_once(problem: Problem) -> Layout | None:
    """Any layout, made without looking at the clock."""
    from fitkit.fit import raster

    for assignment in candidates(problem, random.Random(0), most=3):
        layout = (
            raster.once(problem, raster.Recipe.plain(assignment))
            if any(problem.pins)
            else quick.lay_out(problem, assignment, count=3)
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


def _run(state: State, rng: random.Random, seed: int, watch: Callable[[], bool]) -> bool:
    """All stages; true if cancelled."""
    from fitkit.fit import exact, outlines, raster

    cancelled = watch()
    if any(state.problem.pins):
        return raster.improve(state, rng, watch) or cancelled
    cancelled = _boxes(state, rng, watch) or cancelled
    cancelled = cancelled or exact.prove(state, watch)
    if cancelled or state.over():
        return cancelled
    if state.counted:
        return raster.improve(state, rng, watch)
    return outlines.improve(state, seed, watch)


def _boxes(state: State, rng: random.Random, watch: Callable[[], bool]) -> bool:
    """The first stage: assignments as boxes, then their neighbours for a short while."""
    problem = state.problem
    quickly = first_candidate(problem)
    if quickly is not None:
        state.offer(quick.lay_out(problem, quickly, count=3), "boxes")
        if watch():
            return True
    state.bounded(lower_bound(problem.payload, problem.options, objective=problem.objective))
    if state.over():
        return False
    ranked = candidates(problem, rng, most=SEEDED)
    for assignment in ranked:
        layout = quick.lay_out(problem, assignment, count=FIRST_WIDTHS, stop=state.over)
        state.offer(layout, "boxes")
        if watch():
            return True
        if state.over():
            return False
        if state.best is not None and state.elapsed() > state.budget_s * BOX_SHARE:
            break
    tries = 0
    while ranked and (
        tries < 40 if state.counted else state.elapsed() < state.budget_s * BOX_SHARE
    ):
        tries += 1
        start = rng.choice(state.kept() or ranked)
        other = neighbour(problem, start, rng) if rng.random() < 0.7 else start
        if other is None or elevation_of(problem, other) is None:
            continue
        layout = quick.lay_out(
            problem, other, count=max(4, FIRST_WIDTHS // 2), rng=rng, stop=state.over
        )
        state.offer(layout, "boxes")
        if watch():
            return True
        if state.over():
            break
    return False


def _progress(state: State) -> Progress:
    with state.lock:
        best, problem = state.best, state.problem
        if best is None:
            return Progress(
                state.elapsed(), state.budget_s, None, state.bound, None, state.stage, None
            )
        value = best.score.value
        return Progress(
            seconds=state.elapsed(),
            budget_s=state.budget_s,
            value=value,
            bound=min(state.bound, value),
            gap=max(0.0, 1 - state.bound / value),
            stage=state.stage,
            interior=interior_of(problem, best),
            placements=placements_of(problem, best),
        )


def _fit(state: State, seed: int, interrupted: bool) -> Fit:
    best, problem = state.best, state.problem
    assert best is not None
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
    )
