"""Blind rivets: the hole, the head, and which length holds which thickness."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known

EDGE_DIAMETERS = 2.0
"""Wished distance from a rivet's middle to any edge, in diameters (from memory: workshop habit)."""

LEAST_EDGE_DIAMETERS = 1.5
"""Least distance to an edge, in diameters (from memory: EN 1993-1-3, table 8.1)."""

SPACING_DIAMETERS = 3.0
"""Least distance between two rivets, in diameters (from memory: EN 1993-1-3, table 8.1)."""


@frozen
class RivetSize:
    """A blind rivet by its diameter [mm]: the hole that it goes in, and its domed head."""

    d_mm: float
    least_hole_mm: float
    most_hole_mm: float
    head_mm: float
    head_height_mm: float
    source: str
    known: Known


@frozen
class RivetGrip:
    """A blind rivet's length and the thickness that it holds, least to most [mm]."""

    d_mm: float
    length_mm: float
    longest_mm: float
    least_grip_mm: float
    most_grip_mm: float
    source: str
    known: Known

    @property
    def size(self) -> str:
        """Diameter and length, as they are ordered, such as "4.0 x 12"."""
        return f"{self.d_mm:.1f} x {self.length_mm:g}"

    def holds(self, grip_mm: float) -> bool:
        """Whether the thickness lies within the rivet's range of grip, its ends included."""
        return self.least_grip_mm - 1e-9 <= grip_mm <= self.most_grip_mm + 1e-9


@cache
def rivet_sizes() -> dict[float, RivetSize]:
    """Every known diameter.

    >>> rivet_sizes()[4.0].least_hole_mm, rivet_sizes()[4.0].head_mm
    (4.1, 8.0)
    """
    found = {}
    for row in rows("rivets.csv"):
        size = RivetSize(
            d_mm=number(row["d_mm"], least=1, most=10),
            least_hole_mm=number(row["least_hole_mm"], least=1, most=11),
            most_hole_mm=number(row["most_hole_mm"], least=1, most=11),
            head_mm=number(row["head_mm"], least=2, most=20),
            head_height_mm=number(row["head_height_mm"], least=0.1, most=5),
            source=row["source"],
            known=known(row["known"]),
        )
        if not size.d_mm < size.least_hole_mm <= size.most_hole_mm < size.head_mm:
            raise ValueError(f"rivet {size.d_mm:g}: the hole is not between shank and head")
        found[size.d_mm] = size
    return found


@cache
def rivet_grips() -> dict[float, tuple[RivetGrip, ...]]:
    """Every length by diameter, the shortest first; each range of grip starts where one ends.

    >>> [row.size for row in rivet_grips()[2.4]]
    ['2.4 x 6', '2.4 x 9', '2.4 x 12']
    """
    found: dict[float, tuple[RivetGrip, ...]] = {}
    for row in rows("rivet_grips.csv"):
        grip = RivetGrip(
            d_mm=number(row["d_mm"], least=1, most=10),
            length_mm=number(row["length_mm"], least=3, most=60),
            longest_mm=number(row["longest_mm"], least=3, most=60),
            least_grip_mm=number(row["least_grip_mm"], least=0, most=60),
            most_grip_mm=number(row["most_grip_mm"], least=0, most=60),
            source=row["source"],
            known=known(row["known"]),
        )
        found[grip.d_mm] = (*found.get(grip.d_mm, ()), grip)
    for d_mm, lengths in found.items():
        for one, next_one in pairwise(lengths):
            if one.most_grip_mm != next_one.least_grip_mm:
                raise ValueError(f"rivet {d_mm:g}: grips leave a gap after {one.most_grip_mm:g}")
    return found


def grip_range_mm(d_mm: float) -> tuple[float, float] | None:
    """Least and most thickness that rivets of this diameter hold [mm]; None: not in the table.

    >>> grip_range_mm(4.0), grip_range_mm(6.0)
    ((1.0, 21.0), None)
    """
    lengths = rivet_grips().get(d_mm)
    return (lengths[0].least_grip_mm, lengths[-1].most_grip_mm) if lengths else None


def rivet_for(
    grip_mm: float, *, d_mm: float, least_mm: float | None = None, most_mm: float | None = None
) -> RivetGrip | None:
    """The blind rivet of diameter ``d_mm`` that holds a thickness ``grip_mm`` [mm].

    The length follows from the grip table of ISO 15981 alone: least grip <= thickness <= most
    grip (the rule "grip + 1.5 d" is that of solid rivets, and wrong here). Where two lengths hold
    it, the one that holds more of ``least_mm`` to ``most_mm``, then the shorter. None where the
    table has no such length or no such diameter.

    >>> rivet_for(9.4, d_mm=4.0).size
    '4.0 x 16'
    >>> rivet_for(8.5, d_mm=4.0).size, rivet_for(8.5, d_mm=4.0, least_mm=8.2, most_mm=9.0).size
    ('4.0 x 12', '4.0 x 16')
    >>> rivet_for(30.0, d_mm=4.0) is None
    True
    """
    low = grip_mm if least_mm is None else least_mm
    high = grip_mm if most_mm is None else most_mm
    holding = [row for row in rivet_grips().get(d_mm, ()) if row.holds(grip_mm)]

    def shared(row: RivetGrip) -> float:
        return min(high, row.most_grip_mm) - max(low, row.least_grip_mm)

    return max(holding, key=lambda row: (shared(row), -row.length_mm), default=None)


def rivet_through(hole_mm: float, *, wished_mm: float) -> float | None:
    """Diameter of the rivet for a hole of ``hole_mm`` that a piece of hardware has [mm].

    The wished one where it passes and the hole is at most half a millimetre too wide (common
    practice, no source), else the thickest of the grip table that passes; None where none does.

    >>> rivet_through(4.2, wished_mm=4.0), rivet_through(5.0, wished_mm=4.0)
    (4.0, 4.8)
    """
    sizes = rivet_sizes()
    wished = sizes.get(wished_mm)
    if wished and wished.least_hole_mm - 0.05 <= hole_mm <= wished.most_hole_mm + 0.5:
        return wished_mm
    passing = [d for d in rivet_grips() if sizes[d].least_hole_mm <= hole_mm + 0.05]
    return max(passing, default=None)
