"""Where a point lies on a face, a panel or a profile, and back again.

Every face is seen from outside: u runs to the right and v up. The top and the bottom are seen
with the case's back away from the onlooker, so v runs to the back; on the bottom, right is the
case's left. u, v and the way out of the face make a right-handed frame, so nothing is mirrored:
what is drawn in u and v is what one sees. Everything here is plain geometry: lengths are mm, and
no function takes or makes up any other number.
"""

from __future__ import annotations

from typing import Literal, TypeVar

import shapely
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from fitkit.payload.workshop import SIDES, Side
from fitkit.shell.model import Assembly, Axis, Bar, Panel, Part, Point

AXES: tuple[Axis, ...] = ("x", "y", "z")

_Sign = Literal[-1, 1]
_OUT: dict[Side, tuple[int, _Sign]] = {
    "bottom": (2, -1),
    "top": (2, 1),
    "front": (1, -1),
    "back": (1, 1),
    "left": (0, -1),
    "right": (0, 1),
}
"""Which axis a face looks along, and whether towards its low or its high end."""

_U: dict[Side, tuple[int, _Sign]] = {
    "bottom": (0, -1),
    "top": (0, 1),
    "front": (0, 1),
    "back": (0, -1),
    "left": (1, -1),
    "right": (1, 1),
}
"""Along which axis u runs on a face, and which way."""

_Geometry = TypeVar("_Geometry", bound=BaseGeometry)


def out_of(side: Side) -> tuple[int, Literal[-1, 1]]:
    """The axis (0 x, 1 y, 2 z) that a face looks along, and its sense: the way out.

    >>> out_of("front"), out_of("top")
    ((1, -1), (2, 1))
    """
    return _OUT[side]


def u_of(side: Side) -> tuple[int, Literal[-1, 1]]:
    """The axis along which u runs on a face seen from outside, and its sense.

    >>> u_of("back"), u_of("right")
    ((0, -1), (1, 1))
    """
    return _U[side]


def v_of(side: Side) -> tuple[int, Literal[-1, 1]]:
    """The axis along which v runs on a face, and its sense: up, or to the back on top and bottom.

    >>> v_of("left"), v_of("bottom")
    ((2, 1), (1, 1))
    """
    return (1, 1) if _OUT[side][0] == 2 else (2, 1)


def side_at(axis: Axis, *, high: bool) -> Side:
    """The face at the low or the high end of an axis.

    >>> side_at("y", high=False)
    'front'
    """
    wanted = (AXES.index(axis), 1 if high else -1)
    return next(side for side in SIDES if _OUT[side] == wanted)


def opposite(side: Side) -> Side:
    """The face across from a face.

    >>> opposite("left")
    'right'
    """
    axis, sense = _OUT[side]
    return side_at(AXES[axis], high=sense < 0)


def plane_mm(box: Part | Assembly, side: Side) -> float:
    """Where a face of a part or of the whole case lies along its axis [mm].

    >>> plane_mm(Part("lid", (0.0, 0.0, 0.0), (30.0, 20.0, 10.0)), "top")
    10.0
    """
    axis, sense = _OUT[side]
    return box.high_mm[axis] if sense > 0 else box.low_mm[axis]


def to_face(side: Side, point: Point) -> tuple[float, float]:
    """A point of the case as seen on a face from outside: (u, v) [mm].

    u and v are counted from the case's origin, so u is negative on the faces where it runs
    against its axis; the differences are what one measures. How deep the point lies is dropped.

    >>> to_face("back", (120.0, 390.0, 40.0))
    (-120.0, 40.0)
    """
    u, u_sense = _U[side]
    v, v_sense = v_of(side)
    return (u_sense * point[u], v_sense * point[v])


def from_face(side: Side, uv: tuple[float, float], plane_mm: float) -> Point:
    """The point of the case at (u, v) on a face that lies at ``plane_mm`` along its axis [mm].

    The inverse of :func:`to_face` for points of that plane.

    >>> from_face("back", (-120.0, 40.0), 390.0)
    (120.0, 390.0, 40.0)
    """
    u, u_sense = _U[side]
    v, v_sense = v_of(side)
    found = {u: u_sense * uv[0], v: v_sense * uv[1], _OUT[side][0]: plane_mm}
    return (found[0], found[1], found[2])


