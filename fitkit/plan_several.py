"""A kit shared out over several cases: as few as keep the limits, and a whole plan for each."""

from __future__ import annotations

import math
from collections.abc import Callable

from attrs import evolve, frozen

from fitkit.errors import BadInput, Fault
from fitkit.fit.layout import Fit, Half, HalfName, Interior
from fitkit.fit.several import Several, part_of, share_out
from fitkit.fit.state import Progress
from fitkit.payload.impossible import least_plan_mm
from fitkit.payload.model import Payload
from fitkit.payload.pose import posed
from fitkit.plan import Choices, Plan, plan_of, with_recesses, with_stock
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.make import make_shell
from fitkit.shell.mass import known
from fitkit.shell.weights import fills_its_openings, weights_of


@frozen
class Cases:
    """A kit in several cases: one plan for each, and how it was shared out.

    The plans go with ``several.shares``; each numbers its own copies from 1.
    """

    plans: tuple[Plan, ...]
    several: Several


def make_several(
    payload: Payload,
    *,
    choices: Choices = Choices(),
    progress: Callable[[Progress], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Cases:
    """The kit in as few cases as keep the limits, a whole plan for each.

    The mass of a case counts items, foam and the empty case with its hardware.
    ``progress`` and ``cancelled`` are as for :func:`make_plan`. BadInput for pins, for notches of
    the builder's own, and where the sheet names a list of ready-made cases.
    """
    faults = []
    if choices.pins:
        what = "cannot stay where they are while copies are shared out"
        faults.append(Fault("pins", what, "set them free, or plan one case"))
    if choices.notches:
        what = "of your own cannot be kept while copies are shared out"
        faults.append(Fault("notches", what, "place them in each case's own plan"))
    if payload.case.ready_made:
        what = "cannot be shared out over ready-made cases in this version"
        faults.append(Fault("case.several", what, "take several or ready_made out"))
    if faults:
        raise BadInput(faults)
    several = share_out(
        payload,
        weigh=known_kg,
        empty_kg=least_empty_kg(payload),
        objective=choices.objective,
        budget_s=choices.budget_s,
        seed=choices.seed,
        repeatable=choices.repeatable,
        progress=progress,
        cancelled=cancelled,
    )
    plans = []
    for number, share in enumerate(several.shares, start=1):
        part = part_of(payload, share.counts)
        if len(several.shares) > 1:
            title = f"{payload.title}, case {number} of {len(several.shares)}"
            part = evolve(part, title=title)
        fit = with_recesses(part, share.fit)
        plans.append(with_stock(plan_of(part, fit=fit, choices=choices)))
    return Cases(tuple(plans), several)


def least_empty_kg(payload: Payload) -> float:
    """What any empty case weighs at least that holds one copy of the payload [kg].

    Panels and profiles of the least interior around each item, in the pose for which they are
    lightest. Walls weigh the same wherever the closing plane lies, or more where it leaves a wall
    no height. Panels count only where every piece of sunk hardware weighs at least what is cut out
    of a panel for it; else openings might make a case lighter than that.
    """
    clear = payload.case.clearance
    names: tuple[HalfName, ...] = ("tray",) if payload.case.form == "tray" else ("deep", "shallow")
    solid_walls = fills_its_openings(payload)
    least = math.inf
    for item in payload.items:
        for up in item.up:
            solid = posed(item, up)
            short, long = least_plan_mm(solid.silhouette, free=item.turn == "free")
            high = solid.height_mm
            if item.mount is None:  # what is mounted stands on its rails, without pads
                high += clear.floor_mm + min(clear.lid_mm, clear.floor_mm)
            room = Interior(
                long + 2 * clear.wall_mm,
                short + 2 * clear.wall_mm,
                tuple(Half(name, high / len(names)) for name in names),
            )
            bare = bare_shell(payload, interior=room)
            if not solid_walls:
                bare = evolve(bare, panels=())
            least = min(least, sum(one.mass_kg for one in weights_of(payload, bare).pieces))
    return least


def known_kg(payload: Payload, fit: Fit) -> float:
    """What is known of a loaded case's mass before its foam is cut [kg].

    Items, the empty case with its hardware, and the room's volume less the items' as foam: pockets
    and notches only take away from that. An item without a mass counts as nothing.
    """
    load = known(payload, fit.interior, fit.placements)
    for _ in range(2):  # handles weigh something too
        shell = make_shell(payload, interior=fit.interior, placements=fit.placements, load=load)
        load = known(payload, fit.interior, fit.placements, shell=shell)
    return load.total_kg
