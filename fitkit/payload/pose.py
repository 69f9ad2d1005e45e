"""Bodies and zones in the pose in which they stand.

A pose is the face that looks up and a turn about the vertical. Standing a stack of sections on
its side turns each section into a slab: its plan outline is cut into bands along the new
vertical, and each band takes the widest extent within it. The result contains the true body, so
pockets and gaps made from it are never short.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from attrs import frozen
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.geometry.shapes import moved, union
from fitkit.payload.boxes import Box3, stood
from fitkit.payload.boxes import body_size as body_size
from fitkit.payload.model import Body, Face, Item, Zone, ZoneKind
from fitkit.payload.mounted import zones_of

BAND_MM = 2.0
"""Least height of a band when a body is stood on its side [mm]."""

LINED_UP_MM = 1e-6


@frozen(cache_hash=True)
class Room:
    """A zone in place: its plan outline and height band [mm]."""

    kind: ZoneKind
    outline: Polygon
    z0_mm: float
    z1_mm: float


@frozen(cache_hash=True)
class Band:
    """The body's cross-section over a height band; bands of a solid do not overlap."""

    z0_mm: float
    z1_mm: float
    shape: Polygon | MultiPolygon


@frozen(cache_hash=True)
class Solid:
    """An item's body and zones in one pose, as bands from the bottom up.

    As posed, the body's box has its lower left bottom corner at the origin; :meth:`placed` turns
    and shifts it.
    """

    bands: tuple[Band, ...]
    rooms: tuple[Room, ...]

    @property
    def z0_mm(self) -> float:
        """Underside of the body [mm]."""
        return self.bands[0].z0_mm

    @property
    def z1_mm(self) -> float:
        """Top of the body [mm]."""
        return self.bands[-1].z1_mm

    @property
    def height_mm(self) -> float:
        """Height of the body [mm]."""
        return self.z1_mm - self.z0_mm

    @property
    def reach_mm(self) -> tuple[float, float]:
        """Lowest and highest point of body and zones together [mm]."""
        lows = [self.z0_mm, *(room.z0_mm for room in self.rooms)]
        highs = [self.z1_mm, *(room.z1_mm for room in self.rooms)]
        return min(lows), max(highs)

    @property
    def silhouette(self) -> Polygon | MultiPolygon:
        """The outline of the body seen from above: the union of all bands."""
        return _silhouette(self.bands)

    def section(self, z0_mm: float, z1_mm: float) -> Polygon | MultiPolygon:
        """The widest cross-section between two heights (empty above and below the body)."""
        shapes = [b.shape for b in self.bands if b.z0_mm < z1_mm - 1e-9 and b.z1_mm > z0_mm + 1e-9]
        return _areal(union(shapes)) if shapes else Polygon()

    def placed(self, *, turn_deg: float, x_mm: float, y_mm: float, z_mm: float) -> Solid:
        """This solid turned, then shifted so that its box's lower left bottom corner is there."""
        turned = [moved(band.shape, turn_deg=turn_deg) for band in self.bands]
        left, low, _, _ = shapely.total_bounds(np.array(turned, dtype=object))
        by = (x_mm - left, y_mm - low)
        lift = z_mm - self.z0_mm
        return Solid(
            bands=tuple(
                Band(band.z0_mm + lift, band.z1_mm + lift, _areal(moved(shape, by=by)))
                for band, shape in zip(self.bands, turned, strict=True)
            ),
            rooms=tuple(
                Room(
                    room.kind,
                    _polygon(moved(moved(room.outline, turn_deg=turn_deg), by=by)),
                    room.z0_mm + lift,
                    room.z1_mm + lift,
                )
                for room in self.rooms
            ),
        )


@lru_cache(maxsize=4096)
def _silhouette(bands: tuple[Band, ...]) -> Polygon | MultiPolygon:
    return _areal(union(band.shape for band in bands))


@lru_cache(maxsize=1024)
def posed(item: Item, up: Face) -> Solid:
    """The item's solid with face ``up`` looking up, its box at the origin, not turned.

    >>> from fitkit.geometry.shapes import circle
    >>> from fitkit.payload.model import Section
    >>> can = Item("can", Body((Section(circle(20.0, at=(20.0, 20.0)), 0.0, 90.0),)))
    >>> lying = posed(can, "front")
    >>> [round(v, 3) for v in lying.silhouette.bounds], round(lying.height_mm, 3)
    ([0.0, 0.0, 40.0, 90.0], 40.0)
    """
    size = body_size(item.body)
    bands = _stack(_slabs(item.body, up, size))
    return Solid(bands=bands, rooms=tuple(_room(zone, up, size) for zone in zones_of(item)))


def flipped(up: Face, turn_deg: float) -> tuple[Face, float]:
    """The pose of an item after its half is closed: turned over about the x axis.

    A half lies open on the bench as seen from above; closing it turns it by 180 degrees about
    the long side. Returns the face that then looks up and the turn seen from above.
    """
    over: dict[Face, tuple[Face, float]] = {
        "top": ("bottom", 0.0),
        "bottom": ("top", 0.0),
        "front": ("back", 0.0),
        "back": ("front", 0.0),
        "left": ("right", 180.0),
        "right": ("left", 180.0),
    }
    face, extra = over[up]
    return face, (extra - turn_deg) % 360.0 % 360.0  # twice: -1e-20 % 360 is 360


