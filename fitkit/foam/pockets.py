"""The pocket of one item in one layer: wide enough to lift out, and cuttable.

A pocket holds every section of the item that passes its layer on the way out, so a wide foot
under a narrow neck widens the pocket above it. Its outline is the item's, offset by the allowance,
then opened wherever the tool cannot reach.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.foam.cutting import Method
from fitkit.geometry.shapes import circle, grow

RELIEF_MM = 2.0
"""Room beside an item in the foam that closes over it, each side [mm] (assumption)."""

REACH_MM = 0.02
"""How exactly a tool follows a drawn outline [mm]; slivers below it are not opened."""

LEAST_MM2 = 0.5
"""Cut-outs and leftovers smaller than this are crumbs [mm2]."""


def pocket(section: BaseGeometry, *, allowance_mm: float, method: Method) -> tuple[Polygon, ...]:
    """The cut-outs for ``section``: offset by the allowance and cuttable by ``method``.

    The result covers :func:`eased` of the section. Foam tongues and islands narrower than the
    method's narrowest web are taken out with the pocket.
    """
    return _pocket(section, allowance_mm, method)


@lru_cache(maxsize=4096)
def _pocket(section: BaseGeometry, allowance_mm: float, method: Method) -> tuple[Polygon, ...]:
    return polygons(cuttable(without_tongues(eased(section, allowance_mm), method), method))


def eased(section: BaseGeometry, allowance_mm: float) -> BaseGeometry:
    """``section`` offset by the allowance [mm]; parts too thin to be snug keep their size.

    >>> snug = eased(shapely.box(0, 0, 100, 40), -0.5)
    >>> snug.bounds
    (0.5, 0.5, 99.5, 39.5)
    """
    if allowance_mm == 0:
        return section
    if allowance_mm > 0:
        return grow(section, allowance_mm)
    snug = shapely.buffer(section, allowance_mm, quad_segs=16)
    back = shapely.buffer(snug, -1.5 * allowance_mm, join_style="mitre", mitre_limit=5.0)
    thin = [p for p in polygons(section.difference(back)) if p.area > LEAST_MM2]
    return shapely.union_all([snug, *thin]) if thin else snug


def without_tongues(shape: BaseGeometry, method: Method) -> BaseGeometry:
    """``shape`` with the foam tongues and islands inside it that are too narrow to stand."""
    extra = tongues(shape, method)
    if not extra:
        return shape
    return shapely.union_all([shape, *(shapely.buffer(piece, 0.05) for piece in extra)])


def tongues(shape: BaseGeometry, method: Method) -> list[Polygon]:
    """The foam tongues, wedges and islands within a cut-out that are too narrow to stand."""
    radius = method.min_web_mm / 2
    closed = shapely.buffer(shapely.buffer(shape, radius, quad_segs=8), -radius, quad_segs=8)
    # a right-angled foam corner leaves 0.215 radius2 behind; a tongue or sharp wedge more
    least = 0.4 * radius**2
    if closed.area - shape.area < 0.9 * least:
        return []
    return [
        piece
        for piece in polygons(closed.difference(shape))
        if piece.area > least and not piece.buffer(-0.05).is_empty
    ]


def cuttable(
    shape: BaseGeometry, method: Method, *, own: BaseGeometry | None = None
) -> BaseGeometry:
    """``shape`` made so that a tool of the method's inner radius reaches all of it.

    Inside corners are opened with relief circles of the tool's radius that pass through the
    corner; slots narrower than the tool are widened to it. Nothing of ``shape`` is lost. Where
    ``shape`` runs into ``own``, a cut-out that is cuttable already, the tool comes in from there.
    """
    radius = method.inner_radius_mm
    if radius <= 0 or shape.is_empty:
        return shape
    beside = Polygon() if own is None else own
    whole = shape if beside.is_empty else shapely.union_all([shape, beside])
    reached = grow(shapely.buffer(whole, -radius, quad_segs=16), radius + REACH_MM / 2)
    missed = [p for p in polygons(shape.difference(reached)) if not _is_hair(p)]
    if not beside.is_empty:
        missed = [p for p in missed if not _is_hair_of(p.difference(beside))]
    if not missed:
        return shape
    core = shapely.buffer(whole, -radius - REACH_MM, quad_segs=16)
    reliefs = [part for piece in missed for part in _relief(piece, core, radius)]
    swept = shapely.union_all([reached, *reliefs])
    left = [q for p in missed for q in polygons(p.difference(swept)) if not _is_hair(q)]
    return shapely.union_all([shape, *reliefs, *(grow(piece, radius) for piece in left)])


def _relief(piece: Polygon, core: BaseGeometry, radius: float) -> list[BaseGeometry]:
    """Circles of the tool's radius that reach into one missed corner."""
    corners = shapely.points(shapely.get_coordinates(piece.exterior)[:-1])
    if core.is_empty:
        return [grow(piece, radius)]
    away = shapely.distance(corners, core)
    if float(away.max()) > 3 * radius:  # a slot, not a corner
        return [grow(piece, radius)]
    x, y = shapely.get_coordinates(piece.exterior)[int(np.argmax(away))]
    _, (cx, cy) = shapely.get_coordinates(shapely.shortest_line(shapely.Point(x, y), core))
    reach = float(np.hypot(cx - x, cy - y))
    at = (float(x + (cx - x) * radius / reach), float(y + (cy - y) * radius / reach))
    disc = circle(radius, at=at)
    rest = [p for p in polygons(piece.difference(disc)) if not _is_hair(p)]
    return [disc, *(grow(p, radius) for p in rest)]


def _is_hair(piece: Polygon) -> bool:
    """Say whether a leftover is thinner than a tool follows anyway."""
    return piece.area < 1e-3 or bool(shapely.buffer(piece, -REACH_MM / 2).is_empty)


def _is_hair_of(shape: BaseGeometry) -> bool:
    """Whether all pieces of a shape are hairs."""
    return all(_is_hair(piece) for piece in polygons(shape))


def polygons(shape: BaseGeometry) -> tuple[Polygon, ...]:
    """The polygons of a shape, normalised, largest first; lines and points are dropped."""
    if isinstance(shape, Polygon):
        return () if shape.is_empty else (shapely.normalize(shape),)
    # a collection may hold several-part shapes: take it apart twice
    pieces = shapely.get_parts(shapely.get_parts(shape))
    parts = [piece for piece in pieces if isinstance(piece, Polygon)]
    return tuple(shapely.normalize(p) for p in sorted(parts, key=lambda p: (-p.area, p.bounds)))
