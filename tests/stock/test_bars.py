"""Sticks on bars: everything cut once, within the bars, and no plan needs less new bar."""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter
from collections.abc import Sequence

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.fit.solver import Model
from fitkit.stock.bars import cut_bars
from fitkit.stock.model import BarPlan, Stick


def sticks_of(lengths: Sequence[float], *, mitred: bool = False) -> list[Stick]:
    """Sticks with numbers for names."""
    return [Stick(f"piece {n}", float(mm), mitred) for n, mm in enumerate(lengths, 1)]


def check(plan: BarPlan, sticks: Sequence[Stick], *, keeps: Sequence[float] = ()) -> None:
    """A checker of its own: every stick once, kerfs between, clean ends, the sums right."""
    assert Counter(s for bar in plan.bars for s in bar.sticks) == Counter(sticks)
    for bar in plan.bars:
        room = bar.length_mm - (0.0 if bar.offcut else 2 * plan.trim_mm)
        at = 0.0
        for stick, after in itertools.zip_longest(bar.sticks, bar.sticks[1:]):
            at += stick.length_mm
            if after is not None:
                slant = stick.mitred or after.mitred
                at += plan.kerf_mm * (math.sqrt(2) if slant else 1.0)
        assert at <= room + 0.01
        last = plan.kerf_mm * (math.sqrt(2) if bar.sticks[-1].mitred else 1.0)
        assert bar.left_mm == pytest.approx(max(0.0, room - at - last), abs=0.02)
        order = [(not stick.mitred, -stick.length_mm) for stick in bar.sticks]
        assert order == sorted(order), "mitred first, then longest first"
    kept = Counter(bar.length_mm for bar in plan.bars if bar.offcut)
    assert kept <= Counter(keeps), "no offcut is cut twice"
    new = [bar.length_mm for bar in plan.bars if not bar.offcut]
    assert plan.bought == len(new)
    assert plan.bought_mm == pytest.approx(sum(new))
    assert plan.bound_mm <= plan.bought_mm
    assert plan.proven == (plan.bound_mm == plan.bought_mm)


def least_by_assignment(
    lengths: Sequence[int], bars: Sequence[int], kept: Sequence[int], kerf: int
) -> int:
    """Least new length by another method: each piece is assigned to a bar by the solver."""
    model = Model()
    many = [length for length in bars for _ in lengths]
    used = [model.flag() for _ in many]
    places: list[list[tuple[int, int]]] = [[] for _ in lengths]
    for room, flag in [*zip(many, used, strict=True), *((room, None) for room in kept)]:
        row = []
        for at, length in enumerate(lengths):
            here = model.flag()
            places[at].append((here, 1))
            row.append((here, length + kerf))
        end = [] if flag is None else [(flag, -(room + kerf))]
        model.linear([*row, *end], -(10**7), room + kerf if flag is None else 0)
    for row in places:
        model.linear(row, 1, 1)
    model.minimise([(flag, room) for flag, room in zip(used, many, strict=True)])
    answer = model.solve(work=60.0)
    assert answer.status == "optimal"
    return answer.of([(flag, room) for flag, room in zip(used, many, strict=True)])


@settings(max_examples=25, deadline=None)
@given(
    lengths=st.lists(st.integers(20, 90), min_size=1, max_size=7),
    bars=st.sampled_from(([100], [150, 100], [200, 130])),
    kept=st.lists(st.integers(25, 95), max_size=2),
    kerf=st.integers(0, 4),
)
def test_two_methods_agree(lengths: list[int], bars: list[int], kept: list[int], kerf: int) -> None:
    """Patterns and an assignment of each piece come to the same least new length, proven."""
    sticks = sticks_of(lengths)
    plan = cut_bars(
        sticks, what="edge", bars_mm=bars, offcuts_mm=kept, kerf_mm=kerf, trim_mm=0.0, keep_mm=30.0
    )
    check(plan, sticks, keeps=kept)
    assert plan.proven
    assert plan.bought_mm == least_by_assignment(lengths, bars, kept, kerf)


@pytest.mark.parametrize("seed", range(6))
def test_a_shops_sixty_pieces_are_proven(seed: int) -> None:
    """Sixty pieces of fifteen lengths on one length of bar: proven, and never above first fit."""
    rng = random.Random(seed)
    sticks = sticks_of([rng.randint(140, 900) for _ in range(15)] * 4)
    plan = cut_bars(sticks, what="edge", bars_mm=[3000.0])
    check(plan, sticks)
    assert plan.proven
    assert plan.bought <= plan.first_fit
    assert plan.bought_mm >= sum(s.length_mm for s in sticks)


