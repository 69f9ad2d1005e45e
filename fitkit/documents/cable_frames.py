"""A half with its cables on paper: its plan, and under it the half seen from its front side."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import shapely
from attrs import frozen
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.clear_text import area_of
from fitkit.documents.furniture import scale_for
from fitkit.documents.labels import Board, name_inside
from fitkit.documents.naming import half_names
from fitkit.documents.plan_frame import Frame, outside_box, wall_marks
from fitkit.documents.sheet import (
    DASH_DOT,
    Hatch,
    Mark,
    Path,
    Role,
    Style,
    Text,
    box,
    contours_of,
    disc,
    fast_contours,
    polyline,
)
from fitkit.documents.spots import roomiest
from fitkit.fit.layout import Half
from fitkit.fit.place import Placed, place_all
from fitkit.foam.model import Point
from fitkit.plan import Plan
from fitkit.shell.cables.blocks import body_blocks
from fitkit.shell.cables.model import CableExit, Route

CAPTION_MM, TEXT_MM = 3.2, 2.5
OVER_MM = 9.0
"""Above a plan: its caption [mm on paper]."""

BETWEEN_MM = 12.0
"""Between a plan and the side view under it [mm on paper]."""

LEAST_LINE_MM = 0.7
DISC_MM = 1.9
PLUG = Style("connector", 0.2)


@frozen
class Shown:
    """One half on the sheet: its plan's frame, and where its side view stands [mm on paper]."""

    half: Half
    frame: Frame
    side_y_mm: float
    height_mm: float

    def side(self, x: float, z: float) -> tuple[float, float]:
        """A point of the case in the side view: the half's own back is down."""
        up = self.height_mm - z if self.half.name == "shallow" else z
        return (self.frame.x_mm + x / self.frame.scale, self.side_y_mm + up / self.frame.scale)

    def holds(self, closing_mm: float, point: Point) -> bool:
        """Whether a point lies in this half, or on the closing plane."""
        if self.half.name == "shallow":
            return point[2] >= closing_mm - 1e-6
        return point[2] <= closing_mm + 1e-6


def shown_halves(
    plan: Plan, names: Sequence[str], *, area: tuple[float, float, float, float]
) -> tuple[Shown, ...]:
    """Halves side by side or one under the other, as large as they go into ``area`` [mm]."""
    halves = [half for half in plan.fit.interior.halves if half.name in names]
    left, low, right, high = area
    wide, deep, _ = plan.outside_mm
    walls = (wide - plan.fit.interior.length_mm) / 2
    tall = max(half.depth_mm for half in halves) + walls
    over = OVER_MM + BETWEEN_MM
    room = (right - left, high - low)
    beside = scale_for(
        len(halves) * wide, deep + tall, (room[0] - 8.0 * (len(halves) - 1), room[1] - over)
    )
    under = scale_for(wide, len(halves) * (deep + tall), (room[0], room[1] - len(halves) * over))
    scale = min(beside, under)
    found = []
    for k, half in enumerate(halves):
        x = left + walls / scale
        top = high
        if beside <= under:
            x += k * (wide / scale + 8.0)
        else:
            top -= k * ((deep + tall) / scale + over)
        y = top - OVER_MM - deep / scale + walls / scale
        side = y - walls / scale - BETWEEN_MM - half.depth_mm / scale
        frame = Frame(scale, x, y, plan.fit.interior.width_mm, half.name == "shallow")
        found.append(Shown(half, frame, side, plan.fit.interior.height_mm))
    return tuple(found)


