"""The usual cautions of the trade, printed wherever work can hurt someone."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, rows
from fitkit.sources import Known


@frozen
class Caution:
    """What to mind with one hazard."""

    hazard: str
    text: str
    source: str
    known: Known


@cache
def cautions() -> dict[str, Caution]:
    """Every caution by hazard.

    >>> cautions()["lifting"].text.startswith("Lifting:")
    True
    """
    return {
        row["hazard"]: Caution(row["hazard"], row["caution"], row["source"], known(row["known"]))
        for row in rows("cautions.csv")
    }
