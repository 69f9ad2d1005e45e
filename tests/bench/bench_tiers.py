"""The gap between the best layout and the bound for kits in two tiers: run on demand.

    python tests/bench/bench_tiers.py [--seconds 20] [--samples]

Kits are made up from a seed: 12 to 16 gear-like items, mostly rounded rectangles, some cylinders,
some with plugs. For each: the value found, the first bound, the bound at the end and its name, the
gap, and how well the levels are filled by the grown outlines of what stands in them. With
``--samples`` the demo kits are measured as well. Figures depend on the machine.
"""

from __future__ import annotations

import argparse
import random
import statistics
from pathlib import Path

from fitkit.fit.assign import problem_of
from fitkit.fit.bounds import lower_bound, share
from fitkit.fit.layout import Fit
from fitkit.fit.pieces import Piece
from fitkit.fit.search import smallest
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, CaseWishes, Face, Item, Payload, Section, Zone
from fitkit.payload.pose import flipped
from fitkit.payload.sheet import read_sheet

SAMPLES = Path(__file__).parents[2] / "sample_payloads"
SEEDS = (1, 2, 3)


def kit(seed: int) -> Payload:
    """A made-up kit for two tiers, the same for the same seed."""
    rng = random.Random(seed)
    items = [_item(rng, n) for n in range(rng.randint(12, 16))]
    return Payload(f"tiers {seed}", tuple(items), case=CaseWishes(tiers=2))


def _item(rng: random.Random, number: int) -> Item:
    kind = rng.random()
    height = float(rng.randint(25, 75))
    if kind < 0.2:
        radius = rng.randint(20, 55) / 1.0
        outline = circle(radius, at=(radius, radius))
    else:
        width, depth = rng.randint(60, 220), rng.randint(45, 140)
        outline = rectangle(float(width), float(depth), corner_mm=float(rng.randint(0, 10)))
    zones: tuple[Zone, ...] = ()
    if kind > 0.75:
        _, _, width_mm, _ = outline.bounds
        zones = (Zone("connector", "back", (width_mm / 2, height / 2), (20.0, 12.0), 40.0),)
    up: tuple[Face, ...] = (
        ("top",) if kind < 0.2 or rng.random() < 0.6 else ("top", "front", "left")
    )
    body = Body((Section(outline, 0.0, height),))
    return Item(f"gear {number + 1}", body, up=up, turn="quarter", zones=zones)


def density(payload: Payload, fit: Fit) -> float:
    """Mean share of the shrunk plan that the grown outlines of a level's items fill."""
    clear = payload.case.clearance
    grow = min(clear.item_mm / 2, clear.wall_mm)
    rim = 2 * (clear.wall_mm - grow)
    plan = (fit.interior.length_mm - rim) * (fit.interior.width_mm - rim)
    loads: dict[tuple[str, int], float] = {}
    for one in fit.placements:
        up = flipped(one.up, one.turn_deg)[0] if one.half == "shallow" else one.up
        area = share(Piece(payload.item(one.item), up), grow).area_mm2
        loads[one.half, one.tier] = loads.get((one.half, one.tier), 0.0) + area
    return statistics.mean(loads.values()) / plan


def bench(name: str, payload: Payload, seconds: float, seed: int) -> float:
    """One kit: a line of figures; gives the gap."""
    problem = problem_of(payload, objective=payload.case.objective, pins={})
    first = lower_bound(payload, problem.options, objective=problem.objective)
    fit = smallest(payload, budget_s=seconds, seed=seed)
    copies = sum(item.count for item in payload.items)
    print(
        f"{name:<14} {copies:>3} copies   value {fit.value / 1e6:7.3f}   "
        f"first bound {first / 1e6:7.3f}   bound {fit.bound / 1e6:7.3f}   gap {fit.gap:6.3f}   "
        f"levels filled {density(payload, fit):5.3f}   {fit.bound_name}",
        flush=True,
    )
    return fit.gap


def main() -> None:
    """All kits, then the median gap."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--samples", action="store_true")
    asked = parser.parse_args()
    gaps = [bench(f"tiers {seed}", kit(seed), asked.seconds, seed) for seed in SEEDS]
    print(f"median gap {statistics.median(gaps):.3f} after {asked.seconds:.0f} s")
    if asked.samples:
        for path in sorted(SAMPLES.glob("*.toml")):
            bench(path.stem, read_sheet(path), asked.seconds, 1)


if __name__ == "__main__":
    main()
