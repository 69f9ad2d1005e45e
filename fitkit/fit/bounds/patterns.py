"""Patterns of heights: all ways in which floors can lie in a case, and who could stand where.

A *column* is one half's stack of levels: room for bodies between each floor and the pad under the
next, and above the highest floor up to the lid. A *pattern* is an inside height with the columns
of its halves. For any layout take its own floors: the heights between them are sums of sheets, so
the layout is one of a pattern listed here, or has less room than one (whoever stands somewhere in
the layout may stand there in the pattern). Whoever stands through levels is in the way in each. A
level in which nobody's top ends is left out: without it everything above comes down by a pad.

Copies share a *row* of a pattern if they must keep the web in plan wherever they stand: those of
one level, those through it, and facing copies whose heights add up to more than the room between
the two highest floors of a box's halves.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from fitkit.fit.bounds.shares import least_sides_mm, share
from fitkit.fit.elevation import halves_for, levels, reachable, thickness
from fitkit.fit.layout import HalfName
from fitkit.fit.pieces import Piece
from fitkit.payload.model import Payload
from fitkit.payload.walls import least_depth_mm

MOST_STACKS = {1: 400, 2: 60}
"""Sets of lower levels' heights that are told apart, by halves in use; more are joined."""

COARSE_MM = 5.0
"""Step of the height where it need not be a sum of sheets [mm]."""

SAME_MM = 1e-3
"""Heights that overlap by no more than this are taken to touch [mm]."""


@frozen
class Ask:
    """One pose in numbers: grown area, least sides, and heights above the floor [mm].

    ``body_mm`` is the top of the body, ``full_mm`` that of body and zones.
    """

    piece: Piece
    area_mm2: float
    short_mm: float
    long_mm: float
    body_mm: float
    full_mm: float


@frozen
class Kind:
    """Copies that are alike: how many, their poses, the halves they may be in, always in reach."""

    copies: tuple[int, ...]
    asks: tuple[Ask, ...]
    halves: tuple[HalfName, ...]
    always: bool


@frozen
class Way:
    """One way for a copy to stand: pose (by number), level, tiers through, and its rows."""

    pose: int
    level: int
    through: int
    rows: tuple[int, ...]


@frozen
class Column:
    """One half's levels: their places in the case's list, and the room in them [mm].

    ``rooms_mm`` is that above each floor but the highest, ``floors_mm`` are all floors; ``exact``
    says whether the floors are as far apart as the rooms are high, or nearer.
    """

    half: HalfName
    levels: tuple[int, ...]
    rooms_mm: tuple[float, ...]
    floors_mm: tuple[float, ...]
    pad_mm: float
    exact: bool

    @property
    def floor_mm(self) -> float:
        """The highest floor [mm]."""
        return self.floors_mm[-1]


@frozen
class Pattern:
    """An inside height [mm], what of it the bodies may use, and the columns of the halves used."""

    height_mm: float
    room_mm: float
    lid_mm: float
    columns: tuple[Column, ...]
    faces: bool

    @property
    def count(self) -> int:
        """How many levels are used."""
        return sum(len(column.levels) for column in self.columns)


def kinds_of(
    payload: Payload, options: Sequence[Sequence[Piece]], *, grow_mm: float
) -> tuple[Kind, ...]:
    """The copies, alike ones together; those that may be in no half of the case's are an error."""
    alike: dict[tuple[Piece, ...], list[int]] = {}
    for copy, poses in enumerate(options):
        alike.setdefault(tuple(poses), []).append(copy)
    made = []
    for poses, copies in alike.items():
        asks = []
        for piece in poses:
            own = share(piece, grow_mm)
            full = piece.lift_mm + piece.solid.reach_mm[1] - piece.solid.z0_mm
            short, long = least_sides_mm(piece, wall_mm=payload.case.clearance.wall_mm)
            asks.append(Ask(piece, own.area_mm2, short, long, own.height_mm, full))
        item = poses[0].item
        halves = halves_for(payload, item)
        made.append(Kind(tuple(copies), tuple(asks), halves, item.reach == "always"))
    return tuple(made)


