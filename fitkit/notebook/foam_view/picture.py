"""The foam as the view draws it: plain lists and texts."""

from __future__ import annotations

from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from fitkit.documents.naming import label_of
from fitkit.fit.place import Placed, place_all
from fitkit.foam.depths import Depth, depth_of
from fitkit.foam.model import Cutout, CutoutKind, Layer, NotchAt, Web
from fitkit.foam.notch_edge import EdgePlace, Edges
from fitkit.foam.pockets import polygons
from fitkit.plan import Plan
from fitkit.units import Units, length_text

WALL_WORDS = {"edge": "the edge", "dish": "sunk hardware"}
"""How a web's neighbour is said that is no cut-out."""

Key = tuple[str, int]
Rings = list[list[list[float]]]

FOR: dict[CutoutKind, str] = {
    "pocket": "pocket, holds the item",
    "notch": "finger notch, room to get hold of the item",
    "channel": "channel, keeps plug, cable, air or hand free",
    "relief": "relief, room for what reaches over from below or from the other half",
}


def id_of(key: Key) -> str:
    """A copy's name in the view."""
    return f"{key[0]}/{key[1]}"


def key_from(text: str) -> Key:
    """The copy of a name in the view."""
    item, _, copy = text.rpartition("/")
    return (item, int(copy))


def layers_of(plan: Plan, edges: Edges) -> dict[str, Any]:
    """Every layer of a plan's foam, the halves that they are stacked in, the pockets' edges."""
    placed = place_all(plan.payload, plan.fit.placements)
    foam = plan.foam
    count = {half.name: 0 for half in plan.fit.interior.halves}
    for layer in foam.layers:
        count[layer.half] += 1
    drawn = [_layer(plan, layer, count[layer.half], placed) for layer in foam.layers]
    fullest = max(range(len(drawn)), key=lambda k: len(foam.layers[k].cutouts), default=0)
    return {
        "title": plan.payload.title,
        "units": plan.payload.units,
        "height": plan.fit.interior.height_mm,
        "closing": plan.fit.interior.closing_mm,
        "halves": [half.name for half in plan.fit.interior.halves],
        "layers": drawn,
        "pockets": pocket_rows(plan, edges),
        "first": fullest,
    }


def _layer(plan: Plan, layer: Layer, of: int, placed: tuple[Placed, ...]) -> dict[str, Any]:
    units = plan.payload.units
    x0, y0, x1, y1 = layer.outline.bounds
    what = "accent foam" if layer.material == "accent" else "foam"
    low, high = (length_text(z, units=units) for z in (layer.z0_mm, layer.z1_mm))
    thick = length_text(layer.thickness_mm, units=units)
    return {
        "id": layer.name,
        "half": layer.half,
        "index": layer.index,
        "z": [layer.z0_mm, layer.z1_mm],
        "material": layer.material,
        "thick": _bare(layer.thickness_mm, units),
        "name": f"{layer.half} half, layer {layer.index} of {of}",
        "facts": [
            ["thickness", f"{thick} {what}"],
            ["height", f"{low} to {high} above the deep half's floor"],
            [
                "seen",
                "from above, case closed" if len(plan.fit.interior.halves) > 1 else "from above",
            ],
        ],
        "outline": _rings(layer.outline),
        "box": [x0, y0, x1, y1],
        "texts": [_bare(x1 - x0, units), _bare(y1 - y0, units)],
        "cuts": [_cut(plan, layer, cut) for cut in layer.cutouts],
        "items": [
            {"key": id_of((one.placement.item, one.placement.copy)), "rings": _all_rings(section)}
            for one in placed
            if not (section := one.solid.section(layer.z0_mm, layer.z1_mm)).is_empty
        ],
        "webs": [
            _web(web, units)
            for web in plan.foam.webs
            if (web.half, web.layer) == (layer.half, layer.index)
        ],
    }


def _cut(plan: Plan, layer: Layer, cut: Cutout) -> dict[str, Any]:
    key = (cut.item, cut.copy)
    units = plan.payload.units
    depth = depth_of(plan.foam, half=layer.half, key=key, kind=cut.kind, index=layer.index)
    name = label_of(plan, *key)
    return {
        "key": id_of(key),
        "name": name,
        "sub": f"{_bare(depth.depth_mm, units)} deep",
        "kind": cut.kind,
        "rings": _rings(cut.shape),
        "text": f"{name}: {FOR[cut.kind]}; {_how_deep(depth, units)}",
    }


