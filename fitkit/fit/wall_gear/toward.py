"""Gear that looks at a wall stands at that wall, with nothing in between."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from attrs import evolve

from fitkit.fit.arrange import Layout, arrange
from fitkit.fit.assign import Problem
from fitkit.fit.pieces import Margins, Spot, room_of
from fitkit.fit.wall_gear.pushing import NONE, Way, neighbours_of, pushed
from fitkit.payload.mounted import LOOKS_AT

NEAR_MM = 0.5
"""Gear this near to its wall counts as standing there [mm]."""

FINE_MM = 8.0
"""Up to this far from its wall gear is tried in steps of half a millimetre, then coarser [mm]."""

Holds = Callable[[Problem, Layout], bool]

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


def stood(problem: Problem, layout: Layout) -> Layout:
    """The layout with what looks at a wall standing at it, in a box as large as that needs.

    What is in the way is pushed back, away from the wall; of several places along the wall the one
    with the smallest case is taken. Gear that no place lets to its wall stays where it is.
    Same input, same answer.
    """
    for k, way in looking_at_walls(problem):
        if _to_wall_mm(problem, layout, k, way) <= NEAR_MM:
            continue
        best: Layout | None = None
        for spots in _at_wall(problem, layout, k, way):
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
    x0, y0, x1, y1 = room_of([(piece, layout.spots[number])], _margins(problem, layout))
    length, width = layout.size_mm[:2]
    return {(0, -1): y0, (0, 1): width - y1, (-1, 0): x0, (1, 0): length - x1}[way]


def _shifted(layout: Layout, number: int, way: Way, by_mm: float) -> Layout:
    spots = list(layout.spots)
    spots[number] = spots[number].shifted(way[0] * by_mm, way[1] * by_mm)
    return evolve(layout, spots=tuple(spots))


def _margins(problem: Problem, layout: Layout) -> Margins:
    return Margins.of(problem.payload, depth_mm=max(layout.elevation.depths_mm))


def _at_wall(problem: Problem, layout: Layout, number: int, way: Way) -> Iterator[list[Spot]]:
    """Spots with one item at its wall, in several places along it, and the others pushed back."""
    others = neighbours_of(problem, layout, number)
    far = _to_wall_mm(problem, layout, number, way)
    for along_mm in _places(problem, layout, number, others, axis=1 if way[0] else 0):
        move = (way[0] * far, along_mm) if way[0] else (along_mm, way[1] * far)
        spots = list(layout.spots)
        spots[number] = spots[number].shifted(*move)
        back = (-way[0], -way[1])
        yield pushed(problem, layout, spots, who=others, first=(), fixed=number, way=back)


def _places(
    problem: Problem, layout: Layout, number: int, others: Sequence[int], *, axis: int
) -> list[float]:
    """Shifts along the wall to try: none, to both ends, and beside each of the others [mm]."""
    seats, spots = layout.assignment.seats, layout.spots
    box = room_of([(seats[number].piece, spots[number])], _margins(problem, layout))
    low, high = box[axis], box[axis + 2]
    shifts = {0.0, -low, layout.size_mm[axis] - high}
    bare = room_of([(seats[number].piece, spots[number])], NONE)
    for k in others:
        other = room_of([(seats[k].piece, spots[k])], NONE)
        shifts.add(other[axis] - problem.web_mm - bare[axis + 2])
        shifts.add(other[axis + 2] + problem.web_mm - bare[axis])
    return sorted(
        (s for s in shifts if -low - 1e-9 <= s <= layout.size_mm[axis] - high + 1e-9),
        key=lambda s: (abs(s), s),
    )
