"""Screws of a support: into the item, through a panel from outside, into its end through a wall."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fitkit.payload.mounts import HolePattern
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.reference.machine_screws import machine_screws
from fitkit.reference.wood_screws import WoodScrew
from fitkit.shell.frame import AXES, out_of, side_at
from fitkit.shell.model import Hole, Panel, Point
from fitkit.shell.mounting.around import spots_mm
from fitkit.shell.mounting.back import Back
from fitkit.shell.mounting.pieces import Drill, Piece
from fitkit.shell.mounting.screws import gauge_for, machine_screw, wood_screw
from fitkit.shell.mounting.work import NEAR_MM, Work

END_MM = 20.0
"""From a support's end to its first screw [mm] (assumption)."""

PITCH_MM = 200.0
"""Largest distance between two screws of a row [mm] (assumption)."""

END_GRAIN_MM = 30.0
"""How far a screw goes into the end of a strip, where it holds less [mm] (assumption)."""

HEAD_MM = 3.0
"""Between two screws' heads, or a head and what it must clear [mm] (assumption)."""


def into_item(
    work: Work,
    back: Back,
    piece: Piece,
    pattern: HolePattern,
    holes: Sequence[tuple[float, float]],
    *,
    behind_mm: float,
    extra_mm: float = 0.0,
    off_mm: float = 0.0,
    what: str,
) -> None:
    """Machine screws through a support into an item's threads.

    ``extra_mm`` lies under the head beside the support itself (a wall), ``off_mm`` is how much
    thinner all that may be, ``behind_mm`` the room for heads behind it. Where the body begins
    behind its back a spacer fills the gap.
    """
    screw, clear = machine_screws().get(pattern.thread), clearance_holes().get(pattern.thread)
    if screw is None or clear is None:
        known = ", ".join(machine_screws())
        work.unsure(
            piece.name, f"no table knows screws of thread {pattern.thread}",
            f"take the thread from {known}, or find its screws by hand",
        )  # fmt: skip
        return
    sunk = work.mount.sunk
    high = screw.sunk_high_mm if sunk else screw.head_high_mm
    if not sunk and behind_mm < high - NEAR_MM:
        work.trouble(
            piece.name,
            f"heads of {pattern.thread} stand out {high:g} mm, and {behind_mm:.1f} mm are free",
            high - behind_mm,
            "countersink them, or give the item more room behind",
        )
    if sunk and piece.thick_mm < high - NEAR_MM:
        work.trouble(
            piece.name,
            f"countersunk heads of {pattern.thread} are {high:g} mm high, it is "
            f"{piece.thick_mm:g} mm thick",
            high - piece.thick_mm,
            "take pan heads, or a thicker piece",
        )
    if piece.size_mm(piece.wide) < screw.head_mm:
        work.trouble(
            piece.name,
            f"{piece.size_mm(piece.wide):g} mm wide for heads of {screw.head_mm:g} mm",
            screw.head_mm - piece.size_mm(piece.wide),
            "take a wider one",
        )
    said: set[str] = set()
    for a, b in holes:
        at = back.point(a, b)
        beyond = max(
            max(piece.low_mm[k] - at[k], at[k] - piece.high_mm[k])
            for k in (piece.along, piece.wide)
        )
        if beyond > NEAR_MM:
            work.trouble(
                piece.name, f"its hole at {a:g}, {b:g} lies {beyond:.1f} mm beside it", beyond,
                "make it longer or wider, or move it",
            )  # fmt: skip
            continue
        gap = back.deep_mm(a, b)
        if gap is None:
            work.trouble(
                work.label, f"there is no body behind the hole at {a:g}, {b:g}", 0.0,
                "measure the hole's place again",
            )  # fmt: skip
            continue
        stack = extra_mm + piece.thick_mm + gap
        pick = machine_screw(
            pattern.thread, stack_mm=stack, hole_mm=pattern.depth_mm, off_mm=off_mm
        )
        sink = screw.sunk_head_mm if sunk and extra_mm == 0 else None
        piece.holes.append(
            Drill(at, clear.medium_mm, f"screw {pattern.thread} into the {work.label}", sink)
        )
        if pick.short_mm > NEAR_MM or pick.length_mm is None:
            text = (
                f"no {pattern.thread} that is sold goes through {stack:.1f} mm into a hole "
                f"{pattern.depth_mm:g} mm deep"
                if pick.length_mm is None
                else f"{pattern.thread} x {pick.length_mm:g} goes in {pick.engaged_mm:.1f} mm of "
                f"the {screw.d_mm:g} mm that it should"
            )
            if text not in said:
                said.add(text)
                work.trouble(piece.name, text, pick.short_mm, pick.remedy,
                             tight=pick.length_mm is not None)  # fmt: skip
        if pick.length_mm is None:
            continue
        left = pattern.depth_mm - pick.engaged_mm
        spacer = f"spacer {gap:.1f} mm between; " if gap > NEAR_MM else ""
        head = "countersunk head, sunk" if sunk else f"pan head, {screw.head_high_mm:g} mm high"
        work.screwed(
            pattern.thread, pick.length_mm, stack_mm=stack, hole_mm=pattern.depth_mm,
            engaged_mm=pick.engaged_mm, holds=f"{what} to the {work.label}",
            note=f"{spacer}{head}; {left:.1f} mm of the hole are left",
        )  # fmt: skip


