"""The builder's own prices: read whole, or refused with every fault."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.payload.prices import UNITS, parse_prices, read_prices
from fitkit.payload.workshop import Price

HEAD = "name,price (crowns),unit\n"
names = st.text("abcdefgh XYZ0189.", min_size=1, max_size=20).map(str.strip).filter(bool)


@given(
    st.lists(
        st.builds(
            Price,
            names.map(lambda name: " ".join(name.split())),
            st.integers(0, 10**6).map(lambda cents: cents / 100),
            st.sampled_from(UNITS),
        ),
        unique_by=lambda price: (price.name.casefold(), price.unit),
        max_size=6,
    )
)
def test_prices_come_back(prices: list[Price]) -> None:
    """Any list, written as CSV, comes back as it was, with its currency."""
    text = HEAD + "".join(f"{p.name},{p.price},{p.unit}\n" for p in prices)
    found = parse_prices(text, name="prices.csv")
    assert found.prices == tuple(prices)
    assert found.currency == "crowns"


BAD = {
    "empty": ("", "prices.csv", "empty", "name,price"),
    "no unit column": ("name,price\na,1\n", "line 1", "lacks unit", "name,price"),
    "odd column": ("name,prise,unit\na,1,m\n", "line 1", '"prise"', "did you mean price?"),
    "twice": ("name,name,price,unit\n", "line 1", "twice", "keep one"),
    "no price": (f"{HEAD}a,,m\n", "line 2, column price", "empty", "give the price"),
    "comma": (f'{HEAD}a,"1,5",m\n', "line 2, column price", "no price", "decimal point"),
    "odd unit": (f"{HEAD}a,1,yard\n", "line 2, column unit", "no unit of sale", "sheet"),
    "no name": (f"{HEAD},1,m\n", "line 2, column name", "empty", "price of"),
    "again": (f"{HEAD}a,1,m\nA,2,m\n", "line 3, column name", "on line 2 already", "one of"),
    "ragged": (f"{HEAD}a,1\n", "line 2", "2 cells where the heading has 3", "every column"),
    "open quote": (f'{HEAD}"a,1,m\n', "line 2", "not CSV", "close every quote"),
}


@pytest.mark.parametrize(("text", "place", "found", "remedy"), BAD.values(), ids=list(BAD))
def test_a_bad_list_is_refused_with_its_place(
    text: str, place: str, found: str, remedy: str
) -> None:
    """One fault each: where it stands, what is there, what would be right."""
    with pytest.raises(BadInput) as refused:
        parse_prices(text, name="prices.csv")
    (fault,) = refused.value.faults
    assert place in fault.place
    assert found in fault.found
    assert remedy in fault.remedy


def test_every_fault_of_a_list_at_once() -> None:
    """Three bad lines are three faults and more, in the order of the file."""
    with pytest.raises(BadInput) as refused:
        parse_prices(f"{HEAD}a,x,m\nb,1,foot\n,-1,m\n", name="prices.csv")
    assert [fault.place for fault in refused.value.faults] == [
        "prices.csv line 2, column price",
        "prices.csv line 3, column unit",
        "prices.csv line 4, column name",
        "prices.csv line 4, column price",
    ]


def test_the_sample_list_is_read() -> None:
    """The invented prices that come with the samples are a good list, in crowns."""
    found = read_prices(Path(__file__).parents[2] / "sample_payloads" / "prices.csv")
    assert found.currency == "crowns"
    assert Price("edge profile", 19.5, "bar") in found.prices
