"""The check sees every broken promise: each is broken once, and named with its millimetres."""

from __future__ import annotations

import pytest
from attrs import evolve

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.validate import Violation, violations
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, CaseWishes, Clearance, Item, Payload, Section, Zone

BLOCK = Body((Section(rectangle(100.0, 60.0), 0.0, 40.0),))
CAN = Body((Section(circle(25.0, at=(25.0, 25.0)), 0.0, 50.0),))
PLUG = Zone("connector", "right", (30.0, 20.0), (20.0, 10.0), 30.0)

PAYLOAD = Payload(
    "bench",
    (Item("block", BLOCK, zones=(PLUG,)), Item("can", CAN, turn="free")),
    case=CaseWishes(clearance=Clearance(item_mm=15.0, wall_mm=20.0, floor_mm=25.0, lid_mm=15.0)),
)
ROOM = Interior(270.0, 120.0, (Half("deep", 80.0), Half("shallow", 50.0)))
GOOD = (
    Placement("block", 1, "deep", 1, "top", 0.0, 20.0, 30.0, 30.0),
    Placement("can", 1, "deep", 1, "top", 0.0, 190.0, 30.0, 30.0),
)


def found(
    *placements: Placement, payload: Payload = PAYLOAD, room: Interior = ROOM
) -> tuple[Violation, ...]:
    """What is wrong with a layout."""
    return violations(payload, interior=room, placements=placements)


def test_a_good_layout_has_nothing_wrong() -> None:
    """The layout that the cases below break is itself in order."""
    assert found(*GOOD) == ()


@pytest.mark.parametrize(
    ("index", "change", "kind", "value_mm", "limit_mm"),
    [
        (1, {"x_mm": 215.0}, "wall", 5.0, 20.0),
        (0, {"x_mm": 18.0}, "wall", 18.0, 20.0),
        (0, {"z_mm": 20.0}, "floor", 20.0, 25.0),
        (1, {"z_mm": 70.0}, "lid", 10.0, 15.0),
        (1, {"x_mm": 152.0}, "zone", 2.0, 15.0),
        (1, {"x_mm": 130.0}, "zone", 0.0, 15.0),
        (0, {"turn_deg": 30.0}, "pose", 30.0, 0.0),
        (0, {"up": "left"}, "pose", 0.0, 0.0),
    ],
)
def test_each_broken_promise_is_named(
    index: int, change: dict[str, object], kind: str, value_mm: float, limit_mm: float
) -> None:
    """One change, one kind of violation among what is found, with value and limit in mm."""
    placements = list(GOOD)
    placements[index] = evolve(placements[index], **change)
    named = [v for v in found(*placements) if v.kind == kind]
    assert named, found(*placements)
    assert named[0].value_mm == pytest.approx(value_mm, abs=0.01)
    assert named[0].limit_mm == limit_mm


def test_items_too_close_are_named_with_their_gap() -> None:
    """Two bodies 14 mm apart where 15 are asked: named, with 14."""
    bare = evolve(PAYLOAD, items=(evolve(PAYLOAD.items[0], zones=()), PAYLOAD.items[1]))
    near = evolve(GOOD[1], x_mm=134.0)
    (violation,) = found(GOOD[0], near, payload=bare)
    assert (violation.kind, violation.left, violation.right) == ("item", "block", "can")
    assert violation.value_mm == pytest.approx(14.0, abs=0.01)
    assert str(violation) == "block to can: 14.00 mm, at least 15.00 mm (item)"


def test_a_copy_that_is_missing_or_there_twice_is_named() -> None:
    """Every copy of the sheet stands in the case once."""
    assert [v.kind for v in found(GOOD[0])] == ["count"]
    kinds = [v.kind for v in found(*GOOD, GOOD[1])]
    assert "count" in kinds


def test_an_item_that_may_not_be_proud_is_named() -> None:
    """A can that tops out 10 mm above the closing plane, and may not: named, with -10."""
    shy = evolve(PAYLOAD, items=(PAYLOAD.items[0], evolve(PAYLOAD.items[1], proud=False)))
    (violation,) = found(GOOD[0], evolve(GOOD[1], z_mm=40.0), payload=shy)
    assert (violation.kind, violation.value_mm) == ("proud", -10.0)


def test_a_zone_that_leaves_the_room_is_named() -> None:
    """The plug's room must be inside the panels too."""
    turned = evolve(GOOD[0], x_mm=150.0)
    only = evolve(PAYLOAD, items=PAYLOAD.items[:1])
    room = evolve(ROOM, length_mm=275.0)
    assert [v.kind for v in found(turned, payload=only, room=room)] == ["inside"]


def test_rounded_corners_take_room() -> None:
    """A block 20 mm from both walls is nearer than that to a corner rounded by 90 mm."""
    room = evolve(ROOM, corner_mm=50.0)
    corner = evolve(GOOD[0], y_mm=20.0)
    only = evolve(PAYLOAD, items=PAYLOAD.items[:1])
    (violation,) = found(corner, payload=only, room=room)
    # from the arc's centre at (50, 50) the block's corner at (20, 20) is 42.43 mm away
    assert violation.kind == "wall"
    assert violation.value_mm == pytest.approx(50.0 - 42.426, abs=0.01)


def test_tiers_may_stand_above_each_other_but_not_in_each_other() -> None:
    """In another tier an item may be right above, with a pad between them; else it is named."""
    above = evolve(GOOD[1], tier=2, x_mm=40.0, y_mm=32.0, z_mm=80.0)
    tall = evolve(ROOM, halves=(Half("deep", 130.0), Half("shallow", 50.0)))
    assert found(GOOD[0], above, room=tall) == ()
    (thin,) = found(GOOD[0], evolve(above, z_mm=76.0), room=tall)
    assert (thin.kind, thin.value_mm, thin.limit_mm) == ("tier", 6.0, 10.0)
    (sunk,) = found(GOOD[0], evolve(above, z_mm=60.0), room=tall)
    assert (sunk.kind, sunk.value_mm, sunk.limit_mm) == ("item", 0.0, 15.0)
