"""Only what is certain is refused: a limit that some pose just meets is never a fault."""

from __future__ import annotations

import math

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.geometry.shapes import moved
from fitkit.payload.impossible import least_plan_mm, note_impossible
from fitkit.payload.model import CaseWishes, Item, Limits, Payload
from fitkit.payload.pose import posed
from fitkit.payload.reading import Notes, Table
from fitkit.payload.sheet import parse_sheet
from fitkit.payload.walls import outside_mm
from strategies import items, outlines

STEPS = {"free": 1.0, "quarter": 90.0, "half": 180.0, "fixed": 360.0}


def refusals(payload: Payload) -> int:
    """How many faults a payload of such limits gets."""
    notes = Notes("kit.toml", {})
    sheet = Table({"item": [{"name": item.name} for item in payload.items]}, (), notes)
    note_impossible(payload, sheet)
    return len(notes)


def boxed(item: Item, case: CaseWishes, *, up_index: int, turn_deg: float) -> tuple[float, ...]:
    """Outside sizes of a case that holds the item alone in one pose, clearances and all."""
    solid = posed(item, item.up[up_index % len(item.up)])
    x0, y0, x1, y1 = moved(solid.silhouette, turn_deg=turn_deg).bounds
    gaps = case.clearance
    interior = (
        x1 - x0 + 2 * gaps.wall_mm,
        y1 - y0 + 2 * gaps.wall_mm,
        solid.height_mm + gaps.floor_mm + gaps.lid_mm,
    )
    return outside_mm(interior, profile=Payload("p", ()).wall.profile)


@settings(max_examples=60, deadline=None)
@given(items(), st.integers(0, 5), st.integers(0, 359))
def test_what_fits_alone_is_never_refused(item: Item, up_index: int, step: int) -> None:
    """Limits set to just what one allowed pose needs are met, the plan either way: no fault."""
    case = CaseWishes()
    turn = step * STEPS[item.turn]
    sides = boxed(item, case, up_index=up_index, turn_deg=turn)
    limits = Limits(outside_mm=(sides[1], sides[0], sides[2]), linear_mm=sum(sides))
    tight = Payload("p", (item,), case=evolve(case, limits=limits))
    assert refusals(tight) == 0


@settings(max_examples=60, deadline=None)
@given(items(), st.floats(0.2, 30))
def test_what_cannot_fit_is_refused(item: Item, short: float) -> None:
    """One pose, no turn: a limit shorter than the need on any one side is a fault."""
    alone = evolve(item, up=("top",), turn="fixed")
    case = CaseWishes()
    # the lid's clearance is not counted on where the floor's is larger: see the module
    gaps = evolve(case.clearance, lid_mm=case.clearance.floor_mm)
    case = evolve(case, clearance=gaps)
    sides = boxed(alone, case, up_index=0, turn_deg=0.0)
    for index in range(3):
        limit = [min(sides[:2]), max(sides[:2]), sides[2]]
        limit[index] -= short
        if limit[0] > limit[1]:  # then another side is the one in question
            continue
        limits = Limits(outside_mm=(limit[0], limit[1], limit[2]))
        assert refusals(Payload("p", (alone,), case=evolve(case, limits=limits))) == 1
    linear = Limits(linear_mm=sum(sides) - short)
    assert refusals(Payload("p", (alone,), case=evolve(case, limits=linear))) == 1


@settings(max_examples=60, deadline=None)
@given(outlines(), st.floats(0, 360))
def test_no_turn_beats_the_bound(outline: shapely.Polygon, turn: float) -> None:
    """However an outline is turned, its box is no smaller than the bound on either side."""
    short, long = least_plan_mm(outline, free=True)
    x0, y0, x1, y1 = moved(outline, turn_deg=turn).bounds
    sides = sorted((x1 - x0, y1 - y0))
    assert sides[0] >= short - 1e-6
    assert sides[1] >= long - 1e-6


