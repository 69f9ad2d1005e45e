"""Cutting patterns: which counts of which sizes are cut from one bar, found by column generation.

Gilmore and Gomory's way for one-dimensional cutting stock. The linear programme over all patterns
(how often is each used, every size cut often enough, least length of new bars) is solved with few
patterns; its prices go into a knapsack that finds the patterns still missing, until none would
help. The programme's value is then a bound on every way of cutting.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

import numpy as np
from attrs import frozen

from fitkit.fit.polish.program import Rows, minimise
from fitkit.stock.knapsack import Fillings

MOST_ROUNDS = 600
"""Rounds of column generation; a shop's job takes some dozens."""

MOST_STEPS = 8_000
"""Steps into which the longest bar is divided where the sizes have no coarser common measure."""

EPS = 1e-7


@frozen
class Kind:
    """One kind of bar: the room in it (one kerf added), its cost, how many there are (None: any).

    All lengths in thousandths of a millimetre; the cost of a kept bar is 0.
    """

    room: int
    cost: int
    count: int | None = None


@frozen
class Job:
    """Sizes to cut, a kerf added to each, longest first; how many of each; the kinds of bars."""

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    kinds: tuple[Kind, ...]

    @property
    def grid(self) -> int:
        """The common measure of the sizes, or a coarser step where that is too fine."""
        longest = max(kind.room for kind in self.kinds)
        common = math.gcd(*self.sizes)
        return common if longest // common <= MOST_STEPS else -(-longest // MOST_STEPS)

    @property
    def exact(self) -> bool:
        """Whether the grid measures every size exactly."""
        return all(size % self.grid == 0 for size in self.sizes)


@frozen
class Pattern:
    """What is cut from one bar of a kind: the count of each size."""

    kind: int
    counts: tuple[int, ...]


@frozen
class Priced:
    """What came of the programme.

    ``bound`` is proven, ``value`` the programme's with the ``patterns`` at hand; the two meet where
    no pattern is missing (``closed``). ``prices`` are those of the sizes, ``rents`` what one more
    bar of a kind that runs out would save.
    """

    bound: float
    value: float
    prices: tuple[float, ...]
    rents: tuple[float, ...]
    patterns: tuple[Pattern, ...]
    closed: bool


def fits(job: Job, pattern: Pattern) -> bool:
    """Whether the pattern fits its bar."""
    taken = sum(size * n for size, n in zip(job.sizes, pattern.counts, strict=True))
    return taken <= job.kinds[pattern.kind].room


