"""Workshop drawings of what holds mounted items: each distinct piece once, with its holes.

A piece lies on the bench with the item's side up. Strips (rails, battens, packings, narrow blocks)
stand three to a sheet; sub-panels have a sheet of their own.
"""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from attrs import frozen
from shapely import LineString, Polygon
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from fitkit.documents.clear_text import Taken, area_of, block, grounds
from fitkit.documents.furniture import dimension, scale_for, title_block
from fitkit.documents.lettering import cut_to, wrapped
from fitkit.documents.naming import size, sizes
from fitkit.documents.ordinates import WITNESS_MM, Place, below, beside
from fitkit.documents.sheet import (
    Circle,
    Mark,
    Path,
    Role,
    Sheet,
    Style,
    Text,
    contours_of,
    disc,
    polyline,
)
from fitkit.plan import Plan
from fitkit.reference.cautions import cautions
from fitkit.shell.mounting.model import Support, SupportHole

WIDTH_MM, HEIGHT_MM = 297.0, 210.0
STRIP_MM = 70.0
"""A piece up to this width is drawn as a strip, three to a sheet [mm]."""
ROWS, ROW_MM = 3, 53.0
LEFT_MM = 36.0
STRIP_ROOM = (150.0, 18.0)
ROOM = (158.0, 112.0)
LOW_MM = 52.0
FACTS_MM, FACTS_WIDE_MM = 214.0, 71.0
NOTE_MM = 2.5

HoleKind = tuple[float, str, float]
"""Diameter, use, and diameter of the sink (0 for none) of holes that are drilled alike."""


@frozen
class Group:
    """Supports that are cut and drilled alike, and what they are called together."""

    supports: tuple[Support, ...]

    @property
    def first(self) -> Support:
        """One of them."""
        return self.supports[0]

    @property
    def names(self) -> str:
        """All their names, shared beginnings said once.

        >>> rail = Support("screen 1 rail 1", "rail", "screen", 1, "deep", (0.0, 0.0, 0.0),
        ...                (9.0, 3.0, 2.0), "x", "y", 9.0, 3.0, 2.0, "oak")
        >>> from attrs import evolve
        >>> Group((rail, evolve(rail, name="screen 1 rail 2"))).names
        'screen 1 rail 1, 2'
        """
        heads: dict[str, list[str]] = {}
        for one in self.supports:
            head, _, tail = one.name.rpartition(" ")
            if tail.isdigit():
                heads.setdefault(head, []).append(tail)
            else:
                heads.setdefault(one.name, [])
        return "; ".join(
            f"{head} {', '.join(tails)}" if tails else head for head, tails in heads.items()
        )


def groups_of(supports: tuple[Support, ...]) -> tuple[Group, ...]:
    """Supports in groups that are made alike: size, material, holes and openings."""
    found: dict[object, list[Support]] = {}
    for one in supports:
        lying = min(_key(one, False), _key(one, True), key=repr)
        found.setdefault((one.kind, one.material, lying), []).append(one)
    return tuple(Group(tuple(alike)) for alike in found.values())


def _key(one: Support, turned: bool) -> tuple[object, ...]:
    """What a piece is like on the bench, as it lies or turned half round."""
    long, wide = one.length_mm, one.width_mm

    def at(u: float, v: float) -> tuple[float, float]:
        u, v = (long - u, wide - v) if turned else (u, v)
        return (round(u, 1) + 0.0, round(v, 1) + 0.0)

    holes = sorted((*at(h.u_mm, h.v_mm), h.diameter_mm, _use(h), h.sink_mm or 0.0)
                   for h in one.holes)  # fmt: skip
    cuts = sorted(
        tuple(sorted((at(shape.bounds[0], shape.bounds[1]), at(shape.bounds[2], shape.bounds[3]))))
        for shape in one.openings
    )
    return (round(long, 1), round(wide, 1), round(one.thick_mm, 1), tuple(holes), tuple(cuts))


