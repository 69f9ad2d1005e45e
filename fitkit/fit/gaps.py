"""How far a placed item is from its neighbours, with the witness line of each gap.

A gap is judged against the clearance that the builder asked for:

- ``fails``: smaller than the clearance;
- ``tight``: it holds as measured, but not when both measurements are off by their uncertainty;
- ``ok``: it holds even then.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import Placement
from fitkit.fit.move import Key, PlanBox, key_of
from fitkit.fit.neighbours import heights_overlap, keep_web, keep_web_from_zone, pad_mm, pad_short
from fitkit.fit.place import Placed, place_all
from fitkit.geometry.shapes import moved
from fitkit.payload.model import Payload
from fitkit.payload.pose import Room

GapKind = Literal["item", "pad", "wall", "zone"]
GapVerdict = Literal["ok", "tight", "fails"]
Way = Literal["right", "left", "back", "front"]

TOLERANCE_MM = 0.01
"""Gaps are judged to this; the figures of a plan are exact to it [mm]."""

FAR = 6.0
"""Gaps of more than so many clearances are not shown: nobody asks for them."""

WAYS: dict[Way, tuple[float, float]] = {
    "right": (1.0, 0.0),
    "left": (-1.0, 0.0),
    "back": (0.0, 1.0),
    "front": (0.0, -1.0),
}


@frozen
class Gap:
    """The distance between an item and a neighbour, seen from above.

    ``left`` and ``right`` are labels (``right`` may be "left wall" and so on); ``gap_mm`` is 0
    where they touch or overlap, ``limit_mm`` the clearance asked for. The witness line runs from
    ``a_mm`` on ``left`` to ``b_mm`` on ``right``. For the kind ``zone`` it is the distance of one's
    body to a zone of the other, for which the channel in the foam needs a web too. For the kind
    ``pad`` it is the height between two bodies that lie above each other; its line is a point.
    """

    left: Key
    right: Key | str
    kind: GapKind
    names: tuple[str, str]
    gap_mm: float
    limit_mm: float
    verdict: GapVerdict
    a_mm: tuple[float, float]
    b_mm: tuple[float, float]

    @property
    def overlaps(self) -> bool:
        """Do the two bodies, or a body and a zone, share room?"""
        return self.gap_mm <= 0.0 and self.kind != "pad"


@frozen
class WayOut:
    """The shortest straight move that gives an item its clearances: which way, and how far [mm]."""

    way: Way
    by_mm: float


def gaps_of(
    payload: Payload, placements: tuple[Placement, ...], key: Key, *, box: PlanBox, most: int = 4
) -> tuple[Gap, ...]:
    """The gaps of one item worth showing: all that fail, and the nearest others in plain sight.

    ``box`` is the interior seen from above. Of the gaps that hold, at most ``most`` are given,
    nearest first, and none whose witness line crosses a third item. KeyError if ``key`` is not
    placed.
    """
    placed = place_all(payload, placements)
    mine = _find(placed, key)
    others = [other for other in placed if other is not mine and _concern(payload, mine, other)]
    gaps = [gap for other in others for gap in pair_gaps(payload, mine, other)]
    gaps += wall_gaps(payload, mine, box)
    failing = [gap for gap in gaps if gap.verdict == "fails"]
    holding = sorted((gap for gap in gaps if gap.verdict != "fails"), key=lambda gap: gap.gap_mm)
    seen = [gap for gap in holding if gap.gap_mm <= FAR * gap.limit_mm and _in_sight(gap, others)]
    return tuple(sorted(failing, key=lambda gap: gap.gap_mm) + seen[:most])


def failing_gaps(payload: Payload, placements: tuple[Placement, ...]) -> tuple[Gap, ...]:
    """Every pair of items that is too close or overlaps, and every body that stands in a zone."""
    placed = place_all(payload, placements)
    found = []
    for i, one in enumerate(placed):
        for other in placed[i + 1 :]:
            if _near(payload, one, other) and _concern(payload, one, other):
                found += [gap for gap in pair_gaps(payload, one, other) if gap.verdict == "fails"]
    return tuple(found)


def way_out(payload: Payload, placements: tuple[Placement, ...], key: Key) -> WayOut | None:
    """The shortest move to the right, left, back or front that clears all the item's neighbours.

    Walls do not stand in the way: the interior follows the items. None if nothing is too close.
    The move is rounded up to 0.1 mm.
    """
    placed = place_all(payload, placements)
    mine = _find(placed, key)
    others = [other for other in placed if other is not mine and _concern(payload, mine, other)]
    if not any(gap.verdict == "fails" for o in others for gap in pair_gaps(payload, mine, o)):
        return None
    ways = [WayOut(way, _clear_by(payload, mine, others, step)) for way, step in WAYS.items()]
    return min(ways, key=lambda out: out.by_mm)


def _clear_by(
    payload: Payload, mine: Placed, others: list[Placed], step: tuple[float, float]
) -> float:
    """How far ``mine`` goes along ``step`` until it is clear; it never steps past a first fit."""
    body, clear = mine.silhouette, payload.case.clearance
    keep_off: list[tuple[BaseGeometry, BaseGeometry, float]] = []
    for other in others:
        theirs = other.silhouette
        if keep_web(mine, other):
            keep_off.append((body, theirs, clear.item_mm))
        elif pad_short(payload, mine, other):
            keep_off.append((body, theirs, 0.0))
        for owner, guest in ((other, mine), (mine, other)):
            for room in owner.rooms:
                if keep_web_from_zone(guest, owner, room.z0_mm, room.z1_mm):
                    pair = (body, room.outline) if guest is mine else (room.outline, theirs)
                    keep_off.append((*pair, clear.item_mm))
    runs = [_run(moving, keep_off, step) for moving in dict.fromkeys(id(a) for a, _, _ in keep_off)]
    gone = 0.0
    while True:
        by = (gone * step[0], gone * step[1])
        short = max((_short(moved(a, by=by), b, c) for a, b, c in runs), default=0.0)
        if short <= 0.0:
            return float(np.ceil(gone * 10 - 1e-6) / 10)
        gone += max(short, 0.1)


def _run(
    moving: int, keep_off: list[tuple[BaseGeometry, BaseGeometry, float]], step: tuple[float, float]
) -> tuple[BaseGeometry, np.ndarray, np.ndarray]:
    """One moving shape with all that it can come near on its way, and the distances to keep."""
    shape = next(a for a, _, _ in keep_off if id(a) == moving)
    across = 1 if step[0] else 0
    low, high = shape.bounds[across], shape.bounds[across + 2]
    near = [
        (still, least)
        for a, still, least in keep_off
        if id(a) == moving
        and still.bounds[across] < high + least
        and still.bounds[across + 2] > low - least
    ]
    return (
        shape,
        np.array([still for still, _ in near], dtype=object),
        np.array([least for _, least in near]),
    )


def _short(moving: BaseGeometry, stills: np.ndarray, least_mm: np.ndarray) -> float:
    """A distance that ``moving`` lacks for certain; 0 where it is clear of all [mm]."""
    if stills.size == 0:
        return 0.0
    missing = least_mm - shapely.distance(moving, stills)
    short = float(missing.max())
    if short > TOLERANCE_MM:
        return short
    overlap = any(_overlap(moving, still) for still in stills[least_mm == 0.0])
    return 0.1 if overlap else 0.0


def pair_gaps(payload: Payload, one: Placed, other: Placed) -> list[Gap]:
    """The gaps of one pair: of their bodies if they keep a distance, and to zones if it fails."""
    a, b = one.silhouette, other.silhouette
    ends = (key_of(one.placement), key_of(other.placement), one.label, other.label)
    limit, pad = payload.case.clearance.item_mm, payload.case.clearance.tier_mm
    slack = one.item.uncertainty_mm + other.item.uncertainty_mm
    gaps = []
    if keep_web(one, other):
        gap, start, end = _witness(a, b)
        # where no web is asked for touching is allowed, overlapping is not
        least = limit if gap > 0.0 or not _overlap(a, b) else max(limit, 2 * TOLERANCE_MM)
        gaps.append(_gap("item", ends, gap, least, slack, start, end))
    elif pad_short(payload, one, other) and _overlap(a, b):
        at = _inside(a.intersection(b))
        gaps.append(_gap("pad", ends, max(pad_mm(one, other), 0.0), pad, slack, at, at))
    for owner, guest in ((one, other), (other, one)):
        for room in owner.rooms:
            if keep_web_from_zone(guest, owner, room.z0_mm, room.z1_mm):
                gaps += _zone(ends, room, guest, limit)
    return gaps


def _zone(
    ends: tuple[Key, Key | str, str, str], room: Room, guest: Placed, limit_mm: float
) -> list[Gap]:
    """A body in a zone, or so near that no web is left beside the zone's channel."""
    body = guest.silhouette
    if _overlap(room.outline, body):
        at = _inside(room.outline.intersection(body))
        return [_gap("zone", ends, 0.0, max(limit_mm, 2 * TOLERANCE_MM), 0.0, at, at)]
    if float(room.outline.distance(body)) >= limit_mm - TOLERANCE_MM:
        return []
    gap, start, end = _witness(room.outline, body)
    return [_gap("zone", ends, gap, limit_mm, 0.0, start, end)]


