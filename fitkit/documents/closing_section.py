"""The closing section: both halves cut through where they close, with every gap on its line.

Gear is white, foam dotted, panels hatched, profiles solid. Recesses are counted from the closing
plane; a gap's number stands in a tag whose form tells its verdict.
"""

from __future__ import annotations

from fitkit.documents.furniture import scale_for, title_block
from fitkit.documents.gap_column import gap_rows, share_marks
from fitkit.documents.gap_words import by_margin, sides_text
from fitkit.documents.lettering import cut_to
from fitkit.documents.naming import size
from fitkit.documents.section_view import View, section_marks, worst_gap
from fitkit.documents.sheet import Mark, Sheet, Text
from fitkit.plan import Plan

WIDTH_MM, HEIGHT_MM = 297.0, 210.0
LEFT_MM, RIGHT_MM = 34.0, 32.0
HEAD_MM, FOOT_MM = 26.0, 27.0
PICTURE_SIDES_MM = 22.0, 27.0
FLAT = 1.9
"""A case at least so much longer than high is drawn across the sheet, with the words under it."""

UNDER_MM = 62.0
COLUMN_MM = 96.0


def place_of(plan: Plan, at_mm: float | None) -> float:
    """Where to cut [mm from the interior's front]: as asked, or through the tightest gap.

    Without a gap through the middle of the tallest item, and without items through the middle.
    """
    if at_mm is not None:
        return at_mm
    gap = worst_gap(plan)
    if gap is not None:
        return gap.at_mm[1]
    return plan.fit.interior.width_mm / 2


def section_sheet(plan: Plan, *, at_mm: float | None = None) -> Sheet:
    """The section through both halves, seen from the front, with gaps, recesses and verdicts.

    ``at_mm`` is where to cut, from the interior's front; None is through the tightest gap.
    """
    y_mm = place_of(plan, at_mm)
    long, _, high = plan.outside_mm
    flat = long >= FLAT * high
    room = (
        (WIDTH_MM - LEFT_MM - RIGHT_MM, HEIGHT_MM - HEAD_MM - FOOT_MM - UNDER_MM - 12.0)
        if flat
        else (WIDTH_MM - LEFT_MM - RIGHT_MM - COLUMN_MM - 8.0, HEIGHT_MM - HEAD_MM - FOOT_MM - 22.0)
    )
    scale = scale_for(long, high, room)
    view = View.of(plan, scale, top_mm=HEIGHT_MM - HEAD_MM - 13.0, left_mm=LEFT_MM)
    gaps = by_margin(() if plan.shell is None else plan.shell.gaps)
    marks: list[Mark] = [
        Text(12.0, HEIGHT_MM - 15.0, "Closing section", 6.2, bold=True),
        Text(12.0, HEIGHT_MM - 20.5, _second_line(plan, y_mm, scale), 3.0, role="quiet"),
        *section_marks(plan, view, y_mm),
    ]
    if flat:
        top = view.low_mm - 10.0
        tall = top - FOOT_MM
        blocks = ((12.0, top), (112.0, tall)), ((136.0, top), (WIDTH_MM - 148.0, tall))
    else:
        left, top = WIDTH_MM - 12.0 - COLUMN_MM, HEIGHT_MM - HEAD_MM - 4.0
        tall = (top - FOOT_MM) / 2
        blocks = ((left, top), (COLUMN_MM, tall - 4.0)), ((left, top - tall), (COLUMN_MM, tall))
    if gaps:
        marks += share_marks(gaps[0], *blocks[0])
    marks += gap_rows(gaps, *blocks[1 if gaps else 0], payload=plan.payload)
    marks += title_block(plan, width_mm=WIDTH_MM, number=1, total=1, scale=scale)
    title = f"{plan.payload.title}: closing section at {size(y_mm)} mm from the front"
    return Sheet(WIDTH_MM, HEIGHT_MM, title, tuple(marks))


def picture_sheet(plan: Plan, *, at_mm: float | None = None, wide_mm: float = 190.0) -> Sheet:
    """The section alone, for a page that says the rest itself; ``wide_mm`` on paper [mm].

    It is as high as the case asks for.
    """
    y_mm = place_of(plan, at_mm)
    long, _, high = plan.outside_mm
    room = wide_mm - sum(PICTURE_SIDES_MM)
    scale = max(long / room, high / 150.0)
    tall = high / scale + 22.0
    left = PICTURE_SIDES_MM[0] + (room - long / scale) / 2
    view = View.of(plan, scale, top_mm=tall - 14.0, left_mm=left)
    title = f"section at {size(y_mm)} mm from the front"
    return Sheet(wide_mm, tall, title, tuple(section_marks(plan, view, y_mm)))


def _second_line(plan: Plan, y_mm: float, scale: float) -> str:
    text = (
        f"{plan.payload.title} · cut {size(y_mm)} mm from the interior's front, seen from the "
        f"front · scale 1 : {size(scale, 2)} · sizes in mm"
    )
    return cut_to(text, width_mm=WIDTH_MM - 24.0, size_mm=3.0)


def gaps_words(plan: Plan) -> tuple[str, ...]:
    """What faces what, the least left over first, for those who cannot see the drawing."""
    gaps = by_margin(() if plan.shell is None else plan.shell.gaps)
    return tuple(f"{sides_text(gap)}: {size(gap.nominal_mm)} mm" for gap in gaps)
