"""Sharing a kit out over several cases: every copy goes somewhere, every case keeps its limits."""

from __future__ import annotations

import itertools

import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from case_kits import box, kit
from fitkit.fit.layout import Fit
from fitkit.fit.several import Several, copies_in, least_cases, part_of, share_out
from fitkit.fit.several.least import bins_at_least
from fitkit.fit.several.share import Kind, Rules, shared
from fitkit.fit.state import Progress
from fitkit.fit.validate import violations
from fitkit.payload.limits import sides_of
from fitkit.payload.model import Item, Limits, Payload
from fitkit.payload.walls import outside_mm

EMPTY_KG = 1.0


def weigh(part: Payload, fit: Fit) -> float:
    """Items, and a kilogram for each case."""
    assert {p.item for p in fit.placements} == {item.name for item in part.items}
    return EMPTY_KG + sum((item.mass_kg or 0.0) * item.count for item in part.items)


def checked(payload: Payload, several: Several) -> None:
    """Every copy is in exactly one case, and each case keeps its promises and limits."""
    limits = payload.case.limits
    for k, item in enumerate(payload.items):
        shares = several.shares
        told = [n for case in range(len(shares)) for n in copies_in(shares, case, k)]
        assert told == list(range(1, item.count + 1))
    for share in several.shares:
        part = part_of(payload, share.counts)
        fit = share.fit
        assert violations(part, interior=fit.interior, placements=fit.placements) == ()
        outside = outside_mm(fit.interior.size_mm, profile=payload.wall.profile)
        assert all(side.over_mm <= 1e-6 for side in sides_of(outside, limits=limits))
        if limits.linear_mm is not None:
            assert sum(outside) <= limits.linear_mm + 1e-6
        if limits.mass_kg is not None:
            assert share.mass_kg <= limits.mass_kg + 1e-9
            assert share.mass_kg == pytest.approx(weigh(part, fit))


def bricks(count: int, *, limits: Limits, mass_kg: float | None = 3.0) -> Payload:
    """So many bricks alike."""
    return kit(items=(box("brick", 100.0, 100.0, 40.0, count=count, mass_kg=mass_kg),),
               limits=limits)  # fmt: skip


def test_a_kit_that_is_too_heavy_for_one_case_goes_into_two() -> None:
    """Six times 3 kg under 10 kg: two cases of three, proven least, copies of one item split."""
    payload = bricks(6, limits=Limits(mass_kg=10.0))
    several = share_out(payload, weigh=weigh, budget_s=1.5)
    assert [share.counts for share in several.shares] == [(3,), (3,)]
    assert (several.least, several.bound_name) == (2, "mass of the items")
    assert several.proven
    assert several.misses == ()
    assert str(several) == "2 cases, proven: no fewer will do (mass of the items)"
    checked(payload, several)


def test_the_empty_case_counts_against_the_limit() -> None:
    """Under 9.5 kg the items alone would go into two cases, but not with a kilogram for each."""
    payload = bricks(6, limits=Limits(mass_kg=9.5))
    several = share_out(payload, weigh=weigh, budget_s=1.5)
    assert [share.counts for share in several.shares] == [(2,), (2,), (2,)]
    assert several.least == 2
    assert not several.proven
    assert "at least 2 are needed" in str(several)
    checked(payload, several)
    told = share_out(payload, weigh=weigh, empty_kg=EMPTY_KG, budget_s=1.5)
    assert (told.least, told.proven) == (3, True)
    assert told.bound_name == "mass of items and empty cases"


def test_a_kit_that_is_too_large_for_one_case_goes_into_two() -> None:
    """Four bricks fill what 300 by 300 leaves inside; they cannot stand above each other."""
    payload = bricks(8, limits=Limits(outside_mm=(300.0, 300.0, 120.0)), mass_kg=None)
    several = share_out(payload, weigh=weigh, budget_s=2.0)
    assert [share.counts for share in several.shares] == [(4,), (4,)]
    assert (several.least, several.bound_name) == (2, "plan area and height")
    assert several.proven
    checked(payload, several)


def test_a_limit_on_the_sum_of_the_sides() -> None:
    """A linear limit shares out as well, and its bound says that one case is not enough."""
    payload = bricks(12, limits=Limits(linear_mm=800.0), mass_kg=None)
    several = share_out(payload, weigh=weigh, budget_s=2.0)
    assert several.least >= 2
    assert len(several.shares) >= several.least
    assert several.misses == ()
    checked(payload, several)


def test_one_case_is_enough() -> None:
    """Without a limit that calls for more there is one case, and that is the least."""
    several = share_out(kit(), weigh=weigh, budget_s=0.6)
    assert len(several.shares) == several.least == 1
    assert several.proven
    assert str(several).startswith("1 case, proven")
    checked(kit(), several)


