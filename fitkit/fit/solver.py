"""A small front to the constraint solver's own model records.

Only what :mod:`fitkit.fit.bounds` and :mod:`fitkit.fit.master` need. It imports the solver's
compiled part alone, which takes a tenth of a second; the usual front end takes two. Variables are
whole numbers known by their index; a true/false variable's opposite is ``~index``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Literal

from attrs import frozen

Term = tuple[int, int]
"""A variable and its coefficient."""

Status = Literal["optimal", "feasible", "infeasible", "unknown"]


@frozen
class Answer:
    """What came of a solve: status, the variables' values if any, and the objective's bound.

    ``work`` is the solver's own count of work, about a second each, the same in every run.
    """

    status: Status
    values: tuple[int, ...]
    bound: float
    work: float

    def of(self, terms: Sequence[Term], constant: int = 0) -> int:
        """The value of a linear expression."""
        return constant + sum(factor * self.values[at] for at, factor in terms)


class Model:
    """A constraint model that is built up and solved once."""

    def __init__(self) -> None:
        """An empty model."""
        from ortools.sat.python import cp_model_helper

        self._front: Any = cp_model_helper
        self._model: Any = cp_model_helper.CpModelProto()
        self._count = 0

    def whole(self, low: int, high: int) -> int:
        """A new whole variable in [low, high]."""
        self._model.variables.add().domain.extend([low, high])
        self._count += 1
        return self._count - 1

    def flag(self) -> int:
        """A new true/false variable."""
        return self.whole(0, 1)

    def linear(
        self, terms: Iterable[Term], low: int, high: int, *, when: Sequence[int] = ()
    ) -> None:
        """Require low <= sum of terms <= high (where all flags of ``when`` hold)."""
        made = self._model.constraints.add()
        pairs = list(terms)
        made.linear.vars.extend([at for at, _ in pairs])
        made.linear.coeffs.extend([factor for _, factor in pairs])
        made.linear.domain.extend([low, high])
        made.enforcement_literal.extend(list(when))

    def exactly_one(self, flags: Iterable[int]) -> None:
        """Require that exactly one of the flags holds."""
        self._model.constraints.add().exactly_one.literals.extend(list(flags))

    def span(
        self, start: int, size: int | tuple[int, int, int], end: int, *, when: int | None = None
    ) -> int:
        """An interval from variable ``start`` to ``end``; gives its number.

        ``size`` is a constant or (variable, factor, constant); ``when`` the flag of its presence.
        """
        at = len(self._model.constraints)
        made = self._model.constraints.add()
        for part, variable in ((made.interval.start, start), (made.interval.end, end)):
            part.vars.extend([variable])
            part.coeffs.extend([1])
        if isinstance(size, int):
            made.interval.size.offset = size
        else:
            variable, factor, constant = size
            made.interval.size.vars.extend([variable])
            made.interval.size.coeffs.extend([factor])
            made.interval.size.offset = constant
        if when is not None:
            made.enforcement_literal.extend([when])
        return at

    def apart(self, across: Sequence[int], along: Sequence[int]) -> None:
        """Require that rectangles given by intervals along both axes do not overlap."""
        made = self._model.constraints.add()
        made.no_overlap_2d.x_intervals.extend(list(across))
        made.no_overlap_2d.y_intervals.extend(list(along))

    def side_by_side(
        self, spans: Sequence[int], demands: Sequence[int | tuple[int, int, int]], most: int
    ) -> None:
        """Require that the demands of intervals that meet add up to at most ``most``.

        A demand is a constant or (variable, factor, constant).
        """
        made = self._model.constraints.add().cumulative
        made.capacity.offset = most
        made.intervals.extend(list(spans))
        for demand in demands:
            part = made.demands.add()
            if isinstance(demand, int):
                part.offset = demand
            else:
                part.vars.extend([demand[0]])
                part.coeffs.extend([demand[1]])
                part.offset = demand[2]

    def minimise(self, terms: Sequence[Term]) -> None:
        """Make the sum of terms small."""
        self._model.objective.vars.extend([at for at, _ in terms])
        self._model.objective.coeffs.extend([factor for _, factor in terms])

    def hint(self, values: Sequence[Term]) -> None:
        """Values (variable, value) to try first."""
        self._model.solution_hint.vars.extend([at for at, _ in values])
        self._model.solution_hint.values.extend([value for _, value in values])

    def solve(
        self, *, work: float, seconds: float | None = None, workers: int = 1, seed: int = 1
    ) -> Answer:
        """Solve under limits of work (the same in every run) and, if given, of time [s].

        RuntimeError if the solver calls the model invalid.
        """
        limits = self._front.SatParameters()
        limits.num_workers = workers
        limits.random_seed = seed
        limits.max_deterministic_time = work
        if seconds is not None:
            limits.max_time_in_seconds = seconds
        # left on, the solver takes Ctrl-C away from whoever runs in this process
        limits.catch_sigint_signal = False
        run = self._front.SolveWrapper()
        run.set_parameters(limits)
        found = run.solve(self._model)
        names: dict[str, Status] = {
            "OPTIMAL": "optimal",
            "FEASIBLE": "feasible",
            "INFEASIBLE": "infeasible",
            "UNKNOWN": "unknown",
        }
        name = found.status.name if hasattr(found.status, "name") else str(found.status)
        if name not in names:
            raise RuntimeError(f"the solver says {name}")
        return Answer(
            names[name],
            tuple(found.solution),
            float(found.best_objective_bound),
            float(found.deterministic_time),
        )
