"""The records of mounting: pieces that hold an item, their holes, and the screws.

All lengths are millimetres in the case's coordinates, masses kilograms.
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen
from shapely import Polygon

from fitkit.foam.model import Point

SupportKind = Literal["rail", "batten", "sub-panel", "block"]


@frozen
class SupportHole:
    """A hole in a support, in its own u and v from its lower left corner as it lies on the bench.

    The side that looks at the item is up. ``sink_mm`` is the diameter of a countersink or
    counterbore on the far side, None where there is none.
    """

    u_mm: float
    v_mm: float
    diameter_mm: float
    use: str
    sink_mm: float | None = None


@frozen
class Support:
    """A piece that holds one copy of an item: its box in the case, and how it is cut.

    ``length_mm`` by ``width_mm`` by ``thick_mm`` is the piece as cut. ``u_axis`` and ``v_axis`` say
    along which axis of the case length and width lie. ``openings`` are cut out of a sub-panel for
    plugs (in u and v). ``kg`` is None where nothing is known of the material.
    """

    name: str
    kind: SupportKind
    item: str
    copy: int
    half: str
    low_mm: Point
    high_mm: Point
    u_axis: Literal["x", "y", "z"]
    v_axis: Literal["x", "y", "z"]
    length_mm: float
    width_mm: float
    thick_mm: float
    material: str
    holes: tuple[SupportHole, ...] = ()
    openings: tuple[Polygon, ...] = ()
    kg: float | None = None


@frozen
class Screwing:
    """Screws of one kind that hold one thing to another.

    ``length_mm`` is the length to buy, ``stack_mm`` what lies between the screw's head and what it
    is screwed into, ``hole_mm`` how deep that hole is (None: wood, the thickness behind is in
    ``note``), ``engaged_mm`` how far the screw goes in. A screw is never longer than stack and
    hole together.
    """

    item: str
    copy: int
    size: str
    length_mm: float
    count: int
    stack_mm: float
    hole_mm: float | None
    engaged_mm: float
    holds: str
    note: str = ""
