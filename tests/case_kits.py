"""Small kits and lists of cases, for the tests of ready-made and of several cases."""

from __future__ import annotations

from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import (
    Body,
    CaseWishes,
    Clearance,
    Item,
    Limits,
    Payload,
    Rank,
    ReadyMade,
    Section,
)

CLEAR = Clearance(item_mm=10.0, wall_mm=12.0, floor_mm=20.0, lid_mm=10.0, tier_mm=10.0)


def box(name: str, x: float, y: float, z: float, **more: object) -> Item:
    """An item that is a box."""
    return Item(name, Body((Section(rectangle(x, y), 0.0, z),)), **more)  # type: ignore[arg-type]  # passed on


def case(
    name: str,
    length: float,
    width: float,
    deep: float,
    shallow: float,
    *,
    lean: tuple[float, float] = (0.0, 0.0),
    corner: float = 0.0,
    mass: float | None = None,
    price: float | None = None,
    outside: tuple[float, float, float] | None = None,
) -> ReadyMade:
    """A case whose floor is narrower than its rim by twice ``lean`` along x and y."""
    floor = (length - 2 * lean[0], width - 2 * lean[1])
    part = shallow / deep
    top = (length - 2 * lean[0] * part, width - 2 * lean[1] * part)
    return ReadyMade(name, length, width, floor, top, deep, shallow, corner, mass, price, outside)


ITEMS = (
    box("recorder", 120.0, 80.0, 40.0, mass_kg=1.0),
    box("rod", 150.0, 30.0, 30.0, mass_kg=0.4, count=2),
    Item("float", Body((Section(circle(30.0, at=(30.0, 30.0)), 0.0, 35.0),)), mass_kg=0.2),
)


def kit(
    *cases: ReadyMade,
    items: tuple[Item, ...] = ITEMS,
    rank: Rank = "volume",
    limits: Limits | None = None,
    tiers: int = 1,
) -> Payload:
    """A payload with a list of cases."""
    wishes = CaseWishes(
        clearance=CLEAR, ready_made=cases, rank=rank, limits=limits or Limits(), tiers=tiers
    )
    return Payload("Tideline shelf", items, case=wishes)