def _use(hole: SupportHole) -> str:
    """What a hole is for, without the copy or the panel that it is for."""
    if hole.use.endswith(" through the sub-panel"):
        return "pilot for a wood screw, from the item's side"
    if hole.use.startswith("pilot "):
        return "pilot for a wood screw, from the far side"
    if hole.use.startswith("pocket "):
        return f"{hole.use.split(' of the ')[0]}, on the far side"
    if hole.use.startswith("screw "):
        return " ".join(hole.use.split(" into the ")[0].split())
    return hole.use


def hole_kinds(support: Support) -> dict[HoleKind, tuple[SupportHole, ...]]:
    """Holes drilled alike, the widest first."""
    found: dict[HoleKind, list[SupportHole]] = {}
    for hole in support.holes:
        found.setdefault((hole.diameter_mm, _use(hole), hole.sink_mm or 0.0), []).append(hole)
    return {
        kind: tuple(holes)
        for kind, holes in sorted(found.items(), key=lambda pair: (-pair[0][0], pair[0][1]))
    }


def support_sheets(plan: Plan) -> list[Sheet]:
    """Every distinct rail, sub-panel, batten, packing and block; none where nothing is mounted."""
    if plan.shell is None or not plan.shell.supports:
        return []
    groups = groups_of(plan.shell.supports)
    wide = [group for group in groups if group.first.width_mm > STRIP_MM]
    strips = [group for group in groups if group.first.width_mm <= STRIP_MM]
    pages = [(one,) for one in wide]
    rows = [tuple(strips[k : k + ROWS]) for k in range(0, len(strips), ROWS)]
    total = len(pages) + len(rows)
    made = [
        _wide_sheet(plan, group, number=number, total=total)
        for number, (group,) in enumerate(pages, start=1)
    ]
    return made + [
        _strip_sheet(plan, row, number=number, total=total)
        for number, row in enumerate(rows, start=len(pages) + 1)
    ]


def _heads(plan: Plan, title: str) -> list[Mark]:
    line = f"{plan.payload.title} · the item's side up · sizes in mm from the circled corner"
    dust = cautions()["wood dust"].text.split(";")[0].rstrip(".") + "."
    return [
        Text(12.0, HEIGHT_MM - 16.0,
             cut_to(title, width_mm=WIDTH_MM - 24.0, size_mm=6.2, bold=True), 6.2, bold=True),
        Text(12.0, HEIGHT_MM - 21.5, cut_to(line, width_mm=WIDTH_MM - 24.0, size_mm=3.0), 3.0,
             role="quiet"),
        Text(12.0, 6.5, cut_to(dust, width_mm=190.0, size_mm=NOTE_MM), NOTE_MM, role="quiet"),
    ]  # fmt: skip


def _wide_sheet(plan: Plan, group: Group, *, number: int, total: int) -> Sheet:
    one = group.first
    view = View(one, LEFT_MM, None, ROOM)
    title = group.names[:1].upper() + group.names[1:]
    marks = [
        *_heads(plan, title),
        *view.marks(),
        *fact_marks(group, FACTS_MM, HEIGHT_MM - 34.0, titled=False),
        *title_block(plan, width_mm=WIDTH_MM, number=number, total=total, scale=view.scale),
    ]
    return Sheet(WIDTH_MM, HEIGHT_MM, group.names, tuple(marks))


def _strip_sheet(plan: Plan, groups: tuple[Group, ...], *, number: int, total: int) -> Sheet:
    marks = _heads(plan, "Rails, battens and blocks")
    for k, group in enumerate(groups):
        middle = HEIGHT_MM - 29.0 - ROW_MM * (k + 0.5)
        view = View(group.first, LEFT_MM, middle + 3.0, STRIP_ROOM)
        marks += view.marks()
        marks += fact_marks(group, FACTS_MM, middle + ROW_MM / 2 - 6.0, titled=True)
        if k:
            y = middle + ROW_MM / 2
            marks.append(Path((polyline([(12.0, y), (WIDTH_MM - 12.0, y)]),), Style("quiet", 0.13)))
    marks += title_block(plan, width_mm=WIDTH_MM, number=number, total=total, scale=None)
    return Sheet(WIDTH_MM, HEIGHT_MM, f"{plan.payload.title}: strips {number}", tuple(marks))


