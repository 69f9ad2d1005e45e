"""Centres of holes at 1:1: a thin cross and the circle, kept clear of lettering."""

from __future__ import annotations

import shapely

from fitkit.documents.clear_text import Taken
from fitkit.documents.sheet import Circle, Mark, Path, Style, polyline

CROSS_MM = 6.0
"""How far a centre mark reaches beyond its hole, both ways together [mm]."""


def centre_marks(x_mm: float, y_mm: float, across_mm: float, *, taken: Taken) -> list[Mark]:
    """The marks of a hole ``across_mm`` wide; their room is added to ``taken``."""
    x, y = x_mm, y_mm
    reach = across_mm / 2 + CROSS_MM / 2
    cross = (
        polyline([(x - reach, y), (x + reach, y)]),
        polyline([(x, y - reach), (x, y + reach)]),
    )
    taken.take(
        shapely.box(x - reach, y - 0.5, x + reach, y + 0.5),
        shapely.box(x - 0.5, y - reach, x + 0.5, y + reach),
        shapely.Point(x, y).buffer(across_mm / 2 + 0.3),
    )
    return [Circle(x, y, across_mm, Style("ink", 0.25)), Path(cross, Style("ink", 0.13))]
