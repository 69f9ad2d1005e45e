"""Heights: how deep the halves must be for the levels that stand in them.

A *level* is one tier of one half. Foam comes in sheets, so every floor under a level and the
closing plane lie at a sum of sheet thicknesses above the floor of the half: the depths found here
can be built from the sheets that the builder has.
"""

from __future__ import annotations

import itertools
import math
from functools import lru_cache

from attrs import frozen

from fitkit.fit.layout import HalfName
from fitkit.payload.model import Payload
from fitkit.payload.walls import least_depth_mm

_UNITS_PER_MM = 100
"""Sheet thicknesses are added up in hundredths of a millimetre, so that sums are exact."""


@frozen
class Level:
    """One tier of one half; ``tier`` counts from 1 at the half's own floor."""

    half: HalfName
    tier: int


@frozen
class Need:
    """What one level asks for, above the level's floor [mm].

    ``body_mm``: top of the tallest body; ``room_mm``: top of the highest zone or body;
    ``flush_mm``: top of the tallest body that may not stand proud (0 if there is none).
    """

    body_mm: float
    room_mm: float
    flush_mm: float


@frozen
class Elevation:
    """Depth of each half [mm] and the floor of each level above its own half's floor [mm]."""

    depths_mm: tuple[float, ...]
    floors_mm: tuple[float, ...]

    @property
    def height_mm(self) -> float:
        """Inside height [mm]."""
        return sum(self.depths_mm)


