"""Boxes of bodies: their size as measured, and how a box is carried along when a body is posed."""

from __future__ import annotations

import numpy as np
import shapely

from fitkit.payload.model import Body, Face

Box3 = tuple[float, float, float, float, float, float]


def body_size(body: Body) -> tuple[float, float, float]:
    """Width, depth and height of a body in its measured pose [mm]."""
    bounds = shapely.total_bounds(np.array([s.outline for s in body.sections], dtype=object))
    return (float(bounds[2]), float(bounds[3]), max(s.z1_mm for s in body.sections))


def face_size_mm(face: Face, body: Body) -> tuple[float, float]:
    """Width and height of a face as one sees who looks at it from outside [mm].

    Top and bottom are seen from above: width along x, height along y.
    """
    width, depth, height = body_size(body)
    if face in ("top", "bottom"):
        return width, depth
    return (width if face in ("front", "back") else depth), height


def stood(box: Box3, up: Face, size: tuple[float, float, float]) -> Box3:
    """A box (x0, y0, z0, x1, y1, z1) of the measured pose, carried along when ``up`` looks up."""
    x0, y0, z0, x1, y1, z1 = box
    w, d, h = size
    if up == "top":
        return box
    if up == "bottom":
        return (x0, d - y1, h - z1, x1, d - y0, h - z0)
    if up == "front":
        return (x0, z0, d - y1, x1, z1, d - y0)
    if up == "back":
        return (x0, h - z1, y0, x1, h - z0, y1)
    if up == "right":
        return (h - z1, y0, x0, h - z0, y1, x1)
    return (z0, y0, w - x1, z1, y1, w - x0)
