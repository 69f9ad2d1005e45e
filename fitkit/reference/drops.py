"""From what height a case is let fall, by its mass."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known


@frozen
class DropRow:
    """A height of fall [mm] for a mass above ``from_kg`` and up to ``to_kg`` [kg]."""

    from_kg: float
    to_kg: float
    drop_mm: float
    source: str
    known: Known


@cache
def drop_heights() -> tuple[DropRow, ...]:
    """The table, the lightest first.

    >>> drop_heights()[0].drop_mm, drop_heights()[-1].to_kg
    (760.0, 68.0)
    """
    found = tuple(
        DropRow(
            from_kg=number(row["from_kg"], least=0, most=1000),
            to_kg=number(row["to_kg"], least=0, most=1000),
            drop_mm=number(row["drop_mm"], least=10, most=3000),
            source=row["source"],
            known=known(row["known"]),
        )
        for row in rows("drop_heights.csv")
    )
    for light, heavy in zip(found, found[1:], strict=False):
        if light.to_kg != heavy.from_kg or light.drop_mm < heavy.drop_mm:
            raise ValueError("the bands of the table do not join, or a heavy case falls farther")
    return found


def drop_row(mass_kg: float) -> DropRow | None:
    """The row for a loaded case; None above the table's range, where the builder says.

    At a limit the lighter band holds, whose fall is higher. ValueError for a mass below 0.

    >>> drop_row(23.0).drop_mm, drop_row(19.0).drop_mm, drop_row(80.0)
    (460.0, 610.0, None)
    """
    if mass_kg < 0:
        raise ValueError("a mass is not below 0")
    return next((row for row in drop_heights() if mass_kg <= row.to_kg), None)