def patterns(payload: Payload, kinds: Sequence[Kind]) -> list[Pattern]:
    """All patterns that a layout can have, none of them twice."""
    form, tiers = payload.case.form, payload.case.tiers
    places = levels(payload)
    names = tuple(dict.fromkeys(place.half for place in places))
    own = {n: tuple(k for k, place in enumerate(places) if place.half == n) for n in names}
    rules = _Rules.of(payload, kinds)
    found: dict[tuple[object, ...], Pattern] = {}
    for counts in itertools.product(range(tiers + 1), repeat=len(names)):
        if not 0 < sum(counts) <= sum(len(kind.copies) for kind in kinds):
            continue
        used = [(n, own[n][:k]) for n, k in zip(names, counts, strict=True) if k]
        for columns in _columns(rules, used):
            faces = form == "box" and len(columns) == 2
            for height, room in rules.heights(form, columns):
                if room is not None:
                    made = Pattern(height, room, rules.lid_mm, columns, faces)
                    found.setdefault((columns, round(height, 6)), made)
    return list(found.values())


@frozen(eq=False)
class Table:
    """All poses of all kinds in arrays, one entry for each pose, kind by kind."""

    body_mm: NDArray[np.float64]
    full_mm: NDArray[np.float64]
    area_mm2: NDArray[np.float64]
    short_mm: NDArray[np.float64]
    long_mm: NDArray[np.float64]
    always: NDArray[np.bool_]
    halves: dict[HalfName, NDArray[np.bool_]]
    starts: NDArray[np.intp]
    counts: NDArray[np.float64]

    @classmethod
    def of(cls, kinds: Sequence[Kind]) -> Table:
        """The table of some kinds."""
        asks = [(kind, ask) for kind in kinds for ask in kind.asks]
        names: tuple[HalfName, ...] = ("deep", "shallow", "tray")
        return cls(
            body_mm=np.array([ask.body_mm for _, ask in asks]),
            full_mm=np.array([ask.full_mm for _, ask in asks]),
            area_mm2=np.array([ask.area_mm2 for _, ask in asks]),
            short_mm=np.array([ask.short_mm for _, ask in asks]),
            long_mm=np.array([ask.long_mm for _, ask in asks]),
            always=np.array([kind.always for kind, _ in asks]),
            halves={n: np.array([n in kind.halves for kind, _ in asks]) for n in names},
            starts=np.cumsum([0, *(len(kind.asks) for kind in kinds)])[:-1],
            counts=np.array([len(kind.copies) for kind in kinds], dtype=float),
        )


def ends_of(pattern: Pattern, table: Table) -> NDArray[np.intp]:
    """Where each pose's way ends that starts on each floor; shape (levels used, poses).

    Levels are numbered in the order of the columns; -1 where the pose does not fit. Of the ways
    that start on one floor the one through fewest tiers is in the way of the fewest.
    """
    found = np.full((pattern.count, len(table.body_mm)), -1, dtype=np.intp)
    first = 0
    for column in pattern.columns:
        top = len(column.levels) - 1
        for start in range(top + 1):
            ends = found[first + start]
            below = 0.0
            for end in range(start, top):
                room = below + column.rooms_mm[end]
                fits = (ends < 0) & ~table.always & (table.full_mm <= room + SAME_MM)
                ends[fits] = first + end
                below = room + column.pad_mm
            above = pattern.room_mm - column.floor_mm + below + SAME_MM
            fits = (table.body_mm + pattern.lid_mm <= above) & (table.full_mm <= above)
            ends[(ends < 0) & fits] = first + top
            ends[~table.halves[column.half]] = -1
        first += top + 1
    return found


def ways_of(pattern: Pattern, kinds: Sequence[Kind]) -> list[list[Way]] | None:
    """For every kind the ways it may stand in a pattern; None if some kind has none.

    Rows are numbered: the levels used first, in the order of the columns, then the facing ones.
    """
    ends = ends_of(pattern, Table.of(kinds))
    places = [level for column in pattern.columns for level in column.levels]
    found: list[list[Way]] = []
    at = 0
    for kind in kinds:
        own = []
        for pose in range(len(kind.asks)):
            for start, end in enumerate(ends[:, at + pose].tolist()):
                if end >= 0:
                    rows = tuple(range(start, end + 1))
                    own.append(Way(pose, places[start], end - start, rows))
        at += len(kind.asks)
        if not own:
            return None
        found.append(own)
    return _facing(pattern, kinds, found) if pattern.faces else found


