"""What the strategies draw is valid: a fault found with them is a fault of the code."""

from __future__ import annotations

import shapely
from hypothesis import given, settings

from fitkit.payload.model import Body, Payload
from fitkit.payload.pose import body_size
from strategies import bodies, outlines, payloads


@given(outlines())
def test_outlines_are_valid(outline: shapely.Polygon) -> None:
    """One valid piece with its box at the origin, big enough to hold."""
    assert outline.is_valid
    assert outline.area > 20
    assert outline.bounds[:2] == (0.0, 0.0)


@settings(deadline=None)
@given(bodies())
def test_bodies_are_in_one_piece(body: Body) -> None:
    """Sections have height, start at 0, 0, 0, and each shares an area with the one before."""
    assert min(s.z0_mm for s in body.sections) == 0
    x0, y0, _, _ = shapely.total_bounds([s.outline for s in body.sections])
    assert abs(x0) < 1e-9
    assert abs(y0) < 1e-9
    assert min(body_size(body)) > 0
    for lower, upper in zip(body.sections[:-1], body.sections[1:], strict=True):
        assert upper.z0_mm <= lower.z1_mm < upper.z1_mm
        assert upper.outline.intersection(lower.outline).area > 1e-3


@settings(deadline=None, max_examples=50)
@given(payloads(max_items=4))
def test_payloads_have_unlike_names(payload: Payload) -> None:
    """Names differ, there is at least one item and no more than asked."""
    names = [item.name for item in payload.items]
    assert 1 <= len(names) <= 4
    assert len(set(names)) == len(names)
