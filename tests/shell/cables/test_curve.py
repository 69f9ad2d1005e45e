"""Rounded lines: their length, and the compiled twin of each formula."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.shell.cables.curve import can_be_laid, length_mm, rounded, tightest_mm, turns_deg
from fitkit.shell.cables.laying import clear, long_mm, tidied

COORDINATE = st.integers(0, 300).map(float)
LINES = st.lists(st.tuples(COORDINATE, COORDINATE, COORDINATE), min_size=2, max_size=7)


def line_of(points: list[tuple[float, float, float]]) -> np.ndarray:
    """Points as a line without corners that lie on each other."""
    return tidied(np.array(points, dtype=float))


@settings(deadline=None)
@given(LINES, st.integers(1, 60).map(float), st.integers(0, 40).map(float))
def test_the_compiled_length_is_the_plain_one(
    points: list[tuple[float, float, float]], radius: float, run: float
) -> None:
    """Finite just where the line can be laid, and then the same length."""
    line = line_of(points)
    if len(line) < 2 or (len(line) > 2 and abs(float(turns_deg(line).max()) - 178) < 1):
        return
    fast = long_mm(line, radius, run, run / 2)
    slow = can_be_laid(line, radius_mm=radius, straight_mm=(run, run / 2))
    assert math.isfinite(fast) == slow
    if slow:
        assert fast == pytest.approx(length_mm(line, radius_mm=radius), abs=1e-6)


@settings(deadline=None)
@given(LINES, st.integers(1, 60).map(float))
def test_a_rounded_line_is_as_long_and_as_gentle_as_said(
    points: list[tuple[float, float, float]], radius: float
) -> None:
    """Drawn finely, its chords add up to the formula, and no three points bend more tightly."""
    line = line_of(points)
    if len(line) < 2 or not can_be_laid(line, radius_mm=radius, straight_mm=(0.0, 0.0)):
        return
    fine = rounded(line, radius_mm=radius, chord_deg=0.5)
    long = float(np.linalg.norm(np.diff(fine, axis=0), axis=1).sum())
    assert long == pytest.approx(length_mm(line, radius_mm=radius), rel=1e-4)
    assert tightest_mm(rounded(line, radius_mm=radius)) >= radius * (1 - 1e-6)


def test_what_lies_on_the_arc_is_met() -> None:
    """A box on the bend is met, one in the corner outside of the bend is not."""
    line = np.array([[0, 0, 0], [100, 0, 0], [100, 100, 0]], dtype=float)
    low, high = np.full(3, -200.0), np.full(3, 200.0)
    on = (1 - math.cos(math.pi / 4)) * 60  # the bend's middle lies so far in from both legs
    box = np.array([[100 - on - 3, on - 3, -5, 100 - on + 3, on + 3, 5]])
    outer = np.array([[92.0, -8.0, -5.0, 108.0, 8.0, 5.0]])
    assert not clear(line, 60.0, 0.0, 0.0, box, low, high, 0.0)
    assert clear(line, 60.0, 0.0, 0.0, outer, low, high, 0.0)
    assert not clear(line, 0.5, 0.0, 0.0, outer, low, high, 0.0)


def test_straight_runs_are_exempt() -> None:
    """What stands beside the plug's own run is the plug's business."""
    line = np.array([[0, 0, 0], [200, 0, 0]], dtype=float)
    low, high = np.full(3, -200.0), np.full(3, 200.0)
    box = np.array([[10.0, -5.0, -5.0, 30.0, 5.0, 5.0]])
    assert clear(line, 1.0, 35.0, 0.0, box, low, high, 0.0)
    assert not clear(line, 1.0, 25.0, 0.0, box, low, high, 0.0)
