"""The finished lining keeps the promises of the house, whatever the kit."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from shapely.geometry.base import BaseGeometry

from fitkit.fit.place import Placed, place_all
from fitkit.foam.cutting import method_for
from fitkit.foam.layers import make_foam
from fitkit.foam.model import Foam, Layer
from fitkit.geometry.shapes import circle
from fitkit.payload.model import Body, CaseWishes, Clearance, FoamWishes, Item, Section
from foam_kits import Kit, block, kit_of, kits, plain

CALM = settings(deadline=None, max_examples=10, suppress_health_check=list(HealthCheck))
HAIR_MM2 = 0.02


def lined(kit: Kit) -> tuple[tuple[Placed, ...], Foam]:
    """The kit's items where they are settled, and its foam."""
    settled, foam = make_foam(kit.payload, interior=kit.interior, placements=kit.placements)
    return place_all(kit.payload, settled), foam


def void(layer: Layer, one: Placed | None = None) -> BaseGeometry:
    """What is cut out of a layer, in all or for one copy."""
    return shapely.union_all(
        [
            cut.shape
            for cut in layer.cutouts
            if one is None or (cut.item, cut.copy) == (one.placement.item, one.placement.copy)
        ]
    )


def bare(shape: BaseGeometry, allowance_mm: float) -> BaseGeometry:
    """The least that must be free for ``shape``: shapely's own (inscribed) offset."""
    return shapely.buffer(shape, allowance_mm) if allowance_mm else shape


def hidden(shape: BaseGeometry) -> bool:
    """Nothing is left of a shape but hairs thinner than 0.01 mm: the exactness of a plan."""
    return shape.area < HAIR_MM2 or bool(shape.buffer(-0.005).is_empty)


def half_of(layer: Layer, kit: Kit) -> int:
    """0 for the half that stands, 1 for the half that hangs."""
    return [half.name for half in kit.interior.halves].index(layer.half)


def own_heights(layer: Layer, kit: Kit) -> tuple[float, float]:
    """A layer's heights above its own half's floor."""
    if half_of(layer, kit) == 0:
        return layer.z0_mm, layer.z1_mm
    top = kit.interior.height_mm
    return top - layer.z1_mm, top - layer.z0_mm


@CALM
@given(kits())
def test_pocket_contains_item(kit: Kit) -> None:
    """Every pocket contains its item with its allowance, in every layer it crosses."""
    placed, foam = lined(kit)
    for layer in foam.layers:
        for one in placed:
            if one.placement.half != layer.half:
                continue
            section = bare(
                one.solid.section(layer.z0_mm, layer.z1_mm), kit.payload.foam.allowance_mm
            )
            if section.is_empty:
                continue
            inside = section.intersection(layer.outline)
            assert hidden(inside.difference(void(layer, one))), (layer.name, one.label)


@CALM
@given(kits())
def test_no_foam_in_bodies_or_zones(kit: Kit) -> None:
    """Outside the snug allowance no foam of either half stands in a body, and none in a zone."""
    placed, foam = lined(kit)
    snug = min(0.0, kit.payload.foam.allowance_mm)
    for layer in foam.layers:
        shape = layer.shape
        for one in placed:
            body = bare(one.solid.section(layer.z0_mm, layer.z1_mm), snug)
            assert hidden(shape.intersection(body)), (layer.name, one.label)
            for room in one.solid.rooms:
                if room.z0_mm < layer.z1_mm - 1e-6 and room.z1_mm > layer.z0_mm + 1e-6:
                    assert hidden(shape.intersection(room.outline)), (layer.name, room)


@CALM
@given(kits())
def test_lifts_straight_out(kit: Kit) -> None:
    """On the way to its tier's top an item meets no foam wider than its own snug fit."""
    placed, foam = lined(kit)
    for one in placed:
        mine = [la for la in foam.layers if la.half == one.placement.half]
        splits = [n for n in foam.notes if f"{one.placement.half} half: tier" in n]
        if len(splits) >= one.placement.tier:
            split = float(splits[one.placement.tier - 1].split("tray split at ")[1].split(" mm")[0])
        else:
            split = max(own_heights(la, kit)[1] for la in mine)
        for layer in mine:
            low, high = own_heights(layer, kit)
            if high > split + 1e-6:
                continue
            below = [
                band.shape
                for band in one.solid.bands
                if (band.z0_mm if half_of(layer, kit) == 0 else kit.interior.height_mm - band.z1_mm)
                < high - 1e-6
            ]
            for shape in below:
                need = bare(shape, kit.payload.foam.allowance_mm).intersection(layer.outline)
                assert hidden(need.difference(void(layer, one))), (layer.name, one.label)
            assert low < high


