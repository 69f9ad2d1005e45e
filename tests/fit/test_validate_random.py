"""The check against a slow one written apart from it, on layouts that nobody would make."""

from __future__ import annotations

import itertools

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.validate import violations, violations_of_moved
from fitkit.payload.model import Payload
from fitkit.payload.pose import posed
from strategies import layouts

TINY_MM = 1e-4
MANY = settings(
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def _one_by_one(payload: Payload, placements: tuple[Placement, ...]) -> set[tuple[str, str, str]]:
    """Every broken promise between two copies as (kind, left, right), each looked at alone."""
    clear = payload.case.clearance
    bodies, labels, items, solids = [], [], [], []
    for place in placements:
        item = payload.item(place.item)
        solid = posed(item, place.up).placed(
            turn_deg=place.turn_deg, x_mm=place.x_mm, y_mm=place.y_mm, z_mm=place.z_mm
        )
        solids.append(solid)
        items.append(item)
        bodies.append(shapely.union_all([band.shape for band in solid.bands]))
        labels.append(item.name if item.count == 1 else f"{item.name} {place.copy}")

    def shares(a: int, b: int) -> bool:
        return bodies[a].intersection(bodies[b]).area > 1e-4

    def level(a: int, b: int) -> bool:
        return (placements[a].half, placements[a].tier) == (placements[b].half, placements[b].tier)

    def meet(low: float, high: float, other_low: float, other_high: float) -> bool:
        return min(high, other_high) - max(low, other_low) > TINY_MM

    def span(a: int) -> tuple[float, float]:
        return min(b.z0_mm for b in solids[a].bands), max(b.z1_mm for b in solids[a].bands)

    def out(a: int) -> tuple[float, float]:
        """Lowest and highest point as its own half lies open on the bench."""
        low, high = span(a)
        return (-high, -low) if placements[a].half == "shallow" else (low, high)

    def too_near(shape: shapely.Geometry, other: shapely.Geometry) -> bool:
        overlap = shape.intersection(other).area > 1e-4
        return overlap or shape.distance(other) < clear.item_mm - TINY_MM

    def same_half(a: int, b: int) -> bool:
        return placements[a].half == placements[b].half

    found = set()
    everyone = range(len(placements))
    for a, b in itertools.combinations(everyone, 2):
        if level(a, b) or meet(*span(a), *span(b)):
            if too_near(bodies[a], bodies[b]):
                found.add(("item", labels[a], labels[b]))
        elif shares(a, b):
            pad = max(span(a)[0], span(b)[0]) - min(span(a)[1], span(b)[1])
            recessed = payload.case.form == "pair" and not same_half(a, b)
            if pad < (0.0 if recessed else clear.tier_mm) - TINY_MM:
                found.add(("tier", labels[a], labels[b]))
    for a, b in itertools.permutations(everyone, 2):
        for room in solids[a].rooms:
            near = level(a, b) or meet(*span(b), room.z0_mm, room.z1_mm)
            if near and too_near(room.outline, bodies[b]):
                found.add(("zone", f"{labels[a]} {room.kind} zone", labels[b]))
        # b is to be lifted out, a lies over it
        apart = not level(a, b) and not meet(*span(a), *span(b))
        if not (same_half(a, b) and apart and out(a)[0] > out(b)[0] and shares(a, b)):
            continue
        if placements[a].tier < placements[b].tier:
            found.add(("lift", labels[a], labels[b]))
        if items[b].reach == "always":
            found.add(("reach", labels[a], labels[b]))
    return found


BETWEEN = ("item", "tier", "zone", "lift", "reach")


@MANY
@given(layouts())
def test_pairs_are_judged_as_one_by_one(
    layout: tuple[Payload, Interior, tuple[Placement, ...]],
) -> None:
    """Whatever overlaps whatever, the quick check names the very pairs that the slow one names."""
    payload, interior, placements = layout
    found = violations(payload, interior=interior, placements=placements)
    quick = {(v.kind, v.left, v.right) for v in found if v.kind in BETWEEN}
    assert quick == _one_by_one(payload, placements)


@MANY
@given(layouts())
def test_walls_and_panels_are_judged_point_by_point(
    layout: tuple[Payload, Interior, tuple[Placement, ...]],
) -> None:
    """Bodies keep their distances from walls, floors and lids, zones stay inside: corner by corner.

    A body has room to a wall if each corner of each section is inside, and as far from the wall.
    """
    payload, interior, placements = layout
    clear, form = payload.case.clearance, payload.case.form
    found = violations(payload, interior=interior, placements=placements)
    quick = {(v.kind, v.left) for v in found if v.kind in ("wall", "floor", "lid", "proud")}
    quick |= {(v.kind, v.left) for v in found if v.kind == "inside" and v.right == "the wall"}
    slow = set()
    for place in placements:
        item = payload.item(place.item)
        label = item.name if item.count == 1 else f"{item.name} {place.copy}"
        solid = posed(item, place.up).placed(
            turn_deg=place.turn_deg, x_mm=place.x_mm, y_mm=place.y_mm, z_mm=place.z_mm
        )

        def out(shape: shapely.Geometry, ends: tuple[float, float], keep_mm: float) -> bool:
            corners = shapely.points(shapely.get_coordinates(shape))
            for z in ends:
                room = interior.outline_at(min(max(z, 0.0), interior.height_mm))
                inside = shapely.intersects(room, corners)  # used at once
                gaps = shapely.distance(corners, room.exterior)
                if not inside.all():
                    gaps[~inside] *= -1
                if gaps.min() < keep_mm - TINY_MM:
                    return True
            return False

        if any(out(b.shape, (b.z0_mm, b.z1_mm), clear.wall_mm) for b in solid.bands):
            slow.add(("wall", label))
        for room in solid.rooms:
            if out(room.outline, (room.z0_mm, room.z1_mm), 0.0):
                slow.add(("inside", f"{label} {room.kind} zone"))
        low, high, top = solid.z0_mm, solid.z1_mm, interior.height_mm
        closing = interior.halves[0].depth_mm
        if place.half == "shallow":  # the same, upside down
            low, high, closing = top - high, top - low, top - closing
        if low < clear.floor_mm - TINY_MM:
            slow.add(("floor", label))
        if high > (closing if form == "pair" else top) - clear.lid_mm + TINY_MM:
            slow.add(("lid", label))
        if form == "box" and not item.proud and high > closing + TINY_MM:
            slow.add(("proud", label))
    assert quick == slow


@MANY
@given(layouts(), st.data())
def test_one_that_moved_is_judged_like_all(
    layout: tuple[Payload, Interior, tuple[Placement, ...]], data: st.DataObject
) -> None:
    """For any one copy the short check finds what the whole check finds of it, value for value."""
    payload, interior, placements = layout
    index = data.draw(st.integers(0, len(placements) - 1))
    item = payload.item(placements[index].item)
    label = item.name if item.count == 1 else f"{item.name} {placements[index].copy}"
    own = {label, f"{label} zone", *(f"{label} {zone.kind} zone" for zone in item.zones)}
    found = violations(payload, interior=interior, placements=placements)
    short = violations_of_moved(payload, interior=interior, placements=placements, index=index)
    assert sorted(short, key=str) == sorted(
        (v for v in found if v.left in own or v.right == label), key=str
    )


def test_only_a_placement_that_is_there_can_be_judged() -> None:
    """An index beyond the placements is a mistake of the caller."""
    payload = Payload("none", ())
    room = Interior(100.0, 100.0, (Half("deep", 50.0), Half("shallow", 50.0)))
    with pytest.raises(IndexError):
        violations_of_moved(payload, interior=room, placements=(), index=0)
