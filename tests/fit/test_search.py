"""What a search promises, whatever it is given."""

from __future__ import annotations

import itertools
import time
from pathlib import Path

import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.fit.bounds import objective_value
from fitkit.fit.place import place_all
from fitkit.fit.search import smallest
from fitkit.fit.state import Progress
from fitkit.fit.validate import violations
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import (
    Body,
    CaseWishes,
    Clearance,
    Item,
    Limits,
    Payload,
    Section,
    Zone,
)
from fitkit.payload.sheet import read_sheet
from fitkit.payload.walls import outside_mm
from strategies import payloads

SLOW = settings(
    deadline=None, max_examples=12, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)
SAMPLES = Path(__file__).parents[2] / "sample_payloads"


def kit(**case: object) -> Payload:
    """Four unlike pieces, one of them round, one with a plug."""
    box = Body((Section(rectangle(120.0, 80.0, corner_mm=6.0), 0.0, 40.0),))
    rod = Body((Section(rectangle(150.0, 30.0), 0.0, 30.0),))
    can = Body((Section(circle(30.0, at=(30.0, 30.0)), 0.0, 60.0),))
    plug = Zone("connector", "back", (60.0, 20.0), (20.0, 12.0), 40.0)
    items = (
        Item("recorder", box, mass_kg=1.0, zones=(plug,)),
        Item("rod", rod, count=2, mass_kg=0.4),
        Item("float", can, count=2, mass_kg=0.2, up=("top", "bottom", "front")),
    )
    return Payload("Tideline bench", items, case=CaseWishes(**case))  # type: ignore[arg-type]  # by test


@SLOW
@given(payloads(max_items=3, most=90.0), st.integers(0, 5))
def test_every_layout_keeps_every_promise(payload: Payload, seed: int) -> None:
    """A fit is found, the check finds nothing wrong with it, and value, bound and gap agree."""
    fit = smallest(payload, seed=seed, repeatable=True, budget_s=0.2)
    assert violations(payload, interior=fit.interior, placements=fit.placements) == ()
    assert fit.misses == ()
    assert fit.value == pytest.approx(objective_value(fit.objective, fit.interior.size_mm))
    assert 0 < fit.bound <= fit.value * (1 + 1e-9)
    assert fit.gap == pytest.approx(1 - fit.bound / fit.value, abs=1e-9)
    assert fit.history[-1].value == fit.value
    values = [step.value for step in fit.history]
    assert values == sorted(values, reverse=True)


@pytest.mark.parametrize("tiers", [1, 2])
def test_counted_work_gives_the_same_fit_twice(tiers: int) -> None:
    """With work counted, the same seed gives an equal fit; the clock is not in it."""
    payload = kit(tiers=tiers)
    first = smallest(payload, repeatable=True, budget_s=0.4, seed=3)
    assert smallest(payload, repeatable=True, budget_s=0.4, seed=3) == first
    assert first.seconds == 0.0


@settings(deadline=None, max_examples=6, derandomize=True)
@given(st.sets(st.integers(0, 4), min_size=1, max_size=4), st.sampled_from(["box", "pair"]))
def test_pins_stay_where_they_are(pinned: set[int], form: str) -> None:
    """Pinned copies come back exactly as they were pinned, and the rest fits around them."""
    payload = kit(form=form)
    before = smallest(payload, repeatable=True, budget_s=0.1)
    pins = tuple(before.placements[k] for k in sorted(pinned))
    after = smallest(payload, pins=pins, repeatable=True, budget_s=0.3)
    assert violations(payload, interior=after.interior, placements=after.placements) == ()
    for k in pinned:
        kept = evolve(after.placements[k], z_mm=0.0)
        assert kept == evolve(before.placements[k], z_mm=0.0)


def test_pins_that_cannot_be_are_refused_all_at_once() -> None:
    """Unknown, too near to the wall, and on top of each other: one message with all three."""
    payload = kit()
    placements = smallest(payload, repeatable=True, budget_s=0.1).placements
    rod = evolve(placements[1], x_mm=100.0, y_mm=100.0)
    pins = (
        evolve(placements[0], item="lamp"),
        evolve(placements[3], x_mm=5.0),
        rod,
        evolve(rod, copy=2, y_mm=110.0),
    )
    with pytest.raises(BadInput) as caught:
        smallest(payload, pins=pins, repeatable=True, budget_s=0.1)
    texts = [str(fault) for fault in caught.value.faults]
    assert any("no such copy" in text for text in texts)
    assert any("15.0 mm too near to the left wall" in text for text in texts)
    assert any("overlap" in text for text in texts)


def test_the_clock_stops_a_search() -> None:
    """A search ends soon after its budget, with a layout that holds."""
    started = time.monotonic()
    fit = smallest(kit(tiers=2), budget_s=1.0)
    assert time.monotonic() - started < 6.0  # generous: it must not run on, no more is asked here
    assert violations(kit(tiers=2), interior=fit.interior, placements=fit.placements) == ()
    assert not fit.interrupted


def test_a_cancelled_search_keeps_its_best() -> None:
    """Cancelled after the first layout: that layout or a better one comes back, marked."""
    seen: list[Progress] = []
    fit = smallest(
        kit(),
        budget_s=30.0,
        progress=seen.append,
        cancelled=lambda: any(step.value is not None for step in seen),
    )
    assert fit.interrupted
    first = next(step.value for step in seen if step.value is not None)
    assert fit.value <= first
    assert violations(kit(), interior=fit.interior, placements=fit.placements) == ()


