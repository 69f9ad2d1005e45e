"""The whole shell of a layout: from the graph of the box to the last rivet."""

from __future__ import annotations

from attrs import evolve

from fitkit.fit.layout import Interior, Placement
from fitkit.payload.hardware import type_named
from fitkit.payload.model import Payload
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.fasteners import MANY, fasteners_of
from fitkit.shell.hardware import hardware_of
from fitkit.shell.mass import known
from fitkit.shell.model import Shell
from fitkit.shell.rivet_rows import rivets_of


def make_shell(payload: Payload, *, interior: Interior, placements: tuple[Placement, ...]) -> Shell:
    """Panels, profiles, corners, hardware, openings, holes and fasteners of a layout's case.

    ``placements`` stand where they will be packed: hardware keeps clear of them. Handles and feet
    are chosen by what is known of the loaded mass before the foam is cut. What does not go
    together is in ``troubles``, never left out unsaid.
    """
    bare = bare_shell(payload, interior=interior)
    load = known(payload, interior, placements)
    fitted = hardware_of(
        payload,
        assembly=bare.assembly,
        panels=bare.panels,
        bars=bare.bars,
        interior=interior,
        placements=placements,
        gross_kg=load.total_kg,
        centre_mm=load.centre_mm,
    )
    rows, crowded = rivets_of(
        payload,
        assembly=bare.assembly,
        panels=bare.panels,
        bars=bare.bars,
        corners=bare.corners,
        fitted=fitted.fitted,
        openings=fitted.openings,
    )
    holes, fasteners, unfit, said = fasteners_of(
        payload,
        panels=bare.panels,
        bars=bare.bars,
        fitted=fitted.fitted,
        holes=(*fitted.holes, *rows),
    )
    guessed = {
        name
        for one in fitted.fitted
        if type_named(payload, one.kind, one.type).known == "assumption"
        for name in (one.name, MANY[one.kind])
    }
    # what hangs on hardware that nobody has measured may yet go together
    late = (
        evolve(one, verdict="unknown") if one.where in guessed and one.verdict == "fails" else one
        for one in (*crowded, *unfit)
    )
    return evolve(
        bare,
        hardware=fitted.fitted,
        openings=fitted.openings,
        bar_cuts=fitted.bar_cuts,
        holes=holes,
        fasteners=fasteners,
        troubles=(*bare.troubles, *fitted.troubles, *late),
        notes=tuple(dict.fromkeys((*bare.notes, *fitted.notes, *said))),
    )
