"""What is said under the board, and to those who listen instead of looking."""

from __future__ import annotations

from fitkit.documents.spoken import spoken
from fitkit.fit.gaps import Gap, way_out
from fitkit.notebook.findings import TAGS, Row, rows_html
from fitkit.notebook.session.desk import Desk
from fitkit.notebook.session.figures import Figures
from fitkit.notebook.session.words import gap_sentence

MOST = 6
"""Most findings of one kind shown under the board."""


def report_html(desk: Desk, figures: Figures) -> str:
    """What fails or is not known of the layout on the board, as tags with a sentence each."""
    return rows_html(report_rows(desk, figures))


def report_rows(desk: Desk, figures: Figures) -> list[Row]:
    """The rows of the report: what stands wrong first, then the findings of the finished plan."""
    state = desk.state
    rows: list[Row] = []
    failing = state.failing()
    for gap in failing[:MOST]:
        mover = gap.left
        if gap.right in state.chosen and not isinstance(gap.right, str):
            mover = gap.right
        way = way_out(state.payload, state.placements, mover)
        rows.append(Row("fails", *gap_sentence(gap, mover, way, figures)))
    if len(failing) > MOST:
        rows.append(Row("fails", "layout", f"{len(failing) - MOST} more pairs are too close"))
    pairs = ("item", "tier", "zone", "facing")
    others = [one for one in state.violations() if one.kind not in pairs]
    rows += [Row("fails", str(one.left), str(one)) for one in others[:MOST]]
    if not rows:
        rows.append(Row("ok", "layout", "every clearance is kept and every zone is free"))
    if desk.plan is not None:
        order = list(TAGS)
        ranked = sorted(spoken(desk.plan).findings, key=lambda one: order.index(one.verdict))
        rows += [Row.of(one) for one in ranked if one.verdict != "ok"]
    return rows


def status_words(desk: Desk, figures: Figures) -> str:
    """What a screen reader says of the board: the chosen item, and its nearest gap."""
    state = desk.state
    lead = state.lead
    if lead is None:
        return "nothing chosen"
    name = desk.label(lead) if len(state.chosen) == 1 else f"{len(state.chosen)} items"
    gaps = state.gaps
    if not gaps:
        return f"{name}: nothing near"
    return f"{name}: {_gap_words(gaps[0], figures)}"


def _gap_words(gap: Gap, figures: Figures) -> str:
    other = gap.names[1]
    if gap.overlaps:
        return f"stands in a zone of {other}" if gap.kind == "zone" else f"overlaps {other}"
    far = figures.step(gap.gap_mm)
    if gap.verdict == "fails":
        return f"too close to {other}, {far} instead of {figures.step(gap.limit_mm)}"
    return f"{far} to {other}"
