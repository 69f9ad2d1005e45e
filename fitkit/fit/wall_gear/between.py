"""Gear that two opposite walls hold has nothing between it and them but its blocks or rails."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from attrs import evolve, frozen
from shapely import Polygon, box

from fitkit.fit.arrange import Layout, arrange
from fitkit.fit.assign import Problem
from fitkit.fit.pieces import Piece, Spot, apart
from fitkit.fit.wall_gear.pushing import ROUNDING_MM, Block, Way, neighbours_of, pushed
from fitkit.payload.boxes import face_size_mm
from fitkit.payload.faces import Face
from fitkit.payload.mounted import LOOKS_AT, pointing, supports_mm
from fitkit.payload.mounts import Mount

FAR_MM = 1e4
"""Longer than any case [mm]."""

SQUARE_DEG = 0.5
"""Blocks lie between an item and walls that its faces are square to, within this [deg]."""


@frozen
class Strips:
    """What reaches from one copy to two opposite walls: the places of blocks or rails in plan.

    ``axis`` is the one they run along (0: length), ``blocks`` whether they lie beside the item.
    """

    number: int
    axis: int
    outlines: tuple[Polygon, ...]
    blocks: bool


def strips_of(problem: Problem, layout: Layout) -> Iterator[Strips]:
    """The strips of every copy that walls hold, or whose rails or sub-panel they do.

    Not of those that are pinned, or stand askew, or whose faces or rails look up and down.
    """
    for k, (seat, spot) in enumerate(zip(layout.assignment.seats, layout.spots, strict=True)):
        mount = seat.piece.item.mount
        if mount is None or problem.pins[k] is not None:
            continue
        if mount.by == "walls":
            axis = _axis(mount.walls[0], seat.piece, spot)
            places: tuple[Polygon, ...] = (spot.body(seat.piece),)
        elif by_walls(mount):
            places = tuple(_supports(seat.piece, spot))
            axis = _axis(_run(mount), seat.piece, spot)
            if mount.by == "sub-panel" and not mount.upright:
                axis = _nearer(places[0], layout)
        else:
            continue
        if axis is not None:
            outlines = tuple(_from_wall_to_wall(place, axis) for place in places)
            yield Strips(k, axis, outlines, mount.by == "walls")


def _axis(face: Face, piece: Piece, spot: Spot) -> int | None:
    """The axis of the case that a face looks along; None if up or down, or askew."""
    x, y = pointing(face, piece.closed_up)
    if math.hypot(x, y) < 0.5:
        return None
    quarters = (math.degrees(math.atan2(y, x)) + spot.turn_deg) / 90.0
    square = abs(quarters - round(quarters)) * 90.0 <= SQUARE_DEG
    return round(quarters) % 2 if square else None


def by_walls(mount: Mount) -> bool:
    """Whether two walls hold an item, its rails or its sub-panel: so asked, or no panel is near."""
    if mount.by == "rails":
        return mount.rails.on == "walls" or mount.upright
    return mount.by == "walls" or mount.upright or mount.sub_panel.batten_mm is None


def _nearer(place: Polygon, layout: Layout) -> int:
    """The axis along which two walls are nearest to a sub-panel's edges."""
    x0, y0, x1, y1 = place.bounds
    return 0 if layout.size_mm[0] - (x1 - x0) <= layout.size_mm[1] - (y1 - y0) else 1


def _run(mount: Mount) -> Face:
    """A face at the end of the rails, or of an upright sub-panel."""
    if mount.by == "sub-panel" or mount.rails.run == "along":
        return "back" if mount.back in ("left", "right") else "right"
    return "back" if mount.back in ("top", "bottom") else "top"


def _supports(piece: Piece, spot: Spot) -> Iterator[Polygon]:
    """Rails or sub-panel behind an item in plan: the first of the zones that its mount adds."""
    item = piece.item
    assert item.mount is not None
    count = len(supports_mm(item.mount, face_mm=face_size_mm(item.mount.back, item.body)))
    yield from spot.rooms(piece)[len(item.zones) : len(item.zones) + count]


