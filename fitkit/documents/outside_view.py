"""The closed case from its six sides, in third-angle projection, with hardware and rivets.

Each view stands where its side is unfolded from the front: right of the front is the right side,
above it the top, below it the bottom seen from below with its front edge up; the back comes last.
"""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from fitkit.documents.clear_text import Taken, area_of, block, grounds
from fitkit.documents.furniture import dimension, scale_for, title_block
from fitkit.documents.lettering import cut_to, width_of
from fitkit.documents.naming import size
from fitkit.documents.outside_leaves import corners, leaves, outermost
from fitkit.documents.sheet import (
    DASH_DOT,
    DASHED,
    Circle,
    Hatch,
    Mark,
    Path,
    Sheet,
    Style,
    Text,
    contours_of,
    polyline,
)
from fitkit.payload.workshop import Side
from fitkit.plan import Plan
from fitkit.shell.frame import out_of, to_face
from fitkit.shell.model import Fitted, Panel, Shell

WIDTH_MM, HEIGHT_MM = 420.0, 297.0
LEFT_MM, LOW_MM, TOP_MM = 24.0, 30.0, 40.0
GAP_MM = 14.0
"""Between two views: room for a title or a dimension [mm]."""
NAME_MM, TITLE_MM = 2.5, 3.2
DOT_MM = 0.9
"""A rivet on paper, at the least [mm]."""


