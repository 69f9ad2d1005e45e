"""Rivets along one row: within the pitch, clear of what blocks them, even-handed."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.shell.row_spacing import spread, widest_mm
from strategies import halves

Blocks = list[tuple[float, float]]

LEAST = 12.0


@st.composite
def rows(draw: st.DrawFn) -> tuple[float, float, Blocks]:
    """A row, and up to four things that block it, on it or beyond its ends."""
    low = draw(halves(-50, 50))
    high = low + draw(halves(0, 1200))
    blocks = [
        (start, start + draw(halves(0.5, 250)))
        for start in draw(st.lists(halves(-300, 1300), max_size=4))
    ]
    return low, high, blocks


def blocked_between(a: float, b: float, blocks: Blocks) -> bool:
    """Whether something blocks the row between two places."""
    return any(start < b and end > a for start, end in blocks)


@given(st.floats(LEAST, 2000.0), st.floats(2 * LEAST, 300.0))
def test_a_free_row_has_the_number_of_the_rule(length: float, pitch: float) -> None:
    """The number is ceil((c - 2 e) / pitch) + 1, two at the least; the distances are even.

    Common practice, no source. From a pitch of twice the least spacing on.
    """
    places = spread(0.0, length, pitch_mm=pitch, least_mm=LEAST)
    assert len(places) == max(2, math.ceil(length / pitch - 1e-9) + 1)
    assert (places[0], places[-1]) == pytest.approx((0.0, length))
    steps = [b - a for a, b in pairwise(places)]
    assert steps == pytest.approx([length / (len(places) - 1)] * len(steps))


@given(rows(), halves(20, 250))
def test_no_rivet_under_anything_and_none_too_near(
    row: tuple[float, float, Blocks], pitch: float
) -> None:
    """Every rivet lies on the row, outside what blocks it, at the least spacing from the next."""
    low, high, blocks = row
    places = spread(low, high, pitch_mm=pitch, least_mm=LEAST, blocked=blocks)
    assert list(places) == sorted(places)
    for place in places:
        assert low - 1e-6 <= place <= high + 1e-6
        assert not any(start + 1e-6 < place < end - 1e-6 for start, end in blocks)
    assert all(b - a >= LEAST - 1e-6 for a, b in pairwise(places))


@given(rows(), halves(20, 250))
def test_the_pitch_is_kept_where_nothing_is_in_the_way(
    row: tuple[float, float, Blocks], pitch: float
) -> None:
    """Two neighbours further apart than the pitch have something between them."""
    low, high, blocks = row
    places = spread(low, high, pitch_mm=pitch, least_mm=LEAST, blocked=blocks)
    for a, b in pairwise(places):
        assert b - a <= max(pitch, 2 * LEAST) + 1e-6 or blocked_between(a, b, blocks)


@given(rows(), halves(20, 250), halves(0.5, 200))
def test_a_smaller_pitch_never_means_fewer(
    row: tuple[float, float, Blocks], pitch: float, more: float
) -> None:
    """The number of rivets falls, or stays, as the pitch grows."""
    low, high, blocks = row
    fine = spread(low, high, pitch_mm=pitch, least_mm=LEAST, blocked=blocks)
    coarse = spread(low, high, pitch_mm=pitch + more, least_mm=LEAST, blocked=blocks)
    assert len(fine) >= len(coarse)


@given(rows(), halves(20, 250))
def test_a_mirrored_row_has_mirrored_rivets(row: tuple[float, float, Blocks], pitch: float) -> None:
    """Neither end is favoured: what is symmetrical comes out so."""
    low, high, blocks = row
    places = spread(low, high, pitch_mm=pitch, least_mm=LEAST, blocked=blocks)
    turned = spread(
        -high,
        -low,
        pitch_mm=pitch,
        least_mm=LEAST,
        blocked=[(-end, -start) for start, end in blocks],
    )
    assert [-place for place in reversed(turned)] == pytest.approx(list(places), abs=1e-6)


def test_a_flange_within_the_pitch_keeps_it_a_wider_one_has_rivets_beside_it() -> None:
    """Across 60 mm the pitch of 100 holds; beside 160 mm a rivet sits at each end of it."""
    narrow = spread(0.0, 500.0, pitch_mm=100.0, least_mm=LEAST, blocked=[(220.0, 280.0)])
    assert widest_mm(narrow) <= 100.0
    # as many as a free row has: 0, 100, 200 and 300, 400, 500
    assert narrow == pytest.approx((0.0, 100.0, 200.0, 300.0, 400.0, 500.0))
    wide = spread(0.0, 500.0, pitch_mm=100.0, least_mm=LEAST, blocked=[(170.0, 330.0)])
    assert {170.0, 330.0} <= {round(place, 6) for place in wide}
    assert widest_mm(wide) == pytest.approx(160.0)


def test_what_is_blocked_whole_has_none() -> None:
    """A row under one long flange gets no rivet, and a short one one in its middle."""
    assert spread(0.0, 80.0, pitch_mm=100.0, least_mm=LEAST, blocked=[(-5.0, 90.0)]) == ()
    assert spread(0.0, 8.0, pitch_mm=100.0, least_mm=LEAST) == (4.0,)
    assert spread(5.0, 3.0, pitch_mm=100.0, least_mm=LEAST) == ()
