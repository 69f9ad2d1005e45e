"""Walls that can carry handles: on which sides, how many each, and where on the wall."""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import frozen

from fitkit.payload.model import Payload
from fitkit.payload.workshop import SIDES, HardwareType, Side
from fitkit.shell.closings import is_door, reaches
from fitkit.shell.counts import shared
from fitkit.shell.frame import AXES, opposite, out_of, side_at
from fitkit.shell.model import Part, Point
from fitkit.shell.places import GAP_MM, Board
from fitkit.shell.stance import handle_sides, upwards


@frozen
class Wall:
    """A part's wall as a place for handles: the axis along it and across it, and what is free.

    ``across_mm`` is where a handle's middle may lie across; ``short_mm`` is what is missing.
    ``upright``: whether the wall stands upright in use; ``up`` is then the sense that is up.
    """

    part: Part
    side: Side
    axis: int
    across: int
    up: int
    across_mm: tuple[float, float]
    along_mm: tuple[float, float]
    kind: HardwareType
    upright: bool

    @property
    def short_mm(self) -> float:
        """How much lower the handle would have to be for this wall [mm], 0 if it fits."""
        return max(0.0, self.across_mm[0] - self.across_mm[1])


def carriers(board: Board, sides: Sequence[Side]) -> list[Part]:
    """The parts that could carry a handle on every one of these sides: no lid plates, no doors."""
    return [
        part
        for part in board.assembly.parts
        if not part.plate
        and not is_door(part)
        and all(reaches(board.assembly, part, side) for side in sides)
    ]


def _beside(board: Board, payload: Payload, sides: Sequence[Side]) -> tuple[Side, ...]:
    """The other walls that stand upright in use, if a part has them: no lid, no floor."""
    up = upwards(payload, board.assembly)[0]
    return tuple(
        side
        for side in SIDES
        if side not in sides
        and opposite(side) not in sides
        and out_of(side)[0] not in (up, 2)
        and carriers(board, (side,))
    )


def sides_for(board: Board, payload: Payload, kind: HardwareType) -> tuple[Side, ...]:
    """The sides that carry handles, or those beside where no part has a wall for them."""
    sides = handle_sides(payload, board.assembly)
    if kind.sides or any(carriers(board, (side,)) for side in sides):
        return sides
    others = _beside(board, payload, sides)
    if not others:
        return sides
    board.notes.append(
        f"handles on the {' and '.join(others)}: no part has a wall for them on the "
        f"{' and '.join(sides)}"
    )
    return others


def counts_for(
    board: Board, payload: Payload, kind: HardwareType, sides: tuple[Side, ...], count: int
) -> dict[Side, int]:
    """How many handles each side gets; where they are too many for it, the sides beside help.

    Pairs stay together; what has no room anywhere is asked of the first sides, and said there.
    """
    fits = _room_for(board, payload, kind, sides)
    others = () if kind.sides else _beside(board, payload, sides)
    if count <= fits or not others:
        return dict(zip(sides, shared(count, len(sides)), strict=True))
    mine = fits - fits % 2
    helped = min(count - mine, _room_for(board, payload, kind, others))
    beside = helped - helped % 2
    return {
        **dict(zip(sides, shared(count - beside, len(sides)), strict=True)),
        **dict(zip(others, shared(beside, len(others)), strict=True)),
    }


def _room_for(board: Board, payload: Payload, kind: HardwareType, sides: tuple[Side, ...]) -> int:
    """How many handles lie side by side on the roomiest part's walls there."""
    wide, most = kind.flange_mm[0], 0
    for part in carriers(board, sides):
        low, high = _wall(board, payload, part, sides[0], kind).along_mm
        if high >= low:
            most = max(most, 1 + math.floor((high - low) / (wide + GAP_MM)))
    return most * len(sides)


def walls_for(
    board: Board, payload: Payload, kind: HardwareType, sides: Sequence[Side], centre: Point
) -> list[list[Wall]]:
    """The parts that could carry a handle on every one of the sides, the best first.

    The lowest that stands on the ground; upright, where all do, the one with the centre of mass.
    """
    up = upwards(payload, board.assembly)[0]
    found = []
    for part in carriers(board, sides):
        walls = [_wall(board, payload, part, side, kind) for side in sides]
        below = part.low_mm[2] if up == 2 else 0.0
        off = max(0.0, part.low_mm[2] - centre[2], centre[2] - part.high_mm[2])
        tall = part.high_mm[2] - part.low_mm[2]
        found.append(((below, off, -tall, part.name), walls))
    return [walls for _, walls in sorted(found, key=lambda one: one[0])]


def _wall(board: Board, payload: Payload, part: Part, side: Side, kind: HardwareType) -> Wall:
    normal = out_of(side)[0]
    up, sense = upwards(payload, board.assembly)
    if normal == up:
        first, second = (axis for axis in range(3) if axis != normal)
        size = [high - low for low, high in zip(part.low_mm, part.high_mm, strict=True)]
        axis, across = (first, second) if size[first] >= size[second] else (second, first)
        sense = 1
    else:
        axis, across = 3 - normal - up, up
    return Wall(
        part=part,
        side=side,
        axis=axis,
        across=across,
        up=sense,
        across_mm=_free(board, part, across, kind, kind.flange_mm[1]),
        along_mm=_free(board, part, axis, kind, kind.flange_mm[0]),
        kind=kind,
        upright=normal != up,
    )


def _free(
    board: Board, part: Part, axis: int, kind: HardwareType, size: float
) -> tuple[float, float]:
    """Where a handle's middle may lie along an axis: clear of legs and closing leaves.

    From an edge a + flange / 2 + 3 mm (derived) where a dish is sunk; from a closing plane the
    dish keeps 3 mm off its leaf, and the flange off the plane.
    """
    ends = []
    for high in (False, True):
        closing = side_at(AXES[axis], high=high) in part.open
        margin = GAP_MM + size / 2
        if kind.dish_mm is not None:
            if closing:
                dish = kind.dish_mm[kind.flange_mm.index(size)]
                margin = max(margin, board.profile.closing_leaf_mm + dish / 2 + GAP_MM)
            else:
                margin += board.profile.leg_mm
        ends.append(margin)
    return (part.low_mm[axis] + ends[0], part.high_mm[axis] - ends[1])
