"""Heights: how deep the halves must be for the levels that stand in them.

A *level* is one tier of one half. Foam comes in sheets, so every floor under a level and the
closing plane lie at a sum of sheet thicknesses above the floor of the half: the depths found here
can be built from the sheets that the builder has.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from functools import lru_cache

from attrs import evolve, frozen

from fitkit.fit.layout import HalfName
from fitkit.fit.sheet_sums import reachable as reachable
from fitkit.fit.sheet_sums import thickness as thickness
from fitkit.payload.model import Item, Payload, Standing
from fitkit.payload.walls import least_depth_mm, plank_depths_mm


@frozen
class Level:
    """One tier of one half; ``tier`` counts from 1 at the half's own floor."""

    half: HalfName
    tier: int


@frozen
class Tall:
    """What items ask for that stand through ``tiers`` more tiers, above their own floor [mm].

    The heights are those of :class:`Need`.
    """

    tiers: int
    body_mm: float
    room_mm: float
    flush_mm: float


@frozen
class Fixed:
    """What mounted items ask for above the floor of their half itself [mm].

    ``top_mm``: the top of the highest body; ``depth_mm``: how high the closing plane must lie.
    """

    top_mm: float
    depth_mm: float


@frozen
class Need:
    """What one level asks for, above the level's floor [mm].

    ``body_mm``: top of the tallest body; ``room_mm``: top of the highest zone or body;
    ``flush_mm``: how high the closing plane must lie at least: the top of the tallest body that may
    not stand proud, and one sheet above the bottom of any other. Items that stand through tiers
    above are not in these but in ``tall``; mounted items are not either, but in ``fixed``.
    ``bare``: nothing but mounted items stands here, so that the half has no foam.
    """

    body_mm: float
    room_mm: float
    flush_mm: float
    tall: tuple[Tall, ...] = ()
    fixed: Fixed | None = None
    bare: bool = False


@frozen
class Elevation:
    """Depth of each half [mm] and the floor of each level above its own half's floor [mm]."""

    depths_mm: tuple[float, ...]
    floors_mm: tuple[float, ...]

    @property
    def height_mm(self) -> float:
        """Inside height [mm]."""
        return sum(self.depths_mm)


def levels(payload: Payload) -> tuple[Level, ...]:
    """The levels that the case may have, lowest first, half by half."""
    tiers = range(1, payload.case.tiers + 1)
    if payload.case.form == "tray":
        return tuple(Level("tray", tier) for tier in tiers)
    used: list[HalfName] = ["deep"]
    if any("shallow" in halves_for(payload, item) for item in payload.items):
        used.append("shallow")
    return tuple(Level(half, tier) for half, tier in itertools.product(used, tiers))


_STANDINGS: dict[Standing, tuple[HalfName, ...]] = {
    "deep": ("deep",),
    "shallow": ("shallow",),
    "any": ("deep", "shallow"),
}


def halves_for(payload: Payload, item: Item) -> tuple[HalfName, ...]:
    """The halves that an item may stand in: as item or case say, else box deep, pair any."""
    if payload.case.form == "tray":
        return ("tray",)
    plain: Standing = "any" if payload.case.form == "pair" else "deep"
    return _STANDINGS[item.half or payload.case.half or plain]


def elevate(
    payload: Payload, needs: tuple[Need | None, ...], *, meet_mm: float | None = None
) -> Elevation | None:
    """The least depths that hold the levels' needs, or None where the given depths cannot.

    ``needs`` goes with :func:`levels`; None is an empty level, which takes no height. In a box
    with items in both halves, each half holds its own items whole where ``meet_mm`` is None;
    otherwise they may stand proud, and facing items may reach past each other by that much.
    """
    return _elevate(_Rules.of(payload), needs, meet_mm if meet_mm is None else round(meet_mm, 6))


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
    planks_mm: tuple[float, ...] = ()

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
            planks_mm=plank_depths_mm(payload.workshop.planks_mm, profile=payload.wall.profile),
        )

    def bare_mm(self, least_mm: float) -> float:
        """The depth of a half without foam: that of a plank, else whole millimetres."""
        least = max(least_mm, self.least_mm)
        wide = [depth for depth in self.planks_mm if depth >= least - 1e-9]
        return wide[0] if wide else float(math.ceil(round(least, 6)))

    def pad(self, least_mm: float) -> float:
        """A pad of foam under pockets: sheets, with the accent layer on top if there is one."""
        if not self.accent_mm:
            return thickness(self.sheets_mm, least_mm)
        return self.accent_mm + thickness(self.sheets_mm, least_mm - self.accent_mm)


