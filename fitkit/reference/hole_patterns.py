"""Hole patterns on the backs of screens and devices: size, thread, depth, mass they may carry.

The patterns and their masses are those of the screens' mounting standard (four holes at the
corners of a rectangle). Screws never go deeper than the hole: where its depth is not known it
must be measured.
"""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number, number_or_none, rows
from fitkit.sources import Known


@frozen
class PatternRow:
    """Four holes at the corners of a rectangle ``size_mm`` (along, up) [mm].

    ``thread`` and ``depth_mm`` are None where they differ from device to device or were not found.
    ``most_kg`` is the mass that the pattern is meant for. ``standard`` is its name there.
    """

    name: str
    size_mm: tuple[float, float]
    thread: str | None
    depth_mm: float | None
    most_kg: float
    standard: str
    source: str
    known: Known

    def holes_mm(
        self, at_mm: tuple[float, float]
    ) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]]:
        """Centres of its holes about its middle, from the lower left one round [mm].

        >>> hole_patterns()["75x75"].holes_mm((100.0, 60.0))[0]
        (62.5, 22.5)
        """
        (x, y), (wide, high) = at_mm, (self.size_mm[0] / 2, self.size_mm[1] / 2)
        return (
            (x - wide, y - high),
            (x + wide, y - high),
            (x + wide, y + high),
            (x - wide, y + high),
        )


@cache
def hole_patterns() -> dict[str, PatternRow]:
    """Every pattern by its name, "width x height" in mm.

    >>> row = hole_patterns()["100x100"]
    >>> row.size_mm, row.thread, row.depth_mm, row.most_kg
    ((100.0, 100.0), 'M4', 10.0, 14.0)
    >>> hole_patterns()["200x200"].thread is None
    True
    """
    found = {}
    for row in rows("hole_patterns.csv"):
        size = (
            number(row["width_mm"], least=10, most=1000),
            number(row["height_mm"], least=10, most=1000),
        )
        if row["name"] != f"{size[0]:g}x{size[1]:g}":
            raise ValueError(f"the pattern {row['name']} is not called after its size")
        found[row["name"]] = PatternRow(
            name=row["name"],
            size_mm=size,
            thread=row["thread"] or None,
            depth_mm=number_or_none(row["depth_mm"], least=1, most=100),
            most_kg=number(row["most_kg"], least=0.1, most=500),
            standard=row["standard"],
            source=row["source"],
            known=known(row["known"]),
        )
    return found
