"""Bands of fragility: how many G a kind of product stands."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, number_or_none, rows
from fitkit.sources import Known


@frozen
class FragilityBand:
    """A band by name, from ``low_g`` to ``high_g`` [G]; None is open at the top."""

    name: str
    low_g: float
    high_g: float | None
    products: str
    source: str
    known: Known


@cache
def fragility_bands() -> dict[str, FragilityBand]:
    """Every band by name, the most fragile first.

    >>> [band.low_g for band in fragility_bands().values()]
    [15.0, 25.0, 40.0, 60.0, 85.0, 115.0]
    """
    return {
        row["band"]: FragilityBand(
            name=row["band"],
            low_g=number(row["low_g"], least=1, most=500),
            high_g=number_or_none(row["high_g"], least=1, most=500),
            products=row["products"],
            source=row["source"],
            known=known(row["known"]),
        )
        for row in rows("fragility.csv")
    }
