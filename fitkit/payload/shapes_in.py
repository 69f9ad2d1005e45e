"""The shapes of a body as typed: rectangles, circles, polygons with arcs, holes, height bands."""

from __future__ import annotations

import math

import numpy as np
import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

from fitkit.geometry.shapes import CHORD_MM, arc_points, circle, moved, rectangle, regular
from fitkit.payload.bounds import COUNTS, LEAST_MM, LEAST_SIDES, LENGTHS
from fitkit.payload.model import Body, Section
from fitkit.payload.reading import Table, shown
from fitkit.payload.toml_lines import Path
from fitkit.units import MM_PER_INCH, number_text

KINDS = ("rectangle", "circle", "polygon", "regular")
_LATER = {
    "drawing": "type its outline as a polygon for now",
    "solid": "type its sections as rectangles, circles or polygons for now",
    "photo": "measure it and type its outline as a polygon for now",
    "shelf": "type the shape itself for now",
}


@frozen
class Drawn:
    """An outline, and the part of it that is surely material (``core``)."""

    outline: Polygon
    core: BaseGeometry


@frozen
class Piece:
    """One shape of a body with its band."""

    drawn: Drawn
    z0_mm: float
    z1_mm: float


def read_body(item: Table) -> Body | None:
    """The item's body, its box starting at 0, 0, 0; None where anything is wrong with it."""
    if "body" not in item:
        item.fault(
            None, "the item has no body", "give body = [ { rectangle = [w, d], z = [0, h] } ]"
        )
        return None
    body = item.data["body"]
    if isinstance(body, dict):
        item.fault(
            "body",
            "a table where a list of shapes belongs",
            "put it in brackets: body = [ { ... } ]",
        )
        return None
    shapes = item.tables("body")
    if shapes is None:
        return None
    if not shapes:
        if isinstance(body, list) and not body:
            item.fault("body", "the body has no shapes", "give at least one shape with its z band")
        return None
    before = len(item.notes)
    pieces = [piece for piece in map(read_piece, shapes) if piece is not None]
    if len(item.notes) > before:
        return None
    parts = pieces_of(pieces)
    if parts > 1:
        item.fault(
            "body",
            f"the body is in {parts} pieces",
            "let the shapes overlap or share a face; touching at a point or along a line does not "
            "hold them together",
        )
        return None
    left, low, _, _ = shapely.total_bounds(
        np.array([p.drawn.outline for p in pieces], dtype=object)
    )
    down = min(p.z0_mm for p in pieces)
    return Body(
        tuple(
            Section(
                _shifted(p.drawn.outline, -float(left), -float(low)), p.z0_mm - down, p.z1_mm - down
            )
            for p in pieces
        )
    )


def pieces_of(pieces: list[Piece]) -> int:
    """Into how many pieces a body of these shapes falls.

    Between two neighbouring heights the shapes are united and their separate parts counted;
    parts above each other belong together where they share an area.
    """
    marks = sorted({mark for p in pieces for mark in (p.z0_mm, p.z1_mm)})
    floors: list[list[tuple[int, BaseGeometry]]] = []
    leader: list[int] = []

    def lead(index: int) -> int:
        while leader[index] != index:
            index = leader[index]
        return index

    for low, high in zip(marks[:-1], marks[1:], strict=True):
        middle = (low + high) / 2
        here = [p.drawn.core for p in pieces if p.z0_mm < middle < p.z1_mm]
        floor = []
        for part in shapely.get_parts(shapely.union_all(here)):
            if part.area > 0:
                floor.append((len(leader), part))
                leader.append(len(leader))
        if floors:
            for above, upper in floor:
                for below, lower in floors[-1]:
                    if upper.intersection(lower).area > CHORD_MM**2:
                        leader[lead(above)] = lead(below)
        floors.append(floor)
    return len({lead(index) for index in range(len(leader))})


def read_piece(shape: Table) -> Piece | None:
    """A shape with its band."""
    shape.only((*KINDS, "corner", "at", "holes", "z"), later=_LATER)
    if any(key in _LATER for key in shape.data) and not any(kind in shape for kind in KINDS):
        return None
    band = _band(shape)
    drawn = _drawn(shape)
    if drawn is None or band is None:
        return None
    holes = shape.tables("holes") or []
    outline, core = drawn.outline, drawn.core
    for hole in holes:
        hole.only((*KINDS, "corner", "at"))
        cut = _drawn(hole)
        if cut is None:
            continue
        if not Polygon(drawn.outline.exterior).contains_properly(cut.outline):
            hole.fault(None, "the hole is not inside its outline", "move it or make it smaller")
            continue
        # a little smaller than typed, so that the body is never drawn smaller than it is
        gone = (
            cut.outline.buffer(-2 * CHORD_MM, join_style="mitre") if _curved(hole) else cut.outline
        )
        rest = outline.difference(gone)
        if not isinstance(rest, Polygon) or rest.is_empty:
            hole.fault(None, "the hole cuts its outline in pieces", "move it or make it smaller")
            continue
        outline, core = rest, core.difference(gone)
    return Piece(Drawn(shapely.normalize(outline), core), *band)


