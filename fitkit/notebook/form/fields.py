"""The fields of a payload sheet's form: what each is called, and what its number does."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from fitkit.notebook.form.typed import Kind
from fitkit.payload.bounds import COUNTS, LENGTHS, NUMBERS
from fitkit.payload.toml_lines import Path
from fitkit.payload.wishes_in import FORMS, OBJECTIVES, RANKS, STANDINGS
from fitkit.reference.foams import METHODS
from fitkit.reference.panels import panels

MEASURED = "What I measured"
HELD = "How it is held"
BOX = "The box"
FOAM = "The foam"
LIMITS = "Limits"
CABLES = "Cables"
CLOSING = "Closing gap"
GROUPS = (MEASURED, HELD, BOX, FOAM, LIMITS, CABLES, CLOSING)

Choice = tuple[str, str]


@frozen
class Spec:
    """A field: where its value stands, what it is called, of which kind it is, what it does.

    ``bounds`` names its row in the table of bounds; ``names`` the parts of a list of so many
    lengths, and ``fill`` what a part is when it is left empty. ``silent`` is shown where the sheet
    is silent and the model has no number; ``plain`` names the attribute of the model's record, and
    ``stands_in`` is what a table of reference says instead [mm where it is a length].

    A field whose key starts with "=" chooses between ways of writing the table above it (see
    :mod:`fitkit.notebook.form.ways`). ``beside`` are the places whose own faults stand beside the
    field, where they are not those of its path.
    """

    path: Path
    label: str
    kind: Kind
    help: str
    bounds: str = ""
    unit: str = ""
    choices: tuple[Choice, ...] = ()
    names: tuple[str, ...] = ()
    fill: Any = 0
    silent: str = ""
    plain: str = ""
    stands_in: Any = None
    needed: bool = False
    beside: tuple[Path, ...] | None = None

    def edges(self) -> tuple[float, float] | None:
        """Least and most: of a length in millimetres, of others as they are counted."""
        if self.bounds in LENGTHS:
            return LENGTHS[self.bounds]["least_mm"], LENGTHS[self.bounds]["most_mm"]
        if self.bounds in NUMBERS:
            return NUMBERS[self.bounds]["least"], NUMBERS[self.bounds]["most"]
        return (1, COUNTS[self.bounds]) if self.bounds in COUNTS else None


def key_of(path: Path) -> str:
    """A path as the name of a field.

    >>> key_of(("item", 0, "z")), path_of("item.0.z")
    ('item.0.z', ('item', 0, 'z'))
    """
    return ".".join(map(str, path))


def path_of(key: str) -> Path:
    """The path that a field's name stands for."""
    return tuple(int(word) if word.isdigit() else word for word in key.split("."))


def act(does: str, path: Path, text: str) -> dict[str, str]:
    """A button: what it does, to what, and what stands on it."""
    return {"do": does, "key": key_of(path), "text": text}


_FORM = {
    "box": "a deep and a shallow half",
    "pair": "two halves alike",
    "tray": "a tray with a loose lid",
}
_OBJECTIVE = {
    "volume": "the least volume",
    "plan": "the least floor",
    "longest": "the shortest long side",
    "linear": "least L + W + H",
    "first": "the first that holds",
}
_STANDING = {"deep": "the deep half", "shallow": "the shallow half", "any": "either half"}
_RANK = {"volume": "volume", "mass": "mass", "price": "price"}
_METHOD = {"knife": "a knife", "router": "a router", "hot wire": "a hot wire"}

STANDING: tuple[Choice, ...] = tuple((one, _STANDING[one]) for one in STANDINGS)
YES_NO: tuple[Choice, ...] = (("true", "yes"), ("false", "no"))


def _clearance(key: str, label: str, does: str) -> Spec:
    return Spec(
        ("case", "clearance", key), label, "length", does, "case.clearance",
        plain=f"case.clearance.{key}_mm",
    )  # fmt: skip


def _profile(key: str, label: str, does: str) -> Spec:
    return Spec(
        ("wall", "profile", key), label, "length", does, "wall.profile",
        plain=f"wall.profile.{key}_mm",
    )  # fmt: skip


CASE: tuple[Spec, ...] = (
    Spec(("title",), "title", "text", "Stands on every drawing and list.", plain="title"),
    Spec(
        ("case", "form"), "form", "choice", "What closes on what.",
        choices=tuple((one, _FORM[one]) for one in FORMS), plain="case.form",
    ),
    Spec(
        ("case", "objective"), "look for", "choice", "What the search makes as small as it can.",
        choices=tuple((one, _OBJECTIVE[one]) for one in OBJECTIVES), plain="case.objective",
    ),
    Spec(
        ("case", "tiers"), "tiers at most", "count",
        "How many levels of gear may stand above each other in one half.",
        "case.tiers", plain="case.tiers",
    ),
    Spec(
        ("case", "half"), "gear stands in", "choice",
        "Where items stand that do not say themselves.",
        choices=STANDING, silent="the deep half",
    ),
    Spec(
        ("case", "depths"), "inside depths", "lengths",
        "Depth of each half inside; free lets the search find it.",
        "case.depths", names=("deep", "shallow"), fill="free", silent="free",
    ),
    Spec(
        ("case", "corner"), "corner radius", "length",
        "Inner radius of the upright corners: 0 for panels in profiles.",
        "case.corner", plain="case.corner_mm",
    ),
    Spec(
        ("case", "draft"), "walls lean by", "number",
        "Angle by which walls lean outwards from the floor up: 0 for panels.",
        unit="deg", plain="case.draft_deg",
    ),
    Spec(
        ("case", "several"), "several cases", "flag",
        "The kit may be shared out where one case would break the limits.",
        choices=YES_NO, plain="case.several",
    ),
    Spec(
        ("case", "ready_made"), "ready-made list", "text",
        "A table of cases to choose from instead of making one: its file beside the sheet.",
        silent="none",
    ),
    Spec(
        ("case", "rank"), "rank them by", "choice", "Which ready-made case comes first.",
        choices=tuple((one, _RANK[one]) for one in RANKS), plain="case.rank",
    ),
)  # fmt: skip

