"""Cutting the foam anew beside the kernel's own thread, and writing its files."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

from attrs import evolve, frozen

from fitkit.errors import FitkitError, in_words
from fitkit.foam.model import NotchesOf
from fitkit.notebook.home import Home
from fitkit.notebook.work import Work
from fitkit.plan import Plan, plan_of


@frozen
class Outcome:
    """What was done: a plan cut anew, files written (how many, where), or what went wrong."""

    plan: Plan | None = None
    written: tuple[int, Path] | None = None
    fault: str | None = None


class Cutter:
    """Cuts one plan after another; of several choices made meanwhile only the newest counts.

    ``heard`` is called for each outcome, in the kernel's own thread where there is a kernel.
    ``plan`` is the newest that was cut; it is kept in ``work`` where that is given.
    """

    def __init__(self, plan: Plan, *, work: Work | None, heard: Callable[[Outcome], None]) -> None:
        """Nothing is cut yet: the plan has its foam."""
        self.plan = plan
        self.work = work
        self._heard = heard
        self._lock = threading.RLock()
        self._wanted: tuple[NotchesOf, ...] | None = None
        self._cuts = False
        self._writes = False
        self._worker: threading.Thread | None = None
        self._outcomes: list[Outcome] = []
        self._home = Home()

    @property
    def busy(self) -> str | None:
        """What is under way, in words."""
        with self._lock:
            if self._writes:
                return "writing the cutting files …"
            return "cutting …" if self._cuts or self._wanted is not None else None

    def cut(self, notches: tuple[NotchesOf, ...]) -> None:
        """Have the foam cut with these notches of the builder's own."""
        with self._lock:
            self._wanted = notches
            self._start()

    def write(self) -> None:
        """Have the plan and all its files written once the newest choice is cut."""
        if self.work is None:
            raise FitkitError("There is no folder to write to: open the bench on a sheet.")
        with self._lock:
            self._writes = True
            self._start()

    def take(self, plan: Plan) -> None:
        """Go on with another plan, made elsewhere; what is being cut is let go."""
        with self._lock:
            self._wanted = None
            self.plan = plan
            self._outcomes.clear()

    def wait(self, seconds: float) -> None:
        """Wait until nothing is under way, at most so long [s]."""
        if self._worker is not None:
            self._worker.join(seconds)
        self._tell()

    def close(self) -> None:
        """Let go; a plan that is being cut is finished and kept first."""
        self._heard = lambda outcome: None
        self.wait(30.0)

    # ---- the thread

    def _idle(self) -> bool:
        return self._worker is None or not self._worker.is_alive()

    def _start(self) -> None:
        before = self._worker
        if self._idle() or before is None:
            before = None

        def run() -> None:
            if before is not None:
                before.join()
            try:
                self._work()
            except FitkitError as error:
                self._failed(in_words(error))
            except Exception as error:
                self._failed(f"{type(error).__name__}: {error}")
                raise

        self._worker = threading.Thread(target=run, daemon=True, name="fitkit-foam")
        self._worker.start()

    def _work(self) -> None:
        while True:
            with self._lock:
                notches, self._wanted = self._wanted, None
                self._cuts = notches is not None
                plan = self.plan
            if notches is None:
                break
            choices = evolve(plan.choices, notches=notches)
            cut = plan_of(plan.payload, fit=plan.fit, choices=choices, ready_made=plan.ready_made)
            with self._lock:
                if self.plan is not plan:  # another plan was taken meanwhile
                    continue
                self.plan = cut
                fault = self._keep(cut)
                self._cuts = False
                self._outcomes.append(Outcome(plan=cut, fault=fault))
            self._hand_over()
        with self._lock:
            writes, work, plan = self._writes, self.work, self.plan
        if writes and work is not None:
            written = work.save(plan)
            with self._lock:
                self._writes = False
                self._outcomes.append(Outcome(written=(len(written), work.folder.resolve())))
            self._hand_over()

    def _keep(self, plan: Plan) -> str | None:
        """Save the plan alone; what went wrong, in words."""
        try:
            if self.work is not None:
                self.work.keep(plan)
        except FitkitError as error:
            return in_words(error)
        return None

    def _failed(self, text: str) -> None:
        with self._lock:
            self._cuts = self._writes = False
            self._outcomes.append(Outcome(fault=text))
        self._hand_over()

    def _hand_over(self) -> None:
        self._home.do(self._tell)

    def _tell(self) -> None:
        with self._lock:
            outcomes, self._outcomes = self._outcomes, []
        for outcome in outcomes:
            if outcome.plan is None or outcome.plan is self.plan:  # no newer one is there
                self._heard(outcome)
