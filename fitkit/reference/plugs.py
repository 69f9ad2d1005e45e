"""Plugs by their trade names: placeholders until the builder measures the real ones.

Each row is the largest of the range that was found, so that what it leaves room for fits. Most
lengths are from memory: measure the plug with its sleeve.
"""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, number_or_none, rows
from fitkit.sources import Known


@frozen
class PlugRow:
    """The body of a cable's plug [mm].

    ``width_mm`` and ``height_mm`` of its cross-section (both the diameter where it is round),
    ``length_mm`` how far it stands out of the device, None where that was not found. ``angled``:
    the cable leaves it sideways.
    """

    name: str
    standard: str
    width_mm: float
    height_mm: float
    length_mm: float | None
    angled: bool
    source: str
    known: Known


@cache
def plugs() -> dict[str, PlugRow]:
    """Every plug by its name.

    >>> row = plugs()["8P8C"]
    >>> row.width_mm, row.height_mm, row.length_mm, row.known
    (11.68, 8.4, 21.5, 'from memory')
    """
    found = {}
    for row in rows("plugs.csv"):
        if row["angled"] not in ("yes", "no"):
            raise ValueError(f"{row['name']}: angled is yes or no, not {row['angled']!r}")
        found[row["name"]] = PlugRow(
            name=row["name"],
            standard=row["standard"],
            width_mm=number(row["width_mm"], least=1, most=100),
            height_mm=number(row["height_mm"], least=1, most=100),
            length_mm=number_or_none(row["length_mm"], least=1, most=300),
            angled=row["angled"] == "yes",
            source=row["source"],
            known=known(row["known"]),
        )
    return found
