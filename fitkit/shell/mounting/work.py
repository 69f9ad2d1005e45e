"""One mounted copy while its supports are made: what is there, and what goes wrong."""

from __future__ import annotations

from attrs import Factory, define

from fitkit.fit.place import Placed
from fitkit.payload.closing import Tolerances
from fitkit.payload.mounts import Mount
from fitkit.shell.frame import AXES, side_at
from fitkit.shell.model import Hole, Panel, Point, Trouble
from fitkit.shell.mounting.around import Around
from fitkit.shell.mounting.back import Back, back_of
from fitkit.shell.mounting.model import Screwing
from fitkit.shell.mounting.pieces import Piece

NEAR_MM = 0.05
"""Lengths up to this are nothing to a builder [mm]."""


@define
class Work:
    """What is made for one copy, and what it is made in."""

    placed: Placed
    mount: Mount
    around: Around
    tolerances: Tolerances = Tolerances()
    back_comes_off: bool = False
    pieces: list[Piece] = Factory(list)
    holes: list[Hole] = Factory(list)
    screwings: list[Screwing] = Factory(list)
    troubles: list[Trouble] = Factory(list)
    notes: list[str] = Factory(list)

    @property
    def label(self) -> str:
        """The copy's name."""
        return self.placed.label

    @property
    def half(self) -> str:
        """The half that it stands in."""
        return self.placed.placement.half

    @property
    def back(self) -> Back:
        """The face by which rails or a sub-panel hold it."""
        return back_of(self.placed, self.mount.back)

    def behind_mm(self, back: Back) -> float:
        """From a face to where the room of its half ends in front of it [mm]."""
        return round(back.sense * (self.around.end_mm(self.half, back.side) - back.plane_mm), 6)

    def panel_behind(self, back: Back) -> Panel | None:
        """The panel that a face looks at; None where that is the closing plane."""
        middle = back.point(back.size_mm[0] / 2, back.size_mm[1] / 2)
        return self.around.panel_at(self.half, back.side, middle)

    def trouble(
        self, where: str, what: str, short_mm: float, remedy: str, *, tight: bool = False
    ) -> None:
        """Say what does not go; ``tight`` where it can be built all the same."""
        self.troubles.append(Trouble(where, what, short_mm, remedy, "tight" if tight else "fails"))

    def unsure(self, where: str, what: str, remedy: str) -> None:
        """Say what is not known."""
        self.troubles.append(Trouble(where, what, 0.0, remedy, "unknown"))

    def screwed(
        self,
        size: str,
        length_mm: float,
        *,
        stack_mm: float,
        hole_mm: float | None,
        engaged_mm: float,
        holds: str,
        note: str = "",
    ) -> None:
        """Count one screw; alike ones are counted together."""
        here = self.placed.placement
        one = Screwing(here.item, here.copy, size, length_mm, 1, round(stack_mm, 6), hole_mm,
                       round(engaged_mm, 6), holds, note)  # fmt: skip
        self.screwings.append(one)

    def to_walls(self, low: Point, high: Point, axis: int) -> tuple[Point, Point]:
        """A box made to reach from wall to wall along an axis, where its half has walls there."""
        ends = self.around.room(self.half)
        one, other = [*low], [*high]
        if not self.around.closes(self.half, side_at(AXES[axis], high=False)):
            one[axis] = ends[0][axis]
        if not self.around.closes(self.half, side_at(AXES[axis], high=True)):
            other[axis] = ends[1][axis]
        return (one[0], one[1], one[2]), (other[0], other[1], other[2])
