"""How well outlines are nested: strips with published densities, and least rectangles.

    python tests/bench/bench_outlines.py strips [--instances DIR] [name ...]
    python tests/bench/bench_outlines.py gear [seed ...]
    python tests/bench/bench_outlines.py first

*strips*: density (total item area over height times used length) after 60 s in two processes. Few
outlines on a common lattice are searched on that lattice. For the others: engine runs with new
seeds, each closed up by the polish; small ones are searched near as well.
Layouts pass the project's own check. The instances are read from the folder given (or named by
FITKIT_INSTANCES); without one this part is skipped. Published densities stand in the folder's
``strip_densities.csv`` (runs of 20 minutes).

*gear*: 14 gear-like outlines with 12 mm webs, 20 mm walls, least plan area in 30 s, against the
engine alone in the same 30 s: two processes, two runs each (9 s of exploration, then compression)
over strip heights of 0.97, 1.0, 1.05 and 1.1 times the side of a square of the outlines' area, each
grown by half a web; the best is kept. Many short runs are a weaker use of the engine: it takes some
10 s to close such a strip up.

*first*: seconds to the first valid layout of the 60-item sample.
"""

from __future__ import annotations

import itertools
import json
import math
import multiprocessing
import os
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeAlias

import numpy as np
import shapely

from fitkit.fit.child import Child, nest_job, spots_of
from fitkit.fit.conflict.lattice import lattice_mm
from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.outlines import GRID_COPIES
from fitkit.fit.pieces import Margins, Piece, Spot, room_of, turned_outline
from fitkit.fit.polish.compact import closed_up, lined_up
from fitkit.fit.polish.disturb import Aim, Search
from fitkit.fit.polish.scene import Scene, Setting
from fitkit.fit.search import smallest
from fitkit.fit.validate import violations
from fitkit.payload.model import Body, CaseWishes, Clearance, Item, Payload, Section
from fitkit.payload.sheet import read_sheet
from gear import gear_like

ENGINE = "fitkit.fit.engine"
STRIP_S = 60.0
STRIP_MM = 1000.0
RECT_S = 30.0
WEB_MM, WALL_MM = 12.0, 20.0
REACH = {"swim": 75.0, "shirts": 86.7, "jakobs1": 89.0, "fu": 91.2}
RUN_S = {"swim": 34, "shirts": 36, "jakobs1": 3, "fu": 2}
LATTICE_MOVES = 2000
NEAR_S = {"swim": 0.0, "shirts": 0.0, "jakobs1": 5.0, "fu": 5.0}

Strip = tuple[list[Piece], float]
Answers: TypeAlias = "multiprocessing.Queue[tuple[float, list[Spot]] | None]"
Areas: TypeAlias = "multiprocessing.Queue[float]"


def strip_of(folder: Path, name: str) -> Strip:
    """The pieces of an instance, scaled to a strip 1000 mm high, and their total area."""
    data = json.loads((folder / f"{name}.json").read_text())
    scale = STRIP_MM / data["strip_height"]
    pieces, area = [], 0.0
    for one in data["items"]:
        outline = shapely.Polygon(np.array(one["shape"]["data"]) * scale)
        outline = shapely.transform(outline, lambda xy: xy - xy.min(axis=0))
        turn = {1: "fixed", 2: "half", 4: "quarter"}[len(one["allowed_orientations"])]
        body = Body((Section(outline, 0.0, 10.0),))
        item = Item(f"piece {one['id']}", body, count=one["demand"], turn=turn)
        pieces += [Piece(item, "top")] * item.count
        area += outline.area * item.count
    return pieces, area


def worker_of(folder: Path, name: str) -> Callable[..., None]:
    """The worker that suits an instance: on its lattice if there is one and pieces are few."""
    pieces, _ = strip_of(folder, name)
    few = len(pieces) <= GRID_COPIES
    return lattice_worker if few and lattice_mm(pieces) is not None else strip_worker