@frozen
class View:
    """One side on the paper: its scale, and where its lower left corner stands.

    ``over``: the side is turned by 180 degrees, as the bottom is.
    """

    side: Side
    scale: float
    x_mm: float
    y_mm: float
    low_uv: tuple[float, float]
    size_uv: tuple[float, float]
    over: bool = False

    def point(self, u: float, v: float) -> tuple[float, float]:
        """A point of the face on paper."""
        du, dv = u - self.low_uv[0], v - self.low_uv[1]
        if self.over:
            du, dv = self.size_uv[0] - du, self.size_uv[1] - dv
        return (self.x_mm + du / self.scale, self.y_mm + dv / self.scale)

    def shape(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the face on paper."""
        x0, y0 = self.point(0.0, 0.0)
        k = (-1.0 if self.over else 1.0) / self.scale
        return affine_transform(shape, [k, 0, 0, k, x0, y0])

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, low, right, high on paper [mm]."""
        u, v = self.size_uv
        return (self.x_mm, self.y_mm, self.x_mm + u / self.scale, self.y_mm + v / self.scale)


def outside_sheet(plan: Plan, *, number: int = 1, total: int = 1) -> Sheet:
    """The six sides of the closed case on A3; ValueError where the plan has no shell."""
    if plan.shell is None:
        raise ValueError("the plan has no shell to draw")
    shell = plan.shell
    views = views_of_sides(shell)
    title = cut_to(plan.payload.title, width_mm=200.0, size_mm=6.2, bold=True)
    line = "outside, closed, unfolded from the front (third-angle projection) · sizes in mm"
    marks: list[Mark] = [
        Text(12.0, HEIGHT_MM - 16.0, title, 6.2, bold=True),
        Text(12.0, HEIGHT_MM - 21.5, line, 3.0, role="quiet"),
    ]
    for view in views:
        marks += _side(plan, shell, view)
    marks += _sizes(shell, {view.side: view for view in views})
    marks += _key(shell)
    scale = views[0].scale
    marks += title_block(plan, width_mm=WIDTH_MM, number=number, total=total, scale=scale)
    return Sheet(WIDTH_MM, HEIGHT_MM, f"{plan.payload.title}: outside, unfolded", tuple(marks))


def views_of_sides(shell: Shell) -> list[View]:
    """Where each side stands on the paper, the front first."""
    low, high = shell.assembly.low_mm, shell.assembly.high_mm
    long, deep, tall = (b - a for a, b in zip(low, high, strict=True))
    room = (WIDTH_MM - LEFT_MM - 16.0 - 3 * GAP_MM, HEIGHT_MM - LOW_MM - TOP_MM - 2 * GAP_MM)
    n = scale_for(2 * long + 2 * deep, tall + 2 * deep, room)
    x_front = LEFT_MM + deep / n + GAP_MM
    y_front = LOW_MM + deep / n + GAP_MM
    x_right = x_front + long / n + GAP_MM
    places: dict[Side, tuple[float, float]] = {
        "front": (x_front, y_front),
        "left": (LEFT_MM, y_front),
        "right": (x_right, y_front),
        "back": (x_right + deep / n + GAP_MM, y_front),
        "top": (x_front, y_front + tall / n + GAP_MM),
        "bottom": (x_front, LOW_MM),
    }
    found = []
    for side, (x, y) in places.items():
        a, b = to_face(side, low), to_face(side, high)
        corner = (min(a[0], b[0]), min(a[1], b[1]))
        span = (abs(b[0] - a[0]), abs(b[1] - a[1]))
        found.append(View(side, n, x, y, corner, span, side == "bottom"))
    return found


def _side(plan: Plan, shell: Shell, view: View) -> list[Mark]:
    left, low, right, high = view.box
    marks: list[Mark] = []
    legs = [view.shape(leaf) for leaf in leaves(plan, view.side)]
    openings = _openings(shell, view)
    hidden = [shape for _, shape in openings]
    outline = shapely.box(left, low, right, high)
    marks.append(Path(contours_of(outline), Style(None, fill="white")))
    ends = [view.shape(corner) for corner in corners(plan, view.side)]
    covered = shapely.union_all([*legs, *ends, *hidden])
    for panel in shell.panels:
        if panel.side == view.side and outermost(shell, panel):
            seen = shapely.difference(view.shape(_panel_shape(panel)), covered)
            marks.append(Hatch(contours_of(seen), "panel"))
    for leg in legs:
        marks.append(Path(contours_of(leg), Style("ink", 0.18, fill="white")))
    for end in ends:
        marks.append(Path(contours_of(end), Style("ink", 0.25, fill="paper")))
    marks.append(Path(contours_of(outline), Style("ink", 0.5)))
    taken = Taken([outline.boundary])
    for split in shell.assembly.splits:
        line = _closing_line(view, split.axis, split.at_mm)
        if line is not None:
            marks.append(Path((polyline(line),), Style("ok", 0.35, DASH_DOT)))
            taken.take(shapely.LineString(line))
    flanges = [
        (one, view.shape(_flange(one)))
        for one in shell.hardware
        if one.side == view.side and one.kind != "corner"  # drawn on all its faces, and counted
    ]
    for one, shape in flanges:
        # a stay sits inside, behind its rivets
        plain = Style("quiet", 0.25, DASHED) if one.kind == "stay" else None
        marks.append(Path(contours_of(shape), plain or Style("ink", 0.35, fill="paper")))
    pieces = {one.name for one in shell.hardware}
    plain_holes = [(owner, shape) for owner, shape in openings if owner not in pieces]
    for owner, shape in openings:
        hidden_line = Style("quiet", 0.2, DASHED)
        seen_line = Style("ink", 0.35, fill="white")
        style = hidden_line if owner in pieces else seen_line
        marks.append(Path(contours_of(shape), style))
    dots = []
    for hole in shell.holes:
        if hole.side == view.side:
            x, y = view.point(*to_face(view.side, hole.at_mm))
            across = max(DOT_MM, hole.diameter_mm / view.scale)
            filled = hole.use == "rivet"
            style = Style(None, fill="ink") if filled else Style("ink", 0.18, fill="white")
            marks.append(Circle(x, y, across, style))
            dots.append(shapely.Point(x, y).buffer(across / 2 + 0.2))
    taken.take(*dots)
    wanted: list[BaseGeometry] = [shape for _, shape in flanges]
    for one, shape in flanges:
        others = Taken([*dots, *(other for other in wanted if other is not shape)])
        name = one.name.replace(f" {view.side}", "", 1)
        name += " inside" if one.kind == "stay" else ""
        found = _named(taken, others, shape, name, shapely.box(left, low, right, high))
        if found:
            words, leader = found
            marks += leader
            marks += grounds(words)
            marks += words
    for owner, shape in plain_holes:
        found = _named(taken, Taken(dots), shape, short_owner(owner), outline)
        if found:
            words, leader = found
            marks += [*leader, *grounds(words), *words]
    words_at = (left, high + 2.4)
    name = f"{view.side}, seen from below" if view.side == "bottom" else view.side
    marks.append(Text(*words_at, name, TITLE_MM, bold=True))
    return marks


def short_owner(owner: str) -> str:
    """An opening that no piece of hardware covers, as it is called on a face.

    >>> short_owner("exit deep left back"), short_owner("finger pocket back deep")
    ('cable exit', 'finger pocket')
    """
    if owner.startswith("exit "):
        return "cable exit"
    return "finger pocket" if owner.startswith("finger pocket") else owner


def _named(
    taken: Taken, others: Taken, shape: BaseGeometry, name: str, room: Polygon
) -> tuple[list[Text], list[Mark]] | None:
    """A piece's name in its flange, or beside it with a leader."""
    inner = taken.first(_inside_places(shape, name), inside=shape)
    if inner:
        return inner, []
    middle = shape.centroid
    for texts, margin in _beside_places(shape, name):
        area = shapely.union_all([area_of(text) for text in texts]).buffer(margin)
        if room.covers(area) and others.free(area) and taken.free(area):
            taken.take(area)
            line = shapely.shortest_line(area, middle)
            (x0, y0), (x1, y1) = shapely.get_coordinates(line)
            leader = Path((polyline([(x0, y0), (x1, y1)]),), Style("quiet", 0.18))
            return texts, [leader]
    number = name.rsplit(" ", 1)[-1]  # its like stand beside it, with their names
    alone = taken.first(_inside_places(shape, number), inside=shape)
    return None if alone is None else (alone, [])


def _inside_places(shape: BaseGeometry, name: str) -> Iterator[tuple[list[Text], float]]:
    left, low, right, high = shape.bounds
    x, y = (left + right) / 2, (low + high) / 2
    broken = [(word, NAME_MM, True) for word in name.rsplit(" ", 1)]
    for lines in ([(name, NAME_MM, True)], broken):
        for turn in (0.0, 90.0):
            for shift in (0.0, 0.22, -0.22, 0.3, -0.3):
                yield block(x, y + shift * (high - low), lines, turn_deg=turn), 0.3


def _beside_places(shape: BaseGeometry, name: str) -> Iterator[tuple[list[Text], float]]:
    left, low, right, high = shape.bounds
    x, y = (left + right) / 2, (low + high) / 2
    half = width_of(name, size_mm=NAME_MM, bold=True) / 2
    lines = [(name, NAME_MM, True)]
    for away in (2.2, 4.0, 6.5, 9.5, 14.0, 19.0, 25.0):
        for dx, dy in ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1)):
            at_x = x + dx * ((right - left) / 2 + half + away - 1.0)
            at_y = y + dy * ((high - low) / 2 + away)
            yield block(at_x, at_y, lines), 0.3


