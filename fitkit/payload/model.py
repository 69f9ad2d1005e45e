"""The records of a measured payload: items, zones, and what the builder wishes for.

All lengths are millimetres, masses kilograms, angles degrees. Records are frozen; make a
changed copy with :func:`attrs.evolve`. Values are checked where they are read
(:mod:`fitkit.payload.sheet`), not here.
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen
from shapely import Polygon

from fitkit.payload.cables import Cable
from fitkit.payload.closing import Closing
from fitkit.payload.faces import FACES as FACES
from fitkit.payload.faces import Face as Face
from fitkit.payload.mounts import Mount
from fitkit.payload.workshop import Ends, Laminate, Workshop

Turn = Literal["free", "quarter", "half", "fixed"]
Hold = Literal["pocket", "mounted"]
Reach = Literal["always", "any"]
Standing = Literal["deep", "shallow", "any"]
ZoneKind = Literal["connector", "cable", "vent", "hand", "mount"]
Form = Literal["box", "pair", "tray"]
Objective = Literal["volume", "plan", "longest", "linear", "first"]
Cutting = Literal["knife", "router", "hot wire"]
Rank = Literal["volume", "mass", "price"]


@frozen(cache_hash=True)
class Section:
    """An outline that holds over the height band [z0, z1] of a body [mm]."""

    outline: Polygon
    z0_mm: float
    z1_mm: float


@frozen(cache_hash=True)
class Body:
    """An item's solid: sections whose union is the body, in its measured pose.

    The origin is the lower left front corner of the body's box: the sections' outlines
    together span [0, width] x [0, depth], their bands together [0, height]. Bands may
    overlap (the sections are united) and x runs right, y to the back, z up.
    """

    sections: tuple[Section, ...]


@frozen
class Zone:
    """Room beside an item that must stay free of bodies.

    A zone of kind "mount" is what a mounted item's rails, sub-panel and recess take; it follows
    from the mount (:func:`fitkit.payload.mounted.zones_of`) and is never in a sheet.

    ``at_mm`` is the centre of the zone on its face: along the face from the left of one who
    looks at that face from outside, and up (on top: x and y; on the bottom: x and y as seen
    from above). ``size_mm`` is its extent along the same two directions, ``depth_mm`` how far
    it reaches out from the body's box.
    """

    kind: ZoneKind
    face: Face
    at_mm: tuple[float, float]
    size_mm: tuple[float, float]
    depth_mm: float


@frozen(cache_hash=True)
class Item:
    """One piece of gear; ``count`` makes copies.

    ``up`` lists the faces that may look up, ``turn`` says which turns about the vertical are
    allowed. ``proud``: may it stand above the closing plane into a relief in the other half.
    ``fragility_g`` [G] is None when unknown. ``reach`` "always": it can be taken out without
    lifting another item. ``half``: the half that it may stand in; None is what the case says.
    ``uncertainty_mm`` is the half width of the measurement's error. ``mount`` is how it is mounted,
    None for one that lies in foam.
    """

    name: str
    body: Body
    count: int = 1
    mass_kg: float | None = None
    up: tuple[Face, ...] = ("top",)
    turn: Turn = "quarter"
    hold: Hold = "pocket"
    proud: bool = True
    fragility_g: float | None = None
    power_w: float | None = None
    reach: Reach = "any"
    half: Standing | None = None
    uncertainty_mm: float = 0.0
    zones: tuple[Zone, ...] = ()
    mount: Mount | None = None


@frozen
class Clearance:
    """Smallest distances allowed [mm].

    ``item``: the web between two pockets' items; ``wall``, ``floor``, ``lid``: from an item to
    the panel beside, below and above it (in a pair, ``lid`` is the recess behind the closing
    plane); ``tier``: the pad under an item that stands on a tier above another.
    """

    item_mm: float = 15.0
    wall_mm: float = 20.0
    floor_mm: float = 25.0
    lid_mm: float = 15.0
    tier_mm: float = 10.0


@frozen
class Limits:
    """What the finished case may not exceed; None is free.

    ``outside_mm`` limits length, width and height outside; length and width change places where
    that helps (a case can be turned on the floor). ``linear_mm`` limits the sum of the three
    outside sizes, ``mass_kg`` the whole case.
    """

    outside_mm: tuple[float | None, float | None, float | None] = (None, None, None)
    linear_mm: float | None = None
    mass_kg: float | None = None


@frozen
class ReadyMade:
    """One case of the builder's own list, measured inside [mm].

    Length and width hold at the rim, where base and lid meet. Moulded walls lean: ``floor_mm`` is
    length and width at the base's floor, ``top_mm`` at the lid's inner top. ``deep_mm`` is the
    inside depth of the base (the deep half), ``shallow_mm`` that of the lid. ``corner_mm`` is the
    inner radius of the upright corners at every height. ``mass_kg`` is the empty case,
    ``price`` in the builder's own currency; both None where not given. ``outside_mm`` is None
    where it was not measured: it does not follow from the room inside.
    """

    name: str
    length_mm: float
    width_mm: float
    floor_mm: tuple[float, float]
    top_mm: tuple[float, float]
    deep_mm: float
    shallow_mm: float
    corner_mm: float = 0.0
    mass_kg: float | None = None
    price: float | None = None
    outside_mm: tuple[float, float, float] | None = None


@frozen
class CaseWishes:
    """What the builder wants of the case.

    ``depths_mm`` are the inside depths of the deep and the shallow half, None where free.
    ``half`` is the half that items may stand in where they do not say themselves (None: the deep
    half of a box, any half of a pair). ``corner_mm`` is the inner radius of the interior's
    upright corners, ``draft_deg`` the angle by which the walls lean outwards from floor to closing
    plane (0 for panels in profiles).
    ``ready_made`` is the builder's own list to choose from instead of making a case, ``rank``
    what its cases are ranked by. ``several``: the kit may be shared out over several cases.
    """

    form: Form = "box"
    objective: Objective = "volume"
    tiers: int = 1
    depths_mm: tuple[float | None, float | None] = (None, None)
    half: Standing | None = None
    clearance: Clearance = Clearance()
    limits: Limits = Limits()
    corner_mm: float = 0.0
    draft_deg: float = 0.0
    ready_made: tuple[ReadyMade, ...] = ()
    rank: Rank = "volume"
    several: bool = False

    def ready_case(self, name: str) -> ReadyMade:
        """The case called ``name`` in the builder's list; KeyError if there is none."""
        for case in self.ready_made:
            if case.name == name:
                return case
        raise KeyError(name)


