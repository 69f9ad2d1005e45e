"""Outside sizes and panels against the worked example and counting identities."""

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import Profile, Wall
from fitkit.payload.walls import (
    build_up_mm,
    interior_mm,
    least_depth_mm,
    least_side_mm,
    outside_mm,
)
from fitkit.shell.outside import halves_too_shallow, outside_of

WORKED = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))

leaf = st.floats(0.5, 5.0)
profiles = st.builds(
    Profile,
    outer_leaf_mm=leaf,
    slot_mm=st.floats(3.0, 13.0),
    inner_leaf_mm=leaf,
    slot_web_mm=leaf,
    leg_mm=st.just(30.0),
    corner_mm=st.floats(30.0, 45.0),
    closing_leaf_mm=st.floats(10.0, 40.0),
)
sizes = st.tuples(*[st.floats(100.0, 1500.0)] * 3)


def test_worked_example_outside() -> None:
    """The worked example, 600 x 400 x 300 in halves of 200 and 100, comes back exactly."""
    outside = outside_of(WORKED, wall=Wall())
    assert outside.size_mm == (600.0, 400.0, 300.0)
    assert outside.half_heights_mm == (200.0, 100.0)


@given(sizes, profiles)
def test_outside_and_interior_are_inverses(
    size: tuple[float, float, float], profile: Profile
) -> None:
    """Walls and room fill the outside box exactly, whatever the profile."""
    there = outside_mm(size, profile=profile)
    assert interior_mm(there, profile=profile) == pytest.approx(size, abs=1e-9)
    assert [o - i for o, i in zip(there, size, strict=True)] == pytest.approx(
        [2 * build_up_mm(profile)] * 3, abs=1e-9
    )


@given(profiles, st.floats(0.0, 300.0))
def test_a_half_of_the_least_depth_has_uprights(profile: Profile, more_mm: float) -> None:
    """An upright's length h - k - q is never below nothing at the least depth or more."""
    depth = least_depth_mm(profile) + more_mm
    height = depth + build_up_mm(profile)
    assert height - profile.corner_mm - profile.closing_leaf_mm >= -1e-9
    side = least_side_mm(profile) + more_mm
    assert side + 2 * build_up_mm(profile) - 2 * profile.corner_mm >= -1e-9


@given(profiles, sizes)
def test_the_parts_heights_add_up_to_the_outside(
    profile: Profile, size: tuple[float, float, float]
) -> None:
    """Outside heights of the parts fill the outside height, for two halves and for a tray."""
    wall = Wall(profile=profile)
    two = Interior(size[0], size[1], (Half("deep", size[2]), Half("shallow", size[2])))
    one = Interior(size[0], size[1], (Half("tray", size[2]),))
    for inside in (one, two):
        outside = outside_of(inside, wall=wall)
        assert sum(outside.half_heights_mm) == pytest.approx(outside.size_mm[2])


def test_a_shallow_half_is_named() -> None:
    """Only the half that is too shallow for its corners is named, at 45 mm to the hair."""
    wall = Wall()
    half = Half("shallow", 44.9)
    inside = evolve(WORKED, halves=(Half("deep", 45.0), half))
    assert halves_too_shallow(inside, wall=wall) == (half,)
