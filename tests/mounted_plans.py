"""Plans of mounted gear laid out by hand: a pair without foam, and a box with foam in one half.

The pair holds two field screens on rails, face to face, 14 mm behind the closing plane; a cable
each goes out, and one crosses from half to half. The box holds a screen on a sub-panel in its lid
and a recorder in foam. Supports, screws, gaps and routes are plain figures of our own, so that
documents are tested without the rules that make them.
"""

from __future__ import annotations

from functools import lru_cache

import shapely
from attrs import evolve
from shapely import box

from fitkit.checks.finding import Finding
from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.foam.model import Cutout, Foam, Layer, Room, SheetUse
from fitkit.geometry.shapes import rectangle
from fitkit.payload.cables import Cable, Connector, Plug
from fitkit.payload.closing import Closing
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section, Zone
from fitkit.payload.mounts import HolePattern, Mount, SubPanel
from fitkit.plan import Choices, Mass, MassPart, Plan
from fitkit.shell.cables.model import Bundle, CableExit, Coil, Route
from fitkit.shell.gap.model import Contribution, Gap
from fitkit.shell.make import make_shell
from fitkit.shell.model import Shell
from fitkit.shell.mounting.model import Screwing, Support, SupportHole

LENGTH_MM, WIDTH_MM, DEPTH_MM = 490.0, 312.0, 77.0
BEHIND_MM, RECESS_MM = 23.0, 14.0

PATTERN = HolePattern(
    "100x100", ((160.0, 81.0), (260.0, 81.0), (160.0, 181.0), (260.0, 181.0)), "M4", 10.0
)


def screen(mount: Mount, *, count: int) -> Item:
    """A flat screen, 420 by 262 by 40, with a plug on its left."""
    sections = (Section(rectangle(420.0, 262.0, corner_mm=8.0), 12.0, 40.0),
                Section(box(120.0, 70.0, 300.0, 190.0), 0.0, 12.0))  # fmt: skip
    return Item("field screen", Body(sections), count=count, mass_kg=4.3, hold="mounted",
                up=(mount.front,), turn="fixed", fragility_g=60.0, uncertainty_mm=0.5,
                proud=False, zones=(Zone("connector", "left", (130.0, 18.0), (60.0, 12.0), 45.0),),
                mount=mount)  # fmt: skip


def _rails() -> tuple[Support, ...]:
    made = []
    for copy, (half, low, high) in enumerate(
        (("deep", 0.0, 20.0), ("shallow", 2 * DEPTH_MM - 20.0, 2 * DEPTH_MM)), start=1
    ):
        for k, y in enumerate((106.0, 206.0), start=1):
            holes = (
                *(SupportHole(x, 15.0, 4.5, "screw M4 into field screen", 9.0)
                  for x in (160.0, 260.0)),
                *(SupportHole(x, 15.0, 3.0, "wood screw from the back panel")
                  for x in (30.0, 390.0)),
            )  # fmt: skip
            made.append(
                Support(f"field screen {copy} rail {k}", "rail", "field screen", copy, half,
                        (50.0, y - 15.0, low), (470.0, y + 15.0, high), "x", "y",
                        420.0, 30.0, 20.0, "birch plywood", holes, (), 0.17)
            )  # fmt: skip
    return tuple(made)


def _screws() -> tuple[Screwing, ...]:
    rails = [
        Screwing("field screen", copy, "M4", 25.0, 4, 20.0, 10.0, 5.0, "rails to field screen",
                 "through the countersink in the rail")
        for copy in (1, 2)
    ]  # fmt: skip
    backs = [
        Screwing("field screen", copy, "4.0 x 20", 20.0, 4, 6.9, None, 13.1,
                 "rails to the back panel", "6.9 mm of rail are left")
        for copy in (1, 2)
    ]  # fmt: skip
    return (*rails, *backs)


