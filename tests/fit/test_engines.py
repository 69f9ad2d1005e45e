"""The engines one by one: boxes on a skyline, places on a grid, closing up, children, proofs."""

from __future__ import annotations

import random
import time

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.fit import raster
from fitkit.fit.arrange import arrange
from fitkit.fit.assign import Assignment, problem_of
from fitkit.fit.candidates import candidates
from fitkit.fit.child import Child, nest_job, spots_of
from fitkit.fit.pieces import Margins, Piece, Spot, coarse, engine_outline, level_holds, room_of
from fitkit.fit.skyline import orders, pack
from fitkit.fit.straighten import straightened
from fitkit.fit.tighten import tighten
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, CaseWishes, Clearance, Item, Payload, Section, Zone
from strategies import items, outlines

WEB = 10.0
CLEAR = Clearance(item_mm=WEB)


def pieces_of(kinds: list[Item]) -> list[Piece]:
    """One piece per kind, standing as it was measured."""
    return [Piece(item, item.up[0]) for item in kinds]


@settings(deadline=None, max_examples=40)
@given(st.lists(items(most=80.0), min_size=1, max_size=6), st.floats(1.0, 3.0))
def test_boxes_on_a_skyline_keep_the_web(kinds: list[Item], factor: float) -> None:
    """Packed pieces are a web apart, zones included, and within the strip."""
    pieces = pieces_of(kinds)
    width = factor * max(max(spot_size(piece)) for piece in pieces) + 2 * WEB
    for order in orders(pieces, WEB):
        spots = pack(pieces, width_mm=width, web_mm=WEB, order=order)
        assert spots is not None
        placed = list(zip(pieces, spots, strict=True))
        assert level_holds(placed, CLEAR)
        _, y0, _, y1 = room_of(placed, Margins(0.0, 0.0))
        assert y0 >= WEB / 2 - 1e-6
        assert y1 <= width - WEB / 2 + 1e-6


def spot_size(piece: Piece) -> tuple[float, float]:
    """Length and width of a piece with its zones."""
    x0, y0, x1, y1 = room_of([(piece, Spot(0.0, 0.0, 0.0))], Margins(0.0, 0.0))
    return x1 - x0, y1 - y0


def test_a_strip_too_narrow_for_a_piece_is_refused() -> None:
    """No spots come back where one box does not fit at any of its turns."""
    wide = Item("wide", Body((Section(rectangle(90.0, 90.0), 0.0, 10.0),)))
    assert pack(pieces_of([wide]), width_mm=80.0, web_mm=0.0, order=[0]) is None


@settings(deadline=None, max_examples=25)
@given(st.lists(items(most=70.0), min_size=2, max_size=5))
def test_closing_up_never_breaks_or_grows(kinds: list[Item]) -> None:
    """Tightened spots keep the web; the level is no longer and no wider than before."""
    pieces = pieces_of(kinds)
    spots = pack(pieces, width_mm=400.0, web_mm=WEB + 6.0, order=range(len(pieces)))
    assert spots is not None
    margins = Margins(20.0, 0.0)
    placed = list(zip(pieces, spots, strict=True))
    tight = tighten(placed, web_mm=WEB, margins=margins)
    after = list(zip(pieces, tight, strict=True))
    assert level_holds(after, CLEAR)
    a, b = room_of(placed, margins), room_of(after, margins)
    assert b[2] - b[0] <= a[2] - a[0] + 1e-6
    assert b[3] - b[1] <= a[3] - a[1] + 1e-6


def test_odd_turns_are_made_square_where_it_costs_nothing() -> None:
    """A can at 37 degrees is set square; a rod that only fits at a slant keeps its turn."""
    can = Body((Section(circle(20.0, at=(20.0, 20.0)), 0.0, 30.0),))
    rod = Body((Section(rectangle(120.0, 10.0), 0.0, 10.0),))
    payload = Payload(
        "bench",
        (Item("can", can, turn="free"), Item("rod", rod, turn="free")),
        case=CaseWishes(clearance=Clearance(item_mm=WEB, wall_mm=10.0)),
    )
    problem = problem_of(payload, objective="plan", pins={})
    seats = tuple(problem.seat(0, poses[0]) for poses in problem.options)
    layout = arrange(problem, Assignment(seats), [Spot(37.0, 0.0, 0.0), Spot(45.0, 60.0, -40.0)])
    assert layout is not None
    square = straightened(problem, layout)
    assert sorted(spot.turn_deg % 90.0 for spot in square.spots) == [0.0, 45.0]
    assert square.size_mm == layout.size_mm
    pieces = [seat.piece for seat in square.assignment.seats]
    assert level_holds(list(zip(pieces, square.spots, strict=True)), CLEAR)


