"""Which sheets, in which order: an exact search over the boundaries between layers.

Every demand on a stack says the same thing: *between these two heights there must be a
boundary*. A pocket floor, the underside of a tier and the bottom of a relief are such windows. The
highest boundary within a window serves it, and that is settled as soon as the stack grows past
the window; so a walk from the floor up, height by height, finds the best stack without trying
all orders.
"""

from __future__ import annotations

import math
from bisect import bisect_left

from attrs import frozen

UNITS = 100
"""Heights are counted in hundredths of a millimetre, as in :mod:`fitkit.fit.elevation`."""

FAR_MM = 30.0
"""A top buried deeper than this below its tier's top is out of a finger's reach (common practice,
no source: notches are 20 to 30 mm deep)."""


_MISS = 10**9
"""What a missed window costs, beside the units by which it is missed."""


@frozen
class Window:
    """A boundary is asked for between ``low_mm`` and ``high_mm``.

    ``name`` says for what. With ``lift`` the highest boundary is the best one; with ``grab`` it
    counts how far a top stays buried below ``high_mm``'s. With ``accent`` the layer under the
    boundary must be an accent layer. A ``wish`` may go unserved.
    """

    name: str
    low_mm: float
    high_mm: float
    lift: bool = False
    grab: bool = False
    accent: bool = False
    wish: bool = False


@frozen
class Found:
    """A stack from the floor up: thicknesses, which of them are accents, and what it misses."""

    sheets_mm: tuple[float, ...]
    accents: tuple[bool, ...]
    missed: tuple[str, ...]


@frozen
class _Step:
    """How a state was reached: costs so far, and the state before."""

    missed: int
    count: int
    far: int
    buried: int
    kinds: int
    accent: bool
    sheet: int
    before: _Step | None


def heights(sheets_mm: tuple[float, ...], upto_mm: float) -> tuple[float, ...]:
    """All heights up to ``upto_mm`` that whole sheets add up to, rising, from 0 [mm].

    >>> heights((20.0, 30.0), 70.0)
    (0.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0)
    """
    top = _most(upto_mm)
    steps = sorted({_units(s) for s in sheets_mm if s > 0})
    found = {0}
    edge = [0]
    while edge:
        edge = [h + s for h in edge for s in steps if h + s <= top and h + s not in found]
        edge = list(dict.fromkeys(edge))
        found.update(edge)
    return tuple(h / UNITS for h in sorted(found))


def search(
    depth_mm: float,
    *,
    sheets_mm: tuple[float, ...],
    windows: tuple[Window, ...],
    accent_mm: float | None = None,
) -> Found:
    """The stack of sheets that fills ``depth_mm`` and serves the windows.

    In this order: fewest windows missed and by the least, least air left at the top, fewest wishes
    unserved and items out of a finger's reach (at most one more sheet is spent on those), fewest
    sheets, fewest thicknesses to buy, lifted boundaries as high as they may be. The answer is
    exact; it depends on nothing but its arguments.

    >>> asked = (Window("floor", 25.0, 45.0),)
    >>> search(100.0, sheets_mm=(10.0, 20.0, 30.0, 50.0), windows=asked).sheets_mm
    (30.0, 20.0, 50.0)
    """
    top = _most(depth_mm)
    steps = sorted({_units(s) for s in sheets_mm if s > 0})
    accent = _units(accent_mm) if accent_mm else None
    ordered = sorted(windows, key=lambda w: (_most(w.high_mm), _least(w.low_mm), w.name))
    highs = [_most(w.high_mm) for w in ordered]
    start = _Step(0, 0, 0, 0, 0, False, 0, None)
    states: dict[int, dict[tuple[bool, int, int], _Step]] = {0: {(False, 0, 0): start}}
    ends: list[tuple[int, _Step]] = []
    frontier = [0]
    queued = {0}
    while frontier:
        here = frontier.pop(0)
        steps_here = _kept(states.pop(here))
        ends.extend((here, _passed(s, ordered, highs, here, None)) for s in steps_here)
        moves = [(size, 1 << k, False) for k, size in enumerate(steps)]
        if accent is not None and any(
            w.accent and _least(w.low_mm) <= here + accent <= _most(w.high_mm) for w in ordered
        ):
            moves.append((accent, 0, True))
        for size, bit, coloured in moves:
            there = here + size
            if there > top:
                continue
            if there not in queued:
                queued.add(there)
                frontier.insert(bisect_left(frontier, there), there)
            at = states.setdefault(there, {})
            for old in steps_here:
                new = _passed(old, ordered, highs, here, there)
                new = _Step(
                    new.missed,
                    old.count + 1,
                    new.far,
                    new.buried,
                    old.kinds | bit,
                    coloured,
                    size,
                    old,
                )
                key = (coloured, new.count, new.kinds)
                if key not in at or _rank(new) < _rank(at[key]):
                    at[key] = new
    return _best(ends, top, ordered, highs)


