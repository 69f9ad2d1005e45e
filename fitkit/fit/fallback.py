"""Pins checked before a search, and the layout that is always there: everything in a row."""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.errors import BadInput, Fault
from fitkit.fit.layout import Placement
from fitkit.fit.place import Placed, place
from fitkit.payload.model import Payload


def check_pins(payload: Payload, pins: Sequence[Placement]) -> None:
    """BadInput, with every fault, if pins name no copy, name one twice, or are too close."""
    import shapely

    faults: list[Fault] = []
    seen: set[tuple[str, int]] = set()
    solid: list[Placed] = []
    for pin in pins:
        where = f"pin {pin.item} {pin.copy}"
        names = {item.name: item for item in payload.items}
        if pin.item not in names or not 1 <= pin.copy <= names[pin.item].count:
            faults.append(Fault(where, "the sheet has no such copy", "pin a copy of the sheet"))
            continue
        if (pin.item, pin.copy) in seen:
            faults.append(Fault(where, "is pinned twice", "pin it once"))
            continue
        seen.add((pin.item, pin.copy))
        solid.append(place(names[pin.item], pin))
        faults += _too_near_corner(payload, solid[-1])
    web = payload.case.clearance.item_mm
    for k, one in enumerate(solid):
        for other in solid[k + 1 :]:
            a, b = one.placement, other.placement
            if (a.half, a.tier) != (b.half, b.tier):
                continue
            gap = float(shapely.distance(one.solid.silhouette, other.solid.silhouette))
            overlap = shapely.intersection(one.solid.silhouette, other.solid.silhouette).area
            if gap < web - 0.01 or overlap > 1e-4:
                faults.append(
                    Fault(
                        f"pins {one.label} and {other.label}",
                        f"are {gap:.1f} mm apart" if overlap <= 1e-4 else "overlap",
                        f"move one until they are {web:.1f} mm apart, or set it free",
                    )
                )
    if faults:
        raise BadInput(faults)


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
        if body < wall - 0.01 or zone < -0.01:
            by = max(wall - body, -zone)
            found.append(
                Fault(
                    f"pin {pinned.label}",
                    f"is {by:.1f} mm too near to the {side} wall",
                    f"move it by {by:.1f} mm away from that wall, or set it free",
                )
            )
    return found