def wall_gaps(payload: Payload, mine: Placed, box: PlanBox) -> list[Gap]:
    """The gaps of one body to the four sides of ``box``."""
    body = mine.silhouette
    me = key_of(mine.placement)
    limit = payload.case.clearance.wall_mm
    gaps = []
    for name, axis, wall in (
        ("left wall", 0, box.x0_mm),
        ("right wall", 0, box.x1_mm),
        ("front wall", 1, box.y0_mm),
        ("back wall", 1, box.y1_mm),
    ):
        low = name in ("left wall", "front wall")
        start = _foremost(body, axis, low)
        end = (wall, start[1]) if axis == 0 else (start[0], wall)
        gap = start[axis] - wall if low else wall - start[axis]
        ends = (me, name, mine.label, name)
        gaps.append(_gap("wall", ends, max(gap, 0.0), limit, mine.item.uncertainty_mm, start, end))
    return gaps


def _gap(
    kind: GapKind,
    ends: tuple[Key, Key | str, str, str],
    gap_mm: float,
    limit_mm: float,
    slack_mm: float,
    a_mm: tuple[float, float],
    b_mm: tuple[float, float],
) -> Gap:
    verdict: GapVerdict = "ok"
    if gap_mm < limit_mm - TOLERANCE_MM:
        verdict = "fails"
    elif gap_mm - slack_mm < limit_mm - TOLERANCE_MM:
        verdict = "tight"
    left, right, name, other = ends
    return Gap(left, right, kind, (name, other), gap_mm, limit_mm, verdict, a_mm, b_mm)


