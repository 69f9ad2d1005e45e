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
from fitkit.shell.outside import halves_too_shallow, outside_of, panels_of

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


def test_worked_example_panels() -> None:
    """The ten panels of the worked example, their area and mass (6.4 mm birch, 4.37 kg/m2)."""
    panels = panels_of(WORKED, wall=Wall())
    cut = sorted((panel.length_mm, panel.width_mm) for panel in panels)
    assert cut == sorted(
        2 * [(579.0, 379.0), (579.0, 185.0), (379.0, 185.0), (579.0, 83.0), (379.0, 83.0)]
    )
    area = sum(panel.area_m2 for panel in panels)
    assert area == pytest.approx(0.95237, abs=5e-6)
    assert area * 4.37 == pytest.approx(4.16, abs=5e-3)


def test_panels_lie_in_their_slots() -> None:
    """Each panel's middle plane runs in the middle of its slot, all round the worked example."""
    middles = {(p.half, p.side): p.centre_mm for p in panels_of(WORKED, wall=Wall())}
    # outer face at -10; outer leaf 1.5, half a slot 3.5: the middle is 5 inside it
    assert middles["deep", "bottom"][2] == -5.0
    assert middles["shallow", "top"][2] == 285.0
    assert middles["deep", "left"][0] == -5.0
    assert middles["deep", "right"][0] == 585.0
    assert middles["shallow", "front"][1] == -5.0
    assert middles["shallow", "back"][1] == 385.0
    # walls: from 10.5 above the outer face to 4.5 below the closing plane
    assert middles["deep", "left"][2] == pytest.approx((0.5 + 185.5) / 2)
    assert middles["shallow", "left"][2] == pytest.approx((196.5 + 279.5) / 2)


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
def test_stacked_parts_count_four_panels_each_and_two(
    profile: Profile, size: tuple[float, float, float]
) -> None:
    """Stacked parts, n of them, have 4 n + 2 panels (counting identity of the graph of faces)."""
    deep = Half("deep", size[2])
    wall = Wall(profile=profile)
    two = Interior(size[0], size[1], (deep, Half("shallow", size[2])))
    assert len(panels_of(two, wall=wall)) == 4 * 2 + 2
    one = Interior(size[0], size[1], (Half("tray", size[2]),))
    assert len(panels_of(one, wall=wall)) == 4 * 1 + 2
    for inside in (one, two):
        outside = outside_of(inside, wall=wall)
        assert sum(outside.half_heights_mm) == pytest.approx(outside.size_mm[2])


def test_a_shallow_half_is_named() -> None:
    """Only the half that is too shallow for its corners is named, at 45 mm to the hair."""
    wall = Wall()
    half = Half("shallow", 44.9)
    inside = evolve(WORKED, halves=(Half("deep", 45.0), half))
    assert halves_too_shallow(inside, wall=wall) == (half,)
