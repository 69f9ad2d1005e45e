"""The column beside a plan view: layers of the half, what the marks mean, and numbered items."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from attrs import frozen

from fitkit.checks.finding import Verdict
from fitkit.documents.furniture import tag, witness, word_tag
from fitkit.documents.layer_pictures import layer_picture
from fitkit.documents.lettering import cut_to, width_of, wrapped
from fitkit.documents.mount_marks import mounted_list
from fitkit.documents.mount_words import supports_of
from fitkit.documents.naming import half_names, size
from fitkit.documents.sheet import (
    MEASURED,
    Contour,
    Hatch,
    HatchKind,
    Mark,
    Path,
    Role,
    Style,
    Text,
    box,
    polyline,
)
from fitkit.fit.layout import HalfName
from fitkit.fit.place import Placed
from fitkit.foam.model import Layer
from fitkit.plan import Plan


@frozen
class Keyed:
    """An item that a drawing names by a number: item and copy, its label and size in words."""

    number: int
    item: str
    copy: int
    label: str
    fact: str


ZONES: dict[HatchKind, str] = {
    "connector": "connector zone: room for a plug",
    "cable": "cable zone: bend",
    "vent": "vent zone: keep open",
    "hand": "hand zone: room to reach",
    "mount": "mount: room for rails or a sub-panel",
}
FOOT_MM = 26.0
"""Below this stands the title block [mm on paper]."""

MOST_WIDE_MM = 26.0
"""A small picture of a layer is no wider [mm on paper]."""

GAPS: dict[Verdict, tuple[str, str]] = {
    "ok": ("15.2", "gap, at least its clearance"),
    "tight": ("15.6", "measuring errors could close it"),
    "fails": ("8 < 15", "smaller than its clearance"),
}


def side_column(
    plan: Plan,
    half: HalfName,
    shown: Sequence[Layer],
    kinds: Collection[str],
    verdicts: Collection[str],
    keyed: Sequence[Keyed],
    *,
    column: tuple[float, float, float],
    placed: Sequence[Placed] = (),
) -> tuple[list[Mark], float]:
    """The column from ``column`` = (left, top, right) downwards [mm], and where it ends.

    ``placed`` are the items of the drawing: those that are mounted are listed with what holds them.
    """
    left, top, right = column
    patches = _patches_of(plan, shown, placed)
    legend, legend_end = _legend(plan, kinds, verdicts, patches, left, 0.0, right)
    key_mm = 5.5 + 3.9 * len(key_lines(keyed)) + 5.0 if keyed else 0.0
    floor = FOOT_MM - legend_end + key_mm + 5.0
    marks: list[Mark] = []
    y = top
    if any(one.item.mount is not None for one in placed):
        marks.append(_head(left, y, f"Mounted, {half_names(plan)[half]}"))
        foam_mm = 40.0 if shown else 0.0
        more, y = mounted_list(plan, placed, left, y - 5.5, right, floor=floor + foam_mm)
        marks += more
    if any(layer.half == half for layer in plan.foam.layers):
        y -= 0.0 if y == top else 3.0
        more, y = _layers(plan, half, {la.name for la in shown}, (left, y, right), floor)
        marks += more
    legend, y = _legend(plan, kinds, verdicts, patches, left, y - (5.0 if y < top else 0.0), right)
    marks += legend
    if keyed:
        marks += _key(keyed, left, y - 5.0, right)
        y -= key_mm
    return marks, y


def finding_lines(
    plan: Plan, labels: Sequence[str], left: float, top: float, right: float
) -> list[Mark]:
    """Findings about these items that want something done, worst first, as many as have room."""
    wanted = [
        finding
        for verdict in ("fails", "tight", "unknown")
        for finding in plan.findings
        if finding.verdict == verdict and any(_names(finding.subject, label) for label in labels)
    ]
    if not wanted or top - 30.0 < 6.4:
        return []
    marks: list[Mark] = [_head(left, top, "Findings")]
    y = top - 8.4
    half = left + 21.0 + (right - left - 21.0) * 0.36
    for shown, finding in enumerate(wanted):
        name = wrapped(
            f"{finding.check}, {finding.subject}",
            width_mm=half - left - 24.0,
            size_mm=2.7,
            bold=True,
        )
        note = wrapped(finding.note, width_mm=right - half, size_mm=2.7)
        lines = max(len(name), len(note))
        if y - 3.6 * (lines - 1) < FOOT_MM or shown == 4:
            if shown == 0:
                return []
            left_out = len(wanted) - shown
            marks.append(
                Text(left + 21.0, y, f"{left_out} more in the list of findings", 2.5, role="quiet")
            )
            break
        marks += word_tag(left, y - 1.3, finding.verdict)
        for k in range(lines):
            if k < len(name):
                marks.append(Text(left + 21.0, y - 3.6 * k, name[k], 2.7, bold=True))
            if k < len(note):
                marks.append(Text(half, y - 3.6 * k, note[k], 2.7))
        y -= 6.4 + 3.6 * (lines - 1)
    return marks


def _names(subject: str, label: str) -> bool:
    """Does a finding's subject speak of this item?"""
    return re.search(rf"(?<!\w){re.escape(label)}(?!\w)", subject) is not None


