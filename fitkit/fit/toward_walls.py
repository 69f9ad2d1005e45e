"""Gear that looks at a wall stands at that wall, with nothing in between.

The engines keep the room free that such gear asks for before its front, but know nothing of walls:
they may leave it in the middle of the case. Here it is set to its wall, what is in its way is
pushed back, and the case grows where it must.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from attrs import evolve

from fitkit.fit.arrange import Layout, arrange
from fitkit.fit.assign import Problem
from fitkit.fit.pieces import Margins, Piece, Spot, apart, room_of
from fitkit.fit.stacking import conflicts, linked
from fitkit.payload.mounted import LOOKS_AT

NEAR_MM = 0.5
"""Gear this near to its wall counts as standing there [mm]."""

FINE_MM = 8.0
"""Up to this far from its wall gear is tried in steps of half a millimetre, then coarser [mm]."""

ROUNDING_MM = 5e-7
"""By how much less than the web two items may lie apart [mm]: half of what the check allows."""

Holds = Callable[[Problem, Layout], bool]

Way = tuple[int, int]

_WAYS: dict[str, Way] = {"front": (0, -1), "back": (0, 1), "left": (-1, 0), "right": (1, 0)}


def looking_at_walls(problem: Problem) -> tuple[tuple[int, Way], ...]:
    """The copies (by index) that look at a wall and may move, with the way to it in plan."""
    found = []
    for k, ((item, _), pin) in enumerate(zip(problem.copies, problem.pins, strict=True)):
        if item.mount is not None and item.mount.upright and pin is None:
            found.append((k, _WAYS[LOOKS_AT[item.mount.faces]]))
    return tuple(found)


def slid(problem: Problem, layout: Layout, *, holds: Holds) -> Layout:
    """The layout with what looks at a wall as near to it as ``holds`` lets it slide.

    The box and everything else stay as they are. Same input, same answer.
    """
    for k, way in looking_at_walls(problem):
        far = _to_wall_mm(problem, layout, k, way)
        tried = (_shifted(layout, k, way, far - left) for left in _lefts(far))
        layout = next((one for one in tried if holds(problem, one)), layout)
    return layout


def brought(problem: Problem, layout: Layout, *, holds: Holds) -> Layout:
    """The layout with what looks at a wall standing at it: :func:`stood`, then :func:`slid`."""
    return slid(problem, stood(problem, layout), holds=holds)


def stood(problem: Problem, layout: Layout) -> Layout:
    """The layout with what looks at a wall standing at it, in a box as large as that needs.

    What is in the way is pushed back, away from the wall; of several places along the wall the one
    with the smallest case is taken. Gear that no place lets to its wall stays where it is, and so
    does everything where something is pinned. Same input, same answer.
    """
    if any(pin is not None for pin in problem.pins):
        return layout
    for k, way in looking_at_walls(problem):
        if _to_wall_mm(problem, layout, k, way) <= NEAR_MM:
            continue
        best: Layout | None = None
        for spots in _pushed(problem, layout, k, way):
            made = arrange(problem, layout.assignment, spots)
            if made is not None and made.score.better_than(best.score if best else None):
                best = made
        layout = best or layout
    return layout


def _lefts(far_mm: float) -> Iterator[float]:
    """What may be left to the wall, least first [mm]."""
    left = 0.0
    while far_mm - left >= NEAR_MM / 2:
        yield left
        left = left + NEAR_MM if left < FINE_MM else left * 1.25


def _to_wall_mm(problem: Problem, layout: Layout, number: int, way: Way) -> float:
    """How far an item with all it asks for stands from the wall that lies that way [mm]."""
    piece = layout.assignment.seats[number].piece
    margins = _margins(problem, layout)
    x0, y0, x1, y1 = room_of([(piece, layout.spots[number])], margins)
    length, width = layout.size_mm[:2]
    return {(0, -1): y0, (0, 1): width - y1, (-1, 0): x0, (1, 0): length - x1}[way]


def _shifted(layout: Layout, number: int, way: Way, by_mm: float) -> Layout:
    spots = list(layout.spots)
    spots[number] = spots[number].shifted(way[0] * by_mm, way[1] * by_mm)
    return evolve(layout, spots=tuple(spots))


def _margins(problem: Problem, layout: Layout) -> Margins:
    return Margins.of(problem.payload, depth_mm=max(layout.elevation.depths_mm))


def _pushed(problem: Problem, layout: Layout, number: int, way: Way) -> Iterator[list[Spot]]:
    """Spots with one item at its wall, in several places along it, and the others pushed back.

    They keep the web from each other; the box is not looked at.
    """
    assignment = layout.assignment
    seats = assignment.seats
    (levels,) = (group for group in linked(problem, assignment) if seats[number].level in group)
    group = [k for level in levels for k in assignment.of_level(level)]
    pairs = conflicts(problem, assignment)
    axis, sense = (0, way[0]) if way[0] else (1, way[1])
    own = layout.spots[number]
    at_wall = _to_wall_mm(problem, layout, number, way) * sense
    for across_mm in _places(problem, layout, number, group, axis=1 - axis):
        move = (at_wall, across_mm) if axis == 0 else (across_mm, at_wall)
        spots = list(layout.spots)
        spots[number] = own.shifted(*move)
        done = [number]
        others = [k for k in group if k != number]
        for k in sorted(
            others, key=lambda k: (-sense * _middle(seats[k].piece, spots[k], axis), k)
        ):
            against = [(seats[j].piece, spots[j]) for j in done if (min(j, k), max(j, k)) in pairs]
            spots[k] = _clear(seats[k].piece, spots[k], against, way, problem.web_mm)
            done.append(k)
        yield spots


def _places(
    problem: Problem, layout: Layout, number: int, group: Sequence[int], *, axis: int
) -> list[float]:
    """Shifts along the wall to try: none, to both ends, and beside each of the others [mm]."""
    margins = _margins(problem, layout)
    seats, spots = layout.assignment.seats, layout.spots
    box = room_of([(seats[number].piece, spots[number])], margins)
    low, high = box[axis], box[axis + 2]
    shifts = {0.0, -low, layout.size_mm[axis] - high}
    bare = room_of([(seats[number].piece, spots[number])], Margins(0.0, 0.0))
    for k in group:
        if k != number:
            other = room_of([(seats[k].piece, spots[k])], Margins(0.0, 0.0))
            shifts.add(other[axis] - problem.web_mm - bare[axis + 2])
            shifts.add(other[axis + 2] + problem.web_mm - bare[axis])
    return sorted(
        (s for s in shifts if -low - 1e-9 <= s <= layout.size_mm[axis] - high + 1e-9),
        key=lambda s: (abs(s), s),
    )


def _middle(piece: Piece, spot: Spot, axis: int) -> float:
    box = spot.body(piece).bounds
    return (box[axis] + box[axis + 2]) / 2


def _clear(
    piece: Piece, spot: Spot, against: Sequence[tuple[Piece, Spot]], way: Way, web_mm: float
) -> Spot:
    """The spot moved away from a wall until the piece keeps the web from all ``against``."""
    keep = web_mm - ROUNDING_MM if web_mm > 0 else 0.0

    def free(at: Spot) -> bool:
        body, rooms = at.body(piece), at.rooms(piece)
        bodies = [place.body(other) for other, place in against]
        zones = [room for other, place in against for room in place.rooms(other)]
        return apart(body, [*bodies, *zones], keep_mm=keep) and all(
            apart(room, bodies, keep_mm=keep) for room in rooms
        )

    if not against or free(spot):
        return spot
    axis, sense = (0, way[0]) if way[0] else (1, way[1])
    own = room_of([(piece, spot)], Margins(0.0, 0.0))
    all_of = room_of(against, Margins(0.0, 0.0))
    # past everything that stands there nothing can be in the way
    far = (own[axis + 2] - all_of[axis]) if sense > 0 else (all_of[axis + 2] - own[axis])
    near, far = 0.0, far + keep + 1.0
    while far - near > 0.05:
        half = (near + far) / 2
        if free(spot.shifted(-way[0] * half, -way[1] * half)):
            far = half
        else:
            near = half
    return spot.shifted(-way[0] * far, -way[1] * far)