def row_count(ways: Sequence[Sequence[Way]]) -> int:
    """How many rows the ways are in."""
    return 1 + max(row for own in ways for way in own for row in way.rows)


def _facing(pattern: Pattern, kinds: Sequence[Kind], ways: list[list[Way]]) -> list[list[Way]]:
    """The same ways with rows of facing copies that are together too high to lie above each other.

    Of those in the deep half's highest level that reach at least h above its floor, and those of
    the shallow half's that reach more than the room less h above theirs, any two keep the web.
    """
    deep, shallow = pattern.columns
    between = pattern.room_mm - deep.floor_mm - shallow.floor_mm
    rises: dict[tuple[int, int], tuple[str, float]] = {}
    for n, (kind, own) in enumerate(zip(kinds, ways, strict=True)):
        for m, way in enumerate(own):
            column = deep if way.level in deep.levels else shallow
            start = column.levels.index(way.level)
            if start + way.through == len(column.levels) - 1:
                below = sum(room + column.pad_mm for room in column.rooms_mm[start:])
                rises[n, m] = (column.half, kind.asks[way.pose].body_mm - below)
    rows = pattern.count
    seen = set()
    extra: dict[tuple[int, int], list[int]] = {}
    for mark in sorted({rise for half, rise in rises.values() if half == deep.half}):
        members = frozenset(
            at
            for at, (half, rise) in rises.items()
            if (half == deep.half and rise >= mark)
            or (half == shallow.half and rise > between - mark + SAME_MM)
        )
        if members in seen or all(rises[at][0] == deep.half for at in members):
            continue
        seen.add(members)
        for at in members:
            extra.setdefault(at, []).append(rows)
        rows += 1
    return [
        [
            Way(way.pose, way.level, way.through, (*way.rows, *extra.get((n, m), ())))
            for m, way in enumerate(own)
        ]
        for n, own in enumerate(ways)
    ]


