"""How long a cable must be so that it may stay plugged in while the case is opened and used.

A cable between two halves runs out of one over its rim and into the other. Where the lid is hinged
the two rims turn about one line; where it lifts off the halves stand beside each other, rim to rim
along one wall, with both walls and some room between them. Either way the cable needs the way from
its one end to that wall's rim, across, and from the other half's rim to its other end: enough for
every angle in between.
"""

from __future__ import annotations

import math

from attrs import frozen

from fitkit.fit.layout import Interior
from fitkit.foam.model import Point
from fitkit.payload.model import Payload
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Side
from fitkit.shell.cables.ends import Ray

SLACK = 0.1
"""Share of a cable's length that is added so that it is never taut (assumption)."""

BESIDE_MM = 50.0
"""Room left between two halves that stand open beside each other (assumption) [mm]."""


@frozen
class Opened:
    """How the two halves stand to each other when the case is open.

    ``side`` is the wall along whose rims cables cross, ``across_mm`` how far they run from rim to
    rim, ``words`` how the halves stand.
    """

    side: Side
    across_mm: float
    words: str


def opened(payload: Payload) -> Opened:
    """How this case stands open: by its lid and its use.

    >>> opened(Payload("kit", ())).across_mm
    70.0
    """
    hardware = payload.workshop.hardware
    walls = 2 * build_up_mm(payload.wall.profile)
    if hardware.lid == "hinged":
        return Opened("back", walls, "the lid turned open on its hinges")
    if hardware.use == "upright":
        return Opened(
            "right", walls + BESIDE_MM, f"the halves upright side by side, {BESIDE_MM:g} mm apart"
        )
    return Opened(
        "back", walls + BESIDE_MM, f"the halves flat side by side, {BESIDE_MM:g} mm apart"
    )


def rim_ray(
    interior: Interior, how: Opened, *, half: str, along_mm: float, thick_mm: float, run_mm: float
) -> Ray:
    """Where a cable leaves a half over its rim, as an end of its way: it arrives square to it.

    ``along_mm`` is the place along the rim, ``run_mm`` the straight run before it.
    """
    x, y, _ = interior.size_mm
    inset = thick_mm / 2
    at = (x - inset, along_mm) if how.side == "right" else (along_mm, y - inset)
    into = -1.0 if half != "shallow" else 1.0  # from the rim down into the half
    return Ray((at[0], at[1], interior.closing_mm), (0.0, 0.0, into), run_mm)


def best_along_mm(interior: Interior, how: Opened, one: Point, other: Point) -> float:
    """The place along the rim at which the way from end to end is shortest [mm].

    As the crow flies: both ends are turned down into the plane of the rim line, and the straight
    line between them crosses it there.
    """
    axis = 1 if how.side == "right" else 0
    across = 1 - axis
    wall = interior.size_mm[across]
    away = [
        math.hypot(wall - point[across], interior.closing_mm - point[2]) for point in (one, other)
    ]
    total = away[0] + away[1]
    share = away[0] / total if total > 0 else 0.5
    return one[axis] + (other[axis] - one[axis]) * share
