"""What one cable must go around: everything in the case but its own plugs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed
from fitkit.foam.model import Room
from fitkit.shell.cables.blocks import (
    Block,
    body_blocks,
    boxes_of,
    dish_blocks,
    front_blocks,
    room_blocks,
    support_blocks,
)
from fitkit.shell.cables.ends import Ray
from fitkit.shell.cables.mirror import Mirror
from fitkit.shell.cables.paths import Way, way_between, widest_way
from fitkit.shell.cables.threads import Thread
from fitkit.shell.mounting.model import Support

HARD = ("body", "support", "dish", "front", "plug")
SOFT = ("air", "hand")
"""Cables keep out of these as long as there is another way."""


@frozen
class Surroundings:
    """The case as cables find it: its room, and every block in it."""

    interior: Interior
    blocks: tuple[Block, ...]

    def limits(self, halves: Iterable[str], *, thick_mm: float) -> tuple[
        tuple[float, float, float], tuple[float, float, float]
    ]:  # fmt: skip
        """Where a middle line may run in these halves: off the walls by half its thickness [mm]."""
        x, y, z = self.interior.size_mm
        low, high = 0.0, z
        named = set(halves)
        if named == {"shallow"}:
            low = self.interior.closing_mm
        elif "shallow" not in named:
            high = self.interior.closing_mm
        r = thick_mm / 2
        in_x = max(self.interior.inset_mm(at)[0] for at in (low, high))
        in_y = max(self.interior.inset_mm(at)[1] for at in (low, high))
        return (in_x + r, in_y + r, low + r), (x - in_x - r, y - in_y - r, high - r)

    def boxes(
        self, thread: Thread, *, kinds: Sequence[str], without: str = ""
    ) -> NDArray[np.float64]:
        """What a thread's middle line must keep out of, grown by half its thickness [mm].

        Its own plugs are none of it, nor are other plugs so near to its own that they share room.
        """
        own = [end.plug for end in (thread.start, thread.to) if end is not None and end.plug]
        names = {plug.owner for plug in own}
        kept = [
            block
            for block in self.blocks
            if block.kind in kinds and block.owner not in names and block.owner != without
        ]
        return boxes_of(kept, grown_mm=thread.thick_mm / 2)

    def ways(
        self,
        thread: Thread,
        starts: Sequence[Ray],
        goals: Sequence[Ray],
        *,
        halves: Iterable[str],
        radius_mm: float,
    ) -> Way | None:
        """The shortest way from any of the starts to any of the goals, as gentle as it can be.

        First one that leaves rooms for air and hands free; then any.
        """
        low, high = self.limits(halves, thick_mm=thread.thick_mm)
        over = set(halves) == {"shallow"}
        mirror = Mirror(self.interior.height_mm if over else None)
        low, high = mirror.limits(low, high)
        starts, goals = mirror.rays(starts), mirror.rays(goals)
        for kinds in ((*HARD, *SOFT), HARD) if self.has(SOFT) else (HARD,):
            boxes = mirror.boxes(self.boxes(thread, kinds=kinds))
            found = way_between(
                starts, goals, boxes=boxes, low_mm=low, high_mm=high, radius_mm=radius_mm
            )
            if found is not None:
                return mirror.way(found)
        found = widest_way(
            starts, goals, boxes=boxes, low_mm=low, high_mm=high, radius_mm=radius_mm
        )
        return None if found is None else mirror.way(found)

    def has(self, kinds: Sequence[str]) -> bool:
        """Whether there is any block of these kinds."""
        return any(block.kind in kinds for block in self.blocks)

    def culprit(
        self, thread: Thread, starts: Sequence[Ray], goals: Sequence[Ray], *, halves: Iterable[str]
    ) -> str:
        """What alone shuts every way from start to goal; empty where several things do."""
        low, high = self.limits(halves, thick_mm=thread.thick_mm)
        owners = dict.fromkeys(block.owner for block in self.blocks if block.kind in HARD)
        for owner in owners:
            boxes = self.boxes(thread, kinds=HARD, without=owner)
            if way_between(starts, goals, boxes=boxes, low_mm=low, high_mm=high, radius_mm=0.0):
                return owner
        return ""


def surroundings_of(
    *,
    interior: Interior,
    placed: Sequence[Placed],
    rooms: Sequence[Room],
    supports: Sequence[Support],
    threads: Sequence[Thread],
) -> Surroundings:
    """Bodies, supports, dishes, rooms kept free, and the plugs of every cable that stays in."""
    plugs = [
        end.plug
        for thread in threads
        if thread.cable.plugged
        for end in (thread.start, thread.to)
        if end is not None and end.plug is not None
    ]
    return Surroundings(
        interior,
        (
            *body_blocks(placed, height_mm=interior.height_mm),
            *support_blocks(supports, placed),
            *dish_blocks(rooms),
            *room_blocks(placed),
            *front_blocks(placed, interior=interior),
            *plugs,
        ),
    )