def _gap() -> Gap:
    said = (
        Contribution("field screen 1 as measured", 0.5, "tolerance", "your measurement"),
        Contribution("field screen 2 as measured", 0.5, "tolerance", "your measurement"),
        Contribution("depth of the lower half", 1.0, "tolerance", "tape (assumption)"),
        Contribution("depth of the upper half", 1.0, "tolerance", "tape (assumption)"),
        Contribution("back of the lower half bends", 2.41, "shift", "plate under 100 N"),
        Contribution("back of the upper half bends", 2.41, "shift", "plate under 100 N"),
        Contribution("field screen 1 moves in a drop", 3.2, "shift", "stopping distance"),
    )
    return Gap("field screen 1", "field screen 2", 2 * RECESS_MM, (RECESS_MM, RECESS_MM),
               (260.0, 156.0, DEPTH_MM), 2.0, said, (0.98, 0.98))  # fmt: skip


def _unsure_gap() -> Gap:
    said = (
        Contribution("field screen 1 as measured", 0.5, "tolerance", "your measurement"),
        Contribution("foam gives way", None, "shift", "no curve for this foam: measure it"),
    )
    return Gap("field screen 1", "foam of the upper half", 14.0, (RECESS_MM, 0.0),
               (100.0, 60.0, DEPTH_MM), 2.0, said, (2.5, 0.0))  # fmt: skip


def _routes() -> tuple[Route, ...]:
    out: tuple[tuple[float, float, float], ...] = (
        (50.0, 156.0, 41.0), (30.0, 156.0, 41.0), (15.0, 140.0, 41.0), (15.0, 30.0, 10.0),
    )  # fmt: skip
    coil = Coil(3.5, 90.0, 110.0, 14.0, Room((20.0, 20.0, 0.0), (130.0, 130.0, 14.0), "power 1"))
    power = Route("power", "power 1", "field screen 1.left.1", "outside", 7.0, out, 210.0, 1450.0,
                  1600.0, 2600.0, 28.0, 30.0, coil, "exit deep front left")  # fmt: skip
    link = Route("link", "link", "field screen 1.left.1", "field screen 2.left.1", 6.0,
                 ((50.0, 156.0, 41.0), (20.0, 156.0, 77.0), (50.0, 156.0, 113.0)), 96.0, 820.0,
                 900.0, 800.0, 24.0, 24.0, None, "closing plane")  # fmt: skip
    other = evolve(power, label="power 2", start="field screen 2.left.1", tightest_mm=20.0,
                   coil=Coil(3.5, 90.0, 110.0, 14.0, None, 12.0), given_mm=None,
                   blocked="the rail field screen 2 rail 1 stands in its way by 4 mm")  # fmt: skip
    return (power, other, link)


def shell_of(plan: Plan) -> Shell:
    """The shell of a plan that has one."""
    assert plan.shell is not None
    return plan.shell


@lru_cache(maxsize=1)
def pair() -> Plan:
    """Two field screens on rails, face to face, without any foam."""
    mount = Mount(pattern=PATTERN, recess_mm=RECESS_MM)
    cables = (
        Cable("power", Connector("field screen", "left"), None, 7.0, length_mm=2600.0,
              plugs=(Plug(20.0, 14.0, 42.0), None)),
        Cable("link", Connector("field screen", "left", copy=1),
              Connector("field screen", "left", copy=2), 6.0, length_mm=800.0),
    )  # fmt: skip
    payload = Payload("Tideline twin screens", (screen(mount, count=2),),
                      case=CaseWishes(form="pair", tiers=1), cables=cables, closing=Closing(),
                      assumptions=("tape: ± 1 mm (assumption)",))  # fmt: skip
    interior = Interior(LENGTH_MM, WIDTH_MM, (Half("deep", DEPTH_MM), Half("shallow", DEPTH_MM)))
    placements = (
        Placement("field screen", 1, "deep", 1, "top", 0.0, 50.0, 25.0, BEHIND_MM),
        Placement("field screen", 2, "shallow", 1, "bottom", 0.0, 50.0, 25.0,
                  2 * DEPTH_MM - BEHIND_MM - 40.0),
    )  # fmt: skip
    shell = make_shell(payload, interior=interior, placements=placements)
    shell = evolve(
        shell,
        supports=_rails(),
        screwings=_screws(),
        gaps=(_gap(),),
        routes=_routes(),
        bundles=(Bundle("exit deep front left", ("power 1",), 7.0, "one cable"),
                 Bundle("closing plane", ("link",), 6.0, "one cable")),
        exits=(CableExit("exit deep front left", "deep", "deep bottom", ("front", "left"), 24.0,
                         14.06, 7.0, 24.0, 34.0, "edge trim", 40.0,
                         shapely.Polygon([(0, 0), (24, 0), (0, 24)]),
                         "the plug goes through with the back panel off"),),
    )  # fmt: skip
    volume = LENGTH_MM * WIDTH_MM * 2 * DEPTH_MM
    fit = Fit("volume", volume, volume * 0.95, "plan area by height", 0.05, False, 1.0, 1,
              interior, placements)  # fmt: skip
    mass = Mass((MassPart("field screen", 8.6, (260.0, 156.0, 77.0)),
                 MassPart("supports", 0.68, (260.0, 156.0, 77.0))), 14.1,
                (250.0, 156.0, 77.0))  # fmt: skip
    findings = (
        Finding("closing gap", "field screen 1, field screen 2", 12.9, 2.0, "mm", 10.9, "ok",
                "kept at worst", "worst case of the stated contributions"),
    )  # fmt: skip
    foam = Foam((), (), ())
    return Plan(payload, Choices(), fit, (510.0, 332.0, 174.0), foam, mass, findings, shell=shell)