def to_panel(panel: Panel, point: Point) -> tuple[float, float]:
    """A point of the case in a panel's own (u, v): from its lower left corner, from outside [mm].

    >>> panel = Panel("deep", "right", 40.0, 20.0, (55.0, 20.0, 10.0), "board", 6.0, None)
    >>> to_panel(panel, (55.0, 5.0, 4.0))
    (5.0, 4.0)
    """
    u, v = to_face(panel.side, point)
    u_mid, v_mid = to_face(panel.side, panel.centre_mm)
    return (u - u_mid + panel.length_mm / 2, v - v_mid + panel.width_mm / 2)


def from_panel(panel: Panel, u_mm: float, v_mm: float, out: bool = True) -> Point:
    """The point of the case at (u, v) on a panel's outer face, or on its inner one [mm].

    The inverse of :func:`to_panel` for points of that face.

    >>> panel = Panel("deep", "right", 40.0, 20.0, (55.0, 20.0, 10.0), "board", 6.0, None)
    >>> from_panel(panel, 5.0, 4.0), from_panel(panel, 5.0, 4.0, out=False)
    ((58.0, 5.0, 4.0), (52.0, 5.0, 4.0))
    """
    u_mid, v_mid = to_face(panel.side, panel.centre_mm)
    axis, sense = _OUT[panel.side]
    plane = panel.centre_mm[axis] + (sense if out else -sense) * panel.thickness_mm / 2
    uv = (u_mm + u_mid - panel.length_mm / 2, v_mm + v_mid - panel.width_mm / 2)
    return from_face(panel.side, uv, plane)


def along(bar: Bar) -> tuple[int, Literal[-1, 1]]:
    """The axis that a profile lies along, and its sense from start to end."""
    moves = [end - start for start, end in zip(bar.start_mm, bar.end_mm, strict=True)]
    axis = max(range(3), key=lambda one: abs(moves[one]))
    return (axis, 1 if moves[axis] > 0 else -1)


def to_bar(bar: Bar, point: Point, side: Side) -> tuple[float, float]:
    """A point on a leaf of a profile: along from the bar's start, and away from its outer edge.

    ``side`` is the face on which the leaf lies, one of the bar's own two. Both lengths are mm;
    away counts from the edge's outer line (the closing plane, for a closing profile) inwards.
    ValueError if the profile has no leaf on that face.

    >>> bar = Bar("deep", "edge", ("bottom", "front"), (30.0, 0.0, 0.0), (70.0, 0.0, 0.0),
    ...           40.0, 40.0, "square")
    >>> to_bar(bar, (45.0, 0.0, 12.0), "front"), to_bar(bar, (45.0, 12.0, 0.0), "bottom")
    ((15.0, 12.0), (15.0, 12.0))
    """
    if side not in bar.sides:
        raise ValueError(f"{bar.name} has no leaf on the {side}")
    other = bar.sides[1] if side == bar.sides[0] else bar.sides[0]
    axis, sense = along(bar)
    across, out = _OUT[other]
    return (
        sense * (point[axis] - bar.start_mm[axis]),
        -out * (point[across] - bar.start_mm[across]),
    )


def mirrored(shape: _Geometry, width_mm: float) -> _Geometry:
    """A shape in a panel's u and v as one marks it from inside: u becomes width - u [mm].

    ``width_mm`` is the panel's length along u. Twice mirrored is the same; outlines come back
    normalised, since a mirror turns their sense round.

    >>> mirrored(shapely.box(1.0, 2.0, 4.0, 8.0), 10.0).bounds
    (6.0, 2.0, 9.0, 8.0)
    """
    flipped: _Geometry = affine_transform(shape, [-1.0, 0.0, 0.0, 1.0, width_mm, 0.0])
    return shapely.normalize(flipped)
