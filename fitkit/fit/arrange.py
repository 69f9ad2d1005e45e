"""Layouts: spots for every copy, the size they make, and how they become placements."""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import frozen

from fitkit.fit.assign import Assignment, Problem, elevation_of, stand_mm
from fitkit.fit.bounds import GRID_MM, objective_value
from fitkit.fit.elevation import Elevation
from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.pieces import (
    Margins,
    Piece,
    Spot,
    level_holds,
    quarter_free,
    room_of,
    turned_box,
)
from fitkit.fit.stacking import holds_across, linked
from fitkit.payload.limits import sides_of
from fitkit.payload.model import Payload
from fitkit.payload.walls import least_side_mm, outside_mm


@frozen(order=False)
class Score:
    """How good a layout is: first by how much it misses limits [mm], then by its value."""

    miss_mm: float
    value: float

    def better_than(self, other: Score | None) -> bool:
        """Whether this score is better by more than rounding."""
        if other is None:
            return True
        if abs(self.miss_mm - other.miss_mm) > 1e-6:
            return self.miss_mm < other.miss_mm
        return self.value < other.value * (1 - 1e-9)

    def hopeless(self, best: Score) -> bool:
        """Whether this is so far from ``best`` that closing up the layout will not help."""
        if best.miss_mm > 0 or self.miss_mm > 0:
            return self.miss_mm > best.miss_mm + 25.0
        return self.value > best.value * 1.12


@frozen
class Layout:
    """A checked arrangement: the assignment, a spot for every copy, and the interior's size."""

    assignment: Assignment
    spots: tuple[Spot, ...]
    elevation: Elevation
    size_mm: tuple[float, float, float]
    score: Score


def score_of(problem: Problem, size_mm: tuple[float, float, float]) -> Score:
    """The score of an interior of ``size_mm``."""
    value = objective_value(problem.objective, size_mm)
    return Score(sum(miss for miss, _ in misses(problem.payload, size_mm)), value)


def misses(payload: Payload, size_mm: tuple[float, float, float]) -> list[tuple[float, str]]:
    """By how much an interior of ``size_mm`` misses each limit [mm], with a sentence for each."""
    outside = outside_mm(size_mm, profile=payload.wall.profile)
    limits = payload.case.limits
    found: list[tuple[float, str]] = []
    for side in sides_of(outside, limits=limits):
        if side.limit_mm is not None and side.over_mm > 1e-6:
            found.append(
                (
                    side.over_mm,
                    f"outside {side.name} is {side.size_mm:.1f} mm, {side.over_mm:.1f} mm over "
                    f"the limit of {side.limit_mm:.1f} mm",
                )
            )
    total = sum(outside)
    if limits.linear_mm is not None and total > limits.linear_mm + 1e-6:
        over = total - limits.linear_mm
        found.append(
            (
                over,
                f"length + width + height outside is {total:.1f} mm, {over:.1f} mm over the limit "
                f"of {limits.linear_mm:.1f} mm",
            )
        )
    return found


def arrange(problem: Problem, assignment: Assignment, spots: Sequence[Spot]) -> Layout | None:
    """A layout from spots whose levels have origins of their own; None if it does not hold.

    Levels are moved so that they share one box: each level's spare room is shared by both sides.
    Levels that hold each other in place (:func:`fitkit.fit.stacking.linked`) share one origin.
    With pins, spots are in the case's own coordinates and stay there.
    """
    elevation = elevation_of(problem, assignment)
    if elevation is None:
        return None
    margins = Margins.of(problem.payload, depth_mm=max(elevation.depths_mm))
    rooms = {}
    for levels in linked(problem, assignment):
        for level in levels:
            own = [(assignment.seats[k].piece, spots[k]) for k in assignment.of_level(level)]
            if not level_holds(own, problem.payload.case.clearance):
                return None
        group = [k for level in levels for k in assignment.of_level(level)]
        placed = [(assignment.seats[k].piece, spots[k]) for k in group]
        rooms[tuple(group)] = room_of(placed, margins)
    if not holds_across(problem, assignment, spots):
        return None
    pinned = any(pin is not None for pin in problem.pins)
    if pinned:
        if min(min(room[0], room[1]) for room in rooms.values()) < -1e-6:
            return None
        length = max(room[2] for room in rooms.values())
        width = max(room[3] for room in rooms.values())
    else:
        length = max(room[2] - room[0] for room in rooms.values())
        width = max(room[3] - room[1] for room in rooms.values())
    length, width = whole_sides(problem.payload, length, width)
    moved = list(spots)
    if not pinned:
        for members, room in rooms.items():
            dx = (length - (room[2] - room[0])) / 2 - room[0]
            dy = (width - (room[3] - room[1])) / 2 - room[1]
            for k in members:
                moved[k] = moved[k].shifted(dx, dy)
    size = (length, width, elevation.height_mm)
    layout = Layout(assignment, tuple(moved), elevation, size, score_of(problem, size))
    return layout if pinned else _turned_if_better(problem, layout)


