"""Equal circles in the least square: what the polish closes up against known optima.

Least sides over the radius, from memory: 4 circles 4, 5 circles 2 + 2 sqrt 2
(all proven; widely printed tables of circles in a square).
"""

from __future__ import annotations

import math

import pytest

from fitkit.fit.arrange import arrange
from fitkit.fit.assign import Assignment, problem_of
from fitkit.fit.pieces import Spot
from fitkit.fit.polish.finish import holds
from fitkit.fit.polish.whole import compacted
from fitkit.geometry.shapes import circle
from fitkit.payload.model import Body, CaseWishes, Clearance, Item, Payload, Section

RADIUS, WALL = 50.0, 100.0


@pytest.mark.parametrize(
    ("corners", "share"),
    [
        ([(0, 0), (120, 9), (-7, 130), (125, 122)], 4.0),
        ([(0, 0), (170, 12), (-8, 165), (160, 172), (82, 90)], 2 + 2 * math.sqrt(2)),
    ],
)
def test_circles_close_up_to_the_least_square(
    corners: list[tuple[float, float]], share: float
) -> None:
    """From a loose start the square gets as small as published, rounded up to whole millimetres."""
    count = len(corners)
    can = Item("can", Body((Section(circle(RADIUS, at=(RADIUS, RADIUS)), 0.0, 10.0),)), count=count)
    clear = Clearance(item_mm=0.0, wall_mm=WALL)
    wishes = CaseWishes(objective="longest", clearance=clear)
    problem = problem_of(Payload("cans", (can,), case=wishes), objective="longest", pins={})
    seats = tuple(problem.seat(0, poses[0]) for poses in problem.options)
    spots = [Spot(0.0, float(x), float(y)) for x, y in corners]
    layout = arrange(problem, Assignment(seats), spots)
    assert layout is not None
    closed = compacted(problem, layout)
    side = max(closed.size_mm[:2]) - 2 * WALL
    assert holds(problem, closed)
    assert share * RADIUS - 1e-3 <= side <= math.ceil(share * RADIUS + 0.05)
