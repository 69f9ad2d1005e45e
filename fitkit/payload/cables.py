"""Cables between connectors of the gear, or from a connector to the outside.

All lengths are mm. Values are checked where they are read (:mod:`fitkit.payload.cables_in`).
"""

from __future__ import annotations

from attrs import frozen

from fitkit.payload.faces import Face


@frozen(cache_hash=True)
class Plug:
    """A cable's plug as measured: width and height of its body, and how far it stands out.

    ``length_mm`` is the rigid length in front of the item's face, sleeve included. ``angled``: the
    cable leaves it sideways. ``known`` says where the figures are from.
    """

    width_mm: float
    height_mm: float
    length_mm: float
    angled: bool = False
    known: str = "measured"


@frozen(cache_hash=True)
class Connector:
    """One connector of an item: the ``index``-th connector zone of a face, counted from 1.

    ``copy`` None: each copy of the item has a cable of its own there.
    """

    item: str
    face: Face
    index: int = 1
    copy: int | None = None

    @property
    def name(self) -> str:
        """As it stands in the sheet.

        >>> Connector("recorder", "back", 2).name, Connector("probe", "left", copy=3).name
        ('recorder.back.2', 'probe 3.left.1')
        """
        copy = "" if self.copy is None else f" {self.copy}"
        return f"{self.item}{copy}.{self.face}.{self.index}"


@frozen(cache_hash=True)
class Cable:
    """One cable, or several alike that run together (``count``).

    It joins ``start`` to ``to``; None is the outside, through the cable exit or the door.
    ``length_mm`` is what the builder has, None where it is still to be bought or cut. ``kind`` is a
    row of the bend radii (:mod:`fitkit.reference.cable_bends`); ``bend_mm`` the least inside radius
    where the builder gives it. ``plugged``: it stays plugged in when the case is closed.
    """

    name: str
    start: Connector
    to: Connector | None
    diameter_mm: float
    kind: str = "unknown"
    length_mm: float | None = None
    bend_mm: float | None = None
    plugs: tuple[Plug | None, Plug | None] = (None, None)
    count: int = 1
    plugged: bool = True
