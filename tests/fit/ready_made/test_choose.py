"""Which ready-made cases hold a kit, and which for certain do not."""

from __future__ import annotations

import math
import sys
from typing import Any

import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from case_kits import ITEMS, box, case, kit
from fitkit.errors import BadInput
from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.place import place_all
from fitkit.fit.ready_made import Missing, choose, inside_of, volume_mm3
from fitkit.fit.ready_made.carry import Laid, carried, spread
from fitkit.fit.ready_made.room import upright_mm
from fitkit.fit.ready_made.screening import Screen, depth_lack_mm, lack_of
from fitkit.fit.search import smallest
from fitkit.fit.state import Progress
from fitkit.fit.validate import violations
from fitkit.payload.model import Limits, Payload, ReadyMade

chooser: Any = sys.modules["fitkit.fit.ready_made.choose"]

LIST: tuple[ReadyMade, ...] = (
    case("wide", 400.0, 300.0, 80.0, 40.0, mass=2.0, price=70.0),
    case("snug", 290.0, 200.0, 80.0, 30.0, mass=2.4, price=40.0, lean=(4.0, 2.0), corner=15.0),
    case("flat", 300.0, 220.0, 40.0, 15.0, mass=1.0, price=20.0),
    case("stub", 150.0, 150.0, 120.0, 60.0, mass=1.1, price=25.0),
    case("long", 700.0, 130.0, 80.0, 40.0, mass=2.2, price=55.0),
)

SLOW = settings(
    deadline=None, max_examples=15, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)


def test_every_case_that_holds_the_kit_is_listed_with_a_layout_that_holds() -> None:
    """Ranked by volume; each layout passes the check in the room of its own case."""
    payload = kit(*LIST)
    answer, fit = choose(payload, budget_s=3.0)
    assert [one.name for one in answer.holding] == ["snug", "long", "wide"]
    volumes = [volume_mm3(payload.case.ready_case(one.name)) for one in answer.holding]
    assert volumes == sorted(volumes)
    for one in answer.holding:
        room = inside_of(payload.case.ready_case(one.name), turned=one.turned)
        assert violations(payload, interior=room, placements=one.placements) == ()
    assert answer.chosen == "snug"
    assert fit.ready_made == payload.case.ready_case("snug")
    assert fit.placements == answer.holding[0].placements
    assert fit.proven
    assert fit.misses == ()


def test_what_does_not_hold_is_certain_and_says_by_how_much() -> None:
    """The flat one lacks depth, the stub lacks length for the rod: both by a bound."""
    answer, _ = choose(kit(*LIST), budget_s=2.0)
    assert {one.name: one.verdict for one in answer.others} == {
        "flat": "too small",
        "stub": "too small",
    }
    # the recorder needs 20 + 40 + 10 of depth, the flat case has 55; the rod 150 + 2 * 12
    assert answer.one("flat").missing.depth_mm >= 15.0 - 1e-6
    assert answer.one("stub").missing.length_mm >= 24.0 - 1e-6
    assert all(one.note for one in answer.others)


@pytest.mark.parametrize(
    ("rank", "order"),
    [
        ("volume", ["snug", "long", "wide"]),
        ("mass", ["wide", "long", "snug"]),
        ("price", ["snug", "long", "wide"]),
    ],
)
def test_the_rank_is_what_was_asked(rank: str, order: list[str]) -> None:
    """By volume, by the mass of the empty case, or by price; what is not known comes last."""
    answer, _ = choose(kit(*LIST, rank=rank), budget_s=2.0)
    assert [one.name for one in answer.holding] == order
    unknown = [evolve(one, mass_kg=None, price=None) if one.name == order[0] else one
               for one in LIST]  # fmt: skip
    if rank != "volume":
        answer, _ = choose(kit(*unknown, rank=rank), budget_s=2.0)
        assert answer.holding[-1].name == order[0]


def test_one_case_alone_is_looked_at() -> None:
    """With a name the others are left alone, and being first is not claimed."""
    answer, fit = choose(kit(*LIST), only="wide", budget_s=2.0)
    assert [one.name for one in answer.tried] == ["wide"]
    assert not fit.proven
    with pytest.raises(BadInput, match="the list has no such case; known there: wide, snug"):
        choose(kit(*LIST), only="huge")
    with pytest.raises(BadInput, match="the list has no case in it"):
        choose(kit())


def test_none_holds() -> None:
    """The nearest is told with its millimetres, and a layout is there to look at."""
    payload = kit(LIST[2], LIST[3])
    answer, fit = choose(payload, budget_s=1.0)
    assert answer.holding == ()
    assert answer.chosen == min(answer.tried, key=lambda one: one.missing.total_mm).name
    (miss,) = fit.misses
    assert answer.chosen in miss
    assert str(answer.one(answer.chosen).missing) in miss
    assert "for certain" in miss
    assert {p.item for p in fit.placements} == {item.name for item in payload.items}


