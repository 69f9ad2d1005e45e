"""Moves, doors' swing and the states of a case in use: by hand, and as promises."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import use_kits
from fitkit.payload.hardware import generic
from fitkit.payload.workshop import HardwareType, HardwareWishes, Side
from fitkit.shell.frame import out_of
from fitkit.shell.make import make_shell
from fitkit.shell.model import Fitted, Point, Shell
from fitkit.shell.moves import Move, laid, turned_about
from fitkit.shell.swing import WANTED_DEG, Swing, swings_of
from fitkit.shell.use import Use, box_of, opened_deg, swung, use_of

POINTS = st.tuples(*[st.floats(-500.0, 500.0)] * 3)
AXES: list[Point] = [
    (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0),
    (0.0, 0.0, -1.0),
]  # fmt: skip


def made(**case: object) -> tuple[Shell, Use]:
    """A case's shell and its use."""
    payload, interior, placed = use_kits.screens(**case)  # type: ignore[arg-type]  # passed on
    shell = make_shell(payload, interior=interior, placements=placed)
    return shell, use_of(payload, shell)


def turned(move: Move) -> np.ndarray:
    """The move's matrix."""
    return np.array(move.rows)


@given(axis=st.integers(0, 2), degrees=st.floats(-360.0, 360.0), about=POINTS, point=POINTS)
def test_a_turn_keeps_distances_and_the_line_that_it_turns_about(
    axis: int, degrees: float, about: Point, point: Point
) -> None:
    """A rotation matrix (orthogonal, determinant 1); the line through ``about`` stays."""
    move = turned_about(about, axis=axis, by_deg=degrees)
    matrix = turned(move)
    assert np.allclose(matrix @ matrix.T, np.eye(3))
    assert np.linalg.det(matrix) == pytest.approx(1.0)
    assert move.at(about) == pytest.approx(about, abs=1e-6)
    assert math.dist(move.at(point), move.at(about)) == pytest.approx(math.dist(point, about))


@pytest.mark.parametrize(
    ("down", "towards"),
    [(a, b) for a in AXES for b in AXES if abs(np.dot(a, b)) < 0.5],
)
def test_laid_turns_without_mirroring(down: Point, towards: Point) -> None:
    """``down`` comes to point down, ``towards`` to the user, and left stays left: determinant 1."""
    move = laid(down=down, towards=towards)
    assert move.way(down) == pytest.approx((0.0, 0.0, -1.0))
    assert move.way(towards) == pytest.approx((0.0, -1.0, 0.0))
    assert np.linalg.det(turned(move)) == pytest.approx(1.0)


@given(first=st.floats(-180, 180), second=st.floats(-180, 180), about=POINTS, point=POINTS)
def test_one_move_after_the_other_is_one_move(
    first: float, second: float, about: Point, point: Point
) -> None:
    """a.then(b) at p is b at a at p."""
    one = turned_about(about, axis=0, by_deg=first)
    two = turned_about((1.0, 2.0, 3.0), axis=2, by_deg=second).shifted((5.0, 0.0, -1.0))
    assert one.then(two).at(point) == pytest.approx(two.at(one.at(point)), abs=1e-6)


def test_a_flat_door_swings_past_its_wall() -> None:
    """T = 10 thick, pin 3 mm before the face: its outer edge meets the wall at 213.9 degrees.

    That edge (3, 10) from the pin turns until it is level with the wall's face, 3 mm from the pin:
    10.44 sin(angle) from its own 73.3 degrees on, to 3 = 10.44 cos(73.3 + 213.4).
    """
    shell, use = made(doors=True, hardware=use_kits.UPRIGHT)
    assert len(use.swings) == 2
    radius, start = math.hypot(3.0, 10.0), math.degrees(math.atan2(10.0, 3.0))
    wanted = 360.0 - math.degrees(math.acos(3.0 / radius)) - start
    for one in use.swings:
        assert one.most_deg == pytest.approx(wanted, abs=0.6)
        assert one.stop in ("deep", "shallow")
        assert one.opens
    assert {one.side for one in shell.hardware if one.kind == "hinge"} == {"left"}


def test_doors_of_a_case_that_lies_flat_open_onto_the_ground() -> None:
    """Halves lie on their backs: the door meets the ground at once, and that is named."""
    _, use = made(doors=True)
    for one in use.swings:
        assert not one.opens
        assert one.stop == "the ground"
        assert one.short_mm > 300.0


