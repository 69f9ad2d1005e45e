"""Boards and rails that were loaded on a bench: the gap counts what was measured."""

from __future__ import annotations

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from fitkit.payload.closing import Closing
from fitkit.payload.model import Payload, Wall
from fitkit.payload.stiffness import Stiffness
from fitkit.reference.moduli import moduli, rigidity_of
from fitkit.shell.gap.drop import GRAVITY_M_S2
from fitkit.shell.gap.measured import beam_nmm2, measured_rigidity, rigidity_in
from fitkit.shell.gap.model import Gap
from gap_kits import block, gaps, kit, rails, room, stand

BOARD = "our board"


def sag_mm(kg: float, span: float, stiffness: float) -> float:
    """How far a strip on two edges sags, by integrating its curvature twice [mm].

    Independent of the closed form: the bending moment is P x / 2 up to the middle, the slope there
    is 0.
    """
    x = np.linspace(0.0, span / 2, 20_001)
    curvature = kg * GRAVITY_M_S2 * x / 2 / stiffness
    slope = np.concatenate(([0.0], np.cumsum((curvature[1:] + curvature[:-1]) / 2 * np.diff(x))))
    slope -= slope[-1]
    return float(-np.trapezoid(slope, x))


@given(st.floats(100.0, 2000.0), st.floats(0.2, 20.0), st.floats(1e6, 1e10), st.floats(20.0, 200.0))
def test_a_strip_tells_its_stiffness(
    span: float, kg: float, stiffness: float, width: float
) -> None:
    """Whatever was loaded, span and mass: E I comes back, and over the width the board's."""
    one = Stiffness(span, kg, sag_mm(kg, span, stiffness), None, width)
    assert beam_nmm2(one) == pytest.approx(stiffness, rel=1e-6)
    found = measured_rigidity(one, thickness_mm=6.0, wood=False)
    assert found.along_nmm == found.across_nmm == found.twist_nmm
    assert found.along_nmm == pytest.approx(stiffness / width, rel=1e-6)


def test_measured_birch_plywood_is_birch_plywood() -> None:
    """Strips of the table's plywood, along and across, give the table's rigidity, twist too."""
    row = moduli()["birch plywood 6.5"]
    assert row.along_mpa is not None
    assert row.across_mpa is not None
    second = 50.0 * 6.4**3 / 12
    one = Stiffness(
        400.0,
        2.0,
        sag_mm(2.0, 400.0, row.along_mpa * second),
        sag_mm(2.0, 400.0, row.across_mpa * second),
        50.0,
    )
    found = measured_rigidity(one, thickness_mm=6.4, wood=True)
    table = rigidity_of("birch plywood 6.5", 6.4)
    assert table is not None
    assert found.along_nmm == pytest.approx(table.along_nmm, rel=1e-6)
    assert found.across_nmm == pytest.approx(table.across_nmm, rel=1e-6)
    assert found.twist_nmm == pytest.approx(table.twist_nmm, rel=1e-6)


def test_unlike_both_ways_it_sets_little_against_a_twist() -> None:
    """No strip tells how a fluted board twists: that is never counted to help."""
    one = Stiffness(400.0, 2.0, 3.0, 9.0, 50.0)
    found = measured_rigidity(one, thickness_mm=6.0, wood=False)
    assert found.along_nmm == pytest.approx(3 * found.across_nmm)
    assert found.twist_nmm < 0.01 * found.across_nmm
    with pytest.raises(ValueError, match="have a width"):
        measured_rigidity(Stiffness(400.0, 2.0, 3.0), thickness_mm=6.0, wood=False)


def walled(sag: float | None) -> Payload:
    """A kit whose walls are of a board that no table knows; measured where a sag is given."""
    screen = block("screen", mount=rails())
    measured = () if sag is None else ((BOARD.upper(), Stiffness(400.0, 1.0, sag, None, 50.0)),)
    plain = kit(evolve(screen, count=2), closing=Closing(stiffness=measured))
    return evolve(plain, wall=Wall(panel=BOARD, panel_mm=6.0))


def the_gap(payload: Payload) -> Gap:
    """The gap between both screens."""
    screen, inside = payload.items[0], room()
    low = stand(screen, "deep", inside=inside, recess_mm=60.0)
    high = stand(screen, "shallow", inside=inside, recess_mm=60.0, copy=2)
    (gap,) = gaps(payload, low, high, inside=inside)
    return gap


def test_measuring_makes_an_unknown_gap_known() -> None:
    """A board of one's own leaves the gap unknown until a strip of it was loaded."""
    assert rigidity_in(walled(None), BOARD, 6.0) is None
    assert not the_gap(walled(None)).known
    found = the_gap(walled(3.0))
    assert found.known
    told = [one for one in found.contributions if one.what.startswith("panel ")]
    assert len(told) == 4  # pressed in and in a drop, on both sides
    assert all("your sheet: closing.stiffness, measured" in one.source for one in told)


def test_what_sags_more_leaves_less() -> None:
    """The softer the strips, the less of the gap is left; a plate gives way as its strips do."""
    gaps_mm = [the_gap(walled(sag)).worst_mm for sag in (0.5, 1.0, 3.0, 9.0)]
    assert gaps_mm == sorted(gaps_mm, reverse=True)
    assert len(set(gaps_mm)) == 4
    pressed = [
        next(one.mm or 0.0 for one in the_gap(walled(sag)).contributions if "pressed" in one.what)
        for sag in (1.0, 3.0)
    ]
    assert pressed[1] == pytest.approx(3 * pressed[0])
