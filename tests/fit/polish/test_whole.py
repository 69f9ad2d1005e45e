"""Layouts polished: never worse, never too near, exactly right where that is known."""

from __future__ import annotations

import math
import random

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from fitkit.fit import quick, raster
from fitkit.fit.arrange import Layout, arrange, interior_of, placements_of
from fitkit.fit.assign import Assignment, Problem, problem_of
from fitkit.fit.candidates import candidates
from fitkit.fit.pieces import Spot
from fitkit.fit.polish.finish import finished, holds
from fitkit.fit.polish.near_layouts import search_near
from fitkit.fit.polish.spread import smallest_excess_mm
from fitkit.fit.polish.whole import better_of, compacted, setting_of
from fitkit.fit.stacking import across
from fitkit.fit.validate import violations
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, CaseWishes, Clearance, Item, Payload, Section, Turn
from gear import gear_like
from strategies import payloads


def laid_out(payload: Payload) -> tuple[Problem, Layout]:
    """A payload's likeliest assignment, laid out in no time."""
    problem = problem_of(payload, objective=payload.case.objective, pins={})
    for assignment in candidates(problem, random.Random(0), most=3):
        layout = (
            raster.once(problem, raster.Recipe.plain(assignment))
            if across(problem, assignment)
            else quick.lay_out(problem, assignment, count=3)
        )
        if layout is not None and holds(problem, layout):
            return problem, layout
    raise AssertionError("no layout for a payload without limits")


@settings(deadline=None, max_examples=20)
@given(payloads(max_items=3))
def test_polish_never_enlarges_and_never_breaks(payload: Payload) -> None:
    """Closed up and finished, a layout's score is no worse and the check finds nothing."""
    problem, layout = laid_out(payload)
    closed = compacted(problem, layout)
    assert closed is layout or closed.score.better_than(layout.score)
    done = finished(problem, closed)
    assert done.size_mm == closed.size_mm
    for made in (closed, done):
        assert not violations(
            payload, interior=interior_of(problem, made), placements=placements_of(problem, made)
        )


@settings(deadline=None, max_examples=20)
@given(payloads(max_items=3))
def test_equal_webs_raise_the_smallest_or_keep_it(payload: Payload) -> None:
    """Finishing leaves no smaller web or wall distance below what is asked than there was."""
    problem, layout = laid_out(payload)
    setting = setting_of(problem, layout.assignment, layout.elevation)
    before = smallest_excess_mm(setting, layout.spots, layout.size_mm[:2])
    done = finished(problem, layout)
    after = smallest_excess_mm(setting, done.spots, done.size_mm[:2])
    # what is over may be spent to get to whole positions; what is asked for may not
    assert after >= min(before, 0.0) - 1e-6


def flat(outlines: list[Polygon], *, web: float, turn: Turn = "quarter") -> Problem:
    """The problem of outlines that stand in one level, without walls."""
    kinds = tuple(
        Item(f"piece {k}", Body((Section(outline, 0.0, 10.0),)), turn=turn)
        for k, outline in enumerate(outlines)
    )
    clear = Clearance(item_mm=web, wall_mm=100.0)
    return problem_of(
        Payload("flat", kinds, case=CaseWishes(objective="plan", clearance=clear)),
        objective="plan",
        pins={},
    )


def started(problem: Problem, spots: list[Spot]) -> Layout:
    """The layout of given spots."""
    seats = tuple(problem.seat(0, poses[0]) for poses in problem.options)
    layout = arrange(problem, Assignment(seats), spots)
    assert layout is not None
    return layout


ELL = Polygon([(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)])
WEDGE = Polygon([(0, 0), (60, 0), (0, 40)])


@pytest.mark.parametrize(
    ("outline", "spots", "size"),
    [
        # two angles of three squares make a rectangle of two by three squares
        (ELL, [Spot(0.0, 0.0, 0.0), Spot(180.0, 47.0, 68.0)], (40.0, 60.0)),
        # two right triangles make the rectangle that they are the halves of
        (WEDGE, [Spot(0.0, 0.0, 0.0), Spot(180.0, 71.0, 53.0)], (60.0, 40.0)),
    ],
)
def test_pieces_interlock_exactly(
    outline: Polygon, spots: list[Spot], size: tuple[float, float]
) -> None:
    """Two pieces some millimetres apart close up to the rectangle that they fill completely."""
    problem = flat([outline, outline], web=0.0)
    layout = started(problem, spots)
    closed = compacted(problem, layout)
    assert sorted(closed.size_mm[:2]) == sorted((size[0] + 200.0, size[1] + 200.0))
    assert holds(problem, closed)


