"""Placements made solid: every copy's body and zones where they stand in the closed case."""

from __future__ import annotations

from functools import lru_cache

from attrs import frozen

from fitkit.fit.layout import Placement
from fitkit.payload.model import Item, Payload
from fitkit.payload.pose import Solid, posed


@frozen
class Placed:
    """One copy of an item with its solid in the case's coordinates."""

    placement: Placement
    item: Item
    solid: Solid

    @property
    def label(self) -> str:
        """The item's name, with the copy's number where there are several."""
        if self.item.count == 1:
            return self.item.name
        return f"{self.item.name} {self.placement.copy}"


def place_all(payload: Payload, placements: tuple[Placement, ...]) -> tuple[Placed, ...]:
    """Every placement with its solid, in the same order. KeyError for an unknown item."""
    return tuple(place(payload.item(p.item), p) for p in placements)


@lru_cache(maxsize=8192)
def place(item: Item, placement: Placement) -> Placed:
    """One placement with its solid."""
    solid = posed(item, placement.up).placed(
        turn_deg=placement.turn_deg,
        x_mm=placement.x_mm,
        y_mm=placement.y_mm,
        z_mm=placement.z_mm,
    )
    return Placed(placement, item, solid)
