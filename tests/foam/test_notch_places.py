"""Notches where the builder put them: they travel, they are cut as asked, nothing is hidden."""

from __future__ import annotations

import math

import pytest
import shapely
from attrs import evolve
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.fit.move import find, plan_box, turned_to
from fitkit.foam.layers import make_foam
from fitkit.foam.model import Cutout, Foam, NotchAt, NotchesOf
from fitkit.foam.notch_edge import Edges, edge_place, edges_of, place_of, planned
from fitkit.foam.notch_places import as_planned, notched_with, to_case, to_own
from fitkit.foam.pockets import eased
from fitkit.geometry.shapes import circle
from fitkit.payload.model import FoamWishes
from foam_kits import Kit, block, kit_of, kits, plain

ME = ("recorder", 1)


def foam_of(kit: Kit, *notches: NotchesOf) -> Foam:
    """The kit's foam with notches of the builder's own."""
    return make_foam(
        kit.payload, interior=kit.interior, placements=kit.placements, notches=notches
    )[1]


def settled(kit: Kit) -> Kit:
    """The kit on its sheets."""
    places, _ = make_foam(kit.payload, interior=kit.interior, placements=kit.placements)
    return evolve(kit, placements=places)


def edges(kit: Kit) -> Edges:
    """The edges of its pockets."""
    return edges_of(kit.payload, interior=kit.interior, placements=kit.placements)


def notches(foam: Foam, key: tuple[str, int]) -> list[Cutout]:
    """A copy's notches in the topmost layer that has any."""
    found: list[Cutout] = []
    for layer in foam.layers:
        mine = [c for c in layer.cutouts if c.kind == "notch" and (c.item, c.copy) == key]
        if mine:
            found = mine
    return found


def void(foam: Foam) -> list[shapely.Geometry]:
    """What is taken out of each layer."""
    return [shapely.union_all([c.shape for c in layer.cutouts]) for layer in foam.layers]


def one_recorder(**foam: object) -> Kit:
    """A recorder with room all round, on its sheets."""
    wishes = FoamWishes(**foam)  # type: ignore[arg-type]  # by test
    block_of = block("recorder", 120, 60, 50, turn="quarter")
    kit = kit_of(block_of, depths=(80.0, 30.0), at=((140, 120, 30.0),), foam=wishes)
    return settled(kit)


def two() -> Kit:
    """Two blocks 30 mm apart, the recorder on the left."""
    return settled(
        kit_of(
            block("recorder", 120, 60, 50), block("lamp", 80, 60, 50),
            depths=(80.0, 30.0), at=((60, 120, 30.0), (210, 120, 30.0)),
        )
    )  # fmt: skip


@settings(deadline=None, max_examples=6, suppress_health_check=list(HealthCheck))
@given(kits())
def test_planned_notches_taken_over_are_cut_the_same(kit: Kit) -> None:
    """To choose just what is planned changes nothing in any layer, whatever the pocket's shape."""
    kit = settled(kit)
    plain_foam = foam_of(kit)
    own = planned(kit.payload, interior=kit.interior, placements=kit.placements)
    taken = foam_of(kit, *own)
    for one, other in zip(void(plain_foam), void(taken), strict=True):
        # within the 0.05 mm by which the planned ones simplify the pocket's edge
        assert one.symmetric_difference(other).buffer(-0.06).is_empty
    assert len(own) == len(kit.placements)