def test_the_least_width_of_a_tilted_bar() -> None:
    """A bar at 30 degrees is as narrow as the bar, with free turns."""
    bar = moved(shapely.box(0, 0, 100, 10), turn_deg=30)
    short, long = least_plan_mm(bar, free=True)
    assert short == pytest.approx(10.0)
    assert long == pytest.approx(math.hypot(100, 10) / math.sqrt(2))


@pytest.mark.parametrize(
    ("form", "depths", "proud", "faults"),
    [
        ("box", (50.0, 30.0), True, 0),  # 40 high, 25 below, 15 above: 80 in all
        ("box", (50.0, 29.0), True, 1),
        ("box", (65.0, 20.0), False, 0),  # not proud: 40 + 25 in one half
        ("box", (64.0, 20.0), False, 1),
        ("box", (None, 5.0), False, 0),  # a free half can be as deep as need be
        ("pair", (80.0, 80.0), False, 0),  # 40 + 25, and 15 behind the closing plane
        ("pair", (79.0, 79.0), False, 1),
        ("pair", (80.0, 80.0), True, 0),  # in a pair all stay behind the closing plane
        ("pair", (79.0, 79.0), True, 1),
        ("tray", (80.0, None), True, 0),
        ("tray", (79.0, None), True, 1),
    ],
)
def test_heights_against_the_depths(
    form: str, depths: tuple[float | None, float | None], proud: bool, faults: int
) -> None:
    """An item of 40 mm with 25 mm below and 15 mm above, in halves of given depths."""
    typed = ", ".join('"free"' if depth is None else str(depth) for depth in depths)
    if form == "tray":
        typed = str(depths[0])
    text = (
        f'[case]\nform = "{form}"\ndepths = [{typed}]\n[[item]]\nname = "probe"\n'
        f"proud = {str(proud).lower()}\nbody = [{{ rectangle = [60, 50], z = [0, 40] }}]\n"
    )
    if not faults:
        assert parse_sheet(text, name="kit.toml").items
        return
    with pytest.raises(BadInput, match="40 mm high at least") as refused:
        parse_sheet(text, name="kit.toml")
    assert len(refused.value.faults) == faults


@pytest.mark.parametrize(
    ("half", "proud", "depths", "short"),
    [
        ("shallow", False, (200.0, 65.0), None),  # 40 high and 25 to its own panel
        ("shallow", False, (200.0, 60.0), "the shallow half leaves 60 mm (line 2): give 5 mm more"),
        ("shallow", True, (200.0, 60.0), None),  # it may reach into the deep half
        ("shallow", True, (40.0, 38.0), "the depths leave 78 mm (line 2): give 2 mm more"),
        ("shallow", False, (60.0, "free"), None),
        ("deep", False, (60.0, 200.0), "the deep half leaves 60 mm (line 2): give 5 mm more"),
        ("any", False, (60.0, 65.0), None),
        ("any", False, (60.0, 62.0), "the deeper half leaves 62 mm (line 2): give 3 mm more"),
    ],
)
def test_a_half_that_is_too_shallow_for_its_item(
    half: str, proud: bool, depths: tuple[float | str, float | str], short: str | None
) -> None:
    """An item that may stand in one half only is held against that half's depth: half and mm."""
    typed = ", ".join(f'"{depth}"' if isinstance(depth, str) else str(depth) for depth in depths)
    text = (
        f'[case]\ndepths = [{typed}]\n[[item]]\nname = "probe"\nhalf = "{half}"\n'
        f"proud = {str(proud).lower()}\nbody = [{{ rectangle = [60, 50], z = [0, 40] }}]\n"
    )
    if short is None:
        assert parse_sheet(text, name="kit.toml").items
        return
    with pytest.raises(BadInput) as refused:
        parse_sheet(text, name="kit.toml")
    (fault,) = refused.value.faults
    assert 'item "probe"' in fault.place
    assert short in str(fault)
