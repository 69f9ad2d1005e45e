"""Counts of hardware: the rules of common practice, number by number.

Sources: latches, hinges and stays are common practice, no source; handles n = 2 ceil(m / person)
from memory (ISO 11228-1); the castor rule T >= (E + Z) / (n - 1) is source S21, read: the load of
the case and its own mass over one castor fewer than it has, so a third for four.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.shell.counts import (
    castor_load_kg,
    fitting,
    handles_for,
    hinges_along,
    latches_along,
    shared,
    spread,
)


@given(side=st.floats(50, 3000), end=st.floats(20, 200), pitch=st.floats(100, 900))
def test_no_two_latches_are_farther_apart_than_the_pitch(
    side: float, end: float, pitch: float
) -> None:
    """The rule's count is the least with which a side's even latches keep the pitch."""
    count = latches_along(side, end_mm=end, pitch_mm=pitch)
    span = side - 2 * end
    if span <= 0:
        assert count == 1 or span > -pitch * 1e-9
    else:
        assert span / (count - 1) <= pitch * (1 + 1e-6)
        assert count == 2 or span / (count - 2) > pitch * (1 - 1e-6)


def test_a_box_of_600_by_400_has_four_latches() -> None:
    """Two on each long side: the example beside the rule (common practice, no source)."""
    assert 2 * latches_along(600.0) == 4


@given(gross=st.floats(0.1, 500), more=st.floats(0, 200), person=st.floats(5, 40))
def test_each_person_carries_no_more_than_they_may(
    gross: float, more: float, person: float
) -> None:
    """Handles come in pairs, each pair for one person's share, and never fewer for more mass."""
    count = handles_for(gross, person_kg=person)
    assert count % 2 == 0
    assert count >= 2
    assert gross / (count / 2) <= person * (1 + 1e-6)
    assert count == 2 or gross / (count / 2 - 1) > person * (1 - 1e-6)
    assert handles_for(gross + more, person_kg=person) >= count


def test_nobody_lifts_nothing() -> None:
    """A person who may lift nothing is misuse, said at once."""
    with pytest.raises(ValueError, match="lifts nothing"):
        handles_for(10.0, person_kg=0.0)


@given(gross=st.floats(1, 500))
def test_three_castors_carry_the_case(gross: float) -> None:
    """Each of four castors is rated for a third of the loaded case (source S21, read)."""
    assert castor_load_kg(gross) == pytest.approx(gross / 3)
    assert 5 * castor_load_kg(gross, count=6) == pytest.approx(gross)


def test_hinges_follow_the_lid_s_length() -> None:
    """Two up to 600 mm, one more for each 400 mm begun (common practice, no source)."""
    lengths = (100, 600, 601, 1000, 1001, 1400, 1401)
    assert [hinges_along(float(one)) for one in lengths] == [2, 2, 3, 3, 4, 4, 5]


@given(st.integers(1, 20), st.floats(10, 900), st.floats(10, 200), st.floats(0, 10))
def test_what_is_fitted_fits(count: int, room: float, piece: float, gap: float) -> None:
    """As many as asked for, or as lie side by side in the room; one at the least."""
    found = fitting(count, room_mm=room, piece_mm=piece, gap_mm=gap)
    assert 1 <= found <= count
    assert found == 1 or found * piece + (found - 1) * gap <= room + 1e-6
    if found < count:
        assert (found + 1) * piece + found * gap > room - 1e-6


@given(st.integers(0, 40), st.integers(1, 6))
def test_shares_add_up_and_differ_by_one(count: int, among: int) -> None:
    """Nothing is lost in dealing out, and no place gets two more than another."""
    dealt = shared(count, among)
    assert sum(dealt) == count
    assert len(dealt) == among
    assert max(dealt) - min(dealt) <= 1
    assert list(dealt) == sorted(dealt, reverse=True)


@given(st.integers(1, 9), st.floats(0, 100), st.floats(1, 900))
def test_a_spread_is_even_and_symmetric(count: int, low: float, length: float) -> None:
    """Equal steps from end to end, mirrored about the middle."""
    places = spread(count, low_mm=low, high_mm=low + length)
    assert len(places) == count
    for place, other in zip(places, reversed(places), strict=True):
        assert place + other == pytest.approx(2 * low + length)
    steps = {round(b - a, 6) for a, b in zip(places, places[1:], strict=False)}
    assert len(steps) <= 1 or max(steps) - min(steps) < 1e-5
    assert math.isclose(places[-1], low + length) or count == 1
