"""The upper half seen as if it were the lower one: what is searched there comes out alike.

Ways and places are looked for from a half's own back upwards. Turned over in height, the two halves
of a pair are the same question, and have the same answer.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from fitkit.foam.model import Point, Room
from fitkit.shell.cables.ends import Ray
from fitkit.shell.cables.paths import Way


@frozen
class Mirror:
    """z becomes ``height_mm`` - z; None leaves everything as it is. Twice is as before."""

    height_mm: float | None

    def z(self, value: float) -> float:
        """A height [mm]."""
        return value if self.height_mm is None else self.height_mm - value

    def limits(self, low: Point, high: Point) -> tuple[Point, Point]:
        """Two opposite corners of a box [mm]."""
        ends = sorted((self.z(low[2]), self.z(high[2])))
        return (low[0], low[1], ends[0]), (high[0], high[1], ends[1])

    def rays(self, rays: Sequence[Ray]) -> tuple[Ray, ...]:
        """Rays."""
        if self.height_mm is None:
            return tuple(rays)
        return tuple(
            Ray(
                (ray.at_mm[0], ray.at_mm[1], self.z(ray.at_mm[2])),
                (ray.way[0], ray.way[1], 0.0 - ray.way[2]),
                ray.straight_mm,
            )
            for ray in rays
        )

    def boxes(self, boxes: NDArray[np.float64]) -> NDArray[np.float64]:
        """Rows (x0, y0, z0, x1, y1, z1) [mm]."""
        if self.height_mm is None:
            return boxes
        turned = boxes.copy()
        turned[:, 2], turned[:, 5] = self.height_mm - boxes[:, 5], self.height_mm - boxes[:, 2]
        return turned

    def way(self, way: Way) -> Way:
        """A way."""
        if self.height_mm is None:
            return way
        corners = way.corners.copy()
        corners[:, 2] = self.height_mm - corners[:, 2]
        return Way(corners, way.radius_mm, way.length_mm)

    def room(self, room: Room) -> Room:
        """A box with its owner."""
        low, high = self.limits(room.low_mm, room.high_mm)
        return evolve(room, low_mm=low, high_mm=high)
