"""The open case taken apart: every sheet of foam and every item as an upright prism.

The deep half lies in front, the shallow one behind it, turned over about its long side as it
lies on the bench, so that the pockets of both look up. The sheets are spread upwards, and the
items of each tier hang above their own sheets, under those of the next tier. Pictures are made
from this by whoever draws.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
import shapely
from attrs import frozen
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import HalfName, Interior
from fitkit.fit.place import Placed
from fitkit.foam.model import Foam, Layer

PartKind = Literal["foam", "accent", "item", "panel", "support"]

VIEW_FROM = (-0.52, -1.0, 0.86)
"""Where the viewer of the open case stands, as a direction: in front, to the left, above."""


@frozen
class Part:
    """An upright prism: a plan outline over [z0, z1], and what it belongs to [mm]."""

    kind: PartKind
    name: str
    half: HalfName
    shape: Polygon | MultiPolygon
    z0_mm: float
    z1_mm: float


LEAST_WALL_MM = 3.0
"""A wall is drawn at least this thick [mm]: that of a ready-made case may not be known."""


def exploded_parts(
    foam: Foam,
    interior: Interior,
    placed: tuple[Placed, ...],
    *,
    outside_mm: tuple[float, float, float],
    supports: tuple[Part, ...] = (),
) -> tuple[Part, ...]:
    """The parts of the open case from the bottom up, half by half.

    ``outside_mm`` gives the floor panels their size, ``supports`` what mounted items stand on, in
    the closed case. Lengths in mm; the deep half's interior corner is the origin. The parts of one
    half do not overlap each other.
    """
    gap_mm = max(24.0, 0.11 * max(interior.length_mm, interior.width_mm))
    parts: list[Part] = []
    for number, half in enumerate(interior.halves):
        behind = number * (outside_mm[1] + 2.6 * gap_mm)
        over = number == 1
        parts += _half_parts(
            half.name,
            sorted(
                (layer for layer in foam.layers if layer.half == half.name), key=lambda la: la.index
            ),
            [one for one in placed if one.placement.half == half.name],
            [one for one in supports if one.half == half.name],
            interior=interior,
            outside_mm=outside_mm,
            gap_mm=gap_mm,
            behind_mm=behind,
            over=over,
        )
    return tuple(parts)


def _half_parts(
    name: HalfName,
    layers: list[Layer],
    placed: list[Placed],
    supports: list[Part],
    *,
    interior: Interior,
    outside_mm: tuple[float, float, float],
    gap_mm: float,
    behind_mm: float,
    over: bool,
) -> list[Part]:
    """One half's floor panel, sheets and items, as it lies open on the bench."""
    wall_mm = max(LEAST_WALL_MM, (outside_mm[0] - interior.length_mm) / 2)
    panel = shapely.box(
        -wall_mm, -wall_mm, interior.length_mm + wall_mm, interior.width_mm + wall_mm
    )

    def laid(shape: BaseGeometry) -> Polygon | MultiPolygon:
        side = -1.0 if over else 1.0
        foot = interior.width_mm if over else 0.0
        new = shapely.transform(shape, lambda xy: xy * (1.0, side) + (0.0, foot + behind_mm))
        if not isinstance(new, Polygon | MultiPolygon):
            raise TypeError(f"a polygon was expected, not a {new.geom_type}")
        return new

    def height(z0_mm: float, z1_mm: float) -> tuple[float, float]:
        """Heights above the half's own floor, as it lies open."""
        if over:
            return interior.height_mm - z1_mm, interior.height_mm - z0_mm
        return z0_mm, z1_mm

    parts = [Part("panel", f"{name} floor", name, laid(panel), -wall_mm, 0.0)]
    lift = top = 0.0
    for held in supports:
        z0, z1 = (z + gap_mm * 0.55 for z in height(held.z0_mm, held.z1_mm))
        parts.append(Part(held.kind, held.name, name, laid(held.shape), z0, z1))
        top = max(top, z1)
    waiting = list(layers)
    tiers = sorted({one.placement.tier for one in placed})  # from the half's own floor up
    stand = [[one for one in placed if one.placement.tier == tier] for tier in tiers]
    reach = [
        max(height(one.solid.z0_mm, one.solid.z1_mm)[1] for one in standing) for standing in stand
    ]
    for number, standing in enumerate([*stand, []]):
        # the sheets that a tier stands in: all up to its highest top, the last tier takes the rest
        last = number >= len(stand) - 1
        while waiting and (
            last or height(waiting[0].z0_mm, waiting[0].z1_mm)[0] < reach[number] - 1e-6
        ):
            layer = waiting.pop(0)
            z0, z1 = height(layer.z0_mm, layer.z1_mm)
            lift += gap_mm * 0.55
            parts.append(
                Part(layer.material, layer.name, name, laid(layer.shape), z0 + lift, z1 + lift)
            )
            top = max(top, z1 + lift)
        if not standing:
            continue
        lowest = min(height(one.solid.z0_mm, one.solid.z1_mm)[0] for one in standing)
        hang = top + gap_mm - lowest
        for one in standing:
            for band in one.solid.bands:
                z0, z1 = height(band.z0_mm, band.z1_mm)
                parts.append(Part("item", one.label, name, laid(band.shape), z0 + hang, z1 + hang))
                top = max(top, z1 + hang)
        # what comes next starts above the highest item of this tier
        if waiting:
            lift = top + gap_mm * 2.4 - height(waiting[0].z0_mm, waiting[0].z1_mm)[0]
    return parts


def largest_tops(parts: tuple[Part, ...]) -> dict[tuple[str, str], Part]:
    """For every item, by half and name, the part that carries its name.

    It is the one with the largest outline, and the upper one of two alike.
    """
    tops: dict[tuple[str, str], Part] = {}
    for part in parts:
        if part.kind == "item":
            known = tops.get((part.half, part.name))
            if known is None or (part.shape.area, part.z1_mm) > (known.shape.area, known.z1_mm):
                tops[part.half, part.name] = part
    return tops


def view_axes() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The picture's right, up and towards-the-viewer directions (unit vectors) for VIEW_FROM."""
    towards = np.array(VIEW_FROM) / np.linalg.norm(VIEW_FROM)
    right = np.cross((0.0, 0.0, 1.0), towards)
    right /= np.linalg.norm(right)
    return right, np.cross(towards, right), towards


def side_light(dx_mm: float, dy_mm: float) -> float:
    """How bright an upright side is drawn, 0 to 1, from its run along a counter-clockwise outline.

    >>> side_light(10.0, 0.0) > side_light(0.0, -10.0)
    True
    """
    length = float(np.hypot(dx_mm, dy_mm)) or 1.0
    facing = (dy_mm / length, -dx_mm / length)
    return float(0.74 + 0.12 * (-facing[1]) + 0.07 * facing[0])
