"""What is found out about each ready-made case, and their ranking."""

from __future__ import annotations

import math
from typing import Literal

from attrs import frozen

from fitkit.fit.layout import Placement
from fitkit.fit.ready_made.room import volume_mm3
from fitkit.payload.model import Rank, ReadyMade

Verdict = Literal["holds", "too small", "over a limit", "none found", "not searched"]
"""``holds``: there is a layout. ``too small``: a bound proves that there is none. ``over a limit``:
too large or too heavy outside, for certain. ``none found``: the search ended without a layout.
``not searched``: it was stopped before."""

CERTAIN: tuple[Verdict, ...] = ("too small", "over a limit")
"""Verdicts that hold whatever a longer search would bring."""

_ORDER: tuple[Verdict, ...] = ("holds", "none found", "not searched", "over a limit", "too small")


@frozen
class Missing:
    """By how much a room would have to grow at least [mm]; nothing where it need not.

    Length is the longer side of the room, width the shorter one, depth base and lid together.
    """

    length_mm: float = 0.0
    width_mm: float = 0.0
    depth_mm: float = 0.0

    @property
    def total_mm(self) -> float:
        """The three added up, for comparing."""
        return self.length_mm + self.width_mm + self.depth_mm

    def __str__(self) -> str:
        """The sides that are short, with their millimetres.

        >>> str(Missing(length_mm=12.04, depth_mm=3.0)), str(Missing())
        ('12.1 mm in length, 3 mm in depth', 'nothing')
        """
        sides = (("length", self.length_mm), ("width", self.width_mm), ("depth", self.depth_mm))
        parts = [f"{_tenths(value)} mm in {name}" for name, value in sides if value > 1e-6]
        return ", ".join(parts) or "nothing"


def _tenths(value_mm: float) -> str:
    """Rounded up: a room that grows by what is said does hold."""
    text = f"{math.ceil(value_mm * 10 - 1e-6) / 10:.1f}"
    return text.removesuffix(".0")


@frozen
class Tried:
    """What was found out about one case of the list.

    ``missing`` is what the room lacks: a least that is certain for ``too small``, what the nearest
    layout found lacks for ``none found``. ``note`` says why in a sentence, or how it was settled.
    ``placements`` are the layout of a case that holds the kit; ``turned``: it lies in the case with
    its length along y (:func:`~fitkit.fit.ready_made.room.inside_of`).
    """

    name: str
    verdict: Verdict
    missing: Missing = Missing()
    note: str = ""
    turned: bool = False
    placements: tuple[Placement, ...] = ()


@frozen
class Answer:
    """All cases of the list: those that hold the kit in rank order, then the others.

    ``chosen`` is the case that the plan is made for. Where none holds the kit it is the nearest
    one. ``seconds`` is the time that the search took (0 where work is counted).
    """

    rank: Rank
    tried: tuple[Tried, ...]
    chosen: str
    seconds: float
    interrupted: bool = False

    @property
    def holding(self) -> tuple[Tried, ...]:
        """The cases that hold the kit, best first."""
        return tuple(one for one in self.tried if one.verdict == "holds")

    @property
    def others(self) -> tuple[Tried, ...]:
        """The cases that do not, or of which it is not known, nearest first."""
        return tuple(one for one in self.tried if one.verdict != "holds")

    def one(self, name: str) -> Tried:
        """What was found out about the case called ``name``; KeyError if it was not tried."""
        for one in self.tried:
            if one.name == name:
                return one
        raise KeyError(name)


def rank_key(case: ReadyMade, rank: Rank) -> tuple[float, float]:
    """What cases are ordered by: what was asked, then volume; what is not known comes last."""
    volume = volume_mm3(case)
    if rank == "volume":
        return (volume, volume)
    value = case.mass_kg if rank == "mass" else case.price
    return (math.inf if value is None else value, volume)


def ranked(tried: list[Tried], cases: tuple[ReadyMade, ...], *, rank: Rank) -> tuple[Tried, ...]:
    """Cases that hold the kit in rank order; then the others, the least that is missing first."""
    by_name = {case.name: case for case in cases}

    def key(one: Tried) -> tuple[int, float, tuple[float, float]]:
        missing = 0.0 if one.verdict == "holds" else one.missing.total_mm
        return (_ORDER.index(one.verdict), missing, rank_key(by_name[one.name], rank))

    return tuple(sorted(tried, key=key))