def test_triangles_keep_the_web_across_their_slant() -> None:
    """With a web of 10 mm the two halves of a rectangle move apart along its diagonal's normal."""
    problem = flat([WEDGE, WEDGE], web=10.0)
    closed = compacted(problem, started(problem, [Spot(0.0, 0.0, 0.0), Spot(180.0, 81.0, 63.0)]))
    a, b = (
        spot.body(s.piece) for spot, s in zip(closed.spots, closed.assignment.seats, strict=True)
    )
    assert a.distance(b) >= 10.0 - 1e-6
    # a x b with (60 b + 40 a - 2400) / hypot(60, 40) = web, least area by counting whole sides
    slant = math.hypot(60.0, 40.0)
    least = min(
        (a + 200.0) * (b + 200.0)
        for a in range(60, 90)
        for b in range(40, 70)
        if (40 * a + 60 * b - 4800) / slant >= 10.0
    )
    assert closed.size_mm[0] * closed.size_mm[1] <= least + 1e-6


def test_positions_go_to_half_millimetres() -> None:
    """Blocks with odd positions and room to spare stand on the grid, their webs alike."""
    blocks = [rectangle(50.0, 40.0), rectangle(50.0, 40.0), rectangle(50.0, 40.0)]
    problem = flat(blocks, web=10.0)
    spots = [Spot(0.0, 0.13, 0.21), Spot(0.0, 60.4, 0.3), Spot(0.0, 133.33, 0.77)]
    layout = started(problem, spots)
    done = finished(problem, layout)
    for placement in placements_of(problem, done):
        assert placement.x_mm % 0.5 == 0.0
        assert placement.y_mm % 0.5 == 0.0
    xs = sorted(placement.x_mm for placement in placements_of(problem, done))
    webs = [xs[1] - xs[0] - 50.0, xs[2] - xs[1] - 50.0]
    assert webs == [13.5, 13.5]
    # 34 mm more than three blocks: two webs of 10, and 3.5 for each web and each wall


def test_pinned_pieces_stay() -> None:
    """What is pinned is where it was; the others close up around it."""
    payload = Payload(
        "pins",
        (
            Item("can", Body((Section(circle(20.0, at=(20.0, 20.0)), 0.0, 30.0),)), count=2),
            Item("plate", Body((Section(rectangle(90.0, 60.0), 0.0, 10.0),))),
        ),
        case=CaseWishes(objective="plan", clearance=Clearance(item_mm=10.0, wall_mm=20.0)),
    )
    problem = problem_of(payload, objective="plan", pins={})
    assignment = candidates(problem, random.Random(0), most=1)[0]
    loose = quick.lay_out(problem, assignment, count=2)
    assert loose is not None
    pin = placements_of(problem, loose)[2]
    pinned = problem_of(payload, objective="plan", pins={(pin.item, pin.copy): pin})
    layout = evolve(loose)
    closed = compacted(pinned, layout)
    assert closed.spots[2] == layout.spots[2]
    assert holds(pinned, closed)


def test_a_search_near_a_layout_only_gets_better() -> None:
    """Twenty trials: the same seed gives the same spots; the best layout holds and is no worse."""
    clear = Clearance(item_mm=12.0, wall_mm=20.0)
    payload = Payload(
        "gear", gear_like(6, seed=3), case=CaseWishes(objective="plan", clearance=clear)
    )
    problem, layout = laid_out(payload)
    found = []
    for _ in range(2):
        search = search_near(
            problem, layout.assignment, layout.elevation, layout.spots, random.Random(7)
        )
        start = search.value
        for _ in range(20):
            search.trial()
        assert search.value <= start
        found.append(search.best.spots)
    assert found[0] == found[1]
    better = better_of(problem, layout, found[0])
    assert better.score.value <= layout.score.value
    assert holds(problem, better)


@pytest.mark.parametrize("turn", ["fixed", "half"])
def test_turns_stay_allowed(turn: Turn) -> None:
    """However often a piece is disturbed, it is only turned as its item allows."""
    problem = flat([ELL, WEDGE, rectangle(30.0, 20.0)], web=5.0, turn=turn)
    layout = started(problem, [Spot(0.0, 0.0, 0.0), Spot(0.0, 60.0, 0.0), Spot(0.0, 0.0, 60.0)])
    search = search_near(
        problem, layout.assignment, layout.elevation, layout.spots, random.Random(1)
    )
    for _ in range(15):
        search.trial()
        allowed = {0.0} if turn == "fixed" else {0.0, 180.0}
        assert {spot.turn_deg for spot in search.scene.spots} <= allowed


@given(st.integers(1, 6))
@settings(deadline=None, max_examples=5)
def test_a_stopped_polish_gives_back_what_it_has(after: int) -> None:
    """Told to stop at any look, closing up and finishing still give a layout that holds."""
    clear = Clearance(item_mm=12.0, wall_mm=20.0)
    payload = Payload(
        "gear", gear_like(5, seed=2), case=CaseWishes(objective="plan", clearance=clear)
    )
    problem, layout = laid_out(payload)
    looks = 0

    def stop() -> bool:
        nonlocal looks
        looks += 1
        return looks > after

    assert holds(problem, finished(problem, compacted(problem, layout, stop=stop), stop=stop))
