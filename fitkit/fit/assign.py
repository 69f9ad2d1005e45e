"""Which copy stands in which level, and on which face.

An *assignment* gives every copy a level and a pose, and says through how many more tiers it
stands. Its heights follow (:mod:`fitkit.fit.elevation`), and an estimate of what the case will
come to. Assignments worth laying out come from :mod:`fitkit.fit.candidates`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from attrs import evolve, frozen

from fitkit.fit.elevation import (
    Elevation,
    Fixed,
    Level,
    Need,
    Tall,
    elevate,
    halves_for,
    levels,
    thickness,
)
from fitkit.fit.layout import Placement
from fitkit.fit.pieces import CopyKey, Piece
from fitkit.payload.model import Item, Objective, Payload
from fitkit.payload.pose import flipped


@frozen
class Seat:
    """Level (by its index) and pose of one copy.

    It stands on that level's floor, and through ``through`` more tiers of its half.
    """

    level: int
    piece: Piece
    through: int = 0


@frozen(cache_hash=True)
class Assignment:
    """A seat for every copy, in the order of the problem's copies.

    ``meet_mm`` is how far facing items of a box's two halves may reach past each other; with None
    each half holds its own items whole.
    """

    seats: tuple[Seat, ...]
    meet_mm: float | None = None

    def of_level(self, level: int) -> list[int]:
        """The copies (by index) that stand on one level's floor."""
        return [k for k, seat in enumerate(self.seats) if seat.level == level]

    def crossing(self, level: int) -> list[int]:
        """The copies (by index) that take room in one level: on its floor, or through it."""
        return [
            k
            for k, seat in enumerate(self.seats)
            if seat.level <= level <= seat.level + seat.through
        ]


@frozen(cache_hash=True)
class Problem:
    """The search's view of a payload: its copies, the poses each may take, and the levels."""

    payload: Payload
    objective: Objective
    copies: tuple[tuple[Item, int], ...]
    options: tuple[tuple[Piece, ...], ...]
    levels: tuple[Level, ...]
    pins: tuple[Placement | None, ...]

    @property
    def keys(self) -> list[CopyKey]:
        """Name and number of every copy."""
        return [(item.name, copy) for item, copy in self.copies]

    @property
    def web_mm(self) -> float:
        """The item-item clearance [mm]."""
        return self.payload.case.clearance.item_mm

    def seat(self, level: int, piece: Piece, through: int = 0) -> Seat:
        """``piece`` seated in a level: hung there if the level is in the shallow half."""
        return Seat(level, evolve(piece, hung=self.levels[level].half == "shallow"), through)


def problem_of(
    payload: Payload, *, objective: Objective, pins: Mapping[CopyKey, Placement]
) -> Problem:
    """The problem of a payload; a pinned copy keeps its pose."""
    copies = tuple((item, n) for item in payload.items for n in range(1, item.count + 1))
    kept = tuple(pins.get((item.name, n)) for item, n in copies)
    options = tuple(
        poses(item) if pin is None else (_pinned_piece(item, pin),)
        for (item, _), pin in zip(copies, kept, strict=True)
    )
    return Problem(payload, objective, copies, options, levels(payload), kept)


def _pinned_piece(item: Item, pin: Placement) -> Piece:
    hung = pin.half == "shallow"
    return Piece(item, flipped(pin.up, 0.0)[0] if hung else pin.up, hung)


@lru_cache(maxsize=512)
def poses(item: Item) -> tuple[Piece, ...]:
    """The poses of an item that differ: a pose with the same solid as an earlier one is dropped."""
    found: list[Piece] = []
    for up in item.up:
        piece = Piece(item, up)
        if all(piece.solid != other.solid for other in found):
            found.append(piece)
    return tuple(found)


def lift_of(payload: Payload, piece: Piece) -> float:
    """How far a piece stands above its level's floor [mm]: zones below it, rounded up to sheets.

    A mounted one stands on the floor of its half itself, by way of what holds it: no foam lies
    under it. Where it hangs before a wall the floor clearance is kept.
    """
    if piece.item.mount is not None:
        least = payload.case.clearance.floor_mm if piece.item.mount.upright else 0.0
        return max(piece.lift_mm, least)
    return thickness(tuple(sorted(payload.foam.sheets_mm)), piece.lift_mm)


def stand_mm(payload: Payload, piece: Piece, *, floor_mm: float, depth_mm: float) -> float:
    """How high a piece stands above the floor of its half [mm].

    ``floor_mm`` is its level's floor, ``depth_mm`` the depth of its half. A mounted one whose
    recess is given keeps that recess, and what the half is deeper than needed lies behind it.
    """
    mount = piece.item.mount
    if mount is None:
        return floor_mm + lift_of(payload, piece)
    if mount.recess_mm is not None and mount.faces == "closing plane":
        return depth_mm - mount.recess_mm - piece.solid.height_mm
    return lift_of(payload, piece)


