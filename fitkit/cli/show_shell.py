"""The shell of a plan and what to buy for it, on the terminal."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING

from fitkit.cli.columns import row

if TYPE_CHECKING:
    from rich.console import Console

    from fitkit.plan import Plan
    from fitkit.shell.model import Shell
    from fitkit.stock.model import Stock

COLUMN = 14


def show_shell(out: Console, plan: Plan) -> None:
    """Print what the case is made of, and what to buy; nothing for a ready-made case."""
    if plan.shell is not None:
        _lines(out, "Shell", _shell(plan, plan.shell))
        for note in plan.shell.notes:
            _note(out, note)
        out.print()
    if plan.stock is not None:
        _lines(out, "To buy", _stock(plan, plan.stock))
        out.print()
    elif plan.shell is not None:
        _note(out, "What to buy is left open: a piece is larger than its stock, see the findings.")
        out.print()


def _shell(plan: Plan, shell: Shell) -> Iterator[tuple[str, str]]:
    from fitkit.documents.shell_lists import corner_counts, hardware_groups, where_fitted
    from fitkit.documents.shell_words import piece_words
    from fitkit.documents.stock_words import count_words

    boards = Counter(panel.board for panel in shell.panels)
    area = sum(panel.area_m2 for panel in shell.panels)
    said = ", ".join(f"{count} of {board}" for board, count in boards.items())
    yield "panels", f"{len(shell.panels)}, {area:.2f} m2: {said}"
    kinds = Counter(bar.kind for bar in shell.bars)
    metres = sum(bar.length_mm for bar in shell.bars) / 1000.0
    said = ", ".join(f"{count} {kind}" for kind, count in kinds.items())
    yield "profiles", f"{len(shell.bars)} lengths, {metres:.2f} m: {said}"
    for (kind, name), pieces in hardware_groups(shell).items():
        label = kind if kind in name else f"{kind}, {name}"
        yield label, f"{len(pieces)} {name}: {where_fitted(pieces)}"
    for kind, count in corner_counts(shell).items():
        yield kind, str(count)
    if shell.openings:
        cut = Counter(opening.panel for opening in shell.openings)
        words = piece_words(plan)
        where = ", ".join(f"{words[panel]} {count}" for panel, count in cut.items())
        yield "openings", f"{count_words(len(shell.openings), 'opening')}: {where}"
    for one in shell.fasteners:
        yield one.kind, f"{one.used} of {one.name}, buy {one.buy}: {one.where}"


def _stock(plan: Plan, stock: Stock) -> Iterator[tuple[str, str]]:
    from fitkit.documents.stock_words import (
        bar_plan_words,
        bars_bought_words,
        foam_plan_words,
        sheet_plan_words,
    )

    for bars in stock.bars:
        yield bars.what, f"{bars_bought_words(bars)}; {'; '.join(bar_plan_words(bars))}"
    for sheets in stock.sheets:
        yield sheets.what, sheet_plan_words(sheets)
    for foam in stock.foam:
        yield foam.what, foam_plan_words(foam)
    if stock.total is not None:
        money = plan.payload.workshop.stock.currency
        text = f"{stock.total:.2f} {money}".rstrip()
        if stock.waste_cost is not None:
            text += f", of that {stock.waste_cost:.2f} in waste"
        if stock.unpriced:
            text += f"; without a price: {', '.join(stock.unpriced)}"
        yield "cost", text


def _lines(out: Console, head: str, rows: Iterator[tuple[str, str]]) -> None:
    """Names in a column, what is said of them beside it, wrapped."""
    out.print(head, style="head")
    for name, text in rows:
        row(out, name, text, column=COLUMN)


def _note(out: Console, text: str) -> None:
    for line in textwrap.wrap(text, max(out.width - 2, 24), break_on_hyphens=False):
        out.print(f"  {line}", style="quiet")
