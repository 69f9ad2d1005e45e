"""How far doors and hinged lids swing open, and what stops them.

Seen along the hinge's pin: the door is a rectangle that turns about the pin; all else stands still:
the body, hardware that stands out beside the hinge, the ground. The pin lies half of what the hinge
stands out before the outer face, at the closing plane (assumption).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from fitkit.payload.hardware import type_named
from fitkit.payload.model import Payload
from fitkit.payload.workshop import Side
from fitkit.shell.closings import Closing, closings_of
from fitkit.shell.frame import out_of, plane_mm, u_of
from fitkit.shell.model import Fitted, Part, Point, Shell
from fitkit.shell.stance import ground_side, side_by_side

WANTED_DEG = 110.0
"""How far a door or a hinged lid must open to stay so and to reach in behind it (assumption)."""

MOST_DEG = 270.0
STEP_DEG = 1.0
_TOUCH_MM2 = 0.01
_SEEN = ("handle", "latch", "door latch", "foot", "castor", "brace")


@frozen
class Swing:
    """How a door or lid swings: about which side of its body, how far, and what stops it.

    ``most_deg`` is how far it opens, ``stop`` what it then meets (empty: nothing up to 270
    degrees). ``short_mm`` is what is missing for :data:`WANTED_DEG`: by so much the stop stands out
    too far (0 where it opens that far). ``pin_mm`` is a point of the pin in the closed case,
    ``axis`` the axis along which it lies.
    """

    part: str
    body: str
    side: Side
    pin_mm: Point
    axis: int
    most_deg: float
    stop: str
    short_mm: float
    sense: int

    @property
    def opens(self) -> bool:
        """Whether it opens as far as is wanted."""
        return self.most_deg >= WANTED_DEG - 1e-6


@frozen
class Obstacle:
    """What a door may meet, seen along the pin, and which way it would have to give way."""

    name: str
    shape: Polygon
    way: tuple[float, float]


def swings_of(payload: Payload, shell: Shell) -> tuple[Swing, ...]:
    """Every hinged door and lid that has hinges, and how far it opens where it stands in use."""
    found = []
    for closing in closings_of(shell.assembly):
        hinges = _hinges(shell, closing)
        if hinges:
            found.append(_swing(payload, shell, closing, hinges))
    return tuple(found)


def _hinges(shell: Shell, closing: Closing) -> list[Fitted]:
    parts = {closing.body.name, closing.lid.name}
    return [one for one in shell.hardware if one.kind == "hinge" and set(one.parts) == parts]


def _swing(payload: Payload, shell: Shell, closing: Closing, hinges: Sequence[Fitted]) -> Swing:
    side = hinges[0].side
    kind = type_named(payload, "hinge", hinges[0].type)
    away = kind.stands_mm / 2
    normal, out = out_of(side)
    axis = 3 - normal - closing.axis
    pin = [0.0, 0.0, 0.0]
    pin[normal] = plane_mm(shell.assembly, side) + out * away
    pin[closing.axis] = closing.split.at_mm
    pin[axis] = (closing.lid.low_mm[axis] + closing.lid.high_mm[axis]) / 2
    door = door_shape(closing, side)
    obstacles = obstacles_of(payload, shell, closing, side)
    most, stop = _farthest(door, obstacles, away)
    short = 0.0
    if most < WANTED_DEG - 1e-6 and stop is not None:
        short = _short_mm(door, stop, away)
    return Swing(
        part=closing.lid.name,
        body=closing.body.name,
        side=side,
        pin_mm=(pin[0], pin[1], pin[2]),
        axis=axis,
        most_deg=most,
        stop="" if stop is None else stop.name,
        short_mm=short,
        sense=_sense(closing, side, axis),
    )


def _sense(closing: Closing, side: Side, axis: int) -> int:
    """Whether opening is a turn counter-clockwise about the axis, seen against it: +1, or -1.

    From the pin the door lies inwards; opening turns inwards towards the way out of the body.
    """
    normal, out = out_of(side)
    first, second = ((1, 2), (2, 0), (0, 1))[axis]
    inwards, outwards = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
    inwards[normal] = -float(out)
    outwards[closing.axis] = float(closing.sense)
    turn = inwards[first] * outwards[second] - inwards[second] * outwards[first]
    return 1 if turn > 0 else -1


def door_shape(closing: Closing, side: Side) -> Polygon:
    """The closed door seen along its pin: p inwards from the hinge's face, q out of the body."""
    normal, _ = out_of(side)
    wide = closing.lid.high_mm[normal] - closing.lid.low_mm[normal]
    thick = closing.lid.high_mm[closing.axis] - closing.lid.low_mm[closing.axis]
    return shapely.box(0.0, 0.0, wide, thick)


def opened(door: BaseGeometry, by_deg: float, *, pin_mm: float) -> BaseGeometry:
    """The door turned open about its pin, ``pin_mm`` before the hinge's face."""
    return rotate(door, by_deg, origin=(-pin_mm, 0.0))