def _units(value_mm: float) -> int:
    return round(value_mm * UNITS)


def _least(value_mm: float) -> int:
    """A height that must be reached, in units; rounding noise does not raise it."""
    return math.ceil(value_mm * UNITS - 1e-3)


def _most(value_mm: float) -> int:
    """A height that must not be passed, in units; rounding noise does not lower it."""
    return math.floor(value_mm * UNITS + 1e-3)


def _rank(step: _Step) -> tuple[int, int, int]:
    return (step.missed, step.far, step.buried)


def _kept(states: dict[tuple[bool, int, int], _Step]) -> list[_Step]:
    """States that a best stack can still pass through.

    A way here that misses more, or takes two sheets more, than another way here can always be
    replaced by that other way.
    """
    kept: list[_Step] = []
    for coloured in (False, True):
        group = [s for (flag, _, _), s in states.items() if flag == coloured]
        if not group:
            continue
        missed = min(s.missed for s in group)
        group = [s for s in group if s.missed == missed]
        count = min(s.count for s in group)
        kept.extend(s for s in group if s.count <= count + 1)
    return kept


def _passed(
    step: _Step, windows: list[Window], highs: list[int], here: int, there: int | None
) -> _Step:
    """``step`` with the windows settled that the next boundary leaves behind."""
    first = bisect_left(highs, here)
    last = len(highs) if there is None else bisect_left(highs, there)
    missed, far, buried = step.missed, step.far, step.buried
    for k in range(first, last):
        window = windows[k]
        if here < _least(window.low_mm) or (window.accent and not step.accent):
            if window.wish:
                far += 1
            else:
                missed += _MISS + max(0, _least(window.low_mm) - here)
        elif window.lift:
            depth = highs[k] - here
            buried += depth
            far += window.grab and depth > FAR_MM * UNITS
    return _Step(missed, step.count, far, buried, step.kinds, step.accent, step.sheet, step.before)


def _best(
    ends: list[tuple[int, _Step]], top: int, windows: list[Window], highs: list[int]
) -> Found:
    missed = min(s.missed for _, s in ends)
    whole = max(here for here, s in ends if s.missed == missed)
    last = [s for here, s in ends if here == whole and s.missed == missed]
    fewest = min(s.count for s in last)
    chosen = min(
        (s for s in last if s.count <= fewest + 1),
        key=lambda s: (s.far, s.count, s.kinds.bit_count(), s.buried, _sizes(s)),
    )
    sizes = _sizes(chosen)
    boundaries = [0]
    for size, _ in sizes:
        boundaries.append(boundaries[-1] + size)
    misses = []
    for window, high in zip(windows, highs, strict=True):
        at = max(k for k, b in enumerate(boundaries) if b <= high) if high >= 0 else 0
        bare = window.accent and (at == 0 or not sizes[at - 1][1])
        if not window.wish and (boundaries[at] < _least(window.low_mm) or bare):
            misses.append(window.name)
    return Found(
        tuple(size / UNITS for size, _ in sizes), tuple(flag for _, flag in sizes), tuple(misses)
    )


def _sizes(step: _Step) -> tuple[tuple[int, bool], ...]:
    found: list[tuple[int, bool]] = []
    at: _Step | None = step
    while at is not None and at.before is not None:
        found.append((at.sheet, at.accent))
        at = at.before
    return tuple(reversed(found))
