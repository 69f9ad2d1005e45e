"""The child process of the exact search: one JSON job a line in, one JSON answer a line out.

Run as ``python -m fitkit.fit.exact.worker``. It keeps the compiled searches loaded from job to job,
says ``{"compiling": true}`` and ``false`` around loading them, and ends when its input ends (after
compiling, if it is at that) or after a minute without a job. Jobs:

- ``{"kind": "plane", "length", "width", "sides": [[w, h]...], "turns": [bool...], "nodes"}``;
  answer ``{"state": "holds" | "refuted" | "open", "spots": [[x, y, turned]...] or null, "nodes"}``
- ``{"kind": "cell", "ways": [[[a, b, c]...]...], "axes", "goal", "low": [a, b, c], "high", "below",
  "nodes"}``; answer ``{"state": "done" | "open", "value", "spots": [[x, y, z, way]...] or null,
  "nodes"}``

``nodes`` 0 means no limit. A fault is answered as ``{"fault": text}``.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import sys
import threading
from typing import Any

IDLE_S = 60.0
"""A worker without a job for so long ends."""


_compiling = threading.Event()
_gone = threading.Event()


def answer(job: dict[str, Any]) -> dict[str, Any]:
    """The answer to one job."""
    if job["kind"] == "plane":
        from fitkit.fit.exact.one_box import in_box

        return in_box(
            [(int(w), int(h)) for w, h in job["sides"]],
            job["turns"],
            length=job["length"],
            width=job["width"],
            nodes=job["nodes"],
        )
    from fitkit.fit.exact.one_cell import in_cell

    return in_cell(
        tuple(tuple((int(a), int(b), int(c)) for a, b, c in block) for block in job["ways"]),
        axes=job["axes"],
        goal=job["goal"],
        low=tuple(job["low"]),
        high=tuple(job["high"]),
        below=job["below"],
        nodes=job["nodes"],
    )


FIRST: dict[str, dict[str, Any]] = {
    "plane": {"sides": [[1, 1]], "turns": [False], "length": 1, "width": 1, "nodes": 0},
    "cell": {
        "ways": [[[1, 1, 1]]],
        "axes": 3,
        "goal": "volume",
        "low": [1, 1, 1],
        "high": [1, 1, 1],
        "below": 2,
        "nodes": 0,
    },
}
"""Jobs of no weight, which have the searches loaded, or compiled where they are not yet."""


def main() -> None:
    """Answer jobs until the input ends."""
    jobs: queue.Queue[str] = queue.Queue()

    def read() -> None:
        for line in sys.stdin:
            jobs.put(line)
        # whoever asked is gone: only compiling is worth finishing
        _gone.set()
        if not _compiling.is_set():
            os._exit(0)

    threading.Thread(target=read, daemon=True).start()
    loaded: set[str] = set()
    while True:
        try:
            job = json.loads(jobs.get(timeout=IDLE_S))
        except queue.Empty:
            return
        if job["kind"] not in loaded:
            _compiling.set()
            _say({"compiling": True})
            answer({"kind": job["kind"], **FIRST[job["kind"]]})
            loaded.add(job["kind"])
            _say({"compiling": False})
            _compiling.clear()
        if _gone.is_set():
            return
        try:
            told = answer(job)
        except (ArithmeticError, LookupError, TypeError, ValueError, RuntimeError) as fault:
            told = {"fault": f"{type(fault).__name__}: {fault}"}
        _say(told)


def _say(told: dict[str, Any]) -> None:
    # nobody may be listening any more
    with contextlib.suppress(BrokenPipeError):
        sys.stdout.write(json.dumps(told) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
