"""How rivets are spread along one row: evenly, within the pitch, around what lies in the way.

Everything is in millimetres along the row.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

Span = tuple[float, float]

_EPS = 1e-9


def spread(
    low_mm: float, high_mm: float, *, pitch_mm: float, least_mm: float, blocked: Sequence[Span] = ()
) -> tuple[float, ...]:
    """Where the rivets of a row between ``low_mm`` and ``high_mm`` sit.

    A free row has n = ceil((high - low) / pitch) + 1 rivets, at least two, its first and last at
    its ends (common practice, no source). Where something blocks it, each free stretch is filled
    by itself: so near to the blocked part that the pitch holds across it, or right beside it if
    it is wider than the pitch. Two rivets are never nearer than ``least_mm``, whatever the pitch; a
    stretch shorter than that gets one, one of no length none. A smaller pitch never means fewer.

    >>> spread(0.0, 250.0, pitch_mm=100.0, least_mm=12.0)
    (0.0, 83.33333333333333, 166.66666666666666, 250.0)
    >>> spread(0.0, 250.0, pitch_mm=100.0, least_mm=12.0, blocked=[(95.0, 155.0)])
    (0.0, 75.0, 175.0, 250.0)
    """
    pitch_mm = max(pitch_mm, least_mm)
    stops = _merged(blocked, low_mm, high_mm, least_mm)
    if not stops:
        return _stretch(low_mm, high_mm, 0.0, 0.0, pitch_mm, least_mm, at_least=2)
    found: list[tuple[float, ...]] = []
    edges = [low_mm, *(end for stop in stops for end in stop), high_mm]
    stretches = list(zip(edges[::2], edges[1::2], strict=True))
    for index, (start, end) in enumerate(stretches):
        left = _inset(stops[index - 1], low_mm, high_mm, pitch_mm) if index else 0.0
        right = _inset(stops[index], low_mm, high_mm, pitch_mm) if index < len(stops) else 0.0
        found.append(_stretch(start, end, left, right, pitch_mm, least_mm, at_least=1))
    if sum(map(len, found)) == 1:
        only = next(index for index, one in enumerate(found) if one)
        found[only] = _stretch(*stretches[only], 0.0, 0.0, pitch_mm, least_mm, at_least=2)
    return tuple(place for one in found for place in one)


def widest_mm(places: Sequence[float]) -> float:
    """The greatest distance between two neighbours; 0 where there are none."""
    return max((b - a for a, b in pairwise(sorted(places))), default=0.0)


def _merged(blocked: Sequence[Span], low_mm: float, high_mm: float, least_mm: float) -> list[Span]:
    """What blocks the row, clipped to it, overlaps united, none narrower than ``least_mm``."""
    found: list[Span] = []
    for start, end in sorted(blocked):
        if end <= low_mm + _EPS or start >= high_mm - _EPS or end <= start:
            continue
        grow = max(0.0, least_mm - (end - start)) / 2
        span = (max(start - grow, low_mm), min(end + grow, high_mm))
        if found and span[0] <= found[-1][1] + _EPS:
            # a narrow one grows most, and may come to start before the one that it follows
            found[-1] = (min(found[-1][0], span[0]), max(found[-1][1], span[1]))
        else:
            found.append(span)
    return found


def _inset(stop: Span, low_mm: float, high_mm: float, pitch_mm: float) -> float:
    """How far from a blocked part the next rivet may sit with the pitch kept across it."""
    at_end = stop[0] <= low_mm + _EPS or stop[1] >= high_mm - _EPS
    return 0.0 if at_end else max(0.0, (pitch_mm - (stop[1] - stop[0])) / 2)


def _stretch(
    start: float,
    end: float,
    left: float,
    right: float,
    pitch_mm: float,
    least_mm: float,
    *,
    at_least: int,
) -> tuple[float, ...]:
    """The rivets of one free stretch, at most ``left`` and ``right`` away from its ends."""
    wide = end - start
    if wide < -_EPS or (wide <= _EPS and at_least == 1):
        return ()
    if wide < least_mm - _EPS:
        return ((start + end) / 2,)
    span = wide - left - right
    number = max(at_least, math.ceil(span / pitch_mm - _EPS) + 1 if span > _EPS else 1)
    if number == 1:
        return (start + (max(0.0, wide - right) + min(left, wide)) / 2,)
    if span < least_mm:
        share = (wide - least_mm) / (left + right) if left + right > _EPS else 0.0
        left, right, span = left * share, right * share, wide - (left + right) * share
    number = min(number, math.floor(span / least_mm + _EPS) + 1)
    step = span / (number - 1)
    return tuple(start + left + index * step for index in range(number))
