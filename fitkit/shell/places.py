"""Where on the case hardware can sit: clear of all that is there, and of the gear inside.

The board of places knows every flange already set, what corners cover, the rooms that dishes take
and the items inside. A search runs along one side: everything that is in the way is a span of
that side in which the piece's middle may not lie.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely
from attrs import Factory, define, evolve, frozen
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import Placement
from fitkit.fit.place import place_all
from fitkit.foam.cutting import method_for
from fitkit.payload.model import Payload, Profile
from fitkit.payload.workshop import HardwareType, Side
from fitkit.shell.frame import out_of, plane_mm, u_of
from fitkit.shell.model import Assembly, Fitted, Point, Room, Trouble
from fitkit.shell.openings import Box, reach_in_mm, room_of, turned_size
from fitkit.shell.spans import NEAR_MM, Span

GAP_MM = 3.0
"""Least distance between two flanges, or a flange and a profile's leg [mm] (derived rule)."""


@frozen
class Patch:
    """What covers a face, between two opposite corners [mm]; ``owner`` is its name."""

    side: Side
    low_mm: Point
    high_mm: Point
    owner: str


@frozen
class Solid:
    """Part of an item, or of a zone, over a height band, and how far to stay away from it."""

    owner: str
    outline: BaseGeometry
    z0_mm: float
    z1_mm: float
    clear_mm: float


@frozen
class Piece:
    """A piece that seeks its place along ``axis`` of a side.

    ``centre_mm`` holds everything but where it lies along that axis.
    """

    kind: HardwareType
    side: Side
    axis: int
    centre_mm: Point
    turn_deg: float

    def at(self, along_mm: float) -> Point:
        """The middle of its flange at that place along its axis."""
        point = [*self.centre_mm]
        point[self.axis] = along_mm
        return (point[0], point[1], point[2])

    def half_mm(self, axis: int) -> float:
        """Half of its flange along an axis of its face [mm]."""
        width, height = turned_size(self.kind.flange_mm, self.turn_deg)
        return (width if axis == u_of(self.side)[0] else height) / 2


@frozen
class Mark:
    """How many patches, pieces, troubles and notes a board had at one time."""

    patches: int
    fitted: int
    troubles: int
    notes: int


@define
class Board:
    """The faces of a case while hardware is being set: what is taken, and what went wrong."""

    assembly: Assembly
    profile: Profile
    box: Box
    solids: tuple[Solid, ...]
    patches: list[Patch] = Factory(list)
    fitted: list[Fitted] = Factory(list)
    types: dict[str, HardwareType] = Factory(dict)
    troubles: list[Trouble] = Factory(list)
    notes: list[str] = Factory(list)

    def hard(self, piece: Piece) -> Iterator[Span]:
        """Where its middle may not lie: it would touch a flange, a corner, or another's room."""
        across = 3 - out_of(piece.side)[0] - piece.axis
        half, wide = piece.half_mm(piece.axis), piece.half_mm(across)
        middle = piece.centre_mm[across]
        for patch in self.patches:
            if patch.side != piece.side:
                continue
            low, high = patch.low_mm, patch.high_mm
            if low[across] - GAP_MM < middle + wide - NEAR_MM and (
                high[across] + GAP_MM > middle - wide + NEAR_MM
            ):
                yield (low[piece.axis] - GAP_MM - half, high[piece.axis] + GAP_MM + half)
        mine = self.room(piece, sum(self._ends(piece)) / 2)
        if mine is None:
            return
        half = (mine.high_mm[piece.axis] - mine.low_mm[piece.axis]) / 2
        for other in self.fitted:
            if other.room is None:
                continue
            low, high = other.room.low_mm, other.room.high_mm
            if all(
                low[one] < mine.high_mm[one] - NEAR_MM and high[one] > mine.low_mm[one] + NEAR_MM
                for one in range(3)
                if one != piece.axis
            ):
                yield (low[piece.axis] - half, high[piece.axis] + half)

    def soft(self, piece: Piece) -> Iterator[Span]:
        """Where its room would come nearer to an item than the item's clearance."""
        mine = self.room(piece, sum(self._ends(piece)) / 2)
        if mine is None:
            return
        half = (mine.high_mm[piece.axis] - mine.low_mm[piece.axis]) / 2
        for solid in self.solids:
            for low, high in _in_the_way(mine, solid, piece.axis):
                yield (low - solid.clear_mm - half, high + solid.clear_mm + half)

    def room(self, piece: Piece, along_mm: float) -> Room | None:
        """What the piece takes of the interior at that place."""
        reach = reach_in_mm(
            piece.kind, piece.side, assembly=self.assembly, box=self.box, profile=self.profile
        )
        return room_of(
            piece.kind, piece.side, piece.at(along_mm), piece.turn_deg, reach_mm=reach, box=self.box
        )

    def _ends(self, piece: Piece) -> Span:
        return (self.box.low_mm[piece.axis], self.box.high_mm[piece.axis])

    def worst(self, piece: Piece, along_mm: float) -> tuple[float, Solid | None]:
        """By how much its room comes too near to an item there [mm], and to which.

        Measured straight into the case: so much shallower would do, or so much farther off.
        """
        mine = self.room(piece, along_mm)
        most, which = 0.0, None
        if mine is None:
            return most, which
        axis, sense = out_of(piece.side)
        for solid in self.solids:
            near = _nearest_to_wall(mine, solid, axis, sense)
            if near is None:
                continue
            face = mine.high_mm[axis] if sense < 0 else mine.low_mm[axis]
            short = (face - near) * -sense + solid.clear_mm
            if short > most + NEAR_MM:
                most, which = short, solid
        return most, which

    def set(self, piece: Piece, along_mm: float, parts: tuple[str, ...]) -> Fitted:
        """Set the piece there: its flange and its room are taken from now on."""
        kind, side = piece.kind, piece.side
        count = sum(one.kind == kind.kind and one.side == side for one in self.fitted) + 1
        centre = [*piece.at(along_mm)]
        centre[out_of(side)[0]] = plane_mm(self.assembly, side)
        made = Fitted(
            name=f"{kind.kind} {side} {count}",
            kind=kind.kind,
            type=kind.name,
            side=side,
            parts=parts,
            centre_mm=(centre[0], centre[1], centre[2]),
            turn_deg=piece.turn_deg,
            size_mm=turned_size(kind.flange_mm, piece.turn_deg),
            room=self.room(piece, along_mm),
        )
        self.fitted.append(made)
        self.types[made.name] = kind
        self.cover(made.name, side, made.centre_mm, made.size_mm)
        return made

    def mark(self) -> Mark:
        """How much is set by now, to go back to."""
        return Mark(len(self.patches), len(self.fitted), len(self.troubles), len(self.notes))

    def back_to(self, mark: Mark) -> None:
        """Take off again whatever was set since."""
        del self.patches[mark.patches :], self.fitted[mark.fitted :]
        del self.troubles[mark.troubles :], self.notes[mark.notes :]

    def cover(self, owner: str, side: Side, centre_mm: Point, size_mm: tuple[float, float]) -> None:
        """Take a rectangle of a face: width along u, height along v."""
        axis, across = out_of(side)[0], u_of(side)[0]
        low, high = [*centre_mm], [*centre_mm]
        for one in range(3):
            if one != axis:
                half = size_mm[0 if one == across else 1] / 2
                low[one], high[one] = centre_mm[one] - half, centre_mm[one] + half
        self.patches.append(
            Patch(side, (low[0], low[1], low[2]), (high[0], high[1], high[2]), owner)
        )


