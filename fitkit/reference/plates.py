"""Deflection of rectangular plates as printed: coefficients by edges, load and sides' ratio."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known


@frozen
class PlateRow:
    """One printed coefficient: ``w = coefficient x form`` in the middle of a plate.

    ``aspect`` is the longer side over the shorter one, a. ``form`` is "q a4 / D" for an even
    pressure, "P a2 / D" for a force in the middle, or "q a4 / E t3".
    """

    edges: str
    load: str
    aspect: float
    coefficient: float
    form: str
    source: str
    known: Known


@cache
def plate_rows() -> tuple[PlateRow, ...]:
    """Every printed coefficient, table by table.

    >>> row = plate_rows()[0]
    >>> row.aspect, row.coefficient, row.form
    (1.0, 0.00406, 'q a4 / D')
    """
    return tuple(
        PlateRow(
            edges=row["edges"],
            load=row["load"],
            aspect=number(row["aspect"], least=1, most=100),
            coefficient=number(row["coefficient"], least=1e-5, most=1),
            form=row["form"],
            source=row["source"],
            known=known(row["known"]),
        )
        for row in rows("plates.csv")
    )