@settings(deadline=None, max_examples=6, suppress_health_check=list(HealthCheck))
@given(kits(), st.floats(0, 1), st.floats(0, 1), st.sampled_from((12.0, 24.0, 40.0)), st.data())
def test_a_notch_of_ones_own_is_cut_as_asked(kit: Kit, a, b, size, data) -> None:
    """Its pocket still holds the item and gains the notch; no other copy's cut-outs change."""
    kit = settled(kit)
    here = edges(kit)
    key = data.draw(st.sampled_from(sorted(here.stands)))
    before = foam_of(kit)
    at = (a * kit.interior.length_mm, b * kit.interior.width_mm)
    place = edge_place(here, before, key=key, at_mm=at, width_mm=size, depth_mm=size)
    assume(place is not None)
    after = foam_of(kit, NotchesOf(*key, (place.notch,)))
    names = {f"{half}-{index:02d}" for half, index in here.layers_of(key)}
    allowance = kit.payload.foam.allowance_mm
    for old, new in zip(before.layers, after.layers, strict=True):
        others = [(c.item, c.copy) != key for c in new.cutouts]
        kept = [c for c, other in zip(new.cutouts, others, strict=True) if other]
        shapes = {c.shape for c in kept if c.kind != "relief"}
        assert {c.shape for c in old.cutouts if (c.item, c.copy) != key and c.kind != "relief"} <= (
            shapes | {c.shape for c in new.cutouts}
        )
        gone = shapely.union_all([c.shape for c in new.cutouts])
        solid = here.stands[key].placed.solid
        body = solid.section(new.z0_mm, new.z1_mm)
        if new.half == here.stands[key].view.name and not body.is_empty:
            assert eased(body, min(0.0, allowance)).difference(gone).area < 0.5
        cut = [c for c in new.cutouts if c.kind == "notch" and (c.item, c.copy) == key]
        assert bool(cut) == (new.name in names)
        if cut:
            mine = shapely.union_all([c.shape for c in cut])
            assert place.shape.intersection(new.outline).difference(mine.buffer(0.05)).area < 0.5


@settings(deadline=None, max_examples=8, suppress_health_check=list(HealthCheck))
@given(kits(), st.floats(0, 1), st.floats(0, 1), st.sampled_from((12.0, 24.0, 50.0)), st.data())
def test_the_answer_while_it_moves_is_what_the_finished_layer_says(kit: Kit, a, b, size, data):
    """A web that the answer calls too thin is reported when it is cut, and as thin; and back."""
    kit = settled(kit)
    here = edges(kit)
    key = data.draw(st.sampled_from(sorted(here.stands)))
    before = foam_of(kit, NotchesOf(*key))
    at = (a * kit.interior.length_mm, b * kit.interior.width_mm)
    place = edge_place(here, before, key=key, at_mm=at, width_mm=size, depth_mm=size)
    assume(place is not None)
    after = foam_of(kit, NotchesOf(*key, (place.notch,)))
    label = here.stands[key].label
    mine = [w for w in after.webs if label in (w.left, w.right)]
    if not place.keeps:
        pair = sorted((place.web.left, place.web.right))
        same = [w for w in mine if sorted((w.left, w.right)) == pair]
        assert same
        assert min(w.width_mm for w in same) <= place.web.width_mm + 0.05
    known = {(w.layer, w.half, w.left, w.right, w.width_mm) for w in before.webs}
    new = [w for w in mine if (w.layer, w.half, w.left, w.right, w.width_mm) not in known]
    across = [w for w in new if w.left != w.right]
    if across and min(w.width_mm - w.limit_mm for w in across) < -0.5:
        slender = [w for w in across if w.limit_mm == here.rule.least_mm]
        assert not place.keeps or slender


@settings(deadline=None, max_examples=20, suppress_health_check=list(HealthCheck))
@given(
    st.floats(0, 359), st.floats(-300, 300), st.floats(-300, 300),
    st.floats(-10, 130), st.floats(-10, 70),
)  # fmt: skip
def test_own_frame_and_back(turn, x, y, u, v) -> None:
    """A place in the item's frame is the same point of the item however that is moved or turned."""
    kit = one_recorder()
    place = evolve(kit.placements[0], turn_deg=turn, x_mm=x, y_mm=y)
    moved_kit = evolve(kit, placements=(place,))
    one = edges(kit).stands[ME].placed
    other = evolve(one, placement=place)
    there = to_case(other, (u, v))
    assert to_own(other, there) == pytest.approx((u, v), abs=1e-3)
    corner = to_case(other, (0.0, 0.0))
    assert math.dist(there, corner) == pytest.approx(math.hypot(u, v), abs=1e-6)
    box = plan_box(kit.payload, moved_kit.placements[0])
    assert box.x0_mm == pytest.approx(x, abs=1e-6)
    inside = shapely.box(box.x0_mm, box.y0_mm, box.x1_mm, box.y1_mm).buffer(1e-6)
    assert inside.covers(shapely.Point(to_case(other, (60.0, 30.0))))