def test_a_piece_is_nudged_to_be_set_square() -> None:
    """A plate tilted by 2 degrees beside another is set square, a little farther away."""
    plate = Body((Section(rectangle(100.0, 60.0), 0.0, 10.0),))
    payload = Payload(
        "plates",
        (Item("plate", plate, count=2, turn="free"),),
        case=CaseWishes(clearance=Clearance(item_mm=WEB, wall_mm=10.0)),
    )
    problem = problem_of(payload, objective="plan", pins={})
    seats = tuple(problem.seat(0, poses[0]) for poses in problem.options)
    tilted = Spot(2.0, 112.5, 0.0)
    layout = arrange(problem, Assignment(seats), [Spot(0.0, 0.0, 0.0), tilted])
    assert layout is not None
    square = straightened(problem, layout)
    assert [spot.turn_deg % 90.0 for spot in square.spots] == [0.0, 0.0]
    pieces = [seat.piece for seat in square.assignment.seats]
    assert level_holds(list(zip(pieces, square.spots, strict=True)), CLEAR)


def test_setting_square_never_breaks_a_clearance() -> None:
    """Beside a slanted pole too long to be set square, a rod set square would cross it."""
    rod = Body((Section(rectangle(120.0, 10.0), 0.0, 10.0),))
    pole = Body((Section(rectangle(236.0, 10.0), 0.0, 10.0),))
    payload = Payload(
        "rods",
        (Item("rod", rod, turn="free"), Item("pole", pole, turn="free")),
        case=CaseWishes(clearance=Clearance(item_mm=WEB, wall_mm=10.0)),
    )
    problem = problem_of(payload, objective="plan", pins={})
    seats = tuple(problem.seat(0, poses[0]) for poses in problem.options)
    across = (10.0 + WEB + 0.01) / np.cos(np.radians(20.0))
    along = 50.0 * np.cos(np.radians(20.0)), 50.0 * np.sin(np.radians(20.0))
    layout = arrange(
        problem,
        Assignment(seats),
        [Spot(20.0, along[0], along[1]), Spot(20.0, 0.0, across)],
    )
    assert layout is not None
    square = straightened(problem, layout)
    pieces = [seat.piece for seat in square.assignment.seats]
    assert level_holds(list(zip(pieces, square.spots, strict=True)), CLEAR)


def test_two_blocks_close_up_to_the_web() -> None:
    """Blocks 30 mm apart are slid to the web between them (and 2 thousandths more)."""
    block = Item("block", Body((Section(rectangle(50.0, 40.0), 0.0, 10.0),)))
    piece = Piece(block, "top")
    placed = [(piece, Spot(0.0, 0.0, 0.0)), (piece, Spot(0.0, 80.0, 0.0))]
    tight = tighten(placed, web_mm=WEB, margins=Margins(0.0, 0.0))
    assert tight[1].x_mm - tight[0].x_mm == pytest.approx(50.0 + WEB, abs=0.01)
    assert tight[1].x_mm - tight[0].x_mm >= 50.0 + WEB


@given(outlines())
def test_coarse_outlines_contain_the_true_ones(outline: shapely.Polygon) -> None:
    """Nothing is cut off, little is added, and curves take fewer vertices."""
    solid = shapely.Polygon(outline.exterior)
    rough = coarse(solid, 0.1)
    assert rough.buffer(1e-7).covers(solid)
    assert rough.hausdorff_distance(solid) < 1.2
    assert len(rough.exterior.coords) <= len(solid.exterior.coords)