def _head(x: float, y: float, text: str) -> Text:
    return Text(x, y, text, 4.0, bold=True)


def _layers(
    plan: Plan,
    half: HalfName,
    shown: Collection[str],
    column: tuple[float, float, float],
    floor: float,
) -> tuple[list[Mark], float]:
    """All layers of a half, small: as few to a row as leave them above ``floor``."""
    left, top, right = column
    layers = [layer for layer in plan.foam.layers if layer.half == half]
    marks: list[Mark] = [_head(left, top, f"Layers, {half_names(plan)[half]}")]
    if 0 < len(shown) < len(layers):
        note = "framed: where this drawing's items stand"
        marks.append(Text(left, top - 4.2, note, 2.5, role="quiet"))
        top -= 3.6
    gap, y = 3.0, top - 4.0
    slope = plan.fit.interior.width_mm / plan.fit.interior.length_mm
    for columns in range(3 if len(layers) <= 9 else 4, 13):
        wide = min(MOST_WIDE_MM, (right - left - gap * (columns - 1)) / columns)
        tall = wide * slope
        if y - -(-len(layers) // columns) * (tall + 9.6) >= floor:
            break
    for k, layer in enumerate(layers):
        row, place = divmod(k, columns)
        x = left + place * (wide + gap)
        at = y - row * (tall + 9.6)
        marks += layer_picture(
            plan, layer, x, at - tall, wide, marked=layer.name in shown and len(shown) < len(layers)
        )
        accent = " accent" if layer.material == "accent" else ""
        band = cut_to(
            f"{size(layer.z0_mm)}–{size(layer.z1_mm)}{accent}", width_mm=wide + 2.0, size_mm=2.5
        )
        marks.append(
            Text(x, at - tall - 3.2, f"{layer.index} · {size(layer.thickness_mm)} mm", 2.5)
        )
        marks.append(Text(x, at - tall - 6.2, band, 2.5, role="quiet"))
    rows = -(-len(layers) // columns)
    return marks, y - rows * (tall + 9.6)


def _patches_of(plan: Plan, shown: Sequence[Layer], placed: Sequence[Placed]) -> frozenset[str]:
    """Which areas a drawing shows, beside walls and zones."""
    found = set()
    if any(one.item.mount is None for one in placed) or not placed:
        found.add("pocket")
    if any(one.item.mount is not None for one in placed):
        found.add("mounted")
    if any(supports_of(plan, one) for one in placed):
        found.add("support")
    if shown or not placed:
        found.add("foam")
    return frozenset(found)


def _legend(
    plan: Plan,
    kinds: Collection[str],
    verdicts: Collection[str],
    patches: Collection[str],
    left: float,
    top: float,
    right: float,
) -> tuple[list[Mark], float]:
    marks: list[Mark] = [_head(left, top, "Marks")]
    y = top - 6.0
    text_x = left + 18.0

    def line(text: str) -> None:
        nonlocal y
        marks.append(Text(text_x, y - 0.9, cut_to(text, width_mm=right - text_x, size_mm=2.6), 2.6))
        y -= 5.2

    for verdict, (number, text) in GAPS.items():
        if verdict in verdicts:
            marks += witness((left, y), (left + 3.0, y), verdict)
            marks += tag(left + 10.2, y, number, verdict)
            line(text)

    def patch() -> tuple[Contour, ...]:
        return (box(left, y - 1.7, left + 14.5, y + 1.7),)

    if "pocket" in patches:
        within = (box(left + 0.7, y - 1.0, left + 13.8, y + 1.0),)
        marks.append(Path(patch(), Style("ink", 0.35, fill="paper")))
        marks.append(Path(within, Style("quiet", 0.18, MEASURED, "white")))
        line("pocket, with the item as measured")
    if "mounted" in patches:
        marks.append(Path(patch(), Style("ink", 0.35, fill="white")))
        line("mounted item, as measured")
    if "support" in patches:
        half = (box(left, y - 1.7, left + 7.0, y + 1.7),)
        rest = (box(left + 7.0, y - 1.7, left + 14.5, y + 1.7),)
        marks += [
            Hatch(half, "panel"),
            Path(half, Style("ink", 0.25)),
            Path(rest, Style("quiet", 0.2, MEASURED)),
        ]
        line("rail, sub-panel; dashed: under gear")
    if "foam" in patches:
        marks += [
            Path(patch(), Style(None, fill="foam")),
            Hatch(patch(), "foam"),
            Path(patch(), Style("ink", 0.2)),
        ]
        line("foam")
    if plan.outside_known:
        case = plan.fit.ready_made
        wall = case.name if case else plan.payload.wall.panel
        marks += [Hatch(patch(), "wall"), Path(patch(), Style("ink", 0.35))]
        line(cut_to(f"wall: {wall}", width_mm=right - text_x, size_mm=2.6))
    if plan.fit.interior.leans:
        marks.append(Path((polyline([(left, y), (left + 14.5, y)]),), Style("quiet", 0.18)))
        line("leaning wall, at its narrowest")
    for kind, text in ZONES.items():
        if kind in kinds:
            role: Role = "connector" if kind == "connector" else "zone"
            marks += [Hatch(patch(), kind), Path(patch(), Style(role, 0.3))]
            line(text)
    return marks, y


def key_lines(keyed: Sequence[Keyed]) -> list[tuple[str, str, str]]:
    """Numbers, names and sizes; copies of one item that follow each other share a line.

    >>> key_lines([Keyed(k, "cell", k + 4, f"cell {k + 4}", "") for k in (1, 2, 3)])
    [('1–3', 'cell 5–7', '')]
    """
    runs: list[list[Keyed]] = []
    for one in keyed:
        last = runs[-1][-1] if runs else None
        if last and (last.item, last.copy + 1, last.fact) == (one.item, one.copy, one.fact):
            runs[-1].append(one)
        else:
            runs.append([one])
    lines: list[tuple[str, str, str]] = []
    for run in runs:
        first, last_one = run[0], run[-1]
        if len(run) == 1:
            lines.append((str(first.number), first.label, first.fact))
        else:
            lines.append(
                (
                    f"{first.number}–{last_one.number}",
                    f"{first.item} {first.copy}–{last_one.copy}",
                    first.fact,
                )
            )
    return lines


def _key(keyed: Sequence[Keyed], left: float, top: float, right: float) -> list[Mark]:
    """Numbers and names, in two columns where there are many."""
    marks: list[Mark] = [_head(left, top, "Small items")]
    lines = key_lines(keyed)
    rows = int((top - 8.0 - FOOT_MM) // 3.9)
    columns = 1 if len(lines) <= rows else 2
    wide = (right - left) / columns
    indent = max(width_of(numbers, size_mm=2.5, bold=True) for numbers, _, _ in lines) + 2.0
    for k, (numbers, label, fact) in enumerate(lines):
        column, row = divmod(k, max(rows, -(-len(lines) // columns)))
        x, y = left + column * wide, top - 5.5 - 3.9 * row
        marks.append(Text(x + indent - 2.0, y, numbers, 2.5, "end", True))
        name = cut_to(label, width_mm=wide - indent - 2.0, size_mm=2.5)
        marks.append(Text(x + indent, y, name, 2.5))
        used = indent + width_of(name, size_mm=2.5) + 2.0
        if columns == 1 and used + width_of(fact, size_mm=2.5) < wide:
            marks.append(Text(right, y, fact, 2.5, "end", role="quiet"))
    return marks
