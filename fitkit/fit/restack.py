"""Heights worked out anew for a layout that was changed by hand: tiers, halves, and poses.

Plan positions stay. The floors and depths are those that the search would give the same levels
(:mod:`fitkit.fit.elevation`): what is tall stands through the tiers above it, and facing items of a
box's halves reach past each other, wherever the plan leaves them room and the case gets lower by
it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from attrs import evolve

from fitkit.errors import BadInput, Fault
from fitkit.fit.arrange import pin_spot
from fitkit.fit.assign import Assignment, Problem, elevation_of, lift_of, stand_mm
from fitkit.fit.candidates import meeting
from fitkit.fit.elevation import Elevation, Level, halves_for
from fitkit.fit.layout import HalfName, Interior, Placement
from fitkit.fit.move import Key, find, key_of, own_pose, piece_of, plan_box
from fitkit.fit.pieces import Spot
from fitkit.fit.stacking import holds_across
from fitkit.payload.model import Payload
from fitkit.payload.pose import flipped

SAME_MM = 1e-6


def sent_to(
    payload: Payload,
    interior: Interior,
    placements: tuple[Placement, ...],
    keys: Collection[Key],
    *,
    half: HalfName,
    tier: int,
    fixed: bool = False,
) -> tuple[Interior, tuple[Placement, ...]]:
    """The layout with ``keys`` moved to a tier of a half, seen from above where they were.

    ``tier`` may be one more than the highest: then a new tier lies on top. In the shallow half an
    item hangs, with the same face out of its half as before. Tiers left empty vanish, and all
    heights are worked out anew (:func:`restacked`).

    BadInput, with every fault at once, where an item may not stand in that half, or where the
    case would have more tiers than the sheet allows. KeyError if a key is not placed.
    """
    going = list(dict.fromkeys(keys))
    faults = [*_refused(payload, placements, going, half), *_no_half(interior, half)]
    sent = tuple(_hung(payload, p, half, tier) if key_of(p) in going else p for p in placements)
    sent = _closed_up(sent)
    most = payload.case.tiers
    if not 1 <= tier <= most + 1 or _highest(sent) > max(most, _highest(placements)):
        found = f"the sheet allows {most} in each half"
        remedy = "choose one of those, or raise tiers under [case] in the payload sheet"
        faults.append(Fault(f"tier {tier}", found, remedy))
    if faults:
        raise BadInput(faults)
    return restacked(payload, interior, sent, fixed=fixed)


def restacked(
    payload: Payload,
    interior: Interior,
    placements: tuple[Placement, ...],
    *,
    fixed: bool = False,
) -> tuple[Interior, tuple[Placement, ...]]:
    """The layout with all heights worked out anew: depths of the halves, floors of the levels.

    Every item stands on its level's floor, raised by zones below it. Tiers without items vanish.
    With ``fixed`` the interior keeps its depths, as it does where the sheet gives them and they
    hold no such layout: items then stand as they can, and
    :func:`fitkit.fit.validate.violations` says what that breaks. Length and width stay.
    """
    if not placements:
        return interior, placements
    placements = _closed_up(placements)
    given = tuple(half.depth_mm for half in interior.halves)
    here = evolve(payload, case=evolve(payload.case, depths_mm=_pair_of(given)))
    assignment, elevation = _stacked(here if fixed else payload, placements)
    if elevation is None:  # the depths hold nothing of the kind: heights as if they were free
        free = evolve(payload, case=evolve(payload.case, depths_mm=(None, None)))
        assignment, elevation = _stacked(free, placements)
        assert elevation is not None
        fixed = True
    depths = given if fixed else elevation.depths_mm
    halves = tuple(
        evolve(half, depth_mm=depth) for half, depth in zip(interior.halves, depths, strict=True)
    )
    floors = [elevation.floors_mm[seat.level] for seat in assignment.seats]
    return evolve(interior, halves=halves), tuple(
        evolve(p, z_mm=_z_mm(payload, p, floor, depths))
        for p, floor in zip(placements, floors, strict=True)
    )


def _z_mm(
    payload: Payload, placement: Placement, floor_mm: float, depths_mm: Sequence[float]
) -> float:
    piece = piece_of(payload, placement)
    depth_mm = depths_mm[1 if piece.hung else 0]
    own = stand_mm(payload, piece, floor_mm=floor_mm, depth_mm=depth_mm)
    if piece.hung:
        own = sum(depths_mm) - own - piece.solid.height_mm
    return round(own, 6)


def _pair_of(depths_mm: Sequence[float]) -> tuple[float | None, float | None]:
    return (depths_mm[0], depths_mm[1] if len(depths_mm) > 1 else None)


# ---- levels and poses


def _refused(
    payload: Payload, placements: tuple[Placement, ...], keys: Sequence[Key], half: HalfName
) -> Iterator[Fault]:
    for name in dict.fromkeys(find(placements, key).item for key in keys):
        may = halves_for(payload, payload.item(name))
        if half not in may:
            found = f"may not stand in the {half} half (it may: {', '.join(may)})"
            remedy = f'write half = "{half}" or "any" for it in the payload sheet to allow it'
            yield Fault(f'item "{name}"', found, remedy)


def _no_half(interior: Interior, half: HalfName) -> Iterator[Fault]:
    names = [one.name for one in interior.halves]
    if half not in names:
        yield Fault(f"{half} half", "this case has none", f"choose: {', '.join(names)}")


def _hung(payload: Payload, old: Placement, half: HalfName, tier: int) -> Placement:
    """A placement in another level, its own face out, the middle of its box where it was."""
    up, turn_deg = own_pose(old)
    if half == "shallow":
        up, turn_deg = flipped(up, turn_deg)
    new = evolve(old, half=half, tier=tier, up=up, turn_deg=turn_deg)
    before, after = plan_box(payload, old).centre_mm, plan_box(payload, new).centre_mm
    return evolve(new, x_mm=old.x_mm + before[0] - after[0], y_mm=old.y_mm + before[1] - after[1])


def _closed_up(placements: tuple[Placement, ...]) -> tuple[Placement, ...]:
    """Tiers numbered from 1 without gaps in each half."""
    used: dict[HalfName, list[int]] = {}
    for p in placements:
        used.setdefault(p.half, []).append(p.tier)
    now = {
        (half, tier): k
        for half, tiers in used.items()
        for k, tier in enumerate(sorted(set(tiers)), 1)
    }
    return tuple(evolve(p, tier=now[p.half, p.tier]) for p in placements)


def _highest(placements: tuple[Placement, ...]) -> int:
    return max((p.tier for p in placements), default=1)


# ---- heights


def _stacked(
    payload: Payload, placements: tuple[Placement, ...]
) -> tuple[Assignment, Elevation | None]:
    """The assignment of least height that the plan positions leave room for."""
    tiers = max(payload.case.tiers, _highest(placements))
    payload = evolve(payload, case=evolve(payload.case, tiers=tiers))
    problem, base = _problem(payload, placements)
    spots = [pin_spot(seat.piece, p) for seat, p in zip(base.seats, placements, strict=True)]
    through = _standing_through(problem, base, spots)
    best, height = base, _height(problem, base)
    for one in (through, *meeting(problem, base), *meeting(problem, through)):
        lower = _height(problem, one)
        if lower < height - SAME_MM and holds_across(problem, one, spots):
            best, height = one, lower
    return best, elevation_of(problem, best)


def _problem(payload: Payload, placements: tuple[Placement, ...]) -> tuple[Problem, Assignment]:
    """The placed copies as a problem of the search, and their levels and poses as they stand."""
    halves: tuple[HalfName, ...] = ("deep", "shallow")
    if payload.case.form == "tray":
        halves = ("tray",)
    elif all(p.half == "deep" for p in placements):
        halves = ("deep",)
    places = tuple(
        Level(half, tier) for half in halves for tier in range(1, payload.case.tiers + 1)
    )
    index = {(level.half, level.tier): k for k, level in enumerate(places)}
    pieces = [evolve(piece_of(payload, p), hung=False) for p in placements]
    problem = Problem(
        payload,
        payload.case.objective,
        tuple((piece.item, p.copy) for piece, p in zip(pieces, placements, strict=True)),
        tuple((piece,) for piece in pieces),
        places,
        (None,) * len(placements),
    )
    seats = tuple(
        problem.seat(index[p.half, p.tier], piece)
        for p, piece in zip(placements, pieces, strict=True)
    )
    return problem, Assignment(seats)


def _standing_through(problem: Problem, base: Assignment, spots: Sequence[Spot]) -> Assignment:
    """The tallest of each tier standing through the next one, wherever that lowers the case.

    Tier by tier from the floor: of those that reach a tier, the tallest 1, 2, 3 ... are let
    through to the next, as long as the plan leaves them room there.
    """
    used = {seat.level for seat in base.seats}
    best = base
    for level in sorted(used):
        if level + 1 not in used or problem.levels[level + 1].half != problem.levels[level].half:
            continue
        crossing = [
            k for k in best.crossing(level) if best.seats[k].level + best.seats[k].through == level
        ]
        crossing.sort(key=lambda k: -_top_mm(problem, best, k))
        seats, height = list(best.seats), _height(problem, best)
        for k in crossing:
            seats[k] = evolve(seats[k], through=seats[k].through + 1)
            able = evolve(best, seats=tuple(seats))
            lower = _height(problem, able)
            if lower < height - SAME_MM and holds_across(problem, able, spots):
                best, height = able, lower
    return best


def _top_mm(problem: Problem, assignment: Assignment, copy: int) -> float:
    """How high a copy reaches above its level's floor."""
    piece = assignment.seats[copy].piece
    solid = piece.solid
    return lift_of(problem.payload, piece) + solid.reach_mm[1] - solid.z0_mm


def _height(problem: Problem, assignment: Assignment) -> float:
    elevation = elevation_of(problem, assignment)
    return float("inf") if elevation is None else elevation.height_mm
