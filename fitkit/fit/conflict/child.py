"""The child process that searches on a grid: jobs come in as lines, better layouts go out.

Run as ``python -m fitkit.fit.conflict.child``. Jobs and answers are those of
:mod:`fitkit.fit.polish.child`, whose jobs this child does as well; those that say ``"on": "grid"``
ask for a search on a grid, which begins with an empty board if there are no spots. The child is
killed to be stopped.
"""

from __future__ import annotations

import base64
import json
import pickle
import random
import sys
import time
from typing import TextIO

from fitkit.fit.conflict.least_box import LeastBox
from fitkit.fit.polish.child import Work
from fitkit.fit.polish.child import run as run_near


def run(work: Work, out: TextIO) -> None:
    """Search for the least box of one assignment for as long as asked; write what gets better."""
    until = time.monotonic() + work.seconds

    def over() -> bool:
        return time.monotonic() >= until

    search = LeastBox.of(
        work.problem,
        work.assignment,
        work.elevation,
        work.spots or None,
        random.Random(work.seed),
    )
    while not over():
        if search.round(stop=over):
            spots = [[spot.turn_deg, spot.x_mm, spot.y_mm] for spot in search.spots]
            out.write(json.dumps({"value": search.value, "spots": spots}) + "\n")
            out.flush()
    out.write('{"done": true}\n')
    out.flush()


if __name__ == "__main__":
    import fitkit.fit.polish.apart_compiled  # noqa: F401  # loaded while there is nothing to do yet

    for line in sys.stdin:
        asked = json.loads(line)
        one = pickle.loads(base64.b64decode(asked["work"]))
        (run if asked.get("on") == "grid" else run_near)(one, sys.stdout)
