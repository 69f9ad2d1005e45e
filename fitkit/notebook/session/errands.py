"""What the desk has done in its child process: searches, working out, writing."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Literal

from fitkit.fit.layout import Fit
from fitkit.notebook.session.jobs import Answer
from fitkit.notebook.session.worker import Worker
from fitkit.payload.model import Payload
from fitkit.plan import Choices, Plan

Errand = Literal["search", "out", "write"]

_WORDS: dict[Errand, str] = {
    "search": "fitting the rest",
    "out": "working out the foam",
    "write": "writing",
}


class Errands:
    """Errands under way, by their kind; ``heard`` hears the answers, with ``lock`` held."""

    def __init__(self, lock: threading.RLock, heard: Callable[[Errand, Answer], None]) -> None:
        """Nothing is under way, and no child is started."""
        self.worker = Worker(self._answered)
        self._lock = lock
        self._heard = heard
        self._under_way: dict[int, Errand] = {}

    @property
    def busy(self) -> str | None:
        """What goes on, in a few words."""
        return next((words for kind, words in _WORDS.items() if self.runs(kind)), None)

    def runs(self, kind: Errand) -> bool:
        """Whether an errand of this kind is under way."""
        return kind in self._under_way.values()

    def search(self, payload: Payload, choices: Choices) -> None:
        """Have a payload searched."""
        self._under_way[self.worker.search(payload, choices)] = "search"

    def work_out(self, payload: Payload, fit: Fit, choices: Choices) -> None:
        """Have everything worked out that follows from a layout."""
        self._under_way[self.worker.work_out(payload, fit, choices)] = "out"

    def write(self, plan: Plan, folder: Path) -> None:
        """Have a plan written with all its files."""
        self._under_way[self.worker.write(plan, folder)] = "write"

    def stop(self, kind: Errand, *, forget: bool = False) -> None:
        """End an errand early; with ``forget`` its answer is not heard any more."""
        for number, one in list(self._under_way.items()):
            if one == kind:
                self.worker.stop(number)
                if forget:
                    del self._under_way[number]

    def _answered(self, answer: Answer) -> None:
        with self._lock:
            kind = self._under_way.get(answer.number)
            if kind is None:
                return
            if answer.kind in ("done", "wrong"):
                del self._under_way[answer.number]
            self._heard(kind, answer)
