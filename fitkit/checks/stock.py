"""Can the pieces be cut from what is sold, and is it bought sparingly?"""

from __future__ import annotations

from attrs import frozen

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_most
from fitkit.checks.stages import ACCURACY_MM, Stages
from fitkit.payload.workshop import Board
from fitkit.reference.cautions import cautions
from fitkit.shell.model import Panel
from fitkit.shell.panels import board_for
from fitkit.stock.model import BarPlan, FoamPlan, SheetPlan

SHEET = "your sheet: stock"
KINDS = {"edge": "edge profile", "tongue": "tongue profile", "groove": "groove profile"}


def bars_long_enough(stages: Stages) -> tuple[Finding, ...]:
    """Does the longest piece of each profile come out of a bar, or out of an offcut?

    From a bar of length b comes b - 2 t, with t trimmed off each end; offcuts are not trimmed.
    """
    shell = stages.shell
    if shell is None:
        return ()
    stock = stages.payload.workshop.stock
    found = []
    for kind, what in KINDS.items():
        bars = [bar for bar in shell.bars if bar.kind == kind]
        if not bars:
            continue
        longest = max(bars, key=lambda bar: bar.length_mm)
        bar_mm = max(stock.bars_mm)
        kept = [piece.length_mm for piece in stock.offcuts if piece.kind == kind]
        clear = max([bar_mm - 2 * stock.bar_trim_mm, *kept])
        short = longest.length_mm - clear
        found.append(
            at_most(
                "longest piece of a bar",
                f"{what}: {longest.name}",
                value=longest.length_mm,
                limit=clear,
                unit="mm",
                note=(
                    f"A bar of {bar_mm:g} mm gives it."
                    if short <= ACCURACY_MM
                    else f"Buy bars of {longest.length_mm + 2 * stock.bar_trim_mm:.0f} mm or "
                    f"more, trim less, or make the case {short:.1f} mm shorter."
                ),
                source=f"{SHEET}.bars and bar_trim",
                caution=cautions()["saw"].text,
            )
        )
    return tuple(found)


def panels_on_sheets(stages: Stages) -> tuple[Finding, ...]:
    """Does the largest panel of each board come out of a whole sheet, grain and trim respected?"""
    shell = stages.shell
    if shell is None:
        return ()
    trim = stages.payload.workshop.stock.sheet_trim_mm
    worst: dict[Board, tuple[_Need, Panel]] = {}
    for panel in shell.panels:
        board = board_for(stages.payload, panel.part, panel.side)
        need = _need(panel, board, trim)
        if board not in worst or need.over_mm > worst[board][0].over_mm:
            worst[board] = (need, panel)
    found = []
    for board, (need, panel) in worst.items():
        length, width = board.sheet_mm
        buy = f"{need.size_mm + 2 * trim:.0f} mm or more that way"
        found.append(
            at_most(
                "panel on its sheet",
                f"{board.name}: {panel.name}",
                value=need.size_mm,
                limit=need.limit_mm,
                unit="mm",
                note=(
                    f"A sheet of {length:g} x {width:g} mm gives it."
                    if need.over_mm <= ACCURACY_MM
                    else f"Buy sheets of {buy}, give the panel another board, or make the case "
                    f"{need.over_mm:.1f} mm smaller."
                ),
                source=f"{SHEET}.sheet and sheet_trim",
                caution=cautions()["saw"].text,
            )
        )
    return tuple(found)


@frozen
class _Need:
    """The tighter side of a panel on its sheet [mm], turned as it goes best."""

    size_mm: float
    limit_mm: float

    @property
    def over_mm(self) -> float:
        return self.size_mm - self.limit_mm


def _need(panel: Panel, board: Board, trim_mm: float) -> _Need:
    """How a panel goes onto a sheet: the grain along the sheet's length, if it has to."""
    sheet = tuple(side - 2 * trim_mm for side in board.sheet_mm)
    size = (panel.length_mm, panel.width_mm)
    ways = {"length": [size], "width": [size[::-1]], None: [size, size[::-1]]}[panel.grain]
    tighter = [
        max((_Need(a, b) for a, b in zip(way, sheet, strict=True)), key=lambda one: one.over_mm)
        for way in ways
    ]
    return min(tighter, key=lambda one: one.over_mm)