def depth_asked_mm(payload: Payload, piece: Piece) -> tuple[float, float]:
    """What a mounted piece asks of its half [mm]: top of its body, and depth at the closing plane.

    From the floor of the half up: what holds it, its body, and its recess or what zones before its
    front take. Below 0, the recess leaves the top of the body above the depth asked for.
    """
    mount, solid = piece.item.mount, piece.solid
    assert mount is not None
    top = lift_of(payload, piece) + solid.height_mm
    above = solid.reach_mm[1] - solid.z1_mm
    if mount.faces == "closing plane" and above <= 0.0:
        above = mount.asked_recess_mm
    elif mount.upright:
        above = max(above, payload.case.clearance.lid_mm)
    return top, top + above


@lru_cache(maxsize=2048)
def _heights_mm(sheets_mm: tuple[float, ...], piece: Piece) -> tuple[float, float]:
    """Top of the body, and of body and zones, above the level's floor [mm]."""
    solid, lift = piece.solid, thickness(sheets_mm, piece.lift_mm)
    return lift + solid.z1_mm - solid.z0_mm, lift + solid.reach_mm[1] - solid.z0_mm


def need_of(payload: Payload, seats: Sequence[Seat]) -> Need | None:
    """What those who stand on one level's floor ask for in height."""
    if not seats:
        return None
    mounted = [
        depth_asked_mm(payload, evolve(seat.piece, hung=False))
        for seat in seats
        if seat.piece.item.mount is not None
    ]
    fixed = None
    if mounted:
        fixed = Fixed(max(top for top, _ in mounted), max(depth for _, depth in mounted))
        seats = [seat for seat in seats if seat.piece.item.mount is None]
    if not seats:
        return Need(0.0, 0.0, 0.0, fixed=fixed, bare=True)
    asks: dict[int, tuple[float, float, float]] = {0: (0.0, 0.0, 0.0)}
    sheets = tuple(sorted(payload.foam.sheets_mm))
    for seat in seats:
        top, reach = _heights_mm(sheets, evolve(seat.piece, hung=False))
        # what may stand proud is held by its pocket in one sheet at least
        held = top - seat.piece.solid.height_mm + sheets[0]
        flush = min(held, top) if seat.piece.item.proud else top
        body, room, level = asks.get(seat.through, (0.0, 0.0, 0.0))
        asks[seat.through] = (max(body, top), max(room, reach), max(level, flush))
    tall = tuple(Tall(tiers, *ask) for tiers, ask in sorted(asks.items()) if tiers)
    return Need(*asks[0], tall, fixed)


def elevation_of(problem: Problem, assignment: Assignment) -> Elevation | None:
    """The least depths for an assignment; None where it does not stand.

    Given depths may not hold it; or an item that is said to stand through tiers ends below the
    highest of them, so that foam would lie over it.
    """
    needs = tuple(
        need_of(problem.payload, [assignment.seats[k] for k in assignment.of_level(level)])
        for level in range(len(problem.levels))
    )
    found = elevate(problem.payload, needs, meet_mm=assignment.meet_mm)
    if found is None or not all(_ends_there(problem, seat, found) for seat in assignment.seats):
        return None
    return found


def _ends_there(problem: Problem, seat: Seat, elevation: Elevation) -> bool:
    """Does a seat's body reach above the floor of the highest tier that it stands through?"""
    if not seat.through:
        return True
    floors, sheets = elevation.floors_mm, tuple(sorted(problem.payload.foam.sheets_mm))
    top, _ = _heights_mm(sheets, evolve(seat.piece, hung=False))
    return floors[seat.level] + top > floors[seat.level + seat.through] + 1e-6


def stands(problem: Problem, assignment: Assignment) -> bool:
    """Whether an assignment makes sense: no empty tier below a used one, reach, and the halves.

    Where mounted items stand, no tier lies above the first.

    Items that stand through tiers end in a tier that is used; those that must always be in reach
    are in, or reach through, the highest tier of their half; each is in a half that it may be in.
    """
    used = {seat.level for seat in assignment.seats}
    if not consecutive(problem.levels, sorted(used)):
        return False
    highest: dict[str, int] = {}
    for level in used:
        place = problem.levels[level]
        highest[place.half] = max(highest.get(place.half, 0), place.tier)
    for seat in assignment.seats:
        place, item = problem.levels[seat.level], seat.piece.item
        top = place.tier + seat.through
        if place.half not in halves_for(problem.payload, item) or top > highest[place.half]:
            return False
        if item.reach == "always" and top != highest[place.half]:
            return False
        if item.mount is not None and (top > 1 or highest[place.half] > 1):
            return False
    return True


def consecutive(places: Sequence[Level], chosen: Sequence[int]) -> bool:
    """Whether the chosen levels stand on each other: no half has a gap in its tiers."""
    tiers: dict[str, list[int]] = {}
    for index in chosen:
        tiers.setdefault(places[index].half, []).append(places[index].tier)
    return all(sorted(have) == list(range(1, len(have) + 1)) for have in tiers.values())
