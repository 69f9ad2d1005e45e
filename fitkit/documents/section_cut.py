"""What an upright cut along the case's length goes through: every piece as a shape in x and z.

The cut is seen from the front: x to the right, z up, both in the case's own millimetres. Shapes
are exact where bodies, panels, supports and foam are boxes or stand upright, as all of them do.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.place import Placed, place_all
from fitkit.foam.model import Room
from fitkit.payload.model import ZoneKind
from fitkit.plan import Plan
from fitkit.shell.frame import from_panel, out_of, u_of
from fitkit.shell.model import Panel, Shell
from fitkit.shell.mounting.outline import is_below, outline_of

_FAR_MM = 1e5


@frozen
class CutBody:
    """One copy of an item that the cut goes through: its label, half, shape, and its box."""

    label: str
    half: str
    shape: BaseGeometry
    placed: Placed


@frozen
class CutSupport:
    """A rail, batten, sub-panel or block: its shape, and whether the cut goes through it."""

    name: str
    kind: str
    shape: BaseGeometry
    through: bool


@frozen
class Cut:
    """The cut at ``y_mm``: bodies, zones, supports, foam, panels, and rooms of sunk hardware.

    ``layers`` are the sheets of foam one by one, ``supports`` also those behind the cut, which are
    seen beyond it. All shapes are in x and z.
    """

    y_mm: float
    bodies: tuple[CutBody, ...]
    zones: tuple[tuple[ZoneKind, BaseGeometry], ...]
    supports: tuple[CutSupport, ...]
    layers: tuple[BaseGeometry, ...]
    panels: tuple[BaseGeometry, ...]
    rooms: tuple[Polygon, ...]

    def body(self, label: str) -> CutBody | None:
        """The body called ``label``; None where the cut misses it."""
        return next((one for one in self.bodies if one.label == label), None)


def cut_through(plan: Plan, y_mm: float) -> Cut:
    """The cut through the closed case at ``y_mm`` from the interior's front [mm].

    A place outside the case cuts nothing; that is no error here.
    """
    placed = place_all(plan.payload, plan.fit.placements)
    bodies = []
    zones: list[tuple[ZoneKind, BaseGeometry]] = []
    for one in placed:
        bands = one.solid.bands
        shape = _united(_slab(band.shape, y_mm, band.z0_mm, band.z1_mm) for band in bands)
        if not shape.is_empty:
            bodies.append(CutBody(one.label, one.placement.half, shape, one))
        for room in one.solid.rooms:
            area = _slab(room.outline, y_mm, room.z0_mm, room.z1_mm)
            if room.kind != "mount" and not area.is_empty:
                zones.append((room.kind, area.difference(shape)))
    layers = (_slab(la.shape, y_mm, la.z0_mm, la.z1_mm) for la in plan.foam.layers)
    shell = plan.shell
    return Cut(
        y_mm=y_mm,
        bodies=tuple(bodies),
        zones=tuple(zones),
        supports=() if shell is None else _supports(shell, placed, y_mm),
        layers=tuple(one for one in layers if not one.is_empty),
        panels=() if shell is None else _panels(shell, y_mm),
        rooms=() if shell is None else _rooms(shell.rooms, y_mm),
    )


def _slab(outline: BaseGeometry, y_mm: float, z0_mm: float, z1_mm: float) -> BaseGeometry:
    """Where an upright prism is at ``y_mm``, in x and z."""
    line = shapely.LineString([(-_FAR_MM, y_mm), (_FAR_MM, y_mm)])
    return _united(
        shapely.box(part.bounds[0], z0_mm, part.bounds[2], z1_mm)
        for part in shapely.get_parts(outline.intersection(line))
        if part.length > 0
    )


def _united(shapes: Iterable[BaseGeometry]) -> BaseGeometry:
    return shapely.union_all(list(shapes))


def _supports(shell: Shell, placed: Sequence[Placed], y_mm: float) -> tuple[CutSupport, ...]:
    """Those that the cut goes through, their openings left out, and those behind it."""
    copies = {(one.item.name, one.placement.copy): one for one in placed}
    found = []
    for one in shell.supports:
        if one.high_mm[1] <= y_mm:
            continue
        through = one.low_mm[1] < y_mm
        shape: BaseGeometry = shapely.box(
            one.low_mm[0], one.low_mm[2], one.high_mm[0], one.high_mm[2]
        )
        copy = copies.get((one.item, one.copy))
        if through and one.openings and copy is not None:
            outline = outline_of(one, below=is_below(one, copy))
            shape = _slab(outline, y_mm, one.low_mm[2], one.high_mm[2])
        if not shape.is_empty:
            found.append(CutSupport(one.name, one.kind, shape, through))
    return tuple(sorted(found, key=lambda one: one.through))


def _rooms(rooms: Iterable[Room], y_mm: float) -> tuple[Polygon, ...]:
    return tuple(
        shapely.box(one.low_mm[0], one.low_mm[2], one.high_mm[0], one.high_mm[2])
        for one in rooms
        if one.low_mm[1] < y_mm < one.high_mm[1]
    )


def _panels(shell: Shell, y_mm: float) -> tuple[BaseGeometry, ...]:
    """Every panel across the cut, its openings left out."""
    openings: dict[str, list[Polygon]] = {}
    for one in shell.openings:
        openings.setdefault(one.panel, []).append(one.shape)
    shapes = (_panel(panel, openings.get(panel.name, []), y_mm) for panel in shell.panels)
    return tuple(shape for shape in shapes if not shape.is_empty)


def _panel(panel: Panel, openings: list[Polygon], y_mm: float) -> BaseGeometry:
    out, _ = out_of(panel.side)
    if out == 1:  # it lies along the cut
        return Polygon()
    whole = shapely.box(0.0, 0.0, panel.length_mm, panel.width_mm)
    left = whole.difference(shapely.union_all(openings)) if openings else whole
    u_axis, u_sense = u_of(panel.side)
    if u_axis == 1:  # u runs with or against y: the cut is upright on the panel
        u = panel.length_mm / 2 + u_sense * (y_mm - panel.centre_mm[1])
        line = shapely.LineString([(u, -1.0), (u, panel.width_mm + 1.0)])
    else:  # v runs with y
        v = panel.width_mm / 2 + y_mm - panel.centre_mm[1]
        line = shapely.LineString([(-1.0, v), (panel.length_mm + 1.0, v)])
    boxes = []
    for part in shapely.get_parts(left.intersection(line)):
        if part.length <= 0:
            continue
        (u0, v0), (u1, v1) = part.coords[0], part.coords[-1]
        a = from_panel(panel, u0, v0, out=True)
        b = from_panel(panel, u1, v1, out=False)
        boxes.append(
            shapely.box(min(a[0], b[0]), min(a[2], b[2]), max(a[0], b[0]), max(a[2], b[2]))
        )
    return _united(boxes)
