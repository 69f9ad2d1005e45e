"""Proofs that a plan is too small for everybody, for one pattern of heights.

The plan L x W is given, levels and poses are free. Where a layout exists, there are whole numbers
for the middles of all frames (:mod:`fitkit.fit.bounds.frames`) that keep every condition below, so
if the solver finds that there are none, there is no layout.

Proof. Lengths are rounded down to a grid of g mm: half extents, and what a body reaches from its
middle; the plan between the walls, L - 2 wall, too. Take a layout, and for every two copies of one
row and every family one of left, right, below, above that holds for their frames. Then each
x obeys only conditions x_j - x_i >= a (half extents added), x_i >= b and x_i <= (L - 2 wall) - c.
They stay true when a, b and c are rounded down; the least x that obeys the first two kinds are sums
of such numbers, whole multiples of g, and no larger than the layout's own, so at most the plan
rounded down less c. The same holds for y. Areas of a row's grown bodies, and what their zones
surely keep free, come to at most the area of the plan shrunk by wall - r.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import frozen

from fitkit.fit.bounds.frames import FAMILIES, Frame, frame_of, kept_free_mm2
from fitkit.fit.bounds.patterns import Kind, Way
from fitkit.fit.solver import Answer, Model, Term

GRID_MM = 0.25
"""Half extents are rounded down to multiples of this [mm]."""

AREA_MM2 = 4.0
"""Areas are counted in multiples of this: bodies rounded down, the plan up [mm2]."""

MOST_WORK = 0.6
"""The solver's work on one plan, about seconds."""


@frozen
class Plan:
    """A plan to refute: its sides between the walls [mm], and its area for grown bodies [mm2]."""

    length_mm: float
    width_mm: float
    area_mm2: float


@frozen
class Edge:
    """What the plan's edge asks: bodies grown by r = ``grow_mm``, the wall clearance [mm]."""

    grow_mm: float
    wall_mm: float


@frozen
class _Shape:
    """A pose at a turn in whole numbers, see :class:`Frame`."""

    halves: tuple[tuple[int, int], ...]
    ends: tuple[int, int]
    beyond: tuple[tuple[int, int], tuple[int, int]]


Extent = int | tuple[int, int, int]
"""A length: a constant, or (variable, factor, constant)."""

Span = tuple[int, Extent, int]
"""Start, size and end of an interval."""


@frozen
class _Frames:
    """A copy's intervals in one row, and their sizes, by axis and family."""

    across: list[int]
    along: list[int]
    lengths: list[Extent]
    widths: list[Extent]


def least_area(
    kinds: Sequence[Kind], ways: Sequence[Sequence[Way]], *, edge: Edge, work: float
) -> float:
    """A bound on the plan's area for grown bodies [mm2] when copies are not divided among ways."""
    model = Model()
    flags = _flags(model, kinds, ways)
    most = 2 * sum(len(k.copies) * _units(max(a.area_mm2 for a in k.asks)) for k in kinds)
    plan = model.whole(0, most)
    _areas(model, kinds, ways, flags, edge, plan)
    model.minimise([(plan, 1)])
    answer = model.solve(work=work)
    return max(0.0, math.ceil(answer.bound - 1e-6) * AREA_MM2)


def refuted(
    kinds: Sequence[Kind],
    ways: Sequence[Sequence[Way]],
    plan: Plan,
    *,
    edge: Edge,
    work: float = MOST_WORK,
) -> Answer:
    """The solver's answer on a plan; "infeasible" is the proof that it holds no layout."""
    model = Model()
    flags = _flags(model, kinds, ways)
    area = math.ceil(plan.area_mm2 / AREA_MM2 - 1e-9)
    _areas(model, kinds, ways, flags, edge, model.whole(area, area))
    size = (_grid(plan.length_mm + 1e-6), _grid(plan.width_mm + 1e-6))
    rows: dict[int, list[_Frames]] = {}
    largest = max(range(len(kinds)), key=lambda n: max(a.area_mm2 for a in kinds[n].asks))
    for n, (kind, own) in enumerate(zip(kinds, ways, strict=True)):
        for number, copy in enumerate(flags[n]):
            picks = _picks(model, kind, own, copy, size, edge)
            if not picks:
                return Answer("infeasible", (), math.inf, 0.0)
            axes = [_axis(model, picks, axis, size[axis]) for axis in (0, 1)]
            for row, there in _presence(model, own, copy).items():
                across, along = (
                    [model.span(*span, when=there) for span in spans] for _, spans in axes
                )
                lengths, widths = ([size for _, size, _ in spans] for _, spans in axes)
                rows.setdefault(row, []).append(_Frames(across, along, lengths, widths))
            if n == largest and number == 0:
                # the whole case can be mirrored both ways
                for (middle, _), side in zip(axes, size, strict=True):
                    model.linear([(middle, 2)], 0, side)
    for members in rows.values():
        _keep_apart(model, members, size, 2 * (_grid(edge.grow_mm) + 1))
    return model.solve(work=work)


