"""Can it be built from what is on the shelf: panels in their slots, sheets under the blade?"""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_most, names, unknown
from fitkit.checks.stages import Stages
from fitkit.payload.boards import wall_board
from fitkit.payload.workshop import Board
from fitkit.reference.cautions import cautions
from fitkit.reference.foams import cutting_methods
from fitkit.reference.panels import panels
from fitkit.shell.panels import board_for
from fitkit.sources import cited

LOOSE_MM = 0.6
"""Most that a panel may be thinner than its slot before it rattles [mm] (common practice)."""


def panel_in_slot(stages: Stages) -> tuple[Finding, ...]:
    """Does every panel slide into the slot: as measured, and over the range it is sold in?

    A nominal thickness is a name, not a size; what counts is t <= s for the thickest panel that
    the name allows, its laminate included. Each board is judged once, with the panels that are
    cut from it where some have a board of their own. A ready-made case has neither.
    """
    if stages.fit.ready_made is not None:
        return ()
    payload = stages.payload
    wall, shop = payload.wall, payload.workshop
    usual = wall_board(wall, grain=shop.grain)
    if not shop.panels:
        return (_slides(usual, usual.name, wall.panel, wall.profile.slot_mm),)
    boards: dict[Board, list[str]] = {}
    if stages.shell is None:
        boards = {usual: ["the other panels"]}
        for choice in shop.panels:
            boards.setdefault(choice.board, []).append(choice.where)
    else:
        for panel in stages.shell.panels:
            board = board_for(payload, panel.part, panel.side)
            boards.setdefault(board, []).append(panel.name)
    slot = wall.profile.slot_mm
    found = []
    for board, cut in boards.items():
        subject = f"{board.name}: {names(cut)}"
        trade = wall.panel if board == usual else board.name
        found.append(_slides(board, subject, trade, slot))
        if board != usual and slot - board.thickness_mm > LOOSE_MM + 1e-9:
            found.append(_loose(board, subject, slot))
    return tuple(found)


def _slides(board: Board, subject: str, trade_name: str, slot_mm: float) -> Finding:
    """One board against the slot; ``trade_name`` is that of its core."""
    taken = board.thickness_mm
    if taken > slot_mm:
        return at_most(
            "panel in slot",
            subject,
            value=taken,
            limit=slot_mm,
            unit="mm",
            accuracy=0.0,
            note=f"Take a panel of at most {slot_mm:g} mm, or a profile with a wider slot.",
            source="your sheet: wall",
        )
    trade = panels().get(trade_name.partition(", ")[0])
    if board.least_mm == board.most_mm:
        return unknown(
            "panel in slot",
            subject,
            value=taken,
            limit=slot_mm,
            unit="mm",
            note=(
                "Fits as given. No table says how thick this panel is sold: measure it in "
                "several places before you cut."
            ),
            source="your sheet: wall",
        )
    sold = f"{board.least_mm:g} to {board.most_mm:g} mm"
    if board.most_mm > slot_mm:
        note = f"Sold from {sold}: measure yours; take none that is thicker than {slot_mm:g} mm."
    else:
        note = f"Sold from {sold}: all of it slides in."
    dust = f"{cautions()['wood dust'].text} " if board.wood else ""
    return at_most(
        "panel in slot",
        subject,
        value=taken,
        limit=slot_mm,
        unit="mm",
        slack=max(board.most_mm - taken, 0.0),
        accuracy=0.0,
        note=note,
        source="your sheet: wall" if trade is None else cited(trade.source),
        caution=f"{dust}{cautions()['sharp edges'].text}",
    )


def _loose(board: Board, subject: str, slot_mm: float) -> Finding:
    """A board that is much thinner than the slot: it is held, but it rattles."""
    gap = slot_mm - board.thickness_mm
    return Finding(
        "panel loose in slot",
        subject,
        gap,
        LOOSE_MM,
        "mm",
        LOOSE_MM - gap,
        "tight",
        f"It rattles: line its edges with tape {gap:.1f} mm thick in all, or take a profile with "
        f"a narrower slot or a thicker board.",
        "slots are 0.1 to 0.6 mm wider than the panel (common practice, no source)",
    )


def sheets_can_be_cut(stages: Stages) -> tuple[Finding, ...]:
    """Is the thickest sheet in use within the depth that the cutting method masters?"""
    wishes = stages.payload.foam
    method = cutting_methods()[wishes.cutting]
    used = [layer.thickness_mm for layer in stages.foam.layers]
    if not used:
        return ()
    thickest = max(used)
    if method.most_depth_mm is None:
        question = (
            "Make sure that your tool reaches through it"
            if wishes.cutting == "router"
            else "Any thickness that your wire spans"
        )
        return (
            unknown(
                "cutting depth",
                wishes.cutting,
                value=thickest,
                unit="mm",
                note=f"The thickest sheet is {thickest:g} mm. {question}. {method.advice}",
                source=cited(method.source),
                caution=method.caution,
            ),
        )
    within = thickest <= method.most_depth_mm
    note = (
        method.advice
        if within
        else f"Use sheets of at most {method.most_depth_mm:g} mm, or cut with a hot wire."
    )
    return (
        at_most(
            "cutting depth",
            wishes.cutting,
            value=thickest,
            limit=method.most_depth_mm,
            unit="mm",
            note=note,
            source=cited(method.source),
            caution=method.caution,
        ),
    )
