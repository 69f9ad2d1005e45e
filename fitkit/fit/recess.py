"""How deep mounted items stand behind the closing plane, and heights for a deeper recess."""

from __future__ import annotations

import math
from collections.abc import Mapping

from attrs import evolve

from fitkit.fit.arrange import misses
from fitkit.fit.layout import Fit, Interior
from fitkit.fit.move import by_hand
from fitkit.fit.place import Placed, place_all
from fitkit.fit.restack import restacked
from fitkit.payload.model import Item, Payload

STEP_MM = 0.5
"""A recess that is free is made deeper in steps of this [mm]."""

SAME_MM = 1e-6


def recess_mm(placed: Placed, interior: Interior) -> float:
    """How far the foremost point of an item lies behind the closing plane; below 0 it is proud.

    Of the body, seen from its own half [mm].
    """
    if placed.placement.half == "shallow":
        return placed.z0_mm - interior.closing_mm
    return interior.closing_mm - placed.z1_mm


def deepened(payload: Payload, fit: Fit, *, needed_mm: Mapping[str, float]) -> Fit:
    """The layout with heights for recesses of at least ``needed_mm``, by item; as it is if it has.

    Only recesses that are free are made deeper: in steps of :data:`STEP_MM`. Plan positions stay.
    Where the sheet gives depths that do not hold them, the layout stays as it is, and the closing
    gap says what is missing.
    """
    have: dict[str, float] = {}
    for one in place_all(payload, fit.placements):
        mm = recess_mm(one, fit.interior)
        have[one.item.name] = min(mm, have.get(one.item.name, mm))
    asked = {name: math.ceil(round(mm / STEP_MM, 6)) * STEP_MM for name, mm in needed_mm.items()}
    if all(mm <= have.get(name, math.inf) + SAME_MM for name, mm in asked.items()):
        return fit
    items = tuple(_with_least(item, asked.get(item.name)) for item in payload.items)
    deeper = evolve(payload, items=items)
    interior, placements = restacked(deeper, fit.interior, fit.placements)
    for half, given in zip(interior.halves, payload.case.depths_mm, strict=False):
        if given is not None and abs(half.depth_mm - given) > SAME_MM:
            return fit
    made = by_hand(fit, interior=interior, placements=placements)
    over = tuple(said for _, said in misses(payload, interior.size_mm))
    return evolve(made, misses=tuple(dict.fromkeys((*fit.misses, *over))))


def _with_least(item: Item, least_mm: float | None) -> Item:
    """The item with a free recess of at least ``least_mm``."""
    mount = item.mount
    if mount is None or mount.recess_mm is not None or least_mm is None:
        return item
    return evolve(item, mount=evolve(mount, least_mm=max(mount.least_mm, least_mm)))
