"""The search over a list of ready-made cases: roomy ones first, layouts reused, budget shared."""

from __future__ import annotations

import time
from collections.abc import Callable

from attrs import define, evolve, field

from fitkit.errors import BadInput, Fault
from fitkit.fit.layout import Fit, Interior, Placement
from fitkit.fit.ready_made.answer import CERTAIN, Answer, Missing, Tried, rank_key, ranked
from fitkit.fit.ready_made.carry import Laid, carried, spread
from fitkit.fit.ready_made.room import as_limits, inside_of, upright_mm, volume_mm3
from fitkit.fit.ready_made.screening import Screen
from fitkit.fit.search import smallest
from fitkit.fit.state import Progress
from fitkit.fit.validate import violations
from fitkit.payload.model import Payload, ReadyMade

BOUND_NAME = "your list of ready-made cases"
"""The name under which a chosen case is said to be the least."""

FIRST_SHARE = 0.5
"""Share of the budget for the first round over all open cases; the rest goes to the nearest."""

LEAST_SHARE_S = 0.25
"""Least time that one case gets [s]: below it not even a first layout would come."""

ROUNDS = 4
"""Most rounds over the cases that are still open."""


Settle = Callable[[Interior, tuple[Placement, ...]], tuple[Placement, ...]]
"""Sets placements onto sheets of foam in an interior; they may come out a little higher."""


