"""Backs and doors that close flat on their half: screws, finger pockets, and washers as stops.

A loose back is a flat part like a door, screwed on through its frame into the rim of its half:
two screws a side at the least, clear of the corner pieces (common practice, no source). It has no
groove, and neither has a flat door; so under the tails of two rivets a side of its frame go
washers, as wide as the walls leave room for: they stand just inside the walls and stop it from
shifting.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import cast

import shapely
from attrs import frozen

from fitkit.geometry.shapes import rectangle
from fitkit.payload.hardware import type_for
from fitkit.payload.model import Notch, Payload
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Side
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.reference.machine_screws import machine_screws, screw_lengths
from fitkit.shell.bars import bars_of
from fitkit.shell.cables.model import CableExit
from fitkit.shell.closings import Closing, closings_of
from fitkit.shell.counts import spread
from fitkit.shell.fasteners import with_spares
from fitkit.shell.frame import AXES, along, out_of, side_at
from fitkit.shell.model import (
    Assembly,
    Bar,
    Fastener,
    Hole,
    Opening,
    Panel,
    Point,
    Trouble,
    called,
)
from fitkit.shell.panels import rim_mm
from fitkit.shell.stacks import WASHER_MM

THREAD = "M4"
TAP_MM = 3.3
"""Hole to be tapped M4 [mm]: 4 less the coarse pitch of 0.7 (ISO 261, from memory)."""

PITCH_MM = 200.0
"""Largest distance between two screws of a loose back [mm] (assumption)."""

STOPS_A_SIDE = 2
"""Washers as stops on each side of a flat back or door (common practice, no source)."""

STOP_PLAY_MM = 0.5
"""What is left between a stop and the wall [mm] (assumption)."""

GAP_MM = 3.0
_NEAR_MM = 1e-6


@frozen
class Loose:
    """What loose backs and flat doors are given: screws, pockets, washers, and what to mind."""

    holes: tuple[Hole, ...] = ()
    openings: tuple[Opening, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    notes: tuple[str, ...] = ()


def loose_of(
    payload: Payload,
    *,
    assembly: Assembly,
    panels: Sequence[Panel],
    exits: Sequence[CableExit] = (),
) -> Loose:
    """Screws and finger pockets of loose backs, and stops of every flat back and door."""
    bars = bars_of(assembly, wall=payload.wall)
    holes: list[Hole] = []
    openings: list[Opening] = []
    troubles: list[Trouble] = []
    notes: list[str] = []
    stops = 0
    closings = [one for one in closings_of(assembly) if one.lid.plate and _at_a_back(one)]
    for closing in closings:
        if closing.screwed:
            mine = _screws(payload, closing, bars, exits)
            holes += mine
            troubles += _weak(payload, closing)
            pocket = _pocket(payload, closing, panels, exits)
            openings += [] if pocket is None else [pocket]
            notes.append(_how(payload, closing, len(mine) // 2, pocket is not None))
        elif type_for(payload, "door latch").dish_mm is not None:
            notes.append(
                f"{closing.lid.name}: the pocket of each latch is cut out of the wall and the rim "
                f"of the {called(closing.body.name)}, its keeper goes onto the door's edge: shut "
                "the door and mark the keeper from the latch"
            )
        stops += 4 * STOPS_A_SIDE
    fasteners = _screws_to_buy(payload, len(holes) // 2)
    wide = _stop_mm(payload)
    if stops and wide > 0:
        names = " and ".join(one.lid.name for one in closings)
        fasteners += (
            Fastener(
                name="washer as stop",
                kind="washer",
                size=f"up to {math.floor(2 * wide) / 2:g} mm across",
                used=stops,
                buy=with_spares(stops, payload.workshop.hardware.spares),
                grip_mm=None,
                where=names,
                note=f"under the rivet's tail, inside; the grip there is {WASHER_MM:g} mm more",
            ),
        )
        notes.append(
            f"{names}: a washer up to {wide:.1f} mm across goes under the tails of "
            f"{STOPS_A_SIDE} rivets a side of the frame, as a stop against shifting; it clears the "
            f"wall by {STOP_PLAY_MM:g} mm (assumption)"
        )
    return Loose(tuple(holes), tuple(openings), fasteners, tuple(troubles), tuple(notes))


def _at_a_back(closing: Closing) -> bool:
    return closing.screwed or (closing.door and closing.lid.name.endswith((" deep", " shallow")))


def _screws(
    payload: Payload, closing: Closing, bars: Sequence[Bar], exits: Sequence[CableExit]
) -> list[Hole]:
    """Two holes for each screw: through the frame, and tapped in the rim below it."""
    face = side_at(AXES[closing.axis], high=closing.sense > 0)
    clear = clearance_holes()[THREAD].medium_mm
    found = []
    for bar in bars:
        if bar.part != closing.lid.name or bar.kind != "edge":
            continue
        wall = next(side for side in bar.sides if side != face)
        under = next(
            (
                one.name
                for one in bars
                if one.part == closing.body.name
                and one.kind != "edge"
                and one.sides == (wall, face)
            ),
            None,
        )
        for at in _places(payload, closing, bar, exits):
            point = _moved(at, wall, build_up_mm(payload.wall.profile) / 2)
            owner = f"screws of {closing.lid.name}"
            found.append(Hole(face, point, clear, "bolt", owner, (bar.name,), f"screw {THREAD}"))
            pieces = () if under is None else (under,)
            found.append(Hole(face, point, TAP_MM, "bolt", owner, pieces, f"tapped {THREAD}"))
    return found


def _places(
    payload: Payload, closing: Closing, bar: Bar, exits: Sequence[CableExit]
) -> list[Point]:
    """Where screws go along a frame's profile: clear of corner pieces and of exits."""
    head = machine_screws()[THREAD].head_mm
    reach = max(type_for(payload, "corner").flange_mm[0], payload.wall.profile.corner_mm)
    axis, _ = along(bar)
    low, high = closing.lid.low_mm[axis], closing.lid.high_mm[axis]
    ends = [low + reach + head / 2 + GAP_MM, high - reach - head / 2 - GAP_MM]
    for one in exits:
        wall_axes = {side: out_of(side) for side in bar.sides if side in one.corner}
        if one.panel.rsplit(" ", 1)[0] != closing.lid.name or not wall_axes:
            continue
        other = next(side for side in one.corner if side not in wall_axes)
        far = build_up_mm(payload.wall.profile) + one.leg_mm + head / 2 + GAP_MM
        if out_of(cast(Side, other))[1] < 0:
            ends[0] = max(ends[0], low + far)
        else:
            ends[1] = min(ends[1], high - far)
    if ends[1] < ends[0]:
        return []
    count = max(2, math.ceil((ends[1] - ends[0]) / PITCH_MM - _NEAR_MM) + 1)
    found = []
    for place in spread(count, low_mm=ends[0], high_mm=ends[1]):
        point = [*bar.start_mm]
        point[axis] = place
        found.append((point[0], point[1], point[2]))
    return found


