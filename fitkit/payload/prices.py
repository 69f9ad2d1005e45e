"""The builder's own prices: CSV in, prices out, and every fault at once.

The list is strict: the columns name, price and unit, one thing a line, commas between cells. The
heading of the price may say the currency: ``price (crowns)``. What things are called is free; those
that a plan buys are looked up by the names on its buying list.
"""

from __future__ import annotations

import difflib
import re
from pathlib import Path
from typing import cast

from attrs import frozen

from fitkit.errors import BadInput
from fitkit.payload.csv_cells import Faults, cut_short, list_text, price_cell, rows_of
from fitkit.payload.workshop import Price, PriceUnit

COLUMNS = ("name", "price", "unit")
UNITS: tuple[PriceUnit, ...] = ("each", "m", "m2", "bar", "sheet", "kg")
MOST_PRICES = 1000
"""Most lines of one list (builder's setting, assumption)."""

MOST_NAME = 60
_HEADING = re.compile(r"\s*(?P<name>[^()]*?)\s*(?:\(\s*(?P<currency>[^()]*?)\s*\))?\s*")
_EXAMPLE = "name,price (crowns),unit"


@frozen
class PriceList:
    """The prices of one file, and the currency that its heading names ("" for none)."""

    prices: tuple[Price, ...] = ()
    currency: str = ""


def read_prices(path: Path) -> PriceList:
    """The prices listed in the CSV at ``path``.

    BadInput lists every fault with file, line and column: a missing file, a text that is not
    UTF-8, and all that :func:`parse_prices` refuses.
    """
    return parse_prices(list_text(path), name=str(path))


def parse_prices(text: str, *, name: str) -> PriceList:
    r"""The prices of a list given as ``text``; ``name`` says where it is from in messages.

    >>> found = parse_prices("name,price (crowns),unit\nedge profile,6.2,m\n", name="prices.csv")
    >>> found.prices[0].price, found.prices[0].unit, found.currency
    (6.2, 'm', 'crowns')
    """
    faults = Faults(name)
    rows = rows_of(text, faults)
    if not rows:
        faults.stop(None, "the list is empty", f"begin with the heading {_EXAMPLE}")
    (head_line, heading), *lines = rows
    order, currency = _columns(heading, head_line, faults)
    if len(lines) > MOST_PRICES:
        faults.stop(
            lines[MOST_PRICES][0], f"there are {len(lines)} prices", f"list {MOST_PRICES} at most"
        )
    prices: list[Price] = []
    seen: dict[tuple[str, str], int] = {}
    for line, cells in lines:
        if len(cells) != len(heading):
            faults.add(
                line, "", f"{len(cells)} cells where the heading has {len(heading)}",
                "give every column a cell; quote texts with commas",
            )  # fmt: skip
            continue
        found = _price({key: cells[at].strip() for key, at in order.items()}, line, faults)
        if found is None:
            continue
        key = (found.name.casefold(), found.unit)
        if key in seen:
            faults.add(
                line, "name",
                f'"{cut_short(found.name)}" by {found.unit} is on line {seen[key]} already',
                "keep one of the two",
            )  # fmt: skip
        seen.setdefault(key, line)
        prices.append(found)
    if faults.found:
        raise BadInput(faults.found)
    return PriceList(tuple(prices), currency)


def _columns(heading: list[str], line: int, faults: Faults) -> tuple[dict[str, int], str]:
    """Where each column stands, and the currency; stops where the heading cannot be used."""
    order: dict[str, int] = {}
    currency = ""
    for at, cell in enumerate(heading):
        match = _HEADING.fullmatch(cell)
        key = "" if match is None else match["name"].casefold()
        if key not in COLUMNS:
            near = difflib.get_close_matches(key, COLUMNS, n=1)
            faults.add(
                line, "", f'the column "{cut_short(cell)}" is not known',
                f"did you mean {near[0]}?" if near else f"known here: {', '.join(COLUMNS)}",
            )  # fmt: skip
            continue
        if key in order:
            faults.add(line, key, "the heading names it twice", "keep one of the two")
        order[key] = at
        if key == "price" and match is not None:
            currency = match["currency"] or ""
    missing = [key for key in COLUMNS if key not in order]
    if missing and not faults.found:
        faults.add(
            line, "", f"the heading lacks {', '.join(missing)}", f"write it as {_EXAMPLE}"
        )  # fmt: skip
    if faults.found:
        raise BadInput(faults.found)  # lines cannot be judged by columns that are not known
    return order, currency


def _price(cells: dict[str, str], line: int, faults: Faults) -> Price | None:
    """One price; None where anything in its line is wrong."""
    before = len(faults.found)
    name = " ".join(cells["name"].split())
    if not name:
        faults.add(line, "name", "the cell is empty", "say what it is the price of")
    elif not name.isprintable() or len(name) > MOST_NAME:
        faults.add(
            line, "name", f'"{cut_short(name)}" is no name',
            f"write up to {MOST_NAME} plain characters",
        )  # fmt: skip
    price = price_cell(cells["price"], line, faults)
    if not cells["price"]:
        faults.add(line, "price", "the cell is empty", "give the price, or take the line out")
    unit = cells["unit"].casefold()
    if unit not in UNITS:
        faults.add(
            line, "unit", f'"{cut_short(cells["unit"])}" is no unit of sale',
            f"write one of {', '.join(UNITS)}",
        )  # fmt: skip
    if len(faults.found) > before or price is None:
        return None
    return Price(name, price, cast(PriceUnit, unit))
