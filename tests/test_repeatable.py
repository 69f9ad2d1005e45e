"""With work counted instead of time a plan is the same to the last byte, wherever it is made."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from attrs import evolve

from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section, Zone
from fitkit.plan import Choices, make_plan
from fitkit.plan_json import dumps

AGAIN = """
import json, sys
sys.path[:0] = [sys.argv[1], sys.argv[2]]
from test_repeatable import KITS, saved
json.dump({name: saved(name) for name in KITS}, sys.stdout)
"""


def _kit(**case: object) -> Payload:
    """Six pieces, some round, some with plugs, some that may lie, one tall."""
    box = Body((Section(rectangle(120.0, 80.0, corner_mm=6.0), 0.0, 40.0),))
    rod = Body((Section(rectangle(150.0, 30.0), 0.0, 30.0),))
    can = Body((Section(circle(30.0, at=(30.0, 30.0)), 0.0, 60.0),))
    tall = Body((Section(rectangle(50.0, 50.0), 0.0, 95.0),))
    plug = Zone("connector", "back", (60.0, 20.0), (20.0, 12.0), 40.0)
    items = (
        Item("recorder", box, mass_kg=1.0, zones=(plug,)),
        Item("rod", rod, count=2, mass_kg=0.4, turn="free"),
        Item("float", can, count=2, mass_kg=0.2, up=("top", "bottom", "front")),
        Item("mast", tall, mass_kg=0.7, reach="always"),
    )
    return Payload("Tideline bench", items, case=CaseWishes(**case))  # type: ignore[arg-type]  # by test


def _both_halves(payload: Payload) -> Payload:
    items = tuple(
        evolve(item, half="any") if item.name != "mast" else item for item in payload.items
    )
    return evolve(payload, items=items)


KITS: dict[str, Payload] = {
    "box": _kit(),
    "two tiers": _kit(tiers=2),
    "pair": _kit(form="pair"),
    "tray": _kit(form="tray", objective="plan"),
    "both halves": _both_halves(_kit(tiers=2, objective="linear")),
    "pins": _kit(tiers=2),
    "longest": _kit(objective="longest", draft_deg=2.0, corner_mm=10.0),
}


def saved(name: str) -> str:
    """The whole plan.json of one of the kits, made with work counted."""
    payload, choices = KITS[name], Choices(budget_s=0.1, seed=5, repeatable=True)
    if name == "pins":
        before = make_plan(payload, choices=choices).fit.placements
        choices = evolve(choices, seed=6, pins=(before[0], before[3]))
    return dumps(make_plan(payload, choices=choices))


@pytest.fixture(scope="module")
def elsewhere() -> dict[str, str]:
    """All plans, made in a fresh process in which texts have other hashes."""
    here = Path(__file__).parent
    done = subprocess.run(
        [sys.executable, "-c", AGAIN, str(here.parent), str(here)],
        env={**os.environ, "PYTHONHASHSEED": "99"},
        capture_output=True,
        check=True,
    )
    made: dict[str, str] = json.loads(done.stdout)
    return made


@pytest.mark.parametrize("name", KITS)
def test_the_same_bytes_twice(name: str, elsewhere: dict[str, str]) -> None:
    """Here, with whatever is cached, and in the fresh process: the same text."""
    assert elsewhere[name] == saved(name)


def test_another_seed_is_another_plan() -> None:
    """The seed is in the plan, so that it can be made again."""
    payload = KITS["box"]
    texts = {
        dumps(make_plan(payload, choices=Choices(budget_s=0.1, seed=seed, repeatable=True)))
        for seed in (1, 2, 3)
    }
    assert len(texts) == 3