def _moved(point: Point, wall: Side, by_mm: float) -> Point:
    axis, sense = out_of(wall)
    found = [*point]
    found[axis] -= sense * by_mm
    return (found[0], found[1], found[2])


def _weak(payload: Payload, closing: Closing) -> list[Trouble]:
    """A rim with less metal than the thread is wide, a wall narrower than the screw's head."""
    screw = machine_screws()[THREAD]
    found = []
    short = screw.d_mm - rim_mm(payload.wall.profile, "tongue")
    if short > _NEAR_MM:
        found.append(
            Trouble(
                f"screws of {closing.lid.name}",
                f"the rim under them is {screw.d_mm - short:.1f} mm thick, less than the thread "
                f"of {THREAD} is wide",
                short,
                "rivet nuts in the rim, or bolts with nuts",
                "tight",
            )
        )
    short = screw.head_mm - build_up_mm(payload.wall.profile)
    if short > _NEAR_MM:
        found.append(
            Trouble(
                f"screws of {closing.lid.name}",
                f"their heads are {screw.head_mm:.1f} mm wide, {short:.1f} mm wider than the wall",
                short,
                "thinner screws, or countersunk ones",
                "tight",
            )
        )
    return found


def _pocket(
    payload: Payload, closing: Closing, panels: Sequence[Panel], exits: Sequence[CableExit]
) -> Opening | None:
    """Finger room to lift a loose back off: by its longer edge; none where an exit gives a hold."""
    panel = next((one for one in panels if one.part == closing.lid.name), None)
    if panel is None or any(one.panel == panel.name for one in exits):
        return None
    notch = payload.foam.notch or Notch()
    profile = payload.wall.profile
    seat = profile.outer_leaf_mm + profile.slot_mm + profile.slot_web_mm + profile.play_mm
    off = profile.leg_mm - seat + GAP_MM
    wide, deep = notch.width_mm, notch.depth_mm
    if panel.length_mm < panel.width_mm:
        shape = rectangle(deep, wide, corner_mm=min(wide, deep) / 2 - _NEAR_MM,
                          at=(off, panel.width_mm / 2 - wide / 2))  # fmt: skip
    else:
        shape = rectangle(wide, deep, corner_mm=min(wide, deep) / 2 - _NEAR_MM,
                          at=(panel.length_mm / 2 - wide / 2, off))  # fmt: skip
    return Opening(panel.name, f"finger pocket {closing.lid.name}", shapely.normalize(shape))


def _stop_mm(payload: Payload) -> float:
    """How wide a washer under a rivet of the frame may be, clear of the wall inside [mm]."""
    from fitkit.shell.rivet_rows import rivet_rules

    profile = payload.wall.profile
    slot = profile.outer_leaf_mm + profile.slot_mm + profile.slot_web_mm
    low, high = slot + profile.play_mm, min(profile.leg_mm, slot + profile.engagement_mm)
    line = (low + high) / 2
    wide = 2 * (line - build_up_mm(profile) - STOP_PLAY_MM)
    return wide if wide > rivet_rules(payload).d_mm else 0.0


def _screws_to_buy(payload: Payload, used: int) -> tuple[Fastener, ...]:
    if not used:
        return ()
    profile = payload.wall.profile
    stack, rim = build_up_mm(profile), rim_mm(profile, "tongue")
    length = screw_lengths("machine").shortest_mm(stack + rim)
    size = THREAD if length is None else f"{THREAD} x {length:g}"
    return (
        Fastener(
            name=f"screw {size}",
            kind="screw",
            size=size,
            used=used,
            buy=with_spares(used, payload.workshop.hardware.spares),
            grip_mm=stack,
            where="loose backs",
            note=f"pan head; through the frame ({stack:.1f} mm) into the rim ({rim:.1f} mm), "
            f"drilled {TAP_MM:g} mm and tapped {THREAD}",
        ),
    )


def _how(payload: Payload, closing: Closing, screws: int, pocket: bool) -> str:
    notch = payload.foam.notch or Notch()
    hold = (
        f"a pocket {notch.width_mm:g} x {notch.depth_mm:g} mm for a finger lifts it off"
        if pocket
        else "the cable exit's corner gives a hold to lift it off"
    )
    return (
        f"{closing.lid.name}: held by {screws} screws {THREAD} through its frame into the rim of "
        f"the {called(closing.body.name)}; {hold}"
    )
