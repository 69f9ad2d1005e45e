"""Coils: the equations that they follow, and places that are truly free."""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.foam.model import Room
from fitkit.shell.cables.coils import FILL, Places, coil_in, winding
from fitkit.shell.cables.model import Coil

LENGTHS = st.floats(800.0, 9000.0)
THICK = st.floats(3.0, 16.0)
FACTORS = st.floats(3.0, 20.0)


@given(LENGTHS, THICK, FACTORS, st.sampled_from([1.0, 1.3, 2.0]), st.sampled_from([0.0, 1.0]))
def test_coils_follow_their_equations(
    long: float, thick: float, factor: float, wider: float, longer: float
) -> None:
    """The turns hold the whole cable, the bundle holds the turns, no turn is too tight.

    Equations from the tables of cables (K6, derived): N = l / (pi Dm), Db = d sqrt(N / phi),
    OD = Dm + Db, (Dm - Db) / 2 >= R.
    """
    radius = factor * thick
    one = winding(long, diameter_mm=thick, radius_mm=radius, wider=wider, longer=longer)
    around = math.pi * one.mean_mm + 2 * one.straight_mm
    assert one.turns * around == pytest.approx(long)
    assert one.height_mm == pytest.approx(thick * math.sqrt(max(one.turns, 1.0) / FILL))
    assert one.outer_mm == pytest.approx(one.mean_mm + one.height_mm)
    assert (one.mean_mm - one.height_mm) / 2 >= radius * (1 - 1e-6)
    if wider == 1.0:
        assert (one.mean_mm - one.height_mm) / 2 == pytest.approx(radius)


@settings(deadline=None, max_examples=30)
@given(st.data())
def test_places_are_free(data: st.DataObject) -> None:
    """What is found keeps clear of everything taken and inside; where nothing is, it lacks room."""
    boxes = []
    for _ in range(data.draw(st.integers(0, 5))):
        low = [data.draw(st.integers(0, 250)), data.draw(st.integers(0, 150)), 0]
        size = [data.draw(st.integers(5, 200)), data.draw(st.integers(5, 120)), 60]
        boxes.append((*low, *(a + b for a, b in zip(low, size, strict=True))))
    taken = np.array(boxes, dtype=float).reshape(-1, 6)
    places = Places(low_mm=(0.0, 0.0, 0.0), high_mm=(300.0, 200.0, 61.0), taken=taken)
    coil = coil_in(places, length_mm=2000.0, diameter_mm=5.0, radius_mm=20.0)
    assert coil is not None
    if coil.room is None:
        assert coil.short_mm > 0
        return
    low, high = np.array(coil.room.low_mm), np.array(coil.room.high_mm)
    assert (low >= -1e-9).all()
    assert (high <= np.array([300.0, 200.0, 61.0]) + 1e-9).all()
    for box in taken:
        assert not (np.all(low < box[3:] - 1e-6) and np.all(high > box[:3] + 1e-6))
    sides = sorted(high - low)
    assert sides[0] == pytest.approx(coil.height_mm)
    assert sides[1:] == pytest.approx([coil.outer_mm, coil.outer_mm + coil.straight_mm])


def test_two_coils_take_two_places() -> None:
    """What one takes the next does not get; when nothing is left, the millimetres are told."""
    places = Places(low_mm=(0.0, 0.0, 0.0), high_mm=(172.0, 88.0, 20.0), taken=np.zeros((0, 6)))
    found = [coil_in(places, length_mm=900.0, diameter_mm=5.0, radius_mm=25.0) for _ in range(3)]
    rooms = [coil.room for coil in found if coil is not None]
    assert rooms[0] is not None
    assert rooms[1] is not None
    assert rooms[0].high_mm[0] <= rooms[1].low_mm[0] or rooms[1].high_mm[0] <= rooms[0].low_mm[0]
    assert rooms[2] is None
    assert found[2] is not None
    assert 0 < found[2].short_mm < 40


def test_a_loop_is_no_coil() -> None:
    """Less than one turn is left to hang; nothing to spare is nothing."""
    places = Places(low_mm=(0.0, 0.0, 0.0), high_mm=(300.0, 300.0, 50.0), taken=np.zeros((0, 6)))
    spare = {"diameter_mm": 6.0, "radius_mm": 48.0}
    assert coil_in(places, length_mm=200.0, **spare) is None
    assert coil_in(places, length_mm=0.0, **spare) is None
    with pytest.raises(ValueError, match="above 0"):
        winding(0.0, diameter_mm=6.0, radius_mm=48.0)


def test_a_coil_says_whether_it_stands_on_edge() -> None:
    """Flat where its room is as tall as the wound bundle, on edge where as tall as the coil."""
    flat = Coil(4.0, 90.0, 110.0, 20.0, Room((0.0, 0.0, 0.0), (110.0, 110.0, 20.0), "coil"))
    edge = evolve(flat, room=Room((0.0, 0.0, 0.0), (20.0, 110.0, 110.0), "coil"))
    assert (flat.on_edge, edge.on_edge, evolve(flat, room=None).on_edge) == (False, True, False)
