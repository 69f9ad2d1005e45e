"""The child process that refutes boxes with a constraint solver.

Run as ``python -m fitkit.fit.exact_child``: reads one JSON job, answers one JSON line per box, in
order, up to the first that holds. Job: ``{"sides": [[w, h]...], "turns": [bool...], "boxes":
[[length, width]...], "workers": n}``, whole numbers. Line: ``{"box": index, "spots": [[x, y,
turned]...] or null}``.
"""

from __future__ import annotations

import json
import math
import sys
from typing import Any


def holds(
    sides: list[list[int]], turns: list[bool], *, length: int, width: int, workers: int
) -> list[tuple[int, int, bool]] | None:
    """Spots of all rectangles in a box, or None if it is proven that there are none.

    RuntimeError if the solver gives up, which it has no reason to.
    """
    from ortools.sat.python import cp_model

    step = math.gcd(length, width, *(side for pair in sides for side in pair))
    length, width = length // step, width // step
    model = cp_model.CpModel()
    xs, ys, turned, across, along, lengths, widths = [], [], [], [], [], [], []
    for k, (pair, may_turn) in enumerate(zip(sides, turns, strict=True)):
        w, h = pair[0] // step, pair[1] // step
        if not may_turn or w == h:
            flag: Any = model.new_constant(0)
            if w > length or h > width:
                return None
        else:
            flag = model.new_bool_var(f"t{k}")
        a: Any = w + (h - w) * flag if may_turn and w != h else w
        b: Any = h + (w - h) * flag if may_turn and w != h else h
        x = model.new_int_var(0, length - min(w, h if may_turn else w), f"x{k}")
        y = model.new_int_var(0, width - min(h, w if may_turn else h), f"y{k}")
        ex = model.new_int_var(0, length, f"ex{k}")
        ey = model.new_int_var(0, width, f"ey{k}")
        across.append(model.new_interval_var(x, a, ex, f"ix{k}"))
        along.append(model.new_interval_var(y, b, ey, f"iy{k}"))
        xs.append(x)
        ys.append(y)
        turned.append(flag)
        lengths.append(a)
        widths.append(b)
    model.add_no_overlap_2d(across, along)
    model.add_cumulative(across, widths, width)
    model.add_cumulative(along, lengths, length)
    largest = max(range(len(sides)), key=lambda k: sides[k][0] * sides[k][1])
    # a box can be mirrored both ways: the largest stands in the lower left
    model.add(2 * xs[largest] + lengths[largest] <= length)
    model.add(2 * ys[largest] + widths[largest] <= width)
    alike: dict[tuple[int, int, bool], int] = {}
    for k, pair in enumerate(sides):
        kind = (pair[0], pair[1], turns[k])
        if kind in alike and largest not in (k, alike[kind]):
            before = alike[kind]
            model.add(xs[before] * (width + 1) + ys[before] <= xs[k] * (width + 1) + ys[k])
        alike[kind] = k
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    # left on, the solver takes Ctrl-C away from whoever runs in this process
    solver.parameters.catch_sigint_signal = False
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise RuntimeError(solver.status_name(status))
    return [
        (solver.value(x) * step, solver.value(y) * step, bool(solver.value(flag)))
        for x, y, flag in zip(xs, ys, turned, strict=True)
    ]


def main() -> None:
    """Refute the boxes of one job, in order."""
    job = json.loads(sys.stdin.readline())
    for index, (length, width) in enumerate(job["boxes"]):
        spots = holds(
            job["sides"], job["turns"], length=length, width=width, workers=job["workers"]
        )
        sys.stdout.write(json.dumps({"box": index, "spots": spots}) + "\n")
        sys.stdout.flush()
        if spots is not None:
            break
    sys.stdout.write('{"done": true}\n')
    sys.stdout.flush()


if __name__ == "__main__":
    main()
