"""What the recess bench shows, as plain values and drawings: section, gaps, contributions."""

from __future__ import annotations

from typing import Any

from fitkit.documents.closing_section import picture_sheet
from fitkit.documents.gap_column import shares_of
from fitkit.documents.gap_histogram import histogram_sheet, short_text
from fitkit.documents.gap_words import by_margin, sides_text, verdict_of, what_to_do
from fitkit.documents.naming import size
from fitkit.documents.pens.svg import svg
from fitkit.documents.sheet import LIGHT, Role
from fitkit.notebook.findings import Row
from fitkit.notebook.recess.trying import Try, gap_looked_at, trial_plan
from fitkit.plan import Plan
from fitkit.shell.gap.model import Gap
from fitkit.shell.gap.monte_carlo import sampled_mm
from fitkit.shell.gap.trial import Trial

DRAWS = 20_000
SEED = 1
WIDE_MM = 180.0
DRAWN_MM = (88.0, 78.0)
_VARIABLES: dict[Role, str] = {"zone": "soft", "cut": "ink", "mark": "ink", "note": "quiet"}
COLOURS: dict[Role, str] = {role: f"var(--fk-{_VARIABLES.get(role, role)})" for role in LIGHT}
"""Drawings in the page's own colours, so that they follow its theme."""


def section_svg(plan: Plan, trial: Trial, now: Try) -> str:
    """The section through both halves, cut where it is asked for or through the gap looked at."""
    gap = gap_looked_at(trial, now)
    at = now.cut_mm if now.cut_mm is not None else (None if gap is None else gap.at_mm[1])
    sheet = picture_sheet(trial_plan(plan, trial), at_mm=at, wide_mm=WIDE_MM)
    return svg(sheet, colours=COLOURS, ids="fk-recess", inline=True, ground=False)


def drawn_of(gap: Gap | None, now: Try) -> tuple[str, str]:
    """The gap looked at, drawn many times from its tolerances: a histogram, and it in a sentence.

    Both empty where there is no gap.
    """
    if gap is None:
        return "", ""
    drawn = sampled_mm(gap, count=DRAWS, seed=SEED, spread=now.spread)
    wide, tall = DRAWN_MM
    sheet = histogram_sheet(gap, drawn, spread=now.spread, wide_mm=wide, tall_mm=tall)
    picture = svg(sheet, colours=COLOURS, ids="fk-drawn", inline=True, ground=False)
    return picture, short_text(gap, drawn)


def finding_rows(trial: Trial) -> list[Row]:
    """What does not go together, then every gap, the least left over first."""
    rows = [Row("fails", f"{one.kind}, {one.where}", one.what) for one in trial.shortages]
    told = {one.where for one in trial.shortages}
    rows += [
        Row(one.verdict, one.where, f"{one.what}: {one.remedy}")
        for one in trial.shell.troubles
        if not any(one.where.startswith(where) for where in told)
    ]
    rows += [
        Row(
            verdict_of(gap),
            f"closing gap, {sides_text(gap)}",
            what_to_do(gap, payload=trial.payload),
        )
        for gap in by_margin(trial.gaps)
    ]
    return rows


def gap_values(trial: Trial, gap: Gap | None) -> dict[str, Any]:
    """The gap looked at: its figures, each contribution as a row, and all gaps to choose from."""
    names = [sides_text(one) for one in by_margin(trial.gaps)]
    if gap is None:
        return {"names": names, "chosen": "", "rows": [], "figures": [], "nominal": ""}
    shares = zip(shares_of(gap), _ordered(gap), strict=True)
    rows = [
        {
            "what": share.what,
            "text": share.text,
            "mm": share.mm,
            "colour": _VARIABLES.get(share.role, share.role),
            "kind": one.kind,
            "source": one.source,
        }
        for share, one in shares
    ]
    figures = [
        ("as planned", size(gap.nominal_mm, 2)),
        ("worst case, all added up", size(gap.worst_mm, 2)),
        ("by root of the sum of squares", size(gap.rss_mm, 2)),
        ("to be kept", size(gap.keep_mm, 2)),
    ]
    return {
        "names": names,
        "chosen": sides_text(gap),
        "rows": rows,
        "figures": figures,
        "nominal": size(gap.nominal_mm),
        "mm": {"nominal": gap.nominal_mm, "worst": gap.worst_mm, "keep": gap.keep_mm},
        "verdict": verdict_of(gap),
    }


def _ordered(gap: Gap) -> list[Any]:
    """Contributions in the order of their shares: tolerances first."""
    return sorted(gap.contributions, key=lambda one: one.kind == "shift")


def said_of(trial: Trial, gap: Gap | None) -> str:
    """The drawing in a sentence, for those who hear the page."""
    if gap is None:
        return "Section through both halves: nothing faces anything across the closing plane."
    depths = " and ".join(size(half.depth_mm) for half in trial.interior.halves)
    return (
        f"Section through both halves, {depths} mm deep: {sides_text(gap)}, {size(gap.nominal_mm)} "
        f"mm as planned, {verdict_of(gap)}. {what_to_do(gap, payload=trial.payload)}"
    )