def _keep_apart(model: Model, members: Sequence[_Frames], size: tuple[int, int], over: int) -> None:
    """No two frames of a family overlap; what lies side by side fits into the plan.

    The second follows from the first, since frames reach at most r beyond the plan between the
    walls; said aloud it makes proofs many times shorter. ``over`` is what both ends reach beyond.
    """
    for family in range(len(FAMILIES)):
        across = [frames.across[family] for frames in members]
        along = [frames.along[family] for frames in members]
        model.apart(across, along)
        if family == 0:
            widths = [frames.widths[family] for frames in members]
            lengths = [frames.lengths[family] for frames in members]
            model.side_by_side(across, widths, size[1] + over)
            model.side_by_side(along, lengths, size[0] + over)


def _picks(
    model: Model,
    kind: Kind,
    ways: Sequence[Way],
    flags: Sequence[int],
    size: tuple[int, int],
    edge: Edge,
) -> dict[_Shape, list[int]]:
    """Flags for the shapes that a copy may have; those of one way add up to the way's flag."""
    picks: dict[_Shape, list[int]] = {}
    for way, flag in zip(ways, flags, strict=True):
        frame = frame_of(kind.asks[way.pose].piece, edge.grow_mm, edge.wall_mm)
        both = (frame, frame.turned()) if frame.turn else (frame,)
        shapes = [shape for f in both if _fits(shape := _shape(f), size)]
        mine = [flag] if len(shapes) == 1 else [model.flag() for _ in shapes]
        if mine != [flag]:
            model.linear([*((pick, 1) for pick in mine), (flag, -1)], 0, 0)
        for shape, pick in zip(shapes, mine, strict=True):
            picks.setdefault(shape, []).append(pick)
    return picks


def _axis(
    model: Model, picks: dict[_Shape, list[int]], axis: int, side: int
) -> tuple[int, list[Span]]:
    """A copy's middle along one axis, and the start, size and end of its frame by family."""
    least = min(shape.ends[axis] for shape in picks)
    middle = model.whole(least, max(least, side - least))
    over = [(shape, flag) for shape, held in picks.items() for flag in held]
    if any(max(shape.beyond[axis]) for shape in picks):
        # the zone is at one end or, the item turned by half, at the other
        other = model.flag()
        for low, high, when in ((0, 1, other), (1, 0, ~other)):
            near = [(f, -s.ends[axis] - s.beyond[axis][low]) for s, f in over]
            far = [(f, s.ends[axis] + s.beyond[axis][high]) for s, f in over]
            model.linear([(middle, 1), *near], 0, side, when=[when])
            model.linear([(middle, 1), *far], 0, side, when=[when])
    else:
        model.linear([(middle, 1), *((f, -s.ends[axis]) for s, f in over)], 0, side)
        model.linear([(middle, 1), *((f, s.ends[axis]) for s, f in over)], 0, side)
    spans: list[Span] = []
    for family in range(len(FAMILIES)):
        halves = [shape.halves[family][axis] for shape, _ in over]
        low, high = min(halves), max(halves)
        start = model.whole(-high, side)
        end = model.whole(0, side + high)
        if low == high:
            model.linear([(start, 1), (middle, -1)], -low, -low)
            model.linear([(end, 1), (middle, -1)], low, low)
            spans.append((start, 2 * low, end))
            continue
        half = model.whole(low, high)
        taken = [(flag, -h) for (_, flag), h in zip(over, halves, strict=True)]
        model.linear([(half, 1), *taken], 0, 0)
        model.linear([(start, 1), (middle, -1), (half, 1)], 0, 0)
        model.linear([(end, 1), (middle, -1), (half, -1)], 0, 0)
        spans.append((start, (half, 2, 0), end))
    return middle, spans