@lru_cache(maxsize=1)
def lid() -> Plan:
    """A recorder in foam below, a field screen on a sub-panel in the lid, and no foam there."""
    mount = Mount(by="sub-panel", pattern=PATTERN, sub_panel=SubPanel(margin_mm=10.0))
    recorder = Item("recorder", Body((Section(rectangle(212.0, 148.0, corner_mm=6.0), 0.0, 44.0),)),
                    mass_kg=1.4, half="deep")  # fmt: skip
    payload = Payload("Tideline lid screen", (recorder, screen(mount, count=1)),
                      case=CaseWishes(tiers=1))  # fmt: skip
    deep, shallow = 90.0, 80.0
    interior = Interior(LENGTH_MM, WIDTH_MM, (Half("deep", deep), Half("shallow", shallow)))
    placements = (
        Placement("recorder", 1, "deep", 1, "top", 0.0, 60.0, 60.0, 30.0),
        Placement("field screen", 1, "shallow", 1, "bottom", 0.0, 50.0, 25.0,
                  deep + shallow - 26.4 - 40.0),
    )  # fmt: skip
    floor = shapely.box(0.0, 0.0, LENGTH_MM, WIDTH_MM)
    pocket = Cutout("recorder", 1, "pocket", rectangle(212.0, 148.0, at=(60.0, 60.0)))
    layers = (Layer("deep", 1, 0.0, 30.0, "foam", floor, ()),
              Layer("deep", 2, 30.0, 90.0, "foam", floor, (pocket,)))  # fmt: skip
    foam = Foam(layers, (), (SheetUse(30.0, "foam", 3, 3 * LENGTH_MM * WIDTH_MM),))
    shell = make_shell(payload, interior=interior, placements=placements)
    top = deep + shallow
    board = Support("field screen sub-panel", "sub-panel", "field screen", 1, "shallow",
                    (40.0, 15.0, top - 26.4), (480.0, 297.0, top - 20.0), "x", "y", 440.0, 282.0,
                    6.4, "birch plywood 6.5",
                    tuple(SupportHole(u + 10.0, v + 10.0, 4.5, "screw M4 into field screen")
                          for u, v in PATTERN.holes_mm),
                    (box(180.0, 20.0, 260.0, 60.0),), 0.54)  # fmt: skip
    shell = evolve(shell, supports=(board,), screwings=(), gaps=(_unsure_gap(),), exits=(),
                   routes=(), bundles=())  # fmt: skip
    volume = LENGTH_MM * WIDTH_MM * top
    fit = Fit("volume", volume, volume * 0.9, "plan area by height", 0.1, False, 1.0, 1, interior,
              placements)  # fmt: skip
    mass = Mass((MassPart("gear", 5.7, (250.0, 150.0, 80.0)),), 10.0, (250.0, 150.0, 80.0))
    return Plan(payload, Choices(), fit, (510.0, 332.0, 190.0), foam, mass, (), shell=shell)
