"""Sheets of board as they are sawn: pieces, saw cuts in their order, offcuts, grain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import shapely
from attrs import frozen
from shapely import LineString, Polygon

from fitkit.documents.block_pages import (
    INNER_MM,
    LEAD_MM,
    Block,
    Draft,
    entries_in_lines,
    lines_block,
    scale_in,
)
from fitkit.documents.clear_text import Taken, area_of, block
from fitkit.documents.furniture import arrow, dimension
from fitkit.documents.lettering import CAP_SHARE, width_of, wrapped
from fitkit.documents.naming import size
from fitkit.documents.sheet import MEASURED, Hatch, Mark, Path, Style, Text, box, polyline
from fitkit.documents.stock_words import sheet_plan_words
from fitkit.stock.model import CutSheet, Laid, SawCut, SheetPlan

SMALL_MM = 2.5
LEFT_MM, RIGHT_MM, TOP_MM, BELOW_MM = 17.0, 12.0, 9.0, 9.0
"""Room around a sheet for the numbers of its cuts and its dimensions."""

CLEAR_MM = 5.4
"""What a piece's name leaves free of its width, for the numbers on the cuts beside it."""

MOST_TALL_MM = 150.0

FRACTIONS = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9, 0.05, 0.95, 0.42, 0.58, 0.27, 0.73)
"""Where along a cut its number may stand, the best first."""
STAGES = {1: "rip", 2: "cross cut", 3: "last cut", 4: "trim"}


def board_drafts(plan: SheetPlan, said: Mapping[str, str], *, grain: bool) -> list[Draft]:
    """Every sheet of one board, those alike drawn once; ``grain``: it is respected."""
    drafts: list[Draft] = []
    total = len(plan.sheets)
    for numbers, sheets in _alike(plan):
        which = _numbers_words(numbers, total)
        scale = scale_in(
            sheets[0].length_mm, sheets[0].width_mm,
            (INNER_MM - LEFT_MM - RIGHT_MM, MOST_TALL_MM),
        )  # fmt: skip
        second = (
            f"{plan.what}, {which}; seen as it lies on the saw, at 1 : {size(scale, 2)}, sizes in "
            "mm; hatched: waste"
        )
        picture = _sheet_picture(sheets, said, scale=scale, grain=grain)
        notes = [sheet_plan_words(plan)] if numbers[0] == 1 else []
        cuts = _cut_lines(sheets[0])
        names = _name_lines(numbers, sheets, said, picture[1])
        blocks = [picture[0], *([lines_block(notes)] if notes else []), *names, *cuts]
        drafts.append(Draft(f"{plan.what}, {which}", second, tuple(blocks), scale))
    return drafts


def _numbers_words(numbers: Sequence[int], total: int) -> str:
    """Which sheets of how many.

    >>> _numbers_words([2], 3), _numbers_words([1, 2], 3)
    ('sheet 2 of 3', '2 × alike: sheets 1 and 2 of 3')
    """
    if len(numbers) == 1:
        return f"sheet {numbers[0]} of {total}"
    listed = ", ".join(str(number) for number in numbers[:-1])
    return f"{len(numbers)} × alike: sheets {listed} and {numbers[-1]} of {total}"


def _alike(plan: SheetPlan) -> list[tuple[list[int], list[CutSheet]]]:
    groups: dict[object, tuple[list[int], list[CutSheet]]] = {}
    for number, sheet in enumerate(plan.sheets, start=1):
        places = tuple(
            tuple(round(v, 2) for v in (t.x_mm, t.y_mm, t.length_mm, t.width_mm))
            for t in sheet.tiles
        )
        numbers, sheets = groups.setdefault((sheet.length_mm, sheet.width_mm, places), ([], []))
        numbers.append(number)
        sheets.append(sheet)
    return list(groups.values())


