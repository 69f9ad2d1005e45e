"""Cable exits: legs by bundle and plug, what is cut, and what is told where it does not go."""

from __future__ import annotations

import math

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import use_kits
from fitkit.fit.layout import Interior, Placement
from fitkit.payload.model import Payload
from fitkit.payload.workshop import ExitWish
from fitkit.reference.bundles import bundle_of
from fitkit.shell.exits import Exited, exits_of
from fitkit.shell.frame import from_panel, to_bar
from fitkit.shell.graph import assembly_of
from fitkit.shell.make import make_shell
from fitkit.shell.panels import panels_of

LEFT_BACK = ExitWish("deep", ("left", "back"))
ROOT = math.sqrt(2.0)


def exited(payload: Payload, interior: Interior, placements: tuple[Placement, ...] = ()) -> Exited:
    """The exits of a layout."""
    assembly = assembly_of(interior, payload=payload)
    panels = panels_of(assembly, payload=payload)
    return exits_of(payload, assembly=assembly, panels=panels, placements=placements)


def test_legs_follow_from_the_bundle_and_what_lines_the_cut() -> None:
    """Three power cables of 9 mm: 2.1547 x 9 = 19.39 mm; over 0.5858 and 2 sqrt 2 of trim: 36."""
    payload, interior, placed = use_kits.screens(cables=(use_kits.power(3),), exits=(LEFT_BACK,))
    (one,) = exited(payload, interior, placed).exits
    bundle = bundle_of([9.0] * 3).diameter_mm
    assert one.needs_mm == bundle == pytest.approx(19.39, abs=0.01)
    assert one.leg_mm == math.ceil(bundle / (2 - ROOT) + 2 * ROOT) == 36
    assert one.bundle_mm >= bundle
    assert (one.leg_mm - 1 - 2 * ROOT) * (2 - ROOT) < bundle


def test_a_plug_asks_for_its_width_and_height() -> None:
    """27 + 20 mm and 2 sqrt 2 of trim: 50 mm, more than the bundle alone asks for."""
    wish = evolve(LEFT_BACK, plug=True)
    payload, interior, placed = use_kits.screens(cables=(use_kits.power(),), exits=(wish,))
    (one,) = exited(payload, interior, placed).exits
    assert one.plug_needs_mm == 47.0
    assert one.leg_mm == 50.0
    assert one.plug_mm >= 47.0


def test_only_cables_of_its_half_go_through_an_exit() -> None:
    """Copy 2 stands in the shallow half: the deep one's exit passes nothing."""
    shallow = ExitWish("shallow", ("left", "back"))
    payload, interior, placed = use_kits.screens(
        cables=(use_kits.power(copy=2),), exits=(LEFT_BACK, shallow)
    )
    deep, other = exited(payload, interior, placed).exits
    assert (deep.needs_mm, other.needs_mm) == (0.0, 9.0)
    unplugged = evolve(payload, cables=(evolve(use_kits.power(), plugged=False),))
    assert [one.needs_mm for one in exited(unplugged, interior, placed).exits] == [0.0, 0.0]


def test_without_placements_an_item_counts_for_both_halves() -> None:
    """Both copies may stand in either half: two cables of 9 mm are 18 mm wide."""
    payload, interior, _ = use_kits.screens(cables=(use_kits.power(),), exits=(LEFT_BACK,))
    (one,) = exited(payload, interior).exits
    assert one.needs_mm == 18.0


def test_legs_that_are_too_short_are_told_with_the_millimetres_missing() -> None:
    """Legs of 20 mm for three cables of 9 mm, that ask for 35.9 mm: 15.9 mm are missing."""
    payload, interior, placed = use_kits.screens(
        cables=(use_kits.power(3),), exits=(evolve(LEFT_BACK, leg_mm=20.0),)
    )
    found = exited(payload, interior, placed)
    asked = bundle_of([9.0] * 3).diameter_mm / (2 - ROOT) + 2 * ROOT
    (trouble,) = found.troubles
    assert trouble.verdict == "fails"
    assert trouble.short_mm == pytest.approx(asked - 20.0)
    assert "36 mm long" in trouble.remedy
    assert found.exits[0].leg_mm == 20.0


