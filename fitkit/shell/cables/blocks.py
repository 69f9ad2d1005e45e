"""What a cable must go around, as boxes: bodies, supports, dishes, plugs, and rooms kept free.

A body that is no box in plan is cut into strips, each as wide as the body anywhere within it: the
boxes together contain the body, so a way around them is never too near.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely
from attrs import evolve, frozen
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed, turned_item
from fitkit.foam.model import Point, Room
from fitkit.geometry.shapes import moved
from fitkit.payload.boxes import body_size, face_size_mm, stood
from fitkit.payload.model import Face, Item, ZoneKind
from fitkit.payload.mounted import supports_mm, zones_of
from fitkit.shell.mounting.model import Support

BlockKind = Literal["body", "support", "dish", "plug", "front", "air", "hand", "plug room", "coil"]

STRIP_MM = 6.0
"""Least width of a strip of a body that is no box [mm]."""

STRIPS = 16
BAND_MM = 6.0
"""Bands of a body lower than this are taken together [mm]."""

SQUARE = 0.985
"""A shape that fills this share of its box counts as the box."""

OUT: dict[Face, Point] = {
    "top": (0.0, 0.0, 1.0),
    "bottom": (0.0, 0.0, -1.0),
    "left": (-1.0, 0.0, 0.0),
    "right": (1.0, 0.0, 0.0),
    "front": (0.0, -1.0, 0.0),
    "back": (0.0, 1.0, 0.0),
}
"""The way out of each face of an item as measured."""

_ROOMS: dict[ZoneKind, BlockKind] = {
    "vent": "air",
    "hand": "hand",
    "connector": "plug room",
    "cable": "plug room",
}

Box = tuple[float, float, float, float, float, float]


@frozen
class Block:
    """A box that must stay free of cables [mm], whose it is, and what it is."""

    low_mm: Point
    high_mm: Point
    owner: str
    kind: BlockKind = "body"

    @property
    def box_mm(self) -> Box:
        """Both corners in one: x0, y0, z0, x1, y1, z1 [mm]."""
        return (*self.low_mm, *self.high_mm)


def boxes_of(blocks: Iterable[Block], *, grown_mm: float) -> NDArray[np.float64]:
    """Blocks as rows (x0, y0, z0, x1, y1, z1), grown on all sides [mm]; shape (n, 6)."""
    rows = np.array([block.box_mm for block in blocks], dtype=np.float64).reshape(-1, 6)
    return rows + np.array([-1, -1, -1, 1, 1, 1]) * grown_mm


def body_blocks(placed: Sequence[Placed], *, height_mm: float | None = None) -> list[Block]:
    """The bodies of the copies, as boxes.

    With the inside ``height_mm`` what lies in foam reaches down to the floor of its half: no
    channel is cut through the foam that it stands on.
    """
    found = []
    for one in placed:
        here = one.placement
        if height_mm is not None and one.item.mount is None:
            hung = here.half == "shallow"
            for x0, y0, x1, y1 in strips_of(one.silhouette):
                z0, z1 = (one.z1_mm, height_mm) if hung else (0.0, one.z0_mm)
                if z1 > z0:
                    found.append(Block((x0, y0, z0), (x1, y1, z1), one.label))
        for x0, y0, z0, x1, y1, z1 in _body_boxes(one.item, here.up, here.turn_deg):
            low = (x0 + here.x_mm, y0 + here.y_mm, z0 + here.z_mm)
            high = (x1 + here.x_mm, y1 + here.y_mm, z1 + here.z_mm)
            found.append(Block(low, high, one.label))
    return found


@lru_cache(maxsize=512)
def _body_boxes(item: Item, up: Face, turn_deg: float) -> tuple[Box, ...]:
    bands = turned_item(item, up, turn_deg).solid.bands
    found: list[Box] = []
    first = 0
    while first < len(bands):
        last = first
        while last + 1 < len(bands) and bands[last + 1].z1_mm - bands[first].z0_mm <= BAND_MM:
            last += 1
        shape = shapely.union_all([band.shape for band in bands[first : last + 1]])
        low, high = bands[first].z0_mm, bands[last].z1_mm
        found += [(x0, y0, low, x1, y1, high) for x0, y0, x1, y1 in strips_of(shape)]
        first = last + 1
    return tuple(found)


def strips_of(shape: BaseGeometry) -> list[tuple[float, float, float, float]]:
    """Boxes (x0, y0, x1, y1) that together contain a plan shape [mm].

    >>> strips_of(shapely.box(0, 0, 40, 20))
    [(0.0, 0.0, 40.0, 20.0)]
    """
    found = []
    for part in shapely.get_parts(shape):
        if part.is_empty:
            continue
        x0, y0, x1, y1 = part.bounds
        if part.area >= SQUARE * (x1 - x0) * (y1 - y0):
            found.append((x0, y0, x1, y1))
            continue
        count = max(1, min(STRIPS, int((x1 - x0) / STRIP_MM)))
        marks = np.linspace(x0, x1, count + 1)
        for left, right in zip(marks[:-1], marks[1:], strict=True):
            clip = part.intersection(shapely.box(left, y0 - 1, right, y1 + 1))
            for piece in shapely.get_parts(clip):
                if piece.area > 0:
                    _, low, _, high = piece.bounds
                    found.append((float(left), low, float(right), high))
    return found


def support_blocks(supports: Iterable[Support], placed: Sequence[Placed]) -> list[Block]:
    """Rails, battens and sub-panels as made; where an item has none yet, the room kept for them.

    A sub-panel is open where plugs go through it.
    """
    found = []
    known = set()
    for one in supports:
        known.add((one.item, one.copy))
        found += _support_boxes(one, placed)
    for copy in placed:
        mount = copy.item.mount
        if mount is None or (copy.item.name, copy.placement.copy) in known:
            continue
        count = len(supports_mm(mount, face_mm=face_size_mm(mount.back, copy.item.body)))
        own = len(copy.item.zones)
        for room in copy.rooms[own : own + count]:
            (x0, y0, x1, y1) = room.outline.bounds
            found.append(
                Block(
                    (x0, y0, room.z0_mm), (x1, y1, room.z1_mm), f"{mount.by} of {copy.label}",
                    "support",
                )
            )  # fmt: skip
    return found


def _support_boxes(one: Support, placed: Sequence[Placed]) -> list[Block]:
    whole = Block(one.low_mm, one.high_mm, one.name, "support")
    if not one.openings:
        return [whole]
    u, v = "xyz".index(one.u_axis), "xyz".index(one.v_axis)
    left = shapely.box(0, 0, one.length_mm, one.width_mm).difference(
        shapely.union_all(list(one.openings))
    )
    if _seen_from_behind(one, placed):
        left = shapely.transform(left, lambda uv: np.array([one.length_mm, 0]) + uv * (-1, 1))
    found = []
    for u0, v0, u1, v1 in strips_of(left):
        low, high = list(one.low_mm), list(one.high_mm)
        low[u], high[u] = one.low_mm[u] + u0, one.low_mm[u] + u1
        low[v], high[v] = one.low_mm[v] + v0, one.low_mm[v] + v1
        corner, across = (low[0], low[1], low[2]), (high[0], high[1], high[2])
        found.append(evolve(whole, low_mm=corner, high_mm=across))
    return found


def _seen_from_behind(one: Support, placed: Sequence[Placed]) -> bool:
    """Whether u runs against its axis: the side that looks at the item is up on the bench."""
    axis = 3 - "xyz".index(one.u_axis) - "xyz".index(one.v_axis)
    for copy in placed:
        if (copy.item.name, copy.placement.copy) == (one.item, one.copy):
            x0, y0, x1, y1 = copy.silhouette.bounds
            middle = ((x0 + x1) / 2, (y0 + y1) / 2, (copy.z0_mm + copy.z1_mm) / 2)[axis]
            looks = 1 if middle > (one.low_mm[axis] + one.high_mm[axis]) / 2 else -1
            turn = (("x", "y"), ("y", "z"), ("z", "x"))
            return ((one.u_axis, one.v_axis) in turn) != (looks > 0)
    return False


def dish_blocks(rooms: Iterable[Room]) -> list[Block]:
    """What sunk hardware takes of the interior."""
    return [Block(room.low_mm, room.high_mm, room.owner or "a dish", "dish") for room in rooms]


def room_blocks(placed: Sequence[Placed]) -> list[Block]:
    """The rooms that cables should keep out of: for air, for hands, for plugs."""
    found = []
    for copy in placed:
        for zone, room in zip(zones_of(copy.item), copy.rooms, strict=True):
            kind = _ROOMS.get(zone.kind)
            if kind is None:
                continue
            x0, y0, x1, y1 = room.outline.bounds
            found.append(Block((x0, y0, room.z0_mm), (x1, y1, room.z1_mm), copy.label, kind))
    return found


def front_blocks(placed: Sequence[Placed], *, interior: Interior) -> list[Block]:
    """What lies before each mounted item's front: nothing must press on it when the case closes.

    From every part of its body to the closing plane, or to the panel or wall that it looks at.
    """
    found = []
    for copy in placed:
        mount = copy.item.mount
        if mount is None:
            continue
        out = outwards(copy, mount.front)
        axis = max(range(3), key=lambda one: abs(out[one]))
        ends = [0.0, interior.size_mm[axis]]
        if axis == 2:
            ends.insert(1, interior.closing_mm)
        for part in body_blocks([copy]):
            low, high = list(part.low_mm), list(part.high_mm)
            if out[axis] > 0:
                low[axis] = high[axis]
                high[axis] = min((end for end in ends if end > low[axis]), default=low[axis])
            else:
                high[axis] = low[axis]
                low[axis] = max((end for end in ends if end < high[axis]), default=high[axis])
            if high[axis] - low[axis] > 1e-6:
                corner, across = (low[0], low[1], low[2]), (high[0], high[1], high[2])
                found.append(Block(corner, across, f"the front of {copy.label}", "front"))
    return found


def outwards(copy: Placed, face: Face) -> Point:
    """Which way a face of a copy looks where it stands: a unit vector.

    The face as measured is carried along by the pose, then turned.
    """
    size = body_size(copy.item.body)
    ends = []
    for reach in (0.0, 1.0):
        x, y, z = (s / 2 + w * reach for s, w in zip(size, OUT[face], strict=True))
        ends.append(stood((x, y, z, x, y, z), copy.placement.up, size)[:3])
    dx, dy, dz = (b - a for a, b in zip(ends[0], ends[1], strict=True))
    turned = moved(shapely.Point(dx, dy), turn_deg=copy.placement.turn_deg)
    return (tidy_unit(turned.x), tidy_unit(turned.y), tidy_unit(dz))


def tidy_unit(value: float) -> float:
    """A share of a unit vector without the last digit's noise."""
    near = round(value)
    return float(near) if abs(value - near) < 1e-9 else value
