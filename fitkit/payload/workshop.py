"""What the builder makes the shell from: boards, hardware as measured, stock, and prices.

Every record is frozen; lengths are mm, masses kg. Defaults are placeholders (common practice, no
source) that are printed as assumptions until the builder has measured their own parts. Values
are checked where they are read (:mod:`fitkit.payload.workshop_in`), not here.
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen

Side = Literal["bottom", "top", "front", "back", "left", "right"]
"""A face of the closed case, as one sees who stands before its front."""

SIDES: tuple[Side, ...] = ("bottom", "top", "front", "back", "left", "right")

HardwareKind = Literal[
    "latch", "hinge", "stay", "handle", "foot", "castor", "corner", "brace", "door latch"
]
Fixing = Literal["rivet", "screw", "bolt", "tee nut"]
Grain = Literal["any", "long", "short"]
"""Which way a panel's grain or flutes must run: along its longer or shorter side, or either."""

LidKind = Literal["lift off", "hinged"]
Use = Literal["flat", "upright"]
"""How the case stands in use: on its bottom, or upright on its long back side."""

Opening = Literal["lid", "front", "left", "right", "ends"]
"""Where a tray opens: a loose lid, a drawer front, a door at one end, doors at both ends."""

Ends = Literal["square", "mitred", "butt"]
"""How edge profiles end: square and short of the corner, mitred, or butted with a bracket."""

PriceUnit = Literal["each", "m", "m2", "bar", "sheet", "kg"]


@frozen
class Laminate:
    """What is glued onto one face of a board, or onto both: thickness and mass of each face.

    ``kg_m2`` is None until weighed.
    """

    faces: int
    face_mm: float
    kg_m2: float | None = None

    @property
    def thickness_mm(self) -> float:
        """What all its faces add to the board [mm]."""
        return self.faces * self.face_mm


@frozen
class Board:
    """What a panel is cut from.

    ``thickness_mm`` is the real thickness with its laminate, ``least_mm`` and ``most_mm`` the range
    in which it is sold (laminate included), ``areal_kg_m2`` the mass of a square metre with its
    laminate. ``grain``: whether it has a grain or flutes that must be respected. ``sheet_mm`` is
    length (along the grain) and width of a whole sheet.
    """

    name: str
    thickness_mm: float
    least_mm: float
    most_mm: float
    areal_kg_m2: float | None = None
    grain: bool = False
    wood: bool = False
    sheet_mm: tuple[float, float] = (2440.0, 1220.0)


@frozen
class PanelChoice:
    """A board for some panels only, and which way its grain runs there.

    ``where`` is a side ("top"), or a part and a side ("deep front"); the more exact one wins.
    """

    where: str
    board: Board
    grain: Grain = "any"


@frozen
class HoleAt:
    """A hole of a piece of hardware: from its centre, right and up as seen from outside [mm]."""

    x_mm: float
    y_mm: float
    diameter_mm: float


@frozen
class HardwareType:
    """A piece of hardware as measured [mm].

    ``flange_mm`` is width and height of what lies on the case's outer face as mounted on a wall
    that stands upright; ``dish_mm`` width and height of the opening for what is sunk into the
    panel (None: nothing is), with corners of radius ``dish_corner_mm``; ``depth_mm`` is how deep
    it reaches behind the outer face of the panel (0: nothing does). ``stands_mm``: how far it
    stands out of the case's outer face. ``holes`` are counted from the middle of the flange.
    ``load_kg`` is what one piece may carry as its maker says, None if not known. ``count`` and
    ``sides`` overrule the rules; None and () leave it to them. ``known`` says where the figures
    come from: "assumption" or "measured". ``plate_mm`` is how thick the flange is, None if it was
    not measured.
    """

    kind: HardwareKind
    name: str
    flange_mm: tuple[float, float]
    dish_mm: tuple[float, float] | None = None
    dish_corner_mm: float = 0.0
    depth_mm: float = 0.0
    stands_mm: float = 0.0
    holes: tuple[HoleAt, ...] = ()
    fixing: Fixing = "rivet"
    mass_kg: float | None = None
    load_kg: float | None = None
    count: int | None = None
    sides: tuple[Side, ...] = ()
    known: str = "assumption"
    plate_mm: float | None = None