def lattice_worker(folder: Path, name: str, seed: int, until: float, out: Answers) -> None:
    """A search on the lattice of the outlines until the time is up; the best spots and length."""
    from fitkit.fit.conflict.strip import Strip

    pieces, _ = strip_of(folder, name)
    step = lattice_mm(pieces)
    assert step is not None
    found = Strip.of(pieces, across_mm=STRIP_MM, step_mm=step, rng=random.Random(seed))
    while time.monotonic() < until - 0.5 and not found.least_possible:
        found.go_on(LATTICE_MOVES)
    out.put((found.length_mm, list(found.spots)))


def strip_worker(folder: Path, name: str, seed: int, until: float, out: Answers) -> None:
    """Runs with new seeds until the time is up; the best spots and their length."""
    pieces, _ = strip_of(folder, name)
    count = len(pieces)
    setting = Setting(
        tuple(pieces),
        frozenset(itertools.combinations(range(count), 2)),
        0.0,
        Margins(0.0, 0.0),
        tolerance_mm=1e-3,
        compiled=True,
    )
    aim = Aim(lambda size: size[0], (0.0, STRIP_MM), (1e9, STRIP_MM))
    rng = random.Random(seed)
    best: tuple[float, list[Spot]] | None = None
    reserve = 8.0 if count > 40 else 0.5
    while time.monotonic() < until - reserve - 1.0:
        job = nest_job(
            pieces,
            across_mm=STRIP_MM,
            web_mm=0.0,
            seconds=RUN_S[name],
            seed=rng.getrandbits(30),
            base_deg=0.0,
        )
        spots = None
        with Child(ENGINE, job) as child:
            done = False
            while not done and time.monotonic() < until - reserve:
                answers, done = child.answers(0.05)
                if answers:
                    spots = spots_of(answers[-1], pieces, 0.0)
        if spots is None:
            continue
        scene = lined_up(spots, Scene.of(setting, spots))
        length = scene.size_mm[0]
        scene, size = closed_up(
            scene,
            (length, STRIP_MM),
            weights=(1.0, 0.0),
            most_mm=(length + 30.0, STRIP_MM),
            least_mm=(0.0, STRIP_MM),
            stop=lambda: time.monotonic() > until,
        )
        stop_near = min(until, time.monotonic() + NEAR_S[name])
        search = Search(aim, scene, size, [list(range(count))], rng)
        while time.monotonic() < stop_near:
            search.trial()
        if best is None or search.best_size_mm[0] < best[0]:
            best = search.best_size_mm[0], list(search.best.spots)
    out.put(best)


def strip(folder: Path, name: str) -> None:
    """One instance: density in 60 s."""
    started = time.monotonic()
    queue: multiprocessing.Queue[tuple[float, list[Spot]] | None] = multiprocessing.Queue()
    workers = [
        multiprocessing.Process(
            target=worker_of(folder, name), args=(folder, name, seed, started + STRIP_S, queue)
        )
        for seed in (1, 2)
    ]
    for worker in workers:
        worker.start()
    found = [have for have in (queue.get() for _ in workers) if have is not None]
    for worker in workers:
        worker.join()
    took = time.monotonic() - started
    length, spots = min(found, key=lambda have: have[0])
    pieces, area = strip_of(folder, name)
    faults = strip_faults(pieces, spots, length)
    density = 100 * area / (STRIP_MM * length)
    print(
        f"{name:<8} {density:6.2f} % (reach {REACH[name]:.1f}) in {took:.1f} s, "
        f"{'valid' if not faults else f'INVALID: {faults[0]}'}"
    )


def strip_faults(pieces: list[Piece], spots: list[Spot], length_mm: float) -> tuple[object, ...]:
    """What the project's own check says about a strip."""
    none = Clearance(item_mm=0.0, wall_mm=0.0, floor_mm=0.0, lid_mm=0.0, tier_mm=0.0)
    kinds = tuple(dict.fromkeys(piece.item for piece in pieces))
    payload = Payload("strip", kinds, case=CaseWishes(clearance=none))
    numbers: dict[str, int] = {}
    placements = []
    for piece, spot in zip(pieces, spots, strict=True):
        name = piece.item.name
        numbers[name] = numbers.get(name, 0) + 1
        x0, y0, _, _ = turned_outline(piece, spot.turn_deg).bounds
        placements.append(
            Placement(
                name, numbers[name], "deep", 1, "top", spot.turn_deg, spot.x_mm + x0,
                spot.y_mm + y0, 0.0,
            )
        )  # fmt: skip
    halves = (Half("deep", 10.0), Half("shallow", 10.0))
    interior = Interior(length_mm, STRIP_MM, halves)
    return violations(payload, interior=interior, placements=placements)


