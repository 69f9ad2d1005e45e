"""Rectangles on the fewest sheets, lying anyhow: simple rules first, then the solver.

All sizes are whole steps with the gap added on two sides; the room of a sheet has one gap added
too.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from typing import Any

import numpy as np
from attrs import evolve, frozen

from fitkit.fit.exact.one_box import in_box
from fitkit.fit.solver import Model

TRIES = 24
"""Orders in which the rectangles are laid by rule."""

MOST_STEPS = 2_500
"""A sheet of no more steps than this is searched by the compiled search of one box."""

NODES_A_SECOND = 500_000
"""How its limit of work is counted."""


@frozen
class Slab:
    """A rectangle with its gap: length and width; it may be turned."""

    length: int
    width: int


@frozen
class Place:
    """Where a slab lies: its sheet, lower left corner, and whether it is turned."""

    sheet: int
    x: int
    y: int
    turned: bool


@frozen
class Found:
    """A place for each slab, how many sheets they take, and the least number proven."""

    places: tuple[Place, ...]
    sheets: int
    bound: int


def least_sheets(slabs: Sequence[Slab], *, room: tuple[int, int], seconds: float) -> Found:
    """The fewest sheets of size ``room``; every slab must fit one way or the other.

    >>> found = least_sheets([Slab(6, 4)] * 4, room=(10, 10), seconds=1.0)
    >>> found.sheets, found.bound
    (1, 1)
    """
    if not slabs:
        return Found((), 0, 0)
    best = _by_rule(slabs, room)
    bound = max(_by_area(slabs, room), _by_pairs(slabs, room))
    while bound < best.sheets:
        places, none = _exact(slabs, room, sheets=bound, seconds=seconds)
        if places is not None:
            best = Found(places, bound, bound)
            break
        if not none:  # neither found nor refuted: one sheet more may do
            for sheets in range(bound + 1, best.sheets):
                places, _ = _exact(slabs, room, sheets=sheets, seconds=seconds / 2)
                if places is not None:
                    best = Found(places, sheets, bound)
                    break
            break
        bound += 1
    return evolve(best, bound=bound)


def laid_in_order(slabs: Sequence[Slab], *, room: tuple[int, int]) -> int:
    """Sheets of the naive way: slabs in their order, in rows, each in the first row with room."""
    rows: list[list[list[int]]] = []  # of each sheet: rows of [height, length taken]
    for slab in slabs:
        length, width = slab.length, slab.width
        if length > room[0] or width > room[1]:
            length, width = width, length
        for sheet in rows:
            row = next((r for r in sheet if width <= r[0] and r[1] + length <= room[0]), None)
            if row is not None:
                row[1] += length
                break
            if sum(r[0] for r in sheet) + width <= room[1]:
                sheet.append([width, length])
                break
        else:
            rows.append([[width, length]])
    return len(rows)


def _by_area(slabs: Sequence[Slab], room: tuple[int, int]) -> int:
    return -(-sum(s.length * s.width for s in slabs) // (room[0] * room[1]))


def _by_pairs(slabs: Sequence[Slab], room: tuple[int, int]) -> int:
    """Slabs of which no two share a sheet, counted from the largest."""
    alone: list[Slab] = []
    for slab in sorted(slabs, key=lambda s: -s.length * s.width):
        if all(not _together(slab, other, room) for other in alone):
            alone.append(slab)
    return len(alone)


def _together(one: Slab, other: Slab, room: tuple[int, int]) -> bool:
    """Whether two slabs fit a sheet: side by side along either of its sides."""
    for a, b in ((one.length, one.width), (one.width, one.length)):
        for c, d in ((other.length, other.width), (other.width, other.length)):
            beside = a + c <= room[0] and max(b, d) <= room[1]
            above = b + d <= room[1] and max(a, c) <= room[0]
            if beside or above:
                return True
    return False


def _by_rule(slabs: Sequence[Slab], room: tuple[int, int]) -> Found:
    """Bottom left in several orders; the fewest sheets, then the least used of the last one."""
    dice = random.Random(1)
    keys = (
        [-s.length * s.width for s in slabs],
        [-max(s.length, s.width) for s in slabs],
        [-min(s.length, s.width) for s in slabs],
    )
    best: Found | None = None
    least = (math.inf, math.inf)
    for turn in range(TRIES):
        key = keys[turn % 3]
        weight = [k * (1.0 if turn < 3 else dice.uniform(0.7, 1.3)) for k in key]
        order = sorted(range(len(slabs)), key=lambda at: weight[at])
        places = _bottom_left(slabs, order, room)
        sheets = max(place.sheet for place in places) + 1
        last = sum(
            slab.length * slab.width
            for slab, place in zip(slabs, places, strict=True)
            if place.sheet == sheets - 1
        )
        if (sheets, last) < least:
            least, best = (sheets, last), Found(tuple(places), sheets, 0)
    assert best is not None
    return best


def _bottom_left(slabs: Sequence[Slab], order: Sequence[int], room: tuple[int, int]) -> list[Place]:
    places: dict[int, Place] = {}
    held: list[list[tuple[int, int, int, int]]] = []
    for at in order:
        slab = slabs[at]
        sides = {(slab.length, slab.width): False, (slab.width, slab.length): True}
        if slab.length == slab.width:
            sides = {(slab.length, slab.width): False}
        spot = None
        for number in range(len(held) + 1):
            if number == len(held):
                held.append([])
            boxes = np.array(held[number], dtype=np.int64).reshape(-1, 4)
            free = [
                (y + side[1], x, y, turned, side)
                for side, turned in sides.items()
                for x, y in _corners(boxes, *side, room)
            ]
            if free:
                _, x, y, turned, (length, width) = min(free)
                spot = Place(number, x, y, turned)
                held[number].append((x, y, x + length, y + width))
                break
        assert spot is not None  # every slab fits an empty sheet
        places[at] = spot
    return [places[at] for at in range(len(slabs))]


def _corners(
    boxes: np.ndarray, length: int, width: int, room: tuple[int, int]
) -> list[tuple[int, int]]:
    """The lowest, leftmost place at the corners of what lies already where it is free, if any."""
    xs = np.unique(np.append(boxes[:, 2], 0))
    ys = np.unique(np.append(boxes[:, 3], 0))
    xs, ys = xs[xs + length <= room[0]], ys[ys + width <= room[1]]
    if not len(xs) or not len(ys):
        return []
    x, y = (grid.ravel() for grid in np.meshgrid(xs, ys))
    meets = (
        (x[:, None] < boxes[:, 2])
        & (x[:, None] + length > boxes[:, 0])
        & (y[:, None] < boxes[:, 3])
        & (y[:, None] + width > boxes[:, 1])
    ).any(axis=1)
    free = np.flatnonzero(~meets)
    if not len(free):
        return []
    at = free[0]  # rows run from below, each from the left
    return [(int(x[at]), int(y[at]))]


def filled(slabs: Sequence[Slab], *, room: tuple[int, int], nodes: int) -> str:
    """Whether all slabs go on one sheet of ``room`` steps: "holds", "refuted", or "open".

    "open" is the answer where the search has taken so many ``nodes``.
    """
    return str(_one_sheet(slabs, room, 1, nodes=nodes)["state"])


def _one_sheet(
    slabs: Sequence[Slab], room: tuple[int, int], step: int, *, nodes: int
) -> dict[str, Any]:
    return in_box(
        [(s.length // step, s.width // step) for s in slabs],
        [s.length != s.width for s in slabs],
        length=room[0],
        width=room[1],
        nodes=nodes,
    )


def _exact(
    slabs: Sequence[Slab], room: tuple[int, int], *, sheets: int, seconds: float
) -> tuple[tuple[Place, ...] | None, bool]:
    """Places on so many sheets by the solver; the second value says that there are none."""
    step = math.gcd(*(side for s in slabs for side in (s.length, s.width)))
    long, wide = room[0] // step, room[1] // step
    if sheets == 1 and max(long, wide) <= MOST_STEPS:
        told = _one_sheet(slabs, (long, wide), step, nodes=round(NODES_A_SECOND * seconds))
        if told["state"] == "refuted":
            return None, True
        if told["state"] == "holds":
            return tuple(
                Place(0, x * step, y * step, bool(turned)) for x, y, turned in told["spots"]
            ), False
    model = Model()
    across, along, tall, deep = [], [], [], []
    xs, ys, turns, numbers = [], [], [], []
    for slab in slabs:
        a, b = slab.length // step, slab.width // step
        turn = model.flag()
        number = model.whole(0, sheets - 1)
        near, x, x1 = (
            model.whole(0, long),
            model.whole(0, sheets * long),
            model.whole(0, sheets * long),
        )
        y, y1 = model.whole(0, wide), model.whole(0, wide)
        # x = sheet * long + near; the far end stays on the same sheet
        model.linear([(x, 1), (number, -long), (near, -1)], 0, 0)
        model.linear([(near, 1), (turn, b - a)], -long, long - a)
        model.linear([(x1, 1), (x, -1), (turn, a - b)], a, a)
        model.linear([(y1, 1), (y, -1), (turn, b - a)], b, b)
        if a == b:
            model.linear([(turn, 1)], 0, 0)
        across.append(model.span(x, (turn, b - a, a), x1))
        along.append(model.span(y, (turn, a - b, b), y1))
        tall.append((turn, a - b, b))
        deep.append((turn, b - a, a))
        xs.append(x)
        ys.append(y)
        turns.append(turn)
        numbers.append(number)
    model.apart(across, along)
    model.side_by_side(across, tall, wide)
    model.side_by_side(along, deep, sheets * long)
    answer = model.solve(work=seconds, seconds=6 * seconds, workers=1)
    if not answer.values:
        return None, answer.status == "infeasible"
    values = answer.values
    return tuple(
        Place(
            values[n],
            (values[x] - values[n] * long) * step,
            values[y] * step,
            bool(values[t]),
        )
        for x, y, t, n in zip(xs, ys, turns, numbers, strict=True)
    ), False
