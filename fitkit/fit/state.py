"""What a search knows while it runs: shared by its stages, told to whoever watches."""

from __future__ import annotations

import threading
import time

from attrs import field, frozen, mutable

from fitkit.fit.arrange import Layout, interior_of, placements_of
from fitkit.fit.assign import Assignment, Problem
from fitkit.fit.layout import Improvement, Interior, Placement
from fitkit.fit.validate import violations
from fitkit.fit.wall_gear.rights import has_wall_gear, put_right

POOL = 6
"""Assignments that are kept for nesting."""


@frozen
class Progress:
    """Where a search stands: seconds so far and allowed, best value, bound, gap and size.

    ``value`` is None until the first layout; ``stage`` is a few words for people. ``bound_name``
    says which bound it is, ``by`` who found the best layout ("" until there is one).
    """

    seconds: float
    budget_s: float
    value: float | None
    bound: float
    gap: float | None
    stage: str
    interior: Interior | None
    placements: tuple[Placement, ...] = ()
    bound_name: str = ""
    by: str = ""


def _holds(problem: Problem, layout: Layout) -> bool:
    return not violations(
        problem.payload,
        interior=interior_of(problem, layout),
        placements=placements_of(problem, layout),
    )


@mutable
class State:
    """What the stages share; guarded by ``lock``.

    ``stop`` ends the search, ``laid`` is set once there is a layout to keep. ``bound`` holds for
    every layout of the problem, under the name ``bound_name``. Once ``closed`` nothing is taken any
    more: the answer has been given.
    """

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
    laid: threading.Event = field(factory=threading.Event)
    lock: threading.RLock = field(factory=threading.RLock)
    steps: int = 0
    stage: str = "boxes"
    failure: Exception | None = None
    closed: bool = False

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
            if self.closed:
                return False
            value = layout.score.value + 1e12 * layout.score.miss_mm
            if value < self.pool.get(layout.assignment, float("inf")):
                self.pool[layout.assignment] = value
            best = self.best.score if self.best else None
            if not layout.score.better_than(best):
                return False
            if has_wall_gear(self.problem):
                layout = put_right(self.problem, layout, holds=_holds)
                if not layout.score.better_than(best):
                    return False
            if not _holds(self.problem, layout):
                return False
            self.best = layout
            self.history.append(Improvement(round(self.elapsed(), 2), layout.score.value, by))
            self.laid.set()
            self._met()
            if layout.score.miss_mm <= 0 and self.problem.objective == "first":
                self.stop.set()
            return True

    def bounded(self, bound: float, name: str | None = None) -> bool:
        """Take a bound that holds, with its name, if it is above the best so far; true if it was.

        The search is over when the best layout meets the bound.
        """
        with self.lock:
            better = bound > self.bound and not self.closed
            if better:
                self.bound, self.bound_name = bound, name or self.bound_name
            self._met()
            return better

    def _met(self) -> None:
        best = self.best.score if self.best else None
        if best and best.miss_mm <= 0 and best.value <= self.bound * (1 + 1e-9):
            self.proven = True

    def kept(self) -> list[Assignment]:
        """The best assignments so far, best first."""
        with self.lock:
            ranked = sorted(self.pool.items(), key=lambda pair: pair[1])
            return [assignment for assignment, _ in ranked[:POOL]]

    def progress(self) -> Progress:
        """Where the search stands now."""
        with self.lock:
            best, problem = self.best, self.problem
            if best is None:
                return Progress(
                    self.elapsed(),
                    self.budget_s,
                    None,
                    self.bound,
                    None,
                    self.stage,
                    None,
                    bound_name=self.bound_name,
                )
            value = best.score.value
            return Progress(
                seconds=self.elapsed(),
                budget_s=self.budget_s,
                value=value,
                bound=min(self.bound, value),
                gap=max(0.0, 1 - self.bound / value),
                stage=self.stage,
                interior=interior_of(problem, best),
                placements=placements_of(problem, best),
                bound_name=self.bound_name,
                by=self.history[-1].by,
            )
