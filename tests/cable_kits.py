"""Kits with cables, laid out by hand: two field screens face to face, and one screen alone."""

from __future__ import annotations

import shapely
from attrs import evolve

from fitkit.checks.cables import (
    bends_allowed,
    cables_have_a_way,
    cables_long_enough,
    coils_stowed,
)
from fitkit.checks.stages import Stages
from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.foam.model import Foam
from fitkit.payload.cables import Cable, Connector, Plug
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section, Zone
from fitkit.payload.mounts import Mount
from fitkit.payload.workshop import Workshop
from fitkit.plan import Choices, Mass, Plan
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.cables.make import cables_of
from fitkit.shell.cables.model import CableExit
from fitkit.shell.model import Shell
from fitkit.shell.outside import outside_of

LENGTH_MM, WIDTH_MM, DEPTH_MM = 540.0, 320.0, 95.0
POWER_PLUG, DATA_PLUG = Plug(22.0, 13.0, 30.0), Plug(12.0, 9.0, 20.0, angled=True)


def interior() -> Interior:
    """Two halves alike."""
    return Interior(LENGTH_MM, WIDTH_MM, (Half("deep", DEPTH_MM), Half("shallow", DEPTH_MM)))


def screen() -> Item:
    """A screen with a connector on its left and one on its back, low enough for a plug."""
    body = Body(
        (
            Section(shapely.box(0, 0, 420, 262), 12.0, 40.0),
            Section(shapely.box(120, 70, 300, 190), 0.0, 12.0),
        )
    )
    zones = (
        Zone("connector", "left", (130.0, 26.0), (24.0, 14.0), 55.0),
        Zone("connector", "right", (60.0, 26.0), (14.0, 10.0), 40.0),
    )
    return Item("field screen", body, count=2, hold="mounted", mount=Mount(), zones=zones)


def power(**more: object) -> Cable:
    """A lead from each screen to the outside."""
    lead = Cable(
        "power lead", Connector("field screen", "left"), None, 8.0, kind="power flex",
        length_mm=900.0, plugs=(POWER_PLUG, None),
    )  # fmt: skip
    return evolve(lead, **more)


def link(**more: object) -> Cable:
    """A cable from one screen to the other, across the closing plane."""
    cable = Cable(
        "link", Connector("field screen", "right", 1, 1), Connector("field screen", "right", 1, 2),
        6.0, kind="twisted pair cord", length_mm=900.0, plugs=(DATA_PLUG, DATA_PLUG),
    )  # fmt: skip
    return evolve(cable, **more)


def payload(*cables: Cable, workshop: Workshop = Workshop()) -> Payload:
    """Two screens face to face with these cables."""
    case = CaseWishes(form="pair")
    return Payload("Tideline twin field screens", (screen(),), case=case, cables=cables,
                   workshop=workshop)  # fmt: skip


def placements(*, low_mm: float = 35.0) -> tuple[Placement, ...]:
    """Each screen on its rails, ``low_mm`` above its own back; connectors on the left in both."""
    top = 2 * DEPTH_MM - low_mm - 40.0
    return (
        Placement("field screen", 1, "deep", 1, "top", 0.0, 80.0, 29.0, low_mm),
        Placement("field screen", 2, "shallow", 1, "bottom", 0.0, 80.0, 29.0, top),
    )


def exit_of(part: str, *, leg_mm: float = 30.0) -> CableExit:
    """A corner cut of the back of a half, at the left and the back wall."""
    panel = f"{part} {'bottom' if part == 'deep' else 'top'}"
    cut = shapely.box(0, 0, leg_mm, leg_mm)
    return CableExit(
        f"exit {part}", part, panel, ("left", "back"), leg_mm, leg_mm * (2 - 2**0.5), 8.0, leg_mm,
        35.0, "edge trim", leg_mm * 2**0.5, cut,
    )  # fmt: skip


EXITS = (exit_of("deep"), exit_of("shallow"))


def plan(*cables: Cable, checked: bool = True) -> Plan:
    """The twin screens with these cables as a plan, laid out by hand, and what is found of it."""
    kit, room, where = payload(*cables), interior(), placements()
    found = cables_of(kit, interior=room, placements=where, exits=EXITS)
    shell = Shell(
        bare_shell(kit, interior=room).assembly, (), (), (), troubles=found.troubles,
        routes=found.routes, bundles=found.bundles, exits=EXITS,
    )  # fmt: skip
    fit = Fit("volume", 1e6, 1e6, "by hand", 0.0, True, 1.0, 1, room, where)
    size = outside_of(room, wall=kit.wall).size_mm
    foam, mass = Foam((), (), ()), Mass((), 12.0, (270.0, 160.0, 95.0))
    stages = Stages(kit, fit, size, foam, mass, shell)
    checks = (cables_have_a_way, bends_allowed, cables_long_enough, coils_stowed)
    said = tuple(one for check in checks for one in check(stages)) if checked else ()
    return Plan(kit, Choices(), fit, size, foam, mass, said, shell=shell)


def stages(*cables: Cable) -> Stages:
    """What the checks look at, of the same plan."""
    made = plan(*cables, checked=False)
    return Stages(made.payload, made.fit, made.outside_mm, made.foam, made.mass, made.shell)
