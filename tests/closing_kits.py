"""Two halves with mounted gear face to face, laid out by hand: nothing here is searched for.

All sizes are our own. ``twins``: two screens alike on rails, glass to glass. ``desk``: a screen
over a keyboard with knobs that stand up, and a pouch in foam beside it.
"""

from __future__ import annotations

from attrs import evolve

from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.foam.model import Foam
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section, Zone
from fitkit.payload.mounts import HolePattern, Mount, Rails
from fitkit.plan import Choices, Mass, Plan
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.gap.model import Contribution, Gap
from fitkit.shell.model import Shell
from fitkit.shell.mounting.model import Support, SupportHole
from fitkit.shell.outside import outside_of

PATTERN = HolePattern("100x100", ((160.0, 90.0), (260.0, 90.0), (160.0, 190.0), (260.0, 190.0)))
TWIN_RECESS_MM = 12.0

SHEET = """\
title = "Tideline trial screens"
units = "mm"

[case]
form = "pair"
objective = "volume"
tiers = 1
depths = ["free", "free"]             # as deep as they must be
clearance = { item = 15, wall = 25, floor = 30, lid = 10 }

[[item]]
name = "screen"
count = 2
mass = "3.1 kg"
body = [ { rectangle = [300, 200], z = [0, 30] } ]
up = ["top"]
turn = "half"
fragility = 60

[[mount]]                             # glass to glass
item = "screen"
by = "rails"
recess = 14                           # a guess to begin with
pattern = "100x100"
"""


def screen(name: str = "screen", *, count: int = 1, recess: float | None = None) -> Item:
    """A screen of 420 x 280 x 40 with its glass on top, on rails by a 100 x 100 pattern."""
    body = Body(
        (
            Section(rectangle(420.0, 280.0, corner_mm=8.0), 12.0, 40.0),
            Section(rectangle(180.0, 140.0, at=(120.0, 70.0)), 0.0, 12.0),
        )
    )
    return Item(
        name, body, count=count, mass_kg=4.3, up=("top",), hold="mounted", fragility_g=60.0,
        zones=(Zone("connector", "left", (140.0, 24.0), (60.0, 12.0), 45.0),),
        mount=Mount(by="rails", pattern=PATTERN, rails=Rails(30.0, 20.0), recess_mm=recess),
    )  # fmt: skip


def keyboard() -> Item:
    """A keyboard of 380 x 150 x 24 with two knobs that stand 16 mm above its keys."""
    knobs = tuple(Section(circle(9.0, at=(x, 120.0)), 24.0, 40.0) for x in (300.0, 345.0))
    body = Body((Section(rectangle(380.0, 150.0, corner_mm=6.0), 0.0, 24.0), *knobs))
    mount = Mount(by="sub-panel", recess_mm=9.0)
    return Item("keyboard", body, mass_kg=1.2, up=("top",), hold="mounted", mount=mount)


def gap(
    deep: str, shallow: str, at: tuple[float, float, float], recess: tuple[float, float],
    *, keep: float = 2.0, unknown: bool = False,
) -> Gap:  # fmt: skip
    """A gap with six contributions, one of them unknown where asked."""
    contributions = (
        Contribution("screen as measured", 0.5, "tolerance", "assumption"),
        Contribution("the other screen as measured", 0.5, "tolerance", "assumption"),
        Contribution("walls as sawn, both halves", 1.0, "tolerance", "assumption"),
        Contribution("seating of the closing profiles", 0.5, "tolerance", "assumption"),
        Contribution("flex of the deep half's back, 100 N", 2.2, "shift", "plates, table 41"),
        Contribution(
            "movement in a drop", None if unknown else 5.4, "shift", "stopping distance 2 h / G"
        ),
    )
    nominal = recess[0] + recess[1]
    worst = nominal - 10.1 - keep
    least = tuple(round(max(0.0, r - worst), 1) for r in recess)
    return Gap(deep, shallow, nominal, recess, at, keep, contributions, (least[0], least[1]))


