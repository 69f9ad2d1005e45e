"""Every closing gap of a layout: who faces whom, with all that may take from it.

An item that faces another across the closing plane has a gap to that. A mounted item that faces
none has one to the foam opposite, or to the panel where there is no foam or the item stands proud
into it. An item in foam that faces nothing but foam has none: foam is meant to touch it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import Placed, place_all
from fitkit.payload.model import Payload
from fitkit.shell.gap.facing import (
    Facing,
    faces_panel_or_foam,
    in_first_half,
    nearest,
    side_play_mm,
    solid_bands,
)
from fitkit.shell.gap.model import Gap
from fitkit.shell.gap.sides import Room, Side, foam_side, item_side, opposite_half, panel_side
from fitkit.shell.gap.tolerances import closing_seat
from fitkit.shell.model import Panel
from fitkit.shell.mounting.model import Support


def gaps_of(
    payload: Payload,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
    panels: Sequence[Panel],
    supports: Sequence[Support] = (),
) -> tuple[Gap, ...]:
    """The closing gaps of a layout, the least at worst first.

    ``panels`` are the shell's, ``supports`` what holds mounted items. A case whose closing plane
    does not lie flat (a drawer, a door at its end) has none. KeyError if a placement names an item
    that the payload lacks.
    """
    if len(interior.halves) == 1 and payload.workshop.opening != "lid":
        return ()
    placed = place_all(payload, placements)
    room = Room(payload, interior, placed, tuple(panels), tuple(supports))
    return tuple(sorted(_gaps(room), key=lambda gap: (gap.worst_mm, gap.deep, gap.shallow)))


def _gaps(room: Room) -> Iterator[Gap]:
    first = [one for one in room.placed if in_first_half(one, room.interior)]
    second = [one for one in room.placed if not in_first_half(one, room.interior)]
    bands = {one.placement: solid_bands(one, room.supports) for one in room.placed}
    play = {one.placement: side_play_mm(one, room.payload) for one in room.placed}
    faced: set[Placement] = set()
    for low in first:
        for high in second:
            found = nearest(
                bands[low.placement],
                bands[high.placement],
                play_mm=play[low.placement] + play[high.placement],
            )
            if found is not None:
                faced |= {low.placement, high.placement}
                yield _gap(room, found, item_side(low, room), item_side(high, room))
    for one in room.placed:
        if one.placement not in faced:
            yield from _alone(one, room)


def _alone(one: Placed, room: Room) -> Iterator[Gap]:
    """The gap of an item that faces no other."""
    facing = faces_panel_or_foam(one, room.interior, room.placed)
    if facing is None:
        return
    found, what = facing
    half = opposite_half(one, room.interior)
    other = foam_side(half, room) if what == "foam" else panel_side(half, room, at_mm=found.at_mm)
    mine = item_side(one, room)
    low, high = (mine, other) if in_first_half(one, room.interior) else (other, mine)
    yield _gap(room, found, low, high)


def _gap(room: Room, found: Facing, low: Side, high: Side) -> Gap:
    contributions = (*low.contributions, *high.contributions, closing_seat(room.payload))
    bare = Gap(
        deep=low.label,
        shallow=high.label,
        nominal_mm=found.gap_mm,
        recess_mm=(low.recess_mm, high.recess_mm),
        at_mm=found.at_mm,
        keep_mm=room.payload.closing.keep_mm,
        contributions=contributions,
        least_recess_mm=(0.0, 0.0),
    )
    short_mm = bare.keep_mm - bare.worst_mm
    return Gap(
        deep=bare.deep,
        shallow=bare.shallow,
        nominal_mm=bare.nominal_mm,
        recess_mm=bare.recess_mm,
        at_mm=bare.at_mm,
        keep_mm=bare.keep_mm,
        contributions=contributions,
        least_recess_mm=(low.recess_mm + short_mm, high.recess_mm + short_mm),
    )
