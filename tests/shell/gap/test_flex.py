"""Plates and beams: what must hold of any of them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.reference.moduli import Rigidity
from fitkit.shell.gap.flex import beam_compliance, held_compliance, middle_mm, plate_compliance

SIDES = st.tuples(st.floats(80, 900), st.floats(80, 900))
RIGID = st.builds(
    Rigidity, st.floats(2e4, 2e6), st.floats(2e4, 2e6), st.floats(1e4, 1e6)
)  # fmt: skip
SHARES = st.floats(0.05, 0.95)


@settings(max_examples=30, deadline=None)
@given(SIDES, RIGID, SHARES, SHARES, SHARES, SHARES)
def test_a_plate_moves_there_as_here(
    sides: tuple[float, float], rigid: Rigidity, x: float, y: float, u: float, v: float
) -> None:
    """Maxwell and Betti: a force here moves a point there as much as one there moves this point."""
    a, b = sides
    here, there = (x * a, y * b), (u * a, v * b)
    one = plate_compliance(sides, rigid, load_at_mm=here, load_mm=(0.0, 0.0), at_mm=there)
    other = plate_compliance(sides, rigid, load_at_mm=there, load_mm=(0.0, 0.0), at_mm=here)
    assert one == pytest.approx(other, rel=1e-9)


@settings(max_examples=30, deadline=None)
@given(SIDES, RIGID, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_spread_load_bends_less(
    sides: tuple[float, float], rigid: Rigidity, u: float, v: float
) -> None:
    """The middle gives way most to a force at one point, less the wider it is spread."""
    middle = (sides[0] / 2, sides[1] / 2)

    def way(share: float) -> float:
        over = (share * u * sides[0], share * v * sides[1])
        return plate_compliance(sides, rigid, load_at_mm=middle, load_mm=over, at_mm=middle)

    assert way(0.0) == pytest.approx(middle_mm(1.0, sides, rigid), rel=1e-12)
    assert way(0.0) >= way(0.5) * (1 - 1e-9)
    assert way(0.5) >= way(1.0) * (1 - 1e-9)


@settings(max_examples=30, deadline=None)
@given(SIDES, RIGID)
def test_held_fast_is_stiffer(sides: tuple[float, float], rigid: Rigidity) -> None:
    """Slots that hold a plate fast let it give way less than loose ones."""
    fast = held_compliance(sides, rigid, load_mm=(0.0, 0.0))
    assert 0 < fast < middle_mm(1.0, sides, rigid)


@settings(max_examples=30, deadline=None)
@given(SIDES, RIGID, st.floats(1.05, 3.0))
def test_thicker_gives_way_less(sides: tuple[float, float], rigid: Rigidity, more: float) -> None:
    """Rigidity divides the flex."""
    stiff = Rigidity(*(more * one for one in (rigid.along_nmm, rigid.across_nmm, rigid.twist_nmm)))
    assert middle_mm(50.0, sides, stiff) * more == pytest.approx(middle_mm(50.0, sides, rigid))


def test_a_long_plate_is_a_beam() -> None:
    """Far from its short edges an evenly pressed plate bends as strips: 5/384 q b4 / D.

    Euler and Bernoulli's beam; the last row of Timoshenko and Woinowsky-Krieger's table 8.
    """
    sides, load = (8000.0, 200.0), (8000.0, 200.0)
    middle = (4000.0, 100.0)
    w = plate_compliance(
        sides, Rigidity(1e5, 1e5, 1e5), load_at_mm=middle, load_mm=load, at_mm=middle
    )
    pressure = 1 / (sides[0] * sides[1])
    assert w == pytest.approx(5 / 384 * pressure * 200.0**4 / 1e5, rel=0.01)


def test_a_beam_by_hand() -> None:
    """P L3 / 48 E I: 1000 N on 1 m of 50 x 50 at 10 GPa is 4.0 mm, computed by hand."""
    second = 50.0**4 / 12
    assert 1000 * beam_compliance(1000.0, 10000.0 * second) == pytest.approx(4.0)


@pytest.mark.parametrize("bad", [(0.0, 100.0), (100.0, -1.0)])
def test_what_has_no_size_is_refused(bad: tuple[float, float]) -> None:
    """Sides and stiffness of nothing are misuse."""
    good = Rigidity(1.0, 1.0, 1.0)
    with pytest.raises(ValueError, match="above 0"):
        middle_mm(1.0, bad, good)
    with pytest.raises(ValueError, match="above 0"):
        held_compliance(bad, good, load_mm=(0.0, 0.0))
    with pytest.raises(ValueError, match="above 0"):
        beam_compliance(*bad)
    with pytest.raises(ValueError, match="above 0"):
        middle_mm(1.0, (10.0, 10.0), Rigidity(1.0, 0.0, 1.0))
