"""The six sides of the closed case: where they stand, and what is on them."""

from __future__ import annotations

from itertools import combinations

import pytest
import shapely
from attrs import evolve

import hand_shell
from fitkit.documents.outside_leaves import leaves
from fitkit.documents.outside_view import outside_sheet, views_of_sides
from fitkit.documents.sheet import Circle, Text
from fitkit.plan import Plan
from fitkit.shell.model import Shell
from sheet_texts import assert_texts_apart


@pytest.fixture(scope="module")
def built(plan: Plan) -> Plan:
    """The demo plan with the worked example's shell."""
    return hand_shell.with_shell(plan)


def shell_of(plan: Plan) -> Shell:
    """The plan's shell, which is there."""
    assert plan.shell is not None
    return plan.shell


def test_views_stand_in_third_angle(built: Plan) -> None:
    """Right of the front is the right side, above it the top, below it the bottom; all level."""
    at = {view.side: view.box for view in views_of_sides(shell_of(built))}
    front = at["front"]
    assert at["left"][2] < front[0] < front[2] < at["right"][0]
    assert at["right"][2] < at["back"][0]
    assert at["top"][1] > front[3]
    assert at["bottom"][3] < front[1]
    assert at["left"][1] == at["right"][1] == at["back"][1] == front[1]
    assert at["top"][0] == at["bottom"][0] == front[0]


def test_a_corner_of_the_case_folds_onto_itself(built: Plan) -> None:
    """The front's edges carry on in the neighbours: the same point has the same x or y in both."""
    views = {view.side: view for view in views_of_sides(shell_of(built))}
    low, high = shell_of(built).assembly.low_mm, shell_of(built).assembly.high_mm
    x, z = 130.0, 77.0
    front = views["front"].point(x, z)
    assert views["top"].point(x, low[1])[0] == pytest.approx(front[0])
    assert views["bottom"].point(-x, low[1])[0] == pytest.approx(front[0])
    assert views["left"].point(-low[1], z)[1] == pytest.approx(front[1])
    assert views["right"].point(low[1], z)[1] == pytest.approx(front[1])
    # the front edge of the bottom looks up to the front view, that of the top down to it
    assert views["bottom"].point(-x, low[1])[1] > views["bottom"].point(-x, high[1])[1]
    assert views["top"].point(x, low[1])[1] < views["top"].point(x, high[1])[1]


def test_every_hole_and_every_piece_of_hardware_is_shown(built: Plan) -> None:
    """As many dots as holes (the legend has two), and every name without its side."""
    sheet = outside_sheet(built)
    shell = shell_of(built)
    dots = [m for m in sheet.marks if isinstance(m, Circle)]
    assert len(dots) - 2 == len(shell.holes)
    texts = [m.text for m in sheet.marks if isinstance(m, Text)]
    for name in ("foot 1", "foot 2", "foot 3", "foot 4"):
        assert texts.count(name) == 1
    shown = " ".join(texts)
    for one in shell.hardware:
        short = one.name.replace(f" {one.side}", "", 1)
        assert all(word in shown.split() for word in short.split())


def test_legs_lie_inside_the_side_and_do_not_overlap(built: Plan) -> None:
    """On each side: within the outside, apart from each other; latch cut-outs are taken away."""
    shell = shell_of(built)
    for view in views_of_sides(shell):
        u, v = view.low_uv
        room = shapely.box(u, v, u + view.size_uv[0], v + view.size_uv[1]).buffer(1e-6)
        legs = list(leaves(built, view.side))
        assert all(room.covers(leg) for leg in legs)
        for a, b in combinations(legs, 2):
            assert a.intersection(b).area < 1e-6
    front = sum(float(leg.area) for leg in leaves(built, "front"))
    back = sum(float(leg.area) for leg in leaves(built, "back"))
    assert back - front == pytest.approx(4 * 90 * 25)


def test_overall_sizes_are_told(built: Plan) -> None:
    """Length, width and height over the profiles, each once, and the two halves' heights."""
    texts = [m.text for m in outside_sheet(built).marks if isinstance(m, Text)]
    for text in ("600 outside", "400 outside", "300 outside", "200", "100"):
        assert texts.count(text) == 1


def test_no_text_overlaps_and_none_is_cut_off(built: Plan) -> None:
    """2.5 mm at the least, on the paper, apart from each other."""
    sheet = outside_sheet(built)
    assert_texts_apart(sheet)


def test_without_a_shell_there_is_an_error(plan: Plan) -> None:
    """Nothing is made up."""
    with pytest.raises(ValueError, match="no shell"):
        outside_sheet(evolve(plan, shell=None))