def _slabs(body: Body, up: Face, size: tuple[float, float, float]) -> list[Band]:
    """The body's sections as bands in the new pose; bands may still overlap."""
    slabs: list[Band] = []
    for section in body.sections:
        if up == "top":
            slabs.append(Band(section.z0_mm, section.z1_mm, section.outline))
            continue
        if up == "bottom":
            over = shapely.transform(
                section.outline, lambda xy: np.array([0.0, size[1]]) + xy * (1, -1)
            )
            slabs.append(Band(size[2] - section.z1_mm, size[2] - section.z0_mm, over))
            continue
        axis = 1 if up in ("front", "back") else 0
        for low, high in _cuts(section.outline, axis):
            for first, last in _extents(section.outline, axis, low, high):
                box: Box3 = (
                    (first, low, section.z0_mm, last, high, section.z1_mm)
                    if axis == 1
                    else (low, first, section.z0_mm, high, last, section.z1_mm)
                )
                x0, y0, z0, x1, y1, z1 = stood(box, up, size)
                slabs.append(Band(z0, z1, shapely.box(x0, y0, x1, y1)))
    return slabs


def _cuts(outline: Polygon, axis: int) -> list[tuple[float, float]]:
    """Heights at which a section that stands on its side is cut into bands."""
    marks = np.unique(np.round(shapely.get_coordinates(outline)[:, axis], 6))
    kept = [float(marks[0])]
    for mark in marks[1:-1]:
        if mark - kept[-1] >= BAND_MM and marks[-1] - mark >= BAND_MM:
            kept.append(float(mark))
    kept.append(float(marks[-1]))
    return list(zip(kept[:-1], kept[1:], strict=True))


def _extents(outline: Polygon, axis: int, low: float, high: float) -> list[tuple[float, float]]:
    """Where the outline is, across ``axis``, anywhere between ``low`` and ``high``."""
    left, bottom, right, top = outline.bounds
    strip = (
        shapely.box(left - 1, low, right + 1, high)
        if axis == 1
        else shapely.box(low, bottom - 1, high, top + 1)
    )
    spans = []
    for part in shapely.get_parts(outline.intersection(strip)):
        x0, y0, x1, y1 = part.bounds
        if part.area > 0:
            spans.append((x0, x1) if axis == 1 else (y0, y1))
    merged: list[tuple[float, float]] = []
    for first, last in sorted(spans):
        if merged and first <= merged[-1][1] + LINED_UP_MM:
            merged[-1] = (merged[-1][0], max(merged[-1][1], last))
        else:
            merged.append((first, last))
    return merged


def _stack(slabs: list[Band]) -> tuple[Band, ...]:
    """Overlapping bands united into a stack without overlaps, from the bottom up."""
    marks: list[float] = []
    for mark in sorted({m for slab in slabs for m in (slab.z0_mm, slab.z1_mm)}):
        if not marks or mark - marks[-1] > LINED_UP_MM:
            marks.append(mark)
    bands: list[Band] = []
    for low, high in zip(marks[:-1], marks[1:], strict=True):
        middle = (low + high) / 2
        shape = union(s.shape for s in slabs if s.z0_mm < middle < s.z1_mm)
        if shape.is_empty:
            continue
        if bands and _alike(bands[-1].shape, shape) and abs(bands[-1].z1_mm - low) < LINED_UP_MM:
            bands[-1] = Band(bands[-1].z0_mm, high, bands[-1].shape)
        else:
            bands.append(Band(low, high, _areal(shape)))
    return tuple(bands)


def _alike(one: BaseGeometry, other: BaseGeometry) -> bool:
    """Whether two shapes are the same but for slivers along their edges."""
    return float(one.symmetric_difference(other).area) <= LINED_UP_MM * float(one.length)


def _room(zone: Zone, up: Face, size: tuple[float, float, float]) -> Room:
    w, d, h = size
    (a, b), (da, db) = zone.at_mm, (zone.size_mm[0] / 2, zone.size_mm[1] / 2)
    box: Box3
    if zone.face == "front":
        box = (a - da, -zone.depth_mm, b - db, a + da, 0.0, b + db)
    elif zone.face == "back":  # one who looks at the back has x running to the left
        box = (w - a - da, d, b - db, w - a + da, d + zone.depth_mm, b + db)
    elif zone.face == "left":  # y runs to the left
        box = (-zone.depth_mm, d - a - da, b - db, 0.0, d - a + da, b + db)
    elif zone.face == "right":
        box = (w, a - da, b - db, w + zone.depth_mm, a + da, b + db)
    elif zone.face == "top":
        box = (a - da, b - db, h, a + da, b + db, h + zone.depth_mm)
    else:
        box = (a - da, b - db, -zone.depth_mm, a + da, b + db, 0.0)
    x0, y0, z0, x1, y1, z1 = stood(box, up, size)
    return Room(zone.kind, shapely.box(x0, y0, x1, y1), z0, z1)


def _areal(shape: BaseGeometry) -> Polygon | MultiPolygon:
    if isinstance(shape, Polygon | MultiPolygon):
        return shape
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    return MultiPolygon(parts)


def _polygon(shape: BaseGeometry) -> Polygon:
    if not isinstance(shape, Polygon):
        raise TypeError(f"a polygon was expected, not a {shape.geom_type}")
    return shape
