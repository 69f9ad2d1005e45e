"""The least length of new bars: quick fillings, the bound of all patterns, whole numbers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from attrs import evolve, frozen

from fitkit.stock.knapsack import Fillings
from fitkit.stock.patterns import Job, Pattern, enumerate_patterns, fits, generate
from fitkit.stock.whole_numbers import least_whole

MOST_PATTERNS = 4_000
"""With more patterns than this that could be of use, only the generated ones are tried."""

BAR_SHARE = 1e-4
"""What one more bar counts beside its length, in shares of the longest bar."""

NODES_A_SECOND = 1_500
"""How the limit of work is counted: nodes of the search in whole numbers."""

SAFETY = 10.0
"""The clock only ends a search that takes so many times its seconds."""

ALL_WEIGHED = "all patterns weighed (linear programme)"
ALL_TRIED = "all patterns tried in whole numbers"
LENGTH = "length of the pieces with their kerfs"


@frozen
class Least:
    """What was found: a pattern for each bar, the bound on the new length and its name."""

    patterns: tuple[Pattern, ...]
    bound: int
    bound_name: str


def least(job: Job, *, loose: Job, keep: int, seconds: float) -> Least:
    """The least length of new bars for ``job``, then the fewest bars, then the longest offcut.

    ``loose`` is the same job with at least as much room: no way of cutting needs less than its
    bound. All lengths in thousandths of a millimetre. A plan that leaves pieces uncut is possible
    where kinds of bars run out; it is then the one that leaves the fewest.
    """
    quick = [plan for plan in _quick(job) if plan is not None]
    best = min(quick, key=lambda plan: _rank(job, plan, keep), default=None)
    bound, name = _length_bound(loose), LENGTH
    if best is not None and _reached(job, best, bound):
        return Least(tuple(_refilled(job, best, keep)), bound, name)
    slack = 1e-6 * max(kind.room for kind in job.kinds)

    one_length = sum(kind.count is None for kind in job.kinds) == 1

    def enough(low: float, value: float) -> bool:
        reached = _reachable(job, low - slack)
        # the last patterns matter where whole numbers of them must come to an exact length
        return one_length and reached >= _reachable(job, value - slack)

    start = [pattern for plan in quick for pattern in plan]
    priced = generate(job, start, enough=enough)
    bounding = priced
    if loose != job or not job.exact:
        bounding = generate(loose, [], loose=True, enough=enough)
    weighed = _reachable(job, bounding.bound - slack)
    if weighed >= bound:
        bound, name = weighed, ALL_WEIGHED
    # whole numbers of the generated patterns, then of all that could be of use
    if best is None or not _reached(job, best, bound):
        found, done = _whole(job, priced.patterns, start=best, floor=bound, seconds=seconds)
        best = _better(job, best, found, keep)
        if best is not None and bound < _cost(job, best) and job.exact:
            priced = generate(job, priced.patterns)
            gap = _cost(job, best) - priced.bound
            every = None
            if priced.closed:
                every = enumerate_patterns(job, priced, gap=gap, most=MOST_PATTERNS)
            if every is not None:
                found, done = _whole(job, every, start=best, floor=bound, seconds=seconds)
                best = _better(job, best, found, keep)
                if done and best is not None and loose == job:
                    bound, name = _cost(job, best), ALL_TRIED
    if best is None:
        return Least((), 0, LENGTH)
    return Least(tuple(_refilled(job, best, keep)), min(bound, _cost(job, best)), name)


def _reached(job: Job, plan: Sequence[Pattern], bound: int) -> bool:
    """Whether the plan costs no more than the bound and takes no more bars than that asks for."""
    return _cost(job, plan) <= bound and len(plan) <= _least_bars(job, bound)


def _cost(job: Job, plan: Iterable[Pattern]) -> int:
    return sum(job.kinds[pattern.kind].cost for pattern in plan)


def left(job: Job, pattern: Pattern) -> int:
    """What a pattern leaves of its bar's room."""
    taken = sum(size * n for size, n in zip(job.sizes, pattern.counts, strict=True))
    return job.kinds[pattern.kind].room - taken


