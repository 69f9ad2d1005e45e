"""Screws are as long as they may be, and never longer than what they go through and into."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.reference.machine_screws import machine_screws, screw_lengths
from fitkit.reference.wood_screws import wood_screws
from fitkit.shell.mounting.screws import TIP_MM, gauge_for, machine_screw, wood_screw

THREADS = st.sampled_from(sorted(machine_screws()))


@given(
    thread=THREADS,
    stack_mm=st.floats(0.5, 60.0),
    hole_mm=st.floats(1.0, 40.0),
    off_mm=st.floats(0.0, 0.5),
)
def test_a_screw_never_reaches_the_bottom(
    thread: str, stack_mm: float, hole_mm: float, off_mm: float
) -> None:
    """Length <= stack at its least + depth, it is sold, and what it goes in is length - stack."""
    pick = machine_screw(thread, stack_mm=stack_mm, hole_mm=hole_mm, off_mm=off_mm)
    if pick.length_mm is None:
        assert pick.remedy
        assert pick.short_mm == machine_screws()[thread].d_mm
        return
    assert pick.length_mm in screw_lengths("machine").lengths_mm
    assert pick.length_mm <= stack_mm - off_mm + hole_mm + 1e-9
    assert pick.engaged_mm == pytest.approx(pick.length_mm - stack_mm)
    assert pick.engaged_mm > 0


@given(thread=THREADS, stack_mm=st.floats(0.5, 60.0), hole_mm=st.floats(1.0, 40.0))
def test_the_thread_is_a_diameter_where_any_length_gives_it(
    thread: str, stack_mm: float, hole_mm: float
) -> None:
    """If a length that is sold goes in by a diameter without reaching the bottom, one is taken."""
    d_mm = machine_screws()[thread].d_mm
    fit = [
        length
        for length in screw_lengths("machine").lengths_mm
        if stack_mm + d_mm <= length <= stack_mm + hole_mm
    ]
    pick = machine_screw(thread, stack_mm=stack_mm, hole_mm=hole_mm)
    assert (pick.length_mm in fit) == bool(fit)
    assert (pick.short_mm == 0.0) == bool(fit)


@pytest.mark.parametrize(
    ("stack_mm", "hole_mm", "length_mm"),
    [
        # a plate of 2.6 mm on a pattern of M4, 10 mm deep: plate + 6 to 8 mm (S13, read)
        (2.6, 10.0, 10.0),
        (4.0, 10.0, 12.0),
        # a rail of 20 mm: 30 would end right at the bottom, so 25
        (20.0, 9.9, 25.0),
        (20.0, 4.0, None),
    ],
)
def test_screws_by_hand(stack_mm: float, hole_mm: float, length_mm: float | None) -> None:
    """M4 through a plate or a rail, worked out by hand."""
    assert machine_screw("M4", stack_mm=stack_mm, hole_mm=hole_mm).length_mm == length_mm


def test_the_remedy_tells_the_millimetres() -> None:
    """A hole too shallow for any length asks for washers; a short thread for a sunk head."""
    none = machine_screw("M4", stack_mm=20.0, hole_mm=4.0)
    assert (none.length_mm, none.short_mm) == (None, 4.0)
    assert "washers 1.0 mm" in none.remedy
    little = machine_screw("M6", stack_mm=21.0, hole_mm=8.0)
    assert (little.length_mm, little.engaged_mm, little.short_mm) == (25.0, 4.0, 2.0)
    assert "2.0 mm deep" in little.remedy
    shallow = machine_screw("M6", stack_mm=20.0, hole_mm=5.0)
    assert (shallow.length_mm, shallow.short_mm) == (25.0, 1.0)
    assert "more screws" in shallow.remedy


@given(
    gauge=st.sampled_from(sorted(wood_screws())),
    stack_mm=st.floats(0.5, 60.0),
    wood_mm=st.floats(1.0, 60.0),
)
def test_a_wood_screw_does_not_come_through(gauge: int, stack_mm: float, wood_mm: float) -> None:
    """Its tip ends inside the wood, with 2 mm to spare, and no longer one would."""
    pick = wood_screw(gauge, stack_mm=stack_mm, wood_mm=wood_mm)
    sold = screw_lengths("wood").lengths_mm
    may = [one for one in sold if stack_mm + 1e-9 < one <= stack_mm + wood_mm - TIP_MM + 1e-9]
    assert pick.length_mm == (max(may) if may else None)
    if pick.length_mm is not None:
        held = 3 * wood_screws()[gauge].shank_mm
        assert pick.short_mm == pytest.approx(max(0.0, held - pick.length_mm + stack_mm))


def test_a_narrow_strip_takes_a_thin_screw() -> None:
    """No. 8 from 18 mm of width on, no. 6 below."""
    assert gauge_for(18.0).gauge == 8
    assert gauge_for(17.9).gauge == 6