@pytest.mark.parametrize(
    ("wishes", "count", "said"),
    [
        ((ExitWish("deep", ("left", "right")),), 0, "do not"),
        ((ExitWish("deep", ("left", "back"), leg_mm=300.0),), 0, "take more than"),
        ((ExitWish("deep", ("left", "back"), leg_mm=200.0),
          ExitWish("deep", ("left", "front"), leg_mm=200.0)), 1, "meets"),
    ],
)  # fmt: skip
def test_exits_that_do_not_go_are_left_out_and_said(
    wishes: tuple[ExitWish, ...], count: int, said: str
) -> None:
    """No corner, longer than the wall, over each other: named, and nothing is cut for them."""
    payload, interior, placed = use_kits.screens(exits=wishes)
    found = exited(payload, interior, placed)
    assert len(found.exits) == count
    assert len(found.openings) == count
    troubles = " ".join(one.what for one in found.troubles)
    assert said.replace("do not", "are not two walls") in troubles


@settings(max_examples=40, deadline=None)
@given(
    leg=st.floats(15.0, 200.0),
    corner=st.sampled_from([("left", "back"), ("right", "front"), ("front", "left")]),
    part=st.sampled_from(["deep", "shallow"]),
    kind=st.sampled_from([{}, {"doors": True}, {"removable": True}]),
)
def test_the_cut_runs_from_wall_to_wall_at_45_degrees(
    leg: float, corner: tuple[str, str], part: str, kind: dict[str, bool]
) -> None:
    """In the case's coordinates the cut-off panel is what lies within x + y <= c of the corner."""
    wish = ExitWish(part, corner, leg_mm=leg)  # type: ignore[arg-type]  # drawn from good ones
    payload, interior, placed = use_kits.screens(exits=(wish,), **kind)
    assembly = assembly_of(interior, payload=payload)
    panels = {one.name: one for one in panels_of(assembly, payload=payload)}
    found = exits_of(payload, assembly=assembly, panels=tuple(panels.values()), placements=placed)
    (one,) = found.exits
    panel = panels[one.panel]
    at_x = 480.0 if "right" in corner else 0.0
    at_y = 330.0 if "back" in corner else 0.0
    whole = [(0.0, 0.0), (panel.length_mm, 0.0), (panel.length_mm, panel.width_mm),
             (0.0, panel.width_mm)]  # fmt: skip

    def in_case(u: float, v: float) -> tuple[float, float]:
        x, y, _ = from_panel(panel, u, v)
        return abs(x - at_x), abs(y - at_y)

    cut = shapely.Polygon([in_case(u, v) for u, v in one.shape.exterior.coords])
    board = shapely.Polygon([in_case(u, v) for u, v in whole])
    triangle = shapely.Polygon([(0, 0), (leg, 0), (0, leg)])
    assert cut.symmetric_difference(board.intersection(triangle)).area < 1e-6
    assert {one.side for one in found.bar_cuts} <= {panel.side}
    assert all(one.bar.startswith(panel.part) for one in found.bar_cuts)


def test_hardware_keeps_off_an_exit_and_no_corner_is_set_there() -> None:
    """Feet move off the cut corner, seven corners are left, and nothing else changes."""
    payload, interior, placed = use_kits.screens(
        form="box", exits=(ExitWish("deep", ("left", "back"), leg_mm=60.0),)
    )
    shell = make_shell(payload, interior=interior, placements=placed)
    assert sum(one.kind == "corner" for one in shell.hardware) == 7
    for one in shell.hardware:
        if one.kind == "foot":
            x, y = one.centre_mm[0] - 19.0, one.centre_mm[1] + 19.0
            assert x >= 60.0 or y <= 330.0 - 60.0
    assert sum(one.kind == "foot" for one in shell.hardware) == 4


def test_rivets_keep_off_the_cut_corner_and_the_cut_leaves() -> None:
    """No rivet lies where the corner is cut off, or within 1.5 diameters of a cut leaf."""
    payload, interior, placed = use_kits.screens(
        exits=(ExitWish("deep", ("left", "back"), leg_mm=80.0),)
    )
    shell = make_shell(payload, interior=interior, placements=placed)
    rivets = [one for one in shell.holes if one.side == "bottom" and one.use == "rivet"]
    cuts = {one.bar: one for one in shell.bar_cuts if one.owner.startswith("exit")}
    assert len(cuts) == 2
    met = 0
    for hole in rivets:
        x, y, _ = hole.at_mm
        assert x + (330.0 - y) > 80.0
        for name in hole.pieces:
            if name in cuts:
                along, _ = to_bar(shell.bar(name), hole.at_mm, "bottom")
                cut = cuts[name]
                assert max(cut.from_mm - along, along - cut.to_mm) >= 6.0
                met += 1
    assert met > 4
