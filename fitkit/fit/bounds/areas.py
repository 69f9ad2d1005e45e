"""The bound that is there at once: areas of levels under every pattern of heights.

Bodies that must keep the web w in plan, each grown by r = min(w / 2, wall), are disjoint and lie in
the plan shrunk by wall - r on each side. So for every row of a pattern (:mod:`patterns`) the areas
of the grown bodies in it come to at most the area A of the shrunk plan. With any weights of the
rows that are not negative and add up to 1,

    A >= sum over copies of min over ways of (area * sum of the weights of the way's rows),

since the weighted mean of the rows' loads is at most A and every copy stands in some way. The
weights are chosen to make the right side large (its maximum is that of the linear programme in
which copies may be divided among ways); whatever they are, the bound holds. Every layout has one
of the patterns, so the least value over all patterns is a bound on all layouts.

Of zones it counts how far they reach beyond a body towards the walls, not what they keep free of
other bodies; it does not count the shape of the gaps between outlines.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from fitkit.fit.bounds.patterns import (
    Kind,
    Pattern,
    Table,
    Way,
    ends_of,
    kinds_of,
    patterns,
    row_count,
    ways_of,
)
from fitkit.fit.bounds.relaxed import relaxed
from fitkit.fit.bounds.shares import least_value
from fitkit.fit.pieces import Piece
from fitkit.payload.model import Objective, Payload
from fitkit.payload.walls import least_side_mm

BOUND_NAME = "level areas by height"
"""The name under which this bound is reported."""

ROUNDS = 24
"""How often the weights of the rows are set anew."""


@frozen(eq=False)
class Kit:
    """What all patterns of a payload share: the copies by kind, and the plan's rim [mm].

    ``slack_mm`` is how much lower a layout may be than its pattern.
    """

    kinds: tuple[Kind, ...]
    table: Table
    patterns: tuple[Pattern, ...]
    objective: Objective
    grow_mm: float
    rim_mm: float
    least_side_mm: float
    slack_mm: float = 0.0

    @classmethod
    def of(
        cls, payload: Payload, options: Sequence[Sequence[Piece]], *, objective: Objective
    ) -> Kit:
        """The kit of a payload and the poses that each of its copies may take."""
        payload, slack = relaxed(payload)
        clear = payload.case.clearance
        grow = min(clear.item_mm / 2, clear.wall_mm)
        kinds = kinds_of(payload, options, grow_mm=grow)
        return cls(
            kinds=kinds,
            table=Table.of(kinds),
            patterns=tuple(patterns(payload, kinds)),
            objective=objective,
            grow_mm=grow,
            rim_mm=2 * (clear.wall_mm - grow),
            least_side_mm=least_side_mm(payload.wall.profile),
            slack_mm=slack,
        )

    def value(self, pattern: Pattern, *, area_mm2: float, sides_mm: tuple[float, float]) -> float:
        """The least value of a case of that pattern's height whose shrunk plan offers this."""
        return least_value(
            self.objective,
            area_mm2=area_mm2,
            sides_mm=(sides_mm[0] + 2 * self.grow_mm, sides_mm[1] + 2 * self.grow_mm),
            rim_mm=self.rim_mm,
            least_mm=self.least_side_mm,
            height_mm=max(0.0, pattern.height_mm - self.slack_mm),
        )

    def at_least(self, pattern: Pattern, *, fill: float = 1.0) -> float:
        """A first value for a pattern: everyone's least area, spread evenly over the levels."""
        least = np.minimum.reduceat(self.table.area_mm2, self.table.starts)
        area = float(self.table.counts @ least)
        return self.value(pattern, area_mm2=area / pattern.count / fill, sides_mm=(0.0, 0.0))

    def levels_value(self, pattern: Pattern, *, fill: float = 1.0) -> float:
        """The value of a pattern by its levels' areas alone; infinite if it holds not everybody.

        A bound with ``fill`` 1; with less an estimate for plans that are filled to that share.
        """
        table, ends = self.table, ends_of(pattern, self.table)
        fits = ends >= 0
        able = np.maximum.reduceat(fits.any(axis=0), table.starts)
        if not able.all():
            return math.inf
        area = _levels_area(table, ends) / fill
        usable = fits.any(axis=0)
        short = np.minimum.reduceat(np.where(usable, table.short_mm, np.inf), table.starts)
        long = np.minimum.reduceat(np.where(usable, table.long_mm, np.inf), table.starts)
        sides = (float(short.max()), float(long.max()))
        return self.value(pattern, area_mm2=area, sides_mm=sides)

    def rows_value(self, pattern: Pattern) -> float:
        """The value of a pattern by the areas of all its rows, facing ones as well."""
        ways = ways_of(pattern, self.kinds)
        if ways is None:
            return math.inf
        sides = _sides(self.kinds, ways)
        return self.value(pattern, area_mm2=_area(self.kinds, ways), sides_mm=sides)