@CALM
@given(kits())
def test_stack_of_real_sheets(kit: Kit) -> None:
    """Layers are sheets on the shelf, stacked without gaps from the half's floor; air is noted."""
    _, foam = lined(kit)
    wishes = kit.payload.foam
    for half in kit.interior.halves:
        mine = [la for la in foam.layers if la.half == half.name]
        assert [la.index for la in mine] == list(range(1, len(mine) + 1))
        at = 0.0
        for layer in mine:
            low, high = own_heights(layer, kit)
            assert low == pytest.approx(at, abs=1e-6)
            at = high
            if layer.material == "accent":
                assert layer.thickness_mm == pytest.approx(wishes.accent_mm)
            else:
                assert any(abs(layer.thickness_mm - s) < 1e-6 for s in wishes.sheets_mm)
        assert at <= half.depth_mm + 1e-6
        if at < half.depth_mm - 1e-6:
            assert any(f"{half.name} half" in n and "air" in n for n in foam.notes)


@CALM
@given(kits())
def test_items_stand_on_boundaries(kit: Kit) -> None:
    """Every item stands on a layer boundary with its floor pad under it, or a note says how."""
    placed, foam = lined(kit)
    clear = kit.payload.case.clearance
    for before, one in zip(kit.placements, placed, strict=True):
        hangs = one.placement.half == "shallow"
        z = kit.interior.height_mm - one.solid.z1_mm if hangs else one.solid.z0_mm
        edges = {0.0}
        for layer in foam.layers:
            if layer.half == one.placement.half:
                edges.update(round(v, 4) for v in own_heights(layer, kit))
        if not any(one.label in n and "packing piece" in n for n in foam.notes):
            assert round(z, 4) in edges, (one.label, z, edges)
        if one.placement.tier == 1:
            assert z >= clear.floor_mm - 1e-6
        if not one.item.proud:
            assert one.solid.z1_mm <= kit.interior.closing_mm + 1e-6 or hangs
        assert (before.x_mm, before.y_mm, before.turn_deg, before.up) == (
            one.placement.x_mm,
            one.placement.y_mm,
            one.placement.turn_deg,
            one.placement.up,
        )


@CALM
@given(kits())
def test_relief_leaves_the_lid_clearance(kit: Kit) -> None:
    """Above a proud item at least the lid clearance of foam stays uncut, or a note says not."""
    placed, foam = lined(kit)
    for one in placed:
        if len(kit.interior.halves) < 2 or one.solid.z1_mm <= kit.interior.closing_mm + 1e-6:
            continue
        if one.placement.half != "deep" or any("relief in" in n for n in foam.notes):
            continue
        high_zone = max((r.z1_mm for r in one.solid.rooms), default=0.0)
        if high_zone > one.solid.z1_mm:
            continue  # a zone above the item may go through the lid's foam
        whole = sum(
            la.thickness_mm for la in foam.layers if la.half == "shallow" and void(la, one).is_empty
        )
        assert whole >= kit.payload.case.clearance.lid_mm - 1e-6


@CALM
@given(kits())
def test_tool_reaches_every_cut(kit: Kit) -> None:
    """A disc of the tool's radius sweeps all that is cut out, up to a tool's own exactness."""
    _, foam = lined(kit)
    radius = method_for(kit.payload.foam).inner_radius_mm
    if radius == 0:
        return
    for layer in foam.layers:
        outside = layer.outline.buffer(20, join_style="mitre").difference(layer.outline)
        free = shapely.union_all([void(layer).buffer(1e-6), outside])
        swept = free.buffer(-radius + 0.03, quad_segs=32).buffer(radius, quad_segs=32)
        missed = free.difference(swept).intersection(layer.outline)
        assert missed.buffer(-0.03).area < HAIR_MM2, layer.name