def twins(*, unknown: bool = False, recess: float = TWIN_RECESS_MM) -> Plan:
    """Two screens on rails in a pair; the cut at y = 160 goes through both and one rail each."""
    payload = Payload(
        "Tideline twin field screens",
        (screen("field screen", count=2, recess=recess),),
        case=CaseWishes(form="pair"),
    )
    depth = 40.0 + 23.0 + recess
    interior = Interior(470.0, 330.0, (Half("deep", depth), Half("shallow", depth)))
    places = (
        Placement("field screen", 1, "deep", 1, "top", 0.0, 25.0, 25.0, depth - recess - 40.0),
        Placement("field screen", 2, "shallow", 1, "bottom", 0.0, 25.0, 25.0, depth + recess),
    )
    supports = []
    for copy, half, low in ((1, "deep", 0.0), (2, "shallow", 2 * depth - 20.0)):
        for k, y in enumerate((115.0, 215.0), start=1):
            supports.append(
                Support(
                    f"rail {half} {k}", "rail", "field screen", copy, half,
                    (25.0, y - 15.0, low), (445.0, y + 15.0, low + 20.0), "x", "y",
                    420.0, 30.0, 20.0, "birch batten",
                    (SupportHole(160.0, 15.0, 4.5, "M4"), SupportHole(260.0, 15.0, 4.5, "M4")),
                )
            )  # fmt: skip
    at = (200.0, 120.0, depth)
    gaps = (gap("field screen 1", "field screen 2", at, (recess, recess), unknown=unknown),)
    return _plan(payload, interior, places, supports=tuple(supports), gaps=gaps)


def desk() -> Plan:
    """A screen in the shallow half over a keyboard in the deep one; the knobs are 9 mm down."""
    payload = Payload(
        "Tideline watch desk", (screen(recess=6.0), keyboard()), case=CaseWishes(form="box")
    )
    deep, shallow = 40.0 + 26.4 + 9.0, 69.0
    interior = Interior(470.0, 330.0, (Half("deep", deep), Half("shallow", shallow)))
    places = (
        Placement("screen", 1, "shallow", 1, "bottom", 0.0, 25.0, 25.0, deep + 6.0),
        Placement("keyboard", 1, "deep", 1, "top", 0.0, 45.0, 60.0, 26.4),
    )
    supports = (
        Support(
            "sub-panel keyboard", "sub-panel", "keyboard", 1, "deep", (25.0, 40.0, 20.0),
            (445.0, 230.0, 26.4), "x", "y", 420.0, 190.0, 6.4, "birch plywood 6.5",
        ),
        Support(
            "batten keyboard left", "batten", "keyboard", 1, "deep", (25.0, 40.0, 0.0),
            (45.0, 230.0, 20.0), "y", "x", 190.0, 20.0, 20.0, "birch batten",
        ),
        Support(
            "batten keyboard right", "batten", "keyboard", 1, "deep", (425.0, 40.0, 0.0),
            (445.0, 230.0, 20.0), "y", "x", 190.0, 20.0, 20.0, "birch batten",
        ),
    )  # fmt: skip
    gaps = (
        gap("keyboard", "screen", (345.0, 180.0, deep - 1.5), (9.0, 6.0), keep=5.0),
        gap("keyboard", "the foam of the lid", (60.0, 80.0, deep - 2.5), (25.0, 20.0)),
    )
    return _plan(payload, interior, places, supports=supports, gaps=gaps)


def _plan(
    payload: Payload,
    interior: Interior,
    places: tuple[Placement, ...],
    *,
    supports: tuple[Support, ...],
    gaps: tuple[Gap, ...],
) -> Plan:
    bare: Shell = bare_shell(payload, interior=interior)
    length, width, height = interior.size_mm
    fit = Fit("volume", length * width * height, length * width * height * 0.97, "plan area",
              0.03, False, 1.0, 1, interior, places)  # fmt: skip
    return Plan(
        payload=payload,
        choices=Choices(),
        fit=fit,
        outside_mm=outside_of(interior, wall=payload.wall).size_mm,
        foam=Foam((), (), ()),
        mass=Mass((), 14.2, (length / 2, width / 2, height / 2)),
        findings=(),
        shell=evolve(bare, supports=supports, gaps=gaps),
    )
