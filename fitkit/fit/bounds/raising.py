"""The bound is raised beside the search: in a child process of its own, killed to be stopped."""

from __future__ import annotations

import base64
import pickle
import time
from collections.abc import Callable, Sequence
from typing import Protocol

from fitkit.fit.bounds.relaxed import relaxed
from fitkit.fit.child import Child
from fitkit.fit.pieces import Piece
from fitkit.payload.model import Objective, Payload

MODULE = "fitkit.fit.bounds.child"

WAIT_S = 0.08
"""How often it is asked whether to stop [s]."""

IDLE_S = 4.0
"""Without a better bound for so long the climb is ended [s]."""

COUNTED_WORK = 0.5
"""The solver's work in a repeatable search, where time does not count (1 is about 7 s)."""


class Asked(Protocol):
    """What of a search's problem the bound depends on."""

    @property
    def payload(self) -> Payload:
        """The items, and the wishes for the case."""

    @property
    def options(self) -> tuple[tuple[Piece, ...], ...]:
        """For every copy the poses that it may take."""

    @property
    def objective(self) -> Objective:
        """What is made small."""


def raise_bound(
    problem: Asked,
    *,
    report: Callable[[float, str], object],
    best: float,
    seconds: float | None,
    stop: Callable[[], bool],
) -> None:
    """Raise the lower bound until ``seconds`` are over, it reaches ``best``, or ``stop`` says so.

    ``report`` gets every larger bound with its name, from the calling thread: run this in a thread
    of its own. ``best`` is the value of the best layout so far (infinite if there is none): larger
    bounds are not looked for. With ``seconds`` None work is counted instead of time, and the same
    bounds come in every run. ``stop`` is asked at least every 0.1 s.
    """
    if relaxed(problem.payload)[1] > 0.0:
        return  # refuted plans are of exact heights
    ends = None if seconds is None else time.monotonic() + seconds
    heard = time.monotonic()
    job = job_of(
        problem.payload,
        problem.options,
        objective=problem.objective,
        best=best,
        work=COUNTED_WORK if seconds is None else None,
    )
    with Child(MODULE, job) as child:
        done = False
        while not done and not stop():
            answers, done = child.answers(WAIT_S)
            for answer in answers:
                report(float(answer["bound"]), str(answer["name"]))
                heard = time.monotonic()
            if ends is not None and time.monotonic() > min(ends, heard + IDLE_S):
                break


def job_of(
    payload: Payload,
    options: Sequence[Sequence[Piece]],
    *,
    objective: Objective,
    best: float,
    work: float | None,
) -> dict[str, object]:
    """The child's job; records travel pickled, since the child is this program itself."""
    records = pickle.dumps((payload, tuple(map(tuple, options)), objective, best, work))
    return {"records": base64.b64encode(records).decode("ascii")}
