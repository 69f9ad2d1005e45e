"""Of layouts that are alike in every other way, the one that carries its heavy items low.

Two changes cost nothing: tiers of one half change places, where the height stays the same and
nothing stands through them; and a box whose halves both hold items is turned over, so that what
stood in the shallow half stands in the deep one.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from attrs import evolve

from fitkit.fit.arrange import Layout, pin_spot, placements_of
from fitkit.fit.assign import Assignment, Problem, Seat, elevation_of, stands
from fitkit.fit.pieces import Spot
from fitkit.fit.place import place_all
from fitkit.fit.stacking import across, holds_across
from fitkit.payload.pose import flipped


def heavy_low(problem: Problem, layout: Layout) -> Layout:
    """The layout of the same size with the least moment of mass about the floor (kg mm).

    Items of unknown mass count nothing. Pinned layouts come back as they are.
    """
    if any(problem.pins):
        return layout
    best, least = layout, _moment(problem, layout)
    for start in (layout, _turned_over(problem, layout)):
        if start is None:
            continue
        for other in (start, *_tiers_changed(problem, start)):
            moment = _moment(problem, other)
            if moment < least - 1e-6:
                best, least = other, moment
    return best


def _moment(problem: Problem, layout: Layout) -> float:
    placed = place_all(problem.payload, placements_of(problem, layout))
    return sum((one.item.mass_kg or 0.0) * (one.z0_mm + one.z1_mm) / 2 for one in placed)


def _tiers_changed(problem: Problem, layout: Layout) -> Iterator[Layout]:
    """The layout with the tiers of its halves in other orders; same size, same spots."""
    assignment = layout.assignment
    if across(problem, assignment):
        return
    used = sorted({seat.level for seat in assignment.seats})
    halves = [
        [k for k in used if problem.levels[k].half == half]
        for half in dict.fromkeys(problem.levels[k].half for k in used)
    ]
    for orders in itertools.product(*(itertools.permutations(half) for half in halves)):
        now = {
            old: new
            for half, order in zip(halves, orders, strict=True)
            for old, new in zip(order, half, strict=True)
        }
        seats = [evolve(seat, level=now[seat.level]) for seat in assignment.seats]
        made = _same_size(problem, layout, seats, layout.spots)
        if made is not None:
            yield made


def _same_size(
    problem: Problem, layout: Layout, seats: Sequence[Seat], spots: Sequence[Spot]
) -> Layout | None:
    """The layout with other seats and spots; None where its height changes or it does not hold."""
    assignment = Assignment(tuple(seats), layout.assignment.meet_mm)
    elevation = elevation_of(problem, assignment)
    if elevation is None or abs(elevation.height_mm - layout.elevation.height_mm) > 1e-6:
        return None
    if not stands(problem, assignment) or not holds_across(problem, assignment, spots):
        return None
    return evolve(layout, assignment=assignment, spots=tuple(spots), elevation=elevation)


def _turned_over(problem: Problem, layout: Layout) -> Layout | None:
    """A box turned over about its length: deep and shallow half change places."""
    assignment = layout.assignment
    if problem.payload.case.form != "box" or len({lv.half for lv in problem.levels}) < 2:
        return None
    per_half = len(problem.levels) // 2
    seats, spots = [], []
    for seat, placement in zip(assignment.seats, placements_of(problem, layout), strict=True):
        level = (seat.level + per_half) % len(problem.levels)
        plain = evolve(seat.piece, hung=False)
        new = problem.seat(level, plain, seat.through)
        up, turn_deg = flipped(placement.up, placement.turn_deg)
        if up != new.piece.closed_up:
            return None
        x0, _, _, y1 = place_all(problem.payload, (placement,))[0].solid.silhouette.bounds
        over = evolve(placement, turn_deg=turn_deg, x_mm=x0, y_mm=layout.size_mm[1] - y1)
        seats.append(new)
        spots.append(pin_spot(new.piece, over))
    return _same_size(problem, layout, seats, spots)
