"""A layout carried into a case's room: moved as a whole, checked there, its slack spread evenly."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve, frozen

from fitkit.fit.elevation import thickness
from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import Placed, place_all
from fitkit.fit.ready_made.room import inside_of
from fitkit.fit.validate import violations
from fitkit.payload.model import Payload, ReadyMade

SPREADS = (1.0, 0.7, 0.4, 0.2)
"""Shares of the room's slack that are tried for wider webs, most first."""


@frozen
class Laid:
    """Placements in the interior in which they hold; ``turned``: its length runs along y."""

    interior: Interior
    placements: tuple[Placement, ...]
    turned: bool = False


def carried(
    payload: Payload, *, interior: Interior, placements: Sequence[Placement], into: ReadyMade
) -> Laid | None:
    """A layout of one interior in the room of a case; None where it does not hold there.

    The layout is moved as a whole; what stands in the shallow half stays at its own depth there.
    """
    ways = (False, True) if into.length_mm != into.width_mm else (False,)
    for turned in ways:
        inside = inside_of(into, turned=turned)
        rise = inside.height_mm - interior.height_mm
        moved = tuple(
            evolve(p, z_mm=round(p.z_mm + rise, 6)) if p.half == "shallow" else p
            for p in placements
        )
        placed = place_all(payload, moved)
        if not _depths_hold(payload, inside, placed):
            continue
        span = _span(payload, inside, placed)
        if span is None:
            continue
        dx, dy = (round((low + high) / 2, 6) for low, high in span)
        there = tuple(
            evolve(p, x_mm=round(p.x_mm + dx, 6), y_mm=round(p.y_mm + dy, 6)) for p in moved
        )
        if not violations(payload, interior=inside, placements=there):
            return Laid(inside, there, turned)
    return None


def spread(payload: Payload, laid: Laid) -> Laid:
    """The layout with the room's slack shared by webs and walls, as far as every promise holds.

    Copies move away from the middle in proportion to their distance from it. Bodies that a line
    keeps apart come to stand further apart; what interlocks is checked, and a smaller share tried.
    """
    placed = place_all(payload, laid.placements)
    span = _span(payload, laid.interior, placed)
    if span is None:
        return laid
    middles = [_middle(one) for one in placed]
    for share in SPREADS:
        by = []
        for axis, (low, high) in enumerate(span):
            values = [middle[axis] for middle in middles]
            reach = max(values) - min(values)
            slack = (high - low) * share
            # webs and walls alike get a part: with k copies in a row, (k - 1) of (k + 1)
            part = slack * (len(values) - 1) / (len(values) + 1)
            centre = (max(values) + min(values)) / 2
            stretch = part / reach if reach > 1e-6 else 0.0
            by.append([round((value - centre) * stretch, 3) for value in values])
        there = tuple(
            evolve(p, x_mm=round(p.x_mm + dx, 6), y_mm=round(p.y_mm + dy, 6))
            for p, dx, dy in zip(laid.placements, *by, strict=True)
        )
        if not violations(payload, interior=laid.interior, placements=there):
            return evolve(laid, placements=there)
    return laid


def _middle(one: Placed) -> tuple[float, float]:
    x0, y0, x1, y1 = one.solid.silhouette.bounds
    return ((x0 + x1) / 2, (y0 + y1) / 2)


def _depths_hold(payload: Payload, inside: Interior, placed: Sequence[Placed]) -> bool:
    """Whether a sheet of its own half holds each copy, and foam is enough above what is proud."""
    sheets = tuple(sorted(payload.foam.sheets_mm))
    lid = payload.case.clearance.lid_mm
    deep, shallow = (half.depth_mm for half in inside.halves)
    for one in placed:
        hung = one.placement.half == "shallow"
        floor = inside.height_mm - one.solid.z1_mm if hung else one.solid.z0_mm
        top = inside.height_mm - one.solid.z0_mm if hung else one.solid.z1_mm
        own, facing = (shallow, deep) if hung else (deep, shallow)
        if floor + sheets[0] > own + 1e-9:  # no sheet is left for its pocket
            return False
        if top > own and facing < thickness(sheets, top - own) + lid - 1e-9:
            return False
    return True


def _span(
    payload: Payload, inside: Interior, placed: Sequence[Placed]
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """How far the layout may be moved along x and y, by boxes; None where not at all."""
    wall = payload.case.clearance.wall_mm
    low, high = [-1e9, -1e9], [1e9, 1e9]
    for one in placed:
        shapes = [(band.shape.bounds, band.z0_mm, band.z1_mm, wall) for band in one.solid.bands]
        shapes += [(room.outline.bounds, room.z0_mm, room.z1_mm, 0.0) for room in one.solid.rooms]
        for box, z0, z1, keep in shapes:
            ends = [inside.inset_mm(min(max(z, 0.0), inside.height_mm)) for z in (z0, z1)]
            for axis, side in enumerate((inside.length_mm, inside.width_mm)):
                inset = max(end[axis] for end in ends) + keep
                low[axis] = max(low[axis], inset - box[axis])
                high[axis] = min(high[axis], side - inset - box[axis + 2])
    if any(a > b + 1e-9 for a, b in zip(low, high, strict=True)):
        return None
    return ((low[0], high[0]), (low[1], high[1]))