def _from_wall_to_wall(place: Polygon, axis: int) -> Polygon:
    x0, y0, x1, y1 = place.bounds
    return box(-FAR_MM, y0, FAR_MM, y1) if axis == 0 else box(x0, -FAR_MM, x1, FAR_MM)


def reserved(problem: Problem, layout: Layout) -> Layout:
    """The layout with the strips free in which blocks or rails reach from gear to two walls.

    What stands there is pushed aside, to the one side or the other, in a box as large as that
    needs; of these the smallest is taken. Same input, same answer.
    """
    for number in [strips.number for strips in strips_of(problem, layout)]:
        found = (one for one in strips_of(problem, layout) if one.number == number)
        strips = next(found, None)
        if strips is None or _free(problem, layout, strips):
            continue
        best: Layout | None = None
        for spots in _aside(problem, layout, strips):
            made = arrange(problem, layout.assignment, spots)
            if made is not None and made.score.better_than(best.score if best else None):
                best = made
        layout = best or layout
    return layout


def strips_free(problem: Problem, layout: Layout) -> bool:
    """Whether nothing stands between gear and the walls that hold it, or over its rails."""
    return all(_free(problem, layout, strips) for strips in strips_of(problem, layout))


def centred(
    problem: Problem, layout: Layout, *, holds: Callable[[Problem, Layout], bool]
) -> Layout:
    """The layout with gear half-way between the walls that hold it, where ``holds`` lets it."""
    for strips in [one for one in strips_of(problem, layout) if one.blocks]:
        k, axis = strips.number, strips.axis
        x0, y0, x1, y1 = layout.spots[k].body(layout.assignment.seats[k].piece).bounds
        off = (layout.size_mm[axis] - ((x0 + x1), (y0 + y1))[axis]) / 2
        if abs(off) < 0.25:
            continue
        spots = list(layout.spots)
        spots[k] = spots[k].shifted(*((off, 0.0) if axis == 0 else (0.0, off)))
        tried = evolve(layout, spots=tuple(spots))
        if holds(problem, tried):
            layout = tried
    return layout


def _free(problem: Problem, layout: Layout, strips: Strips) -> bool:
    others = neighbours_of(problem, layout, strips.number)
    bodies = [layout.spots[k].body(layout.assignment.seats[k].piece) for k in others]
    keep = max(0.0, problem.web_mm - ROUNDING_MM)
    return all(apart(outline, bodies, keep_mm=keep) for outline in strips.outlines)


def _aside(problem: Problem, layout: Layout, strips: Strips) -> Iterator[list[Spot]]:
    """Spots with one item's strips free: each to its own side, all to one, all to the other."""
    number, axis = strips.number, strips.axis
    others = neighbours_of(problem, layout, number)
    seats, spots = layout.assignment.seats, layout.spots
    across = 1 - axis

    def middle(k: int) -> float:
        bounds = spots[k].body(seats[k].piece).bounds
        return float(bounds[across] + bounds[across + 2]) / 2

    here = middle(number)
    first = (Block((), strips.outlines),)
    up: Way = (0, 1) if axis == 0 else (1, 0)
    down: Way = (-up[0], -up[1])
    sides: tuple[set[int], ...] = (
        {k for k in others if middle(k) < here},
        set(),
        set(others),
    )
    mount = seats[number].piece.item.mount
    if mount is not None and mount.upright:  # nothing goes between it and its wall
        sides = (sides[1 if LOOKS_AT[mount.faces] in ("front", "left") else 2],)
    for low in sides:
        high = [k for k in others if k not in low]
        made = pushed(problem, layout, spots, who=high, first=first, fixed=number, way=up)
        yield pushed(problem, layout, made, who=low, first=first, fixed=number, way=down)
