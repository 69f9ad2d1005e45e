"""The section itself: what the cut goes through, drawn and dimensioned, on a sheet of any size."""

from __future__ import annotations

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.clear_text import Taken, area_of
from fitkit.documents.furniture import arrow, dimension, tag, tag_size, witness
from fitkit.documents.gap_words import by_margin, verdict_of
from fitkit.documents.lettering import CAP_SHARE, width_of
from fitkit.documents.naming import half_names, size
from fitkit.documents.section_cut import Cut, CutBody, cut_through
from fitkit.documents.section_names import names_of
from fitkit.documents.section_profiles import bar_cut
from fitkit.documents.sheet import (
    DASH_DOT,
    MEASURED,
    Anchor,
    Hatch,
    Mark,
    Path,
    Role,
    Style,
    Text,
    contours_of,
    disc,
    fast_contours,
    polyline,
)
from fitkit.plan import Plan
from fitkit.shell.gap.model import Gap

_SAME_MM = 0.3


def worst_gap(plan: Plan) -> Gap | None:
    """The gap with the least left over; None where nothing faces anything."""
    gaps = () if plan.shell is None else plan.shell.gaps
    return by_margin(gaps)[0] if gaps else None


@frozen
class View:
    """From x and z in the case to the sheet: 1 : ``scale``, the interior's corner at (x, y)."""

    scale: float
    x_mm: float
    y_mm: float
    long_mm: float
    high_mm: float
    wall_mm: tuple[float, float]

    @classmethod
    def of(cls, plan: Plan, scale: float, *, top_mm: float, left_mm: float) -> View:
        """The outside's upper left corner lies at (left, top) on the sheet."""
        interior = plan.fit.interior
        wall = (
            (plan.outside_mm[0] - interior.length_mm) / 2,
            (plan.outside_mm[2] - interior.height_mm) / 2,
        )
        y = top_mm - (interior.height_mm + wall[1]) / scale
        return cls(
            scale, left_mm + wall[0] / scale, y, interior.length_mm, interior.height_mm, wall
        )

    def point(self, x: float, z: float) -> tuple[float, float]:
        """A point of the case on the sheet."""
        return (self.x_mm + x / self.scale, self.y_mm + z / self.scale)

    def shape(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape in x and z on the sheet."""
        n = 1 / self.scale
        return shapely.affinity.affine_transform(shape, [n, 0, 0, n, self.x_mm, self.y_mm])

    @property
    def left_mm(self) -> float:
        """The outside's left edge on the sheet."""
        return self.point(-self.wall_mm[0], 0.0)[0]

    @property
    def right_mm(self) -> float:
        """The outside's right edge on the sheet."""
        return self.point(self.long_mm + self.wall_mm[0], 0.0)[0]

    @property
    def low_mm(self) -> float:
        """The outside's lower edge on the sheet."""
        return self.point(0.0, -self.wall_mm[1])[1]

    @property
    def top_mm(self) -> float:
        """The outside's upper edge on the sheet."""
        return self.point(0.0, self.high_mm + self.wall_mm[1])[1]


def section_marks(plan: Plan, view: View, y_mm: float) -> list[Mark]:
    """The section itself with its dimensions, on a sheet of any size."""
    cut = cut_through(plan, y_mm)
    taken = Taken()
    marks = [*_foam(cut, view), *_supports(cut, view), *_walls(plan, cut, view)]
    marks += _zones(cut, view)
    for body in cut.bodies:
        shape = view.shape(body.shape)
        marks.append(Path(contours_of(shape), Style("ink", 0.4, fill="white")))
        taken.take(shape)
    gaps, texts = _gaps(plan, cut, view, taken)
    marks += _closing_plane(plan, view) + gaps
    marks += names_of(cut, view.shape, texts, foot=(view.left_mm, view.low_mm - 4.4, view.right_mm))
    marks += _heights(plan, view) + _chain(plan, cut, view)
    interior = plan.fit.interior
    a, b = view.point(0.0, 0.0)[0], view.point(interior.length_mm, 0.0)[0]
    marks += dimension(
        (a, view.top_mm + 5.0), (b, view.top_mm + 5.0),
        f"{size(interior.length_mm)} interior", from_mm=view.top_mm,
    )  # fmt: skip
    return [*marks, *texts]


def _foam(cut: Cut, view: View) -> list[Mark]:
    if not cut.layers:
        return []
    layers = [view.shape(layer) for layer in cut.layers]
    whole = contours_of(shapely.union_all(layers))
    return [
        Path(whole, Style(None, fill="foam")),
        Hatch(whole, "foam"),
        *(Path(fast_contours(layer), Style("quiet", 0.13)) for layer in layers),
        Path(whole, Style("ink", 0.25)),
    ]


def _supports(cut: Cut, view: View) -> list[Mark]:
    marks: list[Mark] = []
    for one in cut.supports:
        contours = contours_of(view.shape(one.shape))
        if one.through:
            marks += [
                Path(contours, Style(None, fill="paper")),
                Hatch(contours, "wall"),
                Path(contours, Style("ink", 0.35)),
            ]
        else:
            marks.append(Path(contours, Style("quiet", 0.18)))
    return marks


def _walls(plan: Plan, cut: Cut, view: View) -> list[Mark]:
    """Panels hatched, profiles solid; of a ready-made case only its wall, as far as measured."""
    shell = plan.shell
    if shell is None:
        return _plain_wall(plan, view)
    marks: list[Mark] = []
    profile = plan.payload.wall.profile
    for panel in cut.panels:
        contours = contours_of(view.shape(panel))
        marks += [
            Path(contours, Style(None, fill="paper")),
            Hatch(contours, "wall"),
            Path(contours, Style("ink", 0.3)),
        ]
    for bar in shell.bars:
        section = bar_cut(bar, cut.y_mm, profile=profile)
        if not section.is_empty:
            marks.append(Path(contours_of(view.shape(section)), Style("ink", 0.1, fill="ink")))
    for room in cut.rooms:
        contours = contours_of(view.shape(room))
        marks.append(Path(contours, Style("quiet", 0.25, MEASURED, "paper")))
    return marks


def _plain_wall(plan: Plan, view: View) -> list[Mark]:
    interior = plan.fit.interior
    heights = (0.0, interior.closing_mm, interior.height_mm)
    left = [(interior.inset_mm(z)[0], z) for z in heights]
    inner = shapely.Polygon([*left, *((interior.length_mm - x, z) for x, z in reversed(left))])
    rim = contours_of(view.shape(inner))
    if not plan.outside_known:
        return [Path(rim, Style("ink", 0.5))]
    dx, dz = view.wall_mm
    outer = shapely.box(-dx, -dz, interior.length_mm + dx, interior.height_mm + dz)
    wall = contours_of(view.shape(outer.difference(inner)))
    return [Hatch(wall, "wall"), Path(wall, Style("ink", 0.4))]


def _zones(cut: Cut, view: View) -> list[Mark]:
    marks: list[Mark] = []
    for kind, area in cut.zones:
        contours = contours_of(view.shape(area))
        role: Role = "connector" if kind == "connector" else "zone"
        marks += [Hatch(contours, kind), Path(contours, Style(role, 0.3))]
    return marks


def _closing_plane(plan: Plan, view: View) -> list[Mark]:
    z = plan.fit.interior.closing_mm
    y = view.point(0.0, z)[1]
    line = polyline([(view.left_mm - 4.0, y), (view.right_mm + 4.0, y)])
    return [
        Path((line,), Style("ok", 0.3, DASH_DOT)),
        Text(view.right_mm + 5.0, y + 0.5, "closing", 2.5, role="ok"),
        Text(view.right_mm + 5.0, y - 2.6, "plane", 2.5, role="ok"),
    ]


def _heights(plan: Plan, view: View) -> list[Mark]:
    """Depths of the halves inside, and the height outside, to the left."""
    interior = plan.fit.interior
    names = half_names(plan)
    marks: list[Mark] = []
    x, z = view.left_mm - 7.0, 0.0
    for half in interior.halves:
        low, high = view.point(0.0, z)[1], view.point(0.0, z + half.depth_mm)[1]
        long = f"{size(half.depth_mm)} {names[half.name]}"
        fits = width_of(long, size_mm=2.6) + 7.0 < high - low
        text = long if fits else size(half.depth_mm)
        marks += dimension((x, low), (x, high), text, from_mm=view.left_mm)
        z += half.depth_mm
    if plan.outside_known:
        text = f"{size(plan.outside_mm[2])} outside"
        ends = ((x - 6.0, view.low_mm), (x - 6.0, view.top_mm))
        marks += dimension(*ends, text, from_mm=view.left_mm)
    return marks


def _chain(plan: Plan, cut: Cut, view: View) -> list[Mark]:
    """To the right: the room behind what faces each other, and how high it is itself."""
    gap = worst_gap(plan)
    shown = [] if gap is None else [cut.body(gap.deep), cut.body(gap.shallow)]
    marks: list[Mark] = []
    high = plan.fit.interior.height_mm
    for body in shown:
        if body is None:
            continue
        z0, z1 = body.placed.z0_mm, body.placed.z1_mm
        behind = (0.0, z0) if body.half != "shallow" else (z1, high)
        under = " behind" if body.placed.item.mount is not None else " foam"
        for (a, b), word in ((behind, under), ((z0, z1), "")):
            if b - a > 0.05:
                marks += _beside(view, a, b, f"{size(b - a)}{word}")
    return marks


def _beside(view: View, z0: float, z1: float, text: str) -> list[Mark]:
    """An upright dimension to the right of the case, its number level beside it."""
    x = view.right_mm + 4.0
    low, high = view.point(0.0, z0)[1], view.point(0.0, z1)[1]
    marks: list[Mark] = [
        Path((polyline([(view.right_mm + 0.8, y), (x + 1.0, y)]),), Style("quiet", 0.13))
        for y in (low, high)
    ]
    marks += _arrows(x, low, high)
    marks.append(Text(x + 1.8, (low + high) / 2 - 2.6 * CAP_SHARE / 2, text, 2.6))
    return marks


def _arrows(x: float, low: float, high: float) -> list[Mark]:
    """The line of an upright dimension with slim heads, or with points where it is short."""
    if high - low >= 4.4:
        line = polyline([(x, low), (x, high)])
        return [
            Path((line,), Style("ink", 0.18)), arrow(x, low, 0, -1), arrow(x, high, 0, 1),
        ]  # fmt: skip
    points = (disc(x, low, 0.45), disc(x, high, 0.45))
    line = polyline([(x, low), (x, high)])
    return [Path((line,), Style("ink", 0.18)), Path(points, Style(None, fill="ink"))]


def _gaps(plan: Plan, cut: Cut, view: View, taken: Taken) -> tuple[list[Mark], list[Mark]]:
    """Every gap that the cut shows, with both recesses; the lines, then the numbers over them."""
    closing = plan.fit.interior.closing_mm
    gaps = by_margin(() if plan.shell is None else plan.shell.gaps)
    lines: list[Mark] = []
    texts: list[Mark] = []
    for gap in gaps:
        x = gap.at_mm[0]
        if not _shown(gap, cut):
            continue
        low, high = _ends(gap)
        a, b = view.point(x, low), view.point(x, high)
        verdict = verdict_of(gap)
        number = size(gap.nominal_mm)
        if verdict == "fails":
            number = f"{number}, {size(gap.keep_mm - gap.worst_mm)} short"
        wide, tall = tag_size(number)
        way = 1.0 if a[0] + wide + 4.0 < view.right_mm else -1.0
        middle = (a[1] + b[1]) / 2
        spot = (a[0] + way * (wide / 2 + 1.6), middle)
        area = shapely.box(
            spot[0] - wide / 2, middle - tall / 2, spot[0] + wide / 2, middle + tall / 2
        )
        if not taken.free(area):
            for up in (3.8, -3.8, 7.6, -7.6):
                moved = shapely.affinity.translate(area, 0.0, up)
                if taken.free(moved):
                    area, spot = moved, (spot[0], middle + up)
                    break
        taken.take(area)
        lines += witness(a, b, verdict)
        texts += tag(*spot, number, verdict)
        lines_, texts_ = _recesses(gap, view, closing, x, -way, taken)
        lines += lines_
        texts += texts_
    return lines, texts


def _recesses(
    gap: Gap, view: View, closing: float, x: float, way: float, taken: Taken
) -> tuple[list[Mark], list[Mark]]:
    """Both recesses beside the gap's line, counted from the closing plane.

    Where there is no room for two numbers, one text on the plane tells both, the lower one first.
    """
    lines: list[Mark] = []
    numbers: list[Text] = []
    at = view.point(x, 0.0)[0] + way * 6.0
    plane = view.point(0.0, closing)[1]
    anchor: Anchor = "end" if way < 0 else "start"
    recesses = recesses_at(gap, closing)
    if min(abs(recess) for recess in recesses) < _SAME_MM:
        return [], []  # one recess alone is the gap itself

    def text(words: str, y: float) -> Text:
        base = y - 2.6 * CAP_SHARE / 2
        return Text(at + way * 1.2, base, words, 2.6, anchor)

    for z, recess in zip(_ends(gap), recesses, strict=True):
        surface = view.point(0.0, z)[1]
        ends = sorted((plane, surface))
        if ends[1] - ends[0] < 0.05:
            continue
        reach = polyline([(view.point(x, 0.0)[0], surface), (at + way * 1.0, surface)])
        lines.append(Path((reach,), Style("quiet", 0.13)))
        lines += _arrows(at, *ends)
        words = size(recess) if recess > 0 else f"{size(-recess)} proud"
        numbers.append(text(words, sum(ends) / 2))
    areas = [_figures(one) for one in numbers]
    apart = len(areas) < 2 or not areas[0].intersects(areas[1])
    if not (apart and all(taken.free(area) for area in areas)):
        numbers = [text(" + ".join(size(recess) for recess in recesses), plane)]
        areas = [_figures(one) for one in numbers]
        if not taken.free(areas[0]):
            return lines, []
    taken.take(*areas)
    return lines, [*(_ground(one) for one in numbers), *numbers]


def _figures(text: Text) -> Polygon:
    """What figures take: they stand on the base line, and nothing of them is below it."""
    left, _, right, high = area_of(text).bounds
    return shapely.box(left - 0.3, text.y_mm - 0.1, right + 0.3, high + 0.1)


def _ground(text: Text) -> Path:
    """Plain paper right behind the figures, so that it covers no surface beside them."""
    return Path(contours_of(_figures(text)), Style(None, fill="paper"))


def _ends(gap: Gap) -> tuple[float, float]:
    """Heights of the two surfaces that face each other, about the middle between them."""
    return gap.at_mm[2] - gap.nominal_mm / 2, gap.at_mm[2] + gap.nominal_mm / 2


def recesses_at(gap: Gap, closing_mm: float) -> tuple[float, float]:
    """How far both surfaces lie behind the closing plane where the gap is [mm].

    The foremost point of either may lie elsewhere, and nearer to the plane.
    """
    low, high = _ends(gap)
    return closing_mm - low, high - closing_mm


def _shown(gap: Gap, cut: Cut) -> bool:
    """Whether the cut goes through what faces each other, at the same distance."""
    if abs(gap.at_mm[1] - cut.y_mm) < _SAME_MM:
        return True
    surfaces = (
        _surface(cut.body(gap.deep), gap.at_mm[0]),
        _surface(cut.body(gap.shallow), gap.at_mm[0]),
    )
    return all(
        found is not None and abs(found - z) < _SAME_MM
        for found, z in zip(surfaces, _ends(gap), strict=True)
    )


def _surface(body: CutBody | None, x_mm: float) -> float | None:
    """Height of what a body shows to the other half at ``x_mm`` [mm]."""
    if body is None:
        return None
    line = shapely.LineString([(x_mm, -1e5), (x_mm, 1e5)])
    met = body.shape.intersection(line)
    if met.is_empty:
        return None
    return float(met.bounds[1] if body.half == "shallow" else met.bounds[3])
