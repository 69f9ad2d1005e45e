"""Sub-panels behind mounted items come out of sheets, like the panels of the case."""

from __future__ import annotations

import pytest
from attrs import evolve

from fitkit.errors import BadInput
from fitkit.foam.model import Foam
from fitkit.payload.mounts import SubPanel
from fitkit.shell.model import Shell
from fitkit.stock.make import stock_of
from support_kits import Held, on_sub_panel, twins

NO_FOAM = Foam((), (), ())


def built(found: Held) -> Shell:
    """The bare shell with its supports."""
    return evolve(found.shell, supports=found.mounting.supports)


def test_a_sub_panel_of_the_walls_board_comes_from_its_sheets() -> None:
    """It is one more tile on the sheets of that board, at its own size."""
    found = on_sub_panel()
    stock = stock_of(found.payload, shell=built(found), foam=NO_FOAM)
    (sheets,) = stock.sheets
    tiles = {t.name: {t.length_mm, t.width_mm} for sheet in sheets.sheets for t in sheet.tiles}
    assert tiles["field screen sub-panel"] == {464.0, 306.0}
    assert len(tiles) == len(found.shell.panels) + 1


def test_a_sub_panel_of_another_board_has_sheets_of_its_own() -> None:
    """Birch plywood 9 is bought beside the walls' board, one sheet of it."""
    found = on_sub_panel(SubPanel(board="birch plywood 9", thickness_mm=9.2))
    stock = stock_of(found.payload, shell=built(found), foam=NO_FOAM)
    assert [(plan.what, len(plan.sheets)) for plan in stock.sheets][1:] == [("birch plywood 9", 1)]
    assert "birch plywood 9" in {line.what for line in stock.buying}


def test_rails_and_battens_are_no_sheet_goods() -> None:
    """Strips are bought as strips: no tile on any sheet."""
    found = twins()
    stock = stock_of(found.payload, shell=built(found), foam=NO_FOAM)
    tiles = {t.name for plan in stock.sheets for sheet in plan.sheets for t in sheet.tiles}
    assert tiles == {panel.name for panel in found.shell.panels}


def test_a_sub_panel_larger_than_its_sheet_is_named() -> None:
    """Three metres by one: no sheet holds it, and it is named."""
    found = on_sub_panel()
    shell = built(found)
    long = tuple(
        evolve(one, length_mm=3000.0) if one.kind == "sub-panel" else one for one in shell.supports
    )
    with pytest.raises(BadInput) as caught:
        stock_of(found.payload, shell=evolve(shell, supports=long), foam=NO_FOAM)
    assert "field screen sub-panel" in " ".join(str(fault) for fault in caught.value.faults)
