"""How fast least boxes are proven: run on demand, never in the tests.

    python tests/bench/bench_rectangles.py [--instances DIR] [ROW ...]

Rows: squares, families, boxes, millimetres, hard. The instances with known answers are read from
DIR or from the folder that the environment variable FITKIT_INSTANCES names; without one, only rows
that need none are run, and it says so. Medians of three on this machine; workers are warm (the
first of them takes a second or two to start, and longer when the searches have to be compiled).
Every answer is checked against the known one, and its placement by an overlap check of its own.
"""

from __future__ import annotations

import argparse
import csv
import itertools
import os
import random
import statistics
from collections.abc import Sequence
from pathlib import Path

from fitkit.fit.exact import LeastBox, least_box

RUNS = 3


def checked(found: LeastBox) -> LeastBox:
    """The answer, after looking that blocks lie inside and apart."""
    blocks = list(zip(found.spots_mm, found.blocks_mm, strict=True))
    for spot, sides in blocks:
        for p, s, side in zip(spot, sides, found.sides_mm, strict=True):
            assert p >= 0
            assert p + s <= side + 1e-9
    for (p, s), (q, t) in itertools.combinations(blocks, 2):
        assert any(p[d] + s[d] <= q[d] + 1e-9 or q[d] + t[d] <= p[d] + 1e-9 for d in range(len(s)))
    return found


def timed(
    name: str,
    blocks: Sequence[Sequence[float]],
    *,
    target_s: float,
    known: float | None,
    turn: str = "fixed",
    runs: int = RUNS,
    budget_s: float = 0.0,
) -> None:
    """One line: seconds to value and proof against the target."""
    seconds, gaps = [], []
    for _ in range(runs):
        found = checked(
            least_box(blocks, turn=turn, budget_s=budget_s or 3 * target_s)  # type: ignore[arg-type]  # by test
        )
        seconds.append(found.seconds)
        gaps.append(found.gap)
        if known is not None and found.proven:
            assert found.value == known, (name, found.value, known)
    middle = statistics.median(seconds)
    gap = statistics.median(gaps)
    print(
        f"{name:<34} target {target_s:6.1f} s   {middle:7.2f} s   ratio {middle / target_s:5.2f}   "
        f"{'proven' if gap == 0 else f'gap {100 * gap:.1f} %'}   value {found.value:.0f}",
        flush=True,
    )


def table(folder: Path, name: str) -> list[dict[str, str]]:
    """The rows of a table of instances."""
    with (folder / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def squares(folder: Path) -> None:
    """Squares 1..n: least area and proof."""
    for row in table(folder, "squares_1_to_n.csv"):
        n = int(row["n"])
        sides = [(i, i) for i in range(1, n + 1)]
        known = float(row["min_area_A038666"])
        timed(f"squares 1..{n}", sides, target_s=1.0 if n <= 17 else 10.0, known=known)


FAMILIES = {
    "uno": lambda i, n: (i, i + 1),
    "ori": lambda i, n: (i, i + 1),
    "eqp": lambda i, n: (i, n + 1 - i),
    "dbp": lambda i, n: (i, 2 * n - i),
}


def families(folder: Path) -> None:
    """The families of rectangles; those i x (i + 1) have a target, the others have none set."""
    for row in table(folder, "rectangle_families.csv"):
        n, family = int(row["n"]), row["family"]
        timed(
            f"{row['definition'].split(',')[0]}, n = {n}",
            [FAMILIES[family](i, n) for i in range(1, n + 1)],
            target_s=1.0 if family in ("uno", "ori") else 60.0,
            known=float(row["proven_min_area"]),
            turn="quarter" if family in ("uno", "dbp") else "fixed",
            runs=RUNS if family in ("uno", "ori") else 1,
        )


def boxes(folder: Path) -> None:
    """Cubes and boxes 4i x 3i x 2i."""
    for row in table(folder, "boxes_min_volume.csv"):
        n = int(row["n"])
        cubes = row["family"] == "cubes"
        timed(
            f"{row['family']}, n = {n}",
            [(i, i, i) if cubes else (4 * i, 3 * i, 2 * i) for i in range(1, n + 1)],
            target_s=1.0 if cubes else 6.0,
            known=float(row["proven_min_volume"]),
            turn="any",
        )
    for n in (10, 11, 12):
        sides = [(i, i, i) for i in range(1, n + 1)]
        timed(f"cubes, n = {n}", sides, target_s=1.0, known=None)


def at_random(n: int, seed: int) -> list[tuple[int, ...]]:
    """Boxes with sides from 40 to 200 mm."""
    rng = random.Random(seed)
    return [tuple(sorted((rng.randint(40, 200) for _ in range(3)), reverse=True)) for _ in range(n)]


def millimetres() -> None:
    """Boxes at random in millimetres, six orientations: proof for 9, gap for 12."""
    for n, target_s in ((7, 10.0), (8, 10.0), (9, 10.0), (12, 30.0)):
        for seed in (1, 2, 3, 4, 5):
            timed(
                f"boxes at random, n = {n}, seed {seed}",
                at_random(n, seed),
                target_s=target_s,
                known=None,
                turn="any",
                runs=1,
                budget_s=target_s if n == 12 else 2.5 * target_s,
            )


def hard() -> None:
    """What takes longer: squares to 22 and 24, rectangles i x (i + 1) to 18."""
    for n, target_s in ((21, 90.0), (22, 90.0), (23, 600.0), (24, 600.0)):
        sides = [(i, i) for i in range(1, n + 1)]
        timed(f"squares 1..{n}", sides, target_s=target_s, known=None, runs=1, budget_s=target_s)
    for turn in ("fixed", "quarter"):
        for n in (16, 18):
            sides = [(i, i + 1) for i in range(1, n + 1)]
            timed(
                f"i x (i + 1), {turn}, n = {n}", sides, target_s=60, known=None, turn=turn, runs=1
            )


def main() -> None:
    """Run the rows that were asked for, or all."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--instances", default=os.environ.get("FITKIT_INSTANCES"))
    parser.add_argument("rows", nargs="*")
    asked = parser.parse_args()
    least_box([(1, 1), (2, 2), (3, 3), (4, 4)])
    least_box([(1, 1, 1), (2, 2, 2), (3, 3, 3)])
    with_instances = {"squares": squares, "families": families, "boxes": boxes}
    without = {"millimetres": millimetres, "hard": hard}
    for name in asked.rows or [*with_instances, *without]:
        if name in without:
            without[name]()
        elif asked.instances:
            with_instances[name](Path(asked.instances))
        else:
            print(f"{name}: left out, no folder of instances given (--instances DIR)")


if __name__ == "__main__":
    main()
