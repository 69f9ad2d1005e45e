"""All stock of a case: every piece and every layer is cut once, faults come together."""

from __future__ import annotations

from collections import Counter
from functools import lru_cache
from pathlib import Path

import pytest
from attrs import evolve

from fitkit.errors import BadInput
from fitkit.payload.sheet import read_sheet
from fitkit.plan import Choices, Plan, make_plan
from fitkit.stock.make import stock_of

SAMPLES = Path(__file__).parents[2] / "sample_payloads"


@lru_cache(maxsize=1)
def plan() -> Plan:
    """The twin screens, quickly."""
    payload = read_sheet(SAMPLES / "twin_screens.toml")
    return make_plan(payload, choices=Choices(budget_s=2.0, repeatable=True))


def test_every_piece_of_the_case_is_cut_once() -> None:
    """Bars, panels and layers, each by its name, none left over and none twice."""
    made = plan()
    assert made.shell is not None
    stock = stock_of(made.payload, shell=made.shell, foam=made.foam)
    sticks = [s.name for p in stock.bars for bar in p.bars for s in bar.sticks]
    tiles = [t.name for p in stock.sheets for sheet in p.sheets for t in sheet.tiles]
    layers = [laid.layer for p in stock.foam for sheet in p.sheets for laid in sheet.layers]
    assert Counter(sticks) == Counter(bar.name for bar in made.shell.bars)
    assert Counter(tiles) == Counter(panel.name for panel in made.shell.panels)
    assert Counter(layers) == Counter(layer.name for layer in made.foam.layers)
    bought = {line.what for line in stock.buying}
    assert {fitted.type for fitted in made.shell.hardware} <= bought
    assert {fastener.name for fastener in made.shell.fasteners} <= bought
    assert stock.total == pytest.approx(sum(line.total or 0.0 for line in stock.buying))


def test_faults_of_bars_sheets_and_foam_come_together() -> None:
    """Bars of half a metre and foam of a hand's breadth: all that does not fit is named at once."""
    made = plan()
    assert made.shell is not None
    workshop = made.payload.workshop
    small = evolve(workshop.stock, bars_mm=(300.0,), foam_mm=(200.0, 100.0))
    payload = evolve(made.payload, workshop=evolve(workshop, stock=small))
    with pytest.raises(BadInput) as caught:
        stock_of(payload, shell=made.shell, foam=made.foam)
    places = " ".join(fault.place for fault in caught.value.faults)
    assert "edge profile" in places
    assert all(layer.name in places for layer in made.foam.layers)
