"""Boxes in cabinet projection: fronts in true shape, what lies behind goes up to the right.

Depth is drawn at half its length, at 45 degrees. What is nearer is drawn later; of an open part one
sees the inside through its opening.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.sheet import Hatch, HatchKind, Mark, Path, Style, contours_of
from fitkit.payload.workshop import SIDES, Side
from fitkit.shell.frame import out_of
from fitkit.shell.model import Point
from fitkit.shell.moves import Move

DEPTH = 0.5 * math.sqrt(0.5)
"""How far depth runs to the right and up on paper, as a share of its length."""

_NEAR_MM = 1.0
_CORNERS = ((0, 0), (1, 0), (1, 1), (0, 1))


@frozen
class Solid:
    """A box as it lies in the closed case, how it is moved, and how it is drawn.

    ``open`` are faces that one looks through; ``wall_mm`` is then how thick the others are.
    ``inside`` are boxes that are seen through the opening only. ``signs`` are flat shapes on its
    faces: rings of points in the closed case's coordinates.
    """

    low_mm: Point
    high_mm: Point
    move: Move
    style: Style
    hatch: HatchKind | None = None
    open: tuple[Side, ...] = ()
    wall_mm: float = 0.0
    inside: tuple[Solid, ...] = ()
    signs: tuple[tuple[Side, tuple[Point, ...], Style], ...] = ()

    def ring(self, side: Side, *, inset_mm: float = 0.0, deep_mm: float = 0.0) -> list[Point]:
        """The corners of a face as moved, drawn in by ``inset_mm``, ``deep_mm`` inside it."""
        axis, sense = out_of(side)
        others = [one for one in range(3) if one != axis]
        found = []
        for corner in _CORNERS:
            point = [0.0, 0.0, 0.0]
            end = self.high_mm[axis] if sense > 0 else self.low_mm[axis]
            point[axis] = end - sense * deep_mm
            for one, high in zip(others, corner, strict=True):
                point[one] = self.high_mm[one] - inset_mm if high else self.low_mm[one] + inset_mm
            found.append(self.move.at((point[0], point[1], point[2])))
        return found

    @property
    def box(self) -> tuple[Point, Point]:
        """The box round it as moved [mm]."""
        points = [point for side in ("bottom", "top") for point in self.ring(side)]
        low = [min(point[i] for point in points) for i in range(3)]
        high = [max(point[i] for point in points) for i in range(3)]
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])

    def faces_us(self, side: Side) -> bool:
        """Whether one sees a face: its front, its right side or its top."""
        axis, sense = out_of(side)
        unit = [0.0, 0.0, 0.0]
        unit[axis] = float(sense)
        x, y, z = self.move.way((unit[0], unit[1], unit[2]))
        return -DEPTH * x + y - DEPTH * z < -1e-6


def flat(point: Point, *, scale: float) -> tuple[float, float]:
    """A point of the table's room on paper [mm].

    >>> [round(v, 3) for v in flat((100.0, 0.0, 50.0), scale=10.0)]
    [10.0, 5.0]
    """
    x, y, z = point
    return ((x + DEPTH * y) / scale, (z + DEPTH * y) / scale)


def extent(solids: Sequence[Solid]) -> tuple[float, float, float, float]:
    """Left, low, right and high of all of them at 1 : 1 [mm]."""
    points = []
    for one in solids:
        low, high = one.box
        points += [
            flat((x, y, z), scale=1.0)
            for x in (low[0], high[0])
            for y in (low[1], high[1])
            for z in (low[2], high[2])
        ]
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


@frozen
class Paper:
    """Where a picture lies on the sheet: its scale, and where the table's origin is."""

    scale: float
    x_mm: float
    y_mm: float

    def point(self, point: Point) -> tuple[float, float]:
        """A point of the table's room on the sheet."""
        x, y = flat(point, scale=self.scale)
        return (self.x_mm + x, self.y_mm + y)

    def shape(self, ring: Sequence[Point]) -> Polygon:
        """A flat ring on the sheet."""
        return Polygon([self.point(point) for point in ring])


def drawn(solids: Sequence[Solid], paper: Paper) -> list[Mark]:
    """All boxes from the farthest to the nearest."""
    marks: list[Mark] = []
    for one in ordered(solids):
        marks += _solid(one, paper, None)
    return marks


