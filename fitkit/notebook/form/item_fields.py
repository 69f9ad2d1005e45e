"""The fields of one item: what was measured of it, its shapes, its zones, and how it is held."""

from __future__ import annotations

from typing import Any

from fitkit.notebook.form.fields import STANDING, YES_NO, Choice, Spec
from fitkit.payload.items_in import HOLDS, REACHES, TURNS, ZONE_KINDS
from fitkit.payload.model import FACES
from fitkit.payload.shapes_in import KINDS
from fitkit.payload.toml_lines import Path
from fitkit.reference.fragility import fragility_bands

_TURN = {
    "free": "any way round",
    "quarter": "in quarter turns",
    "half": "in half turns",
    "fixed": "not at all",
}
_HOLD = {"pocket": "foam pocket", "mounted": "mount"}
_REACH = {"always": "at any time", "any": "after other gear"}
_KIND = {
    "connector": "a plug and cable",
    "cable": "a cable's bend",
    "vent": "air",
    "hand": "a hand",
}
FACE: tuple[Choice, ...] = tuple((one, one) for one in FACES)


def measured(at: Path) -> tuple[Spec, ...]:
    """What was measured of the item at ``at``, its shapes aside."""
    bands = ", ".join(f'"{band}"' for band in fragility_bands())
    return (
        Spec(
            (*at, "name"), "name", "text", "Tells it from the others; it also names files.",
            needed=True,
        ),
        Spec(
            (*at, "count"), "how many", "count", "Copies of it in the case.",
            "item.count", plain="count",
        ),
        Spec(
            (*at, "mass"), "mass", "mass", 'Of one copy, with its unit: "350 g", "2 lb 3 oz".',
            unit="kg", silent="not weighed",
        ),
        Spec(
            (*at, "uncertainty"), "measured to\u00a0±", "length",
            "By how much a size may be wrong: a gap that this could close is called tight.",
            "item.uncertainty", plain="uncertainty_mm",
        ),
        Spec(
            (*at, "fragility"), "fragility", "number",
            f"What it stands in a drop [G], from its maker; or a band: {bands}.",
            "item.fragility", unit="G", silent="unknown",
            choices=tuple((band, band) for band in fragility_bands()),
        ),
        Spec(
            (*at, "power"), "heat when closed", "number",
            "Watts while it runs or charges with the lid shut; 0 if it is off.",
            "item.power", unit="W", silent="unknown",
        ),
    )  # fmt: skip


def held(at: Path, *, mounted: bool = False) -> tuple[Spec, ...]:
    """How the item at ``at`` stands and is held; ``mounted``: the sheet has a mount for it."""
    return (
        Spec(
            (*at, "up"), "may look up", "choices", "Faces that may be on top in the case.",
            choices=FACE, plain="up",
        ),
        Spec(
            (*at, "turn"), "may be turned", "choice", "About the vertical, on the floor.",
            choices=tuple((one, _TURN[one]) for one in TURNS), plain="turn",
        ),
        Spec(
            (*at, "hold"), "held by", "choice", "In foam, or on a mount.",
            choices=tuple((one, _HOLD[one]) for one in HOLDS), plain="" if mounted else "hold",
            silent=_HOLD["mounted"],
        ),
        Spec(
            (*at, "reach"), "taken out", "choice", "At any time: nothing may lie above it.",
            choices=tuple((one, _REACH[one]) for one in REACHES), plain="reach",
        ),
        Spec(
            (*at, "half"), "stands in", "choice", "The half it may stand in.",
            choices=STANDING, silent="as the box",
        ),
        Spec(
            (*at, "proud"), "may stand proud", "flag",
            "Above the closing plane, into a relief in the other half.",
            choices=YES_NO, plain="proud",
        ),
    )  # fmt: skip


def shape_fields(at: Path, shape: Any, *, hole: bool) -> tuple[Spec, ...]:
    """The numbers of the shape or hole at ``at``, by its kind."""
    table = shape if isinstance(shape, dict) else {}
    kind = next((one for one in KINDS if one in table), "rectangle")
    fields = [
        Spec(
            (*at, "=kind"), "outline", "choice", "What it looks like from above.",
            choices=tuple((one, one) for one in KINDS), needed=True,
        )
    ]  # fmt: skip
    where = "Centre, from the item's lower left corner."
    fill: Any = 0
    if kind == "rectangle":
        fields += [
            Spec((*at, "rectangle"), "size", "lengths", "To the right, and to the back.",
                 "shape.rectangle", names=("width", "depth"), needed=True),
            Spec((*at, "corner"), "corner radius", "length", "0 for sharp corners.",
                 "shape.corner", silent="0"),
        ]  # fmt: skip
        where = "Its lower left corner, from the item's."
    elif kind == "circle":
        fields.append(
            Spec((*at, "circle"), "radius", "length", "Half of what a calliper says.",
                 "shape.circle", needed=True)
        )  # fmt: skip
        radius = table["circle"]
        fill = radius if isinstance(radius, int | float) else 0
    elif kind == "regular":
        fields += [
            Spec((*at, "regular", "sides"), "sides", "count", "6 for a hexagon.",
                 "shape.sides", needed=True),
            Spec((*at, "regular", "across"), "across flats", "length",
                 "From a flat to the one facing it.", "shape.across", needed=True),
        ]  # fmt: skip
    else:
        fields.append(
            Spec((*at, "polygon"), "corners", "points",
                 "One corner a line: right, back. Add “arc 20” to bend the edge that ends there; "
                 "-20 scoops it out.", "shape.at", needed=True)
        )  # fmt: skip
        where = "Where the corners' origin is, from the item's lower left corner."
    fields.append(
        Spec((*at, "at"), "at", "lengths", where, "shape.at",
             names=("right", "back"), fill=fill, silent="the origin")
    )  # fmt: skip
    if not hole:
        fields.append(
            Spec((*at, "z"), "height", "lengths", "Where it starts and ends above the item's foot.",
                 "shape.z", names=("from", "to"), needed=True)
        )  # fmt: skip
    return tuple(fields)


def zone_fields(at: Path) -> tuple[Spec, ...]:
    """The numbers of the zone at ``at``."""
    return (
        Spec((*at, "kind"), "room for", "choice", "What must have this room.",
             choices=tuple((one, _KIND[one]) for one in ZONE_KINDS), needed=True),
        Spec((*at, "face"), "on the", "choice", "The face it starts from, as measured.",
             choices=FACE, needed=True),
        Spec((*at, "at"), "centre", "lengths",
             "Along the face from its left as you look at it, and up from its foot.",
             "zone.at", names=("along", "up"), needed=True),
        Spec((*at, "size"), "size", "lengths", "On the face: the plug's body, not its pins.",
             "zone.size", names=("along", "up"), needed=True),
        Spec((*at, "depth"), "reaches out", "length",
             "Plug plus the cable's straight run or bend; measure with the plug in.",
             "zone.depth", needed=True),
    )  # fmt: skip