def _witness(
    a: BaseGeometry, b: BaseGeometry
) -> tuple[float, tuple[float, float], tuple[float, float]]:
    """Distance and witness line; between straight sides that face each other, in their middle."""
    if a.intersects(b):
        at = _inside(a.intersection(b))
        return 0.0, at, at
    (ax, ay), (bx, by) = shapely.get_coordinates(shapely.shortest_line(a, b))
    gap = float(a.distance(b))
    for axis, start, end in ((0, ax, bx), (1, ay, by)):
        across = 1 - axis
        if abs((ay, ax)[axis] - (by, bx)[axis]) > 1e-6:
            continue
        ours, theirs = _side(a, axis, start), _side(b, axis, end)
        low, high = max(ours[0], theirs[0]), min(ours[1], theirs[1])
        if high > low:
            first, last = [0.0, 0.0], [0.0, 0.0]
            first[axis], last[axis] = float(start), float(end)
            first[across] = last[across] = (low + high) / 2
            return gap, (first[0], first[1]), (last[0], last[1])
    return gap, (float(ax), float(ay)), (float(bx), float(by))


def _side(shape: BaseGeometry, axis: int, at: float) -> tuple[float, float]:
    """How far the straight side of ``shape`` at a coordinate reaches across."""
    xy = shapely.get_coordinates(shape)
    on = xy[np.abs(xy[:, axis] - at) < TOLERANCE_MM, 1 - axis]
    return (float(on.min()), float(on.max())) if on.size else (0.0, 0.0)


def _foremost(shape: BaseGeometry, axis: int, low: bool) -> tuple[float, float]:
    """The middle of the side of ``shape`` that reaches farthest along an axis."""
    xy = shapely.get_coordinates(shape)
    at = float(xy[:, axis].min() if low else xy[:, axis].max())
    first, last = _side(shape, axis, at)
    return (at, (first + last) / 2) if axis == 0 else ((first + last) / 2, at)


def _find(placed: Iterable[Placed], key: Key) -> Placed:
    for one in placed:
        if key_of(one.placement) == key:
            return one
    raise KeyError(key)


def _concern(payload: Payload, one: Placed, other: Placed) -> bool:
    """Do the two keep any distance: in plan, from each other's zones, or a pad between them?"""
    (a0, a1), (b0, b1) = one.reach_mm, other.reach_mm
    return (
        keep_web(one, other)
        or bool(heights_overlap(a0, a1, b0, b1))
        or pad_short(payload, one, other)
    )


def _near(payload: Payload, one: Placed, other: Placed) -> bool:
    """Could the two be too close? A look at their boxes, zones included."""
    keep = payload.case.clearance.item_mm
    a, b = reach_box(one), reach_box(other)
    return a[0] - keep < b[2] and b[0] - keep < a[2] and a[1] - keep < b[3] and b[1] - keep < a[3]


@lru_cache(maxsize=4096)
def reach_box(placed: Placed) -> tuple[float, float, float, float]:
    """The box of body and zones, seen from above."""
    boxes = [placed.silhouette.bounds]
    boxes += [room.outline.bounds for room in placed.rooms]
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return (min(x0), min(y0), max(x1), max(y1))


def _inside(shape: BaseGeometry) -> tuple[float, float]:
    point = shape.representative_point()
    return (float(point.x), float(point.y))


def _overlap(a: BaseGeometry, b: BaseGeometry) -> bool:
    """Do two shapes share more than a line? Touching is allowed where the limit is 0."""
    return bool(a.intersects(b)) and float(a.intersection(b).area) > TOLERANCE_MM


def _in_sight(gap: Gap, others: list[Placed]) -> bool:
    line = shapely.LineString([gap.a_mm, gap.b_mm])
    return not any(
        key_of(other.placement) != gap.right and other.silhouette.intersects(line)
        for other in others
    )
