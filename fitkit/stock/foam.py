"""Foam layers on sheets: the fewest sheets for layers of one thickness, laid by their outlines.

Foam is cut with a knife, a wire or a router, so the layers may lie anyhow: rectangles are placed
exactly, by the solver where simple rules and the bound do not meet. Other outlines are laid by
their boxes, and where that leaves more sheets than their areas ask for they are nested.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from attrs import frozen

from fitkit.errors import BadInput, Fault
from fitkit.foam.model import Layer
from fitkit.stock.foam_boxes import Slab, laid_in_order, least_sheets
from fitkit.stock.foam_nest import nested
from fitkit.stock.model import FoamPlan, FoamSheet, LaidLayer

RECTANGLE = 0.98
"""A layer that fills this share of its box is laid as its box."""

UM = 1000
"""Steps of a millimetre in which the exact search counts."""


@frozen
class Sizes:
    """A layer's box, length and width [mm]."""

    length_mm: float
    width_mm: float


def cut_foam(
    layers: Sequence[Layer],
    *,
    thickness_mm: float,
    material: str,
    sheet_mm: tuple[float, float],
    gap_mm: float,
    seconds: float = 5.0,
    nest: bool = True,
) -> FoamPlan:
    """Lay all ``layers`` of one thickness and material on the fewest sheets of ``sheet_mm``.

    ``gap_mm`` lies between two layers, none at the sheet's edge. ``seconds`` is a limit of work.
    Layers that are far from rectangles are nested by their outlines as well, which may end
    otherwise from run to run; without ``nest`` they are laid as their boxes. ``first_fit`` is how
    many sheets the naive way takes: layers in their order, side by side in rows. A layer's place is
    that of the lower left corner of its box after turning it.

    BadInput names every layer that is larger than a sheet.
    """
    what = f"{material} {thickness_mm:g}"
    boxes = [_box(layer) for layer in layers]
    _refuse(layers, boxes, what=what, sheet_mm=sheet_mm, gap_mm=gap_mm)
    gap = round(gap_mm * UM)
    room = (_up(sheet_mm[0]) + gap, _up(sheet_mm[1]) + gap)
    slabs = [Slab(_down(b.length_mm) + gap, _down(b.width_mm) + gap) for b in boxes]
    naive = laid_in_order(slabs, room=room)
    found = least_sheets(slabs, room=room, seconds=seconds)
    spots = [
        (
            place.sheet,
            LaidLayer(layer.name, place.x / UM, place.y / UM, 90.0 if place.turned else 0.0),
        )
        for layer, place in zip(layers, found.places, strict=True)
    ]
    sheets, bound = found.sheets, found.bound
    if any(
        layer.outline.area < RECTANGLE * _area(b) for layer, b in zip(layers, boxes, strict=True)
    ):
        whole = sheet_mm[0] * sheet_mm[1]
        bound = math.ceil(sum(layer.outline.area for layer in layers) / whole - 1e-9)
        if bound < sheets and nest:
            better = nested(
                layers, sheet_mm=sheet_mm, gap_mm=gap_mm, most=sheets - 1, seconds=seconds
            )
            if better is not None:
                spots = better
                sheets = max(sheet for sheet, _ in better) + 1
    laid: list[list[LaidLayer]] = [[] for _ in range(sheets)]
    for sheet, spot in spots:
        laid[sheet].append(spot)
    used = math.fsum(layer.outline.area for layer in layers)
    whole = sheets * sheet_mm[0] * sheet_mm[1]
    return FoamPlan(
        what,
        thickness_mm,
        tuple(
            FoamSheet(thickness_mm, material, sheet_mm[0], sheet_mm[1], tuple(spots))
            for spots in laid
        ),
        bound,
        bound >= sheets,
        naive,
        1 - used / whole if whole else 0.0,
    )


def _up(length_mm: float) -> int:
    return math.floor(length_mm * UM + 1e-3)


def _down(length_mm: float) -> int:
    return math.ceil(length_mm * UM - 1e-3)


def _box(layer: Layer) -> Sizes:
    left, low, right, high = shapely.bounds(layer.outline)
    return Sizes(float(right - left), float(high - low))


def _area(box: Sizes) -> float:
    return box.length_mm * box.width_mm


def _refuse(
    layers: Sequence[Layer],
    boxes: Sequence[Sizes],
    *,
    what: str,
    sheet_mm: tuple[float, float],
    gap_mm: float,
) -> None:
    """BadInput with every layer that no sheet holds."""
    faults = []
    if not 0 <= gap_mm < math.inf:
        faults.append(Fault(f"{what}, gap", f"{gap_mm:g} mm", "give 0 mm or more"))
    long, short = max(sheet_mm), min(sheet_mm)
    for layer, box in zip(layers, boxes, strict=True):
        most, least = max(box.length_mm, box.width_mm), min(box.length_mm, box.width_mm)
        over = max(most - long, least - short)
        if over > 1e-3:
            faults.append(
                Fault(
                    f"{what}, layer {layer.name}",
                    f"{box.length_mm:g} x {box.width_mm:g} mm is {over:g} mm too large for a sheet "
                    f"of {sheet_mm[0]:g} x {sheet_mm[1]:g} mm",
                    f"buy sheets of {most:g} x {least:g} mm or more, or join two pieces",
                )
            )
    if faults:
        raise BadInput(faults)
