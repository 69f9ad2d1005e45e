"""The histogram of a gap: its bars count every draw, and its lines stand at their figures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import closing_kits
from fitkit.documents.gap_histogram import LEFT_MM, RIGHT_MM, histogram_sheet, short_text
from fitkit.documents.sheet import Path, Sheet, Text
from fitkit.shell.gap.model import Contribution, Gap
from fitkit.shell.gap.monte_carlo import sampled_mm
from sheet_texts import assert_texts_apart

FOOT_MM = 12.0


def bars(sheet: Sheet, fill: str) -> list[tuple[float, float, float]]:
    """Left, right and height of each bar of a colour [mm on paper]."""
    found = []
    for mark in sheet.marks:
        if isinstance(mark, Path) and mark.style.fill == fill:
            xs = [x for x, _, _ in mark.contours[0].vertices]
            ys = [y for _, y, _ in mark.contours[0].vertices]
            found.append((min(xs), max(xs), max(ys) - FOOT_MM))
    return found


def line_at(sheet: Sheet, role: str) -> float:
    """Where the upright line of a role stands [mm on paper]."""
    (found,) = [
        mark.contours[0].vertices[0][0]
        for mark in sheet.marks
        if isinstance(mark, Path) and mark.style.stroke == role and mark.style.width_mm == 0.5
    ]
    return found


def test_the_bars_share_out_every_draw() -> None:
    """Areas of the bars, short and kept, are as the draws below and above the limit."""
    gap = closing_kits.gap("a", "b", (0.0, 0.0, 0.0), (5.0, 5.0))
    drawn = sampled_mm(gap, count=4000, seed=3)
    sheet = histogram_sheet(gap, drawn)
    short, kept = bars(sheet, "fails"), bars(sheet, "foam")
    below, all_ = sum(one[2] for one in short), sum(one[2] for one in (*short, *kept))
    assert below / all_ == pytest.approx(np.mean(drawn < 2.0), abs=1e-9)
    assert max(one[1] for one in short) == pytest.approx(line_at(sheet, "ok"))


def test_the_lines_stand_at_their_figures() -> None:
    """Worst case, RSS and limit lie on one scale: 13.9, 15.1 and 2 mm of a gap of 24."""
    gap = closing_kits.gap("a", "b", (0.0, 0.0, 0.0), (12.0, 12.0))
    sheet = histogram_sheet(gap, sampled_mm(gap, count=2000, seed=1))
    keep, worst, rss = (line_at(sheet, role) for role in ("ok", "fails", "connector"))
    assert keep < worst < rss
    scale = (worst - keep) / (gap.worst_mm - gap.keep_mm)
    assert (rss - keep) / scale == pytest.approx(gap.rss_mm - 2.0)
    assert min(one[0] for one in bars(sheet, "foam")) > worst  # no draw passes the worst case
    said = {mark.text for mark in sheet.marks if isinstance(mark, Text)}
    assert {"to keep 2", "worst case 13.9", "RSS 15.1"} <= said


def test_what_is_short_is_counted_in_words() -> None:
    """None, one and many."""
    gap = closing_kits.gap("a", "b", (0.0, 0.0, 0.0), (12.0, 12.0))
    assert short_text(gap, np.full(20_000, 9.0)) == "none of 20 000 draws leave less than 2 mm"
    assert short_text(gap, np.array([1.9, 2.0])) == "1 of 2 draws leaves less than 2 mm"


def test_nothing_drawn_is_refused() -> None:
    """An empty sample is misuse."""
    gap = closing_kits.gap("a", "b", (0.0, 0.0, 0.0), (12.0, 12.0))
    with pytest.raises(ValueError, match="nothing was drawn"):
        histogram_sheet(gap, np.array([]))


@settings(max_examples=25, deadline=None)
@given(
    nominal=st.floats(-20.0, 200.0),
    keep=st.floats(0.0, 20.0),
    tolerances=st.lists(st.floats(0.0, 5.0), max_size=5),
    shift=st.floats(0.0, 30.0),
)
def test_any_gap_is_drawn(
    nominal: float, keep: float, tolerances: list[float], shift: float
) -> None:
    """Texts stay apart and on the sheet, and bars within the axis, whatever the figures."""
    parts = (
        *(Contribution("saw", mm, "tolerance", "") for mm in tolerances),
        Contribution("drop", shift, "shift", ""),
    )
    gap = Gap("a", "b", nominal, (0.0, nominal), (0.0, 0.0, 0.0), keep, parts, (0.0, 0.0))
    sheet = histogram_sheet(gap, sampled_mm(gap, count=300, seed=2))
    assert_texts_apart(sheet)
    for left, right, _ in (*bars(sheet, "foam"), *bars(sheet, "fails")):
        assert left >= LEFT_MM - 1e-6
        assert right <= sheet.width_mm - RIGHT_MM + 1e-6
