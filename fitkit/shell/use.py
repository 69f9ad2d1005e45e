"""How a case stands closed, while it is opened, and in use: where each of its parts then is.

On the table x runs to the right, y away from the user, z up; the table is z = 0. A case that is
used flat stands on its bottom and its other half lies beside it, open side up. One that is used
upright stands on one long side; its halves come apart and stand side by side, open sides towards
the user, doors swung open behind (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from attrs import frozen

from fitkit.payload.hardware import type_named
from fitkit.payload.model import Payload
from fitkit.payload.workshop import Side
from fitkit.shell.closings import closings_of
from fitkit.shell.frame import out_of
from fitkit.shell.model import Fitted, Part, Point, Shell
from fitkit.shell.moves import Move, laid, turned_about
from fitkit.shell.stance import ground_side, side_by_side
from fitkit.shell.swing import Swing, feet_mm, swings_of

State = Literal["closed", "opening", "in use"]

BESIDE_MM = 20.0
"""What is kept between two halves side by side, beside what stands out of them [mm] (assumption):
room for fingers."""

APART_MM = 120.0
"""How far halves are shown apart while a case is opened [mm]: for the picture only."""

AJAR = 0.5
"""Share of a lid's or door's way in the picture of opening, where no half comes off."""

HELD_DEG = 110.0
"""How far doors and lids are swung in use, where they go so far [deg] (assumption)."""


@frozen
class PartPose:
    """Where one part of the case is: how it is moved from its place in the closed case."""

    part: str
    move: Move


@frozen
class Pose:
    """The whole case in one state: where each of its parts is."""

    state: State
    parts: tuple[PartPose, ...]

    def move_of(self, part: str) -> Move:
        """How a part is moved; KeyError if there is none of that name."""
        for one in self.parts:
            if one.part == part:
                return one.move
        raise KeyError(part)


@frozen
class Use:
    """A case in its three states, its doors' swing, and how halves stand on the table.

    ``beside_mm`` is the gap between halves side by side, 0 where nothing stands beside.
    ``upright``: whether it stands on a long side, ``ground`` the face that it then stands on.
    """

    poses: tuple[Pose, Pose, Pose]
    swings: tuple[Swing, ...]
    groups: tuple[tuple[str, ...], ...]
    ground: Side
    upright: bool
    side_by_side: bool
    beside_mm: float

    def pose(self, state: State) -> Pose:
        """The case in one state."""
        return next(pose for pose in self.poses if pose.state == state)


def use_of(payload: Payload, shell: Shell) -> Use:
    """How the case is used: where each part is while closed, opening, and in use."""
    swings = swings_of(payload, shell)
    groups = groups_of(shell, swings)
    ground = ground_side(payload, shell.assembly)
    apart = side_by_side(payload) and len(groups) > 1
    stood = _stood(payload, shell, ground)
    closed = _posed("closed", shell, groups, [stood] * len(groups), swings, 0.0)
    gap = 0.0 if len(groups) < 2 else _beside_mm(payload, shell, groups)
    ajar = AJAR if len(groups) < 2 else 0.0
    opening = _posed("opening", shell, groups, _pulled(shell, groups, stood), swings, ajar)
    moves = _side_by_side(payload, shell, groups, ground, apart, swings, gap)
    in_use = _posed("in use", shell, groups, moves, swings, 1.0)
    return Use(
        (closed, opening, in_use),
        swings,
        groups,
        ground,
        out_of(ground)[0] != 2,
        apart,
        gap,
    )


def groups_of(shell: Shell, swings: Sequence[Swing]) -> tuple[tuple[str, ...], ...]:
    """The parts that stay together in use, the one that stands on the ground first.

    Doors and hinged lids stay with their body; loose backs are screwed on. The halves come apart
    at their closing plane, a tray's loose lid or drawer front comes off.
    """
    hung = {one.part for one in swings}
    apart: list[tuple[str, str]] = []
    joined: dict[str, str] = {}
    for closing in closings_of(shell.assembly):
        loose = closing.lid.name not in hung and (
            closing.lid.name in ("shallow", "lid") or closing.drawer
        )
        if loose:
            apart.append((closing.body.name, closing.lid.name))
        else:
            joined[closing.lid.name] = closing.body.name
    heads = [part.name for part in shell.assembly.parts if part.name not in joined]
    found: dict[str, list[str]] = {head: [] for head in heads}
    for part in shell.assembly.parts:
        head = part.name
        while head in joined:
            head = joined[head]
        found[head].append(part.name)
    first = [head for head in heads if head in ("deep", "tray")]
    rest = [head for head in heads if head not in first]
    return tuple(tuple(found[head]) for head in (*first, *rest))


def opened_deg(swing: Swing) -> float:
    """How far a door is swung in use [deg]: as far as is wanted, or as it goes."""
    return min(HELD_DEG, swing.most_deg)


def _posed(
    state: State,
    shell: Shell,
    groups: Sequence[Sequence[str]],
    moves: Sequence[Move],
    swings: Sequence[Swing],
    share: float,
) -> Pose:
    by_part = {one.part: one for one in swings}
    found = []
    for group, move in zip(groups, moves, strict=True):
        for name in group:
            swing = by_part.get(name)
            mine = move
            if swing is not None and share > 0:
                mine = swung(swing, opened_deg(swing) * share).then(move)
            found.append(PartPose(name, mine))
    return Pose(state, tuple(found))


def swung(swing: Swing, by_deg: float) -> Move:
    """How a door is moved when it is opened by that much [deg], its body staying where it is."""
    return turned_about(swing.pin_mm, axis=swing.axis, by_deg=swing.sense * by_deg)


def _stood(payload: Payload, shell: Shell, ground: Side) -> Move:
    """The closed case on its ground: on its bottom as it is, else with the lid to the user."""
    if out_of(ground)[0] == 2:
        move = Move() if ground == "bottom" else turned_about((0, 0, 0), axis=1, by_deg=180.0)
    else:
        move = laid(down=_way(ground), towards=(0.0, 0.0, 1.0))
    return _on_the_table(payload, shell, shell.assembly.parts, move, ground)


def _way(side: Side) -> Point:
    axis, sense = out_of(side)
    found = [0.0, 0.0, 0.0]
    found[axis] = float(sense)
    return (found[0], found[1], found[2])


def _on_the_table(
    payload: Payload, shell: Shell, parts: Sequence[Part], move: Move, ground: Side
) -> Move:
    """The move with its lowest point as high over the table as feet hold it, x and y from 0."""
    low, _ = box_of(parts, move)
    return move.shifted((-low[0], -low[1], feet_mm(payload, shell, ground) - low[2]))


def box_of(parts: Sequence[Part], move: Move) -> tuple[Point, Point]:
    """The box round parts as moved [mm]."""
    points = [
        move.at((x, y, z))
        for part in parts
        for x in (part.low_mm[0], part.high_mm[0])
        for y in (part.low_mm[1], part.high_mm[1])
        for z in (part.low_mm[2], part.high_mm[2])
    ]
    low = [min(point[i] for point in points) for i in range(3)]
    high = [max(point[i] for point in points) for i in range(3)]
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def _pulled(shell: Shell, groups: Sequence[Sequence[str]], stood: Move) -> list[Move]:
    """The closed case with each loose part pulled away from the first along its closing axis."""
    found = [stood]
    for group in groups[1:]:
        axis, sense = _leaves(shell, groups[0], group)
        way = [0.0, 0.0, 0.0]
        way[axis] = sense * APART_MM
        x, y, z = stood.way((way[0], way[1], way[2]))
        found.append(stood.shifted((x, y, z)))
    return found


def _leaves(shell: Shell, first: Sequence[str], group: Sequence[str]) -> tuple[int, int]:
    """Along which axis, and which way, a loose part leaves the first."""
    for closing in closings_of(shell.assembly):
        if closing.lid.name in group:
            return closing.axis, closing.sense
    return 2, 1


def _side_by_side(
    payload: Payload,
    shell: Shell,
    groups: Sequence[Sequence[str]],
    ground: Side,
    apart: bool,
    swings: Sequence[Swing],
    gap_mm: float,
) -> list[Move]:
    """Where each group stands in use, from the left, doors swinging to the outside."""
    moves: list[Move] = []
    for index, group in enumerate(groups):
        parts = [shell.assembly.part(name) for name in group]
        if apart:
            up = 1.0 if index == 0 else -1.0
            move = laid(down=_way(ground), towards=(0.0, 0.0, up))
            under = ground
        elif index == 0:
            move, under = _stood(payload, shell, ground), ground
        else:
            axis, _ = _leaves(shell, groups[0], group)
            turned = axis == 2 and out_of(ground)[0] == 2
            move = turned_about((0, 0, 0), axis=1, by_deg=180.0) if turned else Move()
            under = "top" if turned else ground
        moves.append(_on_the_table(payload, shell, parts, move, under))
    order = list(range(len(groups)))
    if apart and _inwards(moves[0], groups[0], swings):
        order.reverse()
    at = 0.0
    for index in order:
        parts = [shell.assembly.part(name) for name in groups[index]]
        low, high = box_of(parts, moves[index])
        moves[index] = moves[index].shifted((at - low[0], 0.0, 0.0))
        at += high[0] - low[0] + gap_mm
    return moves


def _inwards(move: Move, group: Sequence[str], swings: Sequence[Swing]) -> bool:
    """Whether the first group's door has its hinges on the right, where the other half stands."""
    mine = next((one for one in swings if one.part in group and one.body in group), None)
    return mine is not None and move.way(_way(mine.side))[0] > 0.5


def _beside_mm(payload: Payload, shell: Shell, groups: Sequence[Sequence[str]]) -> float:
    """The gap between groups side by side: all that stands out of their sides, and some room."""
    most = 0.0
    for one in shell.hardware:
        if one.kind in ("latch", "door latch", "hinge", "handle", "stay"):
            most = max(most, _out_mm(payload, one))
    return 2 * most + BESIDE_MM if len(groups) > 1 else 0.0


def _out_mm(payload: Payload, one: Fitted) -> float:
    return type_named(payload, one.kind, one.type).stands_mm
