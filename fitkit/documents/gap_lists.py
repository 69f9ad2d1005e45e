"""The closing gap as a list: what faces what, and all that may take from it, line by line.

The lines of one gap add up: from "as planned" each tolerance and each shift is taken off, and
what is left is "worst case"; with the tolerances as root of the sum of their squares, "RSS".
"""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.documents.csv_text import Cell, Table, csv_bytes
from fitkit.plan import Plan
from fitkit.shell.gap.model import Gap

PLANNED = "as planned"
WORST = "worst case"
RSS = "RSS"
KEEP = "must be left"


def tables(plan: Plan) -> dict[str, bytes]:
    """The list of gaps by its file name; none where nothing faces anything."""
    if plan.shell is None or not plan.shell.gaps:
        return {}
    return {"closing_gap.csv": csv_bytes(*gaps_table(plan.shell.gaps))}


def gaps_table(gaps: Sequence[Gap]) -> Table:
    """Every gap: as planned, each contribution, what is left, and the recess that would do."""
    head = (
        "below", "above", "line", "kind", "mm", "where the figure is from", "at x (mm)",
        "at y (mm)",
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    for gap in gaps:
        both = (gap.deep, gap.shallow)
        x, y, _ = gap.at_mm
        rows.append((*both, PLANNED, "gap", gap.nominal_mm, "", x, y))
        for label, recess in zip(both, gap.recess_mm, strict=True):
            rows.append((*both, f"recess of {label}", "recess", recess, "", x, y))
        for one in gap.contributions:
            rows.append((*both, one.what, one.kind, one.mm, one.source, None, None))
        known = "" if gap.known else "of what is known"
        rows.append((*both, WORST, "gap", gap.worst_mm, known, None, None))
        rows.append((*both, RSS, "gap", gap.rss_mm, known, None, None))
        rows.append((*both, KEEP, "limit", gap.keep_mm, "", None, None))
        for label, least in zip(both, gap.least_recess_mm, strict=True):
            rows.append((*both, f"least recess of {label}", "recess", least, known, None, None))
    return head, rows


def gaps_alike(gaps: Sequence[Gap]) -> list[list[Gap]]:
    """Gaps with the same figures together, as those of copies are, in their order."""
    groups: dict[tuple[object, ...], list[Gap]] = {}
    for gap in gaps:
        takes = tuple(
            (one.kind, None if one.mm is None else round(one.mm, 2)) for one in gap.contributions
        )
        groups.setdefault((round(gap.nominal_mm, 2), gap.keep_mm, takes), []).append(gap)
    return list(groups.values())