def bulky_handle(stands: float) -> HardwareType:
    """A handle on the left that stands far out, set by the builder."""
    return evolve(generic()["handle"], sides=("left",), count=1, stands_mm=stands, dish_mm=None,
                  depth_mm=0.0, flange_mm=(120.0, 150.0), known="measured")  # fmt: skip


def test_a_pan_that_cannot_open_past_a_handle_says_by_how_much() -> None:
    """A handle 260 mm out beside the hinge stops a pan before 110 degrees.

    Seen from the pin, 3 mm before the side, the handle has its near corner at (257, d), d from
    the closing plane. The pan's wall lies 3 mm behind the pin, so it meets that corner at
    90 + atan(d / 257) + asin(3 / r). With just ``short_mm`` less it opens far enough.
    """
    wishes = HardwareWishes(use="upright", types=(bulky_handle(260.0),))
    payload, interior, placed = use_kits.screens(
        hardware=wishes, doors=True, door_mm=300.0, depths_mm=(500.0, 500.0)
    )
    shell = make_shell(payload, interior=interior, placements=placed)
    handle = next(one for one in shell.hardware if one.kind == "handle")
    which = next(one for one in swings_of(payload, shell) if one.body in handle.parts)
    plane = which.pin_mm[2]
    edge = min(abs(z - plane) for z in _ends(handle))
    reach = math.hypot(edge, 257.0)
    expected = 90.0 + math.degrees(math.atan2(edge, 257.0) + math.asin(3.0 / reach))
    assert expected < WANTED_DEG
    assert which.stop == handle.name
    assert which.most_deg == pytest.approx(expected, abs=0.1)
    assert not which.opens
    for less, opens in ((which.short_mm + 0.1, True), (which.short_mm - 0.5, False)):
        types = (bulky_handle(260.0 - less),)
        shop = evolve(payload.workshop, hardware=evolve(wishes, types=types))
        after = swings_of(evolve(payload, workshop=shop), shell)
        assert next(one for one in after if one.part == which.part).opens == opens


def _ends(handle: Fitted) -> tuple[float, float]:
    """Lowest and highest z of a handle's flange."""
    half = handle.size_mm[1] / 2
    return handle.centre_mm[2] - half, handle.centre_mm[2] + half


@settings(max_examples=12, deadline=None)
@given(
    side=st.sampled_from(["front", "back", "left", "right"]),
    use=st.sampled_from(["flat", "upright"]),
    kind=st.sampled_from([{"doors": True}, {"doors": True, "door_mm": 90.0}]),
)
def test_a_door_opens_away_from_its_body(side: Side, use: str, kind: dict[str, object]) -> None:
    """Half open, a door's middle lies farther out than the closing plane, and off the body."""
    hinge = evolve(generic()["hinge"], sides=(side,), known="measured")
    wishes = HardwareWishes(use=use, types=(hinge,))  # type: ignore[arg-type]  # drawn from both
    payload, interior, placed = use_kits.screens(
        hardware=wishes,
        depths_mm=(250.0, 250.0),
        **kind,  # type: ignore[arg-type]  # by test
    )
    shell = make_shell(payload, interior=interior, placements=placed)
    swings = swings_of(payload, shell)
    assert {one.side for one in swings} == {side}
    for one in swings:
        part, body = shell.assembly.part(one.part), shell.assembly.part(one.body)
        low, high = box_of([part], swung(one, 45.0))
        middle = (low[2] + high[2]) / 2
        outside = body.low_mm[2] if one.part == "door deep" else body.high_mm[2]
        assert (middle < outside) == (one.part == "door deep")
        axis, sense = out_of(side)
        closed = box_of([part], Move())
        far = 0 if sense > 0 else 1
        assert abs(closed[far][axis] - (low, high)[far][axis]) > 1.0  # the far edge comes nearer


STATES = ("closed", "opening", "in use")


@pytest.mark.parametrize(
    "case",
    [
        {},
        {"form": "box", "depths_mm": (160.0, 90.0)},
        {"form": "box", "hardware": HardwareWishes(lid="hinged")},
        {"hardware": use_kits.UPRIGHT},
        {"hardware": use_kits.UPRIGHT, "doors": True},
        {"hardware": use_kits.UPRIGHT, "removable": True},
    ],
)
def test_parts_never_meet_and_never_sink_into_the_table(case: dict[str, object]) -> None:
    """In every state the parts' solids share no room, and nothing is below the table."""
    shell, use = made(**case)
    for state in STATES:
        pose = use.pose(state)  # type: ignore[arg-type]  # one of the three
        for part in shell.assembly.parts:
            low, _ = box_of([part], pose.move_of(part.name))
            assert low[2] > -1e-6
        for one, two in combinations(shell.assembly.parts, 2):
            shared = _shared(shell, use, one.name, two.name, state)
            assert shared < 0.5, (state, one.name, two.name)


