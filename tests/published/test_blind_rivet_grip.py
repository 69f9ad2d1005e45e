"""Lengths of blind rivets against ISO 15981, and their holes and heads.

Source: ISO 15981:2002, open end blind rivets with break pull mandrel, clause 3 (read in an excerpt;
the column heads are inferred). The figures are typed here a second time, row by row, so that a
slip in the data file is seen. Heads: DIN 7337, table 1 (secondary); holes: d + 0.1 to d + 0.2,
ISO 15977 (secondary).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.reference.rivets import (
    grip_range_mm,
    rivet_for,
    rivet_grips,
    rivet_sizes,
    rivet_through,
)

# diameters: (nominal length, most grip) in order; the first least grip stands before them
ISO_15981 = {
    (2.4,): (0.5, [(6, 3), (9, 6), (12, 9)]),
    (3.0, 3.2): (
        0.5,
        [(5, 1.5), (6, 3.5), (8, 5), (10, 7), (12, 9), (16, 13), (20, 17), (25, 22)],
    ),
    (4.0,): (1.0, [(6, 3), (8, 5), (10, 6.5), (12, 8.5), (16, 12.5), (20, 16.5), (25, 21)]),
    (4.8, 5.0): (1.5, [(6, 2.5), (8, 4), (10, 6), (12, 8), (16, 12), (20, 15), (25, 20), (30, 25)]),
    (6.4,): (3.0, [(12, 6), (16, 10), (20, 14), (25, 18), (30, 23)]),
}

HEADS_DIN_7337 = {2.4: 5, 3.0: 6.5, 3.2: 6.5, 4.0: 8, 4.8: 9.5, 5.0: 9.5, 6.0: 12, 6.4: 13}


def test_the_table_is_that_of_the_standard() -> None:
    """Every diameter, length and range of grip is that of the standard, and there are no others."""
    expected = {}
    for diameters, (least, lengths) in ISO_15981.items():
        low, found = least, []
        for length, most in lengths:
            found.append((length, low, most))
            low = most
        for d in diameters:
            expected[d] = found
    assert {
        d: [(row.length_mm, row.least_grip_mm, row.most_grip_mm) for row in rows]
        for d, rows in rivet_grips().items()
    } == expected


def test_a_rivet_is_longer_than_its_grip_by_its_tail() -> None:
    """Length minus most grip is what forms the tail: about one diameter, never one and a half.

    The rule for solid rivets, grip + 1.5 d, asks for more than the standard's length in every row.
    """
    for row in (row for found in rivet_grips().values() for row in found):
        assert 0.7 <= (row.length_mm - row.most_grip_mm) / row.d_mm <= 1.26
        assert row.most_grip_mm + 1.5 * row.d_mm > row.length_mm


@given(st.sampled_from(sorted(rivet_grips())), st.floats(0.0, 1.0))
def test_every_grip_in_the_range_has_its_rivet(d_mm: float, share: float) -> None:
    """A thickness within the table gets a length whose range of grip holds it."""
    span = grip_range_mm(d_mm)
    assert span is not None
    grip = span[0] + share * (span[1] - span[0])
    row = rivet_for(grip, d_mm=d_mm)
    assert row is not None
    assert row.least_grip_mm - 1e-6 <= grip <= row.most_grip_mm + 1e-6


@given(st.sampled_from(sorted(rivet_grips())), st.floats(0.01, 50.0))
def test_no_rivet_beyond_the_table(d_mm: float, beyond_mm: float) -> None:
    """A thickness outside the table gets none, however near."""
    span = grip_range_mm(d_mm)
    assert span is not None
    assert rivet_for(span[1] + beyond_mm, d_mm=d_mm) is None
    assert rivet_for(max(span[0] - beyond_mm, 0.0), d_mm=d_mm) is None
    assert rivet_for(5.0, d_mm=6.0) is None


def test_where_two_lengths_hold_the_range_decides() -> None:
    """At a shared end of two ranges the rivet is the one that holds more of the real range."""
    row = rivet_for(6.5, d_mm=4.0, least_mm=5.9, most_mm=6.5)
    assert row is not None
    assert row.length_mm == 10
    row = rivet_for(6.5, d_mm=4.0, least_mm=6.4, most_mm=7.0)
    assert row is not None
    assert row.length_mm == 12


@pytest.mark.parametrize("d_mm", sorted(HEADS_DIN_7337))
def test_holes_and_heads(d_mm: float) -> None:
    """The hole is a tenth to two tenths wider than the rivet; heads are those of DIN 7337."""
    size = rivet_sizes()[d_mm]
    assert size.least_hole_mm == pytest.approx(d_mm + 0.1)
    assert size.most_hole_mm == pytest.approx(d_mm + 0.2)
    assert size.head_mm == HEADS_DIN_7337[d_mm]
    assert set(rivet_sizes()) == set(HEADS_DIN_7337)


def test_the_rivet_for_a_given_hole_passes_it() -> None:
    """Hardware's own holes decide: what is chosen passes, and nothing passes a hole too small."""
    for tenths in range(25, 90):
        hole = tenths / 10
        d = rivet_through(hole, wished_mm=4.0)
        assert d is not None
        assert d < hole
    assert rivet_through(2.0, wished_mm=4.0) is None
    assert rivet_through(4.5, wished_mm=4.0) == 4.0