def _curved(shape: Table) -> bool:
    return "circle" in shape or "corner" in shape or "polygon" in shape


def _band(shape: Table) -> tuple[float, float] | None:
    if "z" not in shape:
        shape.fault(None, "the shape has no height band", "give z = [from, to]")
        return None
    value = shape.data["z"]
    if not isinstance(value, list) or len(value) != 2:
        shape.fault("z", f"{shown(value)} where a band belongs", "give z = [from, to]")
        return None
    ends = [shape.length_at((*shape.path, "z", k), value[k], **LENGTHS["shape.z"]) for k in (0, 1)]
    low, high = ends
    if low is None or high is None:
        return None
    if high - low < LEAST_MM:
        say = shape.notes.say
        found = f"the band from {say(low)} to {say(high)} has no height"
        shape.fault("z", found, "give the lower height first, then the higher one")
        return None
    return low, high


def _drawn(shape: Table) -> Drawn | None:
    """The outline of a shape, without its holes."""
    kinds = [kind for kind in KINDS if kind in shape]
    if len(kinds) != 1:
        found = "the shape has no outline" if not kinds else f"the shape has {' and '.join(kinds)}"
        shape.fault(None, found, "give one of rectangle, circle, polygon or regular")
        return None
    at: tuple[float, float] | None = None
    if "at" in shape:
        at = read_pair(shape, "at", **LENGTHS["shape.at"])
        if at is None:
            return None
    if kinds[0] != "rectangle" and "corner" in shape:
        shape.fault("corner", f"a {kinds[0]} has no corner radius", "take it out")
    if kinds[0] == "rectangle":
        return _rectangle(shape, at or (0.0, 0.0))
    if kinds[0] == "circle":
        return _circle(shape, at)
    if kinds[0] == "regular":
        return _regular(shape, at)
    return _polygon(shape, at or (0.0, 0.0))


def read_pair(
    shape: Table, key: str, *, least_mm: float, most_mm: float
) -> tuple[float, float] | None:
    """Two lengths [mm]."""
    pair = shape.lengths(key, sizes=(2,), least_mm=least_mm, most_mm=most_mm)
    if pair is None or pair[0] is None or pair[1] is None:
        return None
    return pair[0], pair[1]


def _rectangle(shape: Table, at: tuple[float, float]) -> Drawn | None:
    size = read_pair(shape, "rectangle", **LENGTHS["shape.rectangle"])
    corner = shape.length("corner", **LENGTHS["shape.corner"]) if "corner" in shape else 0.0
    if size is None or corner is None:
        return None
    if corner > min(size) / 2:
        say = shape.notes.say
        shape.fault(
            "corner",
            f"a corner of {say(corner)} is more than half the short side",
            f"give {say(min(size) / 2)} or less",
        )
        return None
    outline = rectangle(*size, corner_mm=corner, at=at)
    return Drawn(outline, outline)


def _circle(shape: Table, at: tuple[float, float] | None) -> Drawn | None:
    radius = shape.length("circle", **LENGTHS["shape.circle"])
    if radius is None:
        return None
    outline = circle(radius, at=at or (radius, radius))
    # drawn around the true circle: two that only touch must not count as joined
    return Drawn(outline, outline.buffer(-2 * CHORD_MM, join_style="mitre"))


def _regular(shape: Table, at: tuple[float, float] | None) -> Drawn | None:
    table = shape.table("regular")
    if table is None:
        return None
    table.only(("sides", "across"))
    for key in ("sides", "across"):
        if key not in table:
            table.fault(None, f"{key} is missing", "give regular = { sides = 6, across = 30 }")
    sides = table.whole("sides", most=COUNTS["shape.sides"])
    across = table.length("across", **LENGTHS["shape.across"])
    if sides is None or across is None:
        return None
    if sides < LEAST_SIDES:
        remedy = f"give {LEAST_SIDES} to {COUNTS['shape.sides']} sides"
        table.fault("sides", f"a polygon of {sides} sides", remedy)
        return None
    outline = regular(sides, across, at=at or (0.0, 0.0))
    if at is None:
        outline = _shifted(outline, -outline.bounds[0], -outline.bounds[1])
    return Drawn(outline, outline)


