"""Which cables there are, copy by copy, and between which two ends each of them runs."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed
from fitkit.payload.cables import Cable, Connector
from fitkit.payload.model import Payload
from fitkit.reference.bundles import bundle_of
from fitkit.shell.cables.ends import End, end_at, exit_end
from fitkit.shell.cables.model import CableExit

OUTSIDE = "outside"


@frozen
class Thread:
    """One cable as it runs once: its label, its two ends, and how thick it is where it runs [mm].

    ``to`` is None where it goes outside and no exit lets it out. ``thick_mm`` is the bundle of all
    that run together (``count``), ``exit`` the name of the exit that it leaves by.
    """

    cable: Cable
    label: str
    start: End
    to: End | None
    thick_mm: float
    exit: str = ""

    @property
    def crossing(self) -> bool:
        """Whether it runs from half to half, across the closing plane."""
        return self.to is not None and self.to.half != self.start.half


def threads_of(
    payload: Payload,
    *,
    interior: Interior,
    placed: Sequence[Placed],
    exits: Sequence[CableExit],
) -> tuple[Thread, ...]:
    """Every cable of every copy, in the order of the sheet.

    A cable whose start names no copy runs from each copy of its item; each has one to itself at the
    other end too where that item has as many copies, else all run to the one that is named, or the
    first. Ends that are not in the layout leave the cable out.
    """
    found = []
    for cable in payload.cables:
        thick = bundle_of([cable.diameter_mm] * cable.count).diameter_mm
        starts = _copies(placed, cable.start)
        for number, copy in enumerate(starts, start=1):
            start = end_at(copy, cable.start, plug=cable.plugs[0], diameter_mm=cable.diameter_mm)
            if start is None:
                continue
            label = cable.name if len(starts) == 1 else f"{cable.name} {number}"
            if cable.to is None:
                way = _exit_for(start, exits)
                to = None if way is None else exit_end(way, interior=interior, thick_mm=thick)
                name = "" if way is None else way.name
                found.append(Thread(cable, label, start, to, thick, name))
                continue
            others = _copies(placed, cable.to)
            if not others:
                continue
            other = others[number - 1] if len(others) == len(starts) else others[0]
            to = end_at(other, cable.to, plug=cable.plugs[1], diameter_mm=cable.diameter_mm)
            if to is not None:
                found.append(Thread(cable, label, start, to, thick))
    return tuple(found)


def _copies(placed: Sequence[Placed], connector: Connector) -> list[Placed]:
    """The copies of an item that a connector's name stands for, in their order."""
    mine = [
        one
        for one in placed
        if one.item.name == connector.item and connector.copy in (None, one.placement.copy)
    ]
    return sorted(mine, key=lambda one: one.placement.copy)


def _exit_for(start: End, exits: Sequence[CableExit]) -> CableExit | None:
    """The exit of the half in which a cable starts, else any; None where there is none at all."""
    mine = [one for one in exits if one.part == start.half]
    return next(iter(mine or exits), None)
