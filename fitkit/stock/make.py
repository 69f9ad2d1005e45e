"""All that is bought for a case, how it is cut, and what it costs."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TypeVar

from fitkit.errors import BadInput, Fault
from fitkit.foam.model import Foam, Layer
from fitkit.payload.boards import board_of
from fitkit.payload.hardware import type_named
from fitkit.payload.model import Payload
from fitkit.payload.workshop import Board, StockWishes
from fitkit.shell.model import BarKind, Panel, Shell
from fitkit.shell.panels import board_for
from fitkit.stock.bars import cut_bars
from fitkit.stock.buying import buying_of
from fitkit.stock.foam import cut_foam
from fitkit.stock.model import BarPlan, FoamPlan, SheetPlan, Stick, Stock, Tile
from fitkit.stock.sheets import cut_sheets

PROFILES: dict[BarKind, str] = {
    "edge": "edge profile",
    "tongue": "tongue profile",
    "groove": "groove profile",
}
"""What the profiles are called in lists and prices."""

P = TypeVar("P")


def stock_of(payload: Payload, *, shell: Shell, foam: Foam, repeatable: bool = False) -> Stock:
    """The bars, sheets and foam sheets of a case, and the buying list.

    Sub-panels behind mounted items come out of the sheets of their board, either way round.
    ``repeatable``: the same every time, since foam is laid without the nesting engine. BadInput
    names every bar, panel and layer that what the builder buys does not hold.
    """
    wishes = payload.workshop.stock
    faults: list[Fault] = []

    def tried(cut: Callable[[], P]) -> list[P]:
        try:
            return [cut()]
        except BadInput as bad:
            faults.extend(bad.faults)
            return []

    bars: list[BarPlan] = []
    for kind, what in PROFILES.items():
        if any(bar.kind == kind for bar in shell.bars):
            bars += tried(partial(_bars, kind, what, shell, wishes))
    boards: dict[str, tuple[Board, list[Tile]]] = {}
    for panel in shell.panels:
        board = board_for(payload, panel.part, panel.side)
        boards.setdefault(panel.board, (board, []))[1].append(tile_of(panel))
    for support in shell.supports:
        if support.kind == "sub-panel":
            board = board_of(support.material, thickness_mm=support.thick_mm)
            tile = Tile(support.name, support.length_mm, support.width_mm)
            boards.setdefault(support.material, (board, []))[1].append(tile)
    sheets: list[SheetPlan] = []
    for board, tiles in boards.values():
        sheets += tried(partial(_sheets, board, tiles, wishes))
    layers: dict[tuple[str, float], list[Layer]] = {}
    for layer in foam.layers:
        layers.setdefault((layer.material, round(layer.thickness_mm, 6)), []).append(layer)
    cut: list[FoamPlan] = []
    for (material, thickness), group in sorted(layers.items(), key=lambda pair: pair[0][::-1]):
        cut += tried(
            partial(
                cut_foam,
                group,
                thickness_mm=thickness,
                material=material,
                sheet_mm=wishes.foam_mm,
                gap_mm=wishes.foam_gap_mm,
                nest=not repeatable,
            )
        )
    if faults:
        raise BadInput(faults)
    buying, total, waste_cost, unpriced = buying_of(
        wishes,
        shell=shell,
        bars=bars,
        sheets=sheets,
        foam=cut,
        types=[type_named(payload, one.kind, one.type) for one in shell.hardware],
    )
    return Stock(tuple(bars), tuple(sheets), tuple(cut), buying, total, waste_cost, unpriced)


def _bars(kind: BarKind, what: str, shell: Shell, wishes: StockWishes) -> BarPlan:
    sticks = [
        Stick(bar.name, bar.length_mm, bar.ends == "mitred")
        for bar in shell.bars
        if bar.kind == kind
    ]
    kept = [o.length_mm for o in wishes.offcuts if o.kind == kind for _ in range(o.count)]
    return cut_bars(
        sticks,
        what=what,
        bars_mm=wishes.bars_mm,
        offcuts_mm=kept,
        kerf_mm=wishes.bar_kerf_mm,
        trim_mm=wishes.bar_trim_mm,
        keep_mm=wishes.keep_mm,
    )


def _sheets(board: Board, tiles: list[Tile], wishes: StockWishes) -> SheetPlan:
    return cut_sheets(
        tiles,
        what=board.name,
        sheet_mm=board.sheet_mm,
        kerf_mm=wishes.sheet_kerf_mm,
        trim_mm=wishes.sheet_trim_mm,
        stages=wishes.stages,
        keep_mm=wishes.keep_mm,
    )


def tile_of(panel: Panel) -> Tile:
    """The panel as it lies on a sheet whose grain runs along its length.

    >>> panel = Panel("deep", "front", 579.0, 185.0, (0, 0, 0), "birch", 6.4, None, "width")
    >>> tile_of(panel).length_mm, tile_of(panel).turn
    (185.0, False)
    """
    along, across = panel.length_mm, panel.width_mm
    if panel.grain == "width":
        along, across = across, along
    return Tile(panel.name, along, across, turn=panel.grain is None)
