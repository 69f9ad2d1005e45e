"""The case in use as seen from above: halves on the table, and what their doors sweep."""

from __future__ import annotations

import math

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.clear_text import Taken, area_of, block, grounds
from fitkit.documents.furniture import dimension, scale_for
from fitkit.documents.naming import size
from fitkit.documents.sheet import DASHED, Contour, Mark, Path, Style, Text, contours_of, polyline
from fitkit.documents.shell_words import part_words
from fitkit.documents.use_solids import hardware_solids
from fitkit.plan import Plan
from fitkit.shell.model import Part, Point, Shell
from fitkit.shell.moves import Move
from fitkit.shell.swing import Swing
from fitkit.shell.use import Use, opened_deg, swung


def from_above(
    plan: Plan, shell: Shell, use: Use, room_mm: tuple[float, float, float, float]
) -> list[Mark]:
    """The picture within left, low, right, high on paper, with its title above it."""
    pose = use.pose("in use")
    shapes = {part.name: footprint(part, pose.move_of(part.name)) for part in shell.assembly.parts}
    pieces = [
        _hull([*one.ring("bottom"), *one.ring("top")]) for one in hardware_solids(plan, shell, pose)
    ]
    sweeps = {
        swing.part: swept(shell, swing, pose.move_of(swing.body))
        for swing in use.swings
        if _level(swing, pose.move_of(swing.body))
    }
    everything = shapely.union_all([*shapes.values(), *pieces, *sweeps.values()])
    x0, y0, x1, y1 = everything.bounds
    left, low, right, high = room_mm
    scale = scale_for(x1 - x0, y1 - y0 + 1.0, (right - left - 10.0, high - low - 22.0))
    dx = left + 5.0 - x0 / scale
    dy = low + 10.0 - y0 / scale

    def on_paper(shape: BaseGeometry) -> BaseGeometry:
        return shapely.affinity.affine_transform(shape, [1 / scale, 0, 0, 1 / scale, dx, dy])

    top = dy + y1 / scale
    marks: list[Mark] = [
        Text(left + 5.0, top + 4.4, "in use, from above", 3.6, bold=True),
        Text(left + 50.0, top + 4.4, f"1 : {size(scale)}", 2.5, role="quiet"),
    ]
    for sweep in sweeps.values():
        marks.append(Path(contours_of(on_paper(sweep)), Style("tight", 0.25, DASHED)))
    for piece in pieces:
        marks.append(Path(contours_of(on_paper(piece)), Style("ink", 0.18, fill="white")))
    taken = Taken()
    words = part_words(plan)
    for part in shell.assembly.parts:
        shape = on_paper(shapes[part.name])
        marks.append(Path(contours_of(shape), Style("ink", 0.35, fill="paper")))
    for part in shell.assembly.parts:
        if not part.plate:
            found = taken.first(_places(on_paper(shapes[part.name]), words[part.name])) or []
            marks += [*grounds(found), *found]
    for swing in use.swings:
        if swing.part in sweeps:
            marks += _arc_words(swing, on_paper(sweeps[swing.part]), taken)
    marks += _gap(shell, use, shapes, dx, dy, scale)
    marks.append(Text(left + 5.0, low + 1.0, "the user stands below", 2.5, role="quiet"))
    return marks


def footprint(part: Part, move: Move) -> Polygon:
    """What a part covers of the table as moved."""
    points = [
        move.at((x, y, z))
        for x in (part.low_mm[0], part.high_mm[0])
        for y in (part.low_mm[1], part.high_mm[1])
        for z in (part.low_mm[2], part.high_mm[2])
    ]
    return _hull(points)


def _hull(points: list[Point]) -> Polygon:
    hull = shapely.MultiPoint([(x, y) for x, y, _ in points]).convex_hull
    return hull if isinstance(hull, Polygon) else Polygon()


def _level(swing: Swing, move: Move) -> bool:
    """Whether a door's pin stands upright in use, so that its sweep is seen from above."""
    return abs(move.way_back(swing.axis)[2]) > 0.5


def swept(shell: Shell, swing: Swing, body: Move) -> BaseGeometry:
    """What a door sweeps on its way open, as seen from above."""
    part = shell.assembly.part(swing.part)
    most = opened_deg(swing)
    steps = max(2, math.ceil(most / 3))
    places = [
        footprint(part, swung(swing, most * step / steps).then(body)) for step in range(steps + 1)
    ]
    pairs = [
        shapely.convex_hull(shapely.union_all([a, b]))
        for a, b in zip(places, places[1:], strict=False)
    ]
    return shapely.union_all(pairs)


def _places(shape: BaseGeometry, name: str) -> list[tuple[list[Text], float]]:
    x0, y0, x1, y1 = shape.bounds
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    return [(block(x, y + dy, [(name, 2.8, True)]), 0.3) for dy in (0.0, 4.0, -4.0)]


def _arc_words(swing: Swing, sweep: BaseGeometry, taken: Taken) -> list[Mark]:
    """How far a door swings, in what it sweeps."""
    middle = sweep.centroid
    line = f"{opened_deg(swing):.0f}°"
    for dx, dy in ((0.0, 0.0), (0.0, 6.0), (0.0, -6.0), (8.0, 0.0), (-8.0, 0.0)):
        texts = block(
            middle.x + dx, middle.y + dy, [("door swings", 2.6, True), (line, 2.6, False)]
        )
        areas = [area_of(text).buffer(0.5) for text in texts]
        if all(taken.free(area) for area in areas):
            taken.take(*areas)
            return [*grounds(texts), *texts]
    return []


def _gap(
    shell: Shell, use: Use, shapes: dict[str, Polygon], dx: float, dy: float, scale: float
) -> list[Mark]:
    """The gap between two halves side by side, dimensioned below them."""
    if len(use.groups) < 2:
        return []
    boxes = [
        shapely.union_all([shapes[name] for name in group if not shell.assembly.part(name).plate])
        for group in use.groups
    ]
    full = [box for box in boxes if not box.is_empty]
    if len(full) < 2:
        return []
    first, second = sorted(full, key=lambda box: box.bounds[0])[:2]
    a, b = first.bounds[2], second.bounds[0]
    low = min(first.bounds[1], second.bounds[1])
    y = dy + low / scale
    if b - a <= 0:
        return []
    ends = ((dx + a / scale, y - 4.5), (dx + b / scale, y - 4.5))
    text = size(b - a)
    if ends[1][0] - ends[0][0] > 14.0:
        return dimension(*ends, text, from_mm=y)
    lines: list[Contour] = [polyline([(x, y - 0.8), (x, y - 5.5)]) for x, _ in ends]
    lines.append(polyline([(ends[0][0] - 5.0, y - 4.5), (ends[1][0] + 5.0, y - 4.5)]))
    return [
        Path(tuple(lines), Style("quiet", 0.18)),
        Text(ends[1][0] + 6.0, y - 5.4, f"{text} apart", 2.6),
    ]