def _shared(shell: Shell, use: Use, one: str, two: str, state: str) -> float:
    """What two parts share as seen along the axis along which both stay straight [mm2]."""
    pose = use.pose(state)  # type: ignore[arg-type]  # one of the three
    parts = [shell.assembly.part(name) for name in (one, two)]
    moves = [pose.move_of(name) for name in (one, two)]
    boxes = [box_of([part], move) for part, move in zip(parts, moves, strict=True)]
    seen = [
        axis
        for axis in range(3)
        if all(max(abs(v) for v in move.rows[axis]) > 1 - 1e-9 for move in moves)
    ]
    axis = seen[0]
    if boxes[0][1][axis] <= boxes[1][0][axis] + 1e-6 or (
        boxes[1][1][axis] <= boxes[0][0][axis] + 1e-6
    ):
        return 0.0
    areas = []
    for axis in seen:
        shapes = []
        for part, move in zip(parts, moves, strict=True):
            points = [
                move.at((x, y, z))
                for x in (part.low_mm[0], part.high_mm[0])
                for y in (part.low_mm[1], part.high_mm[1])
                for z in (part.low_mm[2], part.high_mm[2])
            ]
            flat = [tuple(v for k, v in enumerate(p) if k != axis) for p in points]
            shapes.append(shapely.MultiPoint(flat).convex_hull)
        areas.append(float(shapes[0].intersection(shapes[1]).area))
    return min(areas)


def test_upright_halves_stand_on_one_long_side_with_handles_on_top() -> None:
    """Open sides to the user, backs away, feet below, handles above, doors to the outside."""
    shell, use = made(hardware=use_kits.UPRIGHT, doors=True)
    pose = use.pose("in use")
    deep, shallow = pose.move_of("deep"), pose.move_of("shallow")
    assert deep.way((0.0, 0.0, 1.0)) == pytest.approx((0.0, -1.0, 0.0))
    assert shallow.way((0.0, 0.0, -1.0)) == pytest.approx((0.0, -1.0, 0.0))
    for one in shell.hardware:
        move = pose.move_of(one.parts[0])
        normal = [0.0, 0.0, 0.0]
        axis, sense = out_of(one.side)
        normal[axis] = float(sense)
        up = move.way((normal[0], normal[1], normal[2]))[2]
        if one.kind == "foot":
            assert up == pytest.approx(-1.0)
        if one.kind == "handle":
            assert up == pytest.approx(1.0)
        if one.kind == "latch":
            assert up == pytest.approx(0.0)
    right = box_of([shell.assembly.part("deep")], deep)
    left = box_of([shell.assembly.part("shallow")], shallow)
    assert right[0][0] - left[1][0] == pytest.approx(use.beside_mm)
    assert box_of([shell.assembly.part("door deep")], pose.move_of("door deep"))[1][0] > right[1][0]
    assert right[0][2] == pytest.approx(20.0)


def test_feet_are_four_to_a_half_where_halves_stand_by_themselves() -> None:
    """Common practice, no source: eight feet, four on each half, in two rows each."""
    shell, _ = made(hardware=use_kits.UPRIGHT)
    for half in ("deep", "shallow"):
        feet = [one for one in shell.hardware if one.kind == "foot" and one.parts == (half,)]
        assert len(feet) == 4
        assert len({round(one.centre_mm[2], 3) for one in feet}) == 2
    flat, _ = made()
    assert sum(one.kind == "foot" for one in flat.hardware) == 4


def test_a_half_too_shallow_for_two_rows_is_told() -> None:
    """Band of a half of 80 mm: 90 - (30 + 19 + 3) - (19 + 3) = 16; 38 + 3 - 16 = 25 are missing."""
    shell, _ = made(hardware=use_kits.UPRIGHT, depths_mm=(80.0, 80.0))
    (trouble,) = [one for one in shell.troubles if "two rows of feet" in one.what]
    assert trouble.short_mm == pytest.approx(25.0)
    assert sum(one.kind == "foot" for one in shell.hardware) == 4


def test_opened_doors_stop_at_what_is_wanted() -> None:
    """In use a door is shown as far open as is wanted, never farther than it goes."""
    swing = Swing("door", "deep", "left", (0.0, 0.0, 0.0), 1, 95.0, "handle", 3.0, 1)
    assert opened_deg(swing) == 95.0
    assert opened_deg(evolve(swing, most_deg=200.0)) == WANTED_DEG
