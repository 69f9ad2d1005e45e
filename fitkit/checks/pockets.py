"""Does every pocket hold its item, and is there foam under it?

Measured on the finished layers, reliefs in the other half included.
"""

from __future__ import annotations

from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_least, names
from fitkit.checks.stages import ACCURACY_MM, Stages
from fitkit.fit.place import Placed
from fitkit.foam.model import Layer
from fitkit.geometry.shapes import grow

LEAST_FLOOR_MM = 10.0
"""Never less foam than this under an item [mm] (common practice, no source)."""

SLIVER_MM2 = 1.0
"""Foam that a body meets below this area is a rounding of corners [mm2]."""


def pockets_hold(stages: Stages) -> tuple[Finding, ...]:
    """No foam where a body is, in any layer that the body crosses; a snug allowance is allowed."""
    allowance = stages.payload.foam.allowance_mm
    finished = [(layer, layer.shape) for layer in stages.foam.layers]
    found: list[Finding] = []
    good = 0
    for one in stages.placed:
        meets = [
            (layer, area)
            for layer, left in finished
            for area in (_met_mm2(one, layer, left, allowance),)
            if area > SLIVER_MM2
        ]
        if not meets:
            good += 1
            continue
        layers = [layer.name for layer, _ in meets]
        found.append(
            Finding(
                "pocket",
                one.label,
                sum(area for _, area in meets),
                0.0,
                "mm2",
                -sum(area for _, area in meets),
                "fails",
                f"{one.label} meets foam in {names(layers)}: cut its pocket there to its outline.",
                "measured on the finished layers",
            )
        )
    if good and stages.foam.layers:
        found.append(
            Finding(
                "pocket",
                "all items" if not found else f"{good} items",
                0.0,
                0.0,
                "mm2",
                0.0,
                "ok",
                "Every pocket holds its item in every layer that it crosses.",
                "measured on the finished layers",
            )
        )
    return tuple(found)


def _met_mm2(one: Placed, layer: Layer, left: BaseGeometry, allowance_mm: float) -> float:
    """Area of a body within the foam that is ``left`` of a layer [mm2]."""
    solid = one.solid
    if solid.z0_mm >= layer.z1_mm - ACCURACY_MM or solid.z1_mm <= layer.z0_mm + ACCURACY_MM:
        return 0.0
    body = solid.section(layer.z0_mm + ACCURACY_MM, layer.z1_mm - ACCURACY_MM)
    if body.is_empty or not left.intersects(body):
        return 0.0
    core = grow(body, min(allowance_mm, 0.0) - 2 * ACCURACY_MM)
    return float(core.intersection(left).area)


def floors_under(stages: Stages) -> tuple[Finding, ...]:
    """Solid foam under each item, from its underside to the panel or the pocket below."""
    if not stages.foam.layers:
        return ()
    finished = [(layer, layer.shape) for layer in stages.foam.layers]
    findings = [
        at_least(
            "floor foam",
            one.label,
            value=solid,
            limit=LEAST_FLOOR_MM,
            unit="mm",
            note=_floor_note(one, gap, solid),
            source="common practice, no source: never less than 10 mm",
        )
        for one in stages.placed
        if one.item.mount is None
        for solid, gap in (_support_mm(one, finished),)
    ]
    failing = [finding for finding in findings if finding.verdict == "fails"]
    holding = [finding for finding in findings if finding.verdict != "fails"]
    if holding:
        failing.append(min(holding, key=lambda finding: finding.value or 0.0))
    return tuple(failing)


def _floor_note(one: Placed, gap_mm: float, solid_mm: float) -> str:
    if solid_mm < LEAST_FLOOR_MM:
        return f"Give {one.label} a thicker floor: raise it, or choose other sheets."
    if gap_mm > ACCURACY_MM:
        return f"The pocket is deeper than {one.label}: put a pad of {gap_mm:.1f} mm under it."
    return f"The thinnest floor is under {one.label}."


def _support_mm(
    one: Placed, finished: list[tuple[Layer, Polygon | MultiPolygon]]
) -> tuple[float, float]:
    """Thickness of solid foam under an item, and the empty height between the two [mm]."""
    upside_down = one.placement.half == "shallow"
    core = grow(one.solid.silhouette, -1.0)
    if core.is_empty:
        core = one.solid.silhouette
    start = one.solid.z1_mm if upside_down else one.solid.z0_mm
    below = sorted(
        (
            (layer, left)
            for layer, left in finished
            if layer.half == one.placement.half
            and (
                layer.z1_mm > start + ACCURACY_MM
                if upside_down
                else layer.z0_mm < start - ACCURACY_MM
            )
        ),
        key=lambda pair: pair[0].z0_mm if upside_down else -pair[0].z1_mm,
    )
    gap = solid = 0.0
    for layer, left in below:
        top = max(layer.z0_mm, start) if upside_down else min(layer.z1_mm, start)
        thick = layer.z1_mm - top if upside_down else top - layer.z0_mm
        if left.covers(core):
            solid += thick
        elif solid:
            break
        else:
            gap += thick
    return solid, gap