def test_limits_outside_and_on_the_mass_rule_a_case_out() -> None:
    """A case that is too long outside, or too heavy with the gear in it, will not do."""
    cases = (
        evolve(LIST[0], outside_mm=(430.0, 330.0, 140.0)),
        evolve(LIST[1], mass_kg=9.0),
    )
    limits = Limits(outside_mm=(420.0, 420.0, None), mass_kg=10.0)
    answer, fit = choose(kit(*cases, limits=limits), budget_s=1.0)
    assert [one.verdict for one in answer.tried] == ["over a limit", "over a limit"]
    assert answer.one("wide").note == "outside length 10.0 mm over the limit"
    assert answer.one("snug").note == "gear and case 1.00 kg over the limit"
    assert fit.misses


def test_cancel_ends_the_search_and_says_what_is_open() -> None:
    """Cancelled at once, nothing is claimed of any case, and a layout is there all the same."""
    payload = kit(*LIST)
    answer, fit = choose(payload, budget_s=60.0, cancelled=lambda: True)
    assert answer.interrupted
    assert fit.interrupted
    assert answer.seconds < 20.0
    assert {one.verdict for one in answer.tried} == {"not searched"}
    assert {p.item for p in fit.placements} == {item.name for item in payload.items}


def test_ctrl_c_keeps_what_was_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """An interrupt between two cases: the layout of the first stays, the others are open."""
    real = chooser.smallest
    calls: list[int] = []

    def once(*args: Any, **more: Any) -> Any:
        calls.append(1)
        if len(calls) > 1:
            raise KeyboardInterrupt
        return real(*args, **more)

    # the second is too narrow for the layout of the first, and its bounds do not tell
    narrow = case("narrow", 480.0, 105.0, 80.0, 40.0)
    monkeypatch.setattr(chooser, "smallest", once)
    answer, fit = choose(kit(LIST[1], narrow), budget_s=4.0)
    assert answer.one("snug").verdict == "holds"
    assert answer.interrupted
    assert fit.interrupted
    assert fit.misses == ()


def test_progress_tells_the_case_and_the_time() -> None:
    """Each word of progress names the case that is searched, within the whole budget."""
    heard: list[Progress] = []
    choose(kit(*LIST), budget_s=3.0, progress=heard.append)
    assert heard
    assert all(now.seconds >= 0 and now.budget_s == 3.0 for now in heard)
    assert all("of 5 settled" in now.stage for now in heard)


