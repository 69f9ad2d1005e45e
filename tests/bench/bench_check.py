"""How quick the check, the first layout and a cancel are: run on demand, never in the tests.

    python tests/bench/bench_check.py [validate] [first] [cancel]

*validate*: milliseconds to check a layout of 30 outlines of 200 vertices, all pairs (layouts that
were never seen, packed close and strewn wide), and after one item moved. *first*: seconds to the
first layout of the spares chest (60 outlines), in a fresh process. *cancel*: seconds from a cancel
at a random moment, given from another thread, until the search has come back with its best; with
which part took longest. Figures depend on the machine.
"""

from __future__ import annotations

import math
import random
import statistics
import subprocess
import sys
import threading
import time
from pathlib import Path

import numpy as np
import shapely
from attrs import evolve

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.search import smallest
from fitkit.fit.validate import violations, violations_of_moved
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section
from fitkit.payload.sheet import read_sheet

SAMPLES = Path(__file__).parents[2] / "sample_payloads"
OUTLINES, VERTICES, ROUNDS = 30, 200, 60
TRIALS, LATEST_S = 30, 8.0

FIRST = """
import sys, time
from pathlib import Path
from fitkit.fit.search import smallest
from fitkit.payload.sheet import read_sheet
payload = read_sheet(Path(sys.argv[1]))
start, seen = time.perf_counter(), []
def hear(now):
    if now.value is not None and not seen:
        seen.append(time.perf_counter() - start)
fit = smallest(payload, budget_s=20.0, progress=hear, cancelled=lambda: bool(seen))
print(seen[0], fit.history[0].seconds)
"""


def gear(rng: random.Random) -> Payload:
    """Thirty wavy outlines of 200 vertices, each unlike the others."""
    items = []
    for number in range(OUTLINES):
        turn = np.linspace(0.0, 2 * math.pi, VERTICES, endpoint=False)
        wave = 1 + 0.15 * np.sin(rng.randint(2, 6) * turn + rng.uniform(0, 6))
        reach = rng.uniform(25.0, 45.0) * wave
        xy = np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])
        outline = shapely.Polygon(xy - xy.min(axis=0))
        body = Body((Section(outline, 0.0, 40.0),))
        items.append(Item(f"piece {number}", body, turn="free"))
    return Payload("wavy gear", tuple(items), case=CaseWishes())


def validate() -> None:
    """The check on close and wide layouts, and of one moved item."""
    rng = random.Random(1)
    payload = gear(rng)
    fit = smallest(payload, budget_s=3.0, repeatable=True)
    wide = Interior(900.0, 900.0, (Half("deep", 80.0), Half("shallow", 50.0)))

    def nudged(k: int, placement: Placement) -> Placement:
        """Every outline at a place where it never was, all clearances kept or nearly so."""
        x_mm = placement.x_mm + rng.uniform(-0.00004, 0.00004)
        return evolve(placement, x_mm=x_mm)

    def strewn(k: int, placement: Placement) -> Placement:
        x_mm, y_mm = 20 + k % 6 * 125 + rng.uniform(0, 3), 20 + k // 6 * 125 + rng.uniform(0, 3)
        return evolve(placement, x_mm=x_mm, y_mm=y_mm, z_mm=30.0)

    for name, room, spread in (("close", fit.interior, nudged), ("wide", wide, strewn)):
        taken, wrong = [], 0
        for turn in range(ROUNDS):
            placements = tuple(spread(k, one) for k, one in enumerate(fit.placements))
            start = time.perf_counter()
            found = violations(payload, interior=room, placements=placements)
            if turn >= ROUNDS // 3:
                taken.append(1e3 * (time.perf_counter() - start))
            wrong += len(found)
        print(
            f"all pairs, {name:<6} median {statistics.median(taken):6.2f} ms   "
            f"worst {max(taken):6.2f} ms   (found wrong: {wrong})"
        )
    placements, taken = list(fit.placements), []
    for _ in range(3 * ROUNDS):
        k = rng.randrange(len(placements))
        by = (rng.uniform(-3, 3), rng.uniform(-3, 3))
        old = placements[k]
        placements[k] = evolve(old, x_mm=old.x_mm + by[0], y_mm=old.y_mm + by[1])
        start = time.perf_counter()
        violations_of_moved(payload, interior=fit.interior, placements=placements, index=k)
        taken.append(1e3 * (time.perf_counter() - start))
        placements[k] = old
    print(
        f"one moved         median {statistics.median(taken):6.2f} ms   worst {max(taken):6.2f} ms"
    )


def first() -> None:
    """The first layout of sixty outlines, each time in a fresh process."""
    told = []
    for _ in range(3):
        line = subprocess.run(
            [sys.executable, "-c", FIRST, str(SAMPLES / "sixty.toml")],
            check=True,
            capture_output=True,
            text=True,
        ).stdout.split()
        told.append((float(line[0]), float(line[1])))
    heard, made = zip(*told, strict=True)
    print(
        f"60 outlines, first layout: made after {statistics.median(made):.2f} s, told the caller "
        f"after {statistics.median(heard):.2f} s (medians of 3, fresh processes)"
    )


def cancel() -> None:
    """Cancels at random moments of a search for sixty outlines."""
    rng = random.Random(7)
    payload = read_sheet(SAMPLES / "sixty.toml")
    taken: list[tuple[float, float, str]] = []
    for trial in range(TRIALS):
        wait_s, stop, at = rng.uniform(0.05, LATEST_S), threading.Event(), [0.0]

        def press(
            wait_s: float = wait_s, stop: threading.Event = stop, at: list[float] = at
        ) -> None:
            time.sleep(wait_s)
            at[0] = time.perf_counter()
            stop.set()

        stages: list[str] = []
        hand = threading.Thread(target=press)
        hand.start()
        smallest(
            payload,
            budget_s=60.0,
            seed=trial + 1,
            progress=lambda now, stages=stages: stages.append(now.stage),
            cancelled=stop.is_set,
        )
        taken.append((time.perf_counter() - at[0], wait_s, stages[-1]))
        hand.join()
    worst = max(taken)
    print(
        f"cancel, {TRIALS} trials: median {statistics.median(t for t, _, _ in taken):.3f} s   "
        f"worst {worst[0]:.3f} s (pressed at {worst[1]:.2f} s, in {worst[2]})   over 0.2 s: "
        f"{sum(t > 0.2 for t, _, _ in taken)}"
    )


BENCHES = {"validate": validate, "first": first, "cancel": cancel}

if __name__ == "__main__":
    for chosen in sys.argv[1:] or list(BENCHES):
        BENCHES[chosen]()
