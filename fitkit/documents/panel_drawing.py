"""Workshop drawings of the panels: outline, openings and holes, marked out from one corner."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely import LineString, Polygon
from shapely.affinity import affine_transform

from fitkit.documents.clear_text import Taken, area_of, block, grounds
from fitkit.documents.furniture import dimension, scale_for, title_block
from fitkit.documents.hole_rows import Row, rows_of
from fitkit.documents.lettering import cut_to, width_of
from fitkit.documents.naming import size
from fitkit.documents.ordinates import WITNESS_MM, Place, below, beside
from fitkit.documents.panel_facts import fact_marks, opening_words
from fitkit.documents.sheet import (
    Circle,
    Mark,
    Path,
    Sheet,
    Style,
    Text,
    contours_of,
    disc,
    polyline,
)
from fitkit.documents.shell_faces import Drilled, Face, alike, face_of, same_from_inside
from fitkit.documents.shell_words import piece_words, said_together
from fitkit.plan import Plan
from fitkit.shell.model import Panel

WIDTH_MM, HEIGHT_MM = 297.0, 210.0
LEFT_MM, LOW_MM = 36.0, 52.0
ROOM_MM = (158.0, 112.0)
FACTS_MM = 218.0
"""Where the column of facts starts [mm]."""


def panel_sheets(plan: Plan) -> list[Sheet]:
    """Every distinct panel: from outside, and from inside where that looks different."""
    if plan.shell is None:
        return []
    jobs: list[tuple[tuple[Panel, ...], bool]] = []
    for group in alike(plan.shell):
        jobs.append((group, False))
        if not same_from_inside(face_of(plan.shell, group[0])):
            jobs.append((group, True))
    return [
        panel_sheet(plan, group, inside=inside, number=number, total=len(jobs))
        for number, (group, inside) in enumerate(jobs, start=1)
    ]


def panel_sheet(
    plan: Plan,
    panels: tuple[Panel, ...],
    *,
    inside: bool = False,
    number: int = 1,
    total: int = 1,
) -> Sheet:
    """The drawing of panels that are alike, seen from outside or inside; A4 on its side.

    ValueError where the plan has no shell.
    """
    if plan.shell is None:
        raise ValueError("the plan has no shell to draw")
    face = face_of(plan.shell, panels[0], inside=inside)
    view = _View(face, single=len(panels) == 1)
    said = piece_words(plan)
    names = said_together([said[panel.name] for panel in panels])
    title = cut_to(names[:1].upper() + names[1:], width_mm=WIDTH_MM - 24.0, size_mm=6.2, bold=True)
    seen = "inside" if inside else "outside"
    line = f"{plan.payload.title} · panel, seen from {seen} · sizes in mm"
    marks: list[Mark] = [
        Text(12.0, HEIGHT_MM - 16.0, title, 6.2, bold=True),
        Text(12.0, HEIGHT_MM - 21.5, line, 3.0, role="quiet"),
        *view.marks(),
        *fact_marks(plan, face, len(panels), x_mm=FACTS_MM, top_mm=HEIGHT_MM - 30.0,
                    rows=view.lettered),
        *title_block(plan, width_mm=WIDTH_MM, number=number, total=total, scale=view.scale),
    ]  # fmt: skip
    return Sheet(WIDTH_MM, HEIGHT_MM, f"{names}, seen from {seen}", tuple(marks))


class _View:
    """One panel on the paper: what is drawn, and what is dimensioned."""

    def __init__(self, face: Face, *, single: bool) -> None:
        panel = face.panel
        self.face, self.single = face, single
        self.scale = scale_for(panel.length_mm, panel.width_mm, ROOM_MM)
        self.right = LEFT_MM + panel.length_mm / self.scale
        # a low panel stands in the middle of the room
        spare = max(0.0, ROOM_MM[1] - panel.width_mm / self.scale)
        self.low = LOW_MM + 0.6 * spare
        self.high = self.low + panel.width_mm / self.scale
        self.rows, self.singles = rows_of(face.holes)
        self.lettered: list[tuple[str, Row]] = []

    def point(self, u: float, v: float) -> tuple[float, float]:
        return (LEFT_MM + u / self.scale, self.low + v / self.scale)

    def shape(self, shape: Polygon) -> Polygon:
        n = self.scale
        moved: Polygon = affine_transform(shape, [1 / n, 0, 0, 1 / n, LEFT_MM, self.low])
        return moved

    def marks(self) -> list[Mark]:
        """Everything of the panel itself, with its dimensions."""
        face, panel = self.face, self.face.panel
        outline = self.shape(face.outline)
        openings = [self.shape(one.shape) for one in face.openings]
        rest = shapely.difference(outline, shapely.union_all(openings)) if openings else outline
        marks: list[Mark] = [Path(contours_of(rest), Style("ink", 0.5, fill="white"))]
        for shape in openings:
            marks.append(Path(contours_of(shape), Style("ink", 0.35)))
        marks += [mark for one in face.holes for mark in self._hole(one)]
        ordinates = self._ordinates()
        marks += ordinates
        marks += dimension((LEFT_MM, self.high + 7.0), (self.right, self.high + 7.0),
                           size(panel.length_mm), from_mm=self.high)  # fmt: skip
        marks += dimension((self.right + 7.0, self.low), (self.right + 7.0, self.high),
                           size(panel.width_mm), from_mm=self.right)  # fmt: skip
        marks += self._zero()
        marks += self._texts(outline, openings, _witnesses(ordinates))
        return marks

    def _hole(self, one: Drilled) -> Iterator[Mark]:
        x, y = self.point(one.u_mm, one.v_mm)
        across = one.hole.diameter_mm / self.scale
        if one.hole.sink_mm is not None:
            sink = Style("ink", 0.13)
            yield Path((disc(x, y, one.hole.sink_mm / self.scale / 2),), sink)
        yield Circle(x, y, across, Style("ink", 0.25))
        reach = across / 2 + 0.8
        cross = (polyline([(x - reach, y), (x + reach, y)]),
                 polyline([(x, y - reach), (x, y + reach)]))  # fmt: skip
        yield Path(cross, Style("ink", 0.13))

    def _ordinates(self) -> list[Mark]:
        across: list[Place] = []
        up: list[Place] = []
        ends = [one for row in self.rows for one in (row.holes[0], row.holes[-1])]
        for one in (*self.singles, *ends):
            x, y = self.point(one.u_mm, one.v_mm)
            across.append(Place(one.u_mm, x, y))
            up.append(Place(one.v_mm, y, x))
        long, wide = self.face.panel.length_mm, self.face.panel.width_mm
        for opening in self.face.openings:
            left, low, right, high = opening.shape.bounds
            for u in (left, right):
                x, y = self.point(u, low)
                if 0.05 < u < long - 0.05:
                    across.append(Place(u, x, y, bold=True))
            for v in (low, high):
                x, y = self.point(left, v)
                if 0.05 < v < wide - 0.05:
                    up.append(Place(v, y, x, bold=True))
        zero = (Place(0.0, LEFT_MM, self.low), Place(0.0, self.low, LEFT_MM))
        blank = self.face.blank
        level = [] if blank else [zero[0], *across]
        upright = [] if blank else [zero[1], *up]
        return [
            *below(level, edge_mm=self.low, low=LEFT_MM - 4.0, high=max(self.right, 150.0)),
            *beside(upright, edge_mm=LEFT_MM, low=self.low - 10.0, high=self.high + 8.0),
        ]

    def _zero(self) -> list[Mark]:
        if self.face.blank:
            return []
        x, y = LEFT_MM, self.low
        return [Circle(x, y, 2.0, Style("ink", 0.35))]

    def _texts(
        self, outline: Polygon, openings: list[Polygon], lines: list[LineString]
    ) -> list[Mark]:
        """Names of openings and steps of rows, each where it has room."""
        drilled = []
        for one in self.face.holes:
            x, y = self.point(one.u_mm, one.v_mm)
            drilled.append(shapely.Point(x, y).buffer(one.hole.diameter_mm / self.scale / 2 + 0.9))
        taken = Taken([*drilled, *(shape.boundary for shape in openings), outline.boundary])
        taken.shun(lines)
        marks: list[Mark] = []
        room = outline.buffer(-0.3)
        for opening, shape in zip(self.face.openings, openings, strict=True):
            name, fact = opening_words(opening, single=self.single)
            named = taken.first(_name_places(shape, name, fact), inside=outline) or []
            within = all(shape.covers(area_of(text)) for text in named)
            marks += [*grounds(named, fill="paper" if within else "white"), *named]
        taken.take(*(shape for shape in openings))
        for row in self.rows:
            found = taken.first(self._row_places(row), inside=room)
            if found is None:
                letter = chr(65 + len(self.lettered) % 26)
                self.lettered.append((letter, row))
                found = taken.first(self._letter_places(row, letter), inside=room) or []
            marks += [*grounds(found, fill="white"), *found]
        return marks

    def _row_places(self, row: Row) -> Iterator[tuple[list[Text], float]]:
        first, last = row.holes[0], row.holes[-1]
        a, b = self.point(first.u_mm, first.v_mm), self.point(last.u_mm, last.v_mm)
        reach = first.hole.diameter_mm / self.scale / 2 + 1.6
        wide = width_of(row.words, size_mm=2.5)
        for share in (0.5, 0.3, 0.7, 0.15, 0.85):
            x, y = a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share
            for away in (reach + 0.9, -reach - 0.9, reach + 4.0, -reach - 4.0):
                if row.level and wide < b[0] - a[0] + 12.0:
                    yield block(x, y + away, [(row.words, 2.5, False)]), 0.4
                elif not row.level and wide < b[1] - a[1] + 12.0:
                    yield block(x - away, y, [(row.words, 2.5, False)], turn_deg=90.0), 0.4

    def _letter_places(self, row: Row, letter: str) -> Iterator[tuple[list[Text], float]]:
        for one in row.holes:
            x, y = self.point(one.u_mm, one.v_mm)
            for dx, dy in ((3.2, 0.0), (-3.2, 0.0), (0.0, 3.4), (0.0, -3.4), (3.0, 3.0)):
                yield block(x + dx, y + dy, [(letter, 2.6, True)]), 0.2


def _name_places(shape: Polygon, name: str, fact: str) -> Iterator[tuple[list[Text], float]]:
    middle = shapely.box(*shape.bounds).centroid
    words = name.split()
    halved = [(" ".join(words[:-1]), 2.6, True), (words[-1], 2.6, True)] if words[1:] else []
    settings = [[(name, 3.0, True), (fact, 2.5, False)], [(name, 2.5, True), (fact, 2.5, False)]]
    if halved:
        settings.append([*halved, (fact, 2.5, False)])
    settings.append([(name, 2.5, True)])
    left, low, right, high = shape.bounds
    for turn in (0.0, 90.0):
        for lines in settings:
            texts = block(middle.x, middle.y, lines, turn_deg=turn)
            if all(shape.covers(area_of(text).buffer(0.4)) for text in texts):
                yield texts, 0.1
    for lines in settings:
        wide = max(width_of(t, size_mm=s, bold=b) for t, s, b in lines) / 2 + 1.2
        tall = sum(1.35 * s for _, s, _ in lines) / 2 + 0.6
        for away in (0.0, 2.5, 5.0):
            for aside in (0.0, 6.0, -6.0):
                yield block(middle.x + aside, high + tall + away, lines), 0.2
                yield block(middle.x + aside, low - tall - away, lines), 0.2
            yield block(right + wide + away, middle.y, lines), 0.2
            yield block(left - wide - away, middle.y, lines), 0.2


def _witnesses(marks: list[Mark]) -> list[LineString]:
    """Lines of dimensions that run over the panel."""
    return [
        LineString([(x, y) for x, y, _ in contour.vertices])
        for mark in marks if isinstance(mark, Path) and mark.style.width_mm <= WITNESS_MM
        for contour in mark.contours
    ]  # fmt: skip
