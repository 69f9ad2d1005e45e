"""What hardware and cable exits cover of the faces of a closed case, and how far apart they are."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from fitkit.payload.model import Payload
from fitkit.payload.workshop import Side
from fitkit.shell.cables.model import CableExit
from fitkit.shell.frame import to_face
from fitkit.shell.model import Fitted, Point, Shell


@frozen
class Cover:
    """What a piece or an exit covers of one face of the closed case."""

    name: str
    side: Side
    shape: BaseGeometry


def covers_of(payload: Payload, shell: Shell) -> Iterator[Cover]:
    """What lies on the faces of the closed case, face by face."""
    for one in shell.hardware:
        if one.kind == "corner":
            yield from _corner_covers(payload, shell, one)
        else:
            yield Cover(one.name, one.side, _flange(one))
    for way in shell.exits:
        yield _exit_cover(shell, way)


def _flange(one: Fitted) -> Polygon:
    u, v = to_face(one.side, one.centre_mm)
    wide, tall = one.size_mm
    return shapely.box(u - wide / 2, v - tall / 2, u + wide / 2, v + tall / 2)


def _corner_covers(payload: Payload, shell: Shell, one: Fitted) -> Iterator[Cover]:
    """A corner's legs on each of its faces: as wide as the profile's leg along both edges."""
    reach = one.size_mm[0]
    leg = min(payload.wall.profile.leg_mm, reach)
    point = _outer_point(shell, one)
    for corner in shell.corners:
        if corner.kind != "outer" or _far(corner.at_mm, point) > 1e-6:
            continue
        for side in corner.sides:
            u, v = to_face(side, point)
            low, high = to_face(side, shell.assembly.low_mm), to_face(side, shell.assembly.high_mm)
            right = 1 if abs(u - min(low[0], high[0])) < 1e-6 else -1
            up = 1 if abs(v - min(low[1], high[1])) < 1e-6 else -1
            ring = ((0, 0), (reach, 0), (reach, leg), (leg, leg), (leg, reach), (0, reach))
            yield Cover(one.name, side, Polygon([(u + right * a, v + up * b) for a, b in ring]))


def _outer_point(shell: Shell, one: Fitted) -> Point:
    """The outer corner of the case that a corner piece guards: the nearest one."""
    low, high = shell.assembly.low_mm, shell.assembly.high_mm
    x, y, z = (
        a if abs(c - a) < abs(c - b) else b
        for a, b, c in zip(low, high, one.centre_mm, strict=True)
    )
    return (x, y, z)


def _far(one: Point, two: Point) -> float:
    return max(abs(a - b) for a, b in zip(one, two, strict=True))


def _exit_cover(shell: Shell, way: CableExit) -> Cover:
    panel = shell.panel(way.panel)
    u, v = to_face(panel.side, panel.centre_mm)
    moved = translate(way.shape, u - panel.length_mm / 2, v - panel.width_mm / 2)
    return Cover(way.name, panel.side, moved)


def apart_mm(one: BaseGeometry, two: BaseGeometry) -> float:
    """Between two shapes [mm]; below 0 by the narrower side of what they share."""
    shared = shapely.intersection(one, two)
    if shared.area > 1e-6:
        left, low, right, high = shared.bounds
        return -min(right - left, high - low)
    return float(shapely.distance(one, two))