def _sheet_picture(
    sheets: Sequence[CutSheet], said: Mapping[str, str], *, scale: float, grain: bool
) -> tuple[Block, set[int]]:
    """The picture, and the numbers of the tiles whose names stand in the list below."""
    sheet = sheets[0]
    wide, tall = sheet.length_mm / scale, sheet.width_mm / scale
    left, low = LEFT_MM, -TOP_MM - tall
    whole = box(left, low, left + wide, low + tall)
    marks: list[Mark] = [Hatch((whole,), "wall"), Path((whole,), Style("ink", 0.5))]
    taken = Taken()

    def area(laid: Laid) -> tuple[float, float, float, float]:
        x, y = left + laid.x_mm / scale, low + laid.y_mm / scale
        return x, y, x + laid.length_mm / scale, y + laid.width_mm / scale

    for offcut in sheet.offcuts:
        marks += _offcut(offcut, area(offcut), taken)
    listed: set[int] = set()
    for number, tile in enumerate(sheet.tiles, start=1):
        place = area(tile)
        marks.append(Path((box(*place),), Style("ink", 0.3, fill="white")))
        name = said.get(tile.name, tile.name) if len(sheets) == 1 else ""
        texts = _tile_texts(tile, place, name, number)
        if not name or texts[0].text == str(number) or texts[0].text.startswith(f"{number} · "):
            listed.add(number)
        taken.take(*(area_of(text).buffer(0.3) for text in texts))
        marks += texts
    cuts = _cuts(sheet.cuts, (left, low), scale)
    for cut in cuts:
        line = polyline([cut.point(cut.start), cut.point(cut.end)])
        marks.append(Path((line,), Style("ok", 0.35, (2.4, 0.8))))
    lines = shapely.STRtree([cut.line for cut in cuts])
    inside = shapely.box(0.0, low - BELOW_MM + 1.0, left + wide, low + tall)
    for cut in cuts:
        marks += _tag(cut, lines, (left, low), taken, inside)
    marks += dimension((left, low + tall + 5.0), (left + wide, low + tall + 5.0),
                       size(sheet.length_mm), from_mm=low + tall)  # fmt: skip
    marks += dimension((left + wide + 6.0, low), (left + wide + 6.0, low + tall),
                       size(sheet.width_mm), from_mm=left + wide)  # fmt: skip
    if grain:
        marks += _grain(left + 1.5, low + tall)
    return Block(tall + TOP_MM + BELOW_MM, tuple(marks)), listed


def _grain(left: float, top: float) -> list[Mark]:
    """A double arrow along the sheet: the way in which its grain or flutes run."""
    y = top + 2.2
    word = width_of("grain", size_mm=SMALL_MM)
    return [
        Text(left, y - 0.9, "grain", SMALL_MM),
        Path((polyline([(left + word + 1.5, y), (left + word + 13.5, y)]),), Style("ink", 0.25)),
        arrow(left + word + 1.5, y, -1.0, 0.0),
        arrow(left + word + 13.5, y, 1.0, 0.0),
    ]


def _offcut(offcut: Laid, area: tuple[float, float, float, float], taken: Taken) -> list[Mark]:
    """An offcut worth keeping: dashed, with its name and size where there is room."""
    x0, y0, x1, y1 = area
    shape = box(x0 + 0.3, y0 + 0.3, x1 - 0.3, y1 - 0.3)
    marks: list[Mark] = [Path((shape,), Style("quiet", 0.3, MEASURED, "paper"))]
    words = f"{size(offcut.length_mm)} × {size(offcut.width_mm)}"
    settings = [
        ([(f"keep: {offcut.name}", SMALL_MM, True), (words, SMALL_MM, False)], 0.0),
        ([(f"keep: {words}", SMALL_MM, True)], 0.0),
        ([(f"keep: {words}", SMALL_MM, True)], 90.0),
        ([(words, SMALL_MM, False)], 0.0),
        ([(words, SMALL_MM, False)], 90.0),
    ]
    inside = shapely.box(x0 + 0.8, y0 + 0.8, x1 - 0.8, y1 - 0.8)
    for lines, turn in settings:
        texts = block((x0 + x1) / 2, (y0 + y1) / 2, lines, turn_deg=turn)
        areas = [area_of(text) for text in texts]
        if all(inside.covers(one) for one in areas):
            taken.take(*(one.buffer(0.3) for one in areas))
            return [*marks, *texts]
    return marks


