"""How long the board's questions take in Python: run on demand, never in the tests.

    python tests/bench/bench_board_python.py [ITEMS ...]

For kits of 40 and 120 outlines of 60 vertices, packed close with one item dragged about: median and
95th percentile of the milliseconds for the table after a move, the gaps of the moved item, all that
fail, the box that follows, who is outside, all of these together, where it snaps, and the mass.
Figures depend on the machine.
"""

from __future__ import annotations

import math
import random
import statistics
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
import shapely

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.live import Table
from fitkit.fit.move import PlanBox, find, moved_together
from fitkit.fit.snap import Snap, snapped
from fitkit.payload.model import Body, Item, Payload, Section, Zone
from fitkit.shell.mass import known

VERTICES, MOVES, PITCH_MM = 60, 200, 85.0


def kit(count: int, rng: random.Random) -> Payload:
    """Wavy outlines, each unlike the others; every fifth has a connector zone."""
    items = []
    for number in range(count):
        turn = np.linspace(0.0, 2 * math.pi, VERTICES, endpoint=False)
        wave = 1 + 0.12 * np.sin(rng.randint(2, 6) * turn + rng.uniform(0, 6))
        reach = rng.uniform(25.0, 36.0) * wave
        xy = np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])
        outline = shapely.Polygon(xy - xy.min(axis=0))
        zones = (Zone("connector", "right", (20.0, 10.0), (10.0, 8.0), 20.0),)
        body = Body((Section(outline, 0.0, float(rng.randint(25, 45))),))
        items.append(
            Item(
                f"gear {number}",
                body,
                mass_kg=0.4,
                turn="free",
                zones=() if number % 5 else zones,
            )
        )
    return Payload("bench", tuple(items))


def laid(payload: Payload) -> tuple[Placement, ...]:
    """The items in rows, close to each other."""
    side = math.ceil(math.sqrt(len(payload.items)))
    return tuple(
        Placement(
            item.name,
            1,
            "deep",
            1,
            "top",
            15.0 * (k % 7),
            20.0 + PITCH_MM * (k % side),
            20.0 + PITCH_MM * (k // side),
            25.0,
        )
        for k, item in enumerate(payload.items)
    )


@contextmanager
def clock(spent: dict[str, list[float]], name: str) -> Iterator[None]:
    """Note the milliseconds that a block takes."""
    start = time.perf_counter()
    yield
    spent.setdefault(name, []).append((time.perf_counter() - start) * 1e3)


def main(counts: list[int]) -> None:
    """Print a table for each size of kit."""
    for count in counts:
        rng = random.Random(count)
        payload = kit(count, rng)
        placements = laid(payload)
        side = 60.0 + PITCH_MM * math.ceil(math.sqrt(count))
        interior = Interior(side, side, (Half("deep", 80.0), Half("shallow", 50.0)))
        box = PlanBox(0.0, 0.0, side, side)
        table = Table.of(payload, placements)
        spent: dict[str, list[float]] = {}
        snap = Snap(grid_mm=5.0, gear=True, walls=True)
        key = ("gear 0", 1)
        for _ in range(MOVES):
            if rng.random() < 0.1:
                key = (f"gear {rng.randrange(count)}", 1)
            here = find(placements, key)
            x, y = here.x_mm + rng.uniform(-9, 9), here.y_mm + rng.uniform(-9, 9)
            now = moved_together(placements, [key], lead=key, x_mm=x, y_mm=y)
            with clock(spent, "together"):
                with clock(spent, "table after the move"):
                    table = table.moved(now)
                with clock(spent, "gaps of the item"):
                    table.gaps(key, box=box)
                with clock(spent, "all that fail"):
                    table.failing()
                with clock(spent, "box that follows"):
                    table.following_box(interior)
                with clock(spent, "who is outside"):
                    table.outside_walls(box)
            with clock(spent, "where it snaps"):
                snapped(
                    payload,
                    placements,
                    [key],
                    lead=key,
                    x_mm=x,
                    y_mm=y,
                    box=box,
                    snap=snap,
                    table=table,
                )
            with clock(spent, "mass and centre"):
                known(payload, interior, now)
            if rng.random() < 0.2:
                placements = now
        print(f"{count} items of {VERTICES} vertices, {MOVES} moves")
        for name, ms in spent.items():
            high = sorted(ms)[int(0.95 * len(ms))]
            print(f"  {name:<22} median {statistics.median(ms):7.2f} ms   95 % {high:7.2f} ms")


if __name__ == "__main__":
    main([int(word) for word in sys.argv[1:]] or [40, 120])
