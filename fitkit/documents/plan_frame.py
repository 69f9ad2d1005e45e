"""What surrounds a plan view: from millimetres to paper, walls, and the dimensions beside them."""

from __future__ import annotations

import numpy as np
import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.furniture import dimension
from fitkit.documents.naming import size
from fitkit.documents.sheet import Hatch, Mark, Path, Style, box, contours_of
from fitkit.plan import Plan


@frozen
class Frame:
    """From the plan's millimetres to the sheet's: scale, origin, and turned over or not."""

    scale: float
    x_mm: float
    y_mm: float
    width_mm: float
    over: bool

    def point(self, x: float, y: float) -> tuple[float, float]:
        """A point of the plan on the sheet."""
        up = self.width_mm - y if self.over else y
        return (self.x_mm + x / self.scale, self.y_mm + up / self.scale)

    def shape(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the plan on the sheet."""
        sign, shift = (-1.0, self.width_mm) if self.over else (1.0, 0.0)
        by = np.array([self.x_mm, self.y_mm])
        return shapely.transform(
            shape, lambda xy: by + (xy * (1.0, sign) + (0.0, shift)) / self.scale
        )


def outside_box(plan: Plan) -> BaseGeometry:
    """The outside of the case, seen from above; the room itself where it is not known."""
    interior = plan.fit.interior
    dx = (plan.outside_mm[0] - interior.length_mm) / 2
    dy = (plan.outside_mm[1] - interior.width_mm) / 2
    return shapely.box(-dx, -dy, interior.length_mm + dx, interior.width_mm + dy)


def wall_marks(plan: Plan, frame: Frame) -> list[Mark]:
    """The wall, cut through; only its inner face where the outside is not known."""
    if not plan.outside_known:
        interior = plan.fit.interior
        rim = contours_of(frame.shape(interior.outline_at(interior.closing_mm)))
        return [Path(rim, Style("ink", 0.5))]
    left, low, right, high = frame.shape(outside_box(plan)).bounds
    outer = box(left, low, right, high, corner_mm=2.2)
    inner = contours_of(frame.shape(plan.fit.interior.outline_at(plan.fit.interior.closing_mm)))
    return [Hatch((outer, *inner), "wall"), Path((outer,), Style("ink", 0.5))]


def dimension_marks(plan: Plan, frame: Frame) -> list[Mark]:
    """Length and width inside, and outside where they are known."""
    interior = plan.fit.interior
    left, low, right, high = frame.shape(outside_box(plan)).bounds
    in_left, in_low = frame.x_mm, frame.y_mm
    in_right = in_left + interior.length_mm / frame.scale
    in_high = in_low + interior.width_mm / frame.scale
    marks = [
        *dimension(
            (in_left, high + 5.5),
            (in_right, high + 5.5),
            f"{size(interior.length_mm)} interior",
            from_mm=high,
        ),
        *dimension(
            (left - 5.5, in_low),
            (left - 5.5, in_high),
            f"{size(interior.width_mm)} interior",
            from_mm=left,
        ),
    ]
    if not plan.outside_known:
        return marks
    return [
        *marks,
        *dimension(
            (left, high + 10.5),
            (right, high + 10.5),
            f"{size(plan.outside_mm[0])} outside",
            from_mm=high,
        ),
        *dimension(
            (left - 10.5, low),
            (left - 10.5, high),
            f"{size(plan.outside_mm[1])} outside",
            from_mm=left,
        ),
    ]


def room_at(plan: Plan, band_mm: tuple[float, float]) -> Polygon:
    """The room that there is over a band of heights, seen from above: leaning walls narrow it."""
    return plan.fit.interior.outline_within(*band_mm)


def lean_marks(plan: Plan, band_mm: tuple[float, float], frame: Frame) -> list[Mark]:
    """Where leaning walls are at their narrowest over a band of heights; nothing if upright."""
    if not plan.fit.interior.leans:
        return []
    return [Path(contours_of(frame.shape(room_at(plan, band_mm))), Style("quiet", 0.18))]