def _rank(job: Job, plan: Sequence[Pattern], keep: int) -> tuple[int, int, int, int]:
    """The less the better: new length, bars, the longest offcut, all that is worth keeping."""
    ends = [left(job, pattern) for pattern in plan]
    kept = [end for end in ends if end >= keep]
    return _cost(job, plan), len(plan), -max(kept, default=0), -sum(kept)


def _better(
    job: Job, one: list[Pattern] | None, other: list[Pattern] | None, keep: int
) -> list[Pattern] | None:
    plans = [plan for plan in (one, other) if plan is not None]
    return min(plans, key=lambda plan: _rank(job, plan, keep), default=None)


def _least_bars(job: Job, cost: int) -> int:
    longest = max(kind.cost for kind in job.kinds)
    return -(-cost // longest) if longest else 0


def _length_bound(job: Job) -> int:
    """New length that the pieces' own length asks for, kept bars filled to the brim."""
    need = sum(size * n for size, n in zip(job.sizes, job.demand, strict=True))
    need -= sum(kind.room * kind.count for kind in job.kinds if kind.count is not None)
    share = max(
        (kind.room / kind.cost for kind in job.kinds if kind.count is None), default=math.inf
    )
    return _reachable(job, need / share) if need > 0 else 0


def _reachable(job: Job, value: float) -> int:
    """The least sum of lengths of new bars that is not below ``value``."""
    lengths = sorted({kind.cost for kind in job.kinds if kind.count is None})
    if value <= 0 or not lengths:
        return 0
    best = math.ceil(value / lengths[-1]) * lengths[-1]
    sums = {0}
    for _ in range(math.ceil(best / lengths[0])):
        fresh = {s + length for s in sums for length in lengths if s + length <= best} - sums
        done = [s for s in fresh if s >= value]
        best = min([best, *done])
        sums = {s for s in fresh if s < value}
        if not sums or len(sums) > 5_000:
            return best if not sums else math.ceil(value)
    return best


def _quick(job: Job) -> list[list[Pattern] | None]:
    """Plans by simple rules, one for each kind of new bar; None where a rule leaves pieces over."""
    new = [at for at, kind in enumerate(job.kinds) if kind.count is None]
    plans: list[list[Pattern] | None] = []
    for main in new or [-1]:
        plans += [_best_fit(job, main, kept=True), _best_fit(job, main, kept=False)]
        plans += [_filled(job, main, kept=True), _filled(job, main, kept=False)]
    return plans


def _stock(job: Job, main: int, kept: bool) -> list[int]:
    """Kept bars, the shortest first, that may be used beside new ones of the kind ``main``."""
    if not kept:
        return []
    few = [(kind.room, at) for at, kind in enumerate(job.kinds) for _ in range(kind.count or 0)]
    return [at for _, at in sorted(few)]


def _best_fit(job: Job, main: int, *, kept: bool) -> list[Pattern] | None:
    """The longest piece first, into the bar in use where it leaves least."""
    spare = _stock(job, main, kept)
    kinds: list[int] = []
    counts: list[list[int]] = []
    rooms: list[int] = []
    for at, size in enumerate(job.sizes):
        for _ in range(job.demand[at]):
            open_bars = [bar for bar, room in enumerate(rooms) if room >= size]
            if open_bars:
                bar = min(open_bars, key=lambda bar: rooms[bar])
            else:
                fit = [kind for kind in spare if job.kinds[kind].room >= size]
                if fit:
                    spare.remove(fit[0])
                    kind = fit[0]
                elif main >= 0 and job.kinds[main].room >= size:
                    kind = main
                else:
                    return None
                kinds.append(kind)
                counts.append([0] * len(job.sizes))
                rooms.append(job.kinds[kind].room)
                bar = len(rooms) - 1
            counts[bar][at] += 1
            rooms[bar] -= size
    return [Pattern(kind, tuple(n)) for kind, n in zip(kinds, counts, strict=True)]


def _filled(job: Job, main: int, *, kept: bool) -> list[Pattern] | None:
    """One bar after the other, each filled as full as can be."""
    demand = list(job.demand)
    plan: list[Pattern] = []
    order = _stock(job, main, kept)
    while any(demand):
        if not order and main < 0:
            return None
        kind = order.pop(0) if order else main
        counts = _fullest(job, demand, kind)
        if not any(counts):
            if kind == main:
                return None
            continue
        plan.append(Pattern(kind, counts))
        demand = [d - n for d, n in zip(demand, counts, strict=True)]
    return plan


def _fullest(job: Job, demand: Sequence[int], kind: int) -> tuple[int, ...]:
    grid = job.grid
    sizes = [-(-size // grid) for size in job.sizes]
    room = job.kinds[kind].room // grid
    values = [float(size) for size in sizes]
    return Fillings(sizes, values=values, copies=demand, room=room).counts(room)


def _whole(
    job: Job,
    patterns: Sequence[Pattern],
    *,
    start: list[Pattern] | None,
    floor: int,
    seconds: float,
) -> tuple[list[Pattern] | None, bool]:
    """The best plan from whole numbers of the patterns, and whether no better one is possible.

    Pieces that no plan can cut, because kept bars run out, are left out: the fewest.
    """
    pool = list(dict.fromkeys([p for p in [*(start or []), *patterns] if fits(job, p)]))
    most, m, n = sum(job.demand), len(job.demand), len(pool)
    few = [at for at, bar in enumerate(job.kinds) if bar.count is not None]
    # columns: each pattern, then what is left uncut of each size
    table = np.zeros((m + len(few), n + m))
    table[:m, :n] = np.array([pattern.counts for pattern in pool], dtype=float).T
    table[:m, n:] = np.eye(m)
    for row, kind in enumerate(few, m):
        table[row, :n] = [float(pattern.kind == kind) for pattern in pool]
    longest = max(kind.cost for kind in job.kinds) or 1
    price = [job.kinds[pattern.kind].cost / longest + BAR_SHARE for pattern in pool]
    answer = least_whole(
        [*price, *([10.0 * most] * m)],
        most=[*([most] * n), *([most if start is None else 0] * m)],
        table=table,
        low=[*(float(need) for need in job.demand), *([0.0] * len(few))],
        high=[*([math.inf] * m), *(float(job.kinds[kind].count or 0) for kind in few)],
        nodes=round(NODES_A_SECOND * seconds),
        seconds=SAFETY * seconds,
        target=floor / longest + BAR_SHARE * _least_bars(job, floor),
    )
    if answer is None:
        return None, False
    plan = [p for times, p in zip(answer.values, pool, strict=False) for _ in range(times)]
    return _trimmed(job, plan), answer.closed


def _trimmed(job: Job, plan: list[Pattern]) -> list[Pattern]:
    """The plan without pieces that are cut more often than asked: taken from the emptiest bar."""
    plan = list(plan)
    for at, need in enumerate(job.demand):
        over = sum(p.counts[at] for p in plan) - need
        while over > 0:
            bar = max(
                (b for b, p in enumerate(plan) if p.counts[at]), key=lambda b: left(job, plan[b])
            )
            counts = list(plan[bar].counts)
            counts[at] -= 1
            plan[bar] = evolve(plan[bar], counts=tuple(counts))
            over -= 1
    return [pattern for pattern in plan if any(pattern.counts)]


def _refilled(job: Job, plan: list[Pattern], keep: int) -> list[Pattern]:
    """The same bars, each filled as full as can be but the last, where that leaves more to keep."""
    order = sorted(plan, key=lambda p: (job.kinds[p.kind].cost, job.kinds[p.kind].room))
    demand = [sum(p.counts[at] for p in plan) for at in range(len(job.sizes))]
    made = []
    for pattern in order:
        counts = _fullest(job, demand, pattern.kind)
        demand = [d - n for d, n in zip(demand, counts, strict=True)]
        if any(counts):
            made.append(Pattern(pattern.kind, counts))
    if any(demand):
        return plan
    return min(plan, made, key=lambda plan: _rank(job, plan, keep))