def obstacles_of(
    payload: Payload, shell: Shell, closing: Closing, side: Side
) -> tuple[Obstacle, ...]:
    """The body, what stands out beside the hinge, and the ground, as seen along the pin."""
    normal, _ = out_of(side)
    body, lid = closing.body, closing.lid
    deep = body.high_mm[closing.axis] - body.low_mm[closing.axis]
    wide = body.high_mm[normal] - body.low_mm[normal]
    found = [Obstacle(body.name, shapely.box(0.0, -deep, wide, 0.0), (0.0, -1.0))]
    for one in shell.hardware:
        if one.side != side or one.kind not in _SEEN or lid.name in one.parts:
            continue
        box = _stands(payload, closing, one, side)
        if box is not None:
            found.append(Obstacle(one.name, box, (1.0, 0.0)))
    ground = _ground(payload, shell, closing, side, lid)
    return tuple(found) if ground is None else (*found, ground)


def _stands(payload: Payload, closing: Closing, one: Fitted, side: Side) -> Polygon | None:
    """What a piece takes beside the hinge's face, if it lies where the door swings."""
    stands = type_named(payload, one.kind, one.type).stands_mm
    normal, _ = out_of(side)
    axis = 3 - normal - closing.axis
    half = _half_mm(one, side, axis)
    middle = one.centre_mm[axis]
    if stands <= 0 or middle + half <= closing.lid.low_mm[axis] or (
        middle - half >= closing.lid.high_mm[axis]
    ):  # fmt: skip
        return None
    reach = _half_mm(one, side, closing.axis)
    q = closing.sense * (one.centre_mm[closing.axis] - closing.split.at_mm)
    return shapely.box(-stands, q - reach, 0.0, q + reach)


def _half_mm(one: Fitted, side: Side, axis: int) -> float:
    return one.size_mm[0 if u_of(side)[0] == axis else 1] / 2


def _ground(
    payload: Payload, shell: Shell, closing: Closing, side: Side, lid: Part
) -> Obstacle | None:
    """The table as a half-plane, where the pin lies level above it."""
    under = _under(payload, shell, closing)
    normal, _ = out_of(side)
    axis, out = out_of(under)
    if axis not in (normal, closing.axis):
        return None
    feet = feet_mm(payload, shell, under)
    far = 1e4
    if axis == closing.axis:
        if out != closing.sense:
            return None
        thick = lid.high_mm[closing.axis] - lid.low_mm[closing.axis]
        table = shapely.box(-far, thick + feet, far, far)
        return Obstacle("the ground", table, (0.0, 1.0))
    if under == side:
        return Obstacle("the ground", shapely.box(-far, -far, -feet, far), (-1.0, 0.0))
    wide = lid.high_mm[normal] - lid.low_mm[normal]
    return Obstacle("the ground", shapely.box(wide + feet, -far, far, far), (1.0, 0.0))


def _under(payload: Payload, shell: Shell, closing: Closing) -> Side:
    """The face on which the body stands in use: its back where halves lie open, flat."""
    ground = ground_side(payload, shell.assembly)
    apart = payload.workshop.hardware.lid == "lift off" and payload.case.form != "tray"
    if apart and not side_by_side(payload) and closing.body.name == "shallow":
        return "top"
    return ground


def feet_mm(payload: Payload, shell: Shell, side: Side) -> float:
    """How far feet or castors hold the case off the ground on that side [mm]."""
    return max(
        (
            type_named(payload, one.kind, one.type).stands_mm
            for one in shell.hardware
            if one.side == side and one.kind in ("foot", "castor")
        ),
        default=0.0,
    )


def _farthest(
    door: Polygon, obstacles: Sequence[Obstacle], pin: float
) -> tuple[float, Obstacle | None]:
    """How far it opens [deg], and what it meets then."""
    angle = 0.0
    while angle < MOST_DEG:
        after = min(MOST_DEG, angle + STEP_DEG)
        stop = _met(door, obstacles, after, pin)
        if stop is not None:
            low, high = angle, after
            for _ in range(12):
                middle = (low + high) / 2
                found = _met(door, obstacles, middle, pin)
                low, high, stop = (middle, high, stop) if found is None else (low, middle, found)
            return low, stop
        angle = after
    return MOST_DEG, None


def _met(
    door: Polygon, obstacles: Sequence[Obstacle], by_deg: float, pin: float
) -> Obstacle | None:
    moved = opened(door, by_deg, pin_mm=pin)
    return next((one for one in obstacles if moved.intersection(one.shape).area > _TOUCH_MM2), None)


def _short_mm(door: Polygon, stop: Obstacle, pin: float) -> float:
    """By how much less the stop would have to stand out for the wanted angle [mm]."""
    steps = math.ceil(WANTED_DEG / STEP_DEG)
    angles = [k * WANTED_DEG / steps for k in range(1, steps + 1)]
    swept = [opened(door, angle, pin_mm=pin) for angle in angles]
    low, high = 0.0, 2e3
    for _ in range(24):
        middle = (low + high) / 2
        given = shapely.affinity.translate(stop.shape, stop.way[0] * middle, stop.way[1] * middle)
        free = not any(one.intersection(given).area > _TOUCH_MM2 for one in swept)
        low, high = (low, middle) if free else (middle, high)
    return high