def _flange(one: Fitted) -> Polygon:
    u, v = to_face(one.side, one.centre_mm)
    a, b = one.size_mm[0] / 2, one.size_mm[1] / 2
    return shapely.box(u - a, v - b, u + a, v + b)


def _openings(shell: Shell, view: View) -> list[tuple[str, BaseGeometry]]:
    """Openings of a side on paper, the shares of one owner in several panels together."""
    found: dict[str, list[BaseGeometry]] = {}
    panels = {panel.name: panel for panel in shell.panels}
    for one in shell.openings:
        panel = panels[one.panel]
        if panel.side == view.side and outermost(shell, panel):
            u, v = to_face(panel.side, panel.centre_mm)
            corner = (u - panel.length_mm / 2, v - panel.width_mm / 2)
            moved = shapely.affinity.translate(one.shape, *corner)
            found.setdefault(one.owner, []).append(view.shape(moved))
    return [(owner, shapely.union_all(shapes)) for owner, shapes in found.items()]


def _panel_shape(panel: Panel) -> Polygon:
    u, v = to_face(panel.side, panel.centre_mm)
    a, b = panel.length_mm / 2, panel.width_mm / 2
    return shapely.box(u - a, v - b, u + a, v + b)


def _closing_line(view: View, axis: str, at_mm: float) -> list[tuple[float, float]] | None:
    """Where a closing plane crosses a side; None where it lies in it."""
    k = ("x", "y", "z").index(axis)
    if out_of(view.side)[0] == k:
        return None
    at = [0.0, 0.0, 0.0]
    at[k] = at_mm
    x, y = view.point(*to_face(view.side, (at[0], at[1], at[2])))
    left, low, right, high = view.box
    unit = [0.0, 0.0, 0.0]
    unit[k] = 1.0
    upright = to_face(view.side, (unit[0], unit[1], unit[2]))[1] != 0
    if upright:
        return [(left - 3.0, y), (right + 3.0, y)]
    return [(x, low - 3.0), (x, high + 1.6)]