@frozen
class _Rules:
    """What heights follow from: pads, sheets, clearances and given depths [mm]."""

    sheets_mm: tuple[float, ...]
    floor_mm: float
    tier_mm: float
    lid_mm: float
    least_mm: float
    accent_mm: float
    depths_mm: tuple[float | None, ...]
    marks_mm: tuple[float, ...]
    asked_mm: tuple[float, ...]

    @classmethod
    def of(cls, payload: Payload, kinds: Sequence[Kind]) -> _Rules:
        clear = payload.case.clearance
        sheets = tuple(sorted(payload.foam.sheets_mm))
        accent = payload.foam.accent_mm or 0.0
        asks = [ask for kind in kinds for ask in kind.asks]
        return cls(
            sheets_mm=sheets,
            floor_mm=accent + thickness(sheets, clear.floor_mm - accent),
            tier_mm=accent + thickness(sheets, clear.tier_mm - accent),
            lid_mm=clear.lid_mm,
            least_mm=least_depth_mm(payload.wall.profile),
            accent_mm=accent,
            depths_mm=payload.case.depths_mm,
            marks_mm=tuple(sorted({round(ask.full_mm, 6) for ask in asks})),
            asked_mm=tuple(
                sorted({round(max(a.body_mm + clear.lid_mm, a.full_mm), 6) for a in asks})
            ),
        )

    def steps(self, *, every: bool, most: int) -> list[tuple[float, float]]:
        """Heights that a lower level may have, as (what its floor costs, what fits)."""
        if every:
            sums = list(reachable(self.sheets_mm, self.marks_mm[-1]))[1:]
        else:
            sums = sorted({thickness(self.sheets_mm, mark) for mark in self.marks_mm})
        if len(sums) <= most:
            return [(value, value) for value in sums]
        cuts = [round(k * len(sums) / most) for k in range(most + 1)]
        return [(sums[a], sums[b - 1]) for a, b in itertools.pairwise(cuts)]

    def heights(self, form: str, columns: Sequence[Column]) -> Iterator[tuple[float, float | None]]:
        """Inside heights worth looking at, and how much of each half's own floor up is room."""
        free = all(depth is None for depth in self.depths_mm)
        exact = free and all(column.exact for column in columns)
        if form == "pair":
            yield from self._alike(columns, exact=exact)
        elif len(columns) == 1 and (exact or columns[0].exact):
            alone = {
                self._top(columns[0], k, asked, free=free) for k, asked in self._asked(columns)
            }
            for height in sorted(alone):
                yield self._within(form, columns, height, height)
        else:
            floors = sum(column.floor_mm for column in columns)
            most = self.lid_mm + len(columns) * self.asked_mm[-1]
            if exact:
                for rise in reachable(self.sheets_mm, most):
                    yield self._within(form, columns, floors + rise, floors + rise)
            else:
                for k in range(int(most / COARSE_MM) + 2):
                    low = floors + k * COARSE_MM
                    yield self._within(form, columns, low, low + COARSE_MM)

    def _alike(
        self, columns: Sequence[Column], *, exact: bool
    ) -> Iterator[tuple[float, float | None]]:
        """Heights of a pair, whose halves are as deep as the deeper one needs."""
        given = [depth for depth in self.depths_mm if depth is not None]
        least = self.accent_mm + thickness(self.sheets_mm, self.least_mm - self.accent_mm)
        if given:
            yield 2 * min(given), min(given)
        elif exact:
            asked = [
                self._top(column, k, ask, free=True)
                for column in columns
                for k, ask in self._asked([column])
            ]
            yield from ((2 * depth, depth) for depth in sorted({max(a, least) for a in asked}))
        else:
            floor = max(column.floor_mm for column in columns)
            for k in range(int(self.asked_mm[-1] / COARSE_MM) + 2):
                low = max(floor + k * COARSE_MM, least)
                yield 2 * low, max(floor + (k + 1) * COARSE_MM, least)

    def _asked(self, columns: Sequence[Column]) -> list[tuple[int, float]]:
        """Every floor of a half, by number, with every height that may be asked for above it."""
        floors = range(len(columns[0].floors_mm))
        return list(itertools.product(floors, self.asked_mm))

    def _top(self, column: Column, floor: int, asked_mm: float, *, free: bool) -> float:
        """How deep a half must be for what stands on a floor of it and through all above."""
        rise = max(0.0, column.floors_mm[floor] + asked_mm - column.floor_mm)
        return column.floor_mm + (thickness(self.sheets_mm, rise) if free else rise)

    def _within(
        self, form: str, columns: Sequence[Column], height: float, room: float
    ) -> tuple[float, float | None]:
        """Height and room under the least and the given depths; no room if those are too small."""
        names: tuple[HalfName, ...] = ("tray",) if form == "tray" else ("deep", "shallow")
        depths = self.depths_mm[: len(names)]
        if all(depth is not None for depth in depths):
            total = sum(depth for depth in depths if depth is not None)
            return total, (total if height <= total + SAME_MM else None)
        floors = {column.half: column.floor_mm for column in columns}
        least = 0.0
        for name, depth in zip(names, depths, strict=True):
            floor = floors.get(name, 0.0)
            asked = floor + thickness(self.sheets_mm, self.least_mm - floor)
            least += asked if depth is None else depth
        return max(height, least), max(room, least)


def _columns(
    rules: _Rules, used: Sequence[tuple[HalfName, tuple[int, ...]]]
) -> Iterator[tuple[Column, ...]]:
    """All columns for halves and their levels, by the heights of the lower levels."""
    lower = sum(len(own) - 1 for _, own in used)
    every = any(len(own) > 2 for _, own in used)
    most = max(1, int(MOST_STACKS[len(used)] ** (1 / max(lower, 1)) + 1e-9))
    steps = rules.steps(every=every, most=most)
    for chosen in itertools.product(steps, repeat=lower):
        made = []
        at = 0
        for half, own in used:
            mine = chosen[at : at + len(own) - 1]
            at += len(own) - 1
            rises = (cost + rules.tier_mm for cost, _ in mine)
            floors = tuple(itertools.accumulate(rises, initial=rules.floor_mm))
            rooms = tuple(room for _, room in mine)
            exact = all(cost == room for cost, room in mine)
            made.append(Column(half, own, rooms, floors, rules.tier_mm, exact))
        yield tuple(made)
