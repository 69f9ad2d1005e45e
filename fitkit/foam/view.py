"""Items as one half sees them: heights counted from the half's own floor to the closing plane.

Both halves are lined in the same way once heights run up from their own floors, so all of the
lining is worked out in these heights and turned back into the closed case's at the end. Plan
coordinates are those of the closed case throughout.
"""

from __future__ import annotations

from functools import lru_cache

import shapely
from attrs import field, frozen
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import HalfName, Interior
from fitkit.fit.place import Placed
from fitkit.payload.pose import Band, Room

SAME_MM = 1e-6
"""Heights closer than this are the same height."""


@frozen
class HalfView:
    """One half with its own floor: ``floor_mm`` in the closed case, ``sign`` of its own up."""

    name: HalfName
    depth_mm: float
    floor_mm: float
    sign: int

    def own(self, z_mm: float) -> float:
        """Height above this half's floor [mm] of a height in the closed case."""
        return (z_mm - self.floor_mm) * self.sign

    def closed(self, own_mm: float) -> float:
        """Height in the closed case [mm] of a height above this half's floor."""
        return self.floor_mm + self.sign * own_mm

    def span(self, a_mm: float, b_mm: float) -> tuple[float, float]:
        """A band of the closed case as (low, high) above this half's floor [mm]."""
        first, last = self.own(a_mm), self.own(b_mm)
        return (first, last) if first <= last else (last, first)


def views(interior: Interior) -> tuple[HalfView, ...]:
    """The interior's halves, each with its own floor; the first stands, the second hangs.

    >>> from fitkit.fit.layout import Half
    >>> lid = views(Interior(300.0, 200.0, (Half("deep", 120.0), Half("shallow", 40.0))))[1]
    >>> lid.own(150.0), lid.closed(10.0)
    (10.0, 150.0)
    """
    made = []
    for index, half in enumerate(interior.halves):
        hangs = index > 0
        floor_mm = interior.height_mm if hangs else 0.0
        made.append(HalfView(half.name, half.depth_mm, floor_mm, -1 if hangs else 1))
    return tuple(made)


@frozen
class Stand:
    """One copy of an item as a half sees it; bands and rooms from that half's floor up."""

    placed: Placed
    view: HalfView
    bands: tuple[Band, ...] = field(eq=False)
    rooms: tuple[Room, ...] = field(eq=False)

    @property
    def label(self) -> str:
        """The item's name, with the copy's number where there are several."""
        return self.placed.label

    @property
    def at_home(self) -> bool:
        """Whether the item lives in the half that looks."""
        return self.placed.placement.half == self.view.name

    @property
    def tier(self) -> int:
        """The tier in the item's own half."""
        return self.placed.placement.tier

    @property
    def low_mm(self) -> float:
        """Lowest point of the body above the half's floor [mm]."""
        return self.bands[0].z0_mm

    @property
    def top_mm(self) -> float:
        """Highest point of the body above the half's floor [mm]."""
        return self.bands[-1].z1_mm

    @property
    def reach_mm(self) -> tuple[float, float]:
        """Lowest and highest point of body and zones [mm]."""
        lows = [self.low_mm, *(room.z0_mm for room in self.rooms)]
        highs = [self.top_mm, *(room.z1_mm for room in self.rooms)]
        return min(lows), max(highs)

    def swept_to(self, own_mm: float) -> int:
        """How many bands begin below ``own_mm``: those that pass there on the way out."""
        return sum(1 for band in self.bands if band.z0_mm < own_mm - SAME_MM)

    def swept(self, count: int) -> BaseGeometry:
        """The union of the lowest ``count`` bands (1 or more)."""
        return self.sweeps[count - 1]

    @property
    def sweeps(self) -> tuple[BaseGeometry, ...]:
        """For each band, from the lowest: the union of it and all bands below."""
        return swept_bands(tuple(band.shape for band in self.bands))


@lru_cache(maxsize=2048)
def swept_bands(shapes: tuple[BaseGeometry, ...]) -> tuple[BaseGeometry, ...]:
    """What passes each height when an item is lifted out: unions of ever more sections."""
    made = [shapes[0]]
    for shape in shapes[1:]:
        below = made[-1]
        if shape.covers(below):
            made.append(shape)
        elif below.covers(shape):
            made.append(below)
        else:
            made.append(shapely.normalize(shapely.union(below, shape)))
    return tuple(made)


def stand(placed: Placed, view: HalfView) -> Stand:
    """``placed`` as ``view`` sees it."""
    bands = []
    for band in placed.solid.bands:
        low, high = view.span(band.z0_mm, band.z1_mm)
        bands.append(Band(low, high, band.shape))
    rooms = []
    for room in placed.solid.rooms:
        low, high = view.span(room.z0_mm, room.z1_mm)
        rooms.append(Room(room.kind, room.outline, low, high))
    return Stand(placed, view, tuple(sorted(bands, key=lambda b: b.z0_mm)), tuple(rooms))
