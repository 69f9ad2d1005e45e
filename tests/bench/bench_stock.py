"""How soon stock is cut with proof: run on demand, never in the tests.

    python tests/bench/bench_stock.py [--instances DIR] [ROW ...]

Rows: bars, sheets, strips. *bars*: sixty pieces of a shop's sizes on bars. *sheets*: sixty panels
in two and in three stages. *strips*: the perfect strips of Hopper and Turton (2001), whose optimum
is the area bound, as one sheet of strip width by known height: rectangles lying anyhow must fill
it; the same rectangles by guillotine cuts in three stages need more length, since the optimum is
no guillotine pattern: the shortest sheet found, against the area bound. Instances are read from DIR
or from the folder that the environment variable FITKIT_INSTANCES names. Figures depend on the
machine.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import statistics
import time
from pathlib import Path

from fitkit.stock.bars import cut_bars
from fitkit.stock.foam_boxes import Slab, filled
from fitkit.stock.model import Stick, Tile
from fitkit.stock.sheets import cut_sheets

SEEDS = 10


def bars() -> None:
    """Sixty pieces: of fifteen lengths, all unlike, and with two lengths of bar."""
    rows = {
        "60 pieces of 15 lengths": (15, [3000.0], 0),
        "60 pieces all unlike": (60, [3000.0], 0),
        "60 of 15, two bar lengths": (15, [3000.0, 2500.0], 0),
        "60 of 15, 4 offcuts": (15, [3000.0], 4),
    }
    for name, (kinds, lengths, kept) in rows.items():
        seconds, proven, bought, naive = [], 0, 0.0, 0.0
        for seed in range(SEEDS):
            rng = random.Random(seed)
            sizes = [rng.randint(140, 900) for _ in range(kinds)] * (60 // kinds)
            sticks = [Stick(f"piece {n}", float(mm)) for n, mm in enumerate(sizes)]
            offcuts = [float(rng.randint(300, 1400)) for _ in range(kept)]
            start = time.perf_counter()
            plan = cut_bars(sticks, what="edge", bars_mm=lengths, offcuts_mm=offcuts)
            seconds.append(time.perf_counter() - start)
            proven += plan.proven
            bought, naive = bought + plan.bought_mm, naive + plan.first_fit_mm
        print(
            f"bars    {name:<28} proven {proven} of {SEEDS}   median "
            f"{statistics.median(seconds):5.2f} s   worst {max(seconds):5.2f} s   "
            f"new bar {bought / 1000:.0f} m, first fit {naive / 1000:.0f} m",
            flush=True,
        )


def sheets() -> None:
    """Sixty panels of ten sizes with and without grain."""
    for stages in (2, 3):
        for turn in (True, False):
            seconds, proven, bought, naive = [], 0, 0, 0
            for seed in range(5):
                rng = random.Random(seed)
                sizes = [(rng.randint(150, 800), rng.randint(80, 500)) for _ in range(10)] * 6
                tiles = [Tile(f"t {n}", float(a), float(b), turn) for n, (a, b) in enumerate(sizes)]
                start = time.perf_counter()
                plan = cut_sheets(tiles, what="b", sheet_mm=(2440.0, 1220.0), stages=stages)  # type: ignore[arg-type]  # by test
                seconds.append(time.perf_counter() - start)
                proven += plan.proven
                bought, naive = bought + len(plan.sheets), naive + plan.first_fit
            print(
                f"sheets  60 panels, {stages} stages, {'turned' if turn else 'grain ':<8}   proven "
                f"{proven} of 5   median {statistics.median(seconds):5.2f} s   worst "
                f"{max(seconds):5.2f} s   sheets {bought}, first fit {naive}",
                flush=True,
            )


def strips(folder: Path, only: list[str]) -> None:
    """Perfect strips: filled exactly, and by guillotine cuts."""
    rows = json.loads((folder / "strip_perfect.json").read_text(encoding="utf-8"))
    for name, row in rows.items():
        if only and name not in only:
            continue
        wide, high = row["strip_width"], row["optimal_height"]
        slabs = [Slab(a, b) for a, b in row["items"]]
        start = time.perf_counter()
        told = filled(slabs, room=(wide, high), nodes=20_000_000)
        took = time.perf_counter() - start
        tiles = [Tile(f"t {n}", float(a), float(b)) for n, (a, b) in enumerate(row["items"])]
        reached = high
        while True:
            plan = cut_sheets(
                tiles, what="strip", sheet_mm=(float(reached), float(wide)), kerf_mm=0.0,
                trim_mm=0.0, stages=3, keep_mm=1.0,
            )  # fmt: skip
            if len(plan.sheets) == 1:
                break
            reached += 1
        print(
            f"strips  {name}   {len(slabs)} pieces {wide} x {high}   lying anyhow: "
            f"{'filled' if told == 'holds' else told} in {took:5.2f} s   three stages: height "
            f"{reached} ({100 * (reached / high - 1):.0f} % above the area bound)",
            flush=True,
        )


def main() -> None:
    """Print the rows that were asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--instances", default=os.environ.get("FITKIT_INSTANCES"))
    parser.add_argument("rows", nargs="*")
    asked = parser.parse_args()
    names = [row for row in asked.rows if row.startswith("C")]
    if not asked.rows or "bars" in asked.rows:
        bars()
    if not asked.rows or "sheets" in asked.rows:
        sheets()
    if not asked.rows or "strips" in asked.rows or names:
        if asked.instances:
            strips(Path(asked.instances), names)
        else:
            print("strips  left out: give --instances DIR or set FITKIT_INSTANCES")


if __name__ == "__main__":
    main()
