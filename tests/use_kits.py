"""Cases for exits, doors and use, with the two field screens of the Tideline crew inside."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from attrs import evolve

import hand_plan
from fitkit.fit.layout import Half, HalfName, Interior, Placement
from fitkit.geometry.shapes import rectangle
from fitkit.payload.cables import Cable, Connector, Plug
from fitkit.payload.model import Body, CaseWishes, Form, Item, Payload, Section, Zone
from fitkit.payload.workshop import HardwareWishes, Workshop
from fitkit.plan import Plan
from fitkit.shell.make import make_shell

UPRIGHT = HardwareWishes(use="upright")
NAMES: tuple[HalfName, HalfName] = ("deep", "shallow")


def power(count: int = 1, *, copy: int | None = None) -> Cable:
    """A power cable of 9 mm to the outside, with a plug of 27 x 20 mm."""
    start = Connector("field screen", "left", 1, copy)
    return Cable(
        "power", start, None, 9.0, plugs=(None, Plug(27.0, 20.0, 60.0)), count=count,
        length_mm=3000.0,
    )  # fmt: skip


def screens(
    *,
    form: Form = "pair",
    depths_mm: tuple[float, float] = (160.0, 160.0),
    cables: tuple[Cable, ...] = (),
    **shop: Any,
) -> tuple[Payload, Interior, tuple[Placement, ...]]:
    """Two screens face to face, 14 mm behind the closing plane, in 480 x 330 mm."""
    body = Body((Section(rectangle(420.0, 262.0, corner_mm=8.0), 0.0, 40.0),))
    zone = Zone("connector", "left", (130.0, 18.0), (60.0, 12.0), 25.0)
    screen = Item("field screen", body, count=2, mass_kg=4.3, zones=(zone,))
    payload = Payload(
        "Tideline twin field screens", (screen,), case=CaseWishes(form=form),
        workshop=Workshop(**shop), cables=cables,
    )  # fmt: skip
    deep, _ = depths_mm
    inside = Interior(
        480.0, 330.0, tuple(Half(n, d) for n, d in zip(NAMES, depths_mm, strict=True))
    )
    placed = (
        Placement("field screen", 1, "deep", 1, "top", 0.0, 30.0, 34.0, deep - 54.0),
        Placement("field screen", 2, "shallow", 1, "bottom", 0.0, 30.0, 34.0, deep + 14.0),
    )
    return payload, inside, placed


@lru_cache(maxsize=64)
def plan_of(**case: Any) -> Plan:
    """The screens' case with its shell, no foam, everything else as in the plan by hand."""
    payload, interior, placements = screens(**case)
    base = hand_plan.plan()
    shell = make_shell(payload, interior=interior, placements=placements)
    length, width, height = (
        high - low for low, high in zip(shell.assembly.low_mm, shell.assembly.high_mm, strict=True)
    )
    fit = evolve(base.fit, interior=interior, placements=placements)
    return evolve(
        base, payload=payload, fit=fit, outside_mm=(length, width, height), shell=shell,
        foam=evolve(base.foam, layers=()),
    )  # fmt: skip
