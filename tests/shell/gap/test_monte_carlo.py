"""Gaps drawn at random: within their bounds, about their mean, and the same again."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.shell.gap.model import Contribution, Gap
from fitkit.shell.gap.monte_carlo import sampled_mm

AMOUNTS = st.lists(st.floats(0.0, 5.0), min_size=0, max_size=8)


def gap(tolerances: list[float], shifts: list[float]) -> Gap:
    """A gap of 40 mm."""
    parts = (
        *(Contribution("t", mm, "tolerance", "") for mm in tolerances),
        *(Contribution("s", mm, "shift", "") for mm in shifts),
        Contribution("nobody knows", None, "shift", ""),
    )
    return Gap("a", "b", 40.0, (20.0, 20.0), (0.0, 0.0, 0.0), 2.0, parts, (0.0, 0.0))


@settings(max_examples=50, deadline=None)
@given(AMOUNTS, AMOUNTS, st.integers(0, 99), st.sampled_from(("full", "spread")))
def test_even_draws_never_leave_the_worst_case(
    tolerances: list[float], shifts: list[float], seed: int, taken: str
) -> None:
    """No draw is below the worst case, nor above the nominal gap with every tolerance added."""
    one = gap(tolerances, shifts)
    drawn = sampled_mm(one, count=200, seed=seed, shifts=taken)  # type: ignore[arg-type]  # one of two
    most = one.nominal_mm + sum(tolerances) - (sum(shifts) if taken == "full" else 0.0)
    assert drawn.shape == (200,)
    assert drawn.min() >= one.worst_mm - 1e-9
    assert drawn.max() <= most + 1e-9


@pytest.mark.parametrize("spread", ["uniform", "normal"])
def test_draws_lie_about_what_shifts_leave(spread: str) -> None:
    """The mean is the nominal gap less all shifts; less half of them where they spread."""
    one = gap([1.0, 0.5, 2.0], [3.0, 1.0])
    drawn = sampled_mm(one, count=20000, seed=3, spread=spread)  # type: ignore[arg-type]  # one of two
    assert float(drawn.mean()) == pytest.approx(36.0, abs=0.05)
    some = sampled_mm(one, count=20000, seed=3, spread=spread, shifts="spread")  # type: ignore[arg-type]  # one of two
    assert float(some.mean()) == pytest.approx(38.0, abs=0.05)


def test_the_same_seed_draws_the_same() -> None:
    """Equal seeds give equal draws, others do not."""
    one = gap([1.0, 0.5], [3.0])
    first = sampled_mm(one, count=50, seed=8)
    assert np.array_equal(first, sampled_mm(one, count=50, seed=8))
    assert not np.array_equal(first, sampled_mm(one, count=50, seed=9))


def test_a_gap_without_tolerances_is_one_figure() -> None:
    """With shifts alone every draw is the worst case."""
    one = gap([], [3.0])
    assert np.array_equal(sampled_mm(one, count=4, seed=0), np.full(4, one.worst_mm))


def test_no_draws_are_refused() -> None:
    """Less than one draw is misuse."""
    with pytest.raises(ValueError, match="once or more"):
        sampled_mm(gap([1.0], []), count=0, seed=0)
