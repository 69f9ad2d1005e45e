"""The child process that searches near layouts: jobs come in as lines, better layouts go out.

Run as ``python -m fitkit.fit.polish.child``. A job is a JSON line ``{"work": text}``, where the
text is a pickled :class:`Work` in base 64, written by the parent that started this process and
nobody else. Answers are lines ``{"value", "spots": [[turn_deg, x_mm, y_mm], ...]}``, each better
than the one before, and ``{"done": true}`` after each job. The child is killed to be stopped.
"""

from __future__ import annotations

import base64
import json
import pickle
import random
import sys
import time
from typing import TextIO

from attrs import frozen

from fitkit.fit.arrange import Layout
from fitkit.fit.assign import Assignment, Problem
from fitkit.fit.elevation import Elevation
from fitkit.fit.pieces import Spot
from fitkit.fit.polish.disturb import Search
from fitkit.fit.polish.near_layouts import search_near


@frozen
class Work:
    """A layout to search near, for how long [s], and the seed of the search."""

    problem: Problem
    assignment: Assignment
    elevation: Elevation
    spots: tuple[Spot, ...]
    seconds: float
    seed: int

    @classmethod
    def near(cls, problem: Problem, layout: Layout, *, seconds: float, seed: int) -> Work:
        """Work on one layout."""
        return cls(problem, layout.assignment, layout.elevation, layout.spots, seconds, seed)

    def job(self) -> dict[str, object]:
        """The line that hands this to a child."""
        return {"work": base64.b64encode(pickle.dumps(self)).decode("ascii")}


def run(work: Work, out: TextIO) -> None:
    """Search near one layout for as long as asked; write what gets better."""
    search = search_near(
        work.problem,
        work.assignment,
        work.elevation,
        work.spots,
        random.Random(work.seed),
        compiled=True,
    )
    _tell(search, out)
    until = time.monotonic() + work.seconds
    while time.monotonic() < until:
        if search.trial():
            _tell(search, out)
    out.write('{"done": true}\n')
    out.flush()


def _tell(search: Search, out: TextIO) -> None:
    spots = [[spot.turn_deg, spot.x_mm, spot.y_mm] for spot in search.best.spots]
    out.write(json.dumps({"value": search.value, "spots": spots}) + "\n")
    out.flush()


if __name__ == "__main__":
    import fitkit.fit.polish.apart_compiled  # noqa: F401  # loaded while there is nothing to do yet

    for line in sys.stdin:
        run(pickle.loads(base64.b64decode(json.loads(line)["work"])), sys.stdout)
