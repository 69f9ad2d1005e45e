"""The records of a fit: where each copy stands, the interior it makes, and how good it is."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Literal

from attrs import frozen
from shapely import Polygon

from fitkit.payload.model import Face, Objective, ReadyMade

HalfName = Literal["deep", "shallow", "tray"]


@frozen
class Placement:
    """Where one copy of an item stands in the closed case.

    The origin is the interior's lower left front corner, z runs up from the deep half's floor.
    ``up`` is the face that looks up in the closed case, ``turn_deg`` the turn about the vertical,
    counter-clockwise seen from above; ``x_mm, y_mm, z_mm`` is the lower left bottom corner of the
    body's box as posed and turned (zones not counted). ``copy`` counts from 1, ``tier`` from 1
    (the lowest in its half).
    """

    item: str
    copy: int
    half: HalfName
    tier: int
    up: Face
    turn_deg: float
    x_mm: float
    y_mm: float
    z_mm: float


@frozen
class Half:
    """One part of the case by name, with its inside depth."""

    name: HalfName
    depth_mm: float


@frozen
class Interior:
    """The clear room inside the panels of the closed case.

    ``length_mm`` (x) and ``width_mm`` (y) hold at the closing plane; with a draft the room
    narrows towards both floors. Height is the sum of the halves' depths. ``floors_mm`` gives
    length and width at each half's own floor where they were measured (a ready-made case, whose
    walls may lean differently along x and y); the draft says nothing then.
    """

    length_mm: float
    width_mm: float
    halves: tuple[Half, ...]
    corner_mm: float = 0.0
    draft_deg: float = 0.0
    floors_mm: tuple[tuple[float, float], ...] = ()

    @property
    def height_mm(self) -> float:
        """Inside height [mm]: the sum of the halves' depths."""
        return sum(half.depth_mm for half in self.halves)

    @property
    def closing_mm(self) -> float:
        """Height of the closing plane above the deep half's floor [mm]."""
        return self.halves[0].depth_mm

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Length, width and height [mm]."""
        return (self.length_mm, self.width_mm, self.height_mm)

    @property
    def leans(self) -> bool:
        """Whether the room is narrower at a floor than at the closing plane."""
        return self.draft_deg != 0 or any(
            (length, width) != (self.length_mm, self.width_mm) for length, width in self.floors_mm
        )

    def inset_mm(self, z_mm: float) -> tuple[float, float]:
        """How far the walls stand in at height ``z_mm``, along x and along y [mm].

        Nothing at the closing plane; it grows evenly towards the floor of either half.

        >>> room = Interior(400.0, 300.0, (Half("deep", 100.0), Half("shallow", 50.0)),
        ...                 floors_mm=((380.0, 290.0), (400.0, 300.0)))
        >>> room.inset_mm(0.0), room.inset_mm(50.0), room.inset_mm(150.0)
        ((10.0, 5.0), (5.0, 2.5), (0.0, 0.0))
        """
        away_mm = abs(z_mm - self.closing_mm)
        if not self.floors_mm:
            lean_mm = away_mm * math.tan(math.radians(self.draft_deg))
            return (lean_mm, lean_mm)
        index = 0 if z_mm <= self.closing_mm else len(self.floors_mm) - 1
        length_mm, width_mm = self.floors_mm[index]
        share = away_mm / self.halves[index].depth_mm
        return (
            share * (self.length_mm - length_mm) / 2,
            share * (self.width_mm - width_mm) / 2,
        )

    def outline_at(self, z_mm: float) -> Polygon:
        """The interior's outline at height ``z_mm``: rounded corners, narrowed by its walls."""
        return _rounded(self.length_mm, self.width_mm, self.inset_mm(z_mm), self.corner_mm)

    def outline_within(self, z0_mm: float, z1_mm: float) -> Polygon:
        """What the interior's outlines have in common over a band of heights.

        Walls lean evenly, so each side is farthest in at one end of the band: which one may differ
        along x and y where the band crosses the closing plane.
        """
        ends = [self.inset_mm(min(max(z, 0.0), self.height_mm)) for z in (z0_mm, z1_mm)]
        inset = (max(end[0] for end in ends), max(end[1] for end in ends))
        return _rounded(self.length_mm, self.width_mm, inset, self.corner_mm)


@lru_cache(maxsize=256)
def _rounded(
    length_mm: float, width_mm: float, inset_mm: tuple[float, float], corner_mm: float
) -> Polygon:
    from fitkit.geometry.shapes import rectangle

    in_x, in_y = inset_mm
    return rectangle(
        length_mm - 2 * in_x, width_mm - 2 * in_y, corner_mm=corner_mm, at=(in_x, in_y)
    )


@frozen
class Improvement:
    """One better layout during a search: when it came, its value, and who found it."""

    seconds: float
    value: float
    by: str


@frozen
class Fit:
    """The answer of a search.

    ``value`` and ``bound`` are in the objective's own unit (mm3, mm2, or mm); ``gap`` is
    (value - bound) / value; ``proven`` is true where nothing better exists. ``misses`` is empty
    when the layout keeps every limit; otherwise one sentence for each limit that is missed, with
    the millimetres. ``ready_made`` is the case of the builder's list that the interior is of; None
    where the case is to be made. ``grid_mm`` is the step in which length and width were looked for:
    bound and proof hold for interiors on that grid (None where it is not known).
    """

    objective: Objective
    value: float
    bound: float
    bound_name: str
    gap: float
    proven: bool
    seconds: float
    seed: int
    interior: Interior
    placements: tuple[Placement, ...]
    history: tuple[Improvement, ...] = ()
    misses: tuple[str, ...] = ()
    interrupted: bool = False
    ready_made: ReadyMade | None = None
    grid_mm: float | None = None
