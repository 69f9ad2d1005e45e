"""How bars, boards and foam are cut, drawn: as many sheets as it takes, none without a stock."""

from __future__ import annotations

from fitkit.documents.bars_picture import bars_draft
from fitkit.documents.block_pages import Draft, sheets_of
from fitkit.documents.boards_picture import board_drafts
from fitkit.documents.foam_cut_picture import foam_draft
from fitkit.documents.sheet import Sheet
from fitkit.documents.shell_words import piece_words
from fitkit.plan import Plan


def bars_sheet(plan: Plan) -> tuple[Sheet, ...]:
    """Every bar of every profile."""
    return sheets_of(plan, _bars(plan))


def board_sheet(plan: Plan) -> tuple[Sheet, ...]:
    """Every sheet of every board."""
    return sheets_of(plan, _boards(plan))


def foam_stock_sheet(plan: Plan) -> tuple[Sheet, ...]:
    """Every sheet of foam."""
    return sheets_of(plan, _foam(plan))


def stock_sheets(plan: Plan) -> tuple[tuple[str, Sheet], ...]:
    """All of them numbered through, each with the name of its file: "bars-1", "boards-1"..."""
    bars, boards, foam = _bars(plan), _boards(plan), _foam(plan)
    counts = [("bars", len(sheets_of(plan, bars))), ("boards", len(sheets_of(plan, boards)))]
    sheets = sheets_of(plan, [*bars, *boards, *foam])
    counts.append(("foam", len(sheets) - sum(count for _, count in counts)))
    names = [f"{name}-{k}" for name, count in counts for k in range(1, count + 1)]
    return tuple(zip(names, sheets, strict=True))


def _bars(plan: Plan) -> list[Draft]:
    stock = plan.stock
    if stock is None or not any(bars.bars for bars in stock.bars):
        return []
    keep = plan.payload.workshop.stock.keep_mm
    return [bars_draft(stock.bars, piece_words(plan), keep_mm=keep)]


def _boards(plan: Plan) -> list[Draft]:
    stock, shell = plan.stock, plan.shell
    if stock is None:
        return []
    said = piece_words(plan)
    grained = set() if shell is None else {one.board for one in shell.panels if one.grain}
    return [
        draft
        for sheets in stock.sheets
        for draft in board_drafts(sheets, said, grain=sheets.what in grained)
    ]


def _foam(plan: Plan) -> list[Draft]:
    stock = plan.stock
    if stock is None or not any(foam.sheets for foam in stock.foam):
        return []
    return [foam_draft(stock.foam, plan.foam.layers)]