@CALM
@given(kits())
def test_cutouts_lie_in_their_layer(kit: Kit) -> None:
    """Cut-outs are simple polygons within the sheet's edge, and the sheet within the interior."""
    _, foam = lined(kit)
    for layer in foam.layers:
        for z in np.linspace(layer.z0_mm, layer.z1_mm, 3):
            assert layer.outline.difference(kit.interior.outline_at(float(z))).area < 1e-6
        for cut in layer.cutouts:
            assert cut.shape.is_valid
            assert not cut.shape.is_empty
            assert cut.shape.difference(layer.outline).area < 1e-6


@CALM
@given(kits())
def test_sheets_counted(kit: Kit) -> None:
    """Sheets to cut are the layers, no more and no less, and the same foam comes out twice."""
    _, foam = lined(kit)
    asked = Counter((round(la.thickness_mm, 6), la.material) for la in foam.layers)
    assert {(s.thickness_mm, s.material): s.pieces for s in foam.sheets} == dict(asked)
    total = sum(la.outline.area for la in foam.layers)
    assert sum(s.area_mm2 for s in foam.sheets) == pytest.approx(total)
    assert lined(kit)[1] == foam


def test_proud_item_gets_a_relief() -> None:
    """An item 8 mm proud is let into the lid: 10 mm cut with room at its sides, the rest whole."""
    kit = kit_of(
        block("lamp", 100, 60, 68), depths=(90.0, 30.0), at=((100, 100, 30.0),),
        foam=FoamWishes(sheets_mm=(10.0, 20.0, 30.0)),
    )  # fmt: skip
    _, foam = lined(kit)
    lid = [la for la in foam.layers if la.half == "shallow"]
    assert [(la.thickness_mm, len(la.cutouts)) for la in lid] == [(20.0, 0), (10.0, 1)]
    cut = lid[1].cutouts[0]
    assert cut.kind == "relief"
    assert cut.shape.covers(shapely.box(100, 100, 200, 160).buffer(2.0))
    assert cut.shape.difference(shapely.box(97.9, 97.9, 202.1, 162.1)).is_empty


def test_accent_shows_under_the_pockets() -> None:
    """A thin sheet of another colour lies whole right under the pockets of each tier."""
    kit = kit_of(
        block("recorder", 100, 60, 30), block("lamp", 80, 60, 30),
        depths=(115.0, 30.0), at=((50, 50, 25.0), (50, 50, 80.0)), tiers=(1, 2),
        foam=FoamWishes(accent_mm=5.0), case=CaseWishes(tiers=2),
    )  # fmt: skip
    placed, foam = lined(kit)
    accents = [la for la in foam.layers if la.material == "accent"]
    assert [la.z1_mm for la in accents] == [one.solid.z0_mm for one in placed]
    assert all(not la.cutouts for la in accents)


def test_accent_that_does_not_add_up_is_said() -> None:
    """Where an accent thickness spoils the sum it is left out, and the notes say so."""
    kit = kit_of(
        block("recorder", 100, 60, 60), depths=(90.0, 30.0), at=((50, 50, 30.0),),
        foam=FoamWishes(accent_mm=3.0), case=CaseWishes(clearance=Clearance(floor_mm=30.0)),
    )  # fmt: skip
    _, foam = lined(kit)
    assert all(la.material == "foam" for la in foam.layers)
    assert any("accent layer of 3 mm" in note for note in foam.notes)


def test_snug_island_and_loose_piece() -> None:
    """A ring's core stays as a loose piece of foam that is to be glued down; a narrow one goes."""
    wide = circle(50, at=(50, 50)).difference(circle(15, at=(50, 50)))
    thin = circle(30, at=(30, 30)).difference(circle(3, at=(30, 30)))
    kit = kit_of(
        plain(wide, 40, "float"), plain(thin, 40, "washer"), depths=(70.0, 30.0),
        at=((40, 40, 30.0), (220, 40, 30.0)), foam=FoamWishes(notch=None),
    )  # fmt: skip
    _, foam = lined(kit)
    top = next(la for la in foam.layers if la.half == "deep" and la.cutouts)
    pieces = shapely.get_parts(top.shape)
    assert sorted(round(p.area) for p in pieces)[0] == pytest.approx(np.pi * 15**2, rel=0.01)
    assert len(pieces) == 2
    assert any(top.name in note and "1 loose piece" in note for note in foam.notes)


