"""The least recess at which every closing gap is kept when all is at its worst."""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.payload.model import Item, Payload
from fitkit.shell.gap.model import Gap

UP_MM = 0.01
"""A recess asked for is rounded up to this [mm], so that the gap it makes is not a hair short."""


def is_free(item: Item) -> bool:
    """Whether an item's recess behind the closing plane may be chosen."""
    mount = item.mount
    return mount is not None and mount.recess_mm is None and mount.faces == "closing plane"


def recesses_needed_mm(payload: Payload, gaps: Sequence[Gap]) -> dict[str, float]:
    """For each mounted item whose recess is free, the least recess that keeps all its gaps [mm].

    One recess for all copies of an item, never below the least that its mount asks for. Where
    both sides of a gap are free, each takes half of what is missing (and gives back half of what
    is to spare). An item that faces nothing keeps its least recess. Contributions that are not
    known count as nothing: :attr:`~fitkit.shell.gap.model.Gap.known` says so.

    With g the gap at worst, k what must be left and r the recess as planned, one free side needs
    r + k - g, two free sides need r + (k - g) / 2 each: the gap grows as the recess does.
    """
    free = {item.name: item for item in payload.items if is_free(item)}
    needed = {name: _least_mm(item) for name, item in free.items()}
    for gap in gaps:
        sides = (item_named(gap.deep, payload), item_named(gap.shallow, payload))
        movable = [
            (item.name, recess_mm)
            for item, recess_mm in zip(sides, gap.recess_mm, strict=True)
            if item is not None and item.name in free
        ]
        for name, recess_mm in movable:
            short_mm = (gap.keep_mm - gap.worst_mm) / len(movable)
            needed[name] = max(needed[name], _rounded_up(recess_mm + short_mm))
    return needed


def _least_mm(item: Item) -> float:
    return 0.0 if item.mount is None else item.mount.least_mm


def _rounded_up(mm: float) -> float:
    steps = -(-round(mm / UP_MM, 6) // 1)
    return float(round(steps * UP_MM, 6))


def item_named(label: str, payload: Payload) -> Item | None:
    """The item that a label names, its copy's number left out; None for a panel or foam."""
    for item in payload.items:
        head, _, tail = label.rpartition(" ")
        if label == item.name and item.count == 1:
            return item
        if item.count > 1 and head == item.name and tail.isdigit():
            return item
    return None
