"""Lower bounds hold for every layout, and are exact where they can be."""

from __future__ import annotations

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitkit.fit import quick
from fitkit.fit.assign import problem_of
from fitkit.fit.bounds import lower_bound, objective_value, share
from fitkit.fit.candidates import candidates
from fitkit.fit.pieces import Piece
from fitkit.geometry.shapes import rectangle, regular
from fitkit.payload.model import (
    Body,
    CaseWishes,
    Clearance,
    Face,
    Item,
    Objective,
    Payload,
    Section,
    Zone,
)
from strategies import payloads

OBJECTIVES: tuple[Objective, ...] = ("volume", "plan", "longest", "linear")


@settings(deadline=None, max_examples=30, suppress_health_check=[HealthCheck.too_slow])
@given(payloads(max_items=4), st.sampled_from(OBJECTIVES), st.integers(0, 10))
def test_no_layout_is_below_the_bound(payload: Payload, objective: Objective, seed: int) -> None:
    """Whatever assignment and order is laid out, its value is at least the bound."""
    problem = problem_of(payload, objective=objective, pins={})
    bound = lower_bound(payload, problem.options, objective=objective)
    rng = random.Random(seed)
    for assignment in candidates(problem, rng, most=6):
        layout = quick.lay_out(problem, assignment, count=4, rng=rng)
        # a layout whose facing items must keep apart is not always found
        if layout is not None:
            assert layout.score.value >= bound * (1 - 1e-9)


@pytest.mark.parametrize("objective", OBJECTIVES)
def test_one_block_meets_its_bound(objective: Objective) -> None:
    """A single rectangle with walls around it is the bound itself: 100 x 60 and 2 x 20 mm."""
    block = Item("block", Body((Section(rectangle(100.0, 60.0), 0.0, 40.0),)), up=("top",))
    kit = Payload("one", (block,), case=CaseWishes(clearance=Clearance(item_mm=0.0)))
    problem = problem_of(kit, objective=objective, pins={})
    bound = lower_bound(kit, problem.options, objective=objective)
    layout = quick.lay_out(problem, candidates(problem, random.Random(0), most=1)[0], count=4)
    assert layout is not None
    height = layout.size_mm[2]
    assert layout.score.value == pytest.approx(objective_value(objective, (140.0, 100.0, height)))
    if objective in ("plan", "volume"):
        assert bound <= layout.score.value
    assert bound == pytest.approx(objective_value(objective, (140.0, 100.0, height)))


@pytest.mark.parametrize("objective", OBJECTIVES)
@pytest.mark.parametrize(
    ("face", "depth", "plan"),
    [
        ("left", 70.0, (190.0, 100.0)),  # 70 + 100 + 20 by 20 + 60 + 20
        ("front", 70.0, (140.0, 150.0)),
        ("front", 20.0, (140.0, 100.0)),  # no further than the wall clearance: nothing more
        ("top", 70.0, (140.0, 100.0)),
    ],
)
def test_a_plug_that_reaches_past_the_clearance_is_in_the_bound(
    objective: Objective, face: Face, depth: float, plan: tuple[float, float]
) -> None:
    """One block with a plug at its side: the bound is the case, plug and all."""
    plug = Zone("connector", face, (30.0, 20.0), (20.0, 10.0), depth)
    body = Body((Section(rectangle(100.0, 60.0), 0.0, 40.0),))
    block = Item("block", body, up=("top",), turn="quarter", zones=(plug,))
    kit = Payload("one", (block,), case=CaseWishes(clearance=Clearance(item_mm=0.0)))
    problem = problem_of(kit, objective=objective, pins={})
    bound = lower_bound(kit, problem.options, objective=objective)
    layout = quick.lay_out(problem, candidates(problem, random.Random(0), most=1)[0], count=4)
    assert layout is not None
    assert sorted(layout.size_mm[:2]) == sorted(plan)
    assert bound == pytest.approx(layout.score.value)


def test_a_free_hexagon_is_as_wide_as_its_flats() -> None:
    """The least width of a regular hexagon is its distance across flats, at whatever turn."""
    hexagon = Item("nut", Body((Section(regular(6, 30.0), 0.0, 10.0),)), turn="free")
    asked = share(Piece(hexagon, "top"), 0.0)
    assert asked.short_mm == pytest.approx(30.0)
    assert asked.area_mm2 == pytest.approx(regular(6, 30.0).area)