def _presence(model: Model, ways: Sequence[Way], flags: Sequence[int]) -> dict[int, int | None]:
    """For every row that a copy may be in the flag that it is; None where it always is."""
    found: dict[int, int | None] = {}
    same: dict[tuple[int, ...], int] = {}
    for row in sorted({row for way in ways for row in way.rows}):
        inside = tuple(flag for flag, way in zip(flags, ways, strict=True) if row in way.rows)
        if len(inside) == len(ways):
            found[row] = None
        elif len(inside) == 1:
            found[row] = inside[0]
        else:
            if inside not in same:
                same[inside] = model.flag()
                model.linear([*((flag, 1) for flag in inside), (same[inside], -1)], 0, 0)
            found[row] = same[inside]
    return found


def _areas(
    model: Model,
    kinds: Sequence[Kind],
    ways: Sequence[Sequence[Way]],
    flags: list[list[list[int]]],
    edge: Edge,
    plan: int,
) -> None:
    """Every row's areas, with what one of its zones keeps free, are at most the plan's."""
    rows: dict[int, list[Term]] = {}
    extras: dict[int, list[list[Term]]] = {}
    for n, (kind, own) in enumerate(zip(kinds, ways, strict=True)):
        free = [_units(kept_free_mm2(a.piece, edge.grow_mm, edge.wall_mm)) for a in kind.asks]
        for copy in flags[n]:
            mine: dict[int, list[Term]] = {}
            for flag, way in zip(copy, own, strict=True):
                for row in way.rows:
                    rows.setdefault(row, []).append((flag, _units(kind.asks[way.pose].area_mm2)))
                    if free[way.pose]:
                        mine.setdefault(row, []).append((flag, free[way.pose]))
            for row, terms in mine.items():
                extras.setdefault(row, []).append(terms)
    most = sum(area for terms in rows.values() for _, area in terms) + 2**40
    for row, terms in rows.items():
        for extra in extras.get(row, [[]]):
            added = dict(extra)
            both = [(flag, area + added.get(flag, 0)) for flag, area in terms]
            model.linear([*both, (plan, -1)], -most, 0)


def _flags(
    model: Model, kinds: Sequence[Kind], ways: Sequence[Sequence[Way]]
) -> list[list[list[int]]]:
    """For every kind and copy one flag for each way; copies that are alike are in order."""
    made = []
    for kind, own in zip(kinds, ways, strict=True):
        copies: list[list[int]] = []
        for _ in kind.copies:
            flags = [model.flag() for _ in own]
            model.exactly_one(flags)
            if copies and len(own) > 1:
                before = [(flag, -at) for at, flag in enumerate(copies[-1])]
                now = [(flag, at) for at, flag in enumerate(flags)]
                model.linear([*before, *now], 0, len(own))
            copies.append(flags)
        made.append(copies)
    return made


def _shape(frame: Frame) -> _Shape:
    (a, b), (c, d) = frame.beyond_mm
    return _Shape(
        tuple((_grid(x), _grid(y)) for x, y in frame.halves_mm),
        (_grid(frame.ends_mm[0]), _grid(frame.ends_mm[1])),
        ((_grid(a), _grid(b)), (_grid(c), _grid(d))),
    )


def _fits(shape: _Shape, size: tuple[int, int]) -> bool:
    return all(2 * shape.ends[axis] + sum(shape.beyond[axis]) <= size[axis] for axis in (0, 1))


def _grid(length_mm: float) -> int:
    return max(0, math.floor(length_mm / GRID_MM + 1e-9))


def _units(area_mm2: float) -> int:
    return math.floor(area_mm2 / AREA_MM2 + 1e-9)
