"""The records of cables: routes, coils, bundles, and the exit.

All lengths are millimetres in the case's coordinates, z up from the deep half's floor.
"""

from __future__ import annotations

from attrs import frozen
from shapely import Polygon

from fitkit.foam.model import Point, Room


@frozen
class Coil:
    """A cable's spare length wound up: mean and outer diameter, height, turns, and where it lies.

    ``room`` is None where no free place holds it; then ``short_mm`` is how much the largest free
    place lacks. ``straight_mm`` is the length of its two straight sides where it is wound long, 0
    for a round one.
    """

    turns: float
    mean_mm: float
    outer_mm: float
    height_mm: float
    room: Room | None
    short_mm: float = 0.0
    straight_mm: float = 0.0

    @property
    def on_edge(self) -> bool:
        """Whether it stands on edge along a wall, rather than lie flat; False without a place."""
        if self.room is None:
            return False
        tall = self.room.high_mm[2] - self.room.low_mm[2]
        return abs(tall - self.outer_mm) < abs(tall - self.height_mm)


@frozen
class Route:
    """One cable as it runs: from connector to connector, or out of the case.

    ``label`` is the cable's name, with a number where each copy has one. ``path_mm`` is its middle
    line in the closed case, bends as short chords. ``closed_mm`` is its length there, plugs left
    out; ``open_mm`` what it needs with the case open and in use; ``needed_mm`` the larger of the
    two with slack; ``given_mm`` what the builder has. ``bend_mm`` is the least inside radius
    allowed, ``tightest_mm`` the least along the path. ``through`` is the exit's name, or "closing
    plane" for one that crosses it. ``blocked`` says what stands in its way (empty: nothing).
    """

    cable: str
    label: str
    start: str
    to: str
    diameter_mm: float
    path_mm: tuple[Point, ...]
    closed_mm: float
    open_mm: float
    needed_mm: float
    given_mm: float | None
    bend_mm: float
    tightest_mm: float
    coil: Coil | None = None
    through: str = ""
    blocked: str = ""


@frozen
class Bundle:
    """Cables that run through one place together: their number, and the bundle's diameter."""

    where: str
    labels: tuple[str, ...]
    diameter_mm: float
    rule: str


@frozen
class CableExit:
    """A corner of a back or a door cut at 45 degrees, so that cables leave with it shut.

    ``leg_mm`` is the length of the cut's legs along the two walls, from the clear inner corner;
    ``bundle_mm`` the largest round bundle that passes, c (2 - sqrt 2); ``plug_mm`` the largest sum
    of a plug's width and height. ``shape`` is the opening in the panel's own u and v; ``trim_mm``
    the length of edge trim or the size of grommet.
    """

    name: str
    part: str
    panel: str
    corner: tuple[str, str]
    leg_mm: float
    bundle_mm: float
    needs_mm: float
    plug_mm: float
    plug_needs_mm: float
    edge: str
    trim_mm: float
    shape: Polygon
    note: str = ""
