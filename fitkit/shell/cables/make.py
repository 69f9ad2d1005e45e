"""All cables of a layout: paths, lengths, coils, bundles, and what stands in their way."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import evolve, frozen

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import Placed, place_all
from fitkit.foam.model import Room
from fitkit.payload.model import Payload
from fitkit.shell.cables.bends import bend_of
from fitkit.shell.cables.blocks import boxes_of
from fitkit.shell.cables.bundling import CLOSING, bundles_of
from fitkit.shell.cables.coils import Places, coil_in
from fitkit.shell.cables.ends import End
from fitkit.shell.cables.meeting import meeting_words, meetings_of
from fitkit.shell.cables.mirror import Mirror
from fitkit.shell.cables.model import Bundle, CableExit, Coil, Route
from fitkit.shell.cables.opening import SLACK, best_along_mm, opened, rim_ray
from fitkit.shell.cables.paths import Way
from fitkit.shell.cables.plug_room import plug_troubles
from fitkit.shell.cables.surroundings import Surroundings, surroundings_of
from fitkit.shell.cables.threads import OUTSIDE, Thread, threads_of
from fitkit.shell.model import Trouble
from fitkit.shell.mounting.model import Support

SPARE_MM = 10.0
"""Spare length below which nothing is said of a loop [mm]."""


@frozen
class Cabled:
    """What is known of the cables of a layout."""

    routes: tuple[Route, ...] = ()
    bundles: tuple[Bundle, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    notes: tuple[str, ...] = ()


def cables_of(
    payload: Payload,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
    rooms: tuple[Room, ...] = (),
    exits: tuple[CableExit, ...] = (),
    supports: tuple[Support, ...] = (),
) -> Cabled:
    """Every cable of the payload as it runs in the case, how long it must be, and where it stows.

    ``rooms`` are what sunk hardware takes, ``exits`` where cables leave, ``supports`` what holds
    mounted items. A cable that stays plugged in has a path in the closed case; one that does not is
    wound up whole. What cannot be laid is said in its route, what meets a plug in ``troubles``.
    """
    if not payload.cables:
        return Cabled()
    placed = place_all(payload, placements)
    threads = threads_of(payload, interior=interior, placed=placed, exits=exits)
    around = surroundings_of(
        interior=interior, placed=placed, rooms=rooms, supports=supports, threads=threads
    )
    routes = [_route(payload, thread, around) for thread in threads]
    routes = _with_coils(routes, threads, around)
    return Cabled(
        tuple(routes),
        bundles_of(threads),
        (*_no_exit(threads), *plug_troubles(threads, around)),
        tuple(dict.fromkeys(_notes(payload, threads, routes, placed))),
    )


def _route(payload: Payload, thread: Thread, around: Surroundings) -> Route:
    """One cable without its coil."""
    cable = thread.cable
    bend = bend_of(cable, use="moving" if thread.crossing else "fixed").radius_mm
    empty = Route(
        cable=cable.name,
        label=thread.label,
        start=thread.start.name,
        to=OUTSIDE if cable.to is None or thread.to is None else thread.to.name,
        diameter_mm=cable.diameter_mm,
        path_mm=(),
        closed_mm=0.0,
        open_mm=0.0,
        needed_mm=0.0,
        given_mm=cable.length_mm,
        bend_mm=bend,
        tightest_mm=bend,
        through=thread.exit or (CLOSING if thread.crossing else ""),
    )
    if thread.to is None:
        lost = "no exit lets it out while the case is shut" if cable.plugged else ""
        return evolve(empty, blocked=lost)
    if cable.to is None and not cable.plugged:
        return empty
    halves = (thread.start.half, thread.to.half)
    radius = bend + thread.thick_mm / 2  # of the middle line of all that run together
    way = around.ways(thread, thread.start.rays, thread.to.rays, halves=halves, radius_mm=radius)
    if way is None:
        return evolve(empty, blocked=_blocked(thread, around, halves))
    closed = _own_mm(way, thread.start, thread.to)
    used = _open_mm(payload, thread, around, radius, closed) if thread.crossing else closed
    line = tuple((float(x), float(y), float(z)) for x, y, z in way.line)
    return evolve(
        empty,
        path_mm=line if cable.plugged else (),
        closed_mm=closed if cable.plugged else 0.0,
        open_mm=used,
        needed_mm=(1 + SLACK) * max(closed, used),
        tightest_mm=max(0.0, min(bend, way.radius_mm - thread.thick_mm / 2)),
    )


def _own_mm(way: Way, *ends: End) -> float:
    """A way's length without what lies within the plugs [mm]."""
    return way.length_mm - sum(end.stub_mm for end in ends)


