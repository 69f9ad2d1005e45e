"""How few cases there can be: bounds that no sharing out undercuts.

*Mass*: the items' known masses go into bins of the limit (bound L2 of Martello and Toth, "Knapsack
Problems", 1990, section 8.3; from memory). *Plan and height*: along any upright line through a case
the bodies that it meets, each grown by half the web, stand above each other with a pad between
them; so their heights, or any dual feasible function of them, add up to no more than one case's.
Summed over the plan this says how much one case holds. *Whole kit*: a bound on the one case's sum
of sides that is over the limit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import evolve, frozen

from fitkit.fit.assign import poses
from fitkit.fit.bounds import lower_bound, share
from fitkit.payload.model import Limits, Payload
from fitkit.payload.walls import build_up_mm

STEP_MM = 1.0
"""Steps in which heights are tried against a limit on the sum of the sides [mm]."""


@frozen
class Least:
    """A number of cases below which none will do, and the name of the bound that says so."""

    cases: int
    name: str


@frozen
class _Pose:
    area_mm2: float
    height_mm: float
    short_mm: float
    long_mm: float


@frozen
class _Room:
    """The most that one case can be inside, less what walls, floor and lid keep free [mm].

    ``plan_mm2`` is the greatest plan for the outlines grown by half a web.
    """

    long_mm: float
    short_mm: float
    height_mm: float
    plan_mm2: float


def least_cases(payload: Payload, *, empty_kg: float = 0.0) -> Least:
    """The greatest of the bounds; 1 where no limit calls for more.

    ``empty_kg`` is what every case weighs at least without its items.
    """
    found = [Least(1, "one case at least")]
    limit = payload.case.limits.mass_kg
    masses = [item.mass_kg or 0.0 for item in payload.items for _ in range(item.count)]
    if limit is not None and limit > empty_kg:
        name = "mass of items and empty cases" if empty_kg else "mass of the items"
        found.append(Least(bins_at_least(masses, limit - empty_kg), name))
    found.append(Least(_by_plan_and_height(payload), "plan area and height"))
    found.append(Least(_by_sum_of_sides(payload), "sum of the sides of one case"))
    return max(found, key=lambda least: least.cases)


def bins_at_least(weights: Sequence[float], capacity: float) -> int:
    """A lower bound on the number of bins of ``capacity`` that ``weights`` need (L2).

    For each threshold k: weights above capacity - k need a bin each, those above half a bin each
    too, and of those from k up to a half as much as the latter leave no room for. Weights above
    the capacity count as the capacity.

    >>> bins_at_least([6, 6, 6, 3, 3], 10), bins_at_least([4, 4, 4], 10), bins_at_least([], 10)
    (3, 2, 0)
    """
    cut = [min(w, capacity) for w in weights if w > 0]
    if not cut:
        return 0
    slack = capacity * 1e-9
    best = math.ceil(sum(cut) / capacity - 1e-9)
    for k in sorted({0.0, *(w for w in cut if w <= capacity / 2)}):
        huge = [w for w in cut if w > capacity - k + slack]
        large = [w for w in cut if capacity / 2 + slack < w <= capacity - k + slack]
        small = [w for w in cut if k - slack <= w <= capacity / 2 + slack]
        left = len(large) * capacity - sum(large)
        more = max(0, math.ceil((sum(small) - left) / capacity - 1e-9))
        best = max(best, len(huge) + len(large) + more)
    return best


def _by_plan_and_height(payload: Payload) -> int:
    room = _room(payload.case.limits, payload)
    if room is None or room.plan_mm2 <= 0 or room.height_mm <= 0:
        return 1
    tier = payload.case.clearance.tier_mm
    high = room.height_mm + tier
    copies: list[list[tuple[float, float]]] = []
    for item in payload.items:
        able = _able(payload, item_poses=_poses(payload, item.name), room=room)
        if not able:
            return 1  # no pose goes in: no number of cases will do, and the search says so
        copies += [[(pose.area_mm2, (pose.height_mm + tier) / high) for pose in able]] * item.count
    best = 1
    marks = {0.0, 0.5, *(x for able in copies for _, x in able if x <= 0.5)}
    for mark in sorted(marks):
        total = sum(min(area * _dual(x, mark) for area, x in able) for able in copies)
        best = max(best, math.ceil(total / room.plan_mm2 - 1e-9))
    return best


def _dual(x: float, mark: float) -> float:
    """A dual feasible function: sums of values are at most 1 where the x add up to at most 1.

    For 0 <= mark <= 1/2: 1 above 1 - mark, x from mark up, 0 below it (the function behind L2).
    """
    if x > 1 - mark + 1e-9:
        return 1.0
    return x if x >= mark - 1e-9 else 0.0


def _poses(payload: Payload, name: str) -> list[_Pose]:
    clear = payload.case.clearance
    grow = min(clear.item_mm / 2, clear.wall_mm)
    made = []
    for piece in poses(payload.item(name)):
        asked = share(piece, grow)
        made.append(_Pose(asked.area_mm2, asked.height_mm, asked.short_mm, asked.long_mm))
    return made


def _able(payload: Payload, *, item_poses: list[_Pose], room: _Room) -> list[_Pose]:
    wall = 2 * payload.case.clearance.wall_mm
    return [
        pose
        for pose in item_poses
        if pose.height_mm <= room.height_mm + 1e-6
        and pose.long_mm + wall <= room.long_mm + 1e-6
        and pose.short_mm + wall <= room.short_mm + 1e-6
    ]


def _room(limits: Limits, payload: Payload) -> _Room | None:
    """The most room that the limits leave one case; None where they leave it without bound."""
    clear, both = payload.case.clearance, 2 * build_up_mm(payload.wall.profile)
    free = [math.inf if side is None else side - both for side in limits.outside_mm]
    total = math.inf if limits.linear_mm is None else limits.linear_mm - 3 * both
    if math.isinf(total) and math.isinf(free[0] + free[1] + free[2]):
        return None
    grow = min(clear.item_mm / 2, clear.wall_mm)
    rim = 2 * (clear.wall_mm - grow)
    around = clear.floor_mm + min(clear.lid_mm, clear.floor_mm)
    long, short = max(free[:2]), min(free[:2])
    if math.isinf(total):
        return _Room(long, short, free[2] - around, (long - rim) * (short - rim))
    # the flattest case has the largest plan: the kit's flattest item is in some case
    flat = min(pose.height_mm for item in payload.items for pose in _poses(payload, item.name))
    left = total - flat - around
    width = min(short, left / 2)
    length = min(long, left - width)
    least = min(pose.short_mm for item in payload.items for pose in _poses(payload, item.name))
    high = min(free[2], total - 2 * (least + 2 * clear.wall_mm))
    reach = min(long, left - least - 2 * clear.wall_mm)
    return _Room(reach, min(short, left / 2), high - around, (length - rim) * (width - rim))


def _by_sum_of_sides(payload: Payload) -> int:
    linear = payload.case.limits.linear_mm
    if linear is None:
        return 1
    plain = evolve(payload, case=evolve(payload.case, several=False, ready_made=()))
    options = [poses(item) for item in plain.items for _ in range(item.count)]
    least = lower_bound(plain, options, objective="linear")
    return 2 if least + 6 * build_up_mm(payload.wall.profile) > linear + 1e-6 else 1