def half_marks(plan: Plan, shown: Shown, routes: Sequence[tuple[int, Route]]) -> list[Mark]:
    """Everything of one half: walls, gear, supports, plugs, coils, cables with their numbers."""
    frame, name = shown.frame, shown.half.name
    placed = [
        one for one in place_all(plan.payload, plan.fit.placements) if one.placement.half == name
    ]
    left, _, _, high = frame.shape(outside_box(plan)).bounds
    how = "lying open, seen from above" if name == "shallow" else "seen from above"
    marks: list[Mark] = [
        Text(left, high + 3.6, f"{half_names(plan)[name]}, {how}", CAPTION_MM, bold=True)
    ]
    marks += wall_marks(plan, frame)
    marks += _supports(plan, shown)
    for one in placed:
        body = contours_of(frame.shape(one.silhouette))
        marks.append(Path(body, Style("ink", 0.3, fill="white")))
    marks += _plugs(shown, placed)
    marks += [mark for one in _exits(plan, name) for mark in _exit_marks(plan, shown, one)]
    closing = plan.fit.interior.closing_mm
    lines = {number: _lines(shown, closing, route.path_mm) for number, route in routes}
    for number, route in routes:
        marks += _coil_marks(shown, closing, route)
        marks += _cable(lines[number], frame.scale, route)
    clear = frame.shape(plan.fit.interior.outline_at(closing))
    board = Board([frame.shape(one.silhouette) for one in placed], shapely.box(*clear.bounds))
    board.lines += [line for drawn in lines.values() for line in drawn]
    numbers = [
        mark
        for number, route in routes
        for mark in _numbers(board, number, lines[number], _coil_at(shown, closing, route))
    ]
    rings = [ring for _, route in routes if (ring := _ring(shown, closing, route)) is not None]
    for one in placed:
        marks += _name(board, frame.shape(one.silhouette), one.label, rings)
    return [*marks, *numbers, *_side_view(plan, shown, placed, routes)]


def _lines(shown: Shown, closing_mm: float, path: Sequence[Point]) -> list[LineString]:
    """The pieces of a path that lie in this half, in plan, on paper."""
    return [
        LineString([shown.frame.point(x, y) for x, y, _ in piece])
        for piece in _pieces(shown, closing_mm, path)
    ]


def _pieces(shown: Shown, closing_mm: float, path: Sequence[Point]) -> list[list[Point]]:
    """The pieces of a path that lie in this half, cut at the closing plane."""
    found: list[list[Point]] = []
    piece: list[Point] = []
    for a, b in zip(path[:-1], path[1:], strict=True):
        here, there = shown.holds(closing_mm, a), shown.holds(closing_mm, b)
        if here and not piece:
            piece = [a]
        if here and there:
            piece.append(b)
        elif here != there:
            share = (closing_mm - a[2]) / (b[2] - a[2])
            cut = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share, closing_mm)
            if here:
                found.append([*piece, cut])
                piece = []
            else:
                piece = [cut, b]
    if len(piece) > 1:
        found.append(piece)
    return [one for one in found if len(one) > 1]


def _cable(lines: Iterable[LineString], scale: float, route: Route) -> list[Mark]:
    """A cable as thick as it is, on a paper edge, so that crossings can be followed."""
    thick = max(LEAST_LINE_MM, route.diameter_mm / scale)
    bad = route.tightest_mm < route.bend_mm - 1.0
    role: Role = "fails" if bad else "zone"
    widths: tuple[tuple[float, Role], ...] = ((thick + 0.7, "paper"), (thick, role))
    marks: list[Mark] = []
    for line in lines:
        for wide, fill in widths:
            area = line.buffer(wide / 2, cap_style="flat", join_style="round")
            marks.append(Path(fast_contours(area), Style(None, fill=fill)))
        if bad:  # told apart without colour too
            middle = (polyline(list(line.coords)),)
            marks.append(Path(middle, Style("paper", thick / 3, DASH_DOT)))
    return marks


def _numbers(
    board: Board, number: int, lines: Sequence[LineString], coil: Polygon | None
) -> list[Mark]:
    """The cable's number in a disc: near both its ends in this half, and on its coil."""
    spots = []
    if lines:
        spots = [(lines[0], 0.0), (lines[-1], 1.0)]
    marks: list[Mark] = []
    for line, end in spots:
        for step in range(14):
            share = min(0.5, (3.0 + 2.5 * step) / max(line.length, 1e-6))
            at = line.interpolate(share if end == 0.0 else 1.0 - share, normalized=True)
            if _disc(board, number, at.x, at.y, marks):
                break
    if coil is not None:
        ring = LineString(coil.exterior.coords)
        for step in range(12):
            at = ring.interpolate(step / 12 + 0.04, normalized=True)
            if _disc(board, number, at.x, at.y, marks):
                break
    return marks


