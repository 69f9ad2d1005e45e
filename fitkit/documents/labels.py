"""Where names and numbers stand on a plan view, so that nothing overlaps.

Everything here is in millimetres on paper. A :class:`Board` knows what is taken; names go first,
then the tags of gaps, tightest first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import shapely
from attrs import frozen
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.furniture import tag_size
from fitkit.documents.lettering import CAP_SHARE, width_of
from fitkit.documents.sheet import Mark, Path, Role, Style, Text, disc, polyline
from fitkit.documents.spots import middle_of

NAME_MM, FACT_MM, LEAST_MM = 3.0, 2.5, 2.5


@frozen
class TagSpot:
    """A place for a gap's tag: its middle and turn."""

    x_mm: float
    y_mm: float
    turn_deg: float


class Board:
    """What is taken on a drawing, and what had better stay clear."""

    def __init__(self, bodies: Iterable[BaseGeometry], inside: Polygon) -> None:
        """``bodies`` are the items' outlines, ``inside`` the area in which tags may stand."""
        self.bodies = [shapely.simplify(body, 0.05) for body in bodies]
        self.inside = inside
        self.taken: list[Polygon] = []
        self.lines: list[LineString] = []
        self._tree = shapely.STRtree(self.bodies)
        shapely.prepare(inside)

    def free(self, area: Polygon) -> bool:
        """Is this area clear of names, tags and gap lines, and on the drawing?"""
        return (
            bool(self.inside.covers(area))
            and not any(other.intersects(area) for other in self.taken)
            and not any(line.intersects(area) for line in self.lines)
        )

    def take(self, area: Polygon) -> None:
        """Keep others off this area."""
        self.taken.append(area)

    def covered(self, area: Polygon) -> float:
        """How much of ``area`` lies on bodies [mm2], with what it cuts of their outlines."""
        total = 0.0
        for k in self._tree.query(area, predicate="intersects"):
            body = self.bodies[int(k)]
            total += float(body.intersection(area).area)
            if not body.covers(area):
                total += 3.0
        return total


def name_inside(
    board: Board, shape: BaseGeometry, name: str, fact: str, *, inner: Sequence[BaseGeometry] = ()
) -> list[Mark] | None:
    """The name, with the fact under it where there is room, inside an item; None if none fits.

    ``inner`` are outlines within the item that the name had better not cross.
    """
    x, y, _ = middle_of(shape)
    edges = [line.boundary for line in inner]
    tall = (shape.bounds[3] - shape.bounds[1]) if inner else 0.0
    crossing: tuple[Polygon, list[Mark]] | None = None
    for lines, turn in _settings(name, fact):
        for lift in (0.0, -0.12, 0.12, -0.25, 0.25, -0.35, 0.35) if inner else (0.0,):
            area, marks = _block(x, y + lift * tall, lines, turn)
            if not shape.covers(area.buffer(0.5)) or not board.free(area):
                continue
            if not any(edge.intersects(area) for edge in edges):
                board.take(area)
                return marks
            crossing = crossing or (area, marks)
    if crossing is None:
        return None
    board.take(crossing[0])
    return crossing[1]


def name_beside(
    board: Board, shape: BaseGeometry, name: str, *, clear: BaseGeometry
) -> list[Mark] | None:
    """The name in free foam near an item, with a leader to it; None if there is no room.

    ``clear`` is the area inside the walls.
    """
    x, y, _ = middle_of(shape)
    left, low, right, high = shape.bounds
    long = width_of(name, size_mm=LEAST_MM, bold=True)
    reach_x, reach_y = (right - left) / 2 + 2.0 + long / 2, (high - low) / 2 + 2.0 + 1.5
    for away in (1.0, 1.4, 1.9):
        for angle in (0, 180, 90, 270, 45, 135, 225, 315):
            a = math.radians(angle)
            cx, cy = x + away * reach_x * math.cos(a), y + away * reach_y * math.sin(a)
            area, marks = _block(cx, cy, [(name, LEAST_MM, True)], 0.0)
            room = area.buffer(0.6)
            if not clear.covers(room) or not board.free(room) or board.covered(room) > 0:
                continue
            end = shapely.shortest_line(area, Point(x, y))
            (x0, y0), (x1, y1) = shapely.get_coordinates(end)
            leader = LineString([(x0, y0), (x1, y1)])
            if any(leader.intersects(other) for other in board.taken):
                continue
            if sum(1 for body in board.bodies if body.intersects(leader)) > 1:
                continue
            board.take(area)
            board.lines.append(leader)
            return [
                Path((polyline([(x0, y0), (x1, y1)]),), Style("quiet", 0.18)),
                Path((disc(float(x1), float(y1), 0.4),), Style(None, fill="ink")),
                *marks,
            ]
    return None


