"""How a cable's route is said to a builder: its coil, and what is wrong with it."""

from __future__ import annotations

from fitkit.checks.cables import BEND_STEP_MM
from fitkit.documents.cable_lists import spare_mm
from fitkit.documents.naming import size
from fitkit.shell.cables.model import Coil, Route
from fitkit.shell.cables.threads import OUTSIDE

_EXACT_MM = 0.005


def route_troubles(one: Route) -> list[str]:
    """What is wrong with a route, with the millimetres missing and what would do.

    >>> route_troubles(Route("link", "link", "a.left.1", "b.left.1", 6.0, (), 96.0, 820.0, 900.0,
    ...                      800.0, 24.0, 20.0))
    ['link is 20 mm too short: take one of 900 mm or more, or move its connectors nearer', \
'link bends 4 mm tighter than its 24 mm: give it more room, or a cable that bends tighter']
    """
    found = []
    found += _too_short(one)
    if one.tightest_mm < one.bend_mm - BEND_STEP_MM:
        found.append(
            f"{one.label} bends {size(one.bend_mm - one.tightest_mm)} mm tighter than its "
            f"{size(one.bend_mm)} mm: give it more room, or a cable that bends tighter"
        )
    if one.coil is not None and one.coil.room is None:
        found.append(
            f"{one.label} has no place for its spare length, {size(one.coil.short_mm)} mm lack: "
            "take a shorter one, or leave room for a coil"
        )
    if one.blocked:
        found.append(f"{one.label}: {one.blocked.rstrip('.')}")
    return found


def _too_short(one: Route) -> list[str]:
    """What a cable lacks of its path, or else of the slack on it."""
    spare = spare_mm(one)
    if spare is None or spare >= -_EXACT_MM:
        return []
    outside = ", and what you want outside" if one.to == OUTSIDE else ""
    longer = f"take one of {size(one.needed_mm, 0)} mm or more{outside}"
    short = spare + one.needed_mm - max(one.closed_mm, one.open_mm)
    if short < -_EXACT_MM:
        nearer = "or move its connectors nearer"
        return [f"{one.label} is {size(-short)} mm too short: {longer}, {nearer}"]
    return [f"{one.label} reaches, but is {size(-spare)} mm short of its slack: {longer}"]


def coil_words(coil: Coil | None) -> str:
    """How spare length is wound up, round or long, and whether there is a place for it.

    >>> coil_words(Coil(3.5, 90.0, 110.0, 14.0, None, 12.0))
    '3.5 turns, ⌀ 110, 14 high: no place, 12 mm lack'
    >>> coil_words(Coil(3.5, 90.0, 110.0, 14.0, None, 12.0, straight_mm=80.0))
    '3.5 turns, 190 × 110, 14 high: no place, 12 mm lack'
    """
    if coil is None:
        return ""
    wide = f"⌀ {size(coil.outer_mm)}"
    if coil.straight_mm > 0:
        wide = f"{size(coil.outer_mm + coil.straight_mm)} × {size(coil.outer_mm)}"
    thick = "thick, on edge" if coil.on_edge else "high"
    said = f"{size(coil.turns)} turns, {wide}, {size(coil.height_mm)} {thick}"
    if coil.room is None:
        return f"{said}: no place, {size(coil.short_mm)} mm lack"
    x, y = (
        (low + high) / 2
        for low, high in zip(coil.room.low_mm[:2], coil.room.high_mm[:2], strict=True)
    )
    return f"{said}, about x {size(x, 0)}, y {size(y, 0)}"