def _polygon(shape: Table, at: tuple[float, float]) -> Drawn | None:
    value = shape.data["polygon"]
    path: Path = (*shape.path, "polygon")
    if not isinstance(value, list) or len(value) < 2:
        shape.fault(
            "polygon", f"{shown(value)} where a list of points belongs", "give three points or more"
        )
        return None
    before = len(shape.notes)
    points: list[tuple[float, float]] = []
    radii: list[float] = []
    for index, entry in enumerate(value):
        vertex = _vertex(shape, (*path, index), entry)
        if vertex is not None:
            points.append(vertex[0])
            radii.append(vertex[1])
    if len(shape.notes) > before:
        return None
    if len(points) > 3 and points[0] == points[-1] and radii[-1] == 0:
        points, radii = points[:-1], radii[:-1]  # closed by hand: the last point says nothing new
    if len(points) < 3 and not any(radii):
        shape.fault("polygon", f"{len(points)} different points", "give three points or more")
        return None
    ring = _ring(shape, path, points, radii)
    if ring is None:
        return None
    outline = Polygon(ring)
    if outline.convex_hull.area < LEAST_MM**2:
        shape.fault(
            "polygon", "the outline encloses nothing", "give points that are not all on one line"
        )
        return None
    if not outline.is_valid:
        shape.fault(
            "polygon",
            _crossing(shape, outline),
            "go round the outline once, without crossing or touching it",
        )
        return None
    outline = shapely.normalize(_shifted(outline, *at))
    return Drawn(outline, outline)


def _vertex(shape: Table, path: Path, entry: object) -> tuple[tuple[float, float], float] | None:
    """A point with the radius of the edge that ends there (0: straight)."""
    if not isinstance(entry, list) or len(entry) not in (2, 4):
        shape.notes.fault(
            path,
            f"{shown(entry)} where a point belongs",
            'give [x, y], or [x, y, "arc", radius] to bend the edge that ends there',
        )
        return None
    if len(entry) == 4 and entry[2] != "arc":
        shape.notes.fault(
            (*path, 2), f"{shown(entry[2])} after the point", 'write "arc" and the radius'
        )
        return None
    x = shape.length_at((*path, 0), entry[0], **LENGTHS["shape.at"])
    y = shape.length_at((*path, 1), entry[1], **LENGTHS["shape.at"])
    radius: float | None = 0.0
    if len(entry) == 4:
        radius = shape.length_at((*path, 3), entry[3], **LENGTHS["shape.at"])
        if radius is not None and abs(radius) < LEAST_MM / 2:
            shape.notes.fault(
                (*path, 3),
                "the radius of the arc is nought",
                "give the radius, or leave it straight",
            )
            return None
    if x is None or y is None or radius is None:
        return None
    return (x, y), radius


def _ring(
    shape: Table, path: Path, points: list[tuple[float, float]], radii: list[float]
) -> list[tuple[float, float]] | None:
    """The points with their arcs drawn in; a positive radius bulges outwards."""
    area = sum(
        x0 * y1 - x1 * y0
        for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True)
    )
    way = -1.0 if area < 0 else 1.0
    ring: list[tuple[float, float]] = []
    for index, (end, radius) in enumerate(zip(points, radii, strict=True)):
        if radius:
            start = points[index - 1]
            chord = math.dist(start, end)
            if chord == 0 or abs(radius) < chord / 2 - 1e-6:
                say = shape.notes.say
                shape.notes.fault(
                    (*path, index),
                    f"an arc of radius {say(abs(radius))} over {say(chord)}",
                    f"give a radius of {say(chord / 2)} or more",
                )
                return None
            bend = math.copysign(max(abs(radius), chord / 2), radius) * way
            ring.extend(arc_points(start, end, bend, outside=radius > 0))
        ring.append(end)
    return ring


def _crossing(shape: Table, outline: Polygon) -> str:
    """Where an outline crosses itself, in the sheet's units."""
    reason = explain_validity(outline)
    if "[" not in reason:
        return "the outline crosses itself"
    x, y = (float(part) for part in reason.split("[")[1].rstrip("]").split()[:2])
    per = MM_PER_INCH if shape.notes.units == "in" else 1.0
    near = ", ".join(number_text(value / per, places=2) for value in (x, y))
    return f"the outline crosses itself near {near}"


def _shifted(outline: Polygon, x_mm: float, y_mm: float) -> Polygon:
    shape = moved(outline, by=(x_mm, y_mm))
    if not isinstance(shape, Polygon):
        raise TypeError(f"an outline was expected, not a {shape.geom_type}")
    return shape