def choose(
    payload: Payload,
    *,
    only: str | None = None,
    settle: Settle | None = None,
    budget_s: float = 10.0,
    seed: int = 1,
    repeatable: bool = False,
    progress: Callable[[Progress], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[Answer, Fit]:
    """Which cases of the payload's list hold the kit, and the layout for the best of them.

    Cases that a bound rules out are not searched. The others are, the largest first: there a layout
    comes at once, it is tried in every other case, and what is left of ``budget_s`` [s] is shared
    by those that are hard to fill. ``only`` names the
    one case to look at. ``settle`` sets a layout onto sheets of foam, which in given depths may
    not work out: a layout that breaks a promise then does not count. Where no case holds the kit
    the fit is that of the nearest, made as much larger as it would have to be, and its ``misses``
    say by how much. ``repeatable``, ``progress`` and ``cancelled`` are as for
    :func:`fitkit.fit.search.smallest`.

    BadInput where the list is empty, or has no case of the name ``only``.
    """
    cases = _asked(payload, only)
    run = _Run(payload, cases, settle, budget_s, seed, repeatable, progress, cancelled)
    try:
        run.screen()
        run.search()
    except KeyboardInterrupt:
        run.interrupted = True
    return run.answer()


def _asked(payload: Payload, only: str | None) -> tuple[ReadyMade, ...]:
    cases = payload.case.ready_made
    if not cases:
        raise BadInput(
            [Fault("case.ready_made", "the list has no case in it", "list at least one case")]
        )
    if only is None:
        return cases
    found = tuple(case for case in cases if case.name == only)
    if not found:
        names = ", ".join(case.name for case in cases[:6]) + (" ..." if len(cases) > 6 else "")
        raise BadInput(
            [Fault(f'case "{only}"', "the list has no such case", f"known there: {names}")]
        )
    return found


@define
class _Run:
    """One search over a list: what is known of each case so far."""

    payload: Payload
    cases: tuple[ReadyMade, ...]
    settle: Settle | None
    budget_s: float
    seed: int
    repeatable: bool
    progress: Callable[[Progress], None] | None
    cancelled: Callable[[], bool] | None
    started: float = field(factory=time.monotonic)
    settled: dict[str, Tried] = field(factory=dict)
    layouts: list[Fit] = field(factory=list)
    nearest: dict[str, tuple[Missing, Fit]] = field(factory=dict)
    unsettled: set[str] = field(factory=set)
    interrupted: bool = False

    def screen(self) -> None:
        """Settle the cases that a bound rules out."""
        screen = Screen(self.payload)
        for case in self.cases:
            if self._stopped():
                return
            found = screen.judged(case)
            if found is not None:
                self.settled[case.name] = found

    def search(self) -> None:
        """Search within the rooms of the others, largest first, then those that lack least."""
        rounds = 1 if self.repeatable else ROUNDS
        for turn in range(rounds):
            todo = self._open(nearest_first=turn > 0)
            if not todo:
                return
            left = self.budget_s * (FIRST_SHARE if turn == 0 else 1.0) - self._elapsed()
            if self.repeatable:
                left = self.budget_s
            elif turn and left < LEAST_SHARE_S:
                return
            until = self._elapsed() + left
            for k, case in enumerate(todo):
                if self._stopped():
                    return
                if case.name in self.settled:  # a layout found meanwhile holds in it
                    continue
                share = left / len(todo)
                if not self.repeatable:
                    waiting = sum(other.name not in self.settled for other in todo[k:])
                    share = max(LEAST_SHARE_S, (until - self._elapsed()) / waiting)
                    if self._elapsed() > self.budget_s - LEAST_SHARE_S and self.layouts:
                        return
                self._one(case, share, turn)

    def _open(self, *, nearest_first: bool) -> list[ReadyMade]:
        todo = [case for case in self.cases if case.name not in self.settled]

        def near(case: ReadyMade) -> float:
            known = self.nearest.get(case.name)
            return known[0].total_mm if known and nearest_first else 0.0

        return sorted(todo, key=lambda case: (near(case), -volume_mm3(case)))

    def _one(self, case: ReadyMade, share_s: float, turn: int) -> None:
        """Search one case's room; whatever layout comes is tried in every open case."""
        long, wide = upright_mm(self.payload, case)
        size = (float(int(long + 1e-6)), float(int(wide + 1e-6)))
        if min(size) <= 0:
            return
        asked = as_limits(self.payload, case, size)
        if case.name in self.unsettled and turn % 2:
            # what stands on a tier had no sheets to stand on: try without
            asked = evolve(asked, case=evolve(asked.case, tiers=1))
        fit = smallest(
            asked,
            budget_s=share_s,
            seed=self.seed + turn,
            repeatable=self.repeatable,
            progress=self._told(case),
            cancelled=self.cancelled,
        )
        self.interrupted = self.interrupted or fit.interrupted
        self.layouts.append(fit)
        self._offer(fit)

    def _offer(self, fit: Fit) -> None:
        """Try a layout in every open case, and keep by how much it misses the others."""
        for case in self._open(nearest_first=False):
            laid = carried(
                self.payload, interior=fit.interior, placements=fit.placements, into=case
            )
            laid = None if laid is None else self._settle(case, spread(self.payload, laid))
            if laid is not None:
                self.settled[case.name] = Tried(
                    case.name, "holds", turned=laid.turned, placements=laid.placements
                )
                continue
            missing = self._missing(fit, case)
            known = self.nearest.get(case.name)
            if known is None or missing.total_mm < known[0].total_mm:
                self.nearest[case.name] = (missing, fit)

    def _settle(self, case: ReadyMade, laid: Laid) -> Laid | None:
        """The layout on its sheets of foam; None where it breaks a promise there."""
        if self.settle is None:
            return laid
        placements = self.settle(laid.interior, laid.placements)
        if violations(self.payload, interior=laid.interior, placements=placements):
            self.unsettled.add(case.name)
            return None
        return evolve(laid, placements=placements)

    def _missing(self, fit: Fit, case: ReadyMade) -> Missing:
        """By how much a case's room would have to grow for a layout."""
        have = sorted(upright_mm(self.payload, case), reverse=True)
        need = sorted(fit.interior.size_mm[:2], reverse=True)
        deep, shallow = (half.depth_mm for half in fit.interior.halves)
        return Missing(
            max(0.0, need[0] - have[0]),
            max(0.0, need[1] - have[1]),
            max(0.0, deep - case.deep_mm) + max(0.0, shallow - case.shallow_mm),
        )

    def answer(self) -> tuple[Answer, Fit]:
        """The ranking, and the fit for the best case or the nearest one."""
        tried = [self._verdict(case) for case in self.cases]
        rank = self.payload.case.rank
        order = ranked(tried, self.cases, rank=rank)
        chosen = order[0]
        if chosen.verdict != "holds":
            # a case over its limits is no near miss, unless all of them are
            chosen = next((one for one in order if one.verdict != "over a limit"), chosen)
        case = self.payload.case.ready_case(chosen.name)
        if chosen.verdict == "holds":
            fit = self._held(case, chosen, order)
        else:
            fit = self._nearly(case, chosen)
        seconds = 0.0 if self.repeatable else round(self._elapsed(), 2)
        return Answer(rank, order, chosen.name, seconds, self.interrupted), fit

    def _verdict(self, case: ReadyMade) -> Tried:
        if case.name in self.settled:
            return self.settled[case.name]
        if case.name in self.nearest:
            missing, _ = self.nearest[case.name]
            note = "the nearest layout found would need so much more"
            if missing.total_mm <= 0:
                note = (
                    "the sheets of foam at hand do not add up to its heights"
                    if case.name in self.unsettled
                    else "the nearest layout found meets the round corners or the leaning walls"
                )
            return Tried(case.name, "none found", missing, note)
        why = (
            "the search was stopped before" if self.interrupted else "the budget was used up before"
        )
        return Tried(case.name, "not searched", note=why)

    def _held(self, case: ReadyMade, held: Tried, order: tuple[Tried, ...]) -> Fit:
        """The fit of a case that holds the kit; proven where all that rank before are ruled out."""
        rank, value = self.payload.case.rank, volume_mm3(case)
        before = [
            other
            for other in (self.payload.case.ready_case(one.name) for one in order)
            if rank_key(other, rank) < rank_key(case, rank)
        ]
        verdicts = {one.name: one.verdict for one in order}
        maybe = [other for other in before if verdicts[other.name] not in CERTAIN]
        bound = min([value, *(volume_mm3(other) for other in maybe)])
        seconds = 0.0 if self.repeatable else round(self._elapsed(), 2)
        return Fit(
            objective="volume",
            value=value,
            bound=bound,
            bound_name=BOUND_NAME,
            gap=1 - bound / value,
            proven=not maybe and len(order) == len(self.payload.case.ready_made),
            seconds=seconds,
            seed=self.seed,
            interior=inside_of(case, turned=held.turned),
            placements=held.placements,
            interrupted=self.interrupted,
            ready_made=case,
        )

    def _nearly(self, case: ReadyMade, chosen: Tried) -> Fit:
        """The nearest layout in its own upright room: no case of the list holds the kit."""
        known = self.nearest.get(case.name)
        if known is None:
            self._one_quickly(case)
            known = self.nearest.get(case.name)
        fit = known[1] if known else self.layouts[-1]
        size = fit.interior.size_mm
        sure = ", for certain" if chosen.verdict in CERTAIN else ""
        lacks = str(chosen.missing) if chosen.missing.total_mm > 0 else chosen.note
        miss = (
            f"no case of the list holds the kit{'' if sure else ' as far as the search went'}; "
            f"the nearest, {case.name}, lacks {lacks} at least{sure}"
            if chosen.verdict != "over a limit"
            else f"no case of the list will do; {case.name}: {chosen.note}"
        )
        return evolve(
            fit,
            objective="volume",
            value=size[0] * size[1] * size[2],
            bound=0.0,
            bound_name=BOUND_NAME,
            gap=1.0,
            proven=False,
            misses=(miss,),
            interrupted=self.interrupted,
            ready_made=case,
        )

    def _one_quickly(self, case: ReadyMade) -> None:
        """A layout for a case that was not searched, so that there is something to show."""
        long, wide = upright_mm(self.payload, case)
        size = (max(1.0, float(int(long))), max(1.0, float(int(wide))))
        fit = smallest(
            as_limits(self.payload, case, size),
            budget_s=max(LEAST_SHARE_S, self.budget_s * (1 - FIRST_SHARE) - self._elapsed()),
            seed=self.seed,
            repeatable=self.repeatable,
            cancelled=(lambda: True) if self.interrupted else self.cancelled,
        )
        self.layouts.append(fit)
        self.nearest[case.name] = (self._missing(fit, case), fit)

    def _told(self, case: ReadyMade) -> Callable[[Progress], None] | None:
        """Progress within one case's search, as progress of the whole."""
        if self.progress is None:
            return None
        told, known = self.progress, len(self.settled)

        def hear(now: Progress) -> None:
            told(
                evolve(
                    now,
                    seconds=self._elapsed(),
                    budget_s=self.budget_s,
                    value=None,
                    gap=None,
                    stage=f"{case.name} ({known} of {len(self.cases)} settled)",
                    interior=None,
                    placements=(),
                )
            )

        return hear

    def _elapsed(self) -> float:
        return time.monotonic() - self.started

    def _stopped(self) -> bool:
        if self.cancelled is not None and self.cancelled():
            self.interrupted = True
        return self.interrupted
