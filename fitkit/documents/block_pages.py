"""Pictures that stand below one another, on as many sheets as it takes.

A :class:`Block` is drawn from its upper left corner, x to the right and y down as negative
numbers; blocks are never cut in two. A sheet is a landscape page, taller where one block asks for
it.
"""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve, frozen

from fitkit.documents.furniture import SCALES, title_block
from fitkit.documents.lettering import cut_to, width_of, wrapped
from fitkit.documents.sheet import Circle, Contour, Hatch, Mark, Path, Sheet, Text
from fitkit.plan import Plan

WIDTH_MM, HEIGHT_MM, MARGIN_MM = 297.0, 210.0, 12.0
INNER_MM = WIDTH_MM - 2 * MARGIN_MM
HEAD_MM, FOOT_MM = 30.0, 26.0
LEAD_MM = 3.7
"""From one line of small type to the next."""


@frozen
class Block:
    """Marks from (0, 0) down to -``tall_mm``.

    ``follows``: stays on the sheet of the one before. ``under`` is the heading that it belongs to,
    said again where it begins a sheet.
    """

    tall_mm: float
    marks: tuple[Mark, ...]
    follows: bool = False
    under: str = ""


@frozen
class Draft:
    """Blocks that share a sheet's heading: ``what`` they show, ``second`` line, scale 1 : n."""

    what: str
    second: str
    blocks: tuple[Block, ...]
    scale: float | None = None


def sheets_of(plan: Plan, drafts: Sequence[Draft]) -> tuple[Sheet, ...]:
    """Every draft on sheets of its own, numbered through."""
    shared = [(draft, blocks) for draft in drafts for blocks in _shared_out(draft.blocks)]
    return tuple(
        _sheet(plan, draft, blocks, number=number, total=len(shared))
        for number, (draft, blocks) in enumerate(shared, start=1)
    )


def _shared_out(blocks: Sequence[Block]) -> list[list[Block]]:
    """Blocks by sheet; one that follows goes with the one before it."""
    groups: list[list[Block]] = []
    for block in blocks:
        if block.follows and groups:
            groups[-1].append(block)
        else:
            groups.append([block])
    room = HEIGHT_MM - HEAD_MM - FOOT_MM
    pages: list[list[Block]] = []
    left = 0.0
    for group in groups:
        tall = sum(block.tall_mm for block in group)
        if not pages or tall > left:
            pages.append([])
            left = room
            if group[0].under:
                again = heading_block(f"{group[0].under}, continued")
                pages[-1].append(again)
                left -= again.tall_mm
        pages[-1] += group
        left -= tall
    return pages


def _sheet(plan: Plan, draft: Draft, blocks: Sequence[Block], *, number: int, total: int) -> Sheet:
    tall = sum(block.tall_mm for block in blocks)
    height = max(HEIGHT_MM, HEAD_MM + tall + FOOT_MM)
    title = cut_to(plan.payload.title, width_mm=INNER_MM, size_mm=6.2, bold=True)
    marks: list[Mark] = [
        Text(MARGIN_MM, height - 15.0, title, 6.2, bold=True),
        Text(MARGIN_MM, height - 20.5, cut_to(draft.second, width_mm=INNER_MM, size_mm=3.0), 3.0,
             role="quiet"),
    ]  # fmt: skip
    y = height - HEAD_MM
    for block in blocks:
        marks += [moved(mark, MARGIN_MM, y) for mark in block.marks]
        y -= block.tall_mm
    foot = title_block(plan, width_mm=WIDTH_MM, number=number, total=total, scale=draft.scale)
    return Sheet(WIDTH_MM, height, f"{plan.payload.title}: {draft.what}", (*marks, *foot))


def moved(mark: Mark, dx: float, dy: float) -> Mark:
    """A mark shifted on its sheet."""
    if isinstance(mark, Path | Hatch):
        contours = tuple(
            Contour(tuple((x + dx, y + dy, b) for x, y, b in c.vertices), c.closed)
            for c in mark.contours
        )
        return evolve(mark, contours=contours)
    if isinstance(mark, Text | Circle):
        return evolve(mark, x_mm=mark.x_mm + dx, y_mm=mark.y_mm + dy)
    left, low, right, high = mark.box_mm
    box_mm = (left + dx, low + dy, right + dx, high + dy)
    return evolve(mark, x_mm=mark.x_mm + dx, y_mm=mark.y_mm + dy, box_mm=box_mm)


def scale_in(length_mm: float, width_mm: float, room_mm: tuple[float, float]) -> float:
    """The largest usual scale 1 : n at which a sheet of material fits into a room on paper; its n.

    >>> scale_in(2440.0, 1220.0, (244.0, 150.0)), scale_in(2000.0, 1000.0, (132.0, 120.0))
    (10.0, 16.0)
    """
    least = max(length_mm / room_mm[0], width_mm / room_mm[1])
    usual = (*SCALES, *(10.0 * n for n in SCALES[1:]))
    return next((n for n in usual if n >= least - 1e-9), least)


def lines_block(lines: Sequence[str], *, size_mm: float = 2.7, after_mm: float = 1.5) -> Block:
    """Lines of text in quiet type, each wrapped to the width of the sheet; it follows."""
    broken = [line for text in lines for line in wrapped(text, width_mm=INNER_MM, size_mm=size_mm)]
    lead = size_mm * 1.4
    marks = tuple(
        Text(0.0, -lead * k - size_mm, line, size_mm, role="quiet") for k, line in enumerate(broken)
    )
    return Block(lead * len(broken) + after_mm, marks, follows=True)


def heading_block(text: str, *, follows: bool = False) -> Block:
    """A heading in bold."""
    shown = cut_to(text, width_mm=INNER_MM, size_mm=4.0, bold=True)
    return Block(6.0, (Text(0.0, -4.0, shown, 4.0, bold=True),), follows)


def entries_in_lines(
    entries: Sequence[str], *, width_mm: float, size_mm: float, first: str = ""
) -> list[str]:
    """Entries with a raised dot between them, in lines; one is broken only if it fills a line."""
    lines: list[str] = []
    open_line = first
    for entry in entries:
        joint = "" if not open_line else (" " if open_line == first else " · ")
        longer = f"{open_line}{joint}{entry}"
        if width_of(longer, size_mm=size_mm) <= width_mm or not open_line:
            open_line = longer
            continue
        lines.append(open_line)
        open_line = entry
    if open_line:
        lines.append(open_line)
    return [part for line in lines
            for part in wrapped(line, width_mm=width_mm, size_mm=size_mm)]  # fmt: skip