@pytest.mark.parametrize("turn", [0.0, 90.0, 180.0, 270.0])
def test_a_notch_travels_with_its_item(turn: float) -> None:
    """After the item is shifted and turned, its notch is at the same place of the item."""
    kit = one_recorder()
    place = edge_place(
        edges(kit), foam_of(kit), key=ME, at_mm=(170.0, 190.0), width_mm=24.0, depth_mm=22.0
    )
    assert place is not None
    assert place.notch.at == pytest.approx((30.0, 60.0), abs=0.51)
    (cut,) = notches(foam_of(kit, NotchesOf(*ME, (place.notch,))), ME)
    places = turned_to(kit.payload, kit.placements, ME, turn_deg=turn)
    here = find(places, ME)
    places = (evolve(here, x_mm=here.x_mm + 17.0, y_mm=here.y_mm - 9.0),)
    other = evolve(kit, placements=places)
    (after,) = notches(foam_of(other, NotchesOf(*ME, (place.notch,))), ME)
    then = edges(other).stands[ME].placed
    back = shapely.transform(
        after.shape, lambda xy: [to_own(then, (float(x), float(y))) for x, y in xy]
    )
    own = edges(kit).stands[ME].placed
    first = shapely.transform(
        cut.shape, lambda xy: [to_own(own, (float(x), float(y))) for x, y in xy]
    )
    assert first.symmetric_difference(back).area < 0.5


def test_none_at_all() -> None:
    """An empty choice is a pocket without notches, and nothing is said to be missed."""
    foam = foam_of(one_recorder(), NotchesOf(*ME))
    assert notches(foam, ME) == []
    assert not any("notch" in note for note in foam.notes)


def test_a_choice_shifts_no_other_notch() -> None:
    """Whatever is chosen for one copy, the planned notches of the other stay where they were."""
    kit = two()
    lamp = [c.shape for c in notches(foam_of(kit), ("lamp", 1))]
    assert lamp
    assert [c.shape for c in notches(foam_of(kit, NotchesOf(*ME)), ("lamp", 1))] == lamp
    at = place_by(kit, (181.0, 150.0), depth=22.0)
    assert [c.shape for c in notches(foam_of(kit, NotchesOf(*ME, (at,))), ("lamp", 1))] == lamp


def place_by(kit: Kit, at: tuple[float, float], *, depth: float) -> NotchAt:
    """The recorder's notch nearest to a point."""
    place = edge_place(edges(kit), foam_of(kit), key=ME, at_mm=at, width_mm=24.0, depth_mm=depth)
    assert place is not None
    return place.notch


def test_a_thin_web_is_cut_as_asked_and_reported() -> None:
    """A notch 22 mm deep in a web of 30 mm leaves 8: cut, with its number and its place."""
    kit = two()
    at = place_by(kit, (181.0, 150.0), depth=22.0)
    foam = foam_of(kit, NotchesOf(*ME, (at,)))
    web = foam.webs[0]
    assert {web.left, web.right} == {"recorder", "lamp"}
    assert web.width_mm == pytest.approx(8.0, abs=0.02)
    assert web.limit_mm == 15.0
    (cut,) = notches(foam, ME)
    assert cut.shape.bounds[2] == pytest.approx(180.0 + 22.0, abs=0.02)
    live = place_of(edges(kit), foam_of(kit), at)
    assert live is not None
    assert not live.keeps
    assert live.web.width_mm == pytest.approx(8.0, abs=0.02)


def test_running_into_a_neighbour_is_a_web_of_nothing() -> None:
    """A notch that breaks through into the next pocket is reported as a web of 0 mm."""
    kit = two()
    at = place_by(kit, (181.0, 150.0), depth=40.0)
    foam = foam_of(kit, NotchesOf(*ME, (at,)))
    assert foam.webs[0].width_mm == 0.0
    assert {foam.webs[0].left, foam.webs[0].right} == {"recorder", "lamp"}
    assert not place_of(edges(kit), foam_of(kit), at).keeps


