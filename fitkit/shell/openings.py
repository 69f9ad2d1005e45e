"""What hardware takes away: openings in panels, cut-outs in profiles, room inside, and its holes.

Everything follows from where the flange lies: a dish over a closing plane is half in each of two
panels, and cuts both closing profiles, without a case of its own.
"""

from __future__ import annotations

import math

import shapely
from attrs import evolve, frozen
from shapely import Polygon

from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Profile
from fitkit.payload.workshop import HardwareType, Side
from fitkit.shell.frame import (
    from_face,
    opposite,
    out_of,
    plane_mm,
    to_bar,
    to_face,
    to_panel,
    u_of,
)
from fitkit.shell.model import Assembly, Bar, BarCut, Fitted, Hole, Opening, Panel, Point, Room

DISH_PLAY_MM = 3.0
"""Room kept behind a dish [mm] (common practice, no source)."""

DISH_SIDE_MM = 5.0
"""Room kept around a dish's cut-out, each side [mm] (common practice, no source)."""

_LEAST_MM = 1e-6


@frozen
class Box:
    """The clear room inside, from corner to corner [mm]."""

    low_mm: Point
    high_mm: Point


def turned_size(size_mm: tuple[float, float], turn_deg: float) -> tuple[float, float]:
    """Width and height along u and v of what is turned by quarters.

    >>> turned_size((84.0, 68.0), 90.0)
    (68.0, 84.0)
    """
    width, height = size_mm
    return (height, width) if round(turn_deg) % 180 == 90 else (width, height)


def reach_in_mm(
    kind: HardwareType, side: Side, *, assembly: Assembly, box: Box, profile: Profile
) -> float:
    """How far a piece on ``side`` reaches into the interior [mm], 0 if it does not.

    The panel lies against the outer leaf ``f``, the interior begins ``T`` inside the outer face:
    f + depth - T, and 3 mm more behind a dish (common practice, no source).
    """
    if kind.depth_mm <= 0:
        return 0.0
    axis, sense = out_of(side)
    wall = box.high_mm[axis] if sense > 0 else box.low_mm[axis]
    thick = abs(plane_mm(assembly, side) - wall)
    play = DISH_PLAY_MM if kind.dish_mm is not None else 0.0
    return max(0.0, profile.outer_leaf_mm + kind.depth_mm + play - thick)


