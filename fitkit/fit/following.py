"""The interior that follows its items: the least rectangle that keeps the walls' clearance."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import turned_item
from fitkit.payload.model import Face, Item, Payload

Floats = NDArray[np.float64]


@frozen
class PlanBox:
    """A rectangle seen from above [mm]; ``x0 <= x1`` and ``y0 <= y1``."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float

    @property
    def size_mm(self) -> tuple[float, float]:
        """Length (x) and width (y) [mm]."""
        return (self.x1_mm - self.x0_mm, self.y1_mm - self.y0_mm)

    @property
    def centre_mm(self) -> tuple[float, float]:
        """The middle [mm]."""
        return ((self.x0_mm + self.x1_mm) / 2, (self.y0_mm + self.y1_mm) / 2)


def following_box(
    payload: Payload, interior: Interior, placements: tuple[Placement, ...]
) -> PlanBox:
    """The least rectangle around the placements that keeps the wall clearance [mm].

    It is the interior at the closing plane: where walls lean, items near a floor ask for more,
    and an item that would reach into a rounded corner moves that corner's two sides out evenly.
    Zones must be inside, without clearance. The rectangle is in the placements' own coordinates;
    :func:`fitkit.fit.move.settled` makes its corner the origin. A ready-made case, whose floors
    were measured, follows nothing: its own rectangle comes back. ValueError without placements.
    """
    if not placements:
        raise ValueError("a box needs at least one placement to follow")
    if interior.floors_mm:
        return PlanBox(0.0, 0.0, interior.length_mm, interior.width_mm)
    xy, inset_mm, keep_mm = _claims(payload, interior, placements)
    off_mm = (keep_mm + inset_mm)[:, np.newaxis]
    x0, y0 = (xy - off_mm).min(axis=0)
    x1, y1 = (xy + off_mm).max(axis=0)
    grow = {(sx, sy): 0.0 for sx in (-1, 1) for sy in (-1, 1)}
    radius_mm = interior.corner_mm - keep_mm
    if (radius_mm > 0).any():
        for sx, sy in grow:
            from_x = xy[:, 0] - x0 if sx < 0 else x1 - xy[:, 0]
            from_y = xy[:, 1] - y0 if sy < 0 else y1 - xy[:, 1]
            u = interior.corner_mm - (from_x - inset_mm)
            v = interior.corner_mm - (from_y - inset_mm)
            grow[sx, sy] = _corner_growth(u, v, radius_mm)
    return PlanBox(
        float(x0 - max(grow[-1, -1], grow[-1, 1])),
        float(y0 - max(grow[-1, -1], grow[1, -1])),
        float(x1 + max(grow[1, -1], grow[1, 1])),
        float(y1 + max(grow[-1, 1], grow[1, 1])),
    )


def _corner_growth(u: Floats, v: Floats, radius_mm: Floats) -> float:
    """How far a rounded corner must move out along both axes to take in all points.

    ``u`` and ``v`` are how far the points lie beyond the arc's centre; a corner moved by d
    contains a point when (u - d)^2 + (v - d)^2 <= r^2. Points of no radius ask for nothing.
    """
    out = (radius_mm > 0) & (u > 0) & (v > 0) & (u**2 + v**2 > radius_mm**2 + 1e-9)
    if not out.any():
        return 0.0
    s, q = (u + v)[out], (u**2 + v**2 - radius_mm**2)[out]
    return float(np.max((s - np.sqrt(np.maximum(s**2 - 2 * q, 0.0))) / 2))


@frozen(eq=False)
class _Claim:
    """Points of one item on one face at one turn that must be inside, at the origin.

    One row for each point: the point, the height band that it stands for, and whether it is of
    the body (or else of a zone). Corners of convex hulls are enough: the room is convex.
    """

    xy_mm: Floats
    band_mm: Floats
    of_body: NDArray[np.bool_]


@lru_cache(maxsize=4096)
def _claim(item: Item, up: Face, turn_deg: float) -> _Claim:
    solid = turned_item(item, up, turn_deg).solid
    shapes: list[tuple[BaseGeometry, float, float, bool]] = [
        (band.shape, band.z0_mm, band.z1_mm, True) for band in solid.bands
    ]
    shapes += [(room.outline, room.z0_mm, room.z1_mm, False) for room in solid.rooms]
    points = [shapely.get_coordinates(shapely.convex_hull(shape)) for shape, _, _, _ in shapes]
    counts = [len(xy) for xy in points]
    return _Claim(
        np.vstack(points),
        np.repeat(np.array([(z0, z1) for _, z0, z1, _ in shapes]), counts, axis=0),
        np.repeat(np.array([body for _, _, _, body in shapes]), counts),
    )


def _claims(
    payload: Payload, interior: Interior, placements: tuple[Placement, ...]
) -> tuple[Floats, Floats, Floats]:
    """Points that must be inside, the walls' inset at their height, and the distance to keep."""
    items = {item.name: item for item in payload.items}
    claims = [_claim(items[p.item], p.up, p.turn_deg) for p in placements]
    counts = [len(claim.xy_mm) for claim in claims]
    by_mm = np.repeat(np.array([(p.x_mm, p.y_mm, p.z_mm) for p in placements]), counts, axis=0)
    xy = np.vstack([claim.xy_mm for claim in claims]) + by_mm[:, :2]
    of_body = np.concatenate([claim.of_body for claim in claims])
    lean = math.tan(math.radians(interior.draft_deg))
    inset_mm = np.zeros(len(xy))
    if lean:
        bands = np.vstack([claim.band_mm for claim in claims]) + by_mm[:, 2:]
        inset_mm = np.abs(bands - interior.closing_mm).max(axis=1) * lean
    return xy, inset_mm, np.where(of_body, payload.case.clearance.wall_mm, 0.0)
