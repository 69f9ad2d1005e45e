"""Finger notches: where there is room, and nowhere else."""

from __future__ import annotations

import shapely
from hypothesis import HealthCheck, given, settings

from fitkit.foam.cutting import method_for
from fitkit.foam.layers import make_foam
from fitkit.foam.model import Cutout, Foam
from fitkit.foam.notches import GRIP_MM
from fitkit.geometry.shapes import circle
from fitkit.payload.model import FoamWishes, Notch, Zone
from foam_kits import Kit, block, kit_of, kits, plain


def foam_of(kit: Kit) -> Foam:
    """The kit's foam."""
    return make_foam(kit.payload, interior=kit.interior, placements=kit.placements)[1]


def notches(foam: Foam, item: str) -> dict[str, list[Cutout]]:
    """An item's notches by layer."""
    found: dict[str, list[Cutout]] = {}
    for layer in foam.layers:
        mine = [c for c in layer.cutouts if c.kind == "notch" and c.item == item]
        if mine:
            found[layer.name] = mine
    return found


def test_a_pair_across_the_long_sides() -> None:
    """With room all round, two notches face each other in the middle of the long sides."""
    kit = kit_of(block("recorder", 120, 60, 50), depths=(80.0, 30.0), at=((140, 120, 30.0),))
    foam = foam_of(kit)
    (pair,) = notches(foam, "recorder").values()
    low, high = sorted(c.shape.bounds[1::2] for c in pair)
    assert round(low[0], 2) == 120 - 22
    assert round(high[1], 2) == 180 + 22
    assert {round(c.shape.centroid.x, 2) for c in pair} == {200.0}
    assert all(round(c.shape.bounds[2] - c.shape.bounds[0], 2) == 24 for c in pair)


def test_one_end_where_the_long_sides_are_taken() -> None:
    """Neighbours along both long sides leave the ends: the notches go there."""
    kit = kit_of(
        block("recorder", 120, 60, 50), block("lamp", 120, 60, 50), block("reel", 120, 60, 50),
        depths=(80.0, 30.0), size=(300.0, 290.0),
        at=((90, 115, 30.0), (90, 40, 30.0), (90, 190, 30.0)),
    )  # fmt: skip
    for cuts in notches(foam_of(kit), "recorder").values():
        assert {round(c.shape.centroid.y, 1) for c in cuts} == {145.0}


def test_no_room_is_said() -> None:
    """A pocket hemmed in on all sides gets no notch, and a note names it."""
    kit = kit_of(
        block("battery", 60, 40, 50), depths=(80.0, 30.0), size=(100.0, 80.0), at=((20, 20, 30.0),)
    )
    foam = foam_of(kit)
    assert notches(foam, "battery") == {}
    assert any("no room for a finger notch: battery" in note for note in foam.notes)


def test_only_as_deep_as_a_grip() -> None:
    """A notch is cut from the tier's top down to a grip below the item's top, no lower."""
    kit = kit_of(block("reel", 120, 60, 90), depths=(120.0, 30.0), at=((140, 120, 30.0),))
    foam = foam_of(kit)
    cut = [la for la in foam.layers if any(c.kind == "notch" for c in la.cutouts)]
    assert min(la.z0_mm for la in cut) <= 120.0 - GRIP_MM
    whole = [la for la in foam.layers if la.half == "deep" and la not in cut]
    assert max(la.z1_mm for la in whole) > 30.0 or len(cut) == 1
    assert all(c.shape.area > 0 for la in cut for c in la.cutouts)


def test_a_hand_zone_needs_no_notch() -> None:
    """Where the sheet gives an item room for a hand, no notch is added, nor missed."""
    zone = Zone("hand", "front", (60, 25), (80, 50), 40.0)
    kit = kit_of(
        block("recorder", 120, 60, 50, zones=(zone,)), depths=(80.0, 30.0), at=((140, 120, 30.0),)
    )
    foam = foam_of(kit)
    assert notches(foam, "recorder") == {}
    assert not any("finger notch" in note for note in foam.notes)


def test_no_notches_when_none_are_wished() -> None:
    """Without a notch in the sheet none is cut and none is missed."""
    kit = kit_of(
        block("recorder", 120, 60, 50), at=((140, 120, 30.0),), foam=FoamWishes(notch=None)
    )
    foam = foam_of(kit)
    assert notches(foam, "recorder") == {}
    assert not any("finger notch" in note for note in foam.notes)


def test_round_item_keeps_no_sliver() -> None:
    """A notch at a round pocket stands square to it: no wedge of foam is left beside it."""
    kit = kit_of(plain(circle(40, at=(40, 40)), 50, "float"), at=((150, 110, 30.0),))
    foam = foam_of(kit)
    assert notches(foam, "float")
    assert foam.webs == ()


@settings(deadline=None, max_examples=10, suppress_health_check=list(HealthCheck))
@given(kits())
def test_notches_keep_their_webs(kit: Kit) -> None:
    """No notch comes close to another item's cut-out or the edge, and each joins its pocket."""
    foam = foam_of(kit)
    least = method_for(kit.payload.foam).min_web_mm
    wish = kit.payload.foam.notch or Notch()
    for layer in foam.layers:
        for cut in layer.cutouts:
            if cut.kind != "notch":
                continue
            mine = [c for c in layer.cutouts if (c.item, c.copy) == (cut.item, cut.copy)]
            assert any(c.kind == "pocket" and c.shape.intersects(cut.shape) for c in mine)
            assert cut.shape.area < 3 * wish.width_mm * (wish.depth_mm + wish.width_mm)
            for other in layer.cutouts:
                if (other.item, other.copy) != (cut.item, cut.copy):
                    assert other.shape.distance(cut.shape) >= least - 0.01
            gap = shapely.distance(cut.shape, layer.outline.exterior)
            assert gap >= least - 0.01
