"""The lining: every layer with its pockets, channels, notches and reliefs."""

from __future__ import annotations

from functools import partial

import attrs
import numpy as np
import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import place_all
from fitkit.foam.channels import channels
from fitkit.foam.cutting import Method, method_for
from fitkit.foam.model import Cutout, CutoutKind, Foam, Layer, SheetUse
from fitkit.foam.notches import Cutting, notch_cuts
from fitkit.foam.pockets import LEAST_MM2, RELIEF_MM, pocket, polygons
from fitkit.foam.stack import Stack, Stacks, open_to, settle, tier_top
from fitkit.foam.view import SAME_MM, HalfView, Stand, stand, views
from fitkit.foam.webs import WebRule, narrow_webs
from fitkit.payload.model import Notch, Payload


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
    rule = WebRule.of(payload, method)
    placed = place_all(payload, stacks.placements)
    labels = {(p.placement.item, p.placement.copy): p.label for p in placed}
    layers: list[Layer] = []
    without: list[str] = []
    for view in views(interior):
        stack = stacks.stack(view.name)
        stands = [stand(one, view) for one in placed]
        half_slots = slots(interior, view, stack)
        cuts = [
            tuple(c for one in stands for c in _cuts(payload, method, stack, slot, one))
            for slot in half_slots
        ]
        if payload.foam.notch is not None:
            without += _notch(payload.foam.notch, method, rule, stack, stands, half_slots, cuts)
        layers.extend(
            _layer(slot, made, method) for slot, made in zip(half_slots, cuts, strict=True)
        )
    webs = tuple(web for layer in layers for web in narrow_webs(layer, rule=rule, labels=labels))
    notes = [*stacks.notes, *_notes(layers, without, method), method.advice, method.caution]
    return Foam(tuple(layers), webs, sheet_use(tuple(layers), payload=payload), tuple(notes))


def _notch(
    notch: Notch,
    method: Method,
    rule: WebRule,
    stack: Stack,
    stands: list[Stand],
    half_slots: tuple[Slot, ...],
    cuts: list[tuple[Cutout, ...]],
) -> list[str]:
    """Add finger notches to ``cuts``; the labels of the items that got none come back."""
    without = []
    # the smallest items first: they have the fewest places to choose from
    home = sorted((s for s in stands if s.at_home), key=lambda s: s.placed.solid.silhouette.area)
    for one in home:
        layers = [
            Cutting(slot.low_mm, slot.high_mm, slot.outline, made)
            for slot, made in zip(half_slots, cuts, strict=True)
        ]
        found = notch_cuts(one, stack=stack, layers=layers, notch=notch, rule=rule, method=method)
        if found is None:
            without.append(one.label)
            continue
        for index, extra in found.items():
            cuts[index] += extra
    return without


def slots(interior: Interior, view: HalfView, stack: Stack) -> tuple[Slot, ...]:
    """The sheets of one half from its floor up, each with the interior's outline at its height."""
    made = []
    boundaries = stack.boundaries_mm
    for index, (low, high) in enumerate(zip(boundaries[:-1], boundaries[1:], strict=True), 1):
        # walls with draft are narrowest at the half's own floor
        outline = interior.outline_at(view.closed(low))
        made.append(Slot(view, index, low, high, stack.accents[index - 1], outline))
    return tuple(made)


def _cuts(payload: Payload, method: Method, stack: Stack, slot: Slot, one: Stand) -> list[Cutout]:
    """What one item takes out of one sheet, not yet clipped to the sheet's edge."""
    low, high = one.reach_mm
    if slot.high_mm <= min(low, one.low_mm) + SAME_MM:
        return []
    home = one.at_home and slot.high_mm <= tier_top(stack, one) + SAME_MM
    if one.at_home and slot.low_mm >= max(high, open_to(stack, one)) - SAME_MM:
        return []
    allowance = payload.foam.allowance_mm if home else RELIEF_MM
    own: tuple[Polygon, ...] = ()
    floor = stack.floor_under(one.low_mm) if one.at_home else one.low_mm
    if slot.high_mm > floor + SAME_MM:
        count = max(1, one.swept_to(slot.high_mm))
        own = pocket(one.swept(count), allowance_mm=allowance, method=method)
    rooms = channels(
        one, top_mm=slot.high_mm, own=shapely.union_all(own), edge=slot.outline, method=method
    )
    kinds: tuple[tuple[CutoutKind, tuple[Polygon, ...]], ...] = (
        ("pocket" if home else "relief", own),
        ("channel" if home else "relief", rooms),
    )
    p = one.placed.placement
    return [Cutout(p.item, p.copy, kind, shape) for kind, shapes in kinds for shape in shapes]


