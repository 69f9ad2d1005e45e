"""A support while it is being made, in the case's coordinates, and how it lies on the bench."""

from __future__ import annotations

from functools import cache

import shapely
from attrs import Factory, define, frozen
from shapely import Polygon

from fitkit.reference.panels import panels
from fitkit.shell.frame import AXES
from fitkit.shell.model import Axis, Point
from fitkit.shell.mounting.model import Support, SupportHole, SupportKind

STRIP = "plywood strip"
"""What blocks, battens and packings are cut from (assumption)."""


@frozen
class Drill:
    """A hole through a support, at a point of the case; see :class:`SupportHole`."""

    at_mm: Point
    diameter_mm: float
    use: str
    sink_mm: float | None = None


@define
class Piece:
    """One support: its box, which way it is longest, and which way the item lies.

    ``along`` is the axis of its length, ``across`` that through its thickness; ``toward`` is 1
    where the item lies towards more of that axis. ``cuts`` are boxes (u and v follow from them).
    """

    name: str
    kind: SupportKind
    low_mm: Point
    high_mm: Point
    along: int
    across: int
    toward: int
    material: str = STRIP
    kg_per_m: float | None = None
    kg_per_m2: float | None = None
    holes: list[Drill] = Factory(list)
    cuts: list[tuple[Point, Point]] = Factory(list)

    @property
    def wide(self) -> int:
        """The axis of its width."""
        return 3 - self.along - self.across

    def size_mm(self, axis: int) -> float:
        """How far it reaches along an axis [mm]."""
        return self.high_mm[axis] - self.low_mm[axis]

    @property
    def thick_mm(self) -> float:
        """Its thickness, from the item to what it stands on [mm]."""
        return self.size_mm(self.across)

    def middle_mm(self, axis: int) -> float:
        """Its middle along an axis [mm]."""
        return (self.low_mm[axis] + self.high_mm[axis]) / 2

    def at(self, along_mm: float, *, wide_mm: float | None = None) -> Point:
        """The point on its middle line, or beside it, at a place along it [mm]."""
        point = [self.middle_mm(k) for k in range(3)]
        point[self.along] = along_mm
        if wide_mm is not None:
            point[self.wide] = wide_mm
        return (point[0], point[1], point[2])

    def bench(self, point: Point) -> tuple[float, float]:
        """A point in the piece's own u and v: its lower left corner 0, the item's side up [mm]."""
        v = point[self.wide] - self.low_mm[self.wide]
        u = point[self.along] - self.low_mm[self.along]
        # u, v and the way to the item make a right-handed frame
        if _turns(self.along, self.wide, self.across) * self.toward < 0:
            u = self.size_mm(self.along) - u
        return (u, v)

    def support(self, *, item: str, copy: int, half: str) -> Support:
        """The finished record."""
        long, wide = self.size_mm(self.along), self.size_mm(self.wide)
        holes = []
        for one in self.holes:
            u, v = self.bench(one.at_mm)
            holes.append(SupportHole(u, v, one.diameter_mm, one.use, one.sink_mm))
        openings = []
        sheet = shapely.box(0.0, 0.0, long, wide)
        for low, high in self.cuts:
            (u0, v0), (u1, v1) = self.bench(low), self.bench(high)
            cut = shapely.box(min(u0, u1), min(v0, v1), max(u0, u1), max(v0, v1))
            openings.append(cut.intersection(sheet))
        joined = shapely.union_all([one for one in openings if one.area > 1e-6])
        shapes = tuple(
            shapely.normalize(part)
            for part in shapely.get_parts(joined)
            if isinstance(part, Polygon) and not part.is_empty
        )
        return Support(
            name=self.name,
            kind=self.kind,
            item=item,
            copy=copy,
            half=half,
            low_mm=self.low_mm,
            high_mm=self.high_mm,
            u_axis=_named(self.along),
            v_axis=_named(self.wide),
            length_mm=round(long, 6),
            width_mm=round(wide, 6),
            thick_mm=round(self.thick_mm, 6),
            material=self.material,
            holes=tuple(sorted(holes, key=lambda one: (one.v_mm, one.u_mm, one.use))),
            openings=shapes,
            kg=self._kg(sum(float(one.area) for one in shapes)),
        )

    def _kg(self, cut_mm2: float) -> float | None:
        long, wide = self.size_mm(self.along), self.size_mm(self.wide)
        if self.kg_per_m is not None:
            return long * 1e-3 * self.kg_per_m
        if self.kg_per_m2 is not None:
            return (long * wide - cut_mm2) * 1e-6 * self.kg_per_m2
        if self.material == STRIP:
            return long * wide * self.thick_mm * 1e-9 * strip_kg_m3()
        return None


@cache
def strip_kg_m3() -> float:
    """Density that strips of plywood are counted with [kg/m3]: birch plywood 18 (S18, read)."""
    return panels()["birch plywood 18"].density_kg_m3 or 0.0


def _turns(u: int, v: int, w: int) -> int:
    """1 where u, v, w are a right-handed turn of x, y, z, -1 where they are not."""
    return 1 if (u, v, w) in ((0, 1, 2), (1, 2, 0), (2, 0, 1)) else -1


def _named(axis: int) -> Axis:
    return AXES[axis]
