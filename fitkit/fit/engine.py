"""The child process that nests outlines in a strip with a general nesting engine.

Run as ``python -m fitkit.fit.engine``: reads one JSON job from standard input and writes one JSON
line for each better layout to standard output, as it is found. It is killed to be stopped, and it
is never trusted: whoever reads its layouts checks them. It runs apart because the engine overshoots
its time, cannot be cancelled, and ends the process when an outline does not fit the strip.

Job: ``{"height": mm, "web": mm, "seconds": whole, "seed": int, "items": [{"id", "points",
"demand", "turns": [deg...] or null for free}]}``. Line: ``{"length": mm, "spots": [[id, turn_deg,
x, y], ...]}``; the last line is ``{"done": true}``.
"""

from __future__ import annotations

import json
import sys
import threading
import time
from typing import Any, TextIO


def run(job: dict[str, Any], out: TextIO) -> None:
    """Solve one job; write every feasible layout that is shorter than the one before."""
    import spyrrow

    items = [
        spyrrow.Item(
            item["id"],
            [(x, y) for x, y in item["points"]],
            item["demand"],
            item["turns"],
        )
        for item in job["items"]
    ]
    strip = spyrrow.StripPackingInstance("level", job["height"], items)
    seconds = max(1, int(job["seconds"]))
    config = spyrrow.StripPackingConfig(
        total_computation_time=None,
        exploration_time=seconds,
        compression_time=max(1, seconds // 2),
        num_workers=1,
        seed=job["seed"],
        min_items_separation=job["web"] or None,
    )
    queue = spyrrow.ProgressQueue()
    best = float("inf")

    def tell() -> None:
        nonlocal best
        for kind, solution in queue.drain():
            feasible = kind in (
                spyrrow.ReportType.ExplFeas,
                spyrrow.ReportType.CmprFeas,
                spyrrow.ReportType.Final,
            )
            if feasible and solution.width < best - 1e-6:
                best = solution.width
                spots = [
                    [placed.id, placed.rotation, placed.translation[0], placed.translation[1]]
                    for placed in solution.placed_items
                ]
                out.write(json.dumps({"length": best, "spots": spots}) + "\n")
                out.flush()

    thread = threading.Thread(target=strip.solve, args=(config, queue), daemon=True)
    thread.start()
    while thread.is_alive():
        tell()
        time.sleep(0.02)
    tell()
    out.write('{"done": true}\n')
    out.flush()


if __name__ == "__main__":
    run(json.loads(sys.stdin.readline()), sys.stdout)
