"""Where two cables take the same room, and what is said of it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.shell.cables.meeting import SHARED_MM, STEP_MM, meeting_words, meetings_of
from fitkit.shell.cables.model import Route

Point = tuple[float, float, float]


def route(label: str, *path: Point, thick: float = 6.0) -> Route:
    """A cable along a path."""
    return Route(label, label, f"{label}.left.1", "outside", thick, path, 0.0, 0.0, 0.0, None, 20.0,
                 20.0)  # fmt: skip


@given(
    st.floats(0.0, math.pi),
    st.floats(math.radians(25), math.radians(90)),
    st.floats(3.0, 14.0),
    st.floats(3.0, 14.0),
    st.floats(0.0, 1.8),
)
def test_two_straight_cables_cross_once_where_they_are_too_near(
    turn: float, between: float, one: float, two: float, apart: float
) -> None:
    """Skew lines meet exactly where they are nearer than half of both diameters, at that place."""
    rise = apart * (one + two) / 2
    a, b = (
        [(300 + r * math.cos(t), 200 + r * math.sin(t), z) for r in (-180.0, 180.0)]
        for t, z in ((turn, 20.0), (turn + between, 20.0 + rise))
    )
    found = meetings_of([route("a", *a, thick=one), route("b", *b, thick=two)])
    near = (one + two) / 2
    length = 2 * math.sqrt(max(0.0, near**2 - rise**2)) / math.sin(between)
    if length > STEP_MM:
        (met,) = found
        assert met.at_mm[:2] == pytest.approx((300.0, 200.0), abs=STEP_MM + 1e-3)
        assert met.along_mm == pytest.approx(length, abs=STEP_MM + 1e-3)
        assert met.over.diameter_mm == min(one, two)
    elif rise > near:
        assert found == ()


def test_what_shares_an_exit_is_a_bundle() -> None:
    """Cables that leave by one exit come together there: that is no meeting; further off it is."""
    out = (0.0, 300.0, 30.0)
    a = route("power", (200.0, 300.0, 30.0), out)
    b = route("picture", (200.0, 200.0, 30.0), (30.0, 300.0, 30.0), out)
    assert meetings_of([a, b]) == ()
    c = route("signal", (200.0, 300.0, 30.0), (150.0, 300.0, 30.0), out)
    (met,) = meetings_of([a, c])
    assert not met.crosses
    assert met.along_mm == pytest.approx(200.0 - 2 * SHARED_MM, abs=2 * STEP_MM)


def test_above_each_other_they_do_not_meet() -> None:
    """One that passes over the other with room between does not meet it, nor one of no path."""
    a = route("a", (0.0, 100.0, 10.0), (400.0, 100.0, 10.0))
    b = route("b", (200.0, 0.0, 17.0), (200.0, 200.0, 17.0))
    assert meetings_of([a, b, route("c")]) == ()


def test_it_is_said_what_to_lay_over_what() -> None:
    """A sentence for each two, with every place; the thinner one lies over the thicker."""
    thick = route("power", (0.0, 100.0, 10.0), (400.0, 100.0, 10.0), thick=9.0)
    thin = route(
        "picture",
        (100.0, 0.0, 10.0),
        (100.0, 200.0, 10.0),
        (300.0, 200.0, 10.0),
        (300.0, 0.0, 10.0),
        thick=5.0,
    )
    (said,) = meeting_words(meetings_of([thick, thin]))
    assert said == (
        "power and picture cross about x 100, y 100; cross about x 300, y 100: lay picture over "
        "power there"
    )