def _disc(board: Board, number: int, x: float, y: float, marks: list[Mark]) -> bool:
    """Draw a number where nothing else stands; whether it could be drawn."""
    area = shapely.box(x - DISC_MM, y - DISC_MM, x + DISC_MM, y + DISC_MM)
    if not board.inside.covers(area) or any(other.intersects(area) for other in board.taken):
        return False
    board.take(area.buffer(0.2))
    text = Text(x, y - 0.92, str(number), TEXT_MM, "middle", True, "zone")
    marks.append(Path((disc(x, y, DISC_MM),), Style("zone", 0.3, fill="paper")))
    marks.append(text)
    return True


def _coil_at(shown: Shown, closing_mm: float, route: Route) -> Polygon | None:
    """The middle line of a coil's wound bundle in plan, on paper, as an area; None if elsewhere."""
    coil = route.coil
    if coil is None or coil.room is None or not _in_half(shown, closing_mm, coil.room.low_mm,
                                                         coil.room.high_mm):  # fmt: skip
        return None
    (x0, y0, _), (x1, y1, _) = coil.room.low_mm, coil.room.high_mm
    inset = min(coil.height_mm, x1 - x0, y1 - y0) / (4 if coil.on_edge else 2)
    area = shapely.box(x0 + inset, y0 + inset, x1 - inset, y1 - inset)
    round_mm = min(area.bounds[2] - area.bounds[0], area.bounds[3] - area.bounds[1]) / 2 - 0.01
    drawn = shown.frame.shape(area.buffer(-round_mm).buffer(round_mm))
    return drawn if isinstance(drawn, Polygon) and not drawn.is_empty else None


def _in_half(shown: Shown, closing_mm: float, low: Point, high: Point) -> bool:
    middle = (0.0, 0.0, (low[2] + high[2]) / 2)
    return shown.holds(closing_mm, middle)


def _ring(shown: Shown, closing_mm: float, route: Route) -> BaseGeometry | None:
    """A coil as it is seen in plan, on paper; None if there is none in this half."""
    middle = _coil_at(shown, closing_mm, route)
    if middle is None or route.coil is None:
        return None
    if route.coil.on_edge and route.coil.room is not None:
        (x0, y0, _), (x1, y1, _) = route.coil.room.low_mm, route.coil.room.high_mm
        return shown.frame.shape(shapely.box(x0, y0, x1, y1))
    return middle.boundary.buffer(route.coil.height_mm / shown.frame.scale / 2)


def _name(
    board: Board, shape: BaseGeometry, label: str, rings: Sequence[BaseGeometry]
) -> list[Mark]:
    """An item's name within it: beside the coils under it, if there is room for it there."""
    over = [ring.buffer(0.5) for ring in rings if ring.intersects(shape)]
    if over:
        clear = shape.difference(shapely.union_all([*over, *board.taken, *board.lines]))
        spot = None if clear.is_empty else roomiest(
            clear.buffer(-0.5), label, largest_mm=CAPTION_MM, smallest_mm=TEXT_MM
        )  # fmt: skip
        if spot is not None and spot.fits:
            text = Text(spot.x_mm, spot.y_mm, label, spot.size_mm, "middle", True, "ink",
                        spot.turn_deg)  # fmt: skip
            board.take(area_of(text))
            return [text]
    found = name_inside(board, shape, label, "") or []
    return [mark for mark in found if not isinstance(mark, Text) or mark.text]


def _coil_marks(shown: Shown, closing_mm: float, route: Route) -> list[Mark]:
    ring = _ring(shown, closing_mm, route)
    if ring is None:
        return []
    return [
        Hatch(contours_of(ring), "cable"),
        Path(contours_of(ring), Style("zone", 0.2, (1.0, 0.6))),
    ]


def _supports(plan: Plan, shown: Shown) -> list[Mark]:
    """Rails, battens and sub-panels of this half, in plan."""
    marks: list[Mark] = []
    for one in () if plan.shell is None else plan.shell.supports:
        if one.half == shown.half.name:
            flat = shapely.box(*one.low_mm[:2], *one.high_mm[:2])
            drawn = contours_of(shown.frame.shape(flat))
            marks += [Hatch(drawn, "panel"), Path(drawn, Style("quiet", 0.18))]
    return marks


def _plugs(shown: Shown, placed: Sequence[Placed]) -> list[Mark]:
    """Zones of connectors: plugs and straight runs."""
    marks: list[Mark] = []
    for one in placed:
        for room in one.rooms:
            if room.kind == "connector":
                area = shown.frame.shape(room.outline.difference(one.silhouette))
                if not area.is_empty:
                    drawn = contours_of(area)
                    marks += [Hatch(drawn, "connector"), Path(drawn, PLUG)]
    return marks


