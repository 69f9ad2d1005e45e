"""One item on paper as it was measured: from above and from the front, with its zones.

Made while the sheet is still being typed: what cannot be drawn yet is said under the picture.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.documents.furniture import arrow, dimension
from fitkit.documents.lettering import cut_to
from fitkit.documents.sheet import (
    DASHED,
    Hatch,
    Mark,
    Path,
    Role,
    Sheet,
    Style,
    Text,
    disc,
    fast_contours,
    polyline,
)
from fitkit.geometry.shapes import union
from fitkit.payload.boxes import face_size_mm
from fitkit.payload.model import Face, Item, Zone
from fitkit.payload.mounted import supports_mm, zones_of
from fitkit.payload.pose import Room, body_size, posed
from fitkit.payload.sketch import Sketch
from fitkit.units import Units, length_text

WIDE_MM = 92.0
"""Width of the picture [mm]."""

_LEFT_MM, _RIGHT_MM = 10.0, 17.0
_MOST_HIGH_MM = 78.0
_LINE_MM = 4.4
_ACROSS: tuple[Face, ...] = ("top", "bottom")
_ALONG: tuple[Face, ...] = ("front", "back")


def figure(length_mm: float, *, units: Units) -> str:
    """A length as figures without its unit.

    >>> figure(44.0, units="mm"), figure(314.325, units="in")
    ('44', '12 3/8')
    """
    return length_text(length_mm, units=units).rsplit(" ", 1)[0]


@frozen
class _Axes:
    """From an item's millimetres to the sheet's."""

    per: float
    x_mm: float
    y_mm: float

    def shape(self, shape: BaseGeometry) -> BaseGeometry:
        return shapely.transform(shape, lambda xy: xy * self.per + (self.x_mm, self.y_mm))

    def at(self, x: float, y: float) -> tuple[float, float]:
        return (x * self.per + self.x_mm, y * self.per + self.y_mm)


def item_sheet(sketch: Sketch, *, units: Units, chosen: int | None = None) -> Sheet:
    """The drawing of an item; ``chosen`` is the shape of the sheet (from 0) that is worked on."""
    item = sketch.item
    solid = posed(item, "top")
    wide, deep, high = body_size(item.body)
    boxes = [room.outline.bounds for room in solid.rooms]
    left = min([0.0, *(b[0] for b in boxes)])
    right = max([wide, *(b[2] for b in boxes)])
    front = min([0.0, *(b[1] for b in boxes)])
    back = max([deep, *(b[3] for b in boxes)])
    foot = min([0.0, *(room.z0_mm for room in solid.rooms)])
    head = max([high, *(room.z1_mm for room in solid.rooms)])
    per = min(
        (WIDE_MM - _LEFT_MM - _RIGHT_MM) / (right - left),
        _MOST_HIGH_MM / (back - front + head - foot),
    )
    notes = _notes(sketch, units)
    below = 5.0 + _LINE_MM * len(notes)
    x = _LEFT_MM + (WIDE_MM - _LEFT_MM - _RIGHT_MM - (right - left) * per) / 2 - left * per
    side = _Axes(per, x, below + 2.0 - foot * per)
    plan_low = below + 2.0 + (head - foot) * per + 11.0
    plan = _Axes(per, x, plan_low - front * per)
    tall = plan_low + (back - front) * per + 15.0
    outlines = [section.outline for section in item.body.sections]
    fronts = [
        shapely.box(s.outline.bounds[0], s.z0_mm, s.outline.bounds[2], s.z1_mm)
        for s in item.body.sections
    ]
    marks: list[Mark] = []
    marks += _view(plan, outlines, sketch, chosen)
    marks += _view(side, fronts, sketch, chosen)
    zones = zones_of(item)
    across = (0.0, 0.0, wide, deep)
    marks += _zones(plan, zones, [(r, r.outline) for r in solid.rooms], _ACROSS, across)
    flat = [
        (r, shapely.box(r.outline.bounds[0], r.z0_mm, r.outline.bounds[2], r.z1_mm))
        for r in solid.rooms
    ]
    marks += _zones(side, zones, flat, _ALONG, (0.0, 0.0, wide, high))
    top = plan.at(0, back)[1]
    above = top + 5.0
    a, b = plan.at(0, 0), plan.at(wide, deep)
    marks += dimension((a[0], above), (b[0], above), figure(wide, units=units), from_mm=b[1])
    beside = plan.at(left, 0)[0] - 5.0
    marks += dimension((beside, a[1]), (beside, b[1]), figure(deep, units=units), from_mm=a[0])
    marks += _heights(side, sketch, right, units)
    marks += [*_origin(*a), *_origin(*side.at(0, 0))]
    marks += _caption(0.0, tall - 4.0, "seen from above")
    marks += _caption(0.0, plan_low - 7.6, "seen from the front")
    for k, (text, role) in enumerate(notes):
        line = cut_to(text, width_mm=WIDE_MM, size_mm=2.7)
        marks.append(Text(0.0, below - 6.0 - _LINE_MM * k, line, 2.7, role=role))
    return Sheet(WIDE_MM, tall, f"{item.name} as measured", tuple(marks))


def _view(
    axes: _Axes, shapes: Sequence[BaseGeometry], sketch: Sketch, chosen: int | None
) -> list[Mark]:
    """The body: white, its rim in ink, its sections thin, the chosen shape in the strong colour."""
    on_paper = [axes.shape(shape) for shape in shapes]
    marks: list[Mark] = [
        Path(fast_contours(shape), Style(None, fill="white")) for shape in on_paper
    ]
    marks += [Path(fast_contours(shape), Style("quiet", 0.18)) for shape in on_paper]
    marks.append(Path(fast_contours(union(on_paper)), Style("ink", 0.4)))
    marks += [
        Path(fast_contours(shape), Style("ok", 0.6))
        for shape, index in zip(on_paper, sketch.shapes, strict=True)
        if index == chosen
    ]
    return marks


def _zones(
    axes: _Axes,
    zones: tuple[Zone, ...],
    rooms: Sequence[tuple[Room, BaseGeometry]],
    facing: tuple[Face, ...],
    whole_mm: tuple[float, float, float, float],
) -> list[Mark]:
    """Zones with their hatch; those that face the eye or lie behind the body dashed.

    Those of a mount follow the item's own; they bear no number, a line of their own says them.
    """
    marks: list[Mark] = []
    numbers: list[Mark] = []
    for number, (zone, (room, shape)) in enumerate(zip(zones, rooms, strict=True), start=1):
        role: Role = "connector" if room.kind == "connector" else "zone"
        contours = fast_contours(axes.shape(shape))
        if zone.face in facing:
            if zone.kind == "mount" and shape.bounds == whole_mm:
                continue  # a recess, or room behind: as large as the body
            marks.append(Path(contours, Style(role, 0.25, DASHED)))
        else:
            marks += [Hatch(contours, room.kind), Path(contours, Style(role, 0.3))]
        if zone.kind != "mount":
            middle = axes.shape(shape).representative_point()
            numbers += _number(middle.x, middle.y, number, role)
    return marks + numbers


def _number(x: float, y: float, number: int, role: Role) -> list[Mark]:
    return [
        Path((disc(x, y, 2.1),), Style(role, 0.25, fill="paper")),
        Text(x, y - 0.92, str(number), 2.5, "middle", True, role),
    ]


def _heights(side: _Axes, sketch: Sketch, right_mm: float, units: Units) -> list[Mark]:
    """Every height at which a section starts or ends, beside the view from the front."""
    levels = sorted({z for s in sketch.item.body.sections for z in (s.z0_mm, s.z1_mm)})
    wide = body_size(sketch.item.body)[0]
    edge = side.at(right_mm, 0)[0]
    marks: list[Mark] = []
    last = -1e9
    for level in levels:
        x, y = side.at(wide, level)
        at = max(y, last + 3.2)
        last = at
        bend = [(x + 0.8, y), (edge + 1.5, y), (edge + 3.5, at), (edge + 4.5, at)]
        marks.append(Path((polyline(bend, closed=False),), Style("quiet", 0.13)))
        marks.append(Text(edge + 5.2, at - 0.95, figure(level, units=units), 2.6))
    return marks


def _origin(x: float, y: float) -> list[Mark]:
    """The lower left front corner, from which everything is measured."""
    lines = (polyline([(x - 2.2, y), (x + 6.0, y)]), polyline([(x, y - 2.2), (x, y + 6.0)]))
    return [
        Path(lines, Style("ok", 0.3)),
        arrow(x + 6.6, y, 1, 0, "ok"),
        arrow(x, y + 6.6, 0, 1, "ok"),
        Path((disc(x, y, 0.7),), Style(None, fill="ok")),
        Text(x - 1.4, y - 3.6, "0", 2.5, "end", True, "ok"),
    ]


def _caption(x: float, y: float, text: str) -> list[Mark]:
    return [Text(x, y, text, 2.6, role="quiet")]


def _notes(sketch: Sketch, units: Units) -> list[tuple[str, Role]]:
    """The lines under the picture: what the numbers mean, and what is missing."""
    lines: list[tuple[str, Role]] = []
    for number, zone in enumerate(sketch.item.zones, start=1):
        across, up = (figure(size, units=units) for size in zone.size_mm)
        depth = figure(zone.depth_mm, units=units)
        text = f"{number}  {zone.kind} zone, {zone.face}: {across} × {up}, {depth} deep"
        lines.append((text, "connector" if zone.kind == "connector" else "zone"))
    lines += [(text, "zone") for text in mount_lines(sketch.item, units)]
    for index in sketch.left_out:
        lines.append((f"shape {index + 1} cannot be drawn yet: see its fault", "fails"))
    if sketch.parts > 1:
        lines.append((f"the body is in {sketch.parts} pieces: let the shapes meet", "fails"))
    return lines


def mount_lines(item: Item, units: Units) -> list[str]:
    """What a mount takes behind and before an item; nothing for one that lies in foam.

    >>> from fitkit.geometry.shapes import rectangle
    >>> from fitkit.payload.model import Body, Section
    >>> from fitkit.payload.mounts import Mount
    >>> body = Body((Section(rectangle(420.0, 262.0), 0.0, 40.0),))
    >>> mount_lines(Item("screen", body, mount=Mount(recess_mm=14.0)), "mm")
    ['bottom: 2 rails 420 × 30, with heads of screws 23 deep', 'top: recess 14']
    """
    mount = item.mount
    if mount is None:
        return []

    def said(length_mm: float) -> str:
        return figure(length_mm, units=units)

    lines: list[str] = []
    pieces = supports_mm(mount, face_mm=face_size_mm(mount.back, item.body))
    deep = said(mount.support_mm)
    if mount.by == "rails":
        sizes = {(said(long), said(wide)) for _, (long, wide) in pieces}
        across = ", ".join(f"{long} × {wide}" for long, wide in sorted(sizes))
        heads = "" if mount.sunk else "with heads of screws "
        many = f"{len(pieces)} rails" if len(pieces) > 1 else "1 rail"
        lines.append(f"{mount.back}: {many} {across}, {heads}{deep} deep")
    elif mount.by == "sub-panel":
        ((_, (long, wide)),) = pieces
        lines.append(f"{mount.back}: sub-panel {said(long)} × {said(wide)}, {deep} deep")
    else:
        lines.append(f"held by the walls at its {mount.walls[0]} and {mount.walls[1]}")
    if mount.behind_mm > 0:
        lines.append(f"{mount.back}: {said(mount.behind_mm)} of room asked for")
    recess = mount.asked_recess_mm
    if recess > 0:
        least = "at least " if mount.recess_mm is None else ""
        lines.append(f"{mount.front}: recess {least}{said(recess)}")
    elif recess < 0:
        lines.append(f"{mount.front}: proud by {said(-recess)}")
    return lines
