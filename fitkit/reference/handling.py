"""What carriers take and what people lift."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known


@frozen
class CarrierLimit:
    """A limit of passenger transport: ``value`` in ``unit`` (mm, kg or Wh)."""

    name: str
    value: float
    unit: str
    source: str
    known: Known


@frozen
class ReferenceMass:
    """The mass that a population may lift under ideal conditions [kg]."""

    population: str
    reference_kg: float
    source: str
    known: Known


@cache
def carrier_limits() -> dict[str, CarrierLimit]:
    """Every carrier limit by name.

    >>> carrier_limits()["linear"].value, carrier_limits()["mass economy"].value
    (1580.0, 23.0)
    """
    found = {}
    for row in rows("carriers.csv"):
        if row["unit"] not in ("mm", "kg", "Wh"):
            raise ValueError(f"{row['limit']}: unit {row['unit']!r}")
        found[row["limit"]] = CarrierLimit(
            name=row["limit"],
            value=number(row["value"], least=1, most=5000),
            unit=row["unit"],
            source=row["source"],
            known=known(row["known"]),
        )
    return found


@cache
def reference_masses() -> dict[str, ReferenceMass]:
    """Every reference mass by population.

    >>> reference_masses()["starting value"].reference_kg
    25.0
    """
    return {
        row["population"]: ReferenceMass(
            population=row["population"],
            reference_kg=number(row["reference_kg"], least=1, most=50),
            source=row["source"],
            known=known(row["known"]),
        )
        for row in rows("lifting.csv")
    }
