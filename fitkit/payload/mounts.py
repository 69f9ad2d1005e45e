"""How an item is mounted instead of lying in foam: rails, a sub-panel, or between two walls.

A mounted item has a *front*, the face that it shows, and a *back*, the face that is opposite and
by which rails or a sub-panel hold it. It stands with its back towards the panel behind it, and its
foremost point is its *recess* behind the closing plane (or behind the wall that it faces). The
distance between its back and the panel behind it is the room *behind* it: rails with the heads of
their screws, plugs and the bends of their cables, air.

All lengths are mm. Values are checked where they are read (:mod:`fitkit.payload.mounts_in`).
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen

from fitkit.payload.faces import Face, opposite
from fitkit.payload.stiffness import Stiffness

MountBy = Literal["rails", "sub-panel", "walls"]

Facing = Literal[
    "closing plane", "back panel", "front wall", "back wall", "left wall", "right wall"
]
"""What a mounted item's front looks at; the walls are those of the closed case."""

Run = Literal["along", "up"]
"""Which way rails run over an item's back: along the face from its left, or up it."""


@frozen(cache_hash=True)
class HolePattern:
    """The threaded holes in an item's back.

    ``holes_mm`` are their centres: along the face from the left of one who looks at it from
    outside, and up (on top and bottom: x and y as seen from above), as a zone's place is. Where
    walls hold the item they are the holes in each of the two faces that look at those walls.
    ``thread`` is a metric thread by its name, ``depth_mm`` how deep a screw may go in.
    """

    name: str
    holes_mm: tuple[tuple[float, float], ...]
    thread: str = "M4"
    depth_mm: float = 10.0


@frozen(cache_hash=True)
class Rails:
    """Rails behind an item: one under each row of holes.

    ``width_mm`` is what a rail covers of the item's back, ``height_mm`` how far it holds the item
    off. ``length_mm`` None: over the item's back, or from wall to wall where they are held ``on``
    the walls. Rails on the back panel are screwed to it through the panel, from outside.
    ``stiffness`` is what was measured of one rail, for those that run from wall to wall.
    """

    width_mm: float = 30.0
    height_mm: float = 20.0
    run: Run = "along"
    on: Literal["back panel", "walls"] = "back panel"
    length_mm: float | None = None
    kg_per_m: float | None = None
    stiffness: Stiffness | None = None


@frozen(cache_hash=True)
class SubPanel:
    """A panel of its own behind an item, held on battens or by the walls.

    It stands out ``margin_mm`` beyond the item on each side. ``batten_mm`` is width and height of
    the battens between it and the back panel; None: it is held by the walls' own battens, and
    nothing of them lies behind it.
    """

    board: str = "birch plywood 6.5"
    thickness_mm: float = 6.4
    margin_mm: float = 20.0
    batten_mm: tuple[float, float] | None = (20.0, 20.0)
    kg_per_m2: float | None = None


@frozen(cache_hash=True)
class Mount:
    """How one item (every copy of it) is mounted.

    ``front`` is the face that it shows, ``faces`` what that face looks at. ``recess_mm`` None is
    free: at least ``least_mm``, and as much as the closing gap asks for; below 0 the item stands
    proud. ``behind_mm`` is room asked for behind it beside what rails, plugs and zones take (air
    for ventilation). ``head_mm`` is how far heads of screws stand out of what they hold; nothing
    where they are ``sunk``. ``walls``: the two opposite faces by which side walls hold it.
    """

    by: MountBy = "rails"
    front: Face = "top"
    faces: Facing = "closing plane"
    recess_mm: float | None = None
    least_mm: float = 0.0
    pattern: HolePattern | None = None
    rails: Rails = Rails()
    sub_panel: SubPanel = SubPanel()
    head_mm: float = 3.0
    sunk: bool = False
    behind_mm: float = 0.0
    walls: tuple[Face, Face] = ("left", "right")

    @property
    def back(self) -> Face:
        """The face by which it is held."""
        return opposite(self.front)

    @property
    def upright(self) -> bool:
        """Whether its front looks at a wall, so that it hangs before that wall."""
        return self.faces not in ("closing plane", "back panel")

    @property
    def asked_recess_mm(self) -> float:
        """The recess as given, or the least where it is free [mm]."""
        return self.least_mm if self.recess_mm is None else self.recess_mm

    @property
    def support_mm(self) -> float:
        """What rails or sub-panel take behind the item, heads of screws included [mm].

        >>> Mount(by="rails").support_mm, Mount(by="sub-panel").support_mm
        (23.0, 26.4)
        """
        head = 0.0 if self.sunk else self.head_mm
        if self.by == "walls":
            return 0.0
        if self.by == "rails":
            return self.rails.height_mm + head
        batten = 0.0 if self.sub_panel.batten_mm is None else self.sub_panel.batten_mm[1]
        return self.sub_panel.thickness_mm + max(head, batten)