def generate(
    job: Job,
    start: Iterable[Pattern],
    *,
    loose: bool = False,
    enough: Callable[[float, float], bool] = lambda bound, value: False,
) -> Priced:
    """Solve the programme of all patterns, starting from some.

    Where the grid does not measure the sizes exactly they are rounded up, so that every pattern
    fits; with ``loose`` they are rounded down, so that the bound holds. It stops early where
    ``enough`` says so of the bound and the value so far. A size that is not cut often enough costs
    more than any bar does, so there is always an answer.

    The bound at any time is Farley's: with best filling v(b) of a bar b at the prices p, all prices
    divided by the largest v(b) / cost(b) would be fair, so no way of cutting costs less than
    (sum of p demand - sum of v(b) count(b) over kept bars) / max(1, that).
    """
    grid = job.grid
    sizes = [size // grid if loose else -(-size // grid) for size in job.sizes]
    rooms = [kind.room // grid for kind in job.kinds]
    copies = list(job.demand)
    dear = 10 * max(kind.room for kind in job.kinds) + sum(kind.cost for kind in job.kinds)
    patterns = dict.fromkeys(start)
    for at, size in enumerate(sizes):
        for kind, room in enumerate(rooms):
            if size <= room:
                counts = [0] * len(sizes)
                counts[at] = min(copies[at], room // size)
                patterns[Pattern(kind, tuple(counts))] = None
    closed = False
    bound, value, prices, rents = 0.0, 0.0, [0.0] * len(sizes), [0.0] * len(rooms)
    for _ in range(MOST_ROUNDS):
        value, prices, rents = _programme(job, list(patterns), dear)
        best = Fillings(sizes, values=prices, copies=copies, room=max(rooms))
        bound = max(bound, _farley(job, prices, [best.value(room) for room in rooms]))
        if enough(bound, value):
            break
        missing = [
            Pattern(kind, best.counts(room))
            for kind, room in enumerate(rooms)
            if best.value(room) > job.kinds[kind].cost + rents[kind] + EPS * dear
        ]
        fresh = [pattern for pattern in missing if pattern not in patterns]
        if not fresh:
            closed = not missing
            break
        patterns.update(dict.fromkeys(fresh))
    if closed:
        bound = value
    return Priced(bound, value, tuple(prices), tuple(rents), tuple(patterns), closed)


def _farley(job: Job, prices: Sequence[float], values: Sequence[float]) -> float:
    """The bound that prices give which are not yet fair."""
    high, spent = 1.0, sum(p * d for p, d in zip(prices, job.demand, strict=True))
    for kind, value in zip(job.kinds, values, strict=True):
        if kind.count is None:
            high = max(high, value / kind.cost)
        else:
            spent -= value * kind.count
    return max(0.0, spent / high)


def _programme(
    job: Job, patterns: Sequence[Pattern], dear: int
) -> tuple[float, list[float], list[float]]:
    """Value, prices of the sizes, and what one more bar of a kind that runs out would save."""
    m, n = len(job.sizes), len(patterns)
    counts = np.array([pattern.counts for pattern in patterns], dtype=float).T
    columns = np.arange(n + m)
    cover = np.hstack([counts, np.eye(m)])
    few = [at for at, kind in enumerate(job.kinds) if kind.count is not None]
    rows = [Rows(np.tile(columns, (m, 1)), cover, np.array(job.demand, dtype=float))]
    if few:
        taken = np.zeros((len(few), n + m))
        for row, at in enumerate(few):
            taken[row, :n] = [-1.0 if pattern.kind == at else 0.0 for pattern in patterns]
        least = np.array([-float(job.kinds[at].count or 0) for at in few])
        rows.append(Rows(np.tile(columns, (len(few), 1)), taken, least))
    # the programme is solved in shares of the longest bar: its tolerances are absolute
    scale = float(max(kind.room for kind in job.kinds))
    cost = np.array([job.kinds[p.kind].cost for p in patterns] + [dear] * m) / scale
    answer = minimise(cost, low=np.zeros(n + m), high=np.full(n + m, np.inf), rows=rows)
    assert answer is not None  # every size may be left uncut, dearly
    prices = [max(0.0, float(price)) * scale for price in answer.prices[:m]]
    rents = [0.0] * len(job.kinds)
    for row, at in enumerate(few):
        rents[at] = max(0.0, float(answer.prices[m + row])) * scale
    return answer.value * scale, prices, rents


def enumerate_patterns(job: Job, priced: Priced, *, gap: float, most: int) -> list[Pattern] | None:
    """Every pattern that a way of cutting may use which costs less than bound + ``gap``.

    Such a pattern's reduced cost is below the gap. None if there are more than ``most``.
    """
    order = sorted(range(len(job.sizes)), key=lambda at: -priced.prices[at] / job.sizes[at])
    ratio = [priced.prices[at] / job.sizes[at] for at in order]
    found: list[Pattern] = []
    steps = 0
    for number, kind in enumerate(job.kinds):
        need = kind.cost + priced.rents[number] - gap
        counts = [0] * len(job.sizes)
        # a stack of (depth, room, value, count to set at the depth before)
        stack: list[tuple[int, int, float, int]] = [(0, kind.room, 0.0, -1)]
        while stack:
            steps += 1
            if steps > 20 * most:
                return None
            depth, room, value, set_to = stack.pop()
            if depth > 0:
                counts[order[depth - 1]] = set_to
            if depth == len(order):
                whole = all(counts[at] == job.demand[at] or job.sizes[at] > room for at in order)
                if whole and value >= need - EPS * kind.room:
                    found.append(Pattern(number, tuple(counts)))
                    if len(found) > most:
                        return None
                continue
            if value + room * ratio[depth] < need - EPS * kind.room:
                continue
            at = order[depth]
            for n in range(min(job.demand[at], room // job.sizes[at]) + 1):
                left = room - n * job.sizes[at]
                stack.append((depth + 1, left, value + n * priced.prices[at], n))
    return found
