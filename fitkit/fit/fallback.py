"""Pins checked before a search: all that no layout around them could mend is said at once."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from fitkit.errors import BadInput, Fault
from fitkit.fit.elevation import halves_for
from fitkit.fit.layout import Placement
from fitkit.fit.place import Placed, place
from fitkit.fit.validate import pose_faults
from fitkit.payload.impossible import SLACK_MM, depth_asks
from fitkit.payload.limits import sides_of
from fitkit.payload.model import Payload
from fitkit.payload.walls import build_up_mm

NEAR_MM = 0.01
"""Pins come from a board or a file: distances are judged to this [mm]."""


def check_pins(payload: Payload, pins: Sequence[Placement]) -> None:
    """BadInput, with every fault, if no layout can be made around the pins.

    They must name copies of the sheet, each once, in a half, tier and pose that the item may take,
    keep their distances from each other and from the left and front wall, and be inside the depths
    and outside sizes that the sheet gives.
    """
    faults: list[Fault] = []
    seen: set[tuple[str, int]] = set()
    solid: list[Placed] = []
    names = {item.name: item for item in payload.items}
    for pin in pins:
        where = f"pin {pin.item} {pin.copy}"
        if pin.item not in names or not 1 <= pin.copy <= names[pin.item].count:
            faults.append(Fault(where, "the sheet has no such copy", "pin a copy of the sheet"))
            continue
        if (pin.item, pin.copy) in seen:
            faults.append(Fault(where, "is pinned twice", "pin it once"))
            continue
        seen.add((pin.item, pin.copy))
        one = place(names[pin.item], pin)
        wrong = [*_standing(payload, one)]
        faults += wrong
        if not wrong:
            solid.append(one)
            faults += [
                *_too_near_corner(payload, one),
                *_too_high(payload, one),
                *_too_far_out(payload, one),
            ]
    for one, other in itertools.combinations(solid, 2):
        if one.level == other.level:
            faults += _too_near(payload, one, other)
    if faults:
        raise BadInput(faults)


def no_room(payload: Payload, pins: Sequence[Placement]) -> BadInput:
    """What to say when no layout at all can be made around pins that are in order one by one."""
    names = ", ".join(sorted({f"{pin.item} {pin.copy}" for pin in pins}))
    depths = " and ".join(f"{d:.1f} mm" for d in payload.case.depths_mm if d is not None)
    given = f"the given depths ({depths})" if depths else "the case"
    return BadInput(
        [
            Fault(
                f"pins {names}" if pins else "the kit",
                f"leave no room for the rest of the kit in {given}",
                "set one of them free, move it, or give more depth",
            )
        ]
    )


def _standing(payload: Payload, pinned: Placed) -> Iterator[Fault]:
    """Faults for a pin in a half, tier or pose that its item may not take."""
    pin, where = pinned.placement, f"pin {pinned.label}"
    halves = halves_for(payload, pinned.item)
    if pin.half not in halves:
        yield Fault(
            where, f"stands in the {pin.half} half", f"it may stand in: {', '.join(halves)}"
        )
    if not 1 <= pin.tier <= payload.case.tiers:
        yield Fault(where, f"stands in tier {pin.tier}", f"tiers go from 1 to {payload.case.tiers}")
    if pin.half in halves and pose_faults(pinned):
        yield Fault(
            where,
            f"stands with {pin.up} up, turned by {pin.turn_deg:g} degrees",
            "pin it in a pose that the sheet allows (up, turn)",
        )


def _too_near(payload: Payload, one: Placed, other: Placed) -> Iterator[Fault]:
    """Faults for two pins of one level: bodies, or a zone and a body, nearer than the web."""
    web = payload.case.clearance.item_mm
    a, b = one.solid.silhouette, other.solid.silhouette
    pairs: list[tuple[BaseGeometry, BaseGeometry, str, str]]
    pairs = [(a, b, one.label, other.label)]
    pairs += [(room.outline, b, f"{one.label} zone", other.label) for room in one.solid.rooms]
    pairs += [(room.outline, a, f"{other.label} zone", one.label) for room in other.solid.rooms]
    for shape, body, name, guest in pairs:
        gap, overlap = float(shapely.distance(shape, body)), _share(shape, body)
        if gap < web - NEAR_MM or overlap:
            yield Fault(
                f"pins {name} and {guest}",
                "overlap" if overlap else f"are {gap:.1f} mm apart",
                f"move one until they are {web:.1f} mm apart, or set it free",
            )
            return


def _share(shape: BaseGeometry, body: BaseGeometry) -> bool:
    return float(shapely.area(shapely.intersection(shape, body))) > 1e-4


def _too_high(payload: Payload, pinned: Placed) -> Iterator[Fault]:
    """Faults for a pin that is higher, as it stands, than the given depths allow."""
    for ask in depth_asks(payload, pinned.item, pinned.solid.height_mm):
        if ask.over_mm > SLACK_MM:
            yield Fault(
                f"pin {pinned.label}",
                f"takes {ask.need_mm:.1f} mm of height as it stands; {ask.room} "
                f"{ask.room_mm:.1f} mm",
                f"give {ask.over_mm:.1f} mm more, pin it on another face, or set it free",
            )


def _too_far_out(payload: Payload, pinned: Placed) -> Iterator[Fault]:
    """Faults for a pin so far from the left and front wall that the case breaks its limits."""
    wall = payload.case.clearance.wall_mm
    _, _, x1, y1 = pinned.solid.silhouette.bounds
    zones = [room.outline.bounds for room in pinned.solid.rooms]
    add = 2 * build_up_mm(payload.wall.profile)
    outside = (
        max([x1 + wall, *(box[2] for box in zones)]) + add,
        max([y1 + wall, *(box[3] for box in zones)]) + add,
        0.0,
    )
    for side in sides_of(outside, limits=payload.case.limits):
        if side.over_mm > SLACK_MM:
            yield Fault(
                f"pin {pinned.label}",
                f"makes the case {side.size_mm:.1f} mm in outside {side.name}, "
                f"{side.over_mm:.1f} mm over the limit of {side.limit_mm:.1f} mm",
                f"move it {side.over_mm:.1f} mm towards the corner, or set it free",
            )


def _too_near_corner(payload: Payload, pinned: Placed) -> list[Fault]:
    """Faults for a pin that is nearer to the left or front wall than it may be."""
    wall = payload.case.clearance.wall_mm
    x0, y0, _, _ = pinned.solid.silhouette.bounds
    zones = [room.outline.bounds for room in pinned.solid.rooms]
    found = []
    for side, body, zone in (
        ("left", x0, min([0.0, *(b[0] for b in zones)])),
        ("front", y0, min([0.0, *(b[1] for b in zones)])),
    ):
        if body < wall - NEAR_MM or zone < -NEAR_MM:
            by = max(wall - body, -zone)
            found.append(
                Fault(
                    f"pin {pinned.label}",
                    f"is {by:.1f} mm too near to the {side} wall",
                    f"move it by {by:.1f} mm away from that wall, or set it free",
                )
            )
    return found
