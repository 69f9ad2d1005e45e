"""A payload that asks no more than the real one where mounted items do without foam.

Patterns of heights are made of foam: a floor pad, sums of sheets, a lid clearance. Mounted items
stand on rails on the bare panel, and a half without foam is as deep as they ask, in whole
millimetres or planks. So the bound is made for a payload without those pads and with sheets of
1 mm, less what rounding up to whole millimetres may add.
"""

from __future__ import annotations

from attrs import evolve

from fitkit.payload.model import Payload

STEP_MM = 1.0
"""Depths are rounded up to this in the relaxed payload [mm]."""


def relaxed(payload: Payload) -> tuple[Payload, float]:
    """The payload to make a bound for, and by how much its heights may be too large [mm].

    Without mounted items it is the payload itself, and 0. Where all items are mounted and no planks
    are named, every depth is a whole number of millimetres, and nothing is lost either.
    """
    mounts = [item.mount for item in payload.items if item.mount is not None]
    if not mounts:
        return payload, 0.0
    case = payload.case
    clear = evolve(case.clearance, floor_mm=0.0, lid_mm=0.0, tier_mm=0.0)
    foam = evolve(payload.foam, sheets_mm=(STEP_MM,), accent_mm=None)
    proud = max(0.0, *(-mount.asked_recess_mm for mount in mounts))
    halves = 1 if case.form == "tray" else 2
    plain = len(mounts) == len(payload.items) and not payload.workshop.planks_mm
    slack = 0.0 if plain and case.form == "pair" else halves * case.tiers * STEP_MM
    made = evolve(payload, case=evolve(case, clearance=clear), foam=foam)
    return made, slack + halves * proud