def _open_mm(
    payload: Payload, thread: Thread, around: Surroundings, radius_mm: float, closed_mm: float
) -> float:
    """What a cable from half to half needs while the case is open [mm].

    The ways from both ends to the rim, and across. Where a rim cannot be reached with such bends,
    the way as the crow flies counts for that half.
    """
    assert thread.to is not None  # crossing: it has two ends
    how = opened(payload)
    ends = (thread.start, thread.to)
    tips = [end.rays[0].at_mm for end in ends]
    along = best_along_mm(around.interior, how, tips[0], tips[1])
    total = how.across_mm
    for end in ends:
        rim = rim_ray(
            around.interior, how, half=end.half, along_mm=along, thick_mm=thread.thick_mm,
            run_mm=thread.thick_mm / 2,
        )  # fmt: skip
        way = around.ways(thread, end.rays, (rim,), halves=(end.half,), radius_mm=radius_mm)
        if way is not None:
            total += _own_mm(way, end)
            continue
        straight = sum((a - b) ** 2 for a, b in zip(end.rays[0].at_mm, rim.at_mm, strict=True))
        total += straight**0.5
    return max(total, closed_mm)


def _blocked(thread: Thread, around: Surroundings, halves: tuple[str, str]) -> str:
    """What stands in the way of a cable that has none."""
    assert thread.to is not None  # it was looked for
    culprit = around.culprit(thread, thread.start.rays, thread.to.rays, halves=halves)
    if culprit:
        return f"{culprit} leaves no room for it"
    return f"nowhere is there room for {thread.thick_mm:.1f} mm all the way"


def _with_coils(
    routes: Sequence[Route], threads: Sequence[Thread], around: Surroundings
) -> list[Route]:
    """The routes with what is too long wound up, and a place for each coil in its own half."""
    boxes = boxes_of(around.blocks, grown_mm=0.0)
    runs = [
        (min(a[0], b[0]) - r, min(a[1], b[1]) - r, min(a[2], b[2]) - r,
         max(a[0], b[0]) + r, max(a[1], b[1]) + r, max(a[2], b[2]) + r)
        for route, thread in zip(routes, threads, strict=True)
        for r in (thread.thick_mm / 2,)
        for a, b in zip(route.path_mm[:-1], route.path_mm[1:], strict=True)
    ]  # fmt: skip
    taken = np.vstack([boxes, np.array(runs, dtype=np.float64).reshape(-1, 6)])
    places: dict[str, tuple[Places, Mirror]] = {}
    found = []
    for route, thread in zip(routes, threads, strict=True):
        half = thread.start.half
        if half not in places:
            mirror = Mirror(around.interior.height_mm if half == "shallow" else None)
            low, high = mirror.limits(*around.limits((half,), thick_mm=0.0))
            room = Places(low_mm=low, high_mm=high, taken=mirror.boxes(taken))
            places[half] = (room, mirror)
        found.append(evolve(route, coil=_coil(route, thread, *places[half])))
    return found


def _coil(route: Route, thread: Thread, places: Places, mirror: Mirror) -> Coil | None:
    given = route.given_mm if route.given_mm is not None else route.needed_mm
    spare = given - route.closed_mm
    if spare < SPARE_MM or route.blocked:
        return None
    coil = coil_in(
        places,
        length_mm=spare,
        diameter_mm=thread.thick_mm,
        radius_mm=bend_of(thread.cable, use="coiled").radius_mm,
    )
    if coil is None or coil.room is None:
        return coil
    return evolve(coil, room=mirror.room(coil.room))


def _no_exit(threads: Sequence[Thread]) -> tuple[Trouble, ...]:
    return tuple(
        Trouble(
            thread.label,
            "it goes outside and stays plugged in, but the case has no exit for it",
            thread.thick_mm,
            f'add an exit: [shell] exits = [{{ part = "{thread.start.half}" }}], or say '
            "plugged = false",
        )
        for thread in threads
        if thread.to is None and thread.cable.plugged
    )


def _notes(
    payload: Payload,
    threads: Sequence[Thread],
    routes: Sequence[Route],
    placed: Sequence[Placed],
) -> list[str]:
    """What to mind when the cables are laid."""
    notes = []
    if any(route.needed_mm > 0 for route in routes):
        notes.append(
            f"Cables are counted with {SLACK:.0%} more than they need (assumption), so that none "
            "is taut; a path is a short way around everything, not the only one."
        )
    if any(thread.crossing for thread in threads):
        notes.append(
            f"Cables from half to half are long enough for {opened(payload).words} (assumption); "
            "open the case slowly the first time and watch them."
        )
    foamed = {one.placement.half for one in placed if one.item.mount is None}
    wide = [
        thread.thick_mm
        for thread in threads
        if thread.cable.plugged and thread.to and {thread.start.half, thread.to.half} & foamed
    ]
    if wide:
        notes.append(
            "Where a cable runs through foam the layers have a channel for it, 2 mm wider and "
            f"deeper than it is thick ({max(wide) + 2:.0f} mm for the thickest; common practice, "
            "no source): lay the cable in before you put the gear in."
        )
    if any(len(end.rays) > 1 for thread in threads for end in (thread.start, thread.to) if end):
        notes.append(
            "An angled plug is turned the way that makes its cable's path shortest: look which way "
            "yours can be turned."
        )
    notes += meeting_words(meetings_of(routes))
    return notes
