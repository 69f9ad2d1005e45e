"""Rails and sub-panels in the scene and in the case taken apart: there, in place, clear of all."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import shapely
from attrs import evolve

from fitkit.documents.exploded_view import exploded_sheet
from fitkit.documents.sheet import Text
from fitkit.foam.exploded import Part
from fitkit.plan import Plan
from fitkit.scene.page import view_page
from fitkit.scene.render import plan_parts
from fitkit.scene.solids import scene_of, solids_of
from fitkit.shell.mounting.outline import outline_of
from fitkit.shell.mounting.pieces import Piece
from hand_plan import plan as plain_plan
from mounted_plans import lid, pair, shell_of


@pytest.mark.parametrize("make", [pair, lid])
def test_every_support_is_in_the_scene_where_it_lies(make: Callable[[], Plan]) -> None:
    """One solid each, over the height band and within the box of its record, in its own half."""
    plan = make()
    solids = {one.name: one for one in solids_of(plan) if one.kind == "support"}
    assert list(solids) == [one.name for one in shell_of(plan).supports]
    for piece in shell_of(plan).supports:
        one = solids[piece.name]
        assert (one.half, one.z0_mm, one.z1_mm) == (piece.half, piece.low_mm[2], piece.high_mm[2])
        assert one.shape.bounds == (*piece.low_mm[:2], *piece.high_mm[:2])
        cut = sum(shape.area for shape in piece.openings)
        assert one.shape.area == pytest.approx(piece.length_mm * piece.width_mm - cut)
    kinds = [part["kind"] for part in scene_of(plan)["parts"]]
    assert kinds.count("support") == len(solids)


def apart(plan: Plan) -> list[tuple[str, str, str, shapely.Geometry, float, float]]:
    """The solids of the scene, lifted: half, kind, name, outline, and heights over its floor."""
    room = plan.fit.interior.height_mm
    made = []
    for s in solids_of(plan):
        z0, z1 = (s.z0_mm, s.z1_mm) if s.half == "deep" else (room - s.z1_mm, room - s.z0_mm)
        made.append((s.half, s.kind, s.name, s.shape, z0 + s.lift_mm, z1 + s.lift_mm))
    return made


def parts(plan: Plan) -> list[tuple[str, str, str, shapely.Geometry, float, float]]:
    """The parts of the picture of the case taken apart."""
    made: tuple[Part, ...] = plan_parts(plan)
    return [(p.half, p.kind, p.name, p.shape, p.z0_mm, p.z1_mm) for p in made]


@pytest.mark.parametrize("make", [pair, lid])
@pytest.mark.parametrize("shown", [apart, parts])
def test_taken_apart_no_support_meets_anything(
    make: Callable[[], Plan],
    shown: Callable[[Plan], list[tuple[str, str, str, shapely.Geometry, float, float]]],
) -> None:
    """Supports well off the floor and under their item; no two solids of a half share room."""
    made = shown(make())
    for k, (half, kind, name, shape, low, high) in enumerate(made):
        for half2, kind2, name2, shape2, low2, high2 in made[k + 1 :]:
            if half != half2 or ((kind, name) == (kind2, name2) == ("item", name)):
                continue
            if low < high2 - 1e-9 and low2 < high - 1e-9:
                assert shapely.area(shape.intersection(shape2)) < 1e-6
    for half in {one[0] for one in made if one[1] == "support"}:
        tops = [one[5] for one in made if one[0] == half and one[1] == "support"]
        feet = [one[4] for one in made if one[0] == half and one[1] == "item"]
        assert max(tops) < min(feet)
        assert min(one[4] for one in made if one[0] == half and one[1] == "support") > 20.0


def test_a_case_without_foam_is_drawn_and_shown() -> None:
    """Lines and page are made without a single sheet of foam, with the name of every item."""
    texts = {mark.text for mark in exploded_sheet(pair(), why="").marks if isinstance(mark, Text)}
    assert {"field screen 1", "field screen 2"} <= texts
    page = view_page(pair(), look="")
    assert '"kind":"support"' in page
    assert '"kind":"foam"' not in page


def test_without_supports_nothing_changes() -> None:
    """A plan of foam alone, and one whose shell is not known, have no support in the scene."""
    for plan in (plain_plan(), evolve(pair(), shell=None)):
        assert not [one for one in solids_of(plan) if one.kind == "support"]
        assert not [one for one in plan_parts(plan) if one.kind == "support"]


@pytest.mark.parametrize("along", [0, 1])
@pytest.mark.parametrize("toward", [1, -1])
def test_openings_are_seen_where_they_were_cut(along: int, toward: int) -> None:
    """A cut given in the case, told in the piece's own u and v, is found where it was given."""
    low, high = (40.0, 15.0, 0.0), (480.0, 297.0, 6.4)
    cut = ((60.0, 30.0, 0.0), (130.0, 90.0, 6.4))
    piece = Piece("sub-panel", "sub-panel", low, high, along, 2, toward, cuts=[cut])
    support = piece.support(item="screen", copy=1, half="deep")
    wanted = shapely.box(40.0, 15.0, 480.0, 297.0).difference(shapely.box(60.0, 30.0, 130.0, 90.0))
    assert outline_of(support, below=toward > 0).equals(wanted)
    assert not outline_of(support, below=toward < 0).equals(wanted)
