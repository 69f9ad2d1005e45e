"""A face of a mounted item where it stands in the case: a point on it, and the way out of it."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
import shapely
from attrs import frozen
from shapely import LineString

from fitkit.fit.place import Placed
from fitkit.geometry.shapes import moved
from fitkit.payload.boxes import body_size, face_size_mm, stood
from fitkit.payload.model import Body, Face, Item
from fitkit.payload.pose import posed
from fitkit.payload.workshop import Side
from fitkit.shell.frame import AXES, side_at
from fitkit.shell.model import Point

SQUARE = 1e-6
"""How far a direction may be off an axis and still lie along it."""


@frozen
class Back:
    """A face of one copy in the case.

    ``origin_mm`` is the face's lower left corner as one who looks at it from outside sees it (on
    top and bottom, as seen from above); ``along``, ``up`` and ``out`` are the directions in which
    its places are measured and in which it looks. ``size_mm`` is its width and height.
    """

    item: Item
    face: Face
    origin_mm: Point
    along: Point
    up: Point
    out: Point
    size_mm: tuple[float, float]

    def point(self, a_mm: float, b_mm: float, out_mm: float = 0.0) -> Point:
        """The point of the case at a place on the face, ``out_mm`` in front of it [mm]."""
        x, y, z = (
            self.origin_mm[k] + a_mm * self.along[k] + b_mm * self.up[k] + out_mm * self.out[k]
            for k in range(3)
        )
        return (x, y, z)

    def box(
        self,
        centre_mm: tuple[float, float],
        size_mm: tuple[float, float],
        *,
        from_mm: float,
        to_mm: float,
    ) -> tuple[Point, Point]:
        """Opposite corners of a box before the face, between two distances from it [mm]."""
        (a, b), (wide, high) = centre_mm, size_mm
        one = self.point(a - wide / 2, b - high / 2, from_mm)
        other = self.point(a + wide / 2, b + high / 2, to_mm)
        return _ordered(one, other)

    @property
    def square(self) -> bool:
        """Whether the face lies along the case's axes, so that boxes fit behind it."""
        return all(max(abs(v) for v in way) > 1 - SQUARE for way in (self.along, self.up, self.out))

    @property
    def axis(self) -> int:
        """The axis of the case that the face looks along: 0 x, 1 y, 2 z."""
        return _axis(self.out)

    @property
    def sense(self) -> Literal[-1, 1]:
        """Whether it looks towards more (1) or less (-1) of its axis."""
        return 1 if self.out[self.axis] > 0 else -1

    @property
    def along_axis(self) -> int:
        """The axis of the case that its width lies along."""
        return _axis(self.along)

    @property
    def up_axis(self) -> int:
        """The axis of the case that its height lies along."""
        return _axis(self.up)

    @property
    def side(self) -> Side:
        """The face of the case that it looks at."""
        return side_at(AXES[self.axis], high=self.sense > 0)

    @property
    def plane_mm(self) -> float:
        """Where the face lies along its axis [mm]."""
        return self.origin_mm[self.axis]

    def deep_mm(self, a_mm: float, b_mm: float) -> float | None:
        """How far behind the face's plane the body begins at a place [mm]; None if nowhere."""
        return body_depth_mm(self.item.body, self.face, a_mm, b_mm)


def back_of(placed: Placed, face: Face) -> Back:
    """A face of a copy as it stands."""
    size = body_size(placed.item.body)
    here, up = placed.placement, placed.placement.up
    solid = posed(placed.item, up)
    turned = [moved(band.shape, turn_deg=here.turn_deg) for band in solid.bands]
    left, low, _, _ = shapely.total_bounds(np.array(turned, dtype=object))
    shift = (here.x_mm - float(left), here.y_mm - float(low), here.z_mm - solid.z0_mm)
    cos, sin = _cos_sin(here.turn_deg)

    def in_case(a: float, b: float, out: float) -> Point:
        x, y, z = _measured(face, a, b, out, size)
        x, y, z = stood((x, y, z, x, y, z), up, size)[:3]
        return (x * cos - y * sin + shift[0], x * sin + y * cos + shift[1], z + shift[2])

    origin = in_case(0.0, 0.0, 0.0)
    ends = (in_case(1.0, 0.0, 0.0), in_case(0.0, 1.0, 0.0), in_case(0.0, 0.0, 1.0))
    along, upward, out = (_way(origin, end) for end in ends)
    return Back(placed.item, face, origin, along, upward, out, face_size_mm(face, placed.item.body))


def body_depth_mm(body: Body, face: Face, a_mm: float, b_mm: float) -> float | None:
    """How far behind the plane of a face the body begins at a place on it [mm].

    None where there is no body at all behind that place.

    >>> from fitkit.geometry.shapes import rectangle
    >>> from fitkit.payload.model import Section
    >>> stepped = Body((Section(rectangle(40.0, 20.0), 12.0, 30.0),
    ...                 Section(rectangle(10.0, 20.0), 0.0, 12.0)))
    >>> body_depth_mm(stepped, "bottom", 5.0, 5.0), body_depth_mm(stepped, "bottom", 30.0, 5.0)
    (0.0, 12.0)
    """
    size = body_size(body)
    x, y, z = _measured(face, a_mm, b_mm, 0.0, size)
    found: list[float] = []
    for section in body.sections:
        if face in ("top", "bottom"):
            if section.outline.intersects(shapely.Point(x, y)):
                found.append(section.z0_mm if face == "bottom" else size[2] - section.z1_mm)
        elif section.z0_mm - SQUARE <= z <= section.z1_mm + SQUARE:
            across = face in ("left", "right")
            far = 2 * (size[0] + size[1])
            line = LineString([(-far, y), (far, y)] if across else [(x, -far), (x, far)])
            cut = section.outline.intersection(line)
            if not cut.is_empty:
                low, high = cut.bounds[0 if across else 1], cut.bounds[2 if across else 3]
                near = face in ("left", "front")
                found.append(low if near else (size[0] if across else size[1]) - high)
    return max(0.0, min(found)) if found else None


def _measured(
    face: Face, a: float, b: float, out: float, size: tuple[float, float, float]
) -> Point:
    """A place on a face as measured, in the item's own x, y and z."""
    w, d, h = size
    if face == "front":
        return (a, -out, b)
    if face == "back":
        return (w - a, d + out, b)
    if face == "left":
        return (-out, d - a, b)
    if face == "right":
        return (w + out, a, b)
    return (a, b, h + out) if face == "top" else (a, b, -out)


def _cos_sin(turn_deg: float) -> tuple[float, float]:
    """Cosine and sine, whole numbers at quarter turns."""
    quarters = turn_deg / 90.0
    if abs(quarters - round(quarters)) < 1e-9:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarters) % 4]
    angle = math.radians(turn_deg)
    return math.cos(angle), math.sin(angle)


def _way(start: Point, end: Point) -> Point:
    x, y, z = (round(b - a, 9) + 0.0 for a, b in zip(start, end, strict=True))
    return (x, y, z)


def _axis(way: Point) -> int:
    return max(range(3), key=lambda k: abs(way[k]))


def _ordered(one: Point, other: Point) -> tuple[Point, Point]:
    x, y, z = (sorted(pair) for pair in zip(one, other, strict=True))
    return (x[0], y[0], z[0]), (x[1], y[1], z[1])