def room_of(
    kind: HardwareType, side: Side, centre_mm: Point, turn_deg: float, *, reach_mm: float, box: Box
) -> Room | None:
    """What a piece takes of the interior: its cut-out and 5 mm each side, as deep as it reaches.

    A piece without a dish that lies inside takes its flange's size. Only the share inside the
    interior is kept; None where there is none.
    """
    if reach_mm <= 0:
        return None
    edge = DISH_SIDE_MM if kind.dish_mm is not None else 0.0
    width, height = turned_size(kind.dish_mm or kind.flange_mm, turn_deg)
    axis, sense = out_of(side)
    across = u_of(side)[0]
    upright = 3 - axis - across
    half = {across: width / 2 + edge, upright: height / 2 + edge}
    low, high = [0.0] * 3, [0.0] * 3
    for one in range(3):
        if one == axis:
            low[one] = box.low_mm[one] if sense < 0 else box.high_mm[one] - reach_mm
            high[one] = box.high_mm[one] if sense > 0 else box.low_mm[one] + reach_mm
        else:
            low[one], high[one] = centre_mm[one] - half[one], centre_mm[one] + half[one]
        low[one], high[one] = max(low[one], box.low_mm[one]), min(high[one], box.high_mm[one])
        if high[one] - low[one] <= _LEAST_MM:
            return None
    return Room((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def openings_of(
    fitted: Fitted, kind: HardwareType, *, panels: tuple[Panel, ...]
) -> tuple[Opening, ...]:
    """The opening for a dish in each panel of its parts, clipped to the panel."""
    if kind.dish_mm is None:
        return ()
    width, height = turned_size(kind.dish_mm, fitted.turn_deg)
    corner = min(kind.dish_corner_mm, width / 2 - _LEAST_MM, height / 2 - _LEAST_MM)
    found = []
    for panel in panels:
        if panel.side != fitted.side or panel.part not in fitted.parts:
            continue
        u, v = to_panel(panel, fitted.centre_mm)
        dish = rectangle(
            width, height, corner_mm=max(0.0, corner), at=(u - width / 2, v - height / 2)
        )
        shape = shapely.intersection(dish, shapely.box(0, 0, panel.length_mm, panel.width_mm))
        if isinstance(shape, Polygon) and shape.area > _LEAST_MM:
            found.append(Opening(panel.name, fitted.name, shapely.normalize(shape)))
    return tuple(found)


def leaf_mm(bar: Bar, side: Side, *, assembly: Assembly, profile: Profile) -> float:
    """How far a profile's leaf reaches over a face [mm]: its leg, or its closing leaf.

    No farther than its part does: the frame of a flat part ends with it.
    """
    leaf = profile.leg_mm if bar.kind == "edge" else profile.closing_leaf_mm
    other = bar.sides[1] if side == bar.sides[0] else bar.sides[0]
    axis, part = out_of(other)[0], assembly.part(bar.part)
    return min(leaf, part.high_mm[axis] - part.low_mm[axis])


def has_leaf(bar: Bar, side: Side) -> bool:
    """Whether a profile has a leaf that one sees on a face: none on the closing plane."""
    return side in (bar.sides if bar.kind == "edge" else bar.sides[:1])


def bar_cuts_of(
    fitted: Fitted,
    kind: HardwareType,
    *,
    assembly: Assembly,
    bars: tuple[Bar, ...],
    profile: Profile,
) -> tuple[BarCut, ...]:
    """Where a dish cuts the leaves of its parts' profiles: from, to, and how deep."""
    if kind.dish_mm is None:
        return ()
    found = []
    corners = _corners(fitted, turned_size(kind.dish_mm, fitted.turn_deg))
    for bar in bars:
        if bar.part not in fitted.parts or not has_leaf(bar, fitted.side):
            continue
        ends = [to_bar(bar, point, fitted.side) for point in corners]
        start, end = min(one[0] for one in ends), max(one[0] for one in ends)
        near, far = min(one[1] for one in ends), max(one[1] for one in ends)
        start, end = max(start, 0.0), min(end, bar.length_mm)
        deep = min(far, leaf_mm(bar, fitted.side, assembly=assembly, profile=profile))
        if end - start > _LEAST_MM and deep - max(near, 0.0) > _LEAST_MM:
            found.append(BarCut(bar.name, fitted.name, fitted.side, start, end, deep))
    return tuple(found)


def _corners(fitted: Fitted, size_mm: tuple[float, float]) -> list[Point]:
    """The corners of a rectangle of that size around the piece's middle."""
    width, height = size_mm
    u, v = to_face(fitted.side, fitted.centre_mm)
    plane = fitted.centre_mm[out_of(fitted.side)[0]]
    return [
        from_face(fitted.side, (u + right * width / 2, v + up * height / 2), plane)
        for right in (-1, 1)
        for up in (-1, 1)
    ]


def holes_of(
    fitted: Fitted,
    kind: HardwareType,
    *,
    assembly: Assembly,
    panels: tuple[Panel, ...],
    bars: tuple[Bar, ...],
    profile: Profile,
) -> tuple[Hole, ...]:
    """The holes of a piece where they are drilled, with the panel and profiles that each meets.

    A leaf that is longer than a flat part is thick is bent over its edge: its holes then lie on
    that part's own face, as far in as the leaf reaches round.
    """
    u, v = to_face(fitted.side, fitted.centre_mm)
    plane = plane_mm(assembly, fitted.side)
    angle = math.radians(fitted.turn_deg)
    cos, sin = round(math.cos(angle)), round(math.sin(angle))
    leaves: dict[Side, list[tuple[Bar, float]]] = {}
    found = []
    for hole in kind.holes:
        right, up = hole.x_mm * cos - hole.y_mm * sin, hole.x_mm * sin + hole.y_mm * cos
        at = from_face(fitted.side, (u + right, v + up), plane)
        made = Hole(fitted.side, at, hole.diameter_mm, kind.fixing, fitted.name, ())
        made = _bent(made, assembly)
        if made.side not in leaves:
            leaves[made.side] = [
                (bar, leaf_mm(bar, made.side, assembly=assembly, profile=profile))
                for bar in bars
                if bar.part in fitted.parts and has_leaf(bar, made.side)
            ]
        found.append(evolve(made, pieces=_pieces(made, fitted, panels, leaves[made.side])))
    return tuple(found)


def _bent(hole: Hole, assembly: Assembly) -> Hole:
    """The hole on the face round the corner, if it lies beyond the case's outside."""
    away = out_of(hole.side)[0]
    for axis in range(3):
        low, high = assembly.low_mm[axis], assembly.high_mm[axis]
        over = max(low - hole.at_mm[axis], hole.at_mm[axis] - high)
        if axis == away or over <= _LEAST_MM:
            continue
        point = [*hole.at_mm]
        upper = hole.at_mm[axis] > high
        point[axis] = high if upper else low
        inwards = -out_of(hole.side)[1]
        point[away] += inwards * over
        side = next(
            side for side in _AROUND[hole.side] if out_of(side) == (axis, 1 if upper else -1)
        )
        return evolve(hole, side=side, at_mm=(point[0], point[1], point[2]))
    return hole


_ALL: tuple[Side, ...] = ("bottom", "top", "front", "back", "left", "right")
_AROUND: dict[Side, tuple[Side, ...]] = {
    side: tuple(one for one in _ALL if one not in (side, opposite(side))) for side in _ALL
}


def _pieces(
    hole: Hole, fitted: Fitted, panels: tuple[Panel, ...], leaves: list[tuple[Bar, float]]
) -> tuple[str, ...]:
    """Names of what the hole goes through, outermost first: a leaf, then the panel."""
    found = []
    for bar, leaf in leaves:
        along, away = to_bar(bar, hole.at_mm, hole.side)
        inside = -_LEAST_MM <= along <= bar.length_mm + _LEAST_MM
        if inside and -_LEAST_MM <= away <= leaf + _LEAST_MM:
            found.append(bar.name)
    for panel in panels:
        if panel.part in fitted.parts and panel.side == hole.side:
            u, v = to_panel(panel, hole.at_mm)
            if 0 <= u <= panel.length_mm and 0 <= v <= panel.width_mm:
                found.append(panel.name)
    return tuple(found)
