"""Bars as they are sawn: each a long strip, true to scale along its length."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from attrs import evolve, frozen

from fitkit.documents.block_pages import (
    INNER_MM,
    LEAD_MM,
    Block,
    Draft,
    entries_in_lines,
    heading_block,
    lines_block,
)
from fitkit.documents.lettering import CAP_SHARE, width_of, wrapped
from fitkit.documents.naming import size
from fitkit.documents.sheet import Hatch, Mark, Path, Style, Text, box, polyline
from fitkit.documents.shell_lists import bar_names
from fitkit.documents.stock_words import bar_plan_words, bars_bought_words
from fitkit.stock.model import BarPlan, CutBar

STRIP_MM = 13.0
SLANT_MM = 1.6
"""How far a mitre leans on paper, as a sign: its true lean would hardly be seen."""

SMALL_MM, NAME_MM = 2.5, 2.5


@frozen
class Lying:
    """A piece on its bar: which one, where it starts and how long it is on paper [mm]."""

    number: int
    x_mm: float
    long_mm: float
    words: str
    said: str
    mitred: bool


def bars_draft(plans: Sequence[BarPlan], said: Mapping[str, str], *, keep_mm: float) -> Draft:
    """All bars of all profiles at one scale; ``said`` has the pieces' names as they are said."""
    longest = max((bar.length_mm for plan in plans for bar in plan.bars), default=1000.0)
    scale = math.ceil(longest / INNER_MM * 10.0) / 10.0
    blocks: list[Block] = []
    for plan in plans:
        if not plan.bars:
            continue
        name = f"{plan.what[:1].upper()}{plan.what[1:]}"
        title = f"{name}: {bars_bought_words(plan)}"
        blocks += [heading_block(title), lines_block(bar_plan_words(plan))]
        for k, alike in enumerate(_alike(plan)):
            picture = _picture(plan, alike, said, scale=scale, keep_mm=keep_mm)
            blocks.append(evolve(picture, follows=k == 0, under=name))
    second = (
        f"profiles on their bars, sawn from the left; lengths at 1 : {size(scale)}, in mm; "
        "hatched: left over or trimmed off"
    )
    if any(stick.mitred for plan in plans for bar in plan.bars for stick in bar.sticks):
        second += "; mitred: length at the long point"
    return Draft("bars as they are sawn", second, tuple(blocks), scale)


def _alike(plan: BarPlan) -> list[list[tuple[str, CutBar]]]:
    """Bars in groups that are sawn alike, with their names."""
    groups: dict[object, list[tuple[str, CutBar]]] = {}
    for name, bar in zip(bar_names(plan.bars), plan.bars, strict=True):
        key = (bar.length_mm, bar.offcut, tuple((s.length_mm, s.mitred) for s in bar.sticks))
        groups.setdefault(key, []).append((name, bar))
    return list(groups.values())


def _picture(
    plan: BarPlan,
    alike: list[tuple[str, CutBar]],
    said: Mapping[str, str],
    *,
    scale: float,
    keep_mm: float,
) -> Block:
    """One strip for all bars that are sawn alike, with the names of all their pieces."""
    bar = alike[0][1]
    names = ", ".join(name for name, _ in alike)
    times = f"{len(alike)} × alike: " if len(alike) > 1 else ""
    marks: list[Mark] = [
        Text(0.0, -3.4, f"{times}{names}", 2.9, bold=True),
        Text(width_of(f"{times}{names}", size_mm=2.9, bold=True) + 2.5, -3.4,
             f"{size(bar.length_mm)} long", SMALL_MM, role="quiet"),
    ]  # fmt: skip
    top, low = -5.2, -5.2 - STRIP_MM
    lying = _lying(plan, bar, said, scale)
    end = bar.length_mm / scale
    whole = box(0.0, low, end, top)
    marks += [Hatch((whole,), "wall"), Path((whole,), Style("ink", 0.35))]
    marks += [_piece(one, low, top) for one in lying]
    listed: set[int] = set()
    for one in lying:
        texts = None if len(alike) > 1 else _named(one, (low + top) / 2)
        if texts is None:
            listed.add(one.number)
            texts = _numbered(one, (low + top) / 2)
        marks += texts
    thin = [one for one in lying if not _numbered(one, 0.0)]
    below = _bracketed(thin, low, end) if listed else []
    marks += below
    marks += _left_over(bar, lying, low, top, end, keep_mm)
    y = low - (3.4 if below else 0.0)
    lines: list[str] = []
    for name, each in alike:
        pieces = [one for one in _lying(plan, each, said, scale) if one.number in listed]
        if pieces:
            first = f"{name}:" if len(alike) > 1 else ""
            entries = [f"{one.number} {one.words}{_length_below(one)}" for one in pieces]
            lines += entries_in_lines(entries, width_mm=INNER_MM, size_mm=SMALL_MM, first=first)
    for line in lines:
        y -= LEAD_MM
        marks.append(Text(0.0, y, line, SMALL_MM))
    return Block(-y + 5.5, tuple(marks))