def test_running_out_of_the_edge_is_a_web_of_nothing() -> None:
    """A notch that breaks through the layer's edge is cut to there and reported as 0 mm."""
    kit = two()
    at = place_by(kit, (60.0, 150.0), depth=90.0)
    foam = foam_of(kit, NotchesOf(*ME, (at,)))
    assert ("recorder", "edge", 0.0) in [(w.left, w.right, w.width_mm) for w in foam.webs]
    assert place_of(edges(kit), foam_of(kit), at).web.right == "edge"


def test_a_place_off_the_edge_is_said() -> None:
    """A notch whose place is in the middle of the item is not cut; the note says what to do."""
    kit = one_recorder()
    foam = foam_of(kit, NotchesOf(*ME, (NotchAt(*ME, (60.0, 30.0), 24.0, 22.0),)))
    assert notches(foam, ME) == []
    assert any("put it on the edge again" in note for note in foam.notes)


def test_too_small_for_a_finger_is_said() -> None:
    """A notch of 10 mm is cut and said to let no finger in."""
    kit = one_recorder()
    foam = foam_of(kit, NotchesOf(*ME, (evolve(place_by(kit, (0, 150), depth=10.0)),)))
    assert len(notches(foam, ME)) == 1
    assert any("lets no finger in" in note for note in foam.notes)


def test_a_copy_that_is_not_there_is_said() -> None:
    """Notches for a copy that the plan has not are left out, by name."""
    foam = foam_of(one_recorder(), NotchesOf("recorder", 7))
    assert any("recorder 7" in note for note in foam.notes)


def test_every_impossible_notch_is_refused_at_once() -> None:
    """Sizes out of bounds and a copy given twice come back in one list."""
    bad = NotchesOf(*ME, (NotchAt(*ME, (0.0, 0.0), 0.0, 1e9),))
    with pytest.raises(BadInput) as refused:
        foam_of(one_recorder(), bad, NotchesOf(*ME))
    text = str(refused.value)
    assert "width 0 mm" in text
    assert "depth 1e+09 mm" in text
    assert "given twice" in text


def test_snapped_to_whole_millimetres_along_the_edge() -> None:
    """Wherever the pointer is, two places on one side are whole millimetres apart."""
    kit = one_recorder()
    xs = [place_by(kit, (x, 200.0), depth=22.0).at[0] for x in (160.3, 171.7, 190.0)]
    for a in xs:
        assert (a - xs[0]) % 1.0 == pytest.approx(0.0, abs=1e-3)


def test_a_notch_at_a_round_pocket_points_away_from_its_middle() -> None:
    """Square to the edge, at any angle."""
    kit = settled(kit_of(plain(circle(40, at=(40, 40)), 50, "recorder"), at=((150, 110, 30.0),)))
    for turn in range(0, 360, 37):
        way = (math.cos(math.radians(turn)), math.sin(math.radians(turn)))
        at = (190 + 90 * way[0], 150 + 90 * way[1])
        foam = foam_of(kit, NotchesOf(*ME, (place_by(kit, at, depth=22.0),)))
        (cut,) = notches(foam, ME)
        dx, dy = cut.shape.centroid.x - 190, cut.shape.centroid.y - 150
        assert math.degrees(math.atan2(dy, dx)) % 360 == pytest.approx(turn, abs=1.5)
        assert foam.webs == ()


def test_choices_are_replaced_by_copy() -> None:
    """One choice for each copy; going back to the plan takes it out."""
    first, second = NotchesOf("b", 1), NotchesOf("a", 2)
    both = notched_with(notched_with((), first), second)
    assert both == (second, first)
    other = NotchesOf("b", 1, (NotchAt("b", 1, (0.0, 0.0), 20.0, 20.0),))
    assert notched_with(both, other) == (second, other)
    assert as_planned(both, ("b", 1)) == (second,)
