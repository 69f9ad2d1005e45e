"""The sheet of a case in use: nothing overlaps or is cut off, and it says what stands where."""

from __future__ import annotations

from typing import Any

import pytest
import shapely
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

import use_kits
from fitkit.documents.oblique import Solid, behind, extent, flat, ordered
from fitkit.documents.pens.svg import svg
from fitkit.documents.sheet import Path, Style, Text
from fitkit.documents.use_plan import footprint, swept
from fitkit.documents.use_view import use_sheet
from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import CaseWishes, Payload
from fitkit.payload.workshop import ExitWish, HardwareWishes, Workshop
from fitkit.shell.make import make_shell
from fitkit.shell.moves import Move
from fitkit.shell.use import use_of
from sheet_texts import assert_texts_apart

CASES: dict[str, dict[str, Any]] = {
    "box": {"form": "box", "depths_mm": (160.0, 90.0)},
    "hinged": {"form": "box", "depths_mm": (160.0, 90.0), "hardware": HardwareWishes(lid="hinged")},
    "doors": {"doors": True, "hardware": use_kits.UPRIGHT, "exits": (ExitWish("shallow"),)},
    "loose": {"removable": True, "hardware": use_kits.UPRIGHT},
}


@pytest.mark.parametrize("name", CASES)
def test_no_text_overlaps_another_and_none_is_cut_off(name: str) -> None:
    """Every text lies on the sheet, clear of every other."""
    assert_texts_apart(use_sheet(use_kits.plan_of(**CASES[name])))


@pytest.mark.parametrize("name", CASES)
def test_three_states_and_what_stands_where_are_told(name: str) -> None:
    """Titles of all pictures; how it stands; every hinged part with how far it opens."""
    plan = use_kits.plan_of(**CASES[name])
    texts = " ".join(m.text for m in use_sheet(plan).marks if isinstance(m, Text))
    for title in ("1  closed", "2  opening", "3  in use", "in use, from above"):
        assert title in texts
    assert plan.shell is not None
    for swing in use_of(plan.payload, plan.shell).swings:
        assert f"opens {swing.most_deg:.0f} degrees" in texts
    for one in plan.shell.exits:
        assert one.name in texts


def test_a_plan_without_a_shell_is_refused() -> None:
    """There is nothing to draw."""
    with pytest.raises(ValueError, match="no shell"):
        use_sheet(evolve(use_kits.plan_of(), shell=None))


def test_the_same_plan_gives_the_same_drawing() -> None:
    """Byte for byte."""
    plan = use_kits.plan_of(**CASES["doors"])
    assert svg(use_sheet(plan)) == svg(use_sheet(plan))


SIZES = st.floats(5.0, 200.0)


@given(x=st.floats(-200, 200), y=st.floats(-200, 200), z=st.floats(-200, 200), size=SIZES)
def test_fronts_are_in_true_shape_and_depth_is_half(
    x: float, y: float, z: float, size: float
) -> None:
    """Cabinet projection: x and z as long as they are, y half as long, at 45 degrees."""
    here = flat((x, y, z), scale=1.0)
    assert flat((x + size, y, z), scale=1.0) == pytest.approx((here[0] + size, here[1]))
    assert flat((x, y, z + size), scale=1.0) == pytest.approx((here[0], here[1] + size))
    right, up = flat((x, y + size, z), scale=1.0)
    assert right - here[0] == pytest.approx(up - here[1])
    assert shapely.Point(here).distance(shapely.Point(right, up)) == pytest.approx(size / 2)


@given(
    boxes=st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4), st.integers(0, 4)), min_size=2,
                   max_size=8, unique=True)
)  # fmt: skip
def test_what_is_nearer_is_drawn_later(boxes: list[tuple[int, int, int]]) -> None:
    """Of two boxes on a grid, one that lies only behind another one comes before it."""
    solids = [
        Solid((20.0 * x, 20.0 * y, 20.0 * z), (20.0 * x + 20, 20.0 * y + 20, 20.0 * z + 20),
              Move(), Style())
        for x, y, z in boxes
    ]  # fmt: skip
    order = ordered(solids)
    for index, one in enumerate(order):
        for other in order[:index]:
            hidden = behind(one.box, other.box) and not behind(other.box, one.box)
            assert not hidden


def test_the_sweep_of_a_door_holds_the_door_in_every_place() -> None:
    """From above: closed and open door lie within what it sweeps, and the body outside it."""
    plan = use_kits.plan_of(**CASES["doors"])
    assert plan.shell is not None
    use = use_of(plan.payload, plan.shell)
    pose = use.pose("in use")
    for swing in use.swings:
        sweep = swept(plan.shell, swing, pose.move_of(swing.body))
        door = footprint(plan.shell.assembly.part(swing.part), pose.move_of(swing.part))
        shut = footprint(plan.shell.assembly.part(swing.part), pose.move_of(swing.body))
        body = footprint(plan.shell.assembly.part(swing.body), pose.move_of(swing.body))
        assert sweep.buffer(1e-6).covers(door)
        assert sweep.buffer(1e-6).covers(shut)
        assert sweep.intersection(body).area < 1.0


def test_an_exit_is_drawn_where_it_is_cut() -> None:
    """A closed case with its exit before the user shows the cut triangle, filled white."""
    plan = use_kits.plan_of(**CASES["doors"])
    bare = use_kits.plan_of(**{**CASES["doors"], "exits": ()})

    def triangles(sheet: object) -> int:
        marks = sheet.marks  # type: ignore[attr-defined]  # a sheet
        return sum(isinstance(m, Path) and m.style.stroke == "ok" for m in marks)

    assert triangles(use_sheet(plan)) > triangles(use_sheet(bare))


def test_the_picture_s_extent_holds_every_corner() -> None:
    """The box on paper is no smaller than the corners of what is drawn."""
    one = Solid((0.0, 0.0, 0.0), (40.0, 30.0, 20.0), Move(), Style())
    left, low, right, high = extent([one])
    for side in ("bottom", "top"):
        for point in one.ring(side):  # type: ignore[arg-type]  # both are faces
            x, y = flat(point, scale=1.0)
            assert left - 1e-9 <= x <= right + 1e-9
            assert low - 1e-9 <= y <= high + 1e-9


@pytest.mark.parametrize("opening", ["lid", "front", "left", "ends"])
@pytest.mark.parametrize("use", ["flat", "upright"])
def test_trays_of_every_opening_are_drawn_and_their_doors_open(opening: str, use: str) -> None:
    """Lids and drawer fronts come off, doors swing past 110 degrees and never to the ground."""
    wishes = HardwareWishes(use=use)  # type: ignore[arg-type]  # both are uses
    shop = Workshop(opening=opening, hardware=wishes)  # type: ignore[arg-type]  # as listed
    payload = Payload("Tideline tray", (), case=CaseWishes(form="tray"), workshop=shop)
    inside = Interior(480.0, 330.0, (Half("tray", 250.0),))
    base = use_kits.plan_of()
    shell = make_shell(payload, interior=inside, placements=())
    plan = evolve(
        base, payload=payload, shell=shell, fit=evolve(base.fit, interior=inside, placements=())
    )
    assert_texts_apart(use_sheet(plan))
    swings = use_of(payload, shell).swings
    assert len(swings) == {"lid": 0, "front": 0, "left": 1, "ends": 2}[opening]
    assert all(one.opens for one in swings)