def _tile_texts(
    tile: Laid, area: tuple[float, float, float, float], name: str, number: int
) -> list[Text]:
    """Name and size in a piece; its number where the name does not fit; level, else turned."""
    x0, y0, x1, y1 = area
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    wide, tall = x1 - x0, y1 - y0
    words = f"{size(tile.length_mm)} × {size(tile.width_mm)}" + (", turned" if tile.turned else "")
    ways = ((0.0, wide, tall), (90.0, tall, wide))
    for turn, long, across in ways:
        for lines in _settings(name, words, long - CLEAR_MM):
            if _tall(lines) <= across - 1.6:
                return block(x, y, lines, turn_deg=turn)
    numbered: tuple[list[Line], ...] = (
        [(str(number), SMALL_MM, True), (words, SMALL_MM, False)],
        [(f"{number} · {words}", SMALL_MM, False)],
        [(str(number), SMALL_MM, True)],
    )
    for lines in numbered:
        for turn, long, across in ways:
            if _wide(lines) <= long - 1.2 and _tall(lines) <= across - 1.0:
                return block(x, y, lines, turn_deg=turn)
    return block(x, y, [(str(number), SMALL_MM, True)])


Line = tuple[str, float, bool]


def _settings(name: str, words: str, room_mm: float) -> list[list[Line]]:
    """Name and size in as few lines as the room allows; none where a word does not fit."""
    if not name or room_mm < 6.0 or width_of(words, size_mm=SMALL_MM) > room_mm:
        return []
    found: list[list[Line]] = []
    short = name.replace(" of the ", ", ")  # "front, deep half": where the room is narrow
    for type_mm, said in ((3.0, name), (3.0, short), (SMALL_MM, name), (SMALL_MM, short)):
        lines = wrapped(said, width_mm=room_mm, size_mm=type_mm, bold=True)
        if " ".join(lines) != said:
            continue
        if len(lines) == 1:
            one = f"{said} · {words}"
            if width_of(one, size_mm=type_mm, bold=True) <= room_mm:
                found.append([(said, type_mm, True), (words, SMALL_MM, False)])
                found.append([(one, type_mm, True)])
                continue
        found.append([*((line, type_mm, True) for line in lines), (words, SMALL_MM, False)])
    return sorted(found, key=lambda lines: {2: 0, 1: 1}.get(len(lines), len(lines)))


def _wide(lines: Sequence[Line]) -> float:
    return max(width_of(text, size_mm=size_mm, bold=bold) for text, size_mm, bold in lines)


def _tall(lines: Sequence[Line]) -> float:
    return sum(one * 1.35 for _, one, _ in lines[1:]) + lines[0][1] * (CAP_SHARE + 0.22)


@frozen
class _Drawn:
    """A saw cut on paper: from ``start`` to ``end`` along its way, at ``at`` across it [mm]."""

    number: int
    along_x: bool
    at: float
    start: float
    end: float

    def point(self, far: float) -> tuple[float, float]:
        return (far, self.at) if self.along_x else (self.at, far)

    @property
    def line(self) -> LineString:
        return LineString([self.point(self.start), self.point(self.end)])


def _cuts(cuts: Sequence[SawCut], corner: tuple[float, float], scale: float) -> list[_Drawn]:
    """The cuts on paper; ``corner`` is the sheet's lower left one."""
    found = []
    for number, cut in enumerate(cuts, start=1):
        along_x = cut.along == "x"
        across, along = (corner[1], corner[0]) if along_x else (corner[0], corner[1])
        ends = (along + cut.from_mm / scale, along + cut.to_mm / scale)
        found.append(_Drawn(number, along_x, across + cut.at_mm / scale, *ends))
    return found