def test_what_goes_into_no_case_is_said() -> None:
    """An item that breaks the limit alone: no endless search, and the case says what it misses."""
    payload = kit(items=(box("mast", 600.0, 50.0, 40.0, mass_kg=2.0),
                         box("brick", 100.0, 100.0, 40.0, mass_kg=1.0)),
                  limits=Limits(outside_mm=(300.0, 300.0, 200.0)))  # fmt: skip
    several = share_out(payload, weigh=weigh, budget_s=1.0)
    assert not several.proven
    assert any("over the limit" in miss for miss in several.misses)
    heavy = kit(items=(box("anvil", 60.0, 50.0, 40.0, mass_kg=20.0),), limits=Limits(mass_kg=10.0))
    several = share_out(heavy, weigh=weigh, budget_s=1.0)
    assert several.misses == ("case 1: it weighs 21.00 kg, 11.00 kg over the limit",)


def test_masses_are_balanced() -> None:
    """Items of unlike mass and like size: the cases come out nearly as heavy as each other."""
    items = tuple(
        box(f"brick {k}", 80.0, 80.0, 30.0, mass_kg=mass)
        for k, mass in enumerate((4.0, 3.0, 2.0, 2.0, 2.0, 1.0))
    )
    payload = kit(items=items, limits=Limits(mass_kg=9.0))
    several = share_out(payload, weigh=weigh, budget_s=1.5)
    masses = [share.mass_kg for share in several.shares]
    assert masses == [8.0, 8.0]
    checked(payload, several)


def test_cancel_keeps_a_sharing_out() -> None:
    """Cancelled at once, every copy still has a case, and the answer says it was interrupted."""
    payload = bricks(6, limits=Limits(mass_kg=10.0))
    heard: list[Progress] = []
    several = share_out(
        payload, weigh=weigh, budget_s=60.0, progress=heard.append, cancelled=lambda: True
    )
    assert several.interrupted
    assert sum(share.counts[0] for share in several.shares) == 6
    assert several.seconds < 20.0


def test_repeatable_gives_the_same_twice() -> None:
    """Work is counted: the same shares, layouts and figures."""
    payload = bricks(6, limits=Limits(mass_kg=10.0))
    ones = [share_out(payload, weigh=weigh, budget_s=0.5, repeatable=True) for _ in range(2)]
    assert ones[0] == ones[1]


# ---- bounds


def least_bins(weights: list[int], capacity: int) -> int:
    """By trying: the least number of bins (few weights only)."""
    for bins in range(1, len(weights) + 1):
        for where in itertools.product(range(bins), repeat=len(weights)):
            loads = [0] * bins
            for weight, bin_ in zip(weights, where, strict=True):
                loads[bin_] += weight
            if max(loads) <= capacity:
                return bins
    return 0


@settings(deadline=None)
@given(st.lists(st.integers(1, 10), min_size=1, max_size=6))
def test_the_bound_on_bins_is_never_above_the_truth(weights: list[int]) -> None:
    """Against all ways to fill bins of ten."""
    bound = bins_at_least([float(w) for w in weights], 10.0)
    assert bound <= least_bins(weights, 10)
    assert bound >= -(-sum(weights) // 10)


@settings(deadline=None, max_examples=6, derandomize=True,
          suppress_health_check=[HealthCheck.too_slow])  # fmt: skip
@given(st.integers(1, 5), st.integers(180, 340), st.integers(110, 220), st.integers(1, 3))
def test_the_least_number_is_never_above_what_is_found(
    count: int, side: int, height: int, tiers: int
) -> None:
    """Whatever sharing out keeps the limits has at least as many cases as the bound says."""
    items: tuple[Item, ...] = (
        box("brick", 100.0, 70.0, 40.0, count=count),
        box("plate", 90.0, 60.0, 15.0, count=2),
    )
    limits = Limits(outside_mm=(float(side), float(side), float(height)))
    payload = kit(items=items, limits=limits, tiers=tiers)
    several = share_out(payload, weigh=weigh, budget_s=0.3, repeatable=True)
    if several.misses == ():
        checked(payload, several)
        assert len(several.shares) >= least_cases(payload).cases


# ---- sharing out


def test_contents_that_failed_are_not_put_together_again() -> None:
    """With (2, 1) known to be too much, no case gets two of the first and one of the second."""
    rules = Rules((Kind(3, 1.0, 5.0), Kind(2, 1.0, 5.0)), None, [(2, 1)])
    contents = shared(rules, 2, seed=1)
    assert contents is not None
    assert [sum(c) for c in zip(*contents, strict=True)] == [3, 2]
    assert not any(a >= 2 and b >= 1 for a, b in contents)
    assert shared(evolve_rules(rules, [(1, 0)]), 2, seed=1) is None


def evolve_rules(rules: Rules, full: list[tuple[int, ...]]) -> Rules:
    """The rules with other contents known to fail."""
    return evolve(rules, full=full)
