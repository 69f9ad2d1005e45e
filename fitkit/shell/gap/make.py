"""Every closing gap of a layout: who faces whom, with all that may take from it.

An item that faces another across the closing plane has a gap to that. A mounted item that faces
none has one to the foam opposite, or to the panel where there is no foam or the item stands proud
into it. An item in foam that faces nothing but foam has none: foam is meant to touch it. Nor have
two items in foam that face each other in a box: what lies between them there is a pad, judged as
that between two tiers (:func:`fitkit.checks.clearances.items_above_each_other`); in a pair, where
each half opens by itself, they have.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import Placed, place_all
from fitkit.payload.model import Payload
from fitkit.shell.gap.closed import Closed
from fitkit.shell.gap.facing import (
    Facing,
    faces_panel_or_foam,
    in_first_half,
    is_mounted,
    nearest,
    side_play_mm,
    solid_bands,
)
from fitkit.shell.gap.model import Gap
from fitkit.shell.gap.sides import Side, foam_side, item_side, opposite_half, panel_side
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
    closed = Closed(payload, interior, placed, tuple(panels), tuple(supports))
    return tuple(sorted(_gaps(closed), key=lambda gap: (gap.worst_mm, gap.deep, gap.shallow)))


def _gaps(closed: Closed) -> Iterator[Gap]:
    first = [one for one in closed.placed if in_first_half(one, closed.interior)]
    second = [one for one in closed.placed if not in_first_half(one, closed.interior)]
    bands = {one.placement: solid_bands(one, closed.supports) for one in closed.placed}
    play = {one.placement: side_play_mm(one, closed.payload) for one in closed.placed}
    padded = closed.payload.case.form == "box"
    faced: set[Placement] = set()
    for low in first:
        for high in second:
            if padded and not is_mounted(low) and not is_mounted(high):
                continue
            found = nearest(
                bands[low.placement],
                bands[high.placement],
                play_mm=play[low.placement] + play[high.placement],
            )
            if found is not None:
                faced |= {low.placement, high.placement}
                yield _gap(closed, found, item_side(low, closed), item_side(high, closed))
    for one in closed.placed:
        if one.placement not in faced:
            yield from _alone(one, closed)


def _alone(one: Placed, closed: Closed) -> Iterator[Gap]:
    """The gap of an item that faces no other."""
    facing = faces_panel_or_foam(one, closed.interior, closed.placed)
    if facing is None:
        return
    found, what = facing
    half = opposite_half(one, closed.interior)
    other = (
        foam_side(half, closed) if what == "foam" else panel_side(half, closed, at_mm=found.at_mm)
    )
    mine = item_side(one, closed)
    low, high = (mine, other) if in_first_half(one, closed.interior) else (other, mine)
    yield _gap(closed, found, low, high)


def _gap(closed: Closed, found: Facing, low: Side, high: Side) -> Gap:
    contributions = (*low.contributions, *high.contributions, closing_seat(closed.payload))
    bare = Gap(
        deep=low.label,
        shallow=high.label,
        nominal_mm=found.gap_mm,
        recess_mm=(low.recess_mm, high.recess_mm),
        at_mm=found.at_mm,
        keep_mm=closed.payload.closing.keep_mm,
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
