"""Everything that holds mounted items: supports, their holes and screws, and what does not go."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from attrs import evolve, frozen

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import Placed, place_all
from fitkit.payload.model import Payload
from fitkit.payload.mounts import MountBy
from fitkit.shell.fasteners import with_spares
from fitkit.shell.model import Bar, Fastener, Fitted, Hole, Opening, Panel, Trouble
from fitkit.shell.mounting.around import Around
from fitkit.shell.mounting.meets import meetings
from fitkit.shell.mounting.model import Screwing, Support
from fitkit.shell.mounting.rails import hold_by_rails
from fitkit.shell.mounting.side_blocks import hold_by_walls
from fitkit.shell.mounting.sub_panels import hold_by_sub_panel
from fitkit.shell.mounting.tails import bore_for_tails
from fitkit.shell.mounting.work import Work

HOLD: dict[MountBy, Callable[[Work], None]] = {
    "rails": hold_by_rails,
    "sub-panel": hold_by_sub_panel,
    "walls": hold_by_walls,
}


@frozen
class Mounting:
    """What holds the mounted items of a case.

    ``holes`` go through panels (and profiles, where a screw sits on one's leg), ``openings`` into
    panels: mounting makes none. ``fasteners`` are counted with spares.
    """

    supports: tuple[Support, ...] = ()
    screwings: tuple[Screwing, ...] = ()
    holes: tuple[Hole, ...] = ()
    openings: tuple[Opening, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    notes: tuple[str, ...] = ()


def mounting_of(
    payload: Payload,
    *,
    panels: tuple[Panel, ...],
    interior: Interior,
    placements: tuple[Placement, ...],
    bars: tuple[Bar, ...] = (),
    fitted: tuple[Fitted, ...] = (),
    openings: tuple[Opening, ...] = (),
) -> Mounting:
    """Rails, sub-panels, battens and blocks of every mounted copy, with screws and holes.

    ``bars``, ``fitted`` and ``openings`` are what is on the case already: screws keep clear of
    hardware and openings, and a hole through a profile's leg names it. What does not go together
    is in ``troubles`` with the millimetres that are missing. Lengths are mm, masses kg. Nothing
    comes back where nothing is mounted. KeyError for a placement of an item that is not there.
    """
    around = Around(interior, panels, payload.wall.profile, bars, fitted, openings)
    placed = place_all(payload, placements)
    supports: list[Support] = []
    works: list[Work] = []
    for copy in placed:
        mount = copy.item.mount
        if mount is None:
            continue
        shop = payload.workshop
        work = Work(copy, mount, around, payload.closing.tolerances, shop.removable)
        works.append(work)
        if not work.back.square:
            work.trouble(
                copy.label, f"it is turned by {copy.placement.turn_deg:.1f} degrees: rails and "
                "panels lie along the walls", 0.0, "let it turn by quarters only",
            )  # fmt: skip
            continue
        HOLD[mount.by](work)
        bore_for_tails(payload, work.pieces, around=around)
        here = copy.placement
        supports += [
            piece.support(item=here.item, copy=here.copy, half=here.half) for piece in work.pieces
        ]
    if not works:
        return Mounting()
    screwings = _counted(one for work in works for one in work.screwings)
    holes = tuple(hole for work in works for hole in work.holes)
    through = {
        (work.placed.item.name, work.placed.placement.copy, work.mount.back)
        for work in works
        if work.mount.by == "sub-panel"
    }
    troubles = [
        *(one for work in works for one in work.troubles),
        *meetings(supports, placed, around=around, through=through),
    ]
    return Mounting(
        supports=tuple(supports),
        screwings=screwings,
        holes=holes,
        fasteners=fasteners_for(screwings, spares=payload.workshop.hardware.spares),
        troubles=tuple(dict.fromkeys(troubles)),
        notes=tuple(dict.fromkeys([*(note for work in works for note in work.notes),
                                   *_general(works, placed, supports)])),
    )  # fmt: skip


def fasteners_for(screwings: Iterable[Screwing], *, spares: float) -> tuple[Fastener, ...]:
    """The screws of some screwings as they are bought: size by size, with spares."""
    found: dict[tuple[str, float], list[Screwing]] = {}
    for one in screwings:
        found.setdefault((one.size, one.length_mm), []).append(one)
    made = []
    for (size, length), alike in sorted(found.items(), key=lambda pair: pair[0]):
        used = sum(one.count for one in alike)
        machine = alike[0].hole_mm is not None
        name = f"{'machine' if machine else 'wood'} screw {size} x {length:g}"
        places: dict[str, int] = {}
        for one in alike:
            places[one.holds] = places.get(one.holds, 0) + one.count
        note = (
            "no longer one: it would reach the bottom of its hole"
            if machine
            else "pilot hole first; no longer one: its tip would come through"
        )
        made.append(
            Fastener(
                name=name,
                kind="screw",
                size=f"{size} x {length:g}",
                used=used,
                buy=with_spares(used, spares),
                grip_mm=max(one.stack_mm for one in alike),
                where=", ".join(f"{place} ({count})" for place, count in places.items()),
                note=note,
            )
        )
    return tuple(made)


def _counted(screwings: Iterable[Screwing]) -> tuple[Screwing, ...]:
    """Alike screws as one record, in the order in which they first come."""
    found: dict[Screwing, int] = {}
    for one in screwings:
        key = evolve(one, count=0)
        found[key] = found.get(key, 0) + one.count
    return tuple(evolve(one, count=count) for one, count in found.items())


def _general(
    works: list[Work], placed: tuple[Placed, ...], supports: list[Support]
) -> Iterable[str]:
    """What holds for all of them."""
    if any(work.mount.by == "rails" for work in works):
        yield (
            "Screw each item to its rails first, on the bench; then lay it in its half and screw "
            "the rails on through the panel, from outside (common practice, no source)."
        )
    if any(one.kind in ("rail", "batten", "block") for one in supports):
        yield (
            "Strips for battens, blocks and packings are counted as birch plywood (assumption); "
            "weigh your rails."
        )
    yield (
        "Screws go into an item by their own diameter or more, and never reach the bottom of its "
        "hole: measure the hole's depth with a wire, and turn each screw in by hand first. Lengths "
        "that are sold are from memory: where you buy another, keep it no longer."
    )
