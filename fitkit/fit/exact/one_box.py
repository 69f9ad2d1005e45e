"""Rectangles in one box: what the compiled search of :mod:`fitkit.fit.exact.plane` is handed."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from fitkit.fit.exact.plane import search

PART = 0.35
"""An interval of starts is this share of the rectangle's width."""

TOGETHER = 10
"""So many of the largest rectangles get their intervals before any gets its start."""

LOOKS = (3,)
"""With so many rectangles still without a start, y is tried for the others."""

Pair = tuple[int, int]


def in_box(
    sides: Sequence[Pair], turns: Sequence[bool], *, length: int, width: int, nodes: int
) -> dict[str, Any]:
    """Put rectangles (w along the length, h along the width) into one box; see the worker's words.

    The shorter side of the box is the one along which starts are given first.

    >>> in_box([(2, 2), (1, 1)], [False, False], length=3, width=2, nodes=0)["state"]
    'holds'
    >>> in_box([(2, 2), (1, 2)], [False, False], length=2, width=3, nodes=0)["state"]
    'refuted'
    """
    crossed = length > width
    if crossed:
        length, width = width, length
        sides = [(h, w) for w, h in sides]
    n = len(sides)
    order = sorted(range(n), key=lambda k: (-sides[k][0] * sides[k][1], sides[k], turns[k]))
    own = tuple((*sides[k], turns[k] and sides[k][0] != sides[k][1]) for k in order)
    ws = np.array([(w, h) for w, h, _ in own], np.int64)
    ways = np.array([2 if turn else 1 for _, _, turn in own], np.int64)
    at, way, low, high, allowed = _starts(own, length, width)
    twin = np.array([k - 1 if k and own[k] == own[k - 1] else -1 for k in range(n)], np.int64)
    first = min(TOGETHER, n)
    steps = [(k, 0) for k in range(first)] + [(k, 1) for k in range(first)]
    steps += [(k, kind) for k in range(first, n) for kind in (0, 1)]
    look = np.array([kind == 1 and n - 1 - k in LOOKS for k, kind in steps], np.bool_)
    spots = np.zeros((n, 2), np.int64)
    turned = np.zeros(n, np.int64)
    told = np.zeros(1, np.int64)
    state = search(
        length, width, n, ws, ws[:, ::-1].copy(), ways, at, way, low, high, allowed, twin,
        np.array([k for k, _ in steps], np.int64), np.array([kind for _, kind in steps], np.int64),
        look, spots, turned, nodes, told,
    )  # fmt: skip
    found: list[list[int]] | None = None
    if state == 1:
        found = [[] for _ in range(n)]
        for k, (x, y), o in zip(order, spots.tolist(), turned.tolist(), strict=True):
            found[k] = [y, x, o] if crossed else [x, y, o]
    names = {1: "holds", 0: "refuted", -1: "open"}
    return {"state": names[int(state)], "spots": found, "nodes": int(told[0])}


def _starts(own: tuple[tuple[int, int, bool], ...], length: int, width: int) -> tuple[Any, ...]:
    """The starts that are looked at, in intervals, for every rectangle and orientation."""
    allowed = np.zeros((len(own), 2, length + 1), np.bool_)
    at, way, low, high = [0], [], [], []
    # a box can be mirrored: the rectangle that no exchange below moves lies in the left half
    keys = [min(w, h) if turn else w for w, h, turn in own]
    anchor = keys.index(max(keys))
    for k, (a, b, turn) in enumerate(own):
        for o in range(2 if turn else 1):
            w, h = (b, a) if o else (a, b)
            if w > length or h > width:
                continue
            last = length - w
            good = np.ones(last + 1, np.bool_)
            gaps = idle_gaps(own, keys[k], h)
            for gap in gaps:
                if gap <= last:
                    good[gap] = False
                    if last > gaps[-1]:
                        good[last - gap] = False
            if k == anchor:
                good[last // 2 + 1 :] = False
            allowed[k, o, : last + 1] = good
            starts = np.flatnonzero(good).tolist()
            span = max(1, int(PART * w))
            while starts:
                inside = [x for x in starts if x < starts[0] + span]
                way.append(o)
                low.append(inside[0])
                high.append(inside[-1])
                starts = starts[len(inside) :]
        at.append(len(way))
    numbers = [np.array(values, np.int64) for values in (at, way, low, high)]
    return (*numbers, allowed)


@lru_cache(maxsize=4096)
def idle_gaps(own: tuple[tuple[int, int, bool], ...], key: int, height: int) -> tuple[int, ...]:
    """Gaps between a rectangle and the left or right wall that need not be looked at.

    All rectangles narrow enough for the gap fit together into it, over the rectangle's height.
    Then the rectangle can change places with the gap: what lay in the gap, in part or whole, is
    packed anew on the other side. ``key`` is the rectangle's width (its shorter side where it may
    turn), so only rectangles with smaller keys are moved, and all such exchanges come to an end.
    The exchange is that of Korf's "dominance"; the packing tried is in plain shelves.

    >>> idle_gaps(((5, 5, False), (2, 2, False), (1, 1, False)), 5, 5)
    (1, 2, 3, 4)
    """
    found: list[int] = []
    for gap in range(1, key):
        narrow = []
        for w, h, turn in own:
            if turn and min(w, h) <= gap:
                narrow.append((min(w, h), max(w, h)))
            elif not turn and w <= gap:
                narrow.append((w, h))
        shelves: list[list[int]] = []
        for w, h in sorted(narrow, key=lambda side: (-side[1], -side[0])):
            for shelf in shelves:
                if shelf[0] + w <= gap:
                    shelf[0] += w
                    break
            else:
                shelves.append([w, h])
        if sum(shelf[1] for shelf in shelves) > height:
            break
        found.append(gap)
    return tuple(found)
