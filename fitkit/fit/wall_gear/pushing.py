"""Pieces pushed out of the way: one after the other, no farther than the web asks for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from attrs import frozen
from shapely import Polygon

from fitkit.fit.arrange import Layout
from fitkit.fit.assign import Problem
from fitkit.fit.pieces import Margins, Piece, Spot, apart, room_of
from fitkit.fit.stacking import conflicts, linked

ROUNDING_MM = 5e-7
"""By how much less than the web two items may lie apart [mm]: half of what the check allows."""

FINE_MM = 0.05
"""How closely the least push is looked for [mm]."""

NONE = Margins(0.0, 0.0)
"""No room beside bodies and zones."""

Way = tuple[int, int]
"""A way in plan along one side of the case."""


@frozen
class Block:
    """What is in the way: bodies keep the web from it, and so do zones from its ``solid`` part."""

    solid: tuple[Polygon, ...]
    zones: tuple[Polygon, ...] = ()

    @classmethod
    def of(cls, piece: Piece, spot: Spot) -> Block:
        """A piece where it stands."""
        return cls((spot.body(piece),), tuple(spot.rooms(piece)))


def neighbours_of(problem: Problem, layout: Layout, number: int) -> list[int]:
    """The other copies (by index) on levels that hold that copy's level in place."""
    assignment = layout.assignment
    level = assignment.seats[number].level
    (levels,) = (group for group in linked(problem, assignment) if level in group)
    return [k for one in levels for k in assignment.of_level(one) if k != number]


def pushed(
    problem: Problem,
    layout: Layout,
    spots: Sequence[Spot],
    *,
    who: Iterable[int],
    first: Sequence[Block],
    fixed: int,
    way: Way,
) -> list[Spot]:
    """``spots`` with the copies ``who`` pushed that way until they keep the web.

    They keep it from ``first``, from the copy ``fixed``, and from each other; who stands nearest to
    where the push comes from goes first. The box is not looked at.
    """
    seats, pairs = layout.assignment.seats, conflicts(problem, layout.assignment)
    axis, sense = (0, way[0]) if way[0] else (1, way[1])
    made, done = list(spots), [fixed]

    def rank(k: int) -> tuple[float, int]:
        box = spots[k].body(seats[k].piece).bounds
        return sense * (box[axis] + box[axis + 2]) / 2, k

    for k in sorted(who, key=rank):
        known = [Block.of(seats[j].piece, made[j]) for j in done if (min(j, k), max(j, k)) in pairs]
        made[k] = _cleared(seats[k].piece, made[k], [*first, *known], way, problem.web_mm)
        done.append(k)
    return made


def _cleared(piece: Piece, spot: Spot, against: Sequence[Block], way: Way, web_mm: float) -> Spot:
    """The spot moved that way until the piece keeps the web from all ``against``."""
    keep = web_mm - ROUNDING_MM if web_mm > 0 else 0.0
    bodies = [one for block in against for one in block.solid]
    zones = [one for block in against for one in block.zones]

    def free(at: Spot) -> bool:
        body, rooms = at.body(piece), at.rooms(piece)
        return apart(body, [*bodies, *zones], keep_mm=keep) and all(
            apart(room, bodies, keep_mm=keep) for room in rooms
        )

    if free(spot):
        return spot
    axis, sense = (0, way[0]) if way[0] else (1, way[1])
    own = room_of([(piece, spot)], NONE)
    boxes = [shape.bounds for shape in (*bodies, *zones)]
    # past everything that stands there nothing can be in the way
    if sense > 0:
        far = max(box[axis + 2] for box in boxes) - own[axis]
    else:
        far = own[axis + 2] - min(box[axis] for box in boxes)
    near, far = 0.0, far + keep + 1.0
    while far - near > FINE_MM:
        half = (near + far) / 2
        if free(spot.shifted(way[0] * half, way[1] * half)):
            far = half
        else:
            near = half
    return spot.shifted(way[0] * far, way[1] * far)