class View:
    """One piece on the paper with its dimensions; ``middle`` None: it stands in a sheet's room."""

    def __init__(
        self, support: Support, left: float, middle: float | None, room: tuple[float, float]
    ) -> None:
        """``left`` is its left edge on the paper, ``room`` width and height that it may take."""
        self.support, self.left = support, left
        self.scale = scale_for(support.length_mm, support.width_mm, room)
        high = support.width_mm / self.scale
        self.low = LOW_MM + 0.6 * (room[1] - high) if middle is None else middle - high / 2
        self.right, self.high = left + support.length_mm / self.scale, self.low + high
        self.around = 8.0 if middle is None else 4.5

    def point(self, u: float, v: float) -> tuple[float, float]:
        """A place of the piece on the paper."""
        return (self.left + u / self.scale, self.low + v / self.scale)

    def shape(self, shape: Polygon) -> BaseGeometry:
        """A shape of the piece on the paper."""
        n = self.scale
        return affine_transform(shape, [1 / n, 0, 0, 1 / n, self.left, self.low])

    def marks(self) -> list[Mark]:
        """The piece, its openings and holes, and their places."""
        one = self.support
        outline = self.shape(shapely.box(0.0, 0.0, one.length_mm, one.width_mm))
        openings = [self.shape(shape) for shape in one.openings]
        rest = shapely.difference(outline, shapely.union_all(openings)) if openings else outline
        marks: list[Mark] = [Path(contours_of(rest), Style("ink", 0.5, fill="white"))]
        marks += [Path(contours_of(shape), Style("ink", 0.35)) for shape in openings]
        for hole in one.holes:
            marks += self._hole(hole)
        places = self._ordinates()
        marks += places
        top, side = self.high + self.around, self.right + self.around
        marks += dimension((self.left, top), (self.right, top), size(one.length_mm),
                           from_mm=self.high)  # fmt: skip
        marks += dimension((side, self.low), (side, self.high), size(one.width_mm),
                           from_mm=self.right) if self.high - self.low > 9.0 else [
            Text(self.right + 2.0, (self.low + self.high) / 2 - 0.95, size(one.width_mm), 2.6)
        ]  # fmt: skip
        if one.holes or one.openings:
            marks.append(Circle(self.left, self.low, 2.0, Style("ink", 0.35)))
        return marks + self._texts(outline, openings, places)

    def _hole(self, hole: SupportHole) -> Iterator[Mark]:
        x, y = self.point(hole.u_mm, hole.v_mm)
        across = hole.diameter_mm / self.scale
        if hole.sink_mm is not None:
            sunk = (disc(x, y, hole.sink_mm / self.scale / 2),)
            yield Path(sunk, Style("ink", 0.13, (0.8, 0.5)))
        yield Circle(x, y, across, Style("ink", 0.25))
        reach = across / 2 + 0.8
        cross = (polyline([(x - reach, y), (x + reach, y)]),
                 polyline([(x, y - reach), (x, y + reach)]))  # fmt: skip
        yield Path(cross, Style("ink", 0.13))

    def _ordinates(self) -> list[Mark]:
        one = self.support
        if not one.holes and not one.openings:
            return []
        across = [Place(0.0, self.left, self.low)]
        up = [Place(0.0, self.low, self.left)]
        for hole in one.holes:
            x, y = self.point(hole.u_mm, hole.v_mm)
            across.append(Place(hole.u_mm, x, y))
            up.append(Place(hole.v_mm, y, x))
        for shape in one.openings:
            west, south, east, north = shape.bounds
            for u in (west, east):
                x, y = self.point(u, south)
                across.append(Place(u, x, y, bold=True))
            for v in (south, north):
                x, y = self.point(west, v)
                up.append(Place(v, y, x, bold=True))
        return [
            *below(across, edge_mm=self.low, low=self.left - 4.0, high=max(self.right, 150.0)),
            *beside(up, edge_mm=self.left, low=self.low - 4.0, high=self.high + 5.0),
        ]

    def _texts(
        self, outline: BaseGeometry, openings: list[BaseGeometry], places: list[Mark]
    ) -> list[Mark]:
        """Letters of the holes, names of the openings, each where it has room."""
        taken = Taken([outline.boundary, *(shape.boundary for shape in openings)])
        for hole in self.support.holes:
            x, y = self.point(hole.u_mm, hole.v_mm)
            widest = max(hole.diameter_mm, hole.sink_mm or 0.0)
            taken.take(shapely.Point(x, y).buffer(widest / self.scale / 2 + 0.9))
        taken.shun(
            LineString([(x, y) for x, y, _ in contour.vertices])
            for mark in places if isinstance(mark, Path) and mark.style.width_mm <= WITNESS_MM
            for contour in mark.contours
        )  # fmt: skip
        marks: list[Mark] = []
        for shape in openings:
            west, south, east, north = shape.bounds
            wide, high = (east - west) * self.scale, (north - south) * self.scale
            lines = [("cut out", 2.6, True), (sizes((wide, high)), 2.5, False)]
            middle = ((west + east) / 2, (south + north) / 2)
            found = taken.first(
                [(block(*middle, lines), 0.1),
                 (block(middle[0], north + 5.0, lines), 0.2),
                 (block(middle[0], south - 5.0, lines), 0.2)],
                inside=outline,
            ) or []  # fmt: skip
            inside = all(shape.covers(area_of(text)) for text in found)
            marks += [*grounds(found, fill="paper" if inside else "white"), *found]
        for letter, holes in zip(_letters(), hole_kinds(self.support).values(), strict=False):
            for hole in holes:
                found = taken.first(self._beside(hole, letter)) or []
                marks += [*grounds(found, fill="white"), *found]
        return marks

    def _beside(self, hole: SupportHole, letter: str) -> Iterator[tuple[list[Text], float]]:
        x, y = self.point(hole.u_mm, hole.v_mm)
        reach = max(hole.diameter_mm, hole.sink_mm or 0.0) / self.scale / 2 + 2.2
        for far in (reach, reach + 1.5):
            for dx, dy in ((1, 0), (-1, 0), (0, 1), (1, 1), (-1, 1), (0, -1), (1, -1), (-1, -1)):
                yield block(x + dx * far, y + dy * far, [(letter, 2.6, True)]), 0.1