def test_an_engine_keeps_zones_as_well() -> None:
    """What the nesting engine sees covers body and zones, in one outline."""
    plug = Zone("connector", "back", (30.0, 10.0), (20.0, 8.0), 45.0)
    round_body = Body((Section(circle(30.0, at=(30.0, 30.0)), 0.0, 20.0),))
    piece = Piece(Item("float", round_body, zones=(plug,)), "top")
    seen = engine_outline(piece).buffer(1e-6)
    assert seen.covers(piece.outline)
    assert seen.covers(piece.plan.rooms[0].outline)


def small_kit(objective: str = "plan", **clear: float) -> Payload:
    """Five blocks of unlike size."""
    sizes = [(120, 80), (90, 60), (70, 50), (60, 40), (50, 30)]
    kinds = tuple(
        Item(f"block {k}", Body((Section(rectangle(float(w), float(h)), 0.0, 30.0),)))
        for k, (w, h) in enumerate(sizes)
    )
    wishes = CaseWishes(objective=objective, clearance=Clearance(**clear))  # type: ignore[arg-type]  # passed on
    return Payload("blocks", kinds, case=wishes)


@pytest.mark.parametrize("seed", range(3))
def test_places_on_a_grid_hold(seed: int) -> None:
    """A layout made by trying places keeps the web, and it uses no more than boxes in a row."""
    problem = problem_of(small_kit(item_mm=12.0), objective="plan", pins={})
    (assignment,) = candidates(problem, random.Random(0), most=1)
    layout = raster.once(problem, raster.Recipe.drawn(assignment, random.Random(seed)))
    assert layout is not None
    pieces = [seat.piece for seat in layout.assignment.seats]
    assert level_holds(list(zip(pieces, layout.spots, strict=True)), problem.payload.case.clearance)
    in_a_row = sum(spot_size(piece)[0] + 12.0 for piece in pieces) + 40.0
    assert layout.size_mm[0] * layout.size_mm[1] < in_a_row * 160.0


def test_the_nesting_child_sends_layouts_that_hold_and_dies_at_once() -> None:
    """Layouts come line by line, pass our own check, and killing the child takes no time."""
    can = Item("can", Body((Section(circle(20.0, at=(20.0, 20.0)), 0.0, 30.0),)), count=5)
    rod = Item("rod", Body((Section(rectangle(90.0, 18.0), 0.0, 18.0),)))
    pieces = [Piece(can, "top")] * 5 + [Piece(rod, "top")] * 3
    job = nest_job(pieces, across_mm=150.0, web_mm=WEB, seconds=1, seed=5, base_deg=0.0)
    with Child("fitkit.fit.engine", job) as child:
        answers: list[dict[str, object]] = []
        waited = time.monotonic()
        while not answers and time.monotonic() - waited < 60.0:
            answers, done = child.answers(0.5)
            assert not (done and not answers)
    spots = spots_of(answers[-1], pieces, 0.0)
    assert spots is not None
    placed = list(zip(pieces, spots, strict=True))
    assert level_holds(placed, CLEAR)
    _, y0, _, y1 = room_of(placed, Margins(0.0, 0.0))
    assert y1 - y0 <= 150.0 + 1e-3
    assert child._process.poll() is not None


def test_a_child_that_gives_up_is_no_error() -> None:
    """An outline that does not fit its strip ends the engine; the parent just gets no answer."""
    slab = Item("slab", Body((Section(rectangle(300.0, 300.0), 0.0, 10.0),)), turn="fixed")
    pieces = [Piece(slab, "top")]
    job = nest_job(pieces, across_mm=100.0, web_mm=0.0, seconds=1, seed=1, base_deg=0.0)
    with Child("fitkit.fit.engine", job) as child:
        found, done = [], False
        while not done:
            answers, done = child.answers(1.0)
            found += answers
    assert found == []


def test_assignments_share_levels_out() -> None:
    """With two tiers the likeliest assignment uses both, and its levels' areas are alike."""
    payload = small_kit(objective="volume", item_mm=10.0)
    two = Payload(
        payload.title, payload.items, case=CaseWishes(tiers=2, clearance=payload.case.clearance)
    )
    problem = problem_of(two, objective="volume", pins={})
    best: Assignment = candidates(problem, random.Random(0), most=1)[0]
    loads = [
        sum(best.seats[k].piece.outline.area for k in best.of_level(level)) for level in (0, 1)
    ]
    assert min(loads) > 0
    assert min(loads) / max(loads) > 0.6