WALL: tuple[Spec, ...] = (
    Spec(
        ("wall", "panel"),
        "panel",
        "text",
        "What slides into the profiles, by its trade name.",
        choices=tuple((name, name) for name in panels()),
        plain="wall.panel",
    ),
    Spec(
        ("wall", "thickness"),
        "true thickness",
        "length",
        "Measured with a calliper: panels are thinner or thicker than their name.",
        "wall.thickness",
        plain="wall.panel_mm",
    ),
    Spec(
        ("wall", "kg_per_m2"),
        "panel mass",
        "number",
        "Weigh an offcut: mass over area. Counts in the mass of the case.",
        "wall.kg_per_m2",
        unit="kg/m²",
        plain="wall.areal_kg_m2",
        silent="not counted",
    ),
    _profile("outer_leaf", "outer leaf", "Thickness of the profile's outer leaf."),
    _profile("slot", "slot", "Width of the slot that the panel slides into."),
    _profile("inner_leaf", "inner leaf", "Thickness of the profile's inner leaf."),
    _profile("slot_web", "slot bottom", "Thickness of the web at the slot's bottom."),
    _profile("leg", "leg", "How far the profile reaches along each wall."),
    _profile("corner", "corner allowance", "Kept free at each corner: the leg or more."),
    _profile("closing_leaf", "closing leaf", "Height of the closing profile's leaf."),
)

FOAMS: tuple[Spec, ...] = (
    Spec(
        ("foam", "sheets"), "sheets on the shelf", "lengths",
        "Thicknesses to build the layers of, with commas between them.",
        "foam.sheets", plain="foam.sheets_mm",
    ),
    Spec(
        ("foam", "cutting"), "cut with", "choice",
        "Sets how thin a web may be and which corners can be cut.",
        choices=tuple((one, _METHOD[one]) for one in METHODS), plain="foam.cutting",
    ),
    Spec(
        ("foam", "tool"), "tool diameter", "length",
        "Of the router's tool: inside corners are opened for it.",
        "foam.tool", plain="foam.tool_mm",
    ),
    Spec(
        ("foam", "accent"), "accent layer", "length",
        "A sheet of another colour under the pockets, so that an empty one shows.",
        "foam.accent", plain="foam.accent_mm", silent="none",
    ),
    Spec(
        ("foam", "density"), "density", "number",
        "Weigh an offcut: counts in the mass of the case.",
        "foam.density", unit="kg/m³", plain="foam.density_kg_m3",
    ),
    _clearance(
        "item", "between two pockets",
        "Foam left between two pockets. Thin webs tear: 15 mm or more by hand.",
    ),
    _clearance("wall", "to the walls", "Foam between a pocket and the case's wall."),
    _clearance("floor", "to the floor", "Pad under the gear: it takes the drop on the floor."),
    _clearance("lid", "to the lid", "Pad above the gear, when the case is closed."),
    _clearance("tier", "between tiers", "Pad under an item that stands above another."),
)  # fmt: skip

POCKETS: tuple[Spec, ...] = (
    Spec(
        ("foam", "allowance"), "pocket allowance", "length",
        "Pocket minus item on each side; below 0 the foam grips.",
        "foam.allowance", plain="foam.allowance_mm",
    ),
    Spec(
        ("foam", "=notch"), "finger notches", "flag",
        "Room for a finger and a thumb at each pocket's side.", choices=YES_NO,
    ),
    Spec(
        ("foam", "notch", "width"), "notch width", "length", "Along the pocket's side.",
        "foam.notch", plain="foam.notch.width_mm",
    ),
    Spec(
        ("foam", "notch", "depth"), "notch depth", "length", "Away from the pocket's side.",
        "foam.notch", plain="foam.notch.depth_mm",
    ),
)  # fmt: skip

LIMIT: tuple[Spec, ...] = (
    Spec(
        ("case", "limits", "outside"), "outside at most", "lengths",
        "Length, width and height over the profiles, latches and handles not counted.",
        "case.limits.outside", names=("length", "width", "height"), fill="free", silent="free",
    ),
    Spec(
        ("case", "limits", "linear"), "L + W + H", "length",
        "Length, width and height outside, added up: what carriers measure.",
        "case.limits.linear", silent="free",
    ),
    Spec(
        ("case", "limits", "mass"), "mass at most", "mass",
        "Of the packed case. Heavy cases hurt backs: follow your local rules on lifting.",
        silent="free", unit="kg",
    ),
)  # fmt: skip
