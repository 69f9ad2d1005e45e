"""Which offsets of two pieces conflict: masks on a grid, exact at its points.

A *shape* is a piece at one turn, moved so that its reach (body and zones with their margins to the
walls) begins at the origin; a *place* is where that origin is, in whole cells. Two places conflict
if the bodies are nearer than the web, or one's body is nearer than the web to the other's zone;
zones may share space. Touching is allowed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from attrs import frozen

from fitkit.fit.conflict.masks_compiled import fill
from fitkit.fit.pieces import Margins, Piece, Spot, room_of
from fitkit.fit.polish.parts import turned_parts

Pair = tuple[int, int]
Ints = np.ndarray

MOST_BYTES = 220_000_000
"""Masks that take more memory than this are refused: fewer turns or a coarser grid will do."""


class TooManyMasks(Exception):
    """The masks would take too much memory."""


@frozen(eq=False)
class Shape:
    """A piece at one turn: its convex parts from its origin, and where the origin really is.

    ``rings`` are convex, counter-clockwise, from their lowest corner [mm]; ``zone`` tells which are
    a zone's. The piece's spot is ``turn_deg`` and the place plus ``shift_mm``. ``size_mm`` is how
    far its reach gets from the origin.
    """

    turn_deg: float
    shift_mm: tuple[float, float]
    size_mm: tuple[float, float]
    rings: tuple[np.ndarray, ...]
    zone: tuple[bool, ...]

    @classmethod
    def of(
        cls,
        piece: Piece,
        turn_deg: float,
        margins: Margins,
        *,
        tolerance_mm: float,
        fixed: Spot | None = None,
    ) -> Shape:
        """The shape of a piece at a turn; a ``fixed`` one stands at its spot at place (0, 0)."""
        x0, y0, x1, y1 = room_of([(piece, Spot(turn_deg, 0.0, 0.0))], margins)
        shift = (-x0, -y0) if fixed is None else (fixed.x_mm, fixed.y_mm)
        bodies, zones = turned_parts(piece, turn_deg, tolerance_mm)
        rings = [part.core + np.array(shift) for part in (*bodies, *zones)]
        flags = (False,) * len(bodies) + (True,) * len(zones)
        size = (x1 + shift[0], y1 + shift[1])
        return cls(turn_deg, shift, size, tuple(from_lowest(ring) for ring in rings), flags)

    @property
    def bounds_mm(self) -> np.ndarray:
        """The least and greatest x and y of its parts, shape (2, 2) [mm]."""
        corners = np.concatenate(self.rings)
        return np.stack([corners.min(axis=0), corners.max(axis=0)])


def from_lowest(ring: np.ndarray) -> np.ndarray:
    """A convex ring without flat or double corners, counter-clockwise from its lowest corner."""
    hull = shapely.MultiPoint(ring).convex_hull
    assert isinstance(hull, shapely.Polygon)
    corners = shapely.get_coordinates(shapely.orient_polygons(hull))[:-1]
    return np.roll(corners, -int(np.lexsort((corners[:, 0], corners[:, 1]))[0]), axis=0)


@frozen(eq=False)
class Table:
    """Masks of all pairs of shapes that may conflict.

    Mask k of ``flat`` begins at ``starts[k]`` and has ``shape[k]`` cells, the first for the offset
    ``low[k]`` [cells] of the first shape's place from the second's. ``index[a, b]`` is the mask of
    shapes a and b (-1: none), made for the lower number first.
    """

    step_mm: float
    shapes: tuple[Shape, ...]
    flat: np.ndarray
    starts: Ints
    low: Ints
    shape: Ints
    index: Ints

    @classmethod
    def of(
        cls,
        shapes: Sequence[Shape],
        pairs: Iterable[Pair],
        *,
        web_mm: float,
        step_mm: float,
    ) -> Table:
        """The masks of pairs of shapes (by index) at a web, on a grid of ``step_mm``."""
        made = np.array(sorted({(min(a, b), max(a, b)) for a, b in pairs}), dtype=np.int64)
        made = made.reshape(-1, 2)
        box = np.array([shape.bounds_mm for shape in shapes])
        first, second = made[:, 0], made[:, 1]
        least = (box[second, 0] - box[first, 1] - web_mm) / step_mm
        most = (box[second, 1] - box[first, 0] + web_mm) / step_mm
        low = np.floor(least).astype(np.int64) - 2
        size = np.ceil(most).astype(np.int64) + 3 - low
        bytes_ = size[:, 0] * size[:, 1]
        if int(bytes_.sum()) > MOST_BYTES:
            raise TooManyMasks
        starts = np.concatenate([[0], np.cumsum(bytes_)])[:-1].astype(np.int64)
        flat = np.zeros(int(bytes_.sum()), dtype=np.uint8)
        index = np.full((len(shapes), len(shapes)), -1, dtype=np.int64)
        index[first, second] = index[second, first] = np.arange(len(made))
        if len(made):
            rings = [ring for shape in shapes for ring in shape.rings]
            spans = np.concatenate([[0], np.cumsum([len(ring) for ring in rings])])
            fill(
                flat,
                starts,
                low,
                size,
                first,
                second,
                np.concatenate(rings),
                np.concatenate([from_lowest(-ring) for ring in rings]),
                spans.astype(np.int64),
                np.array([flag for shape in shapes for flag in shape.zone], dtype=np.bool_),
                np.concatenate([[0], np.cumsum([len(s.rings) for s in shapes])]).astype(np.int64),
                web_mm,
                step_mm,
            )
        return cls(step_mm, tuple(shapes), flat, starts, low, size, index)

    def depth(self, a: int, b: int, dx: int, dy: int) -> int:
        """How deep shape a, (dx, dy) cells from shape b, is in conflict with it; 0: not at all."""
        k = int(self.index[a, b])
        if a > b:
            dx, dy = -dx, -dy
        c, r = dx - int(self.low[k, 0]), dy - int(self.low[k, 1])
        if not (0 <= c < self.shape[k, 0] and 0 <= r < self.shape[k, 1]):
            return 0
        return int(self.flat[int(self.starts[k]) + c * int(self.shape[k, 1]) + r])
