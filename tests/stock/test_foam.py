"""Foam layers on sheets: inside, apart by the gap, and on no more sheets than need be."""

from __future__ import annotations

import itertools

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate

from fitkit.errors import BadInput
from fitkit.foam.model import Layer
from fitkit.stock.foam import cut_foam
from fitkit.stock.model import FoamPlan


def layer(index: int, outline: shapely.Polygon) -> Layer:
    """A layer of 20 mm without pockets."""
    return Layer("deep", index, 0.0, 20.0, "foam", outline, ())


def boxes(sizes: list[tuple[float, float]]) -> list[Layer]:
    """Rectangular layers."""
    return [layer(n, shapely.box(0, 0, a, b)) for n, (a, b) in enumerate(sizes, 1)]


def check(plan: FoamPlan, layers: list[Layer], gap_mm: float) -> None:
    """A checker of its own: every layer once, as laid inside its sheet and apart by the gap."""
    known = {one.name: one for one in layers}
    names = [laid.layer for sheet in plan.sheets for laid in sheet.layers]
    assert sorted(names) == sorted(known)
    for sheet in plan.sheets:
        whole = shapely.box(0, 0, sheet.length_mm, sheet.width_mm).buffer(1e-3)
        bodies = []
        for laid in sheet.layers:
            turned = rotate(known[laid.layer].outline, laid.turn_deg, origin=(0, 0))
            left, low, _, _ = turned.bounds
            bodies.append(translate(turned, laid.x_mm - left, laid.y_mm - low))
        assert all(whole.contains(body) for body in bodies)
        for one, other in itertools.combinations(bodies, 2):
            assert one.distance(other) >= gap_mm - 2e-3
            assert one.intersection(other).area < 1e-2
    assert plan.bound <= len(plan.sheets) <= plan.first_fit
    assert plan.proven == (plan.bound == len(plan.sheets))


@settings(max_examples=15, deadline=None)
@given(
    sizes=st.lists(st.tuples(st.integers(20, 95), st.integers(20, 60)), min_size=1, max_size=5),
    gap=st.sampled_from((0.0, 3.0)),
)
def test_layers_are_inside_and_apart(sizes: list[tuple[float, float]], gap: float) -> None:
    """Boxes of any size: few sheets, all of it proven for so few."""
    layers = boxes(sizes)
    plan = cut_foam(layers, thickness_mm=20.0, material="foam", sheet_mm=(100.0, 70.0), gap_mm=gap)
    check(plan, layers, gap)
    assert plan.proven


def test_a_pinwheel_fills_one_sheet() -> None:
    """Four of 60 x 40 lie around a hole in 100 x 100: no sawn cut would do."""
    layers = boxes([(60.0, 40.0)] * 4)
    plan = cut_foam(layers, thickness_mm=20.0, material="foam", sheet_mm=(100.0, 100.0), gap_mm=0.0)
    check(plan, layers, 0.0)
    assert (len(plan.sheets), plan.proven) == (1, True)


def test_outlines_are_nested_where_their_boxes_are_too_large() -> None:
    """Two triangles make one sheet of 200 x 110, their boxes would take two."""
    triangle = shapely.Polygon([(0, 0), (180, 0), (0, 100)])
    layers = [layer(1, triangle), layer(2, triangle)]
    plan = cut_foam(layers, thickness_mm=20.0, material="foam", sheet_mm=(200.0, 110.0), gap_mm=2.0)
    check(plan, layers, 2.0)
    assert (len(plan.sheets), plan.proven) == (1, True)


def test_layers_too_large_for_a_sheet_are_named() -> None:
    """Both, with millimetres and the sheet that would do."""
    with pytest.raises(BadInput) as caught:
        cut_foam(
            boxes([(500.0, 90.0), (90.0, 90.0), (300.0, 210.0)]), thickness_mm=20.0,
            material="foam", sheet_mm=(400.0, 200.0), gap_mm=3.0,
        )  # fmt: skip
    texts = [str(fault) for fault in caught.value.faults]
    assert len(texts) == 2
    assert "foam 20, layer deep-01" in texts[0]
    assert "100 mm too large" in texts[0]
    assert "10 mm too large" in texts[1]


def test_no_layers() -> None:
    """Nothing is laid on nothing."""
    plan = cut_foam([], thickness_mm=5.0, material="accent", sheet_mm=(9.0, 9.0), gap_mm=0.0)
    assert (plan.what, plan.sheets, plan.proven) == ("accent 5", (), True)