def _how_deep(depth: Depth, units: Units) -> str:
    through = f"through layer {depth.top}"
    if depth.bottom < depth.top:
        through = f"through layers {depth.top} to {depth.bottom}"
    under = f"{length_text(depth.floor_mm, units=units)} of foam under it"
    if depth.floor_mm == 0:
        under = "no foam under it"
    return f"{length_text(depth.depth_mm, units=units)} deep, {through}, {under}"


def notch_rows(
    plan: Plan, edges: Edges, shapes: dict[NotchAt, EdgePlace], now: dict[Key, tuple[NotchAt, ...]]
) -> list[dict[str, Any]]:
    """The notches as they are chosen now, each with its handle; those off their edge left out."""
    units = plan.payload.units
    rows = []
    for key, notches in now.items():
        name = label_of(plan, *key)
        for k, notch in enumerate(notches):
            place = shapes.get(notch)
            if place is None:
                continue
            which = f"{name}, notch" + (f" {k + 1} of {len(notches)}" if len(notches) > 1 else "")
            width, depth = (length_text(v, units=units) for v in (notch.width_mm, notch.depth_mm))
            rows.append(
                {
                    "id": f"{id_of(key)}#{k}",
                    "key": id_of(key),
                    "name": which,
                    "layers": [f"{half}-{index:02d}" for half, index in edges.layers_of(key)],
                    "at": [round(v, 3) for v in place.at_mm],
                    "out": list(place.out),
                    "rings": _rings(place.shape),
                    "width": width,
                    "depth": depth,
                    "text": f"{which}: {width} wide, reaches {depth} into the foam",
                }
            )
    return rows


def pocket_rows(plan: Plan, edges: Edges) -> list[dict[str, Any]]:
    """The pockets that may have notches, with the edge along which those slide."""
    return [
        {
            "key": id_of(key),
            "name": label_of(plan, *key),
            "layers": [f"{half}-{index:02d}" for half, index in edges.layers_of(key)],
            "edges": [_rings(part)[0] for part in polygons(where.top)],
        }
        for key, where in edges.where.items()
    ]


def finding_rows(plan: Plan) -> list[dict[str, str]]:
    """What is to be said of the webs and of the builder's own notches, as tags with a sentence."""
    rows = [
        {"verdict": one.verdict, "head": f"web, {one.subject}", "text": one.note}
        for one in plan.findings
        if one.check == "web"
    ]
    own = [note for note in plan.foam.notes if "notch" in note and "no room" not in note]
    return [*rows, *({"verdict": "tight", "head": "notch", "text": note} for note in own)]


def answer_of(place: EdgePlace, units: Units) -> dict[str, Any]:
    """What the view shows of a place while a notch is moved over it."""
    web = place.web
    said = "keeps its webs" if place.keeps else "leaves a web too thin"
    if web is not None:
        other = WALL_WORDS.get(web.right, web.right)
        said += f": {length_text(web.width_mm, units=units)} to {other}"
        if web.width_mm == 0:
            said = f"runs {'out of' if web.right == 'edge' else 'into'} {other}, no web is left"
        if not place.keeps:
            said += f"; at least {length_text(web.limit_mm, units=units)}"
    return {
        "at": [round(v, 3) for v in place.at_mm],
        "out": list(place.out),
        "rings": _rings(place.shape),
        "web": None if web is None else _web(web, units, keeps=place.keeps),
        "layer": None if web is None else f"{web.half}-{web.layer:02d}",
        "status": said,
    }


def _web(web: Web, units: Units, *, keeps: bool = False) -> dict[str, Any]:
    width, limit = _bare(web.width_mm, units), _bare(web.limit_mm, units)
    return {
        "a": list(web.a_mm),
        "b": list(web.b_mm),
        "text": width if keeps else f"{width} < {limit}",
        "verdict": "ok" if keeps else "fails",
        "name": f"web between {web.left} and {web.right}",
    }


def _bare(value_mm: float, units: Units) -> str:
    """A length without its unit, for a drawing that says its unit once."""
    return length_text(value_mm, units=units).removesuffix(f" {units}")


def _all_rings(shape: BaseGeometry) -> Rings:
    return [ring for part in polygons(shape) for ring in _rings(part)]


def _rings(shape: BaseGeometry) -> Rings:
    """A polygon's rings, to a hundredth of a millimetre."""
    return [
        [[round(x, 2), round(y, 2)] for x, y in shapely.get_coordinates(ring).tolist()]
        for part in polygons(shape)
        for ring in (part.exterior, *part.interiors)
    ]
