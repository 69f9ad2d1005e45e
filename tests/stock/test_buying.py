"""The buying list: amounts from the plans, prices by name and unit, waste at its cost."""

from __future__ import annotations

import pytest

from fitkit.payload.workshop import HardwareType, Price, StockWishes
from fitkit.shell.model import Assembly, Corner, Fastener, Fitted, Shell
from fitkit.stock.bars import cut_bars
from fitkit.stock.buying import buying_of
from fitkit.stock.model import Stick, Tile
from fitkit.stock.sheets import cut_sheets

BARS = cut_bars(
    [Stick("a", 900.0), Stick("b", 900.0)], what="edge profile", bars_mm=[1000.0], trim_mm=0.0
)
SHEETS = cut_sheets(
    [Tile("a", 500.0, 500.0)], what="birch", sheet_mm=(1000.0, 1000.0), kerf_mm=0.0, trim_mm=0.0
)
LATCH = Fitted("latch front 1", "latch", "sunk latch", "front", (), (0, 0, 0), 0, (9, 9))
SHELL = Shell(
    Assembly((0, 0, 0), (1, 1, 1), ()), (), (),
    (Corner("deep", "closing", ("top", "front", "left"), (0, 0, 0)),),
    hardware=(LATCH, LATCH),
    fasteners=(Fastener("blind rivet", "rivet", "4 x 12", 40, 44, None, ""),),
)  # fmt: skip


def test_amounts_prices_and_waste() -> None:
    """Two bars by the metre, a sheet by the square metre, latches by the kilogram: by hand."""
    wishes = StockWishes(
        prices=(Price("Edge Profile", 5.0, "m"), Price("birch", 20.0, "m2"),
                Price("sunk latch", 8.0, "kg"), Price("blind rivet", 0.1, "each"))
    )  # fmt: skip
    types = [HardwareType("latch", "sunk latch", (9, 9), mass_kg=0.25)]
    lines, total, waste, unpriced = buying_of(
        wishes, shell=SHELL, bars=[BARS], sheets=[SHEETS], foam=[], types=types
    )
    told = {line.what: (line.amount, line.unit, line.total, line.waste_cost) for line in lines}
    assert told["edge profile"] == (2.0, "m", 10.0, pytest.approx(1.0))
    assert told["birch"] == (1.0, "m2", 20.0, pytest.approx(15.0))
    assert told["sunk latch"] == (0.5, "kg", 4.0, None)
    assert told["blind rivet"] == (44, "each", pytest.approx(4.4), None)
    assert told["closing corner"] == (1, "each", None, None)
    assert total == pytest.approx(38.4)
    assert waste == pytest.approx(16.0)
    assert unpriced == ("closing corner",)


def test_without_prices_there_is_no_total() -> None:
    """All lines are there, by the bar, the sheet and the piece; nothing is made up."""
    lines, total, waste, unpriced = buying_of(
        StockWishes(), shell=SHELL, bars=[BARS], sheets=[SHEETS], foam=[]
    )
    assert [(line.unit, line.amount) for line in lines] == [
        ("bar", 2), ("sheet", 1), ("each", 2), ("each", 1), ("each", 44),
    ]  # fmt: skip
    assert (total, waste) == (None, None)
    assert len(unpriced) == len(lines)


def test_bars_of_two_lengths_are_two_lines() -> None:
    """Sold by the bar they have names of their own; a price by the metre holds for both."""
    plan = cut_bars(
        [Stick("a", 900.0), Stick("b", 480.0)], what="edge profile", bars_mm=[1000.0, 500.0],
        trim_mm=0.0,
    )  # fmt: skip
    wishes = StockWishes(prices=(Price("edge profile", 2.0, "m"),))
    lines, total, _, _ = buying_of(wishes, shell=SHELL, bars=[plan], sheets=[], foam=[])
    assert [line.what for line in lines[:2]] == [
        "edge profile, bar of 1000 mm", "edge profile, bar of 500 mm",
    ]  # fmt: skip
    assert total == pytest.approx(3.0)
