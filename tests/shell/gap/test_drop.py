"""Falls: stopping distances and pulls, against a mass on a spring followed step by step."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.shell.gap.drop import GRAVITY_M_S2, stopping_mm, weights_in_fall

G_MM = GRAVITY_M_S2 * 1000


def followed(drop_mm: float, sag_mm: float) -> tuple[float, float]:
    """Greatest way [mm] and greatest acceleration [g] of a mass that falls onto a spring.

    Newton's law followed in small steps of time from the impact on (velocity Verlet):
    x'' = g - (g / sag) x, x(0) = 0, x'(0) = sqrt(2 g h), up to where it turns back.
    """
    step = math.sqrt(sag_mm / G_MM) / 5000
    way, speed, pull = 0.0, math.sqrt(2 * G_MM * drop_mm), G_MM
    while speed > 0:
        way += speed * step + pull * step**2 / 2
        then = G_MM - G_MM / sag_mm * way
        speed += (pull + then) / 2 * step
        pull = then
    return way, -pull / G_MM


@pytest.mark.parametrize(("drop_mm", "sag_mm"), [(460.0, 0.3), (760.0, 1.2), (100.0, 4.0)])
def test_a_spring_stops_a_fall_as_followed_in_time(drop_mm: float, sag_mm: float) -> None:
    """The way, the pull and the stopping distance at the G so reached agree with the motion."""
    way, peak_g = followed(drop_mm, sag_mm)
    assert weights_in_fall(drop_mm, sag_mm) * sag_mm == pytest.approx(way, rel=1e-4)
    assert weights_in_fall(drop_mm, sag_mm) - 1 == pytest.approx(peak_g, rel=1e-4)
    assert stopping_mm(drop_mm, peak_g) == pytest.approx(way, rel=1e-4)


@given(st.floats(10, 2000), st.floats(1.5, 300))
def test_an_even_push_needs_half_the_way(drop_mm: float, shock_g: float) -> None:
    """An ideal cushion takes less than a linear one; a constant push of G does h = G s."""
    ideal = stopping_mm(drop_mm, shock_g, cushion="ideal")
    assert ideal * shock_g == pytest.approx(drop_mm)  # v2 = 2 g h = 2 G g s
    assert stopping_mm(drop_mm, shock_g) > 2 * ideal


@given(st.floats(10, 2000), st.floats(1.5, 300), st.floats(0.1, 100))
def test_what_stands_more_needs_less_way(drop_mm: float, shock_g: float, more: float) -> None:
    """The stopping distance shrinks as the fragility grows, and grows with the fall."""
    assert stopping_mm(drop_mm, shock_g + more) < stopping_mm(drop_mm, shock_g)
    assert stopping_mm(drop_mm + more, shock_g) > stopping_mm(drop_mm, shock_g)


def test_shocks_of_one_g_stop_nothing() -> None:
    """At 1 G or less nothing that falls can be stopped; heights are not below 0."""
    for shock_g in (1.0, 0.0, -5.0):
        with pytest.raises(ValueError, match="1 G or less"):
            stopping_mm(100.0, shock_g)
    with pytest.raises(ValueError, match="from 0"):
        stopping_mm(-1.0, 40.0)
    with pytest.raises(ValueError, match="0 or above"):
        weights_in_fall(-1.0, 1.0)