def test_a_budget_that_is_too_short_for_all_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of many cases that only a search could settle one is searched, the others are left open."""
    size, depths = LAYOUT.interior.size_mm, [half.depth_mm for half in LAYOUT.interior.halves]
    crowd = [case(f"c{n}", size[0] - 2 - n / 50, size[1] - 2, *depths) for n in range(60)]
    calls: list[int] = []

    def same(*args: Any, **more: Any) -> Any:
        calls.append(1)
        return LAYOUT

    monkeypatch.setattr(chooser, "smallest", same)
    monkeypatch.setattr(chooser.Screen, "judged", lambda self, tried: None)  # no bound tells
    answer, fit = choose(kit(*crowd), budget_s=1e-6)
    assert len(calls) == 1
    # the one layout was tried in every case, so that each says what it lacks of it
    assert {one.verdict for one in answer.tried} == {"none found"}
    assert answer.one("c0").missing.total_mm == pytest.approx(4.0, abs=0.01)
    assert fit.misses


def test_repeatable_gives_the_same_answer_twice() -> None:
    """Work is counted: verdicts, layouts and seconds are the same, whatever the machine does."""
    payload = kit(*LIST[:2])
    assert choose(payload, repeatable=True, budget_s=0.5) == choose(
        payload, repeatable=True, budget_s=0.5
    )


# ---- bounds


@SLOW
@given(st.floats(60.0, 260.0), st.floats(60.0, 260.0), st.floats(15.0, 90.0), st.floats(10.0, 60.0))
def test_certain_means_that_no_layout_is_found_in_a_larger_room_either(
    length: float, width: float, deep: float, shallow: float
) -> None:
    """Whatever the bounds rule out, the smallest-case search does not fit in there.

    The search is asked without the list; were its answer to fit into the case, the bound would lie.
    """
    tried = case("any", length, width, deep, shallow)
    payload = kit(tried, items=(ITEMS[0], ITEMS[2]))
    verdict = Screen(payload).judged(tried)
    plain = evolve(payload, case=evolve(payload.case, ready_made=(), objective="plan"))
    fit = smallest(plain, budget_s=0.3, repeatable=True)
    held = carried(payload, interior=fit.interior, placements=fit.placements, into=tried)
    assert not (verdict is not None and held is not None)


def test_what_an_item_lacks_by_itself() -> None:
    """Least over the poses: length, width and depth by hand for one brick."""
    brick = box("brick", 200.0, 50.0, 30.0, up=("top", "front"))
    payload = kit(items=(brick,))
    # lying: 200 + 24 long, 50 + 24 wide, 20 + 30 + 10 deep
    assert lack_of(payload, brick, case("a", 224.0, 74.0, 40.0, 20.0)) == Missing()
    lacks = lack_of(payload, brick, case("b", 220.0, 70.0, 40.0, 15.0))
    assert lacks == Missing(4.0, 4.0, 5.0)
    # a narrow, deep case: standing on its long edge it is 30 wide and 50 high
    assert lack_of(payload, brick, case("c", 224.0, 54.0, 60.0, 20.0)) == Missing()
    flush = evolve(brick, proud=False)
    assert lack_of(payload, flush, case("d", 224.0, 74.0, 42.0, 40.0)).depth_mm == 8.0


def test_the_depth_that_whole_sheets_leave() -> None:
    """Nothing is missing where the search stacks it; grown by what is said, it would stack."""
    payload = kit(items=(box("brick", 60.0, 50.0, 52.0),))
    assert depth_lack_mm(payload, case("deep", 200.0, 200.0, 80.0, 30.0)) == 0.0
    short = case("short", 200.0, 200.0, 55.0, 29.0)
    lacks = depth_lack_mm(payload, short)
    # 20 + 52 = 72 stands 17 mm proud: a relief of 20 and the lid's 10 are 1 mm more than its 29
    assert 0.0 < lacks <= 1.0
    assert depth_lack_mm(payload, evolve(short, shallow_mm=30.0)) == 0.0


def test_areas_rule_out_a_plan_that_is_too_small_in_all() -> None:
    """Each item fits alone, but not all of them side by side."""
    payload = kit(items=(box("plate", 90.0, 90.0, 20.0, count=6),))
    tight = case("tight", 240.0, 200.0, 60.0, 30.0)
    found = Screen(payload).judged(tight)
    assert found is not None
    assert found.verdict == "too small"
    assert "cm2 of plan" in found.note
    # six plates grown by half a web go into 240 - 14 by width - 14: what is told is no more
    grown = 6 * (90.0**2 + 4 * 90.0 * 5.0 + math.pi * 25.0)
    needed = grown / (tight.length_mm - 14.0) + 14.0
    assert 20.0 < found.missing.width_mm <= needed - tight.width_mm


# ---- rooms with leaning walls


@st.composite
def rooms(draw: st.DrawFn) -> ReadyMade:
    """Cases whose walls lean by different amounts along x and y, corners round or not."""
    length, width = draw(st.floats(250.0, 500.0)), draw(st.floats(200.0, 400.0))
    lean = (draw(st.floats(0.0, 20.0)), draw(st.floats(0.0, 20.0)))
    corner = draw(st.sampled_from((0.0, 10.0, 40.0)))
    deep, shallow = draw(st.floats(70.0, 150.0)), draw(st.floats(25.0, 60.0))
    return case("room", length, width, deep, shallow, lean=lean, corner=corner)


LAYOUT = smallest(kit(), budget_s=0.3, repeatable=True)


@settings(deadline=None, max_examples=60)
@given(rooms())
def test_bodies_are_inside_the_outline_at_every_height(room: ReadyMade) -> None:
    """A layout carried into a room keeps the wall clearance at each height, not only at the rim."""
    payload: Payload = kit()
    laid = carried(payload, interior=LAYOUT.interior, placements=LAYOUT.placements, into=room)
    if laid is None:
        return
    laid = spread(payload, laid)
    wall = payload.case.clearance.wall_mm
    for one in place_all(payload, laid.placements):
        for band in one.solid.bands:
            for share in (0.0, 0.25, 0.5, 0.75, 1.0):
                z = band.z0_mm + share * (band.z1_mm - band.z0_mm)
                outline = laid.interior.outline_at(z)
                assert outline.covers(band.shape)
                assert outline.exterior.distance(band.shape) >= wall - 1e-3


@given(rooms(), st.floats(0.0, 1.0))
def test_the_outline_changes_evenly_and_is_what_was_measured_at_rim_and_floors(
    room: ReadyMade, share: float
) -> None:
    """At rim, floor and top as measured; between them each side is on the straight line."""
    inside = inside_of(room)
    high = inside.height_mm
    for z, sides in (
        (0.0, room.floor_mm),
        (room.deep_mm, (room.length_mm, room.width_mm)),
        (high, room.top_mm),
    ):
        x0, y0, x1, y1 = inside.outline_at(z).bounds
        assert (x1 - x0, y1 - y0) == pytest.approx(sides, abs=1e-6)
        assert (x0 + x1, y0 + y1) == pytest.approx((room.length_mm, room.width_mm), abs=1e-6)
    z = share * room.deep_mm
    x0, _, x1, _ = inside.outline_at(z).bounds
    line = room.floor_mm[0] + share * (room.length_mm - room.floor_mm[0])
    assert x1 - x0 == pytest.approx(line, abs=1e-6)


@given(rooms(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_what_outlines_have_in_common_lies_in_each_of_them(
    room: ReadyMade, low: float, high: float
) -> None:
    """Over a band, the room that is given is within the outline at each height of the band."""
    inside = inside_of(room)
    z0, z1 = sorted((low * inside.height_mm, high * inside.height_mm))
    common = inside.outline_within(z0, z1)
    for share in (0.0, 0.3, 0.7, 1.0):
        outline = inside.outline_at(z0 + share * (z1 - z0))
        assert common.difference(outline).area < 1e-3


@given(rooms())
def test_the_volume_is_that_of_the_sections(room: ReadyMade) -> None:
    """Simpson's rule is exact for a section that is quadratic in height, half by half."""
    square = evolve(inside_of(room), corner_mm=0.0)
    total = 0.0
    for low, high in ((0.0, room.deep_mm), (room.deep_mm, square.height_mm)):
        areas = [square.outline_at(z).area for z in (low, (low + high) / 2, high)]
        total += (high - low) * (areas[0] + 4 * areas[1] + areas[2]) / 6
    assert volume_mm3(room) == pytest.approx(total, rel=1e-9)


