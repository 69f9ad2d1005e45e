"""A plan as upright solids in the case's coordinates, and how far each is lifted when taken apart.

The views of a case (closed, open, taken apart, cut) are the same solids seen in different ways:
what swings open, what is lifted and what is cut off is a matter of drawing.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any, Literal

import numpy as np
import shapely
from attrs import frozen
from shapely import MultiPolygon, Polygon

from fitkit.fit.layout import HalfName
from fitkit.fit.place import Placed, place_all
from fitkit.foam.exploded import LEAST_WALL_MM
from fitkit.foam.model import Layer
from fitkit.payload.pose import Band
from fitkit.plan import Plan
from fitkit.shell.mounting.model import Support
from fitkit.shell.mounting.outline import is_below, outline_of

SolidKind = Literal["panel", "foam", "accent", "item", "support"]

PICTURE_MM = 0.05
"""Outlines are thinned to this for the view [mm]; files for cutting are not made from it."""

SMOOTH_MM = 3.0
"""Bands whose outlines differ by less are seen as one rounded body [mm]."""

LID = "lid"
"""The half that a tray's loose lid is shown with."""


@frozen
class Solid:
    """An upright prism over [z0, z1] in the closed case [mm], and what it belongs to.

    ``tier`` is that of the items, and of the sheets that they stand in; 0 for panels. ``lift_mm``
    is how far it is raised above its half, as that lies open, when the case is taken apart.
    ``lines`` says whether its lower and its upper outline are drawn: not where a body goes on
    smoothly in the next band.
    """

    kind: SolidKind
    name: str
    half: str
    tier: int
    shape: Polygon | MultiPolygon
    z0_mm: float
    z1_mm: float
    lift_mm: float = 0.0
    lines: tuple[bool, bool] = (True, True)


def wall_mm(plan: Plan) -> tuple[float, float, float]:
    """How thick the walls are drawn [mm], along length, width and height.

    From the room inside to the outside over the profiles; at least ``LEAST_WALL_MM``, since that
    of a ready-made case may not be known.
    """
    long, wide, high = (
        max(LEAST_WALL_MM, (outside - inside) / 2)
        for outside, inside in zip(plan.outside_mm, plan.fit.interior.size_mm, strict=True)
    )
    return (long, wide, high)


def solids_of(plan: Plan) -> tuple[Solid, ...]:
    """The walls, sheets and items of a plan, half by half from its floor [mm]."""
    placed = place_all(plan.payload, plan.fit.placements)
    solids = list(_walls(plan))
    for number, half in enumerate(plan.fit.interior.halves):
        layers = sorted(
            (layer for layer in plan.foam.layers if layer.half == half.name),
            key=lambda layer: layer.index,
        )
        standing = [one for one in placed if one.placement.half == half.name]
        held = [one for one in supports_of(plan, placed) if one.half == half.name]
        solids += _filling(plan, half.name, layers, standing, held, over=number == 1)
    return tuple(solids)


@frozen
class Held:
    """A support in the closed case: its record, its half, its outline and height band [mm]."""

    piece: Support
    half: HalfName
    tier: int
    shape: Polygon
    z0_mm: float
    z1_mm: float


def supports_of(plan: Plan, placed: tuple[Placed, ...]) -> tuple[Held, ...]:
    """The supports of a plan's mounted items; none where nothing is known of the shell."""
    if plan.shell is None:
        return ()
    copies = {(one.placement.item, one.placement.copy): one for one in placed}
    made = []
    for piece in plan.shell.supports:
        one = copies.get((piece.item, piece.copy))
        if one is not None:
            shape = outline_of(piece, below=is_below(piece, one))
            place = one.placement
            made.append(
                Held(piece, place.half, place.tier, shape, piece.low_mm[2], piece.high_mm[2])
            )
    return tuple(made)


def _walls(plan: Plan) -> list[Solid]:
    """Floor and walls of each half, as far as known: one thickness all round."""
    room = plan.fit.interior
    x, y, z = wall_mm(plan)
    inside = shapely.box(0.0, 0.0, room.length_mm, room.width_mm)
    outside = shapely.box(-x, -y, room.length_mm + x, room.width_mm + y)
    ring = Polygon(outside.exterior, [inside.exterior])
    closing, top = room.closing_mm, room.height_mm
    low = room.halves[0].name
    walls = [
        Solid("panel", f"{low} floor", low, 0, outside, -z, 0.0),
        Solid("panel", f"{low} walls", low, 0, ring, 0.0, closing),
    ]
    if len(room.halves) == 1:
        return [*walls, Solid("panel", "loose lid", LID, 0, outside, top, top + z)]
    high = room.halves[1].name
    return [
        *walls,
        Solid("panel", f"{high} walls", high, 0, ring, closing, top),
        Solid("panel", f"{high} floor", high, 0, outside, top, top + z),
    ]


