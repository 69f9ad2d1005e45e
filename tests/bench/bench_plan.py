"""How long a plan takes, and how good it is: run on demand, never in the tests.

    python tests/bench/bench_plan.py [sample ...]

For every sample: seconds to the first layout that holds, its value against the best after the
budget, the gap to the bound, and seconds for foam and files after the search. Figures depend on the
machine; ratios are what to compare.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

from fitkit.documents.files import write_all
from fitkit.fit.search import smallest
from fitkit.fit.state import Progress
from fitkit.payload.sheet import read_sheet
from fitkit.plan import Choices, plan_of

SAMPLES = Path(__file__).parents[2] / "sample_payloads"
BUDGET_S = 10.0
SEEDS = (1, 2, 3)


def bench(name: str) -> None:
    """One sample, a few seeds, medians."""
    payload = read_sheet(SAMPLES / f"{name}.toml")
    firsts, ratios, gaps, takes, after = [], [], [], [], []
    for seed in SEEDS:
        seen: list[tuple[float, float]] = []

        def hear(now: Progress, seen: list[tuple[float, float]] = seen) -> None:
            if now.value is not None:
                seen.append((now.seconds, now.value))

        started = time.perf_counter()
        fit = smallest(payload, budget_s=BUDGET_S, seed=seed, progress=hear)
        takes.append(time.perf_counter() - started)
        started = time.perf_counter()
        plan = plan_of(payload, fit=fit, choices=Choices(budget_s=BUDGET_S, seed=seed))
        with tempfile.TemporaryDirectory() as folder:
            write_all(plan, Path(folder))
        after.append(time.perf_counter() - started)
        firsts.append(fit.history[0].seconds)
        ratios.append(fit.value / fit.history[0].value)
        gaps.append(fit.gap)
    print(
        f"{name:<14} first {statistics.median(firsts):5.2f} s   "
        f"best/first {statistics.median(ratios):5.3f}   gap {statistics.median(gaps):5.3f} "
        f"({min(gaps):.3f} to {max(gaps):.3f})   search {statistics.median(takes):5.2f} s   "
        f"foam and files {statistics.median(after):5.2f} s"
    )


if __name__ == "__main__":
    chosen = sys.argv[1:] or sorted(path.stem for path in SAMPLES.glob("*.toml"))
    for sample in chosen:
        bench(sample)
