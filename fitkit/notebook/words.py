"""The sentences and tags of the notebook."""

from __future__ import annotations

import html
from collections.abc import Iterable

from fitkit.checks.finding import Finding, Verdict
from fitkit.documents.naming import size, sizes
from fitkit.fit.elevation import Level
from fitkit.fit.gaps import Gap, WayOut
from fitkit.fit.layout import Interior
from fitkit.fit.move import Key
from fitkit.fit.move import by_hand as fit_by_hand
from fitkit.fit.state import Progress
from fitkit.fit.words import above_least, bound_words, found_words, standing_words
from fitkit.payload.model import Objective
from fitkit.payload.walls import outside_mm
from fitkit.plan import Plan

TAG: dict[Verdict, str] = {"ok": "OK", "tight": "TIGHT", "fails": "FAILS", "unknown": "UNKNOWN"}


def gap_text(gap: Gap) -> str:
    """What the tag on a witness line says."""
    if gap.kind == "zone" and gap.overlaps:
        return "in the zone"
    if gap.overlaps and gap.kind == "item":
        return "overlaps"
    if gap.verdict == "fails":
        return f"{size(gap.gap_mm)} < {size(gap.limit_mm)}"
    return f"{gap.gap_mm:.1f}"


def gap_sentence(gap: Gap, mover: Key, way: WayOut | None) -> tuple[str, str]:
    """A failing gap as a heading, and how to move ``mover``, one of its two ends."""
    left, right = gap.names
    if gap.kind == "zone" and gap.overlaps:
        what = "a body stands in a zone"
    elif gap.kind == "zone":
        what = f"{gap.gap_mm:.1f} mm from a zone, at least {size(gap.limit_mm)}"
    elif gap.overlaps:
        what = "they overlap"
    elif gap.kind == "pad":
        what = f"{gap.gap_mm:.1f} mm of pad between them, at least {size(gap.limit_mm)}"
    else:
        what = f"{gap.gap_mm:.1f} mm, at least {size(gap.limit_mm)}"
    name = left if mover == gap.left else right
    todo = f": move {name} by {way.by_mm:.1f} mm {_TO[way.way]}" if way is not None else ""
    return f"{left} to {right}", what + todo


_TO = {
    "right": "to the right",
    "left": "to the left",
    "back": "to the back",
    "front": "to the front",
}


def level_name(level: Level, *, alone: bool) -> str:
    """A level's name: the half, and the tier where its half has several."""
    return f"{level.half} half" if alone else f"{level.half} half, tier {level.tier}"


def findings_html(rows: Iterable[tuple[Verdict, str, str]]) -> str:
    """Findings as tags with a sentence: (verdict, heading, sentence) each."""
    lines = [
        f'<div class="fk-finding"><span class="fk-verdict-tag fk-tag-{verdict}">'
        f"{TAG[verdict]}</span>"
        f"<b>{html.escape(head)}</b><span>{html.escape(text)}</span></div>"
        for verdict, head, text in rows
    ]
    return f'<div class="fk-findings">{"".join(lines)}</div>'


def finding_row(finding: Finding) -> tuple[Verdict, str, str]:
    """A finding of the plan as a row: what was checked, and its one sentence."""
    caution = f" {finding.caution}" if finding.caution else ""
    head = f"{finding.check}, {finding.subject}" if finding.subject else finding.check
    return finding.verdict, head, finding.note + caution


def _outside(plan: Plan, interior: Interior) -> str:
    """The outside over profiles, or as the list of ready-made cases gives it."""
    if plan.fit.ready_made is None:
        return f"{sizes(outside_mm(interior.size_mm, profile=plan.payload.wall.profile))} mm"
    return f"{sizes(plan.outside_mm)} mm" if plan.outside_known else "not measured"


def summary_html(plan: Plan, *, interior: Interior, by_hand: bool) -> str:
    """The plan in a few lines, with the interior that is on the board."""
    fit = fit_by_hand(plan.fit, interior=interior, placements=plan.fit.placements)
    rows = [
        ("interior", f"{sizes(interior.size_mm)} mm"),
        ("outside", _outside(plan, interior)),
        ("mass", f"{plan.mass.total_kg:.1f} kg"),
        ("fit", above_least(fit)),
        ("bound", bound_words(fit).removeprefix("bound").lstrip(": ")),
    ]
    if found_words(fit) and not by_hand:
        rows.append(("layout", found_words(fit)))
    if by_hand:
        rows.append(
            ("by hand", "moved since the search; the foam follows when you save or fit again")
        )
    body = "".join(
        f"<div><span>{html.escape(name)}</span><b>{html.escape(text)}</b></div>"
        for name, text in rows
    )
    return f'<div class="fk-summary">{body}</div>'


def progress_html(now: Progress, objective: Objective) -> str:
    """Where a search stands: a bar, the time, what it is doing, and the best so far."""
    text = f"{now.stage}: {standing_words(now, objective)}"
    return (
        f'<progress max="{now.budget_s}" value="{now.seconds}"></progress>'
        f"{now.seconds:.0f} of {now.budget_s:.0f} s, {html.escape(text)}"
    )
