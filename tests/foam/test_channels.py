"""Channels: plugs, cables and air get their room, up to where the item is lifted out."""

from __future__ import annotations

import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from fitkit.foam.channels import joined, run_out
from fitkit.foam.layers import make_foam
from fitkit.foam.model import Foam
from fitkit.geometry.shapes import circle
from fitkit.payload.model import CaseWishes, FoamWishes, Zone
from foam_kits import Kit, block, kit_of, plain

PLUG = Zone("connector", "right", (30, 20), (16, 12), 40.0)


def foam_of(kit: Kit) -> Foam:
    """The kit's foam."""
    return make_foam(kit.payload, interior=kit.interior, placements=kit.placements)[1]


def test_open_to_the_top_of_the_tier() -> None:
    """A plug's channel is cut in its own layer and in every layer above, in none below."""
    kit = kit_of(
        block("recorder", 100, 60, 70, zones=(PLUG,)), depths=(100.0, 30.0), at=((50, 50, 30.0),),
        foam=FoamWishes(sheets_mm=(10.0,), notch=None),
    )  # fmt: skip
    foam = foam_of(kit)
    with_channel = [
        la.z0_mm
        for la in foam.layers
        if la.half == "deep" and any(c.kind == "channel" for c in la.cutouts)
    ]
    assert with_channel == [40.0, 50.0, 60.0, 70.0, 80.0, 90.0]
    room = shapely.box(150, 72, 190, 88)
    for layer in foam.layers:
        if layer.z0_mm in with_channel and layer.half == "deep":
            assert layer.shape.intersection(room).area < 1e-6


def test_joined_to_a_round_pocket() -> None:
    """Between a round body and the zone at its box no wall of foam is left."""
    zone = Zone("cable", "right", (65, 20), (16, 12), 40.0)
    kit = kit_of(plain(circle(40, at=(40, 40)), 60, "float", zones=(zone,)), at=((50, 50, 30.0),))
    layer = [la for la in foam_of(kit).layers if la.half == "deep" and la.cutouts][-1]
    void = shapely.union_all([c.shape for c in layer.cutouts])
    assert void.geom_type == "Polygon"
    assert joined(shapely.box(50, 0, 60, 5), shapely.Point(0, 2).buffer(10)).covers(
        shapely.box(10, 1, 50, 4)
    )


def test_zone_above_the_closing_plane_is_let_into_the_lid() -> None:
    """A cable that stands up past the closing plane gets a relief in the other half."""
    zone = Zone("cable", "top", (30, 30), (20, 20), 30.0)
    kit = kit_of(
        block("probe", 60, 60, 50, zones=(zone,)), depths=(90.0, 50.0), at=((50, 50, 30.0),)
    )
    lid = [la for la in foam_of(kit).layers if la.half == "shallow" and la.cutouts]
    assert lid
    assert {c.kind for la in lid for c in la.cutouts} == {"relief"}
    assert min(la.z0_mm for la in lid) == 90.0
    assert max(la.z1_mm for la in lid) >= 110.0
    assert all(la.shape.intersection(shapely.box(70, 70, 90, 90)).area < 1e-6 for la in lid)


def test_lower_tier_stops_at_the_upper_one() -> None:
    """Channels of tier 1 end under tier 2's tray, which stays whole there."""
    kit = kit_of(
        block("recorder", 100, 60, 30, zones=(PLUG,)), block("lamp", 80, 60, 30),
        depths=(110.0, 30.0), at=((50, 50, 30.0), (250, 50, 80.0)), tiers=(1, 2),
        case=CaseWishes(tiers=2), foam=FoamWishes(notch=None),
    )  # fmt: skip
    foam = foam_of(kit)
    cut = [la for la in foam.layers if any(c.item == "recorder" for c in la.cutouts)]
    assert max(la.z1_mm for la in cut) <= 70.0


@given(st.floats(0.0, 90.0), st.floats(0.0, 7.5))
def test_a_slanted_zone_leaves_no_wedge_at_the_edge(turn_deg: float, gap_mm: float) -> None:
    """However a plug's room stands to the edge near it, the foam beside its way out is thick."""
    edge = shapely.box(0.0, 0.0, 200.0, 150.0)
    zone = affinity.rotate(shapely.box(90.0, 40.0, 110.0, 80.0), turn_deg)
    zone = affinity.translate(zone, 0.0, gap_mm - zone.bounds[1])
    foam = edge.difference(run_out(zone, edge=edge, least_mm=8.0))
    near = foam.intersection(shapely.box(0.0, 0.0, 200.0, 8.0))
    thick = shapely.buffer(shapely.buffer(foam, -3.9, join_style="mitre"), 3.9, join_style="mitre")
    assert shapely.difference(near, thick).area < 2.0