def _letters() -> Iterator[str]:
    return iter("ABCDEFGHIJKLMNOPQRSTUVWXYZ")


def fact_marks(group: Group, x_mm: float, top_mm: float, *, titled: bool) -> list[Mark]:
    """What stands beside a piece: names, how many, of what, and its holes by letter."""
    one = group.first
    marks: list[Mark] = []
    y = top_mm

    def line(text: str, *, bold: bool = False, at: float = 2.6, quiet: bool = False) -> None:
        nonlocal y
        for part in wrapped(text, width_mm=FACTS_WIDE_MM, size_mm=at, bold=bold):
            role: Role = "quiet" if quiet else "ink"
            marks.append(Text(x_mm, y, part, at, bold=bold, role=role))
            y -= at * 1.5

    if titled:
        for text in wrapped(group.names, width_mm=FACTS_WIDE_MM, size_mm=3.0, bold=True)[:2]:
            shown = cut_to(text, width_mm=FACTS_WIDE_MM, size_mm=3.0, bold=True)
            marks.append(Text(x_mm, y, shown, 3.0, bold=True))
            y -= 4.3
    count = len(group.supports)
    pieces = f"{count} pieces alike" if count > 1 else "1 piece"
    line(f"{pieces}, {sizes((one.length_mm, one.width_mm))}, {size(one.thick_mm, 1)} mm thick",
         bold=True)  # fmt: skip
    line(f"{one.kind}, {one.material}")
    for letter, (kind, holes) in zip(_letters(), hole_kinds(one).items(), strict=False):
        diameter, use, sink = kind
        text = f"{letter}  {len(holes)} × {size(diameter, 2)} mm: {use}"
        if sink:
            text += f", sunk to {size(sink, 2)} mm on the far side"
        line(text)
    if one.openings:
        line("Edges of cut-outs in bold type.", quiet=True, at=NOTE_MM)
    return marks