def ordered(solids: Sequence[Solid]) -> list[Solid]:
    """The boxes so that what is in front of another comes after it."""
    left = list(solids)
    boxes = {id(one): one.box for one in solids}
    found: list[Solid] = []
    while left:
        free = next(
            (
                one
                for one in left
                if not any(
                    behind(boxes[id(other)], boxes[id(one)])
                    and not behind(boxes[id(one)], boxes[id(other)])
                    for other in left
                    if other is not one
                )
            ),
            left[0],
        )
        left.remove(free)
        found.append(free)
    return found


def visible(solids: Sequence[Solid], paper: Paper) -> list[BaseGeometry]:
    """What one sees of each box, in their order: its outline less those of all that lie before."""
    outlines = {
        id(one): shapely.MultiPoint(
            [paper.point(point) for side in ("bottom", "top") for point in one.ring(side)]
        ).convex_hull
        for one in solids
    }
    found: dict[int, BaseGeometry] = {}
    before: BaseGeometry = Polygon()
    for one in reversed(ordered(solids)):
        found[id(one)] = shapely.difference(outlines[id(one)], before)
        before = shapely.union(before, outlines[id(one)])
    return [found[id(one)] for one in solids]


def largest_face(one: Solid, paper: Paper, seen: BaseGeometry) -> BaseGeometry:
    """The face of a box of which one sees most, as far as it lies in ``seen``."""
    faces = [
        shapely.intersection(_within(paper.shape(one.ring(side)), None), seen)
        for side in SIDES
        if one.faces_us(side)
    ]
    return max(faces, key=lambda face: float(face.area), default=Polygon())


def behind(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether the first box lies wholly behind, left of or below the other."""
    (low, high), (other_low, other_high) = one, other
    return (
        low[1] >= other_high[1] - _NEAR_MM
        or high[0] <= other_low[0] + _NEAR_MM
        or high[2] <= other_low[2] + _NEAR_MM
    )


def _solid(one: Solid, paper: Paper, window: BaseGeometry | None) -> list[Mark]:
    """The faces of one box that one sees, within a window if there is one."""
    marks: list[Mark] = []
    for side in SIDES:
        if side in one.open or not one.faces_us(side):
            continue
        face = _within(paper.shape(one.ring(side)), window)
        if face.is_empty:
            continue
        marks.append(Path(contours_of(face), one.style))
        if one.hatch is not None:
            marks.append(Hatch(contours_of(face), one.hatch))
        for where, ring, style in one.signs:
            if where == side:
                sign = _within(paper.shape([one.move.at(point) for point in ring]), window)
                if not sign.is_empty:
                    marks.append(Path(contours_of(sign), style))
    for side in one.open:
        if one.faces_us(side):
            marks += _opening(one, side, paper)
    return marks


def _opening(one: Solid, side: Side, paper: Paper) -> list[Mark]:
    """The rim of an open face, and what one sees through it."""
    whole = paper.shape(one.ring(side))
    hole = paper.shape(one.ring(side, inset_mm=one.wall_mm))
    axis, _ = out_of(side)
    deep = one.high_mm[axis] - one.low_mm[axis] - (0.0 if _through(one, side) else one.wall_mm)
    rim = shapely.difference(whole, hole)
    floor = _within(paper.shape(one.ring(side, inset_mm=one.wall_mm, deep_mm=deep)), hole)
    walls = shapely.difference(hole, floor)
    marks: list[Mark] = [Path(contours_of(walls), Style("quiet", 0.18, fill="foam"))]
    if not floor.is_empty and not _through(one, side):
        marks.append(Path(contours_of(floor), Style("quiet", 0.18, fill="paper")))
    for mine in ordered(one.inside):
        marks += _solid(mine, paper, hole)
    marks.append(Path(contours_of(rim), Style("ink", 0.3, fill="white")))
    marks.append(Hatch(contours_of(rim), "wall"))
    return marks


def _through(one: Solid, side: Side) -> bool:
    """Whether the face across from an open one is open too."""
    axis, sense = out_of(side)
    return any(out_of(other) == (axis, -sense) for other in one.open)


def _within(shape: BaseGeometry, window: BaseGeometry | None) -> BaseGeometry:
    if not shape.is_valid:
        shape = shapely.make_valid(shape)
    return shape if window is None else shapely.intersection(shape, window)