@frozen
class _Tops:
    """How high one half is taken, from its own floor [mm]; ``floor_mm`` is its highest floor."""

    floor_mm: float
    body_mm: float
    room_mm: float
    flush_mm: float
    fixed: Fixed | None = None
    bare: bool = False

    def depth_mm(self, rules: _Rules, asked_mm: float) -> float:
        """A depth of at least ``asked_mm``: sheets above the highest floor, or free of foam."""
        if self.bare:
            return rules.bare_mm(asked_mm)
        return self.floor_mm + thickness(rules.sheets_mm, asked_mm - self.floor_mm)

    @property
    def reach_mm(self) -> float:
        """Top of bodies and zones."""
        return max(self.body_mm, self.room_mm)


@lru_cache(maxsize=65536)
def _elevate(
    rules: _Rules, needs: tuple[Need | None, ...], meet_mm: float | None
) -> Elevation | None:
    groups = (needs[: rules.tiers], needs[rules.tiers :])
    raised = [(group, _floors(rules, group)) for group in groups if group]
    floors = tuple(floor for _, own in raised for floor in own)
    tops = [_tops(group, own) for group, own in raised]
    if not any(tops):
        return None
    if rules.form == "pair":
        return _pair(rules, tops, floors)
    if rules.form == "tray":
        assert tops[0] is not None
        return _tray(rules, tops[0], floors)
    shallow = tops[1] if len(tops) > 1 else None
    if shallow is None and tops[0] is not None:
        return _box(rules, floors, tops[0])
    return _both(rules, floors, tops[0], shallow, meet_mm)


def _floors(rules: _Rules, needs: tuple[Need | None, ...]) -> tuple[float, ...]:
    """Floors of one half's levels; items through a tier push the floor above it up."""
    floors: list[float] = []
    z = rules.pad(rules.floor_mm)
    through: list[tuple[int, float]] = []  # last level crossed, and up to where
    for index, need in enumerate(needs):
        if need is not None and need.bare:
            floors.append(0.0)
            continue
        floors.append(z)
        if need is None:
            continue
        through += [(index + tall.tiers, z + max(tall.body_mm, tall.room_mm)) for tall in need.tall]
        up = max([need.body_mm, need.room_mm, *(top - z for last, top in through if last <= index)])
        z += thickness(rules.sheets_mm, up) + rules.pad(rules.tier_mm)
    return tuple(floors)


def _tops(needs: tuple[Need | None, ...], floors: tuple[float, ...]) -> _Tops | None:
    have = [(need, floor) for need, floor in zip(needs, floors, strict=True) if need is not None]
    if not have:
        return None
    asks: list[tuple[Need | Tall, float]] = [*have]
    asks += [(tall, floor) for need, floor in have for tall in need.tall]
    fixed = have[0][0].fixed
    depth = 0.0 if fixed is None else fixed.depth_mm
    return _Tops(
        floor_mm=have[-1][1],
        body_mm=max(floor + ask.body_mm for ask, floor in asks),
        room_mm=max(depth, *(floor + ask.room_mm for ask, floor in asks)),
        flush_mm=max(depth, *(floor + ask.flush_mm for ask, floor in asks)),
        fixed=fixed,
        bare=have[0][0].bare,
    )


def _tray(rules: _Rules, tops: _Tops, floors: tuple[float, ...]) -> Elevation | None:
    asked = _own_mm(rules, tops)
    given = rules.depths_mm[0]
    if given is not None:
        return Elevation((given,), floors) if given >= asked - 1e-9 else None
    return Elevation((tops.depth_mm(rules, max(asked, rules.least_mm)),), floors)


def _own_mm(rules: _Rules, tops: _Tops) -> float:
    """How deep a half must be for what stands in it, nothing of it proud but what is mounted so."""
    return tops.room_mm if tops.bare else max(tops.body_mm + rules.lid_mm, tops.room_mm)


def _deeps(rules: _Rules, tops: _Tops | None, reach_mm: float) -> list[float]:
    """Depths of the deep half worth trying: the one given, or sums of sheets up to ``reach_mm``."""
    floor = tops.floor_mm if tops else 0.0
    flush = max(tops.flush_mm, floor) if tops else 0.0
    given = rules.depths_mm[0]
    if given is None and tops is not None and tops.bare:
        return [rules.bare_mm(flush)]
    if given is not None:
        return [given] if given >= flush - 1e-9 else []
    deeps = [floor + rise for rise in reachable(rules.sheets_mm, max(reach_mm - floor, 0.0))]
    return [deep for deep in deeps if deep >= max(flush, rules.least_mm) - 1e-9]