def _exits(plan: Plan, half: str) -> list[CableExit]:
    return [] if plan.shell is None else [one for one in plan.shell.exits if one.part == half]


def _exit_marks(plan: Plan, shown: Shown, one: CableExit) -> list[Mark]:
    """The corner that is cut off, in plan."""
    x, y, _ = plan.fit.interior.size_mm
    cx = x if "right" in one.corner else 0.0
    cy = y if "back" in one.corner else 0.0
    dx = -one.leg_mm if cx else one.leg_mm
    dy = -one.leg_mm if cy else one.leg_mm
    corners = [(cx, cy), (cx + dx, cy), (cx, cy + dy)]
    drawn = polyline([shown.frame.point(*corner) for corner in corners], closed=True)
    return [Path((drawn,), Style("ink", 0.35, fill="foam"))]


def _proud_mm(one: Placed, half: str, closing_mm: float) -> float:
    """How far a copy stands out over the closing plane; below 0 it lies behind it [mm]."""
    return closing_mm - one.z0_mm if half == "shallow" else one.z1_mm - closing_mm


def _side_view(
    plan: Plan, shown: Shown, placed: Sequence[Placed], routes: Sequence[tuple[int, Route]]
) -> list[Mark]:
    """The half from its front side: bodies, supports and cables by their heights."""
    frame, closing = shown.frame, plan.fit.interior.closing_mm
    name, depth = shown.half.name, shown.half.depth_mm
    low = closing if name == "shallow" else 0.0
    x1 = plan.fit.interior.length_mm
    a, b = shown.side(0.0, low), shown.side(x1, low + depth)
    y0, y1 = min(a[1], b[1]), max(a[1], b[1])
    wall = (plan.outside_mm[0] - x1) / 2 / frame.scale
    outer = [(a[0] - wall, y1), (a[0] - wall, y0 - wall), (b[0] + wall, y0 - wall),
             (b[0] + wall, y1), (b[0], y1), (b[0], y0), (a[0], y0), (a[0], y1)]  # fmt: skip
    cut = polyline(outer, closed=True)
    proud = max((_proud_mm(one, name, closing) for one in placed), default=0.0) / frame.scale
    over = min(2.0 + max(0.0, proud), BETWEEN_MM - TEXT_MM - 1.0)
    marks: list[Mark] = [
        Text(a[0] - wall, y1 + over, "from its front side", TEXT_MM, role="quiet"),
        Hatch((cut,), "wall"),
        Path((cut,), Style("ink", 0.4)),
    ]
    for support in () if plan.shell is None else plan.shell.supports:
        if support.half == name:
            p, q = (
                shown.side(support.low_mm[0], support.low_mm[2]),
                shown.side(support.high_mm[0], support.high_mm[2]),
            )
            piece = box(p[0], min(p[1], q[1]), q[0], max(p[1], q[1]))
            marks += [Hatch((piece,), "panel"), Path((piece,), Style("quiet", 0.18))]
    for one in placed:
        boxes = [
            shapely.box(*shown.side(block.low_mm[0], block.low_mm[2]),
                        *shown.side(block.high_mm[0], block.high_mm[2]))
            for block in body_blocks([one])
        ]  # fmt: skip
        body = shapely.normalize(shapely.union_all([shapely.box(*each.bounds) for each in boxes]))
        marks.append(Path(contours_of(body), Style("ink", 0.3, fill="white")))
    for _, route in routes:
        lines = [
            LineString([shown.side(x, z) for x, _, z in piece])
            for piece in _pieces(shown, closing, route.path_mm)
        ]
        marks += _cable(lines, frame.scale, route)
        coil = route.coil
        if (
            coil is not None
            and coil.room is not None
            and _in_half(shown, closing, coil.room.low_mm, coil.room.high_mm)
        ):
            p = shown.side(coil.room.low_mm[0], coil.room.low_mm[2])
            q = shown.side(coil.room.high_mm[0], coil.room.high_mm[2])
            ring = box(p[0], min(p[1], q[1]), q[0], max(p[1], q[1]), corner_mm=0.8)
            marks += [Hatch((ring,), "cable"), Path((ring,), Style("zone", 0.2, (1.0, 0.6)))]
    return marks
