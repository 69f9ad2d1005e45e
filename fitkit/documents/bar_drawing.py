"""Workshop drawings of the profiles: each distinct piece once, in rows, marked out from its end."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from fitkit.documents.bar_faces import Leg, Unfolded, pieces
from fitkit.documents.clear_text import Taken, area_of, block
from fitkit.documents.furniture import scale_for, title_block
from fitkit.documents.hole_rows import Row, rows_of
from fitkit.documents.lettering import cut_to, width_of, wrapped
from fitkit.documents.naming import size
from fitkit.documents.ordinates import Place, above, below, beside
from fitkit.documents.sheet import (
    Circle,
    Mark,
    Path,
    Sheet,
    Style,
    Text,
    contours_of,
    polyline,
)
from fitkit.documents.shell_words import PROFILES, piece_words
from fitkit.plan import Plan
from fitkit.reference.cautions import cautions

WIDTH_MM, HEIGHT_MM = 297.0, 210.0
ROW_MM = 52.0
ROWS = 3
LEFT_MM = 34.0
ROOM_MM = (150.0, 22.0)
NAMES_MM, NAMES_WIDE_MM = 200.0, 85.0
NOTE_MM = 2.5
LONGEST_LIST = 8


def bar_sheets(plan: Plan) -> list[Sheet]:
    """Every distinct profile once, three to a sheet; none where the plan has no shell."""
    if plan.shell is None:
        return []
    groups = pieces(plan.shell, profile=plan.payload.wall.profile)
    said = piece_words(plan)
    pages = [groups[k : k + ROWS] for k in range(0, len(groups), ROWS)]
    return [
        _sheet(plan, page, said, number=number, total=len(pages))
        for number, page in enumerate(pages, start=1)
    ]


def _sheet(
    plan: Plan,
    groups: tuple[tuple[Unfolded, ...], ...],
    said: dict[str, str],
    *,
    number: int,
    total: int,
) -> Sheet:
    sharp = cautions()["sharp edges"].text
    marks: list[Mark] = [
        Text(12.0, HEIGHT_MM - 16.0, "Profiles", 6.2, bold=True),
        Text(12.0, HEIGHT_MM - 21.5,
             cut_to(f"{plan.payload.title} · seen from outside, legs folded flat about the outer "
                    "edge · sizes in mm from the left end", width_mm=WIDTH_MM - 24.0, size_mm=3.0),
             3.0, role="quiet"),
        Text(12.0, 6.5, sharp, NOTE_MM, role="quiet"),
    ]  # fmt: skip
    for k, group in enumerate(groups):
        middle = HEIGHT_MM - 30.0 - ROW_MM * (k + 0.5)
        marks += _Row(group, said, middle).marks()
        if k:
            y = middle + ROW_MM / 2
            line = polyline([(12.0, y), (WIDTH_MM - 12.0, y)])
            marks.append(Path((line,), Style("quiet", 0.13)))
    marks += title_block(plan, width_mm=WIDTH_MM, number=number, total=total, scale=None)
    return Sheet(WIDTH_MM, HEIGHT_MM, f"{plan.payload.title}: profiles {number}", tuple(marks))


class _Row:
    """One piece: its legs above and below the fold, dimensions, and names beside it."""

    def __init__(self, group: tuple[Unfolded, ...], said: dict[str, str], middle: float) -> None:
        self.group, self.said = group, said
        self.one = one = group[0]
        tall = one.upper.wide_mm + one.lower.wide_mm
        self.scale = scale_for(one.bar.length_mm, tall, ROOM_MM)
        self.fold = middle + (one.lower.wide_mm - one.upper.wide_mm) / 2 / self.scale
        self.right = LEFT_MM + one.bar.length_mm / self.scale
        self.middle = middle

    def marks(self) -> list[Mark]:
        one = self.one
        long = one.bar.length_mm
        marks: list[Mark] = []
        taken = Taken()
        for leg, up in ((one.upper, 1.0), (one.lower, -1.0)):
            shape = self.shape(leg.shape(long), up)
            marks.append(Path(contours_of(shape), Style("ink", 0.35, fill="white")))
            taken.take(shape.boundary)
        for leg, up in ((one.upper, 1.0), (one.lower, -1.0)):
            for mark in self._dimensions(leg, up):
                marks.append(mark)
                if isinstance(mark, Text):
                    taken.take(area_of(mark))
                elif isinstance(mark, Path):
                    taken.shun(_lines(mark))
            for drilled in leg.holes:
                x, y = self.point(drilled.u_mm, drilled.v_mm, up)
                across = drilled.hole.diameter_mm / self.scale
                reach = across / 2 + 0.7
                cross = (polyline([(x - reach, y), (x + reach, y)]),
                         polyline([(x, y - reach), (x, y + reach)]))  # fmt: skip
                marks.append(Circle(x, y, across, Style("ink", 0.2)))
                marks.append(Path(cross, Style("ink", 0.1)))
                taken.take(shapely.box(x - reach, y - reach, x + reach, y + reach))
        lettered: list[tuple[str, Row]] = []
        for leg, up in ((one.upper, 1.0), (one.lower, -1.0)):
            for row in rows_of(leg.holes)[0]:
                found = taken.first(self._row_places(leg, row, up))
                if found is None:
                    letter = chr(65 + len(lettered) % 26)
                    lettered.append((letter, row))
                    found = taken.first(self._letter_places(row, letter, up)) or []
                marks += found
        return [*marks, *self._names(lettered)]

    def point(self, u: float, v: float, up: float) -> tuple[float, float]:
        return (LEFT_MM + u / self.scale, self.fold + up * v / self.scale)

    def shape(self, shape: BaseGeometry, up: float) -> BaseGeometry:
        n = self.scale
        return affine_transform(shape, [1 / n, 0, 0, up / n, LEFT_MM, self.fold])

    def _dimensions(self, leg: Leg, up: float) -> list[Mark]:
        long = self.one.bar.length_mm
        edge = self.point(0.0, leg.wide_mm, up)[1]
        rows, singles = rows_of(leg.holes)
        features = [(d.u_mm, d.v_mm, False) for d in singles]
        features += [(d.u_mm, d.v_mm, False) for r in rows for d in (r.holes[0], r.holes[-1])]
        features += [(u, deep, True) for a, b, deep in leg.cuts for u in (a, b)]
        features += [(0.0, 0.0, True), (long, 0.0, True)]
        left, right = leg.less_mm
        features += [(left, leg.wide_mm, True)] if left else []
        features += [(long - right, leg.wide_mm, True)] if right else []
        places = []
        for u, v, bold in features:
            x, y = self.point(u, v, up)
            places.append(Place(u, x, y, bold))
        draw = above if up > 0 else below
        marks = draw(places, edge_mm=edge, low=LEFT_MM - 4.0, high=max(self.right + 6.0, 60.0))
        gauges = []
        for d in leg.holes:
            x, y = self.point(d.u_mm, d.v_mm, up)
            gauges.append(Place(d.v_mm, y, LEFT_MM))
        for _, _, deep in leg.cuts:
            gauges.append(Place(deep, self.point(0.0, deep, up)[1], LEFT_MM, bold=True))
        gauges.append(Place(leg.wide_mm, edge, LEFT_MM, bold=True))
        if up < 0:  # in the order in which they stand, from below
            gauges = [Place(-g.value_mm, g.at_mm, g.to_mm, g.bold) for g in gauges]
        low, high = (self.fold + 1.6, edge + 9.0) if up > 0 else (edge - 9.0, self.fold - 1.6)
        found = beside(gauges, edge_mm=LEFT_MM, low=low, high=high)
        return [*marks, *(_plain(mark) for mark in found)]

    def _row_places(self, leg: Leg, row: Row, up: float) -> Iterator[tuple[list[Text], float]]:
        a = self.point(row.holes[0].u_mm, row.holes[0].v_mm, up)
        b = self.point(row.holes[-1].u_mm, row.holes[-1].v_mm, up)
        edge = self.point(0.0, leg.wide_mm, up)[1]
        wide = width_of(row.words, size_mm=2.5)
        if not row.level or wide > b[0] - a[0] - 2.0:
            return
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            x = a[0] + (b[0] - a[0]) * share
            for y in (edge + up * 3.0, edge + up * 7.0, a[1] - up * 3.2):
                yield block(x, y, [(row.words, 2.5, False)]), 0.3

    def _letter_places(
        self, row: Row, letter: str, up: float
    ) -> Iterator[tuple[list[Text], float]]:
        for one in row.holes:
            x, y = self.point(one.u_mm, one.v_mm, up)
            for dx, dy in ((3.0, 0.0), (-3.0, 0.0), (0.0, -up * 3.0), (0.0, up * 3.0)):
                yield block(x + dx, y + dy, [(letter, 2.5, True)]), 0.1

    def _names(self, lettered: list[tuple[str, Row]]) -> list[Mark]:
        bar, count = self.one.bar, len(self.group)
        marks: list[Mark] = []
        y = self.middle + ROW_MM / 2 - 6.0
        title = f"{count} × {PROFILES[bar.kind]}"
        marks.append(Text(NAMES_MM, y, title, 3.2, bold=True))
        scale = f"1 : {size(self.scale)}"
        marks.append(Text(WIDTH_MM - 12.0, y, scale, NOTE_MM, "end", role="quiet"))
        lines = [_length_words(self.one), *_hole_words(self.one)]
        if self.one.lower.side is None:
            lines.append("leaf above, closing plane below")
        lines += [f"row {letter}: {row.words}" for letter, row in lettered]
        for one in self.group[:LONGEST_LIST]:
            lines.append(self._which(one))
        if count > LONGEST_LIST:
            lines.append(f"and {count - LONGEST_LIST} more: see the cutting list")
        y -= 4.6
        for text in lines:
            for line in wrapped(text, width_mm=NAMES_WIDE_MM, size_mm=NOTE_MM):
                marks.append(Text(NAMES_MM, y, line, NOTE_MM, role="ink"))
                y -= 3.6
        return marks

    def _which(self, one: Unfolded) -> str:
        name = self.said[one.bar.name].partition(", ")[2]
        where = f"left end at the case's {one.left}"
        if one.lower.side is None:
            return f"{name}: {where}"
        return f"{name}: {one.upper.side} above, {where}"


def _lines(path: Path) -> list[shapely.LineString]:
    """The lines that lead to a dimension."""
    ways = [[vertex[:2] for vertex in contour.vertices] for contour in path.contours]
    return [shapely.LineString(way) for way in ways if len(way) > 1]


def _plain(mark: Mark) -> Mark:
    """A label without the sign that kept it in order."""
    if isinstance(mark, Text):
        return Text(mark.x_mm, mark.y_mm, mark.text.lstrip("-−"), mark.size_mm, mark.anchor,
                    mark.bold, mark.role, mark.turn_deg)  # fmt: skip
    return mark


def _length_words(one: Unfolded) -> str:
    bar = one.bar
    leg = one.lower if one.lower.side is None else one.upper
    mitred = sum(1 for less in leg.less_mm if less)
    if not mitred:
        return f"length {size(bar.length_mm)}, both ends square"
    ends = "both ends" if mitred == 2 else "one end"
    where = " in the closing plane" if one.lower.side is None else ""
    return (
        f"long point {size(bar.length_mm)}, short point {size(bar.short_mm)}: {ends} at 45°{where}"
    )


def _hole_words(one: Unfolded) -> list[str]:
    kinds: dict[tuple[float, float, float, str], int] = {}
    for leg in (one.upper, one.lower):
        for drilled in leg.holes:
            hole = drilled.hole
            tap = hole.fastener if hole.fastener.startswith("tapped ") else ""
            key = (hole.diameter_mm, hole.pilot_mm or 0.0, hole.sink_mm or 0.0, tap)
            kinds[key] = kinds.get(key, 0) + 1
    lines = []
    for (across, pilot, sink, tap), count in sorted(kinds.items()):
        text = f"holes ⌀ {size(across)}, {count} ×"
        text += f", drill {size(pilot)} first" if pilot else ""
        text += f", sink to {size(sink)}" if sink else ""
        text += f", {tap}" if tap else ""
        lines.append(text)
    cuts = sum(len(leg.cuts) for leg in (one.upper, one.lower))
    if cuts:
        several = "s" if cuts > 1 else ""
        lines.append(f"{cuts} cut-out{several} where hardware crosses: in bold type")
    return lines
