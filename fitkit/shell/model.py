"""The records of a shell: parts, panels, profiles, hardware, openings, holes, fasteners.

All lengths are millimetres in the case's coordinates: origin at the interior's lower left front
corner, x to the right, y to the back, z up from the deep half's floor. Faces are seen from
outside: on each, u runs to the right and v up, with the bottom and the top seen so that v runs to
the back (:mod:`fitkit.shell.frame`).
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen
from shapely import Polygon

from fitkit.foam.model import Point as Point
from fitkit.foam.model import Room as Room
from fitkit.payload.workshop import Ends, Fixing, HardwareKind, Side
from fitkit.shell.cables.model import Bundle, CableExit, Route
from fitkit.shell.gap.model import Gap
from fitkit.shell.mounting.model import Screwing, Support

Axis = Literal["x", "y", "z"]
BarKind = Literal["edge", "tongue", "groove"]
CornerKind = Literal["outer", "closing"]


@frozen
class Part:
    """One part of the case: a box, outside sizes, with faces that are open where it closes.

    ``low_mm`` and ``high_mm`` are opposite corners over the profiles. ``plate``: a flat part of
    one panel in a frame (a loose lid), without walls.
    """

    name: str
    low_mm: Point
    high_mm: Point
    open: tuple[Side, ...] = ()
    plate: bool = False


def called(part: str) -> str:
    """The name of a part in a sentence: a half is said to be one.

    >>> called("deep"), called("back deep"), called("ring 1"), called("tray")
    ('deep half', 'back deep', 'ring 1', 'tray')
    """
    return f"{part} half" if part in ("deep", "shallow") else part


@frozen
class Split:
    """Where two parts close on each other: the plane at ``at_mm`` along ``axis``.

    ``below`` and ``above`` name the parts on either side, ``tongue`` the one with the tongue (None
    between a tray and a plate, that has no groove).
    """

    axis: Axis
    at_mm: float
    below: str
    above: str
    tongue: str | None


@frozen
class Assembly:
    """The closed case over its profiles, and the parts that it is split into."""

    low_mm: Point
    high_mm: Point
    parts: tuple[Part, ...]
    splits: tuple[Split, ...] = ()

    def part(self, name: str) -> Part:
        """The part called ``name``; KeyError if there is none."""
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)


@frozen
class Panel:
    """One panel as cut [mm], and where its middle is in the case's coordinates.

    ``length_mm`` runs along u, ``width_mm`` along v. ``grain`` says along which of the two the
    grain or the flutes run: "length", "width", or None where there are none or either will do.
    """

    part: str
    side: Side
    length_mm: float
    width_mm: float
    centre_mm: Point
    board: str
    thickness_mm: float
    areal_kg_m2: float | None
    grain: Literal["length", "width"] | None = None

    @property
    def name(self) -> str:
        """Part and side, such as "deep front"."""
        return f"{self.part} {self.side}"

    @property
    def area_m2(self) -> float:
        """Area of one face, openings not taken out [m2]."""
        return self.length_mm * self.width_mm * 1e-6


@frozen
class Bar:
    """One length of profile as cut [mm].

    It lies along the edge of two faces of its part, ``sides``. ``start_mm`` and ``end_mm`` are its
    ends on that edge's outer line; ``length_mm`` is the distance between them, the long point where
    an end is mitred; ``short_mm`` the short point (as long where both ends are square). A closing
    profile lies along one open face: ``sides`` are the wall that it edges, then that open face.
    """

    part: str
    kind: BarKind
    sides: tuple[Side, Side]
    start_mm: Point
    end_mm: Point
    length_mm: float
    short_mm: float
    ends: Ends

    @property
    def name(self) -> str:
        """Part, kind and sides, such as "deep edge front left"."""
        return f"{self.part} {self.kind} {self.sides[0]} {self.sides[1]}"


@frozen
class Corner:
    """A corner of a part: where three of its faces meet, at its outer point.

    "outer" corners join edge profiles; "closing" corners join a closing frame.
    """

    part: str
    kind: CornerKind
    sides: tuple[Side, Side, Side]
    at_mm: Point


@frozen
class Fitted:
    """One piece of hardware in its place.

    ``name`` such as "latch front 1". ``centre_mm`` is the middle of its flange on the case's outer
    face ``side``; ``turn_deg`` turns it counter-clockwise as seen from outside. ``parts`` are the
    parts that it is fixed to (two where it crosses a closing plane). ``room`` is what it takes of
    the interior, None if it does not reach in. ``size_mm`` is its flange along u and v as turned.
    """

    name: str
    kind: HardwareKind
    type: str
    side: Side
    parts: tuple[str, ...]
    centre_mm: Point
    turn_deg: float
    size_mm: tuple[float, float]
    room: Room | None = None


@frozen
class Opening:
    """An opening in a panel: for what, and its shape in the panel's own u and v [mm].

    The panel's origin is its lower left corner as seen from outside. ``shape`` is clipped to the
    panel: an opening over a closing plane is half in each of two panels.
    """

    panel: str
    owner: str
    shape: Polygon


@frozen
class BarCut:
    """A cut-out in a profile where hardware crosses it, along the bar from its start [mm].

    The leaf on ``side`` is taken away between ``from_mm`` and ``to_mm``, ``deep_mm`` from the
    closing plane or the outer edge inwards.
    """

    bar: str
    owner: str
    side: Side
    from_mm: float
    to_mm: float
    deep_mm: float


@frozen
class Hole:
    """A drilled hole on a face of the case, through one piece or several.

    ``at_mm`` lies on the outer face ``side``. ``pieces`` are the names of the panel and the bars
    that it goes through, outermost first; ``fastener`` is the name of what goes in (empty: none).
    ``pilot_mm`` is the diameter to drill first, ``sink_mm`` that of a countersink (None: none).
    """

    side: Side
    at_mm: Point
    diameter_mm: float
    use: Fixing
    owner: str
    pieces: tuple[str, ...]
    fastener: str = ""
    pilot_mm: float | None = None
    sink_mm: float | None = None


@frozen
class Fastener:
    """Fasteners of one kind: how many are used, how many to buy, and for what.

    ``size`` is such as "4.0 x 12"; ``grip_mm`` the thickness between head and tail. ``note`` says
    what to mind (empty: nothing).
    """

    name: str
    kind: Literal["rivet", "washer", "screw", "bolt", "tee nut"]
    size: str
    used: int
    buy: int
    grip_mm: float | None
    where: str
    note: str = ""
    mass_kg: float | None = None


@frozen
class Trouble:
    """What stands in the way of building the shell: where, what, by how much, and what would do.

    ``short_mm`` is how many millimetres are missing. It is made into a finding of ``verdict``: it
    "fails", it is "tight" where the case can be built all the same, or "unknown" where it hangs on
    the sizes of hardware that nobody has measured.
    """

    where: str
    what: str
    short_mm: float
    remedy: str
    verdict: Literal["fails", "tight", "unknown"] = "fails"


@frozen
class Shell:
    """Everything of the case but its foam: what is cut, drilled, screwed on, and counted.

    ``supports`` and ``screwings`` hold mounted items; ``gaps`` are between what faces each other
    across the closing plane.
    """

    assembly: Assembly
    panels: tuple[Panel, ...]
    bars: tuple[Bar, ...]
    corners: tuple[Corner, ...]
    hardware: tuple[Fitted, ...] = ()
    openings: tuple[Opening, ...] = ()
    bar_cuts: tuple[BarCut, ...] = ()
    holes: tuple[Hole, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    notes: tuple[str, ...] = ()
    supports: tuple[Support, ...] = ()
    screwings: tuple[Screwing, ...] = ()
    gaps: tuple[Gap, ...] = ()
    exits: tuple[CableExit, ...] = ()
    routes: tuple[Route, ...] = ()
    bundles: tuple[Bundle, ...] = ()

    def panel(self, name: str) -> Panel:
        """The panel called ``name``; KeyError if there is none."""
        for panel in self.panels:
            if panel.name == name:
                return panel
        raise KeyError(name)

    @property
    def rooms(self) -> tuple[Room, ...]:
        """What sunk hardware takes of the interior, piece by piece."""
        return tuple(one.room for one in self.hardware if one.room is not None)

    def bar(self, name: str) -> Bar:
        """The bar called ``name``; KeyError if there is none."""
        for bar in self.bars:
            if bar.name == name:
                return bar
        raise KeyError(name)