def _box(rules: _Rules, floors: tuple[float, ...], tops: _Tops) -> Elevation | None:
    """The best place of the closing plane: least height, then the least that stands proud."""
    sheets, given_shallow = rules.sheets_mm, rules.depths_mm[1]
    best: tuple[float, float, Elevation] | None = None
    if tops.fixed is not None:  # what is mounted proud needs a relief as any other body does
        out = tops.fixed.top_mm > tops.fixed.depth_mm + 1e-9
        body = max(tops.body_mm, tops.fixed.top_mm if out else 0.0)
        tops = evolve(tops, body_mm=body)
    for deep in _deeps(rules, tops, max(tops.reach_mm, tops.flush_mm, rules.least_mm)):
        relief = thickness(sheets, tops.body_mm - deep)
        above = rules.lid_mm - max(0.0, deep - tops.body_mm)
        least = max(above, tops.room_mm - deep - relief)
        if given_shallow is None:
            shallow = relief + thickness(sheets, max(least, rules.least_mm - relief))
        elif given_shallow >= max(relief + above, tops.room_mm - deep) - 1e-9:
            shallow = given_shallow
        else:
            continue
        key = (deep + shallow, relief)
        if best is None or key < best[:2]:
            best = (*key, Elevation((deep, shallow), floors))
    return best[2] if best else None


def _both(
    rules: _Rules,
    floors: tuple[float, ...],
    deep_tops: _Tops | None,
    shallow_tops: _Tops | None,
    meet_mm: float | None,
) -> Elevation | None:
    """A box with items in the shallow half (and mostly in the deep one too).

    The height holds either half alone with its lid clearance to the panel that it faces, and both
    together with a pad between them, less what they may reach past each other. Of the places for
    the closing plane the one with the least height is taken, then one where only one half has items
    standing proud, and those the least.
    """
    present = [tops for tops in (deep_tops, shallow_tops) if tops is not None]
    if any(tops.fixed is not None for tops in present):
        return _apart(rules, floors, deep_tops, shallow_tops)
    if len(present) == 2 and meet_mm is None:
        deep_tops, shallow_tops = (evolve(tops, flush_mm=tops.reach_mm) for tops in present)
    alone = max(max(tops.body_mm + rules.lid_mm, tops.room_mm) for tops in present)
    together = sum(tops.reach_mm for tops in present) + rules.tier_mm - (meet_mm or 0.0)
    # an empty half still carries foam: its lid clearance stands against the other's bodies
    height = max(alone, together if len(present) == 2 else 0.0)
    given = rules.depths_mm[1]
    flush = max(shallow_tops.flush_mm, shallow_tops.floor_mm) if shallow_tops else 0.0
    floor = shallow_tops.floor_mm if shallow_tops else 0.0
    best: tuple[float, float, float, Elevation] | None = None
    for deep in _deeps(rules, deep_tops, max(height, rules.least_mm)):
        asked = max(height - deep, flush)
        if given is not None:
            if given < asked - 1e-9:
                continue
            shallow = given
        else:
            least = max(asked, rules.least_mm)
            shallow = floor + thickness(rules.sheets_mm, least - floor)
        out = [
            max(0.0, tops.body_mm - depth)
            for tops, depth in ((deep_tops, deep), (shallow_tops, shallow))
            if tops is not None
        ]
        key = (deep + shallow, min(out), sum(out))
        if best is None or key < best[:3]:
            best = (*key, Elevation((deep, shallow), floors))
    return best[3] if best else None


def _apart(
    rules: _Rules,
    floors: tuple[float, ...],
    deep_tops: _Tops | None,
    shallow_tops: _Tops | None,
) -> Elevation | None:
    """A box with mounted items: each half holds its own, and recesses keep them apart."""
    depths = []
    for tops, given in zip((deep_tops, shallow_tops), rules.depths_mm, strict=True):
        if tops is None:  # an empty half still carries foam
            asked = max(rules.lid_mm, rules.least_mm)
            depth = rules.pad(asked)
        else:
            asked = max(tops.room_mm, tops.flush_mm, 0.0 if tops.bare else tops.body_mm)
            depth = tops.depth_mm(rules, max(asked, rules.least_mm))
        if given is not None and given < asked - 1e-9:
            return None
        depths.append(depth if given is None else given)
    return Elevation(tuple(depths), floors)


def _pair(
    rules: _Rules, tops: Sequence[_Tops | None], floors: tuple[float, ...]
) -> Elevation | None:
    """Two halves alike: both as deep as the deeper one needs, nothing proud."""
    raw = depth = 0.0
    for one in tops:
        if one is None:
            continue
        asked = _own_mm(rules, one)
        raw = max(raw, asked)
        depth = max(depth, one.depth_mm(rules, asked))
    given = [value for value in rules.depths_mm if value is not None]
    if given:
        return Elevation((min(given),) * 2, floors) if min(given) >= raw - 1e-9 else None
    if all(one is None or one.bare for one in tops):
        depth = rules.bare_mm(depth)
        return Elevation((depth, depth), floors)
    depth = max(depth, rules.pad(rules.least_mm))
    # sheets fill the halves that have foam: a bare one that asks for more asks it of them too
    for one in tops:
        if one is not None and not one.bare:
            depth = max(depth, one.depth_mm(rules, depth))
    return Elevation((depth, depth), floors)