def test_an_interrupt_keeps_the_best_too() -> None:
    """Ctrl-C at the very first moment still gives a layout that holds, marked as interrupted."""

    def interrupt(_: Progress) -> None:
        raise KeyboardInterrupt

    fit = smallest(kit(), budget_s=30.0, progress=interrupt)
    assert fit.interrupted
    assert violations(kit(), interior=fit.interior, placements=fit.placements) == ()


def test_progress_never_gets_worse() -> None:
    """Values told to the caller fall, bounds stay below them, gaps go with both."""
    seen: list[Progress] = []
    smallest(kit(tiers=2), budget_s=1.5, progress=seen.append)
    values = [step.value for step in seen if step.value is not None]
    assert values == sorted(values, reverse=True)
    assert all(step.bound <= step.value + 1e-6 for step in seen if step.value is not None)


def test_depths_that_hold_nothing_are_named() -> None:
    """A 30 mm deep half cannot hold 40 mm of recorder: the nearest case and the shortfall."""
    payload = kit(depths_mm=(30.0, 30.0))
    fit = smallest(payload, repeatable=True, budget_s=0.1)
    deep, shallow = fit.interior.halves
    assert f"the deep half must be {deep.depth_mm:.1f} mm deep inside" in fit.misses[0]
    assert f"{deep.depth_mm - 30.0:.1f} mm more than the 30.0 mm given" in fit.misses[0]
    assert f"{shallow.depth_mm - 30.0:.1f} mm more" in fit.misses[1]


def test_a_limit_that_cannot_be_kept_is_missed_by_the_least() -> None:
    """A plan of 150 x 150 mm outside is too small: both sides say by how much they are over."""
    payload = kit(limits=Limits(outside_mm=(150.0, 150.0, None)))
    fit = smallest(payload, repeatable=True, budget_s=0.4)
    outside = outside_mm(fit.interior.size_mm, profile=payload.wall.profile)
    length, width = max(outside[:2]), min(outside[:2])
    assert fit.misses == tuple(
        f"outside {name} is {side:.1f} mm, {side - 150.0:.1f} mm over the limit of 150.0 mm"
        for name, side in (("length", length), ("width", width))
    )
    free = smallest(kit(), repeatable=True, budget_s=0.4)
    assert length + width <= sum(free.interior.size_mm[:2]) + 40.0


def test_first_stops_at_the_first_case_within_limits() -> None:
    """With objective "first" the search ends as soon as the limits hold, long before its budget."""
    wide = kit(objective="first", limits=Limits(outside_mm=(2000.0, 2000.0, 2000.0)))
    started = time.monotonic()
    fit = smallest(wide, budget_s=60.0)
    assert time.monotonic() - started < 20.0
    assert fit.misses == ()
    assert len(fit.history) == 1


def test_always_in_reach_stands_on_top() -> None:
    """Nothing stands above what must always be in reach, or above any part of it."""
    base = kit(tiers=2)
    items = tuple(
        evolve(item, reach="always") if item.name == "float" else item for item in base.items
    )
    payload = evolve(base, items=items)
    fit = smallest(payload, repeatable=True, budget_s=0.5)
    placed = place_all(payload, fit.placements)
    assert max(p.tier for p in fit.placements) == 2
    for one, other in itertools.permutations(placed, 2):
        if one.item.name == "float" and other.solid.z0_mm >= one.solid.z1_mm - 1e-6:
            shared = one.solid.silhouette.intersection(other.solid.silhouette)
            assert shared.area == pytest.approx(0.0, abs=1e-6)


def test_round_pieces_that_may_not_turn_do_not_hold_a_level_back() -> None:
    """A case with a fixed can is still laid with its longer side along x; the can is not turned."""
    can = Body((Section(circle(30.0, at=(30.0, 30.0)), 0.0, 40.0),))
    rod = Body((Section(rectangle(30.0, 200.0), 0.0, 40.0),))
    payload = Payload(
        "round", (Item("can", can, turn="fixed"), Item("rod", rod, turn="quarter", count=2))
    )
    fit = smallest(payload, repeatable=True, budget_s=0.3)
    assert fit.interior.length_mm >= fit.interior.width_mm
    assert violations(payload, interior=fit.interior, placements=fit.placements) == ()
    assert [p.turn_deg for p in fit.placements if p.item == "can"] == [0.0]


def test_a_pair_faces_each_other() -> None:
    """Two flat pieces in a pair: one in each half, the upper one turned over, both recessed."""
    panel = Body((Section(rectangle(300.0, 200.0), 0.0, 30.0),))
    payload = Payload(
        "screens",
        (Item("screen", panel, count=2, up=("top",), proud=False),),
        case=CaseWishes(form="pair", clearance=Clearance(lid_mm=12.0)),
    )
    fit = smallest(payload, repeatable=True, budget_s=0.3)
    deep, shallow = sorted(fit.placements, key=lambda p: p.half)
    assert (deep.half, deep.up) == ("deep", "top")
    assert (shallow.half, shallow.up) == ("shallow", "bottom")
    gap = shallow.z_mm - (deep.z_mm + 30.0)
    assert gap >= 2 * 12.0 - 1e-6
    assert fit.interior.halves[0].depth_mm == fit.interior.halves[1].depth_mm


@pytest.mark.parametrize("name", sorted(path.stem for path in SAMPLES.glob("*.toml")))
def test_samples_are_planned(name: str) -> None:
    """Every sample fits, and nothing is wrong with its layout."""
    payload = read_sheet(SAMPLES / f"{name}.toml")
    fit = smallest(payload, budget_s=3.0)
    assert violations(payload, interior=fit.interior, placements=fit.placements) == ()
    assert fit.misses == ()
    assert len(fit.placements) == sum(item.count for item in payload.items)