def through_panel(
    work: Work, piece: Piece, panel: Panel, *, packing_mm: float, what: str, least: int = 2
) -> tuple[Point, ...]:
    """Wood screws from outside through a panel into a support that lies on it.

    ``packing_mm`` lies between the two. Where they are is returned. Screws stay clear of the
    profiles' legs where they can, of flanges and openings always.
    """
    screw = gauge_for(piece.size_mm(piece.wide))
    along = piece.along
    end = min(END_MM, piece.size_mm(along) / 4)
    low, high = piece.low_mm[along] + end, piece.high_mm[along] - end
    count = max(least, math.ceil((high - low) / PITCH_MM - 1e-9) + 1)
    found = _places(work, piece, panel, screw, low, high, count, legs=False)
    if len(found) < least:
        found = _places(work, piece, panel, screw, low, high, count, legs=True)
    name = f"the {panel.name} panel"
    if len(found) < least:
        work.trouble(
            piece.name,
            f"only {len(found)} of {least} screws through {name} find a place clear of hardware, "
            "openings and other screws",
            max(0.0, screw.sink_mm),
            "move the item or the hardware on the outside",
            tight=bool(found),
        )
    made = []
    for place in found:
        point = piece.at(place)
        leaves = work.around.leaves(panel, point)
        stack = packing_mm + panel.thickness_mm
        if leaves:
            stack += work.around.stack_mm(panel, point) - panel.thickness_mm
            stack -= work.around.void_mm(panel)
        made.append(point)
        wood(work, piece, panel, point, screw, leaves=leaves, stack_mm=stack,
             wood_mm=piece.thick_mm, holds=f"{what} to {name}, from outside")  # fmt: skip
    return tuple(made)


def into_ends(work: Work, piece: Piece, *, what: str) -> None:
    """Wood screws from outside through the walls into both ends of a support."""
    screw = gauge_for(min(piece.size_mm(piece.wide), piece.thick_mm))
    wide = piece.size_mm(piece.wide)
    rows = (-wide / 4, wide / 4) if wide >= 30.0 else (0.0,)
    room = work.around.room(work.half)
    ends = 0
    for high in (False, True):
        side = side_at(AXES[piece.along], high=high)
        end = (piece.high_mm if high else piece.low_mm)[piece.along]
        wall = room[1 if high else 0][piece.along]
        if work.around.closes(work.half, side) or abs(end - wall) > NEAR_MM:
            continue
        ends += 1
        for row in rows:
            point = piece.at(end, wide_mm=piece.middle_mm(piece.wide) + row)
            panel = work.around.panel_at(work.half, side, point)
            if panel is None:
                continue
            clear = work.around.clear_outside(panel, point, radius_mm=screw.sink_mm / 2)
            if not clear:
                work.trouble(
                    piece.name,
                    f"a screw into its end through the {panel.name} panel lies under hardware, in "
                    "an opening or beside the panel",
                    screw.sink_mm / 2,
                    "move the item or the hardware on the outside",
                )
                continue
            leaves = work.around.leaves(panel, point)
            stack = work.around.stack_mm(panel, point)
            wood(
                work, piece, panel, point, screw, leaves=leaves, stack_mm=stack,
                wood_mm=min(END_GRAIN_MM, piece.size_mm(piece.along) / 2) + 2.0,
                holds=f"{what} to the walls, from outside",
                more="into its end, where wood holds less: glue it as well",
            )  # fmt: skip
    if not ends:
        work.trouble(
            piece.name, "no wall is there to hold it", 0.0, "hold it on the back panel",
        )  # fmt: skip
    elif ends == 1:
        work.trouble(
            piece.name, "only one of its ends meets a wall: the other one is free", 0.0,
            "run the rails the other way, so that both ends are held", tight=True,
        )  # fmt: skip


