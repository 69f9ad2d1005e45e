"""The whole shell of a layout: from the graph of the box to the last rivet."""

from __future__ import annotations

from collections.abc import Iterable

from attrs import evolve

from fitkit.fit.layout import Interior, Placement
from fitkit.payload.hardware import type_named
from fitkit.payload.model import Payload
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.cables.make import cables_of
from fitkit.shell.exits import exits_of
from fitkit.shell.fasteners import MANY, fasteners_of
from fitkit.shell.gap.make import gaps_of
from fitkit.shell.hardware import hardware_of
from fitkit.shell.mass import Mass, known
from fitkit.shell.model import Fastener, Shell
from fitkit.shell.mounting.make import mounting_of
from fitkit.shell.rivet_rows import rivets_of


def make_shell(
    payload: Payload,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
    load: Mass | None = None,
) -> Shell:
    """Everything of a layout's case but its foam.

    Panels, profiles, corners, hardware, openings, holes and fasteners; what holds mounted items;
    cable exits and the cables' ways; the gaps between what faces each other. ``placements`` stand
    where they will be packed: hardware keeps clear of them. Handles, feet and castors are chosen
    by ``load``, the mass of the loaded case; without it by what is known before hardware is on and
    foam is cut. What does not go together is in ``troubles``, never left out unsaid.
    """
    bare = bare_shell(payload, interior=interior)
    load = load or known(payload, interior, placements)
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
    exited = exits_of(payload, assembly=bare.assembly, panels=bare.panels, placements=placements)
    openings = (*fitted.openings, *exited.openings)
    mounting = mounting_of(
        payload,
        panels=bare.panels,
        interior=interior,
        placements=placements,
        bars=bare.bars,
        fitted=fitted.fitted,
        openings=openings,
    )
    cabled = cables_of(
        payload,
        interior=interior,
        placements=placements,
        rooms=tuple(one.room for one in fitted.fitted if one.room is not None),
        exits=exited.exits,
        supports=mounting.supports,
    )
    rows, crowded = rivets_of(
        payload,
        assembly=bare.assembly,
        panels=bare.panels,
        bars=bare.bars,
        corners=bare.corners,
        fitted=fitted.fitted,
        openings=openings,
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
    held = (
        evolve(one, verdict="unknown")
        if one.verdict == "fails" and any(f"{name} by" in one.what for name in guessed)
        else one
        for one in mounting.troubles
    )
    return evolve(
        bare,
        hardware=fitted.fitted,
        openings=openings,
        bar_cuts=(*fitted.bar_cuts, *exited.bar_cuts),
        holes=(*holes, *exited.holes, *mounting.holes),
        fasteners=_counted((*fasteners, *exited.fasteners, *mounting.fasteners)),
        troubles=(
            *bare.troubles,
            *fitted.troubles,
            *exited.troubles,
            *held,
            *cabled.troubles,
            *late,
        ),
        notes=tuple(
            dict.fromkeys(
                (
                    *bare.notes,
                    *fitted.notes,
                    *exited.notes,
                    *mounting.notes,
                    *cabled.notes,
                    *said,
                )
            )
        ),
        supports=mounting.supports,
        screwings=mounting.screwings,
        exits=exited.exits,
        routes=cabled.routes,
        bundles=cabled.bundles,
        gaps=gaps_of(
            payload,
            interior=interior,
            placements=placements,
            panels=bare.panels,
            supports=mounting.supports,
        ),
    )


def _counted(fasteners: Iterable[Fastener]) -> tuple[Fastener, ...]:
    """One line for fasteners of one name, however many places they are used in."""
    found: dict[str, Fastener] = {}
    for one in fasteners:
        old = found.get(one.name)
        if old is None:
            found[one.name] = one
            continue
        found[one.name] = evolve(
            old,
            used=old.used + one.used,
            buy=old.buy + one.buy,
            grip_mm=old.grip_mm if old.grip_mm == one.grip_mm else None,
            where=", ".join(dict.fromkeys((old.where, one.where))),
            note=" ".join(dict.fromkeys(note for note in (old.note, one.note) if note)),
        )
    return tuple(found.values())
