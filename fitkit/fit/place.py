"""Placements made solid: every copy's body and zones where they stand in the closed case.

An item on one face at one turn is worked out once; where it stands only shifts it. What is asked
for often (box, heights) is known without shifting any outline.
"""

from __future__ import annotations

from functools import cached_property, lru_cache

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from fitkit.fit.layout import Placement
from fitkit.geometry.shapes import moved
from fitkit.payload.model import Face, Item, Payload
from fitkit.payload.pose import Room, Solid, posed


@frozen(eq=False)
class Turned:
    """An item on one face at one turn, its box's lower left bottom corner at the origin.

    ``silhouette`` is the body seen from above, ``box_mm`` its box (x0, y0, x1, y1), ``room_mm``
    the boxes of the zones' outlines (zones, 4), ``bands_mm`` the zones' height bands (zones, 2).
    """

    solid: Solid
    silhouette: Polygon | MultiPolygon
    box_mm: NDArray[np.float64]
    room_mm: NDArray[np.float64]
    bands_mm: NDArray[np.float64]


@frozen(slots=False)
class Placed:
    """One copy of an item with its solid in the case's coordinates."""

    placement: Placement
    item: Item

    @cached_property
    def turned(self) -> Turned:
        """The item on its face at its turn, not yet shifted."""
        return turned_item(self.item, self.placement.up, self.placement.turn_deg)

    @cached_property
    def solid(self) -> Solid:
        """Body and zones where they stand."""
        place = self.placement
        return posed(self.item, place.up).placed(
            turn_deg=place.turn_deg, x_mm=place.x_mm, y_mm=place.y_mm, z_mm=place.z_mm
        )

    @cached_property
    def silhouette(self) -> Polygon | MultiPolygon:
        """The body seen from above, where it stands: quicker than by way of :attr:`solid`."""
        return moved(self.turned.silhouette, by=(self.placement.x_mm, self.placement.y_mm))

    @cached_property
    def rooms(self) -> tuple[Room, ...]:
        """The zones where they stand: quicker than by way of :attr:`solid`."""
        here = self.placement
        return tuple(
            Room(
                room.kind,
                moved(room.outline, by=(here.x_mm, here.y_mm)),
                room.z0_mm + here.z_mm,
                room.z1_mm + here.z_mm,
            )
            for room in self.turned.solid.rooms
        )

    @property
    def reach_mm(self) -> tuple[float, float]:
        """Lowest and highest point of body and zones together [mm]."""
        low, high = self.turned.solid.reach_mm
        return (low + self.placement.z_mm, high + self.placement.z_mm)

    @property
    def z0_mm(self) -> float:
        """Underside of the body [mm]."""
        return self.placement.z_mm

    @property
    def z1_mm(self) -> float:
        """Top of the body [mm]."""
        return self.placement.z_mm + self.turned.solid.height_mm

    @property
    def level(self) -> tuple[str, int]:
        """The half, and the tier within it."""
        return (self.placement.half, self.placement.tier)

    @property
    def label(self) -> str:
        """The item's name, with the copy's number where there are several."""
        if self.item.count == 1:
            return self.item.name
        return f"{self.item.name} {self.placement.copy}"


def place_all(payload: Payload, placements: tuple[Placement, ...]) -> tuple[Placed, ...]:
    """Every placement with its solid, in the same order. KeyError for an unknown item."""
    items = {item.name: item for item in payload.items}
    return tuple(place(items[p.item], p) for p in placements)


@lru_cache(maxsize=8192)
def place(item: Item, placement: Placement) -> Placed:
    """One placement with its solid."""
    return Placed(placement, item)


@lru_cache(maxsize=4096)
def turned_item(item: Item, up: Face, turn_deg: float) -> Turned:
    """An item on face ``up``, turned; shared by all its copies that stand so."""
    solid = posed(item, up).placed(turn_deg=turn_deg, x_mm=0.0, y_mm=0.0, z_mm=0.0)
    rooms = solid.rooms
    return Turned(
        solid=solid,
        silhouette=solid.silhouette,
        box_mm=np.array(solid.silhouette.bounds),
        room_mm=np.array([room.outline.bounds for room in rooms]).reshape(-1, 4),
        bands_mm=np.array([(room.z0_mm, room.z1_mm) for room in rooms]).reshape(-1, 2),
    )