def placements_of(problem: Problem, layout: Layout) -> tuple[Placement, ...]:
    """The layout's placements in the closed case, items standing on their level's floor."""
    made = []
    for (item, copy), seat, spot in zip(
        problem.copies, layout.assignment.seats, layout.spots, strict=True
    ):
        level = problem.levels[seat.level]
        x0, y0, _, _ = turned_box(seat.piece, spot.turn_deg)
        depths = layout.elevation.depths_mm
        z = stand_mm(
            problem.payload,
            seat.piece,
            floor_mm=layout.elevation.floors_mm[seat.level],
            depth_mm=depths[1 if level.half == "shallow" else 0],
        )
        if seat.piece.hung:
            z = layout.elevation.height_mm - z - seat.piece.solid.height_mm
        made.append(
            Placement(
                item=item.name,
                copy=copy,
                half=level.half,
                tier=level.tier,
                up=seat.piece.closed_up,
                turn_deg=round(spot.turn_deg % 360.0, 6) % 360.0,
                x_mm=round(spot.x_mm + x0, 6),
                y_mm=round(spot.y_mm + y0, 6),
                z_mm=round(z, 6),
            )
        )
    return tuple(made)


def interior_of(problem: Problem, layout: Layout) -> Interior:
    """The interior that a layout makes."""
    case = problem.payload.case
    depths = layout.elevation.depths_mm
    if case.form == "tray":
        halves: tuple[Half, ...] = (Half("tray", depths[0]),)
    else:
        halves = (Half("deep", depths[0]), Half("shallow", depths[1]))
    return Interior(
        length_mm=layout.size_mm[0],
        width_mm=layout.size_mm[1],
        halves=halves,
        corner_mm=case.corner_mm,
        draft_deg=case.draft_deg,
    )


def pin_spot(piece: Piece, pin: Placement) -> Spot:
    """The spot of a pinned placement, in the case's own coordinates."""
    x0, y0, _, _ = turned_box(piece, pin.turn_deg)
    return Spot(pin.turn_deg, pin.x_mm - x0, pin.y_mm - y0)


def whole_sides(payload: Payload, length_mm: float, width_mm: float) -> tuple[float, float]:
    """Length and width rounded up to whole steps, and to what the corners of the case need."""
    least = least_side_mm(payload.wall.profile)
    length, width = (
        math.ceil(max(side, least) / GRID_MM - 1e-6) * GRID_MM for side in (length_mm, width_mm)
    )
    return length, width


def _turned_if_better(problem: Problem, layout: Layout) -> Layout:
    """The layout with its longer side along x, or as the limits want it, where turns allow."""
    if not all(quarter_free(seat.piece) for seat in layout.assignment.seats):
        return layout
    length, width, height = layout.size_mm
    size = (width, length, height)
    turned_score = score_of(problem, size)
    wanted = turned_score.miss_mm < layout.score.miss_mm - 1e-6 or (
        abs(turned_score.miss_mm - layout.score.miss_mm) <= 1e-6 and width > length + 1e-9
    )
    if not wanted:
        return layout
    spots = tuple(
        spot.carried(seat.piece).shifted(width, 0.0)
        for spot, seat in zip(layout.spots, layout.assignment.seats, strict=True)
    )
    return Layout(layout.assignment, spots, layout.elevation, size, turned_score)