def _lying(plan: BarPlan, bar: CutBar, said: Mapping[str, str], scale: float) -> list[Lying]:
    x = 0.0 if bar.offcut else plan.trim_mm
    found: list[Lying] = []
    for number, stick in enumerate(bar.sticks, start=1):
        words = said.get(stick.name, stick.name)
        # the heading says what profile it is
        words = words.removeprefix(f"{plan.what}, ")
        found.append(
            Lying(number, x / scale, stick.length_mm / scale, words, size(stick.length_mm),
                  stick.mitred)
        )  # fmt: skip
        x += stick.length_mm + plan.kerf_mm * (math.sqrt(2.0) if stick.mitred else 1.0)
    return found


def _piece(one: Lying, low: float, top: float) -> Path:
    lean = min(SLANT_MM, one.long_mm / 3) if one.mitred else 0.0
    right = one.x_mm + one.long_mm
    corners = [(one.x_mm, low), (right, low), (right - lean, top), (one.x_mm + lean, top)]
    return Path((polyline(corners, closed=True),), Style("ink", 0.3, fill="white"))


def _named(one: Lying, middle: float) -> list[Text] | None:
    """The piece's name and length inside it; None if they do not fit."""
    room = one.long_mm - 2.0 - (2 * SLANT_MM if one.mitred else 0.0)
    if room < 4.0:
        return None
    lines = wrapped(one.words, width_mm=room, size_mm=NAME_MM)
    where, _, part = one.words.partition(", ")
    if len(lines) > 1 and part and fits(f"{where},", room) and fits(part, room):
        lines = [f"{where},", part]
    whole = " ".join(lines) == " ".join(one.words.split())
    if not whole or len(lines) > 2 or width_of(one.said, size_mm=2.9, bold=True) > room:
        return None
    x, y = one.x_mm + one.long_mm / 2, middle + 1.75 * (len(lines) - 1)
    texts = [Text(x, y + 0.7, one.said, 2.9, "middle", bold=True)]
    for k, line in enumerate(lines):
        texts.append(Text(x, y - 3.0 - 3.4 * k, line, NAME_MM, "middle", role="quiet"))
    return texts


def fits(text: str, room_mm: float) -> bool:
    """Whether a text in small type is no longer than its room."""
    return width_of(text, size_mm=SMALL_MM) <= room_mm


def _numbered(one: Lying, middle: float) -> list[Text]:
    """A number for the list below, and the length: level, or turned in a short piece."""
    x, number = one.x_mm + one.long_mm / 2, str(one.number)
    room = one.long_mm - 1.2 - (2 * SLANT_MM if one.mitred else 0.0)
    if width_of(one.said, size_mm=SMALL_MM) <= room:
        return [
            Text(x, middle + 0.9, number, SMALL_MM, "middle", bold=True),
            Text(x, middle - 2.9, one.said, SMALL_MM, "middle"),
        ]
    turned = f"{number} · {one.said}"
    if one.long_mm < SMALL_MM + 0.4 or width_of(turned, size_mm=SMALL_MM) > STRIP_MM - 1.0:
        return []
    return [Text(x + SMALL_MM * CAP_SHARE / 2, middle, turned, SMALL_MM, "middle", turn_deg=90.0)]


def _length_below(one: Lying) -> str:
    """The length, where the piece is too short to have it inside."""
    return "" if _numbered(one, 0.0) else f": {one.said}"


def _bracketed(thin: Sequence[Lying], low: float, end: float) -> list[Mark]:
    """Pieces too short for any text: those side by side share one number below the strip."""
    runs: list[list[Lying]] = []
    for one in thin:
        if runs and one.number == runs[-1][-1].number + 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    marks: list[Mark] = []
    for run in runs:
        first, last = run[0], run[-1]
        x0, x1 = first.x_mm, last.x_mm + last.long_mm
        text = str(first.number) if len(run) == 1 else f"{first.number}–{last.number}"
        line = polyline([(x0, low - 0.6), (x0, low - 1.0), (x1, low - 1.0), (x1, low - 0.6)])
        marks.append(Path((line,), Style("ink", 0.18)))
        wide = width_of(text, size_mm=SMALL_MM, bold=True)
        x = min(max((x0 + x1) / 2, wide / 2), end - wide / 2)
        marks.append(Text(x, low - 3.6, text, SMALL_MM, "middle", bold=True))
    return marks


def _left_over(
    bar: CutBar, lying: Sequence[Lying], low: float, top: float, end: float, keep_mm: float
) -> list[Mark]:
    """What is left at the far end, in words where there is room."""
    start = lying[-1].x_mm + lying[-1].long_mm if lying else 0.0
    keep = bar.left_mm >= keep_mm
    middle = (low + top) / 2
    lines = [f"{size(bar.left_mm)} left", "keep it"] if keep else [f"{size(bar.left_mm)} left"]
    wide = max(width_of(line, size_mm=SMALL_MM, bold=True) for line in lines) + 2.4
    if bar.left_mm <= 0 or wide > end - start - 1.5:
        return []
    x, tall = (start + end) / 2, 3.5 * len(lines) + 0.9
    plate = box(x - wide / 2, middle - tall / 2, x + wide / 2, middle + tall / 2, corner_mm=1.2)
    marks: list[Mark] = [Path((plate,), Style(None, fill="paper"))]
    for k, line in enumerate(lines):
        y = middle + tall / 2 - 3.1 - 3.5 * k
        marks.append(Text(x, y, line, SMALL_MM, "middle", bold=k == 0))
    return marks
