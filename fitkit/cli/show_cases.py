"""The ranking of ready-made cases on the terminal."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from fitkit.units import number_text

if TYPE_CHECKING:
    from rich.console import Console

    from fitkit.plan import Plan


def show_ready_made(out: Console, plan: Plan) -> None:
    """Print every case of the list: those that hold the kit by rank, then what the others lack."""
    from fitkit.documents.ready_made_table import SAID, heading, rows_of

    rows = rows_of(plan)
    wide = min(max(len(row.case.name) for row in rows), 28)
    out.print("Ready-made cases", style="head")
    for line in textwrap.wrap(heading(plan), max(out.width - 1, 20)):
        out.print(line)
    out.print(f"{'':{wide + 34}}lacks, mm:", style="quiet")
    out.print(
        f"  rank  {'case':<{wide}} {'litres':>7} {'kg':>6} {'price':>8}  "
        f"{'length':>7} {'width':>7} {'depth':>7}  answer",
        style="quiet",
    )
    for row in rows:
        place = "" if row.place is None else str(row.place)
        mass = "-" if row.case.mass_kg is None else number_text(row.case.mass_kg, places=2)
        price = "-" if row.case.price is None else number_text(row.case.price, places=2)
        name = textwrap.shorten(row.case.name, wide, placeholder="...")
        answer = row.tried.note if row.tried.verdict == "over a limit" else SAID[row.tried.verdict]
        lacks = " ".join(
            f"{number_text(value, places=1) if value > 0 else '':>7}"
            for value in (
                row.tried.missing.length_mm,
                row.tried.missing.width_mm,
                row.tried.missing.depth_mm,
            )
        )
        if row.chosen:
            answer += "  <- this plan"
        out.print(
            f"  {place:>4}  {name:<{wide}} {row.litres:>7.1f} {mass:>6} {price:>8}  "
            f"{lacks}  {answer}",
            overflow="ignore",
            no_wrap=True,
            style="ok" if row.chosen and row.place else None,
        )
    out.print()