@lru_cache(maxsize=64)
def reachable(sheets_mm: tuple[float, ...], upto_mm: float) -> tuple[float, ...]:
    """All thicknesses that sheets add up to, from 0 to the first one at or above ``upto_mm``.

    >>> reachable((20.0, 50.0), 75.0)
    (0.0, 20.0, 40.0, 50.0, 60.0, 70.0, 80.0)
    """
    units = sorted({round(sheet * _UNITS_PER_MM) for sheet in sheets_mm})
    step = math.gcd(*units)
    steps = [unit // step for unit in units]
    top = math.ceil(round(upto_mm * _UNITS_PER_MM, 6) / step)
    found = [True] + [False] * (top + steps[0])
    for value in range(1, len(found)):
        found[value] = any(value >= unit and found[value - unit] for unit in steps)
    sums = [value for value, yes in enumerate(found) if yes]
    last = next(k for k, value in enumerate(sums) if value >= top)
    return tuple(value * step / _UNITS_PER_MM for value in sums[: last + 1])


@lru_cache(maxsize=65536)
def thickness(sheets_mm: tuple[float, ...], least_mm: float) -> float:
    """The least sum of sheets that is at least ``least_mm`` (0 where nothing is asked).

    >>> thickness((20.0, 50.0), 61.0)
    70.0
    """
    if least_mm <= 1e-9:
        return 0.0
    return next(sum_mm for sum_mm in reachable(sheets_mm, least_mm) if sum_mm >= least_mm - 1e-9)


def levels(payload: Payload) -> tuple[Level, ...]:
    """The levels that the case may have, lowest first, half by half."""
    tiers = range(1, payload.case.tiers + 1)
    if payload.case.form == "tray":
        return tuple(Level("tray", tier) for tier in tiers)
    if payload.case.form == "pair":
        halves: tuple[HalfName, HalfName] = ("deep", "shallow")
        return tuple(Level(half, tier) for half, tier in itertools.product(halves, tiers))
    return tuple(Level("deep", tier) for tier in tiers)


def elevate(payload: Payload, needs: tuple[Need | None, ...]) -> Elevation | None:
    """The least depths that hold the levels' needs, or None where the given depths cannot.

    ``needs`` goes with :func:`levels`; None is an empty level, which takes no height.
    """
    return _elevate(_Rules.of(payload), needs)


@frozen
class _Rules:
    form: str
    sheets_mm: tuple[float, ...]
    accent_mm: float
    floor_mm: float
    lid_mm: float
    tier_mm: float
    depths_mm: tuple[float | None, float | None]
    least_mm: float
    tiers: int

    @classmethod
    def of(cls, payload: Payload) -> _Rules:
        case, clear = payload.case, payload.case.clearance
        return cls(
            form=case.form,
            sheets_mm=tuple(sorted(payload.foam.sheets_mm)),
            accent_mm=payload.foam.accent_mm or 0.0,
            floor_mm=clear.floor_mm,
            lid_mm=clear.lid_mm,
            tier_mm=clear.tier_mm,
            depths_mm=case.depths_mm,
            least_mm=least_depth_mm(payload.wall.profile),
            tiers=case.tiers,
        )

    def pad(self, least_mm: float) -> float:
        """A pad of foam under pockets: sheets, with the accent layer on top if there is one."""
        if not self.accent_mm:
            return thickness(self.sheets_mm, least_mm)
        return self.accent_mm + thickness(self.sheets_mm, least_mm - self.accent_mm)


@lru_cache(maxsize=65536)
def _elevate(rules: _Rules, needs: tuple[Need | None, ...]) -> Elevation | None:
    if rules.form == "pair":
        return _pair(rules, needs)
    floors = _floors(rules, needs)
    used = [k for k, need in enumerate(needs) if need is not None]
    if not used:
        return None
    flush = max(floors[k] + need.flush_mm for k, need in enumerate(needs) if need is not None)
    body = max(floors[k] + need.body_mm for k, need in enumerate(needs) if need is not None)
    room = max(floors[k] + need.room_mm for k, need in enumerate(needs) if need is not None)
    top_floor = floors[used[-1]]
    if rules.form == "tray":
        least = max(body + rules.lid_mm, room, rules.least_mm)
        depth = top_floor + thickness(rules.sheets_mm, least - top_floor)
        given = rules.depths_mm[0]
        if given is not None:
            if given < max(body + rules.lid_mm, room) - 1e-9:
                return None
            depth = given
        return Elevation((depth,), floors)
    return _box(rules, floors, top_floor, flush, body, room)


def _floors(rules: _Rules, needs: tuple[Need | None, ...]) -> tuple[float, ...]:
    floors: list[float] = []
    z = rules.pad(rules.floor_mm)
    for need in needs:
        floors.append(z)
        if need is not None:
            z += thickness(rules.sheets_mm, max(need.body_mm, need.room_mm)) + rules.pad(
                rules.tier_mm
            )
    return tuple(floors)


def _box(
    rules: _Rules,
    floors: tuple[float, ...],
    top_floor: float,
    flush: float,
    body: float,
    room: float,
) -> Elevation | None:
    """The best place of the closing plane: least height, then the least that stands proud."""
    sheets, (given_deep, given_shallow) = rules.sheets_mm, rules.depths_mm
    if given_deep is None:
        reach = max(body, room, flush, rules.least_mm) - top_floor
        deeps = [top_floor + rise for rise in reachable(sheets, max(reach, 0.0))]
        deeps = [deep for deep in deeps if deep >= max(flush, rules.least_mm) - 1e-9]
    else:
        deeps = [given_deep] if given_deep >= max(flush, top_floor) - 1e-9 else []
    best: tuple[float, float, Elevation] | None = None
    for deep in deeps:
        relief = thickness(sheets, body - deep)
        above = rules.lid_mm - max(0.0, deep - body)
        least = max(above, room - deep - relief)
        if given_shallow is None:
            shallow = relief + thickness(sheets, max(least, rules.least_mm - relief))
        elif given_shallow >= max(relief + above, room - deep) - 1e-9:
            shallow = given_shallow
        else:
            continue
        key = (deep + shallow, relief)
        if best is None or key < best[:2]:
            best = (*key, Elevation((deep, shallow), floors))
    return best[2] if best else None


def _pair(rules: _Rules, needs: tuple[Need | None, ...]) -> Elevation | None:
    """Two halves alike: both as deep as the deeper one needs, nothing proud."""
    halves = (needs[: rules.tiers], needs[rules.tiers :])
    floors = tuple(floor for half in halves for floor in _floors(rules, half))
    raw = depth = 0.0
    for first, half in zip((0, rules.tiers), halves, strict=True):
        used = [k for k, need in enumerate(half) if need is not None]
        if not used:
            continue
        floor = floors[first + used[-1]]
        top = max(
            floors[first + k] + max(need.body_mm + rules.lid_mm, need.room_mm)
            for k, need in enumerate(half)
            if need is not None
        )
        raw = max(raw, top)
        depth = max(depth, floor + thickness(rules.sheets_mm, top - floor))
    if not depth:
        return None
    given = [value for value in rules.depths_mm if value is not None]
    if given:
        return Elevation((min(given),) * 2, floors) if min(given) >= raw - 1e-9 else None
    depth = max(depth, rules.pad(rules.least_mm))
    return Elevation((depth, depth), floors)
