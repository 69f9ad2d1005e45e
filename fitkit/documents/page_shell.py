"""What the page says of the shell and of the stock: rows of text, and nothing where there is none.

Every function takes the plan and gives parts for the page's template.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from fitkit.documents.naming import safe_name, size, sizes
from fitkit.documents.shell_faces import alike
from fitkit.documents.shell_lists import (
    corner_counts,
    grain_words,
    hardware_groups,
    in_order,
    size_words,
    total_words,
    type_of,
    where_cut,
    where_fitted,
)
from fitkit.documents.shell_words import (
    PROFILES,
    bars_in_order,
    piece_words,
    said_together,
)
from fitkit.documents.stock_words import bars_bought_words, count_words, share
from fitkit.plan import Plan
from fitkit.shell.model import Bar, Shell, Trouble

BOOKS = {
    "shell/panels.pdf": "drawings of the panels",
    "shell/profiles.pdf": "drawings of the profiles",
    "shell/supports.pdf": "drawings of what holds mounted gear",
    "shell/templates.pdf": "drill templates at 1:1",
}
"""Files that show several pieces, and what they are."""

STOCK_BOOK = "shell/stock.pdf"
"""How everything is cut, to print."""


def shell_parts(plan: Plan, *, names: Sequence[str] = ()) -> dict[str, Any] | None:
    """The section on the shell; None where the plan has none.

    ``names`` are the files that are written: drawings among them are linked.
    """
    shell = plan.shell
    if shell is None:
        return None
    files = {panel.name: f"shell/{safe_name(panel.name)}.svg" for panel in shell.panels}
    links = {piece: name for piece, name in files.items() if name in names}
    return {
        "books": [(name, what) for name, what in BOOKS.items() if name in names],
        "said": _counted(shell),
        "panels": _panels(plan, shell, links),
        "profiles": _profiles(plan, shell),
        "hardware": _hardware(plan, shell),
        "fasteners": [
            (
                f.name,
                f.used,
                f.buy,
                "" if f.grip_mm is None else size(f.grip_mm, 2),
                f.where,
                f.note,
            )
            for f in shell.fasteners
        ],
        "troubles": [(t.where, t.what, _short(t), t.remedy.rstrip(".")) for t in shell.troubles],
        "notes": [note.rstrip(".") for note in shell.notes],
    }


def stock_parts(plan: Plan, *, names: Sequence[str] = ()) -> dict[str, Any] | None:
    """The section on what to buy and how to cut it; None where the plan has none.

    ``names`` are the files that are written.
    """
    stock = plan.stock
    if stock is None:
        return None
    money = plan.payload.workshop.stock.currency
    priced = any(line.price is not None for line in stock.buying)
    return {
        "book": STOCK_BOOK if STOCK_BOOK in names else "",
        "cut": _cut(plan),
        "buying": [
            (line.what, line.unit, size(line.amount, 3), money_words(line.price),
             money_words(line.total), money_words(line.waste_cost))
            for line in stock.buying
        ],
        "money": f", {money}" if money else "",
        "priced": priced,
        "total": money_words(stock.total) if priced else "",
        "waste": money_words(stock.waste_cost) if priced else "",
        "total_said": total_words(plan),
        "unpriced": stock.unpriced if priced else (),
    }  # fmt: skip


def hazards(plan: Plan) -> list[str]:
    """Hazards of the work that the shell asks for; none without one."""
    if plan.shell is None:
        return []
    found = ["saw", "drill"]
    if any(fastener.kind == "rivet" for fastener in plan.shell.fasteners):
        found.append("riveting")
    return [*found, "aluminium"] if plan.shell.bars else found


def money_words(value: float | None) -> str:
    """A price with two places; empty where there is none.

    >>> money_words(12.5), money_words(None)
    ('12.50', '')
    """
    return "" if value is None else f"{value:.2f}"


def _short(trouble: Trouble) -> str:
    """How many millimetres are missing, where the sentence does not say so itself."""
    figure = size(trouble.short_mm)
    if trouble.short_mm <= 0 or f"{figure} mm" in trouble.what or f"{figure}.0 mm" in trouble.what:
        return ""
    return f"{figure} mm short"


def _counted(shell: Shell) -> str:
    kinds = Counter(bar.kind for bar in shell.bars)
    parts = [count_words(len(shell.panels), "panel")]
    parts += [count_words(kinds[kind], words) for kind, words in PROFILES.items() if kinds[kind]]
    if shell.hardware:
        parts.append(count_words(len(shell.hardware), "piece of hardware", "pieces of hardware"))
    used = sum(fastener.used for fastener in shell.fasteners)
    if used:
        parts.append(count_words(used, "fastener"))
    return ", ".join(parts)


def _panels(plan: Plan, shell: Shell, links: Mapping[str, str]) -> list[tuple[Any, ...]]:
    said, cut_from = piece_words(plan), where_cut(plan)
    holes = Counter(piece for hole in shell.holes for piece in hole.pieces)
    openings = Counter(one.panel for one in shell.openings)
    rows = []
    for group in in_order(said, alike(shell)):
        one = group[0]
        places = dict.fromkeys(cut_from[p.name] for p in group if p.name in cut_from)
        rows.append(
            (said_together([said[p.name] for p in group]), links.get(one.name, ""), len(group),
             size_words(one), size(one.thickness_mm, 2), one.board, grain_words(one),
             holes[one.name] or "", openings[one.name] or "", ", ".join(places))
        )  # fmt: skip
    return rows


def _profiles(plan: Plan, shell: Shell) -> list[tuple[Any, ...]]:
    """Profiles by what the saw is set to; holes and cut-outs may differ within a row."""
    said = piece_words(plan)
    groups: dict[tuple[Any, ...], list[Bar]] = {}
    for bar in bars_in_order(shell):
        key = (bar.kind, round(bar.length_mm, 2), round(bar.short_mm, 2), bar.ends)
        groups.setdefault(key, []).append(bar)
    order = list(PROFILES)
    rows = []
    for (kind, long, short, ends), bars in sorted(
        groups.items(), key=lambda item: (order.index(item[0][0]), -item[0][1])
    ):
        words = "mitred, long point" if short < long else ends
        text = said_together([said[bar.name] for bar in bars])
        where = text.removeprefix(PROFILES[kind]).lstrip(":, ")
        rows.append(
            (PROFILES[kind], len(bars), size(long), words, size(short) if short < long else "",
             where)
        )  # fmt: skip
    return rows


def _hardware(plan: Plan, shell: Shell) -> list[tuple[Any, ...]]:
    rows: list[tuple[Any, ...]] = []
    for (kind, name), pieces in hardware_groups(shell).items():
        known = type_of(plan, pieces[0])
        count, where = len(pieces), where_fitted(pieces)
        if known is None:
            rows.append((kind, name, count, where, sizes(pieces[0].size_mm), "", "", "", ""))
            continue
        rows.append(
            (kind, name, count, where, sizes(known.flange_mm),
             "" if known.dish_mm is None else sizes(known.dish_mm),
             size(known.depth_mm) if known.depth_mm else "",
             "" if known.load_kg is None else size(known.load_kg), known.known)
        )  # fmt: skip
    for kind, count in corner_counts(shell).items():
        rows.append((kind, "to the profile", count, "", "", "", "", "", ""))
    return rows


def _cut(plan: Plan) -> list[tuple[str, ...]]:
    """What is bought of each material, whether less would do, and what the naive way takes."""
    stock = plan.stock
    rows: list[tuple[str, ...]] = []
    if stock is None:
        return rows
    for bars in stock.bars:
        least = "proven least" if bars.proven else f"at least {size(bars.bound_mm)} mm needed"
        naive = f"{count_words(bars.first_fit, 'bar')}, {size(bars.first_fit_mm)} mm"
        rows.append((bars.what, bars_bought_words(bars), least, share(bars.waste), naive))
    for sheets in stock.sheets:
        rows.append(_sheet_row(sheets.what, len(sheets.sheets), sheets.bound, sheets.proven,
                               sheets.waste, sheets.first_fit))  # fmt: skip
    for foam in stock.foam:
        rows.append(_sheet_row(foam.what, len(foam.sheets), foam.bound, foam.proven, foam.waste,
                               foam.first_fit))  # fmt: skip
    return rows


def _sheet_row(
    what: str, count: int, bound: int, proven: bool, waste: float, first_fit: int
) -> tuple[str, ...]:
    least = "proven least" if proven else f"at least {bound} needed"
    return (what, count_words(count, "sheet"), least, share(waste), count_words(first_fit, "sheet"))