def solids_of(payload: Payload, placements: tuple[Placement, ...]) -> tuple[Solid, ...]:
    """Every item's body with the item clearance, as it stands; its zones with the narrowest web.

    A zone becomes a channel in the foam, and between it and a dish a web must stand.
    """
    clear = payload.case.clearance.item_mm
    web = method_for(payload.foam).min_web_mm
    found = []
    for placed in place_all(payload, placements):
        found += [
            Solid(placed.label, band.shape, band.z0_mm, band.z1_mm, clear)
            for band in placed.solid.bands
        ]
        found += [
            Solid(f"{room.kind} zone of {placed.label}", room.outline, room.z0_mm, room.z1_mm, web)
            for room in placed.solid.rooms
        ]
    return tuple(found)


def gap_mm(room: Room, solid: Solid, side: Side) -> float:
    """From a room to a solid [mm]; where they meet, below 0 by how far it comes into the room."""
    axis, sense = out_of(side)
    near = _nearest_to_wall(room, evolve(solid, clear_mm=0.0), axis, sense)
    if near is not None:
        return near - room.high_mm[axis] if sense < 0 else room.low_mm[axis] - near
    low, high = room.low_mm, room.high_mm
    beside = float(shapely.distance(solid.outline, shapely.box(*low[:2], *high[:2])))
    return math.hypot(beside, max(0.0, low[2] - solid.z1_mm, solid.z0_mm - high[2]))


def _apart(room: Room, solid: Solid, axis: int, grow: float) -> bool:
    """Whether they lie apart along an axis, the room grown by ``grow``: by their boxes."""
    if axis == 2:
        low, high = solid.z0_mm, solid.z1_mm
    else:
        bounds = solid.outline.bounds
        low, high = bounds[axis], bounds[axis + 2]
    return high <= room.low_mm[axis] - grow + NEAR_MM or low >= room.high_mm[axis] + grow - NEAR_MM


def _in_the_way(room: Room, solid: Solid, along: int) -> tuple[Span, ...]:
    """The spans along an axis that a solid takes of the strip which the room sweeps along it."""
    grow = solid.clear_mm
    if any(_apart(room, solid, axis, grow) for axis in range(3) if axis != along):
        return ()
    west, south, east, north = solid.outline.bounds
    low, high = room.low_mm, room.high_mm
    if along != 0:
        west, east = low[0] - grow, high[0] + grow
    if along != 1:
        south, north = low[1] - grow, high[1] + grow
    cut = shapely.intersection(solid.outline, shapely.box(west, south, east, north))
    if cut.is_empty or cut.area <= NEAR_MM:
        return ()
    if along == 2:
        return ((solid.z0_mm, solid.z1_mm),)
    return tuple(
        (part.bounds[along], part.bounds[along + 2]) for part in shapely.get_parts(cut) if part.area
    )


def _nearest_to_wall(room: Room, solid: Solid, axis: int, sense: int) -> float | None:
    """How near to the wall behind a room a solid comes, where it lies in front of the room."""
    grow = solid.clear_mm
    if any(_apart(room, solid, one, grow) for one in range(3)):
        return None
    low, high = room.low_mm, room.high_mm
    foot = shapely.box(low[0] - grow, low[1] - grow, high[0] + grow, high[1] + grow)
    cut = shapely.intersection(solid.outline, foot)
    if cut.is_empty or cut.area <= NEAR_MM:
        return None
    if axis == 2:
        return solid.z0_mm if sense < 0 else solid.z1_mm
    return float(cut.bounds[axis] if sense < 0 else cut.bounds[axis + 2])