@given(rooms())
def test_the_upright_room_is_within_the_leaning_one(room: ReadyMade) -> None:
    """From the floor clearance up to the lid clearance, the upright room fits in."""
    payload = kit()
    length, width = upright_mm(payload, room)
    inside = inside_of(room)
    for z in (20.0, room.deep_mm, inside.height_mm - 10.0):
        x0, y0, x1, y1 = inside.outline_at(z).bounds
        assert x1 - x0 >= length - 1e-9
        assert y1 - y0 >= width - 1e-9


def test_slack_goes_into_the_webs() -> None:
    """In a room with space to spare, the nearest pair comes to stand further apart."""
    payload = kit()
    room = case("roomy", LAYOUT.interior.length_mm + 80, LAYOUT.interior.width_mm + 60, 120.0, 40.0)
    laid = carried(payload, interior=LAYOUT.interior, placements=LAYOUT.placements, into=room)
    assert laid is not None
    wide = spread(payload, laid)
    assert violations(payload, interior=wide.interior, placements=wide.placements) == ()

    def nearest(of: Laid) -> float:
        shapes = [one.solid.silhouette for one in place_all(payload, of.placements)]
        return min(float(a.distance(b)) for k, a in enumerate(shapes) for b in shapes[k + 1 :])

    assert nearest(wide) > nearest(laid) + 1.0


def test_a_layout_that_breaks_on_its_sheets_does_not_count() -> None:
    """A settling that lifts items through the lid makes a case one that does not hold the kit."""

    def lifted(_: object, placements: tuple[Placement, ...]) -> tuple[Placement, ...]:
        return tuple(evolve(p, z_mm=p.z_mm + 500.0) for p in placements)

    answer, fit = choose(kit(LIST[0]), settle=lifted, budget_s=0.6)
    assert answer.holding == ()
    assert answer.one("wide").verdict == "none found"
    assert "sheets of foam" in answer.one("wide").note
    assert fit.misses


def test_a_layout_is_carried_only_where_a_sheet_holds_every_item() -> None:
    """An item 60 mm up is held by a base of 70 mm on sheets of 10, not by one of 69."""
    items = (box("rod", 150.0, 30.0, 30.0, mass_kg=0.4),)
    laid = (Placement("rod", 1, "deep", 1, "top", 0.0, 20.0, 20.0, 60.0),)
    interior = Interior(200.0, 90.0, (Half("deep", 80.0), Half("shallow", 60.0)))
    for deep, holds in ((70.0, True), (69.0, False)):
        into = case("low", 200.0, 90.0, deep, 60.0)
        payload = kit(into, items=items)
        found = carried(payload, interior=interior, placements=laid, into=into)
        assert (found is not None) == holds