def test_wide_foot_under_a_narrow_neck_lifts_out() -> None:
    """The pocket beside a narrow neck is as wide as the foot that must pass there."""
    foot = Section(shapely.box(0, 0, 80, 60), 0.0, 20.0)
    neck = Section(shapely.box(30, 20, 50, 40), 20.0, 60.0)
    kit = kit_of(
        Item("lamp", Body((foot, neck))), depths=(90.0, 30.0), at=((50, 50, 30.0),),
        foam=FoamWishes(sheets_mm=(10.0, 20.0, 30.0)),
    )  # fmt: skip
    _, foam = lined(kit)
    crossed = [la for la in foam.layers if la.half == "deep" and la.z1_mm > 30.0]
    assert len(crossed) > 1
    for layer in crossed:
        assert void(layer).covers(shapely.box(50, 50, 130, 110))


def test_who_stands_through_a_tier_lifts_out_through_it() -> None:
    """A mast that ends half way up the second tier has nothing but air above it in that tier.

    Mast 75 mm from 30 mm up, the floor of tier 2 at 90 mm, its top 140 mm, in sheets of 10 mm.
    """
    kit = kit_of(
        block("mast", 40, 40, 75),
        block("recorder", 100, 80, 50),
        block("tablet", 100, 80, 50),
        depths=(140.0, 30.0),
        at=((30, 30, 30), (120, 30, 30), (120, 30, 90)),
        tiers=(1, 1, 2),
        foam=FoamWishes(sheets_mm=(10.0,)),
    )
    placed, foam = lined(kit)
    mast = placed[0]
    above = [layer for layer in foam.layers if 100.0 <= layer.z0_mm < 140.0]
    assert len(above) == 4
    for layer in above:
        assert hidden(mast.solid.silhouette.difference(void(layer, mast))), layer.name


def test_a_tier_of_none_but_those_who_stand_through_it_has_its_pockets() -> None:
    """A mast alone on tier 1 reaches up through tier 2, whose floor is only a pad higher.

    Its pocket is snug, as any other: it belongs to the block that is lifted out with it.
    """
    kit = kit_of(
        block("mast", 40, 40, 75),
        block("recorder", 100, 80, 50),
        depths=(120.0, 30.0),
        at=((30, 30, 30), (120, 30, 40)),
        tiers=(1, 2),
        foam=FoamWishes(sheets_mm=(10.0,)),
    )
    placed, foam = lined(kit)
    for one in placed:
        label = (one.placement.item, one.placement.copy)
        kinds = [c.kind for la in foam.layers for c in la.cutouts if (c.item, c.copy) == label]
        assert "pocket" in kinds, one.label
        for layer in foam.layers:
            section = one.solid.section(layer.z0_mm, layer.z1_mm)
            if layer.half != one.placement.half or section.is_empty:
                continue
            # snug: no wider than the item by more than the corners of its pocket
            assert void(layer, one).area < 1.02 * section.area + 24 * 22 * 2.5


def test_a_low_item_that_may_stand_proud_is_not_raised_out_of_its_foam() -> None:
    """Beside a tall one it is raised to be grabbed, but one sheet of its half still holds it.

    The deep half ends at 60 mm; the tall item reaches 110 mm, so there is headroom for 40 mm more.
    """
    kit = kit_of(
        block("mast", 40, 40, 80, proud=True),
        block("probe", 60, 40, 40, proud=True),
        depths=(60.0, 80.0),
        at=((30, 30, 30), (120, 30, 30)),
        foam=FoamWishes(sheets_mm=(10.0,)),
    )
    placed, foam = lined(kit)
    assert placed[1].solid.z0_mm <= 50.0
    pockets = {c.item for la in foam.layers for c in la.cutouts if c.kind == "pocket"}
    assert pockets == {"mast", "probe"}
