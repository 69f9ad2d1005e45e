"""Pockets: wide enough, and cuttable by the tool."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.foam.cutting import Method, method_for
from fitkit.foam.pockets import cuttable, eased, pocket, without_tongues
from fitkit.geometry.shapes import circle, moved, rectangle
from fitkit.payload.model import FoamWishes
from strategies import outlines

KNIFE = method_for(FoamWishes())
ROUTER = method_for(FoamWishes(cutting="router", tool_mm=6.0))
METHODS = (KNIFE, ROUTER, method_for(FoamWishes(cutting="hot wire")))


@settings(deadline=None, max_examples=30)
@given(
    outlines(),
    st.sampled_from(METHODS),
    st.sampled_from((-1.0, -0.5, 0.0, 0.5, 1.0)),
    st.sampled_from((0.0, 33.0, 90.0)),
)
def test_pocket_covers_the_item_with_its_allowance(
    outline: shapely.Polygon, method: Method, allowance: float, turn: float
) -> None:
    """The pocket covers shapely's own offset of the item by the allowance."""
    section = moved(outline, turn_deg=turn)
    asked = shapely.buffer(section, allowance) if allowance else section
    cut = shapely.union_all(pocket(section, allowance_mm=allowance, method=method))
    assert asked.difference(cut).area < 0.01


@settings(deadline=None, max_examples=30)
@given(outlines(), st.sampled_from((ROUTER, METHODS[2])), st.sampled_from((0.0, 33.0)))
def test_tool_sweeps_the_pocket(outline: shapely.Polygon, method: Method, turn: float) -> None:
    """Opening the pocket by the tool's radius loses nothing but hairs of 0.03 mm."""
    cut = shapely.union_all(pocket(moved(outline, turn_deg=turn), allowance_mm=0.0, method=method))
    radius = method.inner_radius_mm
    swept = cut.buffer(-radius + 0.03, quad_segs=32).buffer(radius, quad_segs=32)
    assert cut.difference(swept).buffer(-0.03).is_empty


def test_corner_relief_of_a_square_corner() -> None:
    """A 6 mm tool in a square corner: a circle through the corner, 0.88 mm past each side.

    Geometry: centre on the bisector at the tool's radius, so r (1 - sin 45 deg) past a side.
    """
    cut = cuttable(shapely.box(0, 0, 60, 40), ROUTER)
    bulge = 3.0 * (1 - math.sin(math.radians(45)))
    assert cut.bounds == pytest.approx((-bulge, -bulge, 60 + bulge, 40 + bulge), abs=0.02)
    assert ROUTER.corner_take_mm == pytest.approx(bulge)
    assert cut.covers(shapely.box(0, 0, 60, 40))
    # at each corner the circle cuts off two segments of a quarter turn beyond the sides
    assert cut.area == pytest.approx(2400 + 8 * 9.0 / 2 * (math.pi / 2 - 1), abs=0.3)


def test_knife_keeps_sharp_corners() -> None:
    """A knife cuts sharp corners by overcut: the drawn pocket is the item's own outline."""
    outline = shapely.box(0, 0, 60, 40)
    assert pocket(outline, allowance_mm=0.0, method=KNIFE)[0].equals(outline)


def test_round_corner_of_the_tool_needs_no_relief() -> None:
    """Corners as round as the tool, or rounder, are left as they are."""
    outline = rectangle(60, 40, corner_mm=3.2)
    assert cuttable(outline, ROUTER).difference(outline).area < 0.01


def test_slot_narrower_than_the_tool_is_widened() -> None:
    """A 2 mm blade gets a slot that a 6 mm tool can pass."""
    cut = cuttable(shapely.box(0, 0, 80, 2), ROUTER)
    assert cut.covers(shapely.box(0, 0, 80, 2))
    assert shapely.maximum_inscribed_circle(cut).length >= 3.0 - 0.01


def test_thin_part_is_not_squeezed() -> None:
    """Snug by 1 mm, but an antenna of 1.5 mm keeps its slot instead of losing it."""
    body = shapely.union_all([shapely.box(0, 0, 60, 40), shapely.box(20, 40, 21.5, 90)])
    snug = eased(body, -1.0)
    assert snug.covers(shapely.box(20.1, 42, 21.4, 89.9))
    assert not snug.covers(shapely.box(0.5, 10, 10, 20))


def test_islands_stay_only_where_they_can_stand() -> None:
    """A ring's core of 30 mm stays; one of 4 mm goes; so does a tongue of 5 mm between bars."""
    ring = circle(40).difference(circle(15))
    assert len(pocket(ring, allowance_mm=0.0, method=KNIFE)[0].interiors) == 1
    tight = circle(40).difference(circle(2))
    assert len(pocket(tight, allowance_mm=0.0, method=KNIFE)[0].interiors) == 0
    fork = shapely.union_all(
        [shapely.box(0, 0, 10, 60), shapely.box(15, 0, 25, 60), shapely.box(0, 0, 25, 10)]
    )
    assert without_tongues(fork, KNIFE).covers(shapely.box(10, 10, 15, 55))
    wide = shapely.union_all(
        [shapely.box(0, 0, 10, 60), shapely.box(40, 0, 50, 60), shapely.box(0, 0, 50, 10)]
    )
    assert without_tongues(wide, KNIFE).equals(wide)
