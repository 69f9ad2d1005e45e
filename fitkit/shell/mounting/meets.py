"""Where a support meets what is there already: bodies, zones, other supports, dishes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.fit.place import Placed
from fitkit.shell.frame import AXES, side_at
from fitkit.shell.model import Fitted, Point, Trouble
from fitkit.shell.mounting.around import Around
from fitkit.shell.mounting.model import Support
from fitkit.shell.mounting.work import NEAR_MM

Span = tuple[float, float]


@frozen
class Solid:
    """Something in the case that a support may not meet; ``what`` names it."""

    what: str
    outline: BaseGeometry
    z0_mm: float
    z1_mm: float


def meetings(
    supports: Sequence[Support],
    placed: Sequence[Placed],
    *,
    around: Around,
    through: Iterable[tuple[str, int, str]] = (),
) -> Iterator[Trouble]:
    """Everything that supports meet, each with the least move that clears it [mm].

    ``through`` names (item, copy, face) whose zones go through that copy's own sub-panel. Zones of
    mounts are where supports belong: they are not counted.
    """
    cut_out = set(through)
    for support in supports:
        seen: dict[str, float] = {}
        for solid in _solids(support, placed, cut_out):
            short = overlap_mm(support.low_mm, support.high_mm, solid)
            if short > NEAR_MM:
                seen[solid.what] = max(seen.get(solid.what, 0.0), short)
        for fitted in around.fitted:
            short = _in_room(support, fitted)
            if short > NEAR_MM:
                seen[fitted.name] = max(seen.get(fitted.name, 0.0), short)
        for what, short in seen.items():
            yield Trouble(
                support.name,
                f"it meets {what} by {short:.1f} mm",
                short,
                f"move one of the two by {short:.1f} mm, or make the {support.kind} smaller there",
            )
        out = _outside_mm(support, around)
        if out > NEAR_MM:
            yield Trouble(
                support.name,
                f"it reaches {out:.1f} mm beyond the room of its half",
                out,
                f"make it {out:.1f} mm shorter there, or the case larger",
            )
    for k, one in enumerate(supports):
        for other in supports[k + 1 :]:
            short = _boxes_mm(one, other)
            if short > NEAR_MM:
                yield Trouble(
                    one.name,
                    f"it meets {other.name} by {short:.1f} mm",
                    short,
                    f"move one of the two by {short:.1f} mm, or make it shorter",
                )


def overlap_mm(low: Point, high: Point, solid: Solid) -> float:
    """By how much a box must move to clear a solid, along the axis that takes least [mm].

    0 where they do not meet.

    >>> bar = Solid("bar", shapely.box(0.0, 0.0, 100.0, 10.0), 0.0, 20.0)
    >>> overlap_mm((90.0, 4.0, 15.0), (120.0, 30.0, 40.0), bar)
    5.0
    """
    tall = min(high[2], solid.z1_mm) - max(low[2], solid.z0_mm)
    if tall <= NEAR_MM:
        return 0.0
    west, south, east, north = solid.outline.bounds
    if min(high[0], east) - max(low[0], west) <= 0 or min(high[1], north) - max(low[1], south) <= 0:
        return 0.0
    cut = shapely.intersection(solid.outline, shapely.box(low[0], low[1], high[0], high[1]))
    if cut.area <= NEAR_MM * NEAR_MM:
        return 0.0
    west, south, east, north = cut.bounds
    moves = (
        min(high[0] - west, east - low[0]),
        min(high[1] - south, north - low[1]),
        min(high[2] - solid.z0_mm, solid.z1_mm - low[2]),
    )
    return float(max(0.0, min(moves)))


def _solids(
    support: Support, placed: Sequence[Placed], cut_out: set[tuple[str, int, str]]
) -> Iterator[Solid]:
    for copy in placed:
        here = copy.placement
        mine = (here.item, here.copy) == (support.item, support.copy)
        for band in copy.solid.bands:
            yield Solid(f"the {copy.label}", band.shape, band.z0_mm, band.z1_mm)
        zones = list(copy.item.zones)
        for zone, room in zip(zones, copy.rooms[: len(zones)], strict=True):
            goes = (here.item, here.copy, zone.face) in cut_out and support.kind == "sub-panel"
            if mine and goes:
                continue
            yield Solid(f"the {room.kind} zone of the {copy.label} ({zone.face})",
                        room.outline, room.z0_mm, room.z1_mm)  # fmt: skip


def _in_room(support: Support, fitted: Fitted) -> float:
    if fitted.room is None:
        return 0.0
    low, high = fitted.room.low_mm, fitted.room.high_mm
    solid = Solid(fitted.name, shapely.box(low[0], low[1], high[0], high[1]), low[2], high[2])
    return overlap_mm(support.low_mm, support.high_mm, solid)


def _boxes_mm(one: Support, other: Support) -> float:
    low, high = other.low_mm, other.high_mm
    solid = Solid(other.name, shapely.box(low[0], low[1], high[0], high[1]), low[2], high[2])
    return overlap_mm(one.low_mm, one.high_mm, solid)


def _outside_mm(support: Support, around: Around) -> float:
    """How far a support reaches beyond the room of its half; the void before a panel is its own."""
    low, high = around.room(support.half)
    out = 0.0
    for axis in range(3):
        for is_high in (False, True):
            side = side_at(AXES[axis], high=is_high)
            beyond = (
                support.high_mm[axis] - high[axis] if is_high else low[axis] - support.low_mm[axis]
            )
            if not around.closes(support.half, side):
                middle = tuple((a + b) / 2 for a, b in zip(support.low_mm, support.high_mm,
                                                           strict=True))  # fmt: skip
                panel = around.panel_at(support.half, side, (middle[0], middle[1], middle[2]))
                beyond -= 0.0 if panel is None else around.void_mm(panel)
            out = max(out, beyond)
    return out
