"""Free places along a line: spans that are left when others are taken away.

A span is a pair (from, to) [mm]. What blocks is open at its ends: a place right at the end of a
blocked span is free.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

Span = tuple[float, float]

NEAR_MM = 1e-9
"""Lengths up to this are nothing [mm]."""


def free(low_mm: float, high_mm: float, *, blocked: Iterable[Span]) -> tuple[Span, ...]:
    """What is left of [low, high], in order; single places count.

    >>> free(0.0, 10.0, blocked=[(3.0, 5.0), (4.0, 7.0), (10.0, 12.0)])
    ((0.0, 3.0), (7.0, 10.0))
    """
    found, at = [], low_mm
    for start, end in sorted(span for span in blocked if span[1] - span[0] > NEAR_MM):
        if start > high_mm - NEAR_MM:
            break
        if end <= at + NEAR_MM:
            continue
        if start >= at - NEAR_MM:
            found.append((at, max(at, start)))
        at = end
    if at <= high_mm + NEAR_MM:
        found.append((at, max(at, high_mm)))
    return tuple(found)


def nearest(wanted_mm: float, spans: Iterable[Span], *, grid_from_mm: float = 0.0) -> float | None:
    """The free place nearest to the wanted one, at a whole millimetre where that is free too.

    Whole millimetres count from ``grid_from_mm``, the side's end. Of two places equally near the
    lower one; None where nothing is free.

    >>> nearest(5.0, [(0.0, 2.5), (8.0, 9.0)])
    2.0
    """
    best: float | None = None
    for low, high in spans:
        place = min(max(wanted_mm, low), high)
        if best is None or abs(place - wanted_mm) < abs(best - wanted_mm) - NEAR_MM:
            best = _whole(place, low, high, wanted_mm, grid_from_mm)
    return best


def _whole(place: float, low: float, high: float, wanted: float, start: float) -> float:
    if abs(place - wanted) <= NEAR_MM:
        return place
    steps = place - start
    whole = start + (math.ceil(steps) if place > wanted else math.floor(steps))
    return whole if low <= whole <= high else place


def mirrored(spans: Iterable[Span], *, about_mm: float) -> tuple[Span, ...]:
    """The spans as seen in a mirror at ``about_mm``.

    >>> mirrored([(1.0, 2.0)], about_mm=5.0)
    ((8.0, 9.0),)
    """
    return tuple((2 * about_mm - high, 2 * about_mm - low) for low, high in spans)