def test_the_same_job_gives_the_same_plan() -> None:
    """Two runs are equal, record by record."""
    rng = random.Random(3)
    sticks = sticks_of([rng.uniform(140, 900) for _ in range(30)])
    plans = [
        cut_bars(sticks, what="edge", bars_mm=[3000.0, 2000.0], offcuts_mm=[800.0])
        for _ in range(2)
    ]
    assert plans[0] == plans[1]
    check(plans[0], sticks, keeps=[800.0])


def test_a_perfect_fit_uses_the_whole_bar() -> None:
    """Kerfs lie between pieces only: three of 994 mm and two kerfs of 9 mm fill 3000 mm."""
    sticks = sticks_of([994.0] * 3)
    assert cut_bars(sticks, what="e", bars_mm=[3000.0], kerf_mm=9.0, trim_mm=0.0).bought == 1
    assert cut_bars(sticks, what="e", bars_mm=[3000.0], kerf_mm=9.1, trim_mm=0.0).bought == 2
    assert cut_bars(sticks, what="e", bars_mm=[3000.0], kerf_mm=9.0, trim_mm=0.1).bought == 2


def test_a_mitre_takes_the_blade_at_an_angle() -> None:
    """Between mitred pieces lie sqrt 2 kerfs at the long point: 4.243 mm for a blade of 3."""
    sticks = sticks_of([600.0, 400.0], mitred=True)
    plans = [
        cut_bars(sticks, what="e", bars_mm=[length], kerf_mm=3.0, trim_mm=0.0)
        for length in (1004.24, 1004.25)
    ]
    assert [plan.bought for plan in plans] == [2, 1]


def test_an_offcut_is_used_where_it_saves_a_bar() -> None:
    """A piece of 500 mm left over saves the second bar; where one bar does it stays on the rack."""
    sticks = sticks_of([700.0, 280.0, 480.0])
    with_it = cut_bars(
        sticks, what="e", bars_mm=[1000.0], offcuts_mm=[500.0], kerf_mm=3.0, trim_mm=0.0
    )
    check(with_it, sticks, keeps=[500.0])
    assert (with_it.bought, sum(bar.offcut for bar in with_it.bars)) == (1, 1)
    alone = cut_bars(
        sticks[:2], what="e", bars_mm=[1000.0], offcuts_mm=[500.0], kerf_mm=3.0, trim_mm=0.0
    )
    assert (alone.bought, sum(bar.offcut for bar in alone.bars)) == (1, 0)


def test_the_longest_offcut_is_kept_whole() -> None:
    """Among plans with equally many bars the one that leaves the longest end is taken."""
    sticks = sticks_of([600.0, 500.0, 300.0, 390.0])
    plan = cut_bars(sticks, what="e", bars_mm=[1000.0], kerf_mm=0.0, trim_mm=0.0, keep_mm=150.0)
    check(plan, sticks)
    assert plan.bought == 2
    assert max(bar.left_mm for bar in plan.bars) == 200.0


def test_every_fault_is_named_at_once() -> None:
    """Two pieces too long for the bars after trimming: both named with millimetres and remedy."""
    sticks = sticks_of([500.0, 2990.0, 3100.0])
    with pytest.raises(BadInput) as caught:
        cut_bars(sticks, what="edge profile", bars_mm=[3000.0, 2000.0], trim_mm=10.0)
    texts = [str(fault) for fault in caught.value.faults]
    assert len(texts) == 2
    assert "piece 2" in texts[0]
    assert "10 mm longer" in texts[0]
    assert "3010 mm or more" in texts[0]
    assert "piece 3" in texts[1]


def test_a_piece_that_only_offcuts_hold() -> None:
    """It is cut from the offcut; a second such piece without another offcut is refused by name."""
    long = sticks_of([1400.0, 300.0])
    plan = cut_bars(long, what="e", bars_mm=[1000.0], offcuts_mm=[1500.0], trim_mm=0.0)
    check(plan, long, keeps=[1500.0])
    twice = [*long, evolve(long[0], name="another")]
    with pytest.raises(BadInput, match="another"):
        cut_bars(twice, what="e", bars_mm=[1000.0], offcuts_mm=[1500.0], trim_mm=0.0)


def test_nothing_to_cut() -> None:
    """No sticks: no bars, proven."""
    plan = cut_bars([], what="tongue", bars_mm=[3000.0])
    assert (plan.bars, plan.bought, plan.proven, plan.waste) == ((), 0, True, 0.0)