def _filling(
    plan: Plan,
    half: HalfName,
    layers: list[Layer],
    placed: list[Placed],
    held: list[Held],
    *,
    over: bool,
) -> list[Solid]:
    """Supports, sheets and items of one half: lifted tier by tier, items above what they stand in.

    Supports are lifted as the first sheet is, and lie in the holes that the foam leaves for them.
    """
    room = plan.fit.interior
    gap = max(24.0, 0.09 * max(room.length_mm, room.width_mm))
    depth = next(one.depth_mm for one in room.halves if one.name == half)

    def height(z0: float, z1: float) -> tuple[float, float]:
        """Heights above the half's own floor, as it lies open."""
        return (room.height_mm - z1, room.height_mm - z0) if over else (z0, z1)

    tiers = sorted({one.placement.tier for one in placed})
    stand = [[one for one in placed if one.placement.tier == tier] for tier in tiers]
    reach = [max(height(*_band(one))[1] for one in standing) for standing in stand]
    waiting = list(layers)
    solids: list[Solid] = []
    lift, top = (
        depth + gap - (height(_z(waiting[0])[0], _z(waiting[0])[1])[0] if waiting else 0),
        0.0,
    )
    for one_held in held:
        z = (one_held.z0_mm, one_held.z1_mm)
        solids.append(
            Solid("support", one_held.piece.name, half, one_held.tier, one_held.shape, *z, lift)
        )
        top = max(top, height(*z)[1] + lift)
    for number, tier in enumerate(tiers or [1]):
        last = number >= len(tiers) - 1
        while waiting and (last or height(*_z(waiting[0]))[0] < reach[number] - 1e-6):
            layer = waiting.pop(0)
            solids.append(
                Solid(layer.material, layer.name, half, tier, layer.shape, *_z(layer), lift)
            )
            top = max(top, height(*_z(layer))[1] + lift)
            lift += gap * 0.5
        if not tiers:
            break
        lowest = min(height(*_band(one))[0] for one in stand[number])
        hang = max(top, depth) + gap - lowest
        for one in stand[number]:
            for band, lines in _bands(one):
                z0, z1 = band.z0_mm, band.z1_mm
                solids.append(Solid("item", one.label, half, tier, band.shape, z0, z1, hang, lines))
                top = max(top, height(z0, z1)[1] + hang)
        if waiting:  # what comes next starts above the highest item of this tier
            lift = top + gap - height(*_z(waiting[0]))[0]
    return solids


def _bands(one: Placed) -> list[tuple[Band, tuple[bool, bool]]]:
    """An item's bands from below, and which of their outlines are drawn."""
    bands = sorted(one.solid.bands, key=lambda band: band.z0_mm)
    steps = [
        bool(abs(low.z1_mm - high.z0_mm) > 1e-6)
        or bool(shapely.hausdorff_distance(low.shape, high.shape) > SMOOTH_MM)
        for low, high in pairwise(bands)
    ]
    return [
        (band, (below, above))
        for band, below, above in zip(bands, [True, *steps], [*steps, True], strict=True)
    ]


def _z(layer: Layer) -> tuple[float, float]:
    return layer.z0_mm, layer.z1_mm


def _band(one: Placed) -> tuple[float, float]:
    return one.solid.z0_mm, one.solid.z1_mm


def scene_of(plan: Plan) -> dict[str, Any]:
    """What the view draws from: plain numbers and texts [mm], ready for JSON.

    Every part has ``pieces``: ``rings`` (the outer one first, flat lists of x, y) and
    ``triangles`` (indices into all corners of the piece's rings, counter-clockwise).
    """
    room = plan.fit.interior
    solids = solids_of(plan)
    base = room.halves[0].name
    tiers: dict[str, int] = {half.name: 1 for half in room.halves}
    for solid in solids:
        tiers[solid.half] = max(tiers.get(solid.half, 1), solid.tier)
    return {
        "title": plan.payload.title,
        "room": list(room.size_mm),
        "wall": list(wall_mm(plan)),
        "closing": room.height_mm if len(room.halves) == 1 else room.closing_mm,
        "units": plan.payload.units,
        "halves": [{"name": name, "tiers": tiers[name]} for name in tiers],
        "parts": [
            {
                "kind": solid.kind,
                "name": solid.name,
                "half": solid.half,
                "tier": solid.tier,
                "swings": solid.half != base,
                "z": [round(solid.z0_mm, 3), round(solid.z1_mm, 3)],
                "lines": list(solid.lines),
                "lift": round(solid.lift_mm, 2),
                "pieces": [_piece(one) for one in _thinned(solid.shape)],
            }
            for solid in solids
        ],
    }


def _thinned(shape: Polygon | MultiPolygon) -> list[Polygon]:
    return [
        part
        for part in shapely.get_parts(shapely.orient_polygons(shape.simplify(PICTURE_MM)))
        if isinstance(part, Polygon) and not part.is_empty
    ]


def _piece(polygon: Polygon) -> dict[str, Any]:
    """One polygon as rings and the triangles that fill it."""
    rings = [shapely.get_coordinates(ring)[:-1] for ring in (polygon.exterior, *polygon.interiors)]
    corners = np.round(np.vstack(rings), 3)
    number = {(x, y): k for k, (x, y) in enumerate(map(tuple, corners.tolist()))}
    triangles: list[int] = []
    for triangle in shapely.get_parts(shapely.constrained_delaunay_triangles(polygon)):
        three = np.round(shapely.get_coordinates(triangle)[:3], 3).tolist()
        if not triangle.exterior.is_ccw:
            three.reverse()
        triangles += [number[x, y] for x, y in three]
    return {
        "rings": [np.round(ring, 3).ravel().tolist() for ring in rings],
        "triangles": triangles,
    }