def lower_bound(
    payload: Payload, options: Sequence[Sequence[Piece]], *, objective: Objective
) -> float:
    """A value that no interior for the payload can be below.

    ``options`` holds, for every copy, the pieces (poses) it may take. Unit as in
    :func:`objective_value`. Returns infinity where the given depths hold no copy's pose.
    """
    kit = Kit.of(payload, options, objective=objective)
    for value, _, stage in rising(kit):
        if stage == DONE:
            return value
    return math.inf


DONE = 2
"""The stage of a pattern whose value here is final."""


def rising(kit: Kit) -> Iterator[tuple[float, Pattern, int]]:
    """Patterns with their values and stages, least first; each comes again at its next stage.

    Every value holds for its pattern, and no pattern that is still to come has a smaller one.
    """
    number = itertools.count()
    heap = [(kit.at_least(pattern), next(number), 0, pattern) for pattern in kit.patterns]
    heapq.heapify(heap)
    while heap:
        value, _, stage, pattern = heapq.heappop(heap)
        yield value, pattern, stage
        if stage == DONE:
            continue
        if stage == 0:
            found = kit.levels_value(pattern)
        else:
            found = kit.rows_value(pattern) if pattern.faces else value
        if found < math.inf:
            heapq.heappush(heap, (max(value, found), next(number), stage + 1, pattern))


@lru_cache(maxsize=16)
def _mixes(rows: int) -> NDArray[np.float64]:
    """Weights of rows that are tried, each column adding up to 1; sums from the first row on."""
    steps = {1: 1, 2: 32, 3: 9, 4: 6}.get(rows, 3)
    mixes = [
        mix for mix in itertools.product(range(steps + 1), repeat=rows - 1) if sum(mix) <= steps
    ]
    last = np.array([[*mix, steps - sum(mix)] for mix in mixes], dtype=float).T / steps
    return np.vstack([np.zeros(last.shape[1]), np.cumsum(last, axis=0)])


def _levels_area(table: Table, ends: NDArray[np.intp]) -> float:
    """The largest bound on the plan's area over the weights of levels that are tried."""
    sums = _mixes(len(ends))
    least = np.full((ends.shape[1], sums.shape[1]), np.inf)
    for start, end in enumerate(ends):
        costs = np.where((end >= 0)[:, None], sums[end + 1] - sums[start], np.inf)
        np.minimum(least, costs, out=least)
    least *= table.area_mm2[:, None]
    least[~(ends >= 0).any(axis=0)] = np.inf
    mins = np.minimum.reduceat(least, table.starts, axis=0)
    return float((table.counts @ mins).max())


def _sides(kinds: Sequence[Kind], ways: Sequence[Sequence[Way]]) -> tuple[float, float]:
    """The least shorter and longer side that everybody fits in, one by one."""
    short = long = 0.0
    for kind, own in zip(kinds, ways, strict=True):
        asks = [kind.asks[way.pose] for way in own]
        short = max(short, min(ask.short_mm for ask in asks))
        long = max(long, min(ask.long_mm for ask in asks))
    return short, long


def _area(kinds: Sequence[Kind], ways: Sequence[Sequence[Way]]) -> float:
    """The largest bound on the plan's area over the weights that are tried."""
    rows = row_count(ways)
    total = sum(len(own) for own in ways)
    table = np.zeros((total, rows))
    at = 0
    for kind, own in zip(kinds, ways, strict=True):
        for way in own:
            table[at, list(way.rows)] = kind.asks[way.pose].area_mm2
            at += 1
    counts = np.array([len(kind.copies) for kind in kinds], dtype=float)
    starts = np.cumsum([0, *(len(own) for own in ways)])[:-1]
    return _weighted(table, starts, counts)


def _weighted(
    table: NDArray[np.float64], starts: NDArray[np.int_], counts: NDArray[np.float64]
) -> float:
    """The bound under weights that are moved towards the rows which are loaded most."""
    rows = table.shape[1]
    if rows == 1:
        return float(counts @ np.minimum.reduceat(table[:, 0], starts))
    weights = np.full(rows, 1.0 / rows)
    best = 0.0
    for k in range(ROUNDS):
        costs = table @ weights
        value = float(counts @ np.minimum.reduceat(costs, starts))
        best = max(best, value)
        chosen = [
            a + int(np.argmin(costs[a:b]))
            for a, b in itertools.pairwise([*starts.tolist(), len(costs)])
        ]
        loads = counts @ table[chosen]
        spread = float(loads.max() - loads.min())
        if spread <= 1e-9 * value:
            break
        weights = weights * np.exp((loads - value) / spread / (1 + 0.4 * k))
        weights = weights / weights.sum()
    return best