def _layer(slot: Slot, cuts: tuple[Cutout, ...], method: Method) -> Layer:
    z0, z1 = sorted((slot.view.closed(slot.low_mm), slot.view.closed(slot.high_mm)))
    layer = Layer(
        slot.view.name,
        slot.index,
        round(z0, 6),
        round(z1, 6),
        "accent" if slot.accent else "foam",
        slot.outline,
        tuple(c for cut in cuts for c in _clipped(cut, slot.outline)),
    )
    crumbs = tuple(_crumbs(layer, method))
    return attrs.evolve(layer, cutouts=layer.cutouts + crumbs) if crumbs else layer


def _crumbs(layer: Layer, method: Method) -> list[Cutout]:
    """Loose bits of foam too narrow to stand, as part of the cut-out beside them."""
    if not layer.cutouts:
        return []
    shapes = np.array([cut.shape for cut in layer.cutouts], dtype=object)
    made = []
    for part in polygons(layer.shape)[1:]:
        if shapely.buffer(part, -method.min_web_mm / 2, quad_segs=4).is_empty:
            cut = layer.cutouts[int(shapely.distance(shapes, part).argmin())]
            made.append(Cutout(cut.item, cut.copy, cut.kind, part))
    return made


def _clipped(cut: Cutout, outline: Polygon) -> list[Cutout]:
    if outline.contains_properly(cut.shape):
        return [cut]
    inside: BaseGeometry = cut.shape.intersection(outline)
    return [
        Cutout(cut.item, cut.copy, cut.kind, part)
        for part in polygons(inside)
        if part.area > LEAST_MM2
    ]


def sheet_use(layers: tuple[Layer, ...], *, payload: Payload) -> tuple[SheetUse, ...]:
    """Pieces and area to cut per sheet on the shelf and material, thickest first."""
    accent = (payload.foam.accent_mm,) if payload.foam.accent_mm else ()
    rows: dict[tuple[str, float], list[Layer]] = {}
    for layer in layers:
        shelf = accent if layer.material == "accent" else payload.foam.sheets_mm
        # heights are whole hundredths: name the sheet that is meant
        sheet = min(shelf, key=partial(_apart, layer))
        rows.setdefault((layer.material, sheet), []).append(layer)
    return tuple(
        SheetUse(sheet, group[0].material, len(group), sum(g.outline.area for g in group))
        for (_, sheet), group in sorted(rows.items(), key=lambda r: (-r[0][1], r[0][0]))
    )


def _apart(layer: Layer, sheet_mm: float) -> float:
    return abs(sheet_mm - layer.thickness_mm)


def _notes(layers: list[Layer], without: list[str], method: Method) -> list[str]:
    """What the builder must know beside the drawings of the layers."""
    notes = []
    if without:
        notes.append(
            f"no room for a finger notch: {', '.join(sorted(without))}; lay a lifting ribbon under "
            "each, or widen the item clearance"
        )
    if any(cut.kind == "relief" for layer in layers for cut in layer.cutouts):
        notes.append(
            f"reliefs are {RELIEF_MM:g} mm wider than the item each side (assumption), for a lid "
            "that lifts straight off; under a hinged lid ease their edges away from the hinge"
        )
    for layer in layers:
        loose = len(polygons(layer.shape)) - 1
        if loose > 0:
            pieces = "1 loose piece" if loose == 1 else f"{loose} loose pieces"
            notes.append(
                f"{layer.name}: {pieces}; glue to the layer under it, with the sheet in place"
            )
        if method.depth_mm is not None and layer.thickness_mm > method.depth_mm:
            notes.append(
                f"{layer.name}: {layer.thickness_mm:g} mm is thicker than the {method.name} cuts "
                f"well ({method.depth_mm:g} mm, common practice); cut it from both faces"
            )
    return notes
