"""How tightly a cable may be bent: the least inside radius by its kind, diameter and use.

Most rules give the radius in outside diameters of the cable, R >= m d, some a least radius beside
it. Where a kind is not known, the habit for cables that are stowed in a case and handled counts.
"""

from __future__ import annotations

from functools import cache
from typing import Literal, get_args

from attrs import frozen

from fitkit.reference.rows import known, number, number_or_none, rows
from fitkit.sources import Known

BendUse = Literal["fixed", "moving", "coiled", "entry"]
"""Laid once; bent when the case opens or a plug is pulled; wound up; where it enters a device."""

USES: tuple[BendUse, ...] = get_args(BendUse)


@frozen
class BendBand:
    """One rule: for diameters above ``over_mm`` up to ``upto_mm`` (None: no end).

    The least inside radius is ``factor`` diameters, and never under ``least_mm``.
    """

    use: BendUse
    over_mm: float
    upto_mm: float | None
    factor: float
    least_mm: float
    source: str
    known: Known

    def radius_mm(self, diameter_mm: float) -> float:
        """The least inside radius of a cable of that diameter [mm]: max(m d, least)."""
        return max(self.factor * diameter_mm, self.least_mm)


@frozen
class BendRow:
    """All that is known of one kind of cable."""

    kind: str
    bands: tuple[BendBand, ...]

    def band(self, *, diameter_mm: float, use: BendUse = "fixed") -> BendBand:
        """The rule for a cable of that diameter in that use.

        What is not told apart at an entry counts as moving.

        >>> cable_bends()["power flex"].band(diameter_mm=9.0, use="moving").factor
        4.0
        """
        for wanted in (use, "moving"):
            for band in self.bands:
                upto = float("inf") if band.upto_mm is None else band.upto_mm
                if band.use == wanted and band.over_mm < diameter_mm <= upto:
                    return band
        raise ValueError(f"{self.kind}: no rule for a diameter of {diameter_mm:g} mm")

    def radius_mm(self, *, diameter_mm: float, use: BendUse = "fixed") -> float:
        """The least inside radius [mm].

        >>> cable_bends()["coax"].radius_mm(diameter_mm=5.0, use="moving")
        50.0
        >>> cable_bends()["fibre cable"].radius_mm(diameter_mm=2.0)
        30.0
        """
        return self.band(diameter_mm=diameter_mm, use=use).radius_mm(diameter_mm)


@cache
def cable_bends() -> dict[str, BendRow]:
    """Every kind of cable by its name; "unknown" is there too.

    >>> list(cable_bends())[-1]
    'unknown'
    >>> cable_bends()["unknown"].radius_mm(diameter_mm=6.0)
    48.0
    """
    found: dict[str, list[BendBand]] = {}
    for row in rows("cable_bends.csv"):
        found.setdefault(row["kind"], []).append(_band(row))
    for kind, bands in found.items():
        _judge(kind, bands)
    return {kind: BendRow(kind, tuple(bands)) for kind, bands in found.items()}


def _band(row: dict[str, str]) -> BendBand:
    use = next((use for use in USES if use == row["use"]), None)
    if use is None:
        raise ValueError(f"{row['kind']}: {row['use']!r} is none of {', '.join(USES)}")
    return BendBand(
        use=use,
        over_mm=number(row["over_mm"], least=0, most=100),
        upto_mm=number_or_none(row["upto_mm"], least=1, most=100),
        factor=number(row["factor"], least=0, most=30),
        least_mm=number(row["least_mm"], least=0, most=200),
        source=row["source"],
        known=known(row["known"]),
    )


def _judge(kind: str, bands: list[BendBand]) -> None:
    """Each use of a kind covers every diameter once, and moving is there."""
    for use in USES:
        mine = [band for band in bands if band.use == use]
        if not mine and use != "entry":
            raise ValueError(f"{kind}: no rule for {use}")
        at: float | None = 0.0
        for band in mine:
            if band.over_mm != at:
                raise ValueError(f"{kind}, {use}: the rules leave a gap or overlap at {at} mm")
            at = band.upto_mm
        if mine and at is not None:
            raise ValueError(f"{kind}, {use}: no rule above {at} mm")
