"""The records of a stock plan: bars, sheets, foam sheets, what they cost, what is left over.

Lengths are mm. Positions on a sheet are from its lower left corner as it lies on the saw, length
along x.
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen


@frozen
class Stick:
    """A piece to be cut from a bar: its name, its length at the long point, and its ends."""

    name: str
    length_mm: float
    mitred: bool = False


@frozen
class CutBar:
    """One bar and what is cut from it, in the order of sawing.

    ``length_mm`` is the bar's as bought or kept; ``offcut`` is true for a piece that the builder
    already had. ``left_mm`` is what is left at its far end after the last saw cut, clean: a new bar
    is trimmed at both ends first.
    """

    length_mm: float
    offcut: bool
    sticks: tuple[Stick, ...]
    left_mm: float


@frozen
class BarPlan:
    """How all sticks of one profile are cut.

    ``bound`` is the least length of new bars that any way of cutting needs [mm], and ``proven``
    whether this plan reaches it. ``bound_name`` says which bound holds. ``first_fit`` is how many
    new bars the naive way takes: pieces in the order of the list, each from the first bar that
    still has room. ``trim_mm`` is cut off each end of a new bar. Between two pieces lies
    ``kerf_mm``, sqrt 2 of it where the blade crosses the bar at 45 degrees.
    """

    what: str
    bars: tuple[CutBar, ...]
    bought: int
    bought_mm: float
    bound_mm: float
    bound_name: str
    proven: bool
    first_fit: int
    first_fit_mm: float
    used_mm: float
    kerf_mm: float
    trim_mm: float = 0.0

    @property
    def waste(self) -> float:
        """Share of the bought and kept bars that is not in a piece."""
        whole = sum(bar.length_mm for bar in self.bars)
        return 0.0 if whole == 0 else 1.0 - self.used_mm / whole


@frozen
class Tile:
    """A rectangle to be cut from a sheet: ``turn`` says whether it may be turned a quarter."""

    name: str
    length_mm: float
    width_mm: float
    turn: bool = True


@frozen
class Laid:
    """A tile on its sheet: lower left corner and size as it lies [mm]."""

    name: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    turned: bool


@frozen
class SawCut:
    """One straight cut across a piece of the sheet, in the order of sawing.

    ``stage`` is 1 for rips through the whole sheet, 2 for cross cuts of a strip, 3 for cuts within
    a piece of it, 4 for what is trimmed off the end of one of those; ``along`` is "x" or "y",
    ``at_mm`` the place of its middle on the other axis, from ``from_mm`` to ``to_mm`` along it.
    """

    stage: int
    along: Literal["x", "y"]
    at_mm: float
    from_mm: float
    to_mm: float


@frozen
class CutSheet:
    """One sheet, what is laid on it, its saw cuts in order, and the offcuts worth keeping."""

    length_mm: float
    width_mm: float
    tiles: tuple[Laid, ...]
    cuts: tuple[SawCut, ...]
    offcuts: tuple[Laid, ...]


@frozen
class SheetPlan:
    """How all tiles of one board are cut; ``bound`` is the least number of sheets proven.

    ``first_fit`` is how many sheets the naive way takes: tiles in the order of the list, each on
    the first shelf that has room. ``trim_mm`` is cut off each side of a sheet.
    """

    what: str
    sheets: tuple[CutSheet, ...]
    bound: int
    bound_name: str
    proven: bool
    first_fit: int
    stages: int
    kerf_mm: float = 0.0
    trim_mm: float = 0.0

    @property
    def waste(self) -> float:
        """Share of the sheets that is not in a tile."""
        whole = sum(sheet.length_mm * sheet.width_mm for sheet in self.sheets)
        used = sum(t.length_mm * t.width_mm for sheet in self.sheets for t in sheet.tiles)
        return 0.0 if whole == 0 else 1.0 - used / whole


@frozen
class LaidLayer:
    """A foam layer on its sheet: its name, where its box's lower left corner lies, its turn."""

    layer: str
    x_mm: float
    y_mm: float
    turn_deg: float


@frozen
class FoamSheet:
    """One sheet of foam and the layers that are cut from it."""

    thickness_mm: float
    material: str
    length_mm: float
    width_mm: float
    layers: tuple[LaidLayer, ...]


@frozen
class FoamPlan:
    """How the layers of one thickness and colour are cut; ``bound`` is the least number proven."""

    what: str
    thickness_mm: float
    sheets: tuple[FoamSheet, ...]
    bound: int
    proven: bool
    first_fit: int
    waste: float


@frozen
class Cost:
    """One line of the buying list; ``price`` and ``total`` are None where no price is given."""

    what: str
    unit: str
    amount: float
    price: float | None
    total: float | None
    waste_cost: float | None = None


@frozen
class Stock:
    """All that is bought, how it is cut, and what it costs.

    ``total`` is the cost of all lines that have a price, ``unpriced`` names the others.
    """

    bars: tuple[BarPlan, ...]
    sheets: tuple[SheetPlan, ...]
    foam: tuple[FoamPlan, ...]
    buying: tuple[Cost, ...]
    total: float | None
    waste_cost: float | None
    unpriced: tuple[str, ...] = ()