def _tag(
    cut: _Drawn,
    others: shapely.STRtree,
    corner: tuple[float, float],
    taken: Taken,
    inside: Polygon,
) -> list[Mark]:
    """The cut's number in a round tag, outside the sheet or on the cut, clear of other cuts."""
    text = str(cut.number)
    half = max(1.7, (width_of(text, size_mm=SMALL_MM, bold=True) + 1.5) / 2)
    for (x, y), foot, crossing, strict in _tag_places(cut, half, corner):
        area = shapely.box(x - half, y - 1.7, x + half, y + 1.7)
        if not inside.covers(area) or not taken.free(area.buffer(0.15)):
            continue
        if len(others.query(area, predicate="intersects")) > crossing:
            continue
        if strict and not taken.free(LineString([foot, (x, y)])):
            continue
        taken.take(area)
        marks: list[Mark] = []
        if foot != (x, y):
            marks.append(Path((polyline([foot, (x, y)]),), Style("ok", 0.18)))
        plate = box(x - half, y - 1.7, x + half, y + 1.7, corner_mm=1.7)
        marks.append(Path((plate,), Style("ok", 0.25, fill="paper")))
        low = y - SMALL_MM * CAP_SHARE / 2
        return [*marks, Text(x, low, text, SMALL_MM, "middle", True, "ok")]
    return []


Spot = tuple[tuple[float, float], tuple[float, float], int, bool]
"""Middle of a tag, where its leader begins, how many cuts may run through it, and whether the
leader must cross no text."""


def _tag_places(cut: _Drawn, half: float, corner: tuple[float, float]) -> Iterator[Spot]:
    """Places for a cut's number, the best first."""
    edge = corner[0] if cut.along_x else corner[1]
    reach = half if cut.along_x else 1.7
    if cut.start <= edge + 0.5:  # it starts at the sheet's edge: the number stands outside
        for out in (1.0, 4.9, 8.8):
            yield cut.point(edge - reach - out), cut.point(edge), 1, False
    on = [cut.point(cut.start + (cut.end - cut.start) * f) for f in FRACTIONS]
    for crossing in (1, 2, 99):  # its own line; where that leaves no place, others too
        for at in on:
            yield at, at, crossing, False
        if crossing == 1 and cut.start <= edge + 4.0:  # a trim cut lies between it and the edge
            for out in (1.0, 4.9, 8.8):
                yield cut.point(edge - reach - out), cut.point(cut.start), 1, True
    # beside it, with a leader, as far as it takes
    for strict in (True, False):
        for step in range(1, 60):
            for at in on:
                for sense in (-1.0, 1.0):
                    off = sense * (2.0 + 1.2 * step)
                    spot = (at[0], at[1] + off) if cut.along_x else (at[0] + off, at[1])
                    yield spot, at, 0 if step < 6 else 99, strict


def _cut_lines(sheet: CutSheet) -> list[Block]:
    """The cuts in their order, in words: so they are found even where a number has no room."""
    if not sheet.cuts:
        return []
    entries = [
        f"{number} {STAGES.get(cut.stage, 'cut')} {size(cut.at_mm)} "
        f"{'up' if cut.along == 'x' else 'right'}"
        for number, cut in enumerate(sheet.cuts, start=1)
    ]
    lines = entries_in_lines(entries, width_mm=INNER_MM, size_mm=SMALL_MM)
    marks = [
        Text(0.0, -3.2, "Saw cuts in order, to the middle of the kerf from the lower left corner",
             2.7, bold=True),
        *(Text(0.0, -3.2 - LEAD_MM * k, line, SMALL_MM) for k, line in enumerate(lines, start=1)),
    ]  # fmt: skip
    return [Block(LEAD_MM * len(lines) + 6.0, tuple(marks), follows=True)]


def _name_lines(
    numbers: Sequence[int], sheets: Sequence[CutSheet], said: Mapping[str, str], listed: set[int]
) -> list[Block]:
    """Names of the pieces that have none in the picture."""
    lines: list[str] = []
    for number, sheet in zip(numbers, sheets, strict=True):
        entries = [
            f"{k} {said.get(tile.name, tile.name)}"
            for k, tile in enumerate(sheet.tiles, start=1)
            if k in listed
        ]
        if entries:
            first = f"sheet {number}:" if len(sheets) > 1 else ""
            lines += entries_in_lines(entries, width_mm=INNER_MM, size_mm=SMALL_MM, first=first)
    if not lines:
        return []
    marks = tuple(Text(0.0, -3.2 - LEAD_MM * k, line, SMALL_MM) for k, line in enumerate(lines))
    return [Block(LEAD_MM * len(lines) + 2.0, marks, follows=True)]
