"""Narrow webs are found on the finished layer, with their width and place."""

from __future__ import annotations

import pytest
import shapely
from attrs import evolve
from hypothesis import HealthCheck, given, settings

from fitkit.fit.place import place_all
from fitkit.foam.cutting import method_for
from fitkit.foam.layers import make_foam
from fitkit.foam.model import Foam, Layer, Web
from fitkit.foam.webs import EDGE, WebRule, lost_to_opening
from fitkit.payload.model import CaseWishes, Clearance, FoamWishes, Zone
from foam_kits import Kit, block, kit_of, kits


def foam_of(kit: Kit) -> Foam:
    """The kit's foam."""
    return make_foam(kit.payload, interior=kit.interior, placements=kit.placements)[1]


def two(gap: float, foam: FoamWishes) -> Kit:
    """Two boxes beside each other, ``gap`` apart."""
    return kit_of(
        block("recorder", 100, 60, 40), block("lamp", 80, 60, 40),
        depths=(70.0, 30.0), at=((50, 50, 30.0), (150 + gap, 50, 30.0)), foam=foam,
    )  # fmt: skip


def test_width_and_place_of_a_thin_web() -> None:
    """Two items 9 mm apart where 15 are asked: one web of 9 mm, between them, in each layer."""
    foam = foam_of(two(9.0, FoamWishes(notch=None)))
    assert foam.webs
    for web in foam.webs:
        assert (web.left, web.right) == ("lamp", "recorder")
        assert (web.width_mm, web.limit_mm) == (9.0, 15.0)
        assert sorted((web.a_mm[0], web.b_mm[0])) == [150.0, 159.0]


def test_allowance_may_take_its_share() -> None:
    """Items 15 mm apart with pockets 1 mm wider each side leave 13: as asked, not thin."""
    assert foam_of(two(15.0, FoamWishes(notch=None, allowance_mm=1.0))).webs == ()
    thin = foam_of(two(14.0, FoamWishes(notch=None, allowance_mm=1.0))).webs
    assert [web.width_mm for web in thin] == [pytest.approx(12.0, abs=0.03)] * len(thin)
    assert thin
    assert {web.limit_mm for web in thin} == {13.0}


def test_snug_pockets_leave_more_foam() -> None:
    """A negative allowance widens webs; the web asked for stays the clearance."""
    assert foam_of(two(15.0, FoamWishes(notch=None, allowance_mm=-0.5))).webs == ()


def test_edge_is_a_neighbour() -> None:
    """A pocket 12 mm from the wall where 20 are asked: a web to the edge."""
    kit = kit_of(
        block("recorder", 100, 60, 40), depths=(70.0, 30.0), at=((12, 100, 30.0),),
        foam=FoamWishes(notch=None),
    )  # fmt: skip
    webs = foam_of(kit).webs
    assert {(w.left, w.right, w.width_mm, w.limit_mm) for w in webs} == {
        ("recorder", EDGE, 12.0, 20.0)
    }


def test_channel_to_the_wall_is_open() -> None:
    """A channel that would stop 4 mm short of the edge runs out through it; at 10 mm it stops."""

    def with_plug(depth: float) -> Foam:
        zone = Zone("connector", "left", (30, 20), (16, 12), depth)
        return foam_of(
            kit_of(
                block("recorder", 100, 60, 40, zones=(zone,)), depths=(70.0, 30.0),
                at=((40, 100, 30.0),), foam=FoamWishes(notch=None),
            )
        )  # fmt: skip

    def left_end(foam: Foam) -> float:
        return min(
            cut.shape.bounds[0]
            for layer in foam.layers
            for cut in layer.cutouts
            if cut.kind == "channel"
        )

    for depth, end in ((40.0, 0.0), (36.0, 0.0), (30.0, 10.0)):
        foam = with_plug(depth)
        assert foam.webs == ()
        assert left_end(foam) == end


def test_router_corners_may_take_their_share() -> None:
    """Corner relief circles bulge past the sides by 0.88 mm each: that much less is no fault."""
    router = FoamWishes(notch=None, cutting="router", tool_mm=6.0)
    assert foam_of(two(15.0, router)).webs == ()
    assert foam_of(two(12.0, router)).webs != ()


def brute(layer: Layer, kit: Kit, label: dict[tuple[str, int], str]) -> set[tuple[str, str]]:
    """All pairs of neighbours with less foam than the method needs, found by plain distances."""
    least = method_for(kit.payload.foam).min_web_mm
    void = shapely.union_all([c.shape for c in layer.cutouts])
    pairs = set()
    for i, one in enumerate(layer.cutouts):
        for other in layer.cutouts[i + 1 :]:
            if (one.item, one.copy) == (other.item, other.copy):
                continue
            line = shapely.shortest_line(one.shape, other.shape)
            if 0.05 < line.length < least - 0.05 and line.intersection(void).length < 0.01:
                names = sorted((label[(one.item, one.copy)], label[(other.item, other.copy)]))
                pairs.add((names[0], names[1]))
        line = shapely.shortest_line(one.shape, layer.outline.exterior)
        if 0.05 < line.length < least - 0.05 and line.intersection(void).length < 0.01:
            pairs.add((label[(one.item, one.copy)], EDGE))
    return pairs


@settings(deadline=None, max_examples=10, suppress_health_check=list(HealthCheck))
@given(kits())
def test_no_thin_web_goes_unreported(kit: Kit) -> None:
    """Plain distances find no pair with too little foam that is not in the report; nor more."""
    settled, foam = make_foam(kit.payload, interior=kit.interior, placements=kit.placements)
    label = {(p.placement.item, p.placement.copy): p.label for p in place_all(kit.payload, settled)}
    for layer in foam.layers:
        told = {
            (w.left, w.right) for w in foam.webs if (w.half, w.layer) == (layer.half, layer.index)
        }
        assert brute(layer, kit, label) <= told, layer.name


@settings(deadline=None, max_examples=10, suppress_health_check=list(HealthCheck))
@given(kits())
def test_layer_without_webs_survives_opening(kit: Kit) -> None:
    """A disc as wide as the method's narrowest web sweeps a layer that reports no web."""
    foam = foam_of(kit)
    least = method_for(kit.payload.foam).min_web_mm
    told: list[Web] = list(foam.webs)
    for layer in foam.layers:
        mine = [w for w in told if (w.half, w.layer) == (layer.half, layer.index)]
        for web in mine:
            assert web.width_mm < web.limit_mm
        if not mine:
            assert lost_to_opening(layer.shape, least - 0.1) == ()


def test_opening_finds_a_neck_and_no_corner() -> None:
    """Opening by 8 mm loses a neck of 6 mm, and neither square corners nor a neck of 9 mm."""
    room = shapely.box(0, 0, 100, 60)
    neck = room.difference(shapely.box(40, 6, 50, 60))
    assert [round(p.area) for p in lost_to_opening(neck, 8.0)] == [pytest.approx(60, abs=12)]
    assert lost_to_opening(room.difference(shapely.box(40, 9, 50, 60)), 8.0) == ()
    assert lost_to_opening(room, 8.0) == ()


def test_rule_is_never_below_what_the_method_needs() -> None:
    """A clearance of 5 mm does not make a web of 5 mm right for a knife."""
    kit = two(15.0, FoamWishes())
    case = CaseWishes(clearance=Clearance(item_mm=5.0))
    rule = WebRule.of(evolve(kit.payload, case=case), method_for(kit.payload.foam))
    assert rule.between("pocket", "pocket") == 8.0
