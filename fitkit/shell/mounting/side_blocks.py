"""Blocks between an item and two opposite walls, and the screws through wall and block into it."""

from __future__ import annotations

from fitkit.payload.mounts import HolePattern
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.shell.frame import AXES, side_at
from fitkit.shell.model import Hole, Panel, Point
from fitkit.shell.mounting.back import Back, back_of
from fitkit.shell.mounting.fixing import into_item
from fitkit.shell.mounting.pieces import Piece
from fitkit.shell.mounting.work import NEAR_MM, Work

AROUND_MM = 15.0
"""How far a block reaches beyond the holes that it lies under [mm] (assumption)."""

FILLS_MM = 1.5
"""A gap up to this is filled by washers, not by a block [mm] (assumption)."""

FAR_MM = 120.0
"""From here on a block is a strut: rails do better [mm] (assumption)."""


def hold_by_walls(work: Work) -> None:
    """The blocks of one copy on both walls, with the screws through them.

    The hole pattern is that of each of the two faces, seen from outside.
    """
    for number, face in enumerate(work.mount.walls, start=1):
        back = back_of(work.placed, face)
        panel = work.panel_behind(back)
        if panel is None:
            work.trouble(
                f"{work.label} block {number}",
                f"its {face} looks at the closing plane: there is no wall to hold it",
                0.0,
                "name the two faces that look at walls",
            )
            continue
        _one(work, back, panel, number)


def _one(work: Work, back: Back, panel: Panel, number: int) -> None:
    behind = work.behind_mm(back)
    void = work.around.void_mm(panel)
    pattern = work.mount.pattern
    centre, size = _footprint(back, pattern)
    low, high = back.box(centre, size, from_mm=0.0, to_mm=max(behind, 0.0) + void)
    name = f"{work.label} block {number}"
    if _over_leaves(work, back, low, high):
        # an inner leaf lies there: the block ends where the room does
        low, high = back.box(centre, size, from_mm=0.0, to_mm=max(behind, 0.0))
        void = 0.0
    thick = high[back.axis] - low[back.axis]
    along = max((back.along_axis, back.up_axis), key=lambda k: high[k] - low[k])
    block = Piece(name, "block", low, high, along, back.axis, -back.sense)
    if thick > FAR_MM:
        work.trouble(
            name, f"it would be {thick:.0f} mm deep, a strut and no block", thick - FAR_MM,
            "hold the item by rails or a sub-panel, or set it nearer to the wall", tight=True,
        )  # fmt: skip
    if thick >= FILLS_MM:
        work.pieces.append(block)
    elif thick > NEAR_MM:
        work.notes.append(
            f"{work.label}: put washers {thick:.1f} mm thick between it and the {panel.name} panel."
        )
    if pattern is None:
        work.unsure(
            name, "nothing says how the item is screwed to it: no hole pattern is given",
            "measure the holes in its sides, or strap it down",
        )  # fmt: skip
        return
    before = len(work.screwings)
    groups: dict[float, list[tuple[float, float]]] = {}
    for hole in pattern.holes_mm:
        under = _wall_mm(work, panel, back.point(*hole), filled=void > 0)
        groups.setdefault(round(under, 6), []).append(hole)
    for under, holes in groups.items():
        into_item(
            work, back, block, pattern, holes, behind_mm=float("inf"), extra_mm=under,
            off_mm=work.tolerances.rail_mm, what=f"the {panel.name} panel and its block",
        )  # fmt: skip
    _drilled(work, back, panel, pattern, name, before)


def _wall_mm(work: Work, panel: Panel, point: Point, *, filled: bool) -> float:
    """What of the wall lies under a head: the panel, or all of it where a profile's leg does [mm].

    ``filled``: the block reaches the panel, and fills what lies between it and the room.
    """
    around = work.around
    return around.stack_mm(panel, point) - (around.void_mm(panel) if filled else 0.0)


def _footprint(
    back: Back, pattern: HolePattern | None
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Middle and size of a block on the face: round its holes, or all of the face [mm]."""
    wide, high = back.size_mm
    if pattern is None:
        return (wide / 2, high / 2), (wide, high)
    across = [hole[0] for hole in pattern.holes_mm]
    up = [hole[1] for hole in pattern.holes_mm]
    left, right = max(0.0, min(across) - AROUND_MM), min(wide, max(across) + AROUND_MM)
    low, top = max(0.0, min(up) - AROUND_MM), min(high, max(up) + AROUND_MM)
    return ((left + right) / 2, (low + top) / 2), (right - left, top - low)


def _over_leaves(
    work: Work,
    back: Back,
    low: Point,
    high: Point,
) -> bool:
    """Whether an inner leaf of a neighbouring edge lies behind a box on a wall."""
    room, inset = work.around.room(work.half), work.around.leaf_in_mm
    for axis in (back.along_axis, back.up_axis):
        for is_high in (False, True):
            wall = room[1 if is_high else 0][axis]
            reach = inset
            if work.around.closes(work.half, side_at(AXES[axis], high=is_high)):
                reach = work.around.profile.engagement_mm + max(
                    work.around.profile.tongue_rim_mm, work.around.profile.groove_rim_mm
                )
            if (high[axis] > wall - reach) if is_high else (low[axis] < wall + reach):
                return True
    return False


def _drilled(
    work: Work, back: Back, panel: Panel, pattern: HolePattern, owner: str, before: int
) -> None:
    """The holes in the wall for the screws that were found."""
    clear = clearance_holes().get(pattern.thread)
    lengths = {one.length_mm for one in work.screwings[before:]}
    if clear is None or not lengths:
        return
    name = f"machine screw {pattern.thread} x {max(lengths):g}"
    for a, b in pattern.holes_mm:
        at = [*back.point(a, b)]
        at[back.axis] = work.around.outer_mm(panel.side)
        point = (at[0], at[1], at[2])
        if not work.around.clear_outside(panel, point, radius_mm=clear.coarse_mm):
            work.trouble(
                owner,
                f"its screw at {a:g}, {b:g} lies under hardware, in an opening or beside the "
                f"{panel.name} panel",
                clear.coarse_mm,
                "move the item or the hardware on the outside",
            )
        leaves = work.around.leaves(panel, point)
        work.holes.append(
            Hole(panel.side, point, clear.medium_mm, "bolt", owner, (*leaves, panel.name), name)
        )