def _sizes(shell: Shell, views: dict[Side, View]) -> list[Mark]:
    low, high = shell.assembly.low_mm, shell.assembly.high_mm
    long, deep, tall = (b - a for a, b in zip(low, high, strict=True))
    top, left = views["top"].box, views["left"].box
    marks = dimension((top[0], top[3] + 8.5), (top[2], top[3] + 8.5), f"{size(long)} outside",
                      from_mm=top[3] + 5.2)  # fmt: skip
    marks += dimension((top[0] - 7.0, top[1]), (top[0] - 7.0, top[3]), f"{size(deep)} outside",
                       from_mm=top[0])  # fmt: skip
    marks += dimension((left[0] - 7.0, left[1]), (left[0] - 7.0, left[3]), f"{size(tall)} outside",
                       from_mm=left[0])  # fmt: skip
    front = views["front"]
    heights = [s.at_mm for s in shell.assembly.splits if s.axis == "z"]
    edges = sorted({low[2], *heights, high[2]})
    if len(edges) > 2:
        x = views["right"].box[2] + 6.0
        for a, b in zip(edges, edges[1:], strict=False):
            y0, y1 = (front.point(0.0, v)[1] for v in (a, b))
            if y1 - y0 > width_of(size(b - a), size_mm=2.6) + 5.0:
                marks += dimension((x, y0), (x, y1), size(b - a), from_mm=x - 6.0)
    return marks


def _key(shell: Shell) -> list[Mark]:
    """What lines and dots mean, in the free corner at the upper right."""
    x, y = WIDTH_MM - 128.0, HEIGHT_MM - 34.0
    kinds: dict[str, int] = {}
    for one in shell.hardware:
        kinds[one.kind] = kinds.get(one.kind, 0) + 1
    marks: list[Mark] = [
        Path((polyline([(x, y + 0.9), (x + 12.0, y + 0.9)]),), Style("ok", 0.35, DASH_DOT)),
        Text(x + 16.0, y, "closing plane", 2.8),
        Path((polyline([(x, y - 4.6), (x + 12.0, y - 4.6)]),), Style("quiet", 0.2, DASHED)),
        Text(x + 16.0, y - 5.5, "opening under a flange; others in solid line", 2.8),
        Circle(x + 6.0, y - 10.0, 1.2, Style(None, fill="ink")),
        Text(x + 16.0, y - 11.0, "rivet", 2.8),
        Circle(x + 6.0, y - 15.5, 1.6, Style("ink", 0.18, fill="white")),
        Text(x + 16.0, y - 16.5, "other hole", 2.8),
    ]
    at = y - 23.0
    for kind, count in sorted(kinds.items()):
        marks.append(Text(x + 12.0, at, str(count), 2.8, "end"))
        marks.append(Text(x + 16.0, at, kind if count == 1 else _several(kind), 2.8))
        at -= 4.6
    return marks


def _several(kind: str) -> str:
    """The plural of a kind of hardware.

    >>> _several("latch"), _several("foot"), _several("handle")
    ('latches', 'feet', 'handles')
    """
    if kind == "foot":
        return "feet"
    return f"{kind}es" if kind.endswith("ch") else f"{kind}s"
