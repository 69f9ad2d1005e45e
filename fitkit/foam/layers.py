"""The lining: every layer with its pockets, channels, notches and reliefs."""

from __future__ import annotations

from functools import lru_cache, partial

import attrs
import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import place_all
from fitkit.foam.bare import BareHalf, Slot, bare, settled
from fitkit.foam.cutting import Method, method_for
from fitkit.foam.model import Cutout, Foam, Layer, NotchesOf, Room, SheetUse, Way, Web
from fitkit.foam.notch_places import checked, chosen_notches
from fitkit.foam.notches import key_of
from fitkit.foam.pockets import LEAST_MM2, RELIEF_MM, polygons
from fitkit.foam.stack import Stacks
from fitkit.foam.webs import WebRule, narrow_webs
from fitkit.payload.model import Payload

Key = tuple[str, int]


def make_foam(
    payload: Payload,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
    notches: tuple[NotchesOf, ...] = (),
    rooms: tuple[Room, ...] = (),
    ways: tuple[Way, ...] = (),
) -> tuple[tuple[Placement, ...], Foam]:
    """The settled placements (new heights, same order) and the foam that holds them.

    ``notches`` are the builder's own, by copy; the other copies get the planned ones. They are cut
    as they are asked for: a web that gets too thin is in ``webs``, a place that is no longer on
    its pocket's edge in ``notes``. ``rooms`` is what sunk hardware takes: no foam lies there, and
    webs are measured to it as to any edge. ``ways`` become channels for cables. BadInput for a
    notch of impossible size.
    """
    stacks, halves = settled(
        payload, interior=interior, placements=placements, rooms=rooms, ways=ways
    )
    return stacks.placements, _line(payload, stacks, halves, notches)


def line(
    payload: Payload, *, interior: Interior, stacks: Stacks, notches: tuple[NotchesOf, ...] = ()
) -> Foam:
    """The foam for placements that are settled on their stacks."""
    return _line(payload, stacks, bare(payload, interior=interior, stacks=stacks), notches)


def _line(
    payload: Payload,
    stacks: Stacks,
    halves: tuple[BareHalf, ...],
    notches: tuple[NotchesOf, ...],
) -> Foam:
    checked(notches)
    method = method_for(payload.foam)
    rule = WebRule.of(payload, method)
    placed = place_all(payload, stacks.placements)
    labels = {(p.placement.item, p.placement.copy): p.label for p in placed}
    chosen = {one.key: one for one in notches}
    layers: list[Layer] = []
    without: list[str] = []
    said: list[str] = []
    for half in halves:
        cuts = list(half.cuts)
        for one in half.home:
            mine = chosen.get(key_of(one))
            if mine is None:
                found = half.planned.get(key_of(one)) if half.planned else None
                if found is None and half.planned:
                    without.append(one.label)
                extra = found.cuts if found is not None else {}
            else:
                extra, remarks = chosen_notches(mine, stand=one, half=half, method=method)
                said += remarks
            for index, more in extra.items():
                cuts[index] += more
        layers.extend(_layer(*pair, method) for pair in zip(half.slots, cuts, strict=True))
    bold = frozenset(chosen)
    names = tuple(labels.items())
    webs = tuple(web for layer in layers for web in _webs(layer, rule, names, bold))
    gone = [f"{item} {copy}" for item, copy in chosen if (item, copy) not in labels]
    if gone:
        said.append(f"notches of your own are left out, no such copy is here: {', '.join(gone)}")
    cut = (method.advice, method.caution) if layers else ()  # nothing is cut where all is mounted
    notes = [*stacks.notes, *said, *_notes(layers, without, method), *cut]
    return Foam(tuple(layers), webs, sheet_use(tuple(layers), payload=payload), tuple(notes))


@lru_cache(maxsize=64)
def _webs(
    layer: Layer, rule: WebRule, labels: tuple[tuple[Key, str], ...], bold: frozenset[Key]
) -> tuple[Web, ...]:
    return narrow_webs(layer, rule=rule, labels=dict(labels), bold=bold)


@lru_cache(maxsize=64)
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
