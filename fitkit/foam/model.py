"""The records of a foam lining: layers with their cut-outs, and the webs left between them."""

from __future__ import annotations

from typing import Literal

import shapely
from attrs import frozen
from shapely import MultiPolygon, Polygon

from fitkit.fit.layout import HalfName

CutoutKind = Literal["pocket", "notch", "channel", "relief"]
Point = tuple[float, float, float]


@frozen
class Room:
    """A box inside the case that a sunk piece of hardware takes: opposite corners [mm].

    In the case's coordinates; ``owner`` says whose it is.
    """

    low_mm: Point
    high_mm: Point
    owner: str = ""


@frozen
class Way:
    """Room that a cable takes: a stretch of its path, or its coil, as an outline over a band [mm].

    In the case's coordinates; the channel belongs to the copy of the item that the cable starts
    at. ``laid``: it is laid in from the closing plane, so that the foam over it is open as well;
    else only its own band is.
    """

    item: str
    copy: int
    outline: Polygon
    z0_mm: float
    z1_mm: float
    laid: bool = True


@frozen
class Cutout:
    """What is taken out of one layer for one copy of an item; ``shape`` is as finished [mm]."""

    item: str
    copy: int
    kind: CutoutKind
    shape: Polygon


@frozen
class NotchAt:
    """A notch by its place on the edge of its item's pocket.

    ``at`` is that place in the item's own plan frame: as posed, turned to 0, the lower left corner
    of the body's box at the origin [mm]. So the notch goes along when the item is moved or turned.
    ``depth_mm`` is how far it reaches from there into the foam beside the pocket. ``way_deg`` is
    the direction in which it does, in the same frame, counter-clockwise from along the box; None is
    square to the edge.
    """

    item: str
    copy: int
    at: tuple[float, float]
    width_mm: float
    depth_mm: float
    way_deg: float | None = None


@frozen
class NotchesOf:
    """The builder's choice for one copy: these notches instead of the planned ones.

    An empty tuple is a pocket without notches.
    """

    item: str
    copy: int
    notches: tuple[NotchAt, ...] = ()

    @property
    def key(self) -> tuple[str, int]:
        """The item's name and the number of the copy."""
        return (self.item, self.copy)


@frozen
class Layer:
    """One cut sheet of foam.

    ``index`` counts from 1 at the half's own floor towards the closing plane. ``z0_mm`` and
    ``z1_mm`` are heights in the closed case, z up from the deep half's floor. ``outline`` is the
    sheet's outer edge; ``cutouts`` are within it and may overlap each other.
    """

    half: HalfName
    index: int
    z0_mm: float
    z1_mm: float
    material: Literal["foam", "accent"]
    outline: Polygon
    cutouts: tuple[Cutout, ...]

    @property
    def thickness_mm(self) -> float:
        """Thickness of the sheet [mm]."""
        return self.z1_mm - self.z0_mm

    @property
    def name(self) -> str:
        """The layer's file-friendly name, such as ``deep-03``."""
        return f"{self.half}-{self.index:02d}"

    @property
    def shape(self) -> Polygon | MultiPolygon:
        """The foam that is left: outline less all cut-outs (several pieces are possible)."""
        holes = shapely.union_all([cutout.shape for cutout in self.cutouts])
        left = self.outline.difference(holes)
        if not isinstance(left, Polygon | MultiPolygon):
            left = shapely.multipolygons(
                [part for part in shapely.get_parts(left) if isinstance(part, Polygon)]
            )
        return left


@frozen
class Web:
    """A place where the finished layer is narrow.

    Between ``left`` and ``right`` (item labels, or "edge") of one layer, ``width_mm`` wide, with
    the witness line from ``a_mm`` to ``b_mm`` (x, y).
    """

    half: HalfName
    layer: int
    left: str
    right: str
    width_mm: float
    limit_mm: float
    a_mm: tuple[float, float]
    b_mm: tuple[float, float]


@frozen
class SheetUse:
    """How many sheets of one thickness the lining takes."""

    thickness_mm: float
    material: Literal["foam", "accent"]
    pieces: int
    area_mm2: float


@frozen
class Foam:
    """The whole lining: layers of all halves, narrow webs, loose islands and sheets to buy."""

    layers: tuple[Layer, ...]
    webs: tuple[Web, ...]
    sheets: tuple[SheetUse, ...]
    notes: tuple[str, ...] = ()
