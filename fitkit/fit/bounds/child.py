"""The child process that raises a bound.

Run as ``python -m fitkit.fit.bounds.child``: reads one JSON job as made by
:func:`fitkit.fit.bounds.raising.job_of`, answers one JSON line for every larger bound:
``{"bound": value, "name": text}``, then ``{"done": true}``.
"""

from __future__ import annotations

import base64
import json
import math
import pickle
import sys

from fitkit.fit.bounds.areas import Kit
from fitkit.fit.bounds.climb import Climb


def main() -> None:
    """Climb until the end of the work, the best value, or being killed."""
    job = json.loads(sys.stdin.readline())
    payload, options, objective, best, work = pickle.loads(base64.b64decode(job["records"]))
    kit = Kit.of(payload, options, objective=objective)
    climb = Climb(
        kit,
        wall_mm=payload.case.clearance.wall_mm,
        stop=lambda: climb.work > (math.inf if work is None else work),
    )
    for step in climb.steps(best):
        sys.stdout.write(json.dumps({"bound": step.value, "name": step.name}) + "\n")
        sys.stdout.flush()
    sys.stdout.write('{"done": true}\n')
    sys.stdout.flush()


if __name__ == "__main__":
    main()
