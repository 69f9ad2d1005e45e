"""What the checks look at: the values of every stage, side by side."""

from __future__ import annotations

from attrs import frozen

from fitkit.fit.layout import Fit, Half, Interior
from fitkit.fit.place import Placed, place_all
from fitkit.foam.model import Foam
from fitkit.payload.model import Payload
from fitkit.shell.mass import Mass
from fitkit.shell.model import Shell
from fitkit.stock.model import Stock

ACCURACY_MM = 0.01
"""Figures of a plan are exact to this; a miss below it is none [mm]."""


@frozen
class Stages:
    """The stages of one plan, as far as the checks need them.

    ``shell`` and ``stock`` are None for a ready-made case, ``stock`` also before it is worked out.
    """

    payload: Payload
    fit: Fit
    outside_mm: tuple[float, float, float]
    foam: Foam
    mass: Mass
    shell: Shell | None = None
    stock: Stock | None = None

    @property
    def interior(self) -> Interior:
        """The room inside the panels."""
        return self.fit.interior

    @property
    def outside_known(self) -> bool:
        """Whether the outside is known: that of a ready-made case may not have been measured.

        A case that does not hold the kit says nothing about the larger one that would.
        """
        case = self.fit.ready_made
        return case is None or (case.outside_mm is not None and not self.fit.misses)

    @property
    def placed(self) -> tuple[Placed, ...]:
        """Every copy with its solid in the case's coordinates."""
        return place_all(self.payload, self.fit.placements)

    def half(self, placed: Placed) -> Half:
        """The half in which a copy stands; KeyError where the interior has no such half."""
        for half in self.interior.halves:
            if half.name == placed.placement.half:
                return half
        raise KeyError(placed.placement.half)