def key_number(board: Board, shape: BaseGeometry, number: int) -> list[Mark]:
    """A number in the middle of an item that has no room for its name."""
    x, y, _ = middle_of(shape)
    area, marks = _block(x, y, [(str(number), LEAST_MM, True)], 0.0)
    board.take(area)
    return marks


def tag_spot(
    board: Board, a: tuple[float, float], b: tuple[float, float], text: str
) -> TagSpot | None:
    """The best free place for the tag of the gap from ``a`` to ``b``; None if there is none."""
    best: tuple[float, TagSpot, Polygon] | None = None
    for cost, spot in _tag_places(a, b, text):
        if best is not None and cost >= best[0]:
            continue
        area = _tag_area(spot, text)
        if not board.free(area):
            continue
        cost += 0.8 * board.covered(area)
        if best is None or cost < best[0]:
            best = (cost, spot, area)
    if best is None:
        return None
    board.take(best[2].buffer(0.2))
    return best[1]


def _tag_area(spot: TagSpot, text: str) -> Polygon:
    w, h = tag_size(text)
    if spot.turn_deg:
        w, h = h, w
    return shapely.box(spot.x_mm - w / 2, spot.y_mm - h / 2, spot.x_mm + w / 2, spot.y_mm + h / 2)


def _tag_places(
    a: tuple[float, float], b: tuple[float, float], text: str
) -> Iterator[tuple[float, TagSpot]]:
    mx, my = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    long = math.hypot(b[0] - a[0], b[1] - a[1])
    ux, uy = ((b[0] - a[0]) / long, (b[1] - a[1]) / long) if long > 1e-9 else (1.0, 0.0)
    w, h = tag_size(text)
    for turn in (0.0, 90.0):
        tw, th = (w, h) if not turn else (h, w)
        along = abs(ux) * tw + abs(uy) * th
        aside = abs(uy) * tw + abs(ux) * th
        extra = 0.0 if not turn else 1.0
        if long > along + 5.0:
            yield extra, TagSpot(mx, my, turn)
        for k in range(7):
            away = aside / 2 + 1.0 + 1.3 * k
            for side in (1.0, -1.0):
                for slide in (0.0, 3.0, -3.0):
                    x = mx - uy * away * side + ux * slide
                    y = my + ux * away * side + uy * slide
                    yield extra + 0.8 * k + 0.3 * abs(slide), TagSpot(x, y, turn)


def _settings(name: str, fact: str) -> Iterator[tuple[list[tuple[str, float, bool]], float]]:
    two = [(name, NAME_MM, True), (fact, FACT_MM, False)]
    yield two, 0.0
    broken = _broken(name)
    number_last = (
        broken is not None and broken[1].isdigit()
    )  # a number had better stay with its name
    if broken and not number_last:
        yield [(broken[0], NAME_MM, True), (broken[1], NAME_MM, True), (fact, FACT_MM, False)], 0.0
    yield two, 90.0
    for size in (NAME_MM, LEAST_MM):
        yield [(name, size, True)], 0.0
        if broken and not number_last:
            yield [(broken[0], size, True), (broken[1], size, True)], 0.0
        yield [(name, size, True)], 90.0
    if broken:
        yield [(broken[0], LEAST_MM, True), (broken[1], LEAST_MM, True)], 0.0


def _broken(name: str) -> tuple[str, str] | None:
    """A name in two lines of about the same length."""
    words = name.split()
    if len(words) < 2:
        return None
    cuts = [(" ".join(words[:k]), " ".join(words[k:])) for k in range(1, len(words))]
    return min(cuts, key=lambda cut: max(len(cut[0]), len(cut[1])))


def _block(
    x: float, y: float, lines: list[tuple[str, float, bool]], turn: float
) -> tuple[Polygon, list[Mark]]:
    """Lines of text about a middle: the area that they take, and the marks."""
    wide = max(width_of(text, size_mm=size, bold=bold) for text, size, bold in lines)
    lead = [size * 1.28 for _, size, _ in lines]
    tall = sum(lead[1:]) + lines[0][1] * CAP_SHARE
    bases: list[float] = []
    at = tall / 2 - lines[0][1] * CAP_SHARE
    for k in range(len(lines)):
        if k:
            at -= lead[k]
        bases.append(at)
    below = 0.22 * lines[-1][1]
    w, h0, h1 = wide / 2 + 0.3, -tall / 2 - below, tall / 2 + 0.2
    marks: list[Mark] = []
    for (text, size, bold), base in zip(lines, bases, strict=True):
        at_xy = (x - base, y) if turn else (x, y + base)
        role: Role = "ink" if bold else "quiet"
        marks.append(Text(*at_xy, text, size, "middle", bold, role, turn))
    area = (
        shapely.box(x - h1, y - w, x - h0, y + w)
        if turn
        else shapely.box(x - w, y + h0, x + w, y + h1)
    )
    return area, marks