def wood(
    work: Work,
    piece: Piece,
    panel: Panel,
    point: Point,
    screw: WoodScrew,
    *,
    leaves: Sequence[str],
    stack_mm: float,
    wood_mm: float,
    holds: str,
    more: str = "",
) -> None:
    """One wood screw from outside: its hole in the panel, in the support, and its length."""
    pick = wood_screw(screw.gauge, stack_mm=stack_mm, wood_mm=wood_mm)
    size = f"no. {screw.gauge} ({screw.shank_mm:g} mm)"
    if pick.length_mm is None or pick.short_mm > NEAR_MM:
        work.trouble(
            piece.name,
            f"a wood screw {size} through {stack_mm:.1f} mm finds {pick.engaged_mm:.1f} mm of wood",
            pick.short_mm,
            pick.remedy,
            tight=pick.length_mm is not None,
        )
    if pick.length_mm is None:
        return
    pilot = screw.softwood_mm or screw.hardwood_mm
    sunk_deep = (screw.sink_mm - screw.clearance_mm) / 2
    sink = screw.sink_mm if not leaves and panel.thickness_mm >= sunk_deep + 1.0 else None
    at = [*point]
    axis = out_of(panel.side)[0]
    at[axis] = work.around.outer_mm(panel.side)
    fastener = f"wood screw {size} x {pick.length_mm:g}"
    hole = Hole(panel.side, (at[0], at[1], at[2]), screw.clearance_mm, "screw", piece.name,
                (*leaves, panel.name), fastener, None, sink)  # fmt: skip
    work.holes.append(hole)
    # a screw into an end is drilled there, not through the piece's face
    if axis == piece.across:
        piece.holes.append(Drill(point, pilot, f"pilot for a wood screw from the {panel.name}"))
    left = "" if more else f"{wood_mm - pick.engaged_mm:.1f} mm of wood are left before its tip"
    work.screwed(
        size, pick.length_mm, stack_mm=stack_mm, hole_mm=None, engaged_mm=pick.engaged_mm,
        holds=holds, note="; ".join(one for one in (more, left) if one),
    )  # fmt: skip


def _places(
    work: Work,
    piece: Piece,
    panel: Panel,
    screw: WoodScrew,
    low: float,
    high: float,
    count: int,
    *,
    legs: bool,
) -> tuple[float, ...]:
    """Where screws go along a support; ``legs``: profiles may lie there too."""
    radius = screw.sink_mm / 2

    def free(at: float) -> bool:
        point = piece.at(at)
        if not legs and any(
            work.around.leaves(panel, _moved(point, axis, by))
            for axis in (piece.along, piece.wide)
            for by in (-radius, radius)
        ):
            return False
        if not work.around.clear_outside(panel, point, radius_mm=radius):
            return False
        return all(
            math.dist(_flat(point, piece), _flat(one.at_mm, piece))
            >= max(one.diameter_mm, one.sink_mm or 0.0) / 2 + screw.shank_mm / 2 + HEAD_MM
            for one in piece.holes
        )

    return spots_mm(low, high, count=count, free=free)


def _flat(point: Point, piece: Piece) -> tuple[float, float]:
    return (point[piece.along], point[piece.wide])


def _moved(point: Point, axis: int, by: float) -> Point:
    moved = [*point]
    moved[axis] += by
    return (moved[0], moved[1], moved[2])
