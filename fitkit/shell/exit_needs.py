"""What must pass an exit, and how long the legs of its cut must be for that."""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import frozen

from fitkit.fit.layout import Placement
from fitkit.payload.cables import Cable
from fitkit.payload.model import Payload
from fitkit.payload.workshop import ExitWish
from fitkit.reference.bundles import bundle_of
from fitkit.shell.corner_exit import leg_for_bundle_mm, sum_of_plug_mm, taken_mm

LINING_MM = {"edge trim": 2.0, "grommet": 3.0}
"""How thick a cut's lining is [mm] (assumption): trim on the sloping edge, a grommet all round."""

_NEAR_MM = 1e-6


@frozen
class Needs:
    """What must pass an exit: the bundle's diameter, the largest plug's width and height [mm]."""

    bundle_mm: float
    plug_mm: float
    count: int


def needs_of(payload: Payload, wish: ExitWish, placements: Sequence[Placement]) -> Needs:
    """What goes out of a half: every cable to the outside that stays plugged in.

    Each exit of a half must pass all of them: which one a cable takes is the builder's choice.
    """
    diameters: list[float] = []
    plugs: list[tuple[float, float]] = []
    for cable in payload.cables:
        many = _leaving(payload, cable, wish.part, placements)
        diameters += [cable.diameter_mm] * many
        if many:
            plugs += [(one.width_mm, one.height_mm) for one in cable.plugs if one is not None]
    bundle = bundle_of(diameters).diameter_mm if diameters else 0.0
    return Needs(bundle, sum_of_plug_mm(plugs), len(diameters))


def _leaving(payload: Payload, cable: Cable, part: str, placements: Sequence[Placement]) -> int:
    """How many lengths of a cable leave a half for the outside."""
    if cable.to is not None or not cable.plugged:
        return 0
    start = cable.start
    item = next((one for one in payload.items if one.name == start.item), None)
    mine = [one for one in placements if one.item == start.item]
    if mine:
        copies = sum(
            one.half == part and (start.copy is None or one.copy == start.copy) for one in mine
        )
    elif item is None or item.half not in (None, "any", part):
        copies = 0
    else:
        copies = 1 if start.copy is not None else item.count
    return copies * cable.count


def asked_leg_mm(wish: ExitWish, needs: Needs) -> float:
    """How long the legs must be for what passes, lined as the builder wishes [mm]."""
    least = leg_for_bundle_mm(needs.bundle_mm)
    if wish.plug:
        least = max(least, needs.plug_mm)
    if least <= 0:
        return 0.0
    return least + taken_mm(LINING_MM[wish.edge], all_round=wish.edge == "grommet")


def leg_of(payload: Payload, wish: ExitWish, needs: Needs) -> float:
    """The length of the legs as cut [mm]: as given, else as asked for in whole millimetres.

    Where nothing goes out yet they are as long as the profile's leg is wide.
    """
    if wish.leg_mm is not None:
        return wish.leg_mm
    asked = asked_leg_mm(wish, needs)
    return float(math.ceil(asked - _NEAR_MM)) if asked > 0 else payload.wall.profile.leg_mm
