"""The lining: every layer with its pockets, channels, notches and reliefs."""

from __future__ import annotations

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import place_all
from fitkit.foam.channels import channels
from fitkit.foam.cutting import Method, method_for
from fitkit.foam.model import Cutout, CutoutKind, Foam, Layer, SheetUse
from fitkit.foam.pockets import LEAST_MM2, RELIEF_MM, pocket, polygons
from fitkit.foam.stack import Stack, Stacks, settle
from fitkit.foam.view import SAME_MM, HalfView, Stand, stand, views
from fitkit.payload.model import Payload


@frozen
class Slot:
    """One sheet in its stack: heights above the half's own floor, and its outer edge."""

    view: HalfView
    index: int
    low_mm: float
    high_mm: float
    accent: bool
    outline: Polygon


def make_foam(
    payload: Payload, *, interior: Interior, placements: tuple[Placement, ...]
) -> tuple[tuple[Placement, ...], Foam]:
    """The settled placements (new heights, same order) and the foam that holds them."""
    stacks = settle(payload, interior=interior, placements=placements)
    return stacks.placements, line(payload, interior=interior, stacks=stacks)


def line(payload: Payload, *, interior: Interior, stacks: Stacks) -> Foam:
    """The foam for placements that are settled on their stacks."""
    method = method_for(payload.foam)
    placed = place_all(payload, stacks.placements)
    layers: list[Layer] = []
    for view in views(interior):
        stack = stacks.stack(view.name)
        stands = [stand(one, view) for one in placed]
        for slot in slots(interior, view, stack):
            cuts = [cut for one in stands for cut in _cuts(payload, method, stack, slot, one)]
            layers.append(_layer(slot, tuple(cuts)))
    notes = [*stacks.notes, method.advice, method.caution]
    return Foam(tuple(layers), (), sheet_use(tuple(layers)), tuple(notes))


def slots(interior: Interior, view: HalfView, stack: Stack) -> tuple[Slot, ...]:
    """The sheets of one half from its floor up, each with the interior's outline at its height."""
    made = []
    boundaries = stack.boundaries_mm
    for index, (low, high) in enumerate(zip(boundaries[:-1], boundaries[1:], strict=True), 1):
        # walls with draft are narrowest at the half's own floor
        outline = interior.outline_at(view.closed(low))
        made.append(Slot(view, index, low, high, stack.accents[index - 1], outline))
    return tuple(made)


def tier_top(stack: Stack, one: Stand) -> float:
    """Up to where an item's pocket is open: the underside of the next tier, or the top [mm]."""
    above = stack.splits_mm[one.tier - 1 :] if one.at_home else ()
    return above[0] if above else stack.boundaries_mm[-1]


def _cuts(payload: Payload, method: Method, stack: Stack, slot: Slot, one: Stand) -> list[Cutout]:
    """What one item takes out of one sheet, not yet clipped to the sheet's edge."""
    low, high = one.reach_mm
    if slot.high_mm <= min(low, one.low_mm) + SAME_MM:
        return []
    home = one.at_home and slot.high_mm <= tier_top(stack, one) + SAME_MM
    if one.at_home and not home and slot.low_mm >= high - SAME_MM:
        return []
    allowance = payload.foam.allowance_mm if home else RELIEF_MM
    own: tuple[Polygon, ...] = ()
    floor = stack.floor_under(one.low_mm) if one.at_home else one.low_mm
    if slot.high_mm > floor + SAME_MM:
        count = max(1, one.swept_to(slot.high_mm))
        own = pocket(one.swept(count), allowance_mm=allowance, method=method)
    rooms = channels(one, top_mm=slot.high_mm, own=shapely.union_all(own), method=method)
    kinds: tuple[tuple[CutoutKind, tuple[Polygon, ...]], ...] = (
        ("pocket" if home else "relief", own),
        ("channel" if home else "relief", rooms),
    )
    p = one.placed.placement
    return [Cutout(p.item, p.copy, kind, shape) for kind, shapes in kinds for shape in shapes]


def _layer(slot: Slot, cuts: tuple[Cutout, ...]) -> Layer:
    z0, z1 = sorted((slot.view.closed(slot.low_mm), slot.view.closed(slot.high_mm)))
    return Layer(
        slot.view.name,
        slot.index,
        round(z0, 6),
        round(z1, 6),
        "accent" if slot.accent else "foam",
        slot.outline,
        tuple(c for cut in cuts for c in _clipped(cut, slot.outline)),
    )


def _clipped(cut: Cutout, outline: Polygon) -> list[Cutout]:
    if outline.contains_properly(cut.shape):
        return [cut]
    inside: BaseGeometry = cut.shape.intersection(outline)
    return [
        Cutout(cut.item, cut.copy, cut.kind, part)
        for part in polygons(inside)
        if part.area > LEAST_MM2
    ]


def sheet_use(layers: tuple[Layer, ...]) -> tuple[SheetUse, ...]:
    """Pieces and area to cut per thickness and material, thickest first."""
    rows: dict[tuple[str, float], list[Layer]] = {}
    for layer in layers:
        rows.setdefault((layer.material, round(layer.thickness_mm, 6)), []).append(layer)
    return tuple(
        SheetUse(thickness, group[0].material, len(group), sum(g.outline.area for g in group))
        for (_, thickness), group in sorted(rows.items(), key=lambda r: (-r[0][1], r[0][0]))
    )