def foam_on_sheets(stages: Stages) -> tuple[Finding, ...]:
    """Does the largest foam layer come out of one sheet of foam?"""
    shapes = [layer for layer in stages.foam.layers if not layer.shape.is_empty]
    if stages.shell is None or not shapes:
        return ()
    length, width = sorted(stages.payload.workshop.stock.foam_mm, reverse=True)
    worst: _Need | None = None
    for layer in shapes:
        x0, y0, x1, y1 = layer.shape.bounds
        long, short = sorted((x1 - x0, y1 - y0), reverse=True)
        for need in (_Need(long, length), _Need(short, width)):
            if worst is None or need.over_mm > worst.over_mm:
                worst = need
    assert worst is not None  # there is a layer
    return (
        at_most(
            "foam layer on its sheet",
            "largest layer",
            value=worst.size_mm,
            limit=worst.limit_mm,
            unit="mm",
            note=(
                f"A sheet of {length:g} x {width:g} mm gives it."
                if worst.over_mm <= ACCURACY_MM
                else "Buy larger foam sheets, or join two pieces away from the pockets."
            ),
            source=f"{SHEET}.foam",
            caution="" if worst.over_mm <= ACCURACY_MM else cautions()["spray adhesive"].text,
        ),
    )


def stock_bought(stages: Stages) -> tuple[Finding, ...]:
    """What is bought, against the least that any way of cutting needs."""
    stock = stages.stock
    if stock is None:
        return ()
    return (
        *(_bars(plan) for plan in stock.bars),
        *(_sheets(plan) for plan in stock.sheets),
        *(_foam(plan) for plan in stock.foam),
    )


def _bars(plan: BarPlan) -> Finding:
    naive = f"cut in the order of the list it would take {plan.first_fit}"
    return _bought(
        "bars to buy",
        plan.what,
        value=plan.bought_mm,
        bound=plan.bound_mm,
        unit="mm",
        proven=plan.proven,
        said=f"{_counted(plan.bought, 'bar')}, {plan.waste:.0%} waste; {naive}",
        bound_name=plan.bound_name,
    )


def _sheets(plan: SheetPlan) -> Finding:
    naive = f"cut in the order of the list it would take {plan.first_fit}"
    return _bought(
        "sheets to buy",
        plan.what,
        value=float(len(plan.sheets)),
        bound=float(plan.bound),
        unit="sheet" if len(plan.sheets) == plan.bound == 1 else "sheets",
        proven=plan.proven,
        said=f"{plan.waste:.0%} waste; {naive}",
        bound_name=plan.bound_name,
    )


def _foam(plan: FoamPlan) -> Finding:
    return _bought(
        "foam sheets to buy",
        plan.what,
        value=float(len(plan.sheets)),
        bound=float(plan.bound),
        unit="sheet" if len(plan.sheets) == plan.bound == 1 else "sheets",
        proven=plan.proven,
        said=f"{plan.waste:.0%} waste; one after the other takes {plan.first_fit}",
        bound_name="volume and area",
    )


def _bought(
    check: str,
    subject: str,
    *,
    value: float,
    bound: float,
    unit: str,
    proven: bool,
    said: str,
    bound_name: str,
) -> Finding:
    if proven:
        note = f"No way of cutting buys less: {said}."
    else:
        more = value - bound
        what = "mm" if unit == "mm" else "sheet" if more == 1 else "sheets"
        note = f"At most {more:g} {what} more than need be: {said}."
    return Finding(
        check, subject, value, bound, unit, 0.0 if proven else None, "ok", note,
        f"computed, bound by {bound_name}",
    )  # fmt: skip


def _counted(count: int, one: str) -> str:
    return f"{count} {one}" if count == 1 else f"{count} {one}s"