@frozen
class HardwareWishes:
    """Which hardware the case gets and how it is used.

    ``types`` has at most one type a kind: those that the builder measured; the others are generic
    (:func:`fitkit.payload.hardware.generic`). ``ground`` is what the case stands on.
    ``person_kg`` is what one person may carry at one handle, ``rivet_mm`` the rivets' diameter,
    ``pitch_mm`` the largest distance between two rivets, ``spares`` the share of fasteners bought
    on top.
    """

    lid: LidKind = "lift off"
    use: Use = "flat"
    ground: Literal["feet", "castors", "none"] = "feet"
    braces: bool = False
    types: tuple[HardwareType, ...] = ()
    person_kg: float = 25.0
    rivet_mm: float = 4.0
    washers: bool = True
    pitch_mm: float = 100.0
    spares: float = 0.1


@frozen
class Offcut:
    """A piece of bar that the builder already has: what profile it is, how long, how many."""

    kind: Literal["edge", "tongue", "groove"]
    length_mm: float
    count: int = 1


@frozen
class Price:
    """What one unit of a thing costs, in the builder's own currency."""

    name: str
    price: float
    unit: PriceUnit


@frozen
class StockWishes:
    """What is bought, how it is sawn, and what it costs.

    ``bars_mm`` are the lengths in which profiles are sold; ``bar_trim_mm`` is cut off each end of
    a new bar. ``sheet_trim_mm`` is cut off each side of a new sheet. ``stages``: how many turns of
    the cutting direction a sheet allows (2: strips, then pieces; 3: pieces cut once more).
    ``foam_mm`` is length and width of a foam sheet, ``foam_gap_mm`` what lies between two layers
    on it. ``keep_mm`` is the shortest offcut worth keeping.
    """

    bars_mm: tuple[float, ...] = (3000.0,)
    offcuts: tuple[Offcut, ...] = ()
    bar_trim_mm: float = 10.0
    bar_kerf_mm: float = 3.0
    sheet_trim_mm: float = 10.0
    sheet_kerf_mm: float = 3.0
    stages: Literal[2, 3] = 2
    foam_mm: tuple[float, float] = (2000.0, 1000.0)
    foam_gap_mm: float = 3.0
    keep_mm: float = 300.0
    currency: str = ""
    prices: tuple[Price, ...] = ()


@frozen
class ExitWish:
    """Where cables leave a half while its door or back is shut: a corner cut at 45 degrees.

    ``part`` is the half; ``corner`` names the two walls between which the corner lies. The cut's
    legs are as long as the bundle asks for, or ``leg_mm`` where the builder gives it. With ``plug``
    the largest plug passes as well. ``edge`` is what keeps the cut from chafing.
    """

    part: Literal["deep", "shallow"] = "deep"
    corner: tuple[Side, Side] = ("left", "back")
    leg_mm: float | None = None
    plug: bool = False
    edge: Literal["grommet", "edge trim"] = "edge trim"


@frozen
class Workshop:
    """How the shell is made: panels of their own, hardware, stock, and how a tray opens.

    ``tongue`` is the half that gets the tongue. ``rings_mm``: outside heights of loose rings under
    the closing plane, from the deep half's side, the lowest first. ``doors``: whether each half of
    a pair has a door instead of its back panel, ``door_mm`` outside depth of a door that is a pan
    (None: a flat one).
    """

    panels: tuple[PanelChoice, ...] = ()
    grain: Grain = "any"
    tongue: Literal["deep", "shallow"] = "deep"
    opening: Opening = "lid"
    rings_mm: tuple[float, ...] = ()
    doors: bool = False
    door_mm: float | None = None
    removable: bool = False
    planks_mm: tuple[float, ...] = ()
    exits: tuple[ExitWish, ...] = ()
    hardware: HardwareWishes = HardwareWishes()
    stock: StockWishes = StockWishes()
