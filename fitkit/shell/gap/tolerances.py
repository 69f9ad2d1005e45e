"""Tolerances on the way from one back to the other: what each measure may be off by.

All are half widths, plus or minus [mm], as the builder states them in
:class:`~fitkit.payload.closing.Tolerances`. The place of a back panel within the width of its slot
is not among them: heights are counted from the profile's inner leaf, and the panel lies behind it,
so its play can only widen the gap.
"""

from __future__ import annotations

import math
from functools import lru_cache

from fitkit.payload.closing import Tolerances
from fitkit.payload.model import Item, Payload
from fitkit.shell.gap.model import Contribution

SHEET = "your sheet: closing.tolerances"
SETTING = f"{SHEET} (an assumption until you state it)"


def measured_mm(item: Item, given: Tolerances) -> float:
    """What an item's size may be off by: as it says itself, else as all items [mm]."""
    return item.uncertainty_mm or given.measured_mm


def closing_seat(payload: Payload) -> Contribution:
    """How the closing profiles seat on each other: once for the pair of halves."""
    return _plus_minus("closing profiles seat on each other", payload.closing.tolerances.seating_mm)


def of_half(half: str, *, measured: bool, payload: Payload) -> tuple[Contribution, ...]:
    """What a half adds: its depth, and how its back sits in the slots.

    ``measured``: its depth was given by the builder, off a tape; else its walls are sawn to it.
    """
    given = payload.closing.tolerances
    depth = (
        _plus_minus(f"{half} half: depth off the tape", given.tape_mm)
        if measured
        else _plus_minus(f"{half} half: walls as sawn", given.saw_mm)
    )
    return (depth, _plus_minus(f"{half} half: walls seat in their slots", given.seating_mm))


def of_lid(*, payload: Payload) -> Contribution:
    """What a flat lid adds: how it seats in its frame."""
    return _plus_minus("lid: seats in its slots", payload.closing.tolerances.seating_mm)


def of_item(label: str, item: Item, *, payload: Payload) -> Contribution:
    """What an item's measured height may be off by."""
    given = payload.closing.tolerances
    return Contribution(
        f"{label}: height as measured",
        measured_mm(item, given),
        "tolerance",
        "your sheet: item.uncertainty" if item.uncertainty_mm else SETTING,
    )


def of_mount(
    label: str, item: Item, *, payload: Payload, on_back: bool
) -> tuple[Contribution, ...]:
    """What holds a mounted item adds: rails, or a sub-panel on battens, or blocks on two walls.

    ``on_back``: whether the panel behind it holds it, and not two walls.
    """
    given = payload.closing.tolerances
    mount = item.mount
    if mount is None:
        return ()
    if mount.by == "walls" or mount.upright:
        return (_plus_minus(f"{label}: holes in the walls as drilled", given.saw_mm),)
    if mount.by == "rails":
        if not on_back:
            return (
                _plus_minus(f"{label}: thickness of rails", given.rail_mm),
                _plus_minus(f"{label}: rails set on the walls", given.saw_mm),
            )
        return (_plus_minus(f"{label}: thickness of rails", given.rail_mm),)
    found = [_plus_minus(f"{label}: thickness of the sub-panel", given.rail_mm)]
    if not on_back:
        found.append(_plus_minus(f"{label}: sub-panel set on the walls", given.saw_mm))
    else:
        found.append(_plus_minus(f"{label}: thickness of battens", given.rail_mm))
    return tuple(found)


def of_foam(
    what: str, thick_mm: float, *, payload: Payload, least: int = 1
) -> tuple[Contribution, ...]:
    """One tolerance for each sheet in a stack of foam ``thick_mm`` thick."""
    count = max(least, fewest_sheets(payload.foam.sheets_mm, round(thick_mm, 6)))
    return tuple(
        _plus_minus(f"{what}: sheet {index} of {count}", payload.closing.tolerances.foam_mm)
        for index in range(1, count + 1)
    )


@lru_cache(maxsize=1024)
def fewest_sheets(sheets_mm: tuple[float, ...], thick_mm: float) -> int:
    """The fewest sheets that make up a thickness [mm]; where none do, as many as reach above it.

    >>> fewest_sheets((10.0, 20.0, 30.0, 50.0), 80.0), fewest_sheets((20.0,), 25.0)
    (2, 2)
    """
    aim = round(thick_mm * 100)
    steps = sorted({round(sheet * 100) for sheet in sheets_mm if sheet > 0})
    if aim <= 0 or not steps:
        return 0
    count, sums = 0, {0}
    while sums and aim not in sums:
        sums = {one + step for one in sums for step in steps if one + step <= aim}
        count += 1
    return count if sums else math.ceil(aim / steps[-1])


def _plus_minus(what: str, mm: float) -> Contribution:
    return Contribution(what, mm, "tolerance", SETTING)
