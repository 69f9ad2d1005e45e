"""The search over several cases: share copies out, lay each case out, learn from what fails."""

from __future__ import annotations

import time
from collections.abc import Callable

from attrs import define, evolve, field

from fitkit.fit.assign import poses
from fitkit.fit.bounds import objective_value
from fitkit.fit.bounds import share as asked_by
from fitkit.fit.layout import Fit
from fitkit.fit.search import smallest
from fitkit.fit.several.answer import Counts, Several, Share, part_of
from fitkit.fit.several.least import Least, least_cases
from fitkit.fit.several.share import Kind, Rules, shared
from fitkit.fit.state import Progress
from fitkit.payload.model import Objective, Payload

Weigh = Callable[[Payload, Fit], float]
"""What is known of the mass of a loaded case [kg]: a part of the payload, and its layout."""

TRY_SHARE = 0.7
"""Share of the budget for finding a way to share out; the rest makes each case smaller."""

LEAST_TRY_S = 0.3
"""Least time for one case's layout [s]: below it not even a first one would come."""

MOST_TRIES = 60
"""Sharings out that are tried in all."""


def share_out(
    payload: Payload,
    *,
    weigh: Weigh,
    empty_kg: float = 0.0,
    objective: Objective | None = None,
    budget_s: float = 10.0,
    seed: int = 1,
    repeatable: bool = False,
    progress: Callable[[Progress], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Several:
    """The kit in as few cases as were found, each within every limit of the sheet.

    From the bound up, copies are shared out so that the cases are alike; each case is laid out with
    a share of ``budget_s`` [s]; ``empty_kg`` [kg] is what every case weighs at least without its
    items, for the bound. Contents that miss a limit are not put together again. Where the
    budget ends first, the last sharing out comes back, and its ``misses`` say what it breaks.
    ``repeatable``, ``progress`` and ``cancelled`` are as for :func:`fitkit.fit.search.smallest`.
    """
    run = _Run(payload, weigh, empty_kg, objective, budget_s, seed, repeatable, progress, cancelled)
    return run.go()


@define
class _Run:
    payload: Payload
    weigh: Weigh
    empty_kg: float
    objective: Objective | None
    budget_s: float
    seed: int
    repeatable: bool
    progress: Callable[[Progress], None] | None
    cancelled: Callable[[], bool] | None
    started: float = field(factory=time.monotonic)
    known: dict[Counts, Share] = field(factory=dict)
    interrupted: bool = False
    stage: str = ""

    def go(self) -> Several:
        """Bound, find, and make smaller."""
        least = least_cases(self.payload, empty_kg=self.empty_kg)
        shares = self._find(least) or self._all_in_one()
        if not any(share.misses for share in shares):
            shares = self._smaller(shares)
        seconds = 0.0 if self.repeatable else round(self._elapsed(), 2)
        held = not any(share.misses for share in shares)
        return Several(
            shares,
            least.cases,
            least.name,
            held and len(shares) == least.cases,
            seconds,
            self.interrupted,
        )

    def _find(self, least: Least) -> tuple[Share, ...]:
        """A sharing out in which every case keeps its limits, in as few cases as may be."""
        copies = sum(item.count for item in self.payload.items)
        limit = self.payload.case.limits.mass_kg
        rules = Rules(self._kinds(), None if limit is None else limit - self.empty_kg)
        last: tuple[Share, ...] = ()
        cases, tries = least.cases, 0
        while cases <= copies:
            contents = shared(rules, cases, seed=self.seed)
            if contents is None:
                cases += 1
                continue
            tries += 1
            last = self._lay_out(contents, rules)
            if not any(share.misses for share in last):
                return last
            if self.interrupted or tries >= MOST_TRIES or self._over(TRY_SHARE):
                break
        return last

    def _all_in_one(self) -> tuple[Share, ...]:
        """Everything in one case, to show what is missed: no sharing out is allowed at all."""
        counts = tuple(item.count for item in self.payload.items)
        return (self._one(counts, self._part(1)),)

    def _lay_out(self, contents: tuple[Counts, ...], rules: Rules) -> tuple[Share, ...]:
        """Each case of a sharing out; what does not go together is added to the rules."""
        made = []
        for number, counts in enumerate(contents, start=1):
            self.stage = f"case {number} of {len(contents)}"
            one = self.known.get(counts) or self._one(counts, self._part(len(contents)))
            self.known[counts] = one
            made.append(one)
            if one.fit.misses:
                rules.full.append(counts)
            elif one.misses and rules.items_kg is not None:
                # too heavy: leave what the empty case weighs out of what the items may weigh
                limit = self.payload.case.limits.mass_kg or 0.0
                empty = one.mass_kg - self._items_kg(counts)
                if limit - empty < rules.items_kg - 1e-6:
                    rules.items_kg = max(0.0, limit - empty)
                else:
                    rules.full.append(counts)
        return tuple(made)

    def _one(self, counts: Counts, budget_s: float, objective: Objective = "first") -> Share:
        """One case, laid out and weighed."""
        part = part_of(self.payload, counts)
        fit = smallest(
            part,
            objective=objective,
            budget_s=budget_s,
            seed=self.seed,
            repeatable=self.repeatable,
            progress=self._told(),
            cancelled=(lambda: True) if self.interrupted else self.cancelled,
        )
        self.interrupted = self.interrupted or fit.interrupted
        mass = self.weigh(part, fit)
        limit = self.payload.case.limits.mass_kg
        misses = fit.misses
        if limit is not None and mass > limit + 1e-9:
            misses = (*misses, f"it weighs {mass:.2f} kg, {mass - limit:.2f} kg over the limit")
        return Share(counts, fit, mass, misses)

    def _smaller(self, shares: tuple[Share, ...]) -> tuple[Share, ...]:
        """Each case again with the sheet's own objective and what is left of the budget."""
        goal = self.objective or self.payload.case.objective
        made: list[Share] = []
        for number, share in enumerate(shares):
            self.stage = f"case {number + 1} of {len(shares)}, smaller"
            left = self.budget_s if self.repeatable else self.budget_s - self._elapsed()
            part_s = left / (len(shares) - number)
            again = share
            alike = next((one for one in made if one.counts == share.counts), None)
            if alike is not None:
                again = alike
            elif not self.interrupted:
                again = self._one(share.counts, max(part_s, LEAST_TRY_S), goal)
            # the first layout keeps the limits; a later one counts only if it does as well
            made.append(share if again.misses else again)
        return tuple(
            share if share.fit.objective == goal else evolve(share, fit=_as_goal(share.fit, goal))
            for share in made
        )

    def _kinds(self) -> tuple[Kind, ...]:
        clear = self.payload.case.clearance
        grow = min(clear.item_mm / 2, clear.wall_mm)
        made = []
        for item in self.payload.items:
            loads = []
            for piece in poses(item):
                asked = asked_by(piece, grow)
                loads.append(asked.area_mm2 * (asked.height_mm + clear.tier_mm))
            made.append(Kind(item.count, item.mass_kg or 0.0, min(loads)))
        return tuple(made)

    def _items_kg(self, counts: Counts) -> float:
        return sum(
            (item.mass_kg or 0.0) * n for item, n in zip(self.payload.items, counts, strict=True)
        )

    def _part(self, cases: int) -> float:
        """Time for one case: of what is left for finding, so that a few tries are possible."""
        if self.repeatable:
            return self.budget_s / 8
        left = self.budget_s * TRY_SHARE - self._elapsed()
        return max(LEAST_TRY_S, left / (2 * cases))

    def _over(self, share: float) -> bool:
        return not self.repeatable and self._elapsed() >= self.budget_s * share

    def _elapsed(self) -> float:
        return time.monotonic() - self.started

    def _told(self) -> Callable[[Progress], None] | None:
        if self.progress is None:
            return None
        told = self.progress

        def hear(now: Progress) -> None:
            told(
                evolve(
                    now,
                    seconds=self._elapsed(),
                    budget_s=self.budget_s,
                    value=None,
                    gap=None,
                    stage=self.stage,
                    interior=None,
                    placements=(),
                )
            )

        return hear


def _as_goal(fit: Fit, goal: Objective) -> Fit:
    """A first layout that was kept, its value in the objective's own unit; its bound is not."""
    value = objective_value(goal, fit.interior.size_mm)
    return evolve(fit, objective=goal, value=value, bound=0.0, gap=1.0, proven=False)