@frozen
class Profile:
    """Section of the extrusions [mm]; symbols as in the drawings of the shell.

    Defaults are placeholders (common practice, no source): measure your own profile. ``play`` is
    the play per panel edge in its slot; ``tongue_rim`` and ``groove_rim`` lie between the slot's
    bottom and the closing plane; ``tongue`` is how high the tongue stands, ``groove`` how deep its
    groove is; ``engagement`` is the inner leaf's length from the slot's bottom. ``corner_reach`` is
    how far a corner's legs reach along the edges. ``kg_per_m`` and ``closing_kg_per_m`` are None
    until weighed.
    """

    outer_leaf_mm: float = 1.5
    slot_mm: float = 7.0
    inner_leaf_mm: float = 1.5
    slot_web_mm: float = 1.5
    leg_mm: float = 30.0
    corner_mm: float = 30.0
    closing_leaf_mm: float = 25.0
    play_mm: float = 0.5
    tongue_rim_mm: float = 4.0
    groove_rim_mm: float = 6.0
    tongue_mm: float = 3.5
    groove_mm: float = 4.0
    engagement_mm: float = 15.0
    corner_reach_mm: float = 50.0
    ends: Ends = "square"
    closing_ends: Ends = "mitred"
    kg_per_m: float | None = None
    closing_kg_per_m: float | None = None


@frozen
class Wall:
    """What the case's walls are made of: panel by name, real thickness, and the profile.

    ``panel_mm`` and ``areal_kg_m2`` include the laminate. ``least_mm`` and ``most_mm``, ``wood``
    and ``sheet_mm`` (length along the grain, width) are None where they are those of the panel's
    trade name: :func:`fitkit.payload.boards.wall_board` puts them together.
    """

    panel: str = "birch plywood 6.5"
    panel_mm: float = 6.4
    areal_kg_m2: float | None = 4.37
    profile: Profile = Profile()
    laminate: Laminate | None = None
    least_mm: float | None = None
    most_mm: float | None = None
    wood: bool | None = None
    sheet_mm: tuple[float, float] | None = None


@frozen
class Notch:
    """Finger room at a pocket's side: ``width_mm`` along the side, ``depth_mm`` away from it."""

    width_mm: float = 24.0
    depth_mm: float = 22.0


@frozen
class FoamWishes:
    """The foam that the builder has and how it is cut.

    ``sheets_mm``: thicknesses on the shelf. ``allowance_mm``: pocket minus item on each side,
    negative is snug. ``tool_mm``: diameter of the router's tool. ``accent_mm``: thickness of a
    layer of another colour right under the pockets, None for none.
    """

    sheets_mm: tuple[float, ...] = (10.0, 20.0, 30.0, 50.0)
    cutting: Cutting = "knife"
    tool_mm: float = 6.0
    allowance_mm: float = 0.0
    notch: Notch | None = Notch()
    accent_mm: float | None = None
    density_kg_m3: float = 33.0


@frozen
class Payload:
    """All that the case must carry, with the builder's wishes.

    ``assumptions`` holds a sentence for every default that stands in for a measurement.
    ``units`` are those that the builder typed; everything in the records is mm and kg.
    """

    title: str
    items: tuple[Item, ...]
    units: Literal["mm", "in"] = "mm"
    case: CaseWishes = CaseWishes()
    wall: Wall = Wall()
    foam: FoamWishes = FoamWishes()
    assumptions: tuple[str, ...] = ()
    workshop: Workshop = Workshop()
    cables: tuple[Cable, ...] = ()
    closing: Closing = Closing()

    def item(self, name: str) -> Item:
        """The item called ``name``; KeyError if there is none."""
        for item in self.items:
            if item.name == name:
                return item
        raise KeyError(name)
