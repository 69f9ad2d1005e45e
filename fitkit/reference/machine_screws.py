"""Machine screws by thread: their heads, the lengths in which they are sold, how far they go in.

A countersunk screw's length counts its head; that of any other screw starts under it.
"""

from __future__ import annotations

from functools import cache
from typing import Literal

from attrs import frozen

from fitkit.reference.rows import known, number, rows
from fitkit.sources import Known

ENGAGED_DIAMETERS = 1.0
"""A screw goes into its thread by its diameter at the least (S43)."""

ENGAGED_MOST_DIAMETERS = 2.0
"""More thread than that holds no more [diameters] (assumption)."""


@frozen
class MachineScrew:
    """A machine screw by its thread [mm]: pan head and countersunk head, each at its largest."""

    thread: str
    d_mm: float
    head_mm: float
    head_high_mm: float
    sunk_head_mm: float
    sunk_high_mm: float
    source: str
    known: Known


@frozen
class ScrewLengths:
    """The lengths in which screws of one kind are sold [mm], in order."""

    lengths_mm: tuple[float, ...]
    source: str
    known: Known

    def longest_mm(self, most_mm: float) -> float | None:
        """The longest that is no longer than ``most_mm``; None if none is.

        >>> screw_lengths("machine").longest_mm(29.9), screw_lengths("machine").longest_mm(4.0)
        (25.0, None)
        """
        return max((one for one in self.lengths_mm if one <= most_mm + 1e-9), default=None)

    def shortest_mm(self, least_mm: float) -> float | None:
        """The shortest that is no shorter than ``least_mm``; None if none is."""
        return min((one for one in self.lengths_mm if one >= least_mm - 1e-9), default=None)


@cache
def machine_screws() -> dict[str, MachineScrew]:
    """Every known thread.

    >>> machine_screws()["M4"].head_mm, machine_screws()["M4"].head_high_mm
    (8.0, 3.1)
    """
    found = {}
    for row in rows("machine_screws.csv"):
        screw = MachineScrew(
            thread=row["thread"],
            d_mm=number(row["d_mm"], least=1, most=30),
            head_mm=number(row["head_mm"], least=2, most=50),
            head_high_mm=number(row["head_high_mm"], least=0.5, most=20),
            sunk_head_mm=number(row["sunk_head_mm"], least=2, most=50),
            sunk_high_mm=number(row["sunk_high_mm"], least=0.5, most=20),
            source=row["source"],
            known=known(row["known"]),
        )
        if not screw.d_mm < screw.sunk_head_mm <= screw.head_mm:
            raise ValueError(f"{screw.thread}: thread and heads are not in order")
        if not screw.sunk_high_mm < screw.head_high_mm:
            raise ValueError(f"{screw.thread}: the countersunk head is the higher one")
        found[screw.thread] = screw
    return found


@cache
def screw_lengths(kind: Literal["machine", "wood"]) -> ScrewLengths:
    """The lengths in which machine or wood screws are sold (from memory: look what you can buy).

    >>> screw_lengths("machine").lengths_mm[:4]
    (5.0, 6.0, 8.0, 10.0)
    """
    for row in rows("screw_lengths.csv"):
        if row["kind"] == kind:
            lengths = tuple(number(cell, least=2, most=300) for cell in row["lengths_mm"].split())
            if list(lengths) != sorted(set(lengths)):
                raise ValueError(f"lengths of {kind} screws are not in order")
            return ScrewLengths(lengths, row["source"], known(row["known"]))
    raise KeyError(kind)
