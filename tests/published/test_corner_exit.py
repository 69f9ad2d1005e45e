"""A 45 degree corner exit against the geometry of the inscribed circle.

The legs of a right triangle with two equal sides c; inradius r = (a + b - hypotenuse) / 2, from
Euclid's Elements IV.4 (a tangent from a corner is as long on both sides). So the largest bundle is
2 r = 2 c - c sqrt 2 = c (2 - sqrt 2).
"""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from fitkit.shell.corner_exit import (
    leg_for_bundle_mm,
    leg_for_plug_mm,
    lined_leg_mm,
    widest_bundle_mm,
)

LEGS = st.floats(1.0, 400.0)


@given(leg=LEGS)
def test_the_bundle_is_the_inscribed_circle(leg: float) -> None:
    """D = c (2 - sqrt 2), as the inradius formula (a + b - h) / 2 gives it."""
    assert widest_bundle_mm(leg) == pytest.approx(leg * (2 - math.sqrt(2)))
    assert widest_bundle_mm(leg) == pytest.approx(2 * leg - math.hypot(leg, leg))


@pytest.mark.parametrize("leg", [20.0, 51.2, 137.0])
def test_an_independent_inscribed_circle_has_that_diameter(leg: float) -> None:
    """GEOS' maximum inscribed circle of the triangle agrees within its tolerance."""
    corner = Polygon([(0, 0), (leg, 0), (0, leg)])
    radius = shapely.maximum_inscribed_circle(corner, tolerance=1e-3).length
    assert 2 * radius == pytest.approx(widest_bundle_mm(leg), abs=0.01)


@given(leg=LEGS)
def test_legs_for_a_bundle_are_the_inverse(leg: float) -> None:
    """A bundle as wide as legs pass asks for just these legs."""
    assert leg_for_bundle_mm(widest_bundle_mm(leg)) == pytest.approx(leg)


@given(width=st.floats(1.0, 60.0), height=st.floats(1.0, 60.0))
def test_a_plug_lies_in_the_corner_with_its_far_corner_on_the_cut(
    width: float, height: float
) -> None:
    """A w x h rectangle in the corner is covered with legs w + h, and not with a little less."""
    plug = shapely.box(0, 0, width, height)

    def passes(leg: float) -> bool:
        return bool(Polygon([(0, 0), (leg, 0), (0, leg)]).buffer(1e-6).covers(plug))

    leg = leg_for_plug_mm(width, height)
    assert passes(leg)
    assert not passes(leg - 0.01)


@given(leg=st.floats(20.0, 200.0), lining=st.floats(0.0, 4.0))
def test_a_lining_all_round_shrinks_the_circle_by_its_thickness(leg: float, lining: float) -> None:
    """Lined all round with e, the inscribed circle loses 2 e, until nothing is left."""
    clear = lined_leg_mm(leg, lining_mm=lining, all_round=True)
    assert widest_bundle_mm(clear) == pytest.approx(
        max(0.0, widest_bundle_mm(leg) - 2 * lining), abs=1e-9
    )


@given(leg=st.floats(20.0, 200.0), lining=st.floats(0.0, 4.0))
def test_a_lining_of_the_sloping_edge_moves_it_in_by_its_thickness(
    leg: float, lining: float
) -> None:
    """The distance from the corner to the cut, c / sqrt 2, loses just the lining."""
    clear = lined_leg_mm(leg, lining_mm=lining, all_round=False)
    assert clear / math.sqrt(2) == pytest.approx(leg / math.sqrt(2) - lining)
