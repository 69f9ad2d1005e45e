"""The master's assignments make sense, come in order, and share copies out well."""

from __future__ import annotations

from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitkit.fit.assign import Problem, elevation_of, problem_of, stands
from fitkit.fit.estimate import estimate
from fitkit.fit.layout import Placement
from fitkit.fit.master import assignments
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import (
    Body,
    CaseWishes,
    Clearance,
    FoamWishes,
    Item,
    Payload,
    Reach,
    Section,
    Standing,
)
from strategies import payloads

CLOSE = Clearance(item_mm=10.0, wall_mm=10.0, floor_mm=10.0, lid_mm=10.0, tier_mm=10.0)


def slab(
    name: str,
    size: tuple[float, float, float],
    *,
    count: int = 1,
    mass_kg: float | None = None,
    reach: Reach = "any",
) -> Item:
    """A plain block."""
    body = Body((Section(rectangle(size[0], size[1]), 0.0, size[2]),))
    return Item(name, body, count=count, mass_kg=mass_kg, reach=reach)


def kit(*items: Item, tiers: int = 2) -> Problem:
    """A tray's problem."""
    case = CaseWishes(form="tray", tiers=tiers, clearance=CLOSE)
    payload = Payload("kit", items, case=case, foam=FoamWishes(sheets_mm=(10.0,)))
    return problem_of(payload, objective="volume", pins={})


def tiers_of(problem: Problem, name: str) -> list[int]:
    """The tiers of an item's copies in the first assignment."""
    first = next(assignments(problem))
    return [
        problem.levels[seat.level].tier
        for (item, _), seat in zip(problem.copies, first.seats, strict=True)
        if item.name == name
    ]


@settings(deadline=None, max_examples=15, suppress_health_check=[HealthCheck.too_slow])
@given(payloads(max_items=4), st.sampled_from((None, "any", "shallow")), st.integers(1, 3))
def test_every_assignment_makes_sense(payload: Payload, half: Standing | None, tiers: int) -> None:
    """No empty tier below a used one, reach and halves kept, depths that hold; each comes once."""
    case = evolve(payload.case, half=half if payload.case.form != "tray" else None, tiers=tiers)
    problem = problem_of(evolve(payload, case=case), objective="volume", pins={})
    made = list(assignments(problem, most=6))
    assert made
    assert len(set(made)) == len(made)
    for one in made:
        assert stands(problem, one)
        assert elevation_of(problem, one) is not None


def test_the_most_promising_comes_first() -> None:
    """Of the assignments of the first round none has a smaller estimate than the first."""
    problem = kit(
        slab("case", (150.0, 110.0, 40.0)),
        slab("pack", (90.0, 60.0, 50.0), count=4),
        slab("tube", (120.0, 40.0, 40.0), count=3),
    )
    rated = [estimate(problem, one, fill=0.8) for one in assignments(problem, density=0.8, most=8)]
    assert rated[0] <= min(rated) * 1.02
    assert len(rated) == 8


def test_areas_are_shared_out_evenly() -> None:
    """Blocks of 6, 5, 4, 3, 2 and 2 parts of area in two tiers: eleven parts in each."""
    sizes = (6, 5, 4, 3, 2, 2)
    items = [slab(f"part {n}", (100.0 * s - 10.0, 90.0, 30.0)) for n, s in enumerate(sizes)]
    first = next(assignments(kit(*items)))
    loads = [
        sum(size for size, seat in zip(sizes, first.seats, strict=True) if seat.level == level)
        for level in (0, 1)
    ]
    assert loads == [11, 11]


def test_heavy_copies_stand_low_and_often_used_ones_on_top() -> None:
    """Of equal blocks the heavy ones take the lower tier; what must be in reach the top."""
    size = (100.0, 100.0, 40.0)
    problem = kit(slab("heavy", size, count=2, mass_kg=3.0), slab("light", size, count=2))
    assert tiers_of(problem, "heavy") == [1, 1]
    problem = kit(slab("other", size), slab("used", size, mass_kg=3.0, reach="always"))
    assert tiers_of(problem, "used") == [2]


def test_pinned_copies_keep_their_tier() -> None:
    """A copy that is pinned in the upper tier stands there in every assignment."""
    size = (100.0, 100.0, 40.0)
    free = kit(slab("one", size, count=3))
    pin = Placement("one", 2, "tray", 2, "top", 0.0, 10.0, 10.0, 60.0)
    problem = problem_of(free.payload, objective="volume", pins={("one", 2): pin})
    made = list(assignments(problem))
    assert made
    assert all(problem.levels[one.seats[1].level].tier == 2 for one in made)


def test_told_to_stop_it_ends() -> None:
    """Asked before each assignment is worked out, a stop ends it with none."""
    assert list(assignments(kit(slab("one", (100.0, 100.0, 40.0))), stop=lambda: True)) == []


def test_twice_the_same() -> None:
    """The same problem gives the same assignments in the same order."""
    problem = kit(
        slab("case", (150.0, 110.0, 40.0)),
        slab("pack", (90.0, 60.0, 50.0), count=4),
        slab("tube", (120.0, 40.0, 40.0), count=3),
    )
    assert list(assignments(problem)) == list(assignments(problem))