def gear_payload(seed: int) -> Payload:
    """14 gear-like outlines with 12 mm webs."""
    clear = Clearance(item_mm=WEB_MM, wall_mm=WALL_MM)
    return Payload(
        "gear", gear_like(14, seed=seed), case=CaseWishes(objective="plan", clearance=clear)
    )


def engine_alone(pieces: list[Piece], shares: tuple[float, ...], out: Areas) -> None:
    """The least area of runs over strip heights (whole millimetres)."""
    side = math.sqrt(sum(piece.outline.buffer(WEB_MM / 2).area for piece in pieces))
    best, until = math.inf, time.monotonic() + RECT_S
    for number, height in enumerate(shares):
        best = min(best, engine_run(pieces, side * height, number + 1, 9, until))
    out.put(best)


def engine_run(
    pieces: list[Piece], across_mm: float, seed: int, seconds: int, until: float
) -> float:
    """The area that one engine run comes to [mm2]."""
    job = nest_job(
        pieces, across_mm=across_mm, web_mm=WEB_MM, seconds=seconds, seed=seed, base_deg=0.0
    )
    best = math.inf
    with Child(ENGINE, job) as child:
        done = False
        while not done and time.monotonic() < until:
            answers, done = child.answers(0.05)
            for answer in answers:
                spots = spots_of(answer, pieces, 0.0)
                if spots is not None:
                    room = room_of(zip(pieces, spots, strict=True), Margins(WALL_MM, 0.0))
                    sides = (room[2] - room[0], room[3] - room[1])
                    best = min(best, math.prod(math.ceil(side - 1e-6) for side in sides))
    return best


def gear(seed: int) -> None:
    """One drawn kit: this project against the engine alone."""
    payload = gear_payload(seed)
    pieces = [Piece(item, "top") for item in payload.items]
    queue: multiprocessing.Queue[float] = multiprocessing.Queue()
    workers = [
        multiprocessing.Process(target=engine_alone, args=(pieces, shares, queue))
        for shares in ((1.0, 1.1), (1.05, 0.97))
    ]
    for worker in workers:
        worker.start()
    alone = min(queue.get() for _ in workers)
    for worker in workers:
        worker.join()
    fit = smallest(payload, budget_s=RECT_S, seed=1)
    faults = violations(payload, interior=fit.interior, placements=fit.placements)
    verdict = "valid" if not faults else f"INVALID: {faults[0]}"
    print(
        f"gear {seed}: {fit.value:9.0f} mm2, "
        f"engine alone {alone:9.0f} ({fit.value / alone - 1:+.1%}), {verdict}",
        flush=True,
    )


def first() -> None:
    """Seconds to the first layout of 60 items."""
    samples = Path(__file__).parents[2] / "sample_payloads"
    fit = smallest(read_sheet(samples / "sixty.toml"), budget_s=3.0)
    print(f"60 items: first valid layout after {fit.history[0].seconds:.2f} s (reach 2 s)")


def main(words: list[str]) -> None:
    """Run the parts that were asked for."""
    folder = os.environ.get("FITKIT_INSTANCES")
    if "--instances" in words:
        at = words.index("--instances")
        folder = words[at + 1]
        del words[at : at + 2]
    part, *rest = words or ["all"]
    if part in ("all", "strips"):
        if folder is None or not Path(folder).is_dir():
            print("strips: skipped, no folder of instances (FITKIT_INSTANCES or --instances)")
        else:
            for name in rest or REACH:
                strip(Path(folder), name)
    if part in ("all", "gear"):
        for seed in rest or ("1", "2", "3"):
            gear(int(seed))
    if part in ("all", "first"):
        first()


if __name__ == "__main__":
    main(sys.argv[1:])
