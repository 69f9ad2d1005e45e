"""The check that every layout must pass, whoever made it.

Bodies keep their clearances, zones are free of bodies, everything is inside the interior, and every
item can be lifted straight out of its half. Nothing here trusts an engine: it looks at the solids.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import Placed, place_all
from fitkit.payload.model import Payload
from fitkit.payload.pose import flipped

TOLERANCE_MM = 1e-4
"""Rounding that is let pass [mm]."""

ViolationKind = Literal["item", "wall", "floor", "lid", "zone", "inside", "pose", "count", "proud"]


@frozen
class Violation:
    """A promise that a layout breaks: which, between what, by how many millimetres."""

    kind: ViolationKind
    left: str
    right: str
    value_mm: float
    limit_mm: float

    def __str__(self) -> str:
        """The violation in a sentence."""
        return (
            f"{self.left} to {self.right}: {self.value_mm:.2f} mm, at least "
            f"{self.limit_mm:.2f} mm ({self.kind})"
        )


def violations(
    payload: Payload, *, interior: Interior, placements: Sequence[Placement]
) -> tuple[Violation, ...]:
    """Everything that is wrong with a layout; empty when it keeps every promise."""
    placed = place_all(payload, tuple(placements))
    found: list[Violation] = []
    found += _counts(payload, placements)
    for one in placed:
        found += _pose(one)
        found += _walls(payload, interior, one)
        found += _heights(payload, interior, one)
    found += _pairs(payload, placed)
    return tuple(found)


def _counts(payload: Payload, placements: Sequence[Placement]) -> list[Violation]:
    wanted = {(item.name, copy) for item in payload.items for copy in range(1, item.count + 1)}
    have = [(p.item, p.copy) for p in placements]
    found = []
    for name, copy in sorted(wanted - set(have)):
        found.append(Violation("count", f"{name} {copy}", "the case", 0.0, 1.0))
    if len(have) != len(set(have)):
        found.append(Violation("count", "a copy", "the case", 2.0, 1.0))
    return found


def _pose(one: Placed) -> list[Violation]:
    placement = one.placement
    face, turn = (
        flipped(placement.up, placement.turn_deg)
        if placement.half == "shallow"
        else (placement.up, placement.turn_deg)
    )
    step = {"free": 0.0, "quarter": 90.0, "half": 180.0, "fixed": 360.0}[one.item.turn]
    off = 0.0 if step == 0 else abs((turn + step / 2) % step - step / 2)
    if face not in one.item.up or off > 1e-6:
        return [Violation("pose", one.label, f"{face} up, turned {turn:.1f} degrees", off, 0.0)]
    return []


def _walls(payload: Payload, interior: Interior, one: Placed) -> list[Violation]:
    wall = payload.case.clearance.wall_mm
    found = []
    for band in one.solid.bands:
        found += _within(interior, one.label, "wall", band.shape, (band.z0_mm, band.z1_mm), wall)
    for room in one.solid.rooms:
        found += _within(
            interior,
            f"{one.label} {room.kind} zone",
            "inside",
            room.outline,
            (room.z0_mm, room.z1_mm),
            0.0,
        )
    return found[:1]


def _within(
    interior: Interior,
    label: str,
    kind: ViolationKind,
    shape: BaseGeometry,
    band: tuple[float, float],
    least: float,
) -> list[Violation]:
    # the room is narrowest at the end of the band that is farther from the closing plane
    far = max(band, key=lambda z: abs(z - interior.closing_mm))
    outline = interior.outline_at(min(max(far, 0.0), interior.height_mm))
    if interior.corner_mm == 0:
        x0, y0, x1, y1 = shape.bounds
        left, low, right, high = outline.bounds
        gap = min(x0 - left, y0 - low, right - x1, high - y1)
    elif outline.covers(shape):
        gap = shapely.distance(outline.exterior, shape)
    else:
        gap = -shapely.hausdorff_distance(shape.difference(outline), outline)
    if gap < least - TOLERANCE_MM:
        return [Violation(kind, label, "the wall", gap, least)]
    return []


def _heights(payload: Payload, interior: Interior, one: Placed) -> list[Violation]:
    clear = payload.case.clearance
    solid, hung = one.solid, one.placement.half == "shallow"
    below, above = solid.z0_mm, interior.height_mm - solid.z1_mm
    floor, lid = (above, below) if hung else (below, above)
    found = []
    if floor < clear.floor_mm - TOLERANCE_MM:
        found.append(Violation("floor", one.label, "its floor", floor, clear.floor_mm))
    if payload.case.form == "pair":
        recess = solid.z0_mm - interior.closing_mm if hung else interior.closing_mm - solid.z1_mm
        if recess < clear.lid_mm - TOLERANCE_MM:
            found.append(Violation("lid", one.label, "the closing plane", recess, clear.lid_mm))
    elif lid < clear.lid_mm - TOLERANCE_MM:
        found.append(Violation("lid", one.label, "the lid", lid, clear.lid_mm))
    if not one.item.proud and payload.case.form == "box":
        room = interior.closing_mm - solid.z1_mm
        if room < -TOLERANCE_MM:
            found.append(Violation("proud", one.label, "the closing plane", room, 0.0))
    low, high = solid.reach_mm
    if low < -TOLERANCE_MM or high > interior.height_mm + TOLERANCE_MM:
        worst = min(low, interior.height_mm - high)
        found.append(Violation("inside", f"{one.label} zone", "floor or lid", worst, 0.0))
    return found


def _pairs(payload: Payload, placed: Sequence[Placed]) -> list[Violation]:
    """Item clearances and free zones among items of one level; solids of all levels apart."""
    if len(placed) < 2:
        return []
    clear = payload.case.clearance
    bodies = np.array([one.solid.silhouette for one in placed], dtype=object)
    tree = shapely.STRtree(bodies)
    found = []
    left, right = tree.query(bodies, predicate="dwithin", distance=max(clear.item_mm, 1e-9))
    for a, b in zip(left, right, strict=True):
        if a >= b:
            continue
        one, other = placed[a], placed[b]
        gap = shapely.distance(bodies[a], bodies[b])
        if _same_level(one, other):
            if gap < clear.item_mm - TOLERANCE_MM:
                found.append(Violation("item", one.label, other.label, gap, clear.item_mm))
            elif gap <= 0 and shapely.intersection(bodies[a], bodies[b]).area > 1e-4:
                found.append(Violation("item", one.label, other.label, 0.0, clear.item_mm))
        elif gap <= 0 and _overlap(one, other):
            found.append(Violation("item", one.label, other.label, 0.0, clear.tier_mm))
    for index, one in enumerate(placed):
        for room in one.solid.rooms:
            reach = max(clear.item_mm, 1e-9)
            for b in tree.query(room.outline, predicate="dwithin", distance=reach):
                other = placed[b]
                apart = room.z1_mm <= other.solid.z0_mm or room.z0_mm >= other.solid.z1_mm
                level = _same_level(one, other)
                if b == index or (apart and not level):
                    continue
                label = f"{one.label} {room.kind} zone"
                gap = shapely.distance(room.outline, bodies[b])
                if gap <= 0 and shapely.intersection(room.outline, bodies[b]).area > 1e-4:
                    found.append(Violation("zone", label, other.label, 0.0, clear.item_mm))
                elif level and gap < clear.item_mm - TOLERANCE_MM:
                    found.append(Violation("zone", label, other.label, gap, clear.item_mm))
    return found


def _same_level(one: Placed, other: Placed) -> bool:
    a, b = one.placement, other.placement
    return (a.half, a.tier) == (b.half, b.tier)


def _overlap(one: Placed, other: Placed) -> bool:
    return any(
        a.z0_mm < b.z1_mm - TOLERANCE_MM
        and a.z1_mm > b.z0_mm + TOLERANCE_MM
        and shapely.intersection(a.shape, b.shape).area > 1e-4
        for a in one.solid.bands
        for b in other.solid.bands
    )
