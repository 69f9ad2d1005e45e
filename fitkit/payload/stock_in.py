"""Stock as typed: bars, sheets and foam as they are sold, how they are sawn, what they cost."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal, cast

from attrs import evolve

from fitkit.errors import BadInput
from fitkit.payload.boards_in import pair_mm
from fitkit.payload.bounds import COUNTS, LENGTHS
from fitkit.payload.prices import PriceList, read_prices
from fitkit.payload.reading import Table, shown
from fitkit.payload.workshop import Offcut, StockWishes

BarKind = Literal["edge", "tongue", "groove"]
BAR_KINDS: tuple[BarKind, ...] = ("edge", "tongue", "groove")
LENGTH_KEYS = {
    "bar_trim": "stock.trim",
    "bar_kerf": "stock.kerf",
    "sheet_trim": "stock.trim",
    "sheet_kerf": "stock.kerf",
    "foam_gap": "stock.gap",
    "keep": "stock.keep",
}
STOCK = (
    "bars", "offcuts", "bar_trim", "bar_kerf", "sheet", "sheet_trim", "sheet_kerf", "stages",
    "foam", "foam_gap", "keep", "currency", "prices",
)  # fmt: skip
OFFCUT = ("kind", "length", "count")
MOST_CURRENCY = 20


def read_stock(sheet: Table) -> StockWishes:
    """What stands under [stock]; defaults where the sheet is silent."""
    plain = StockWishes()
    table = sheet.table("stock")
    if table is None:
        return plain
    table.only(STOCK)
    read: dict[str, Any] = {
        f"{key}_mm": table.length(key, **LENGTHS[bounds]) for key, bounds in LENGTH_KEYS.items()
    }
    bars = table.lengths("bars", sizes=range(1, COUNTS["stock.bars"] + 1), **LENGTHS["stock.bars"])
    if bars is not None:
        read["bars_mm"] = tuple(sorted({bar for bar in bars if bar is not None}))
    read["stages"] = _stages(table)
    read["foam_mm"] = pair_mm(table, "foam", "board.sheet")
    prices = _prices(table)
    read["currency"] = _currency(table) or prices.currency or None
    wishes = evolve(plain, **{key: value for key, value in read.items() if value is not None})
    wishes = evolve(wishes, offcuts=_offcuts(table), prices=prices.prices)
    _judge(wishes, table)
    return wishes


def read_sheets(sheet: Table, names: tuple[str, ...]) -> dict[str, tuple[float, float]]:
    """Sizes of whole sheets by board [mm]: "" for all boards, or a board's name for that one.

    ``names`` are the boards that the sheet names.
    """
    value = sheet.data.get("stock")
    if not isinstance(value, dict) or "sheet" not in value:
        return {}
    table = Table(value, ("stock",), sheet.notes)
    if not isinstance(table.data["sheet"], dict):
        whole = pair_mm(table, "sheet", "board.sheet")
        return {} if whole is None else {"": whole}
    inner = table.table("sheet")
    assert inner is not None  # it is a table
    inner.only(names)
    found = {}
    for name in names:
        size = pair_mm(inner, name, "board.sheet")
        if size is not None:
            found[name] = size
    return found


def _stages(table: Table) -> Literal[2, 3] | None:
    value = table.data.get("stages")
    if value is None:
        return None
    if isinstance(value, bool) or value not in (2, 3) or not isinstance(value, int):
        table.fault(
            "stages", f"{shown(value)} where a number of stages belongs",
            "give 2 (strips, then pieces) or 3 (pieces cut once more)",
        )  # fmt: skip
        return None
    return 2 if value == 2 else 3


def _offcuts(table: Table) -> tuple[Offcut, ...]:
    tables = table.tables("offcuts")
    if tables is None:
        return ()
    if len(tables) > COUNTS["stock.offcuts"]:
        table.fault(
            "offcuts", f"there are {len(tables)} kinds of offcut",
            f"list {COUNTS['stock.offcuts']} at most, like ones together by their count",
        )  # fmt: skip
    found = []
    for one in tables:
        one.only(OFFCUT)
        kind = one.choice("kind", BAR_KINDS)
        length = one.length("length", **LENGTHS["stock.offcuts"])
        count = one.whole("count", most=COUNTS["item.count"])
        for key, what in (("kind", 'kind = "edge"'), ("length", "length = 1240")):
            if key not in one:
                one.fault(None, f"the offcut has no {key}", f"give it: {what}")
        if kind is not None and length is not None:
            found.append(Offcut(cast(BarKind, kind), length, 1 if count is None else count))
    return tuple(found)


def _currency(table: Table) -> str | None:
    said = table.text("currency")
    if said is not None and not (
        said.strip() and said.isprintable() and len(said) <= MOST_CURRENCY
    ):
        table.fault(
            "currency", f"{shown(said)} is no currency",
            f"write 1 to {MOST_CURRENCY} plain characters",
        )  # fmt: skip
        return None
    return None if said is None else said.strip()


def _prices(table: Table) -> PriceList:
    """The builder's prices, from the file that the sheet names; none without one."""
    named = table.text("prices")
    if named is None:
        return PriceList()
    if not named.strip():
        table.fault("prices", "the name of the list is empty", 'write "prices.csv"')
        return PriceList()
    path = Path(table.notes.name).parent / named
    try:
        return read_prices(path)
    except BadInput as refused:
        if path.exists():
            table.notes.others(("stock", "prices"), refused.faults)
        else:  # what is wrong then stands in the sheet
            for fault in refused.faults:
                table.fault("prices", f"{fault.found}: {fault.place}", fault.remedy)
        return PriceList()


def _judge(wishes: StockWishes, table: Table) -> None:
    """What is used up before the first cut."""
    say = table.notes.say
    trims = 2 * wishes.bar_trim_mm
    if wishes.bars_mm[-1] <= trims:
        table.fault(
            "bars" if "bars" in table else "bar_trim",
            f"a bar of {say(wishes.bars_mm[-1])} is used up by trimming both ends",
            f"give a bar of more than {say(trims)}, or trim less",
        )
