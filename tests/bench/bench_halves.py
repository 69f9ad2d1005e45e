"""What mounting, cables and the closing gap cost, and how deep the recess is: run on demand.

    python tests/bench/bench_halves.py [sample ...]

For every sample with mounted gear, on one layout: rounds until the free recesses stay, seconds for
them, for the shell with all its parts, for the cables alone when new, and for the gaps; then each
pair's worst case and root of the sum of squares, each over what 999 of 1000 drawn cases leave open
(normal, all shifts in full). Figures depend on the machine; ratios are what to compare.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from fitkit.fit.recess import deepened
from fitkit.fit.search import smallest
from fitkit.foam.stack import settle
from fitkit.payload.sheet import read_sheet
from fitkit.plan import MOST_ROUNDS
from fitkit.shell.cables import paths
from fitkit.shell.cables.make import cables_of
from fitkit.shell.gap.make import gaps_of
from fitkit.shell.gap.monte_carlo import sampled_mm
from fitkit.shell.gap.recess import recesses_needed_mm
from fitkit.shell.make import make_shell

SAMPLES = Path(__file__).parents[2] / "sample_payloads"
NAMES = ("twin_screens", "watch_desk")
BUDGET_S = 3.0
TIMES = 5


def seconds(call: Callable[[], object]) -> float:
    """The median time of a few calls [s]."""
    taken = []
    for _ in range(TIMES):
        started = time.perf_counter()
        call()
        taken.append(time.perf_counter() - started)
    return statistics.median(taken)


def bench(name: str) -> None:
    """One sample on one layout."""
    payload = read_sheet(SAMPLES / f"{name}.toml")
    fit = smallest(payload, budget_s=BUDGET_S)
    started = time.perf_counter()
    rounds = 0
    for _ in range(MOST_ROUNDS):
        rounds += 1
        placements = settle(payload, interior=fit.interior, placements=fit.placements).placements
        shell = make_shell(payload, interior=fit.interior, placements=placements)
        deeper = deepened(payload, fit, needed_mm=recesses_needed_mm(payload, shell.gaps))
        if deeper == fit:
            break
        fit = deeper
    looped = time.perf_counter() - started
    interior = fit.interior
    placements = settle(payload, interior=interior, placements=fit.placements).placements
    shell = make_shell(payload, interior=interior, placements=placements)

    def wired() -> None:
        paths._way.cache_clear()
        cables_of(
            payload, interior=interior, placements=placements, rooms=shell.rooms,
            exits=shell.exits, supports=shell.supports,
        )  # fmt: skip

    def measured() -> None:
        gaps_of(
            payload, interior=interior, placements=placements, panels=shell.panels,
            supports=shell.supports,
        )  # fmt: skip

    whole = seconds(lambda: make_shell(payload, interior=interior, placements=placements))
    print(
        f"{name:<14} {rounds} rounds of recess {looped:5.2f} s   shell {whole:5.2f} s   "
        f"cables, new {seconds(wired):5.2f} s   gaps {seconds(measured):6.4f} s"
    )
    for gap in shell.gaps:
        if not gap.known:
            print(f"    {gap.deep} - {gap.shallow}: not all is known")
            continue
        likely = float(np.quantile(sampled_mm(gap, count=10_000, seed=1, spread="normal"), 0.001))
        print(
            f"    {gap.deep} - {gap.shallow}: planned {gap.nominal_mm:.1f} mm, worst / drawn "
            f"{gap.worst_mm / likely:.2f}, root of squares / drawn {gap.rss_mm / likely:.2f}"
        )


if __name__ == "__main__":
    for sample in sys.argv[1:] or NAMES:
        bench(sample)
