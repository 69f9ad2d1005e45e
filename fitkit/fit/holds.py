"""What may hold a dragged item in place, and the shift that meets it.

A *hold* is a distance that becomes exact: a *contact* (a moved outline and one that stays, exactly
the clearance apart) or a *line* (the shift along x or y has a value). Two holds fix a place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.fit.live import Table
from fitkit.fit.neighbours import keep_web, keep_web_from_zone, pad_short
from fitkit.geometry.shapes import moved

Vector = tuple[float, float]

EXACT_MM = 1e-5
"""A hold is met to this [mm]."""

MOST_STEPS = 12
"""Newton steps towards a hold before it is given up."""

LEAST_ANGLE = 0.15
"""Two holds whose directions are more alike than this (sine) do not fix a place."""

TOUCH, LINE_UP, GRID = 5, 2, 1
"""How strong holds are: contacts and walls, edges in line, and the grid."""


@frozen(eq=False)
class Line:
    """A hold: the shift along one axis is ``value_mm``."""

    axis: int
    value_mm: float
    name: str
    weight: int

    def miss(self, by: Vector) -> tuple[float, Vector] | None:
        """How far a shift misses the hold, and the direction in which that grows."""
        return by[self.axis] - self.value_mm, (1.0, 0.0) if self.axis == 0 else (0.0, 1.0)

    @property
    def by(self) -> Vector:
        """The shortest shift that meets it."""
        return (self.value_mm, 0.0) if self.axis == 0 else (0.0, self.value_mm)


@frozen(eq=False)
class Contact:
    """A hold: ``moving`` and ``still`` are ``keep_mm`` apart; ``by`` is a shift that meets it."""

    moving: BaseGeometry
    still: BaseGeometry
    keep_mm: float
    name: str
    weight: int = TOUCH
    by: Vector = (0.0, 0.0)

    def miss(self, by: Vector) -> tuple[float, Vector] | None:
        """As for a line; None where the two overlap, so that no direction is known."""
        line = shapely.shortest_line(self.still, moved(self.moving, by=by))
        (ax, ay), (bx, by_) = shapely.get_coordinates(line)
        gap = math.hypot(bx - ax, by_ - ay)
        if gap < 1e-9:
            return None
        # a hair more than asked, so that rounding never makes it less, or an overlap
        return gap - self.keep_mm - EXACT_MM / 2, ((bx - ax) / gap, (by_ - ay) / gap)


Hold = Line | Contact


def solved(some: Sequence[Hold], *, start: Vector, reach_mm: float) -> Vector | None:
    """A shift of at most ``reach_mm`` that meets one or two holds; None if none was found.

    Newton's steps from ``start``; two holds of almost one direction fix no place.
    """
    x, y = start
    for _ in range(MOST_STEPS):
        misses = [one.miss((x, y)) for one in some]
        known = [miss for miss in misses if miss is not None]
        if len(known) < len(misses):
            return None
        if max(abs(miss) for miss, _ in known) <= EXACT_MM / 2:
            return (x, y) if math.hypot(x, y) <= reach_mm else None
        if len(known) == 1:
            (miss, (nx, ny)) = known[0]
            x, y = x - miss * nx, y - miss * ny
        else:
            (m1, (ax, ay)), (m2, (bx, by)) = known
            sine = ax * by - ay * bx
            if abs(sine) < LEAST_ANGLE:
                return None
            x, y = x - (m1 * by - m2 * ay) / sine, y - (m2 * ax - m1 * bx) / sine
        if math.hypot(x, y) > 3 * reach_mm:
            return None
    return None


def between(table: Table, row: int, other: int) -> tuple[list[Contact], list[Contact]]:
    """The distances that two copies keep in plan, and bodies that may not overlap at all."""
    payload, keep = table.payload, table.payload.case.clearance.item_mm
    mine, theirs = table.placed[row], table.placed[other]
    body, still = table.bodies[row], table.bodies[other]
    webs, pads = [], []
    if keep_web(mine, theirs):
        webs.append(Contact(body, still, keep, theirs.label))
    elif pad_short(payload, mine, theirs):
        pads.append(Contact(body, still, 0.0, theirs.label))
    webs += [
        Contact(body, room.outline, keep, f"{theirs.label} {room.kind} zone")
        for room in theirs.rooms
        if keep_web_from_zone(mine, theirs, room.z0_mm, room.z1_mm)
    ]
    webs += [
        Contact(room.outline, still, keep, theirs.label)
        for room in mine.rooms
        if keep_web_from_zone(theirs, mine, room.z0_mm, room.z1_mm)
    ]
    return webs, pads
