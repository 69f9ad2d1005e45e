"""Lower bounds: how small the interior can be at the very best.

Two facts hold for every layout. *Area*: bodies of one level, each grown by r = min(web / 2, wall),
are disjoint and lie in the interior's plan shrunk by wall - r on each side; so the plan is at least
as large as the grown outlines that must share a level. *Height*: the levels' heights add up with
their pads, and heights are sums of foam sheets. Thresholds (h1 >= h2 >= ...) on the levels' heights
tie the two together: a pose taller than h2 can only stand in the tallest level. The bound is the
least value over all thresholds; it counts neither zones nor the shape of the gaps between outlines.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np
import shapely
from attrs import frozen

from fitkit.fit.elevation import Need, elevate, levels
from fitkit.fit.pieces import Piece
from fitkit.payload.model import Objective, Payload
from fitkit.payload.walls import least_side_mm

GRID_MM = 1.0
"""Length and width of an interior are whole multiples of this [mm]."""

BOUND_NAME = "plan area by height"
"""The name under which this bound is reported."""


@frozen
class Share:
    """What one pose asks of a level: grown area, height, and the least sides it fits in [mm]."""

    area_mm2: float
    height_mm: float
    short_mm: float
    long_mm: float


@lru_cache(maxsize=2048)
def share(piece: Piece, grow_mm: float) -> Share:
    """The share of one piece grown by ``grow_mm``."""
    outline = piece.outline
    grown = outline.buffer(grow_mm, quad_segs=16) if grow_mm > 0 else outline
    low, high = piece.solid.z0_mm, piece.solid.z1_mm
    if piece.item.turn == "free":
        short, long = _least_width(piece), _longer_side(piece)
    else:
        x0, y0, x1, y1 = outline.bounds
        short, long = sorted((x1 - x0, y1 - y0))
    return Share(grown.area, high - low + piece.lift_mm, short, long)


def objective_value(objective: Objective, size_mm: tuple[float, float, float]) -> float:
    """What is made small, for an interior of ``size_mm``.

    Its volume [mm3], plan area [mm2], longest side or sum of the three sides [mm]; "first" counts
    volume, which breaks ties among layouts that fit.
    """
    length, width, height = size_mm
    if objective == "plan":
        return length * width
    if objective == "longest":
        return max(size_mm)
    if objective == "linear":
        return length + width + height
    return length * width * height


def lower_bound(
    payload: Payload, options: Sequence[Sequence[Piece]], *, objective: Objective
) -> float:
    """A value that no interior for the payload can be below.

    ``options`` holds, for every copy, the pieces (poses) it may take. Unit as in
    :func:`objective_value`. Returns infinity where the given depths hold no copy's pose.
    """
    clear = payload.case.clearance
    grow = min(clear.item_mm / 2, clear.wall_mm)
    rim = 2 * (clear.wall_mm - grow)
    shares = [[share(piece, grow) for piece in poses] for poses in options]
    marks = _thresholds(shares)
    tallest_least = max(min(s.height_mm for s in poses) for poses in shares)
    flats = min(min(s.height_mm for s in poses) for poses in shares)
    most = min(len(levels(payload)), len(options))
    least = least_side_mm(payload.wall.profile)
    best = math.inf
    heights = _height_of(payload)
    for first in (mark for mark in marks if mark >= tallest_least - 1e-9):
        seconds = [mark for mark in marks if mark <= first + 1e-9] if most > 1 else []
        for used, second in [(1, 0.0), *itertools.product(range(2, most + 1), seconds)]:
            height = heights(used, first, second, flats)
            if height is None:
                continue
            ask = _plan_ask(shares, first=first, second=second, used=used, grow=grow)
            if ask is not None:
                value = _least_value(objective, ask, rim_mm=rim, least_mm=least, height_mm=height)
                best = min(best, value)
    return best


def _thresholds(shares: Sequence[Sequence[Share]]) -> list[float]:
    return sorted({round(s.height_mm, 6) for poses in shares for s in poses})


def _plan_ask(
    shares: Sequence[Sequence[Share]], *, first: float, second: float, used: int, grow: float
) -> Share | None:
    """What the plan, shrunk to the grown outlines, must offer for thresholds on the heights.

    None where a copy has no pose that is low enough.
    """
    total = forced = short = long = 0.0
    for poses in shares:
        able = [s for s in poses if s.height_mm <= first + 1e-6]
        if not able:
            return None
        area = min(s.area_mm2 for s in able)
        total += area
        if used > 1 and all(s.height_mm > second + 1e-6 for s in able):
            forced += area
        short = max(short, min(s.short_mm for s in able))
        long = max(long, min(s.long_mm for s in able))
    return Share(max(total / used, forced), first, short + 2 * grow, long + 2 * grow)


def _least_value(
    objective: Objective, ask: Share, *, rim_mm: float, least_mm: float, height_mm: float
) -> float:
    """The least value over all plans in whole steps that offer what is asked.

    Of the plan's sides the shorter is tried in every step up to the square's; the longer follows.
    """
    first, last = ask.short_mm + rim_mm, math.sqrt(ask.area_mm2) + rim_mm
    start = math.ceil(max(first, least_mm) / GRID_MM - 1e-6)
    stop = max(start, math.ceil(last / GRID_MM - 1e-6))
    width = np.arange(start, stop + 1) * GRID_MM
    by_area = ask.area_mm2 / np.maximum(width - rim_mm, 1e-9) + rim_mm
    longer = np.maximum(by_area, max(ask.long_mm + rim_mm, least_mm))
    length = np.maximum(np.ceil(longer / GRID_MM - 1e-6) * GRID_MM, width)
    if objective == "plan":
        values = length * width
    elif objective == "longest":
        values = np.maximum(length, height_mm)
    elif objective == "linear":
        values = length + width + height_mm
    else:
        values = length * width * height_mm
    return float(values.min())


def _height_of(payload: Payload) -> Callable[[int, float, float, float], float | None]:
    """Least inside height by number of levels used, their two greatest heights and the least."""
    places = levels(payload)

    @lru_cache(maxsize=65536)
    def height(used: int, first: float, second: float, flat: float) -> float | None:
        asked = [first, second, *([flat] * (used - 2))][:used]
        best: float | None = None
        for chosen in itertools.combinations(range(len(places)), used):
            for order in set(itertools.permutations(asked)):
                needs: list[Need | None] = [None] * len(places)
                for place, tall in zip(chosen, order, strict=True):
                    needs[place] = Need(tall, tall, 0.0)
                found = elevate(payload, tuple(needs))
                if found and (best is None or found.height_mm < best):
                    best = found.height_mm
        return best

    return height


@lru_cache(maxsize=1024)
def _least_width(piece: Piece) -> float:
    """Least distance of two parallel lines that hold the outline: one lies on a hull edge."""
    hull = shapely.get_coordinates(shapely.convex_hull(piece.outline))[:-1]
    edges = np.roll(hull, -1, axis=0) - hull
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    keep = lengths > 1e-9
    normals = np.column_stack([-edges[keep, 1], edges[keep, 0]]) / lengths[keep, None]
    reach = normals @ hull.T
    return float((reach.max(axis=1) - reach.min(axis=1)).min())


@lru_cache(maxsize=1024)
def _longer_side(piece: Piece) -> float:
    """The least longer side of a rectangle that holds the outline at some turn.

    A free outline of diameter d lies in a rectangle with diagonal d or more, whose longer side is
    at least d / sqrt 2.
    """
    hull = shapely.get_coordinates(shapely.convex_hull(piece.outline))
    spans = hull[:, None, :] - hull[None, :, :]
    return float(np.hypot(spans[..., 0], spans[..., 1]).max()) * math.sqrt(0.5)
