"""The stack of sheets of each half, with every item settled on a boundary between two of them.

Rules: a pocket's floor is a boundary; the foam under tier 1 is at least the floor clearance, the
pad under a higher tier at least the tier clearance; the underside of a higher tier is a boundary
too, so that the tier lifts out as one glued block. Within its tier an item may be raised, up to
the top of the tallest, so that it is easy to grab. With an accent layer the items of a tier stay
on its floor, so that the accent shows under each of them.
"""

from __future__ import annotations

import itertools
import math

import attrs
from attrs import frozen

from fitkit.fit.layout import HalfName, Interior, Placement
from fitkit.fit.place import Placed, place_all
from fitkit.foam.sheet_search import Found, Window, heights, search
from fitkit.foam.view import SAME_MM, HalfView, Stand, stand, views
from fitkit.payload.model import Payload

MOST_SHIFTS = 400
"""How many ways of shifting whole tiers are tried when the fit's own heights do not stack."""

LEDGE_MM = 10.0
"""A foot lower than this is not worth a boundary of its own [mm] (assumption)."""

LEDGE_SHARE = 0.2
"""A part that overhangs by this share of the item's plan area is worth foam under it
(assumption)."""

AIR_MM = 0.05
"""Less air than this at the closing plane is no gap [mm]."""


@frozen
class Stack:
    """The sheets of one half, from its own floor to the closing plane.

    ``accents`` says which sheets are accent layers, ``gap_mm`` is the air left at the closing
    plane, ``splits_mm`` are the undersides of tiers 2 and up above the half's own floor.
    """

    half: HalfName
    sheets_mm: tuple[float, ...]
    accents: tuple[bool, ...]
    gap_mm: float
    splits_mm: tuple[float, ...] = ()

    @property
    def boundaries_mm(self) -> tuple[float, ...]:
        """Heights of all layer boundaries above the half's own floor, from 0 [mm]."""
        return tuple(round(b, 6) for b in itertools.accumulate(self.sheets_mm, initial=0.0))

    def floor_under(self, own_mm: float) -> float:
        """The highest boundary that is not above ``own_mm`` [mm]."""
        return max(b for b in self.boundaries_mm if b <= own_mm + SAME_MM or b == 0.0)


@frozen
class Stacks:
    """The stacks of all halves and the placements settled on them."""

    stacks: tuple[Stack, ...]
    placements: tuple[Placement, ...]
    notes: tuple[str, ...] = ()

    def stack(self, half: HalfName) -> Stack:
        """The stack of ``half``; KeyError if there is none."""
        for stack in self.stacks:
            if stack.half == half:
                return stack
        raise KeyError(half)


@frozen
class _Tier:
    """One tier of one half: who stands in it and what bounds it (heights from the half's floor).

    ``through`` are those that stand through the next tier as well: they do not count in ``top_mm``
    or ``highest_mm`` (of zones and bodies, of bodies), only in ``reach_mm``.
    """

    number: int
    stands: tuple[Stand, ...]
    through: frozenset[str]
    floor_mm: float
    low_mm: float
    top_mm: float
    highest_mm: float
    reach_mm: float


def settle(payload: Payload, *, interior: Interior, placements: tuple[Placement, ...]) -> Stacks:
    """Sheets for every half, and the placements with new ``z_mm`` on their boundaries.

    Order of wishes: no rule broken, least air at the closing plane, fit's heights kept, at most
    one sheet spent on items out of a finger's reach, fewest sheets, fewest thicknesses, tops as
    high as their tier allows. What cannot be kept is said in the notes, never hidden.
    """
    placed = place_all(payload, placements)
    notes: list[str] = []
    stacks: list[Stack] = []
    moved = list(placements)
    for view in views(interior):
        # the second half sees the items of the first where they have been settled
        stack, shifts, said = _half(payload, view, placed)
        stacks.append(stack)
        notes.extend(said)
        for index, rise in shifts.items():
            old = placements[index]
            moved[index] = attrs.evolve(old, z_mm=round(old.z_mm + view.sign * rise, 6))
        placed = place_all(payload, tuple(moved))
    return Stacks(tuple(stacks), tuple(moved), tuple(notes))


def tier_top(stack: Stack, one: Stand) -> float:
    """Up to where an item's pocket is open: the underside of the next tier, or the top [mm].

    Where all of a tier stand through the next one, the next lies no higher than a pad: they belong
    to its block.
    """
    above = stack.splits_mm[one.tier - 1 :] if one.at_home else ()
    over = [split for split in above if split > one.low_mm + SAME_MM]
    return over[0] if over else stack.boundaries_mm[-1]


def open_to(stack: Stack, one: Stand) -> float:
    """Up to where the foam is open over an item of this half [mm].

    That is the top of the highest tier that the item reaches into: what stands through the next
    tier is lifted out through it.
    """
    above = [split for split in stack.splits_mm if split >= one.top_mm - SAME_MM]
    return above[0] if above else stack.boundaries_mm[-1]


def _half(
    payload: Payload, view: HalfView, placed: tuple[Placed, ...]
) -> tuple[Stack, dict[int, float], list[str]]:
    stands = [stand(one, view) for one in placed]
    home = {k: s for k, s in enumerate(stands) if s.at_home and s.placed.item.mount is None}
    if not home and any(s.at_home for s in stands):  # nothing but mounted items: no foam
        return Stack(view.name, (), (), view.depth_mm), {}, []
    away = [s for s in stands if not s.at_home]
    facing = away if payload.case.form == "box" else _guests(away, view)
    tiers = _tiers(home)
    notes: list[str] = []
    accent_mm = payload.foam.accent_mm if tiers else None
    found, shift = _solve(payload, view, tiers, facing, accent_mm)
    if accent_mm and found.missed:
        plain, plain_shift = _solve(payload, view, tiers, facing, None)
        if len(plain.missed) < len(found.missed):
            notes.append(
                f"{view.name} half: an accent layer of {accent_mm:g} mm and the sheets at hand do "
                "not add up to the heights of its pockets, so it is left out; choose another "
                "thickness or leave the depths free"
            )
            found, shift, accent_mm = plain, plain_shift, None
    gap = round(view.depth_mm - sum(found.sheets_mm), 6)
    stack = Stack(view.name, found.sheets_mm, found.accents, gap)
    stack = attrs.evolve(stack, splits_mm=_splits(payload, stack, tiers, shift))
    notes.extend(_remarks(view, stack, found))
    rises: dict[int, float] = {}
    windows = {w.name: w for w in _windows(payload, view, tiers, facing, accent_mm, shift)}
    for key, one in home.items():
        window = windows.get(_pocket_name(one)) or windows[_tier_name(view, one.tier)]
        base = one.low_mm + shift.get(one.tier, 0.0)
        floor = stack.floor_under(window.high_mm)
        if floor < window.low_mm - SAME_MM:
            floor = base
            under = stack.floor_under(base)
            if base - under > SAME_MM:
                notes.append(
                    f"{one.label}: no layer ends at its underside; lay a packing piece of "
                    f"{base - under:.1f} mm into its pocket"
                )
        rises[key] = floor - one.low_mm
    return stack, rises, notes


def _guests(away: list[Stand], view: HalfView) -> list[Stand]:
    """Those of the other half that stand proud into this one."""
    return [s for s in away if s.low_mm < view.depth_mm - SAME_MM]


def _tiers(home: dict[int, Stand]) -> tuple[_Tier, ...]:
    groups = [
        tuple(s for s in home.values() if s.tier == number)
        for number in sorted({s.tier for s in home.values()})
    ]
    floors = [min(s.low_mm for s in stands) for stands in groups]
    made = []
    for place, stands in enumerate(groups):
        above = min(floors[place + 1 :], default=math.inf)
        through = frozenset(s.label for s in stands if s.top_mm > above + SAME_MM)
        low = [s for s in stands if s.label not in through]
        made.append(
            _Tier(
                number=stands[0].tier,
                stands=stands,
                through=through,
                floor_mm=floors[place],
                low_mm=min(s.reach_mm[0] for s in stands),
                top_mm=max((s.reach_mm[1] for s in low), default=floors[place]),
                highest_mm=max((s.top_mm for s in low), default=floors[place]),
                reach_mm=max(s.reach_mm[1] for s in stands),
            )
        )
    return tuple(made)


def _solve(
    payload: Payload,
    view: HalfView,
    tiers: tuple[_Tier, ...],
    facing: list[Stand],
    accent_mm: float | None,
) -> tuple[Found, dict[int, float]]:
    """The best stack, with whole tiers shifted where the fit's heights cannot be stacked."""
    best: tuple[tuple[float, ...], Found, dict[int, float]] | None = None
    all_sums = heights(payload.foam.sheets_mm, view.depth_mm)
    for shift in _shifts(payload, view, tiers, accent_mm):
        windows = _windows(payload, view, tiers, facing, accent_mm, shift)
        found = search(
            view.depth_mm, sheets_mm=payload.foam.sheets_mm, windows=windows, accent_mm=accent_mm
        )
        gap = view.depth_mm - sum(found.sheets_mm)
        key = (len(found.missed), gap, sum(abs(v) for v in shift.values()))
        if best is None or key < best[0]:
            best = (key, found, shift)
        if not found.missed and gap <= view.depth_mm - all_sums[-1] + SAME_MM:
            break
    if best is None:
        raise RuntimeError("no shift was tried")
    return best[1], best[2]


def _shifts(
    payload: Payload, view: HalfView, tiers: tuple[_Tier, ...], accent_mm: float | None
) -> list[dict[int, float]]:
    """Ways to shift whole tiers onto heights that sheets reach: none first, then the least."""
    unmoved = {tier.number: 0.0 for tier in tiers}
    if not tiers:
        return [unmoved]
    clear = payload.case.clearance
    ceiling = view.depth_mm
    if payload.case.form != "box":
        ceiling -= clear.lid_mm
    ceiling = max(ceiling, *(tier.reach_mm for tier in tiers))
    sums = heights(payload.foam.sheets_mm, view.depth_mm)
    partial: list[dict[int, float]] = [{}]
    below: _Tier | None = None
    for place, tier in enumerate(tiers, start=1):
        levels = sorted({round(s + place * (accent_mm or 0.0), 6) for s in sums})
        grown: list[dict[int, float]] = []
        for given in partial:
            least = clear.floor_mm
            if below is not None:
                least = below.top_mm + given[below.number] + clear.tier_mm
            for level in levels:
                rise = level - tier.floor_mm
                if level >= least - SAME_MM and tier.reach_mm + rise <= ceiling + SAME_MM:
                    grown.append({**given, tier.number: rise})
        grown.sort(key=_effort)
        partial = grown[:MOST_SHIFTS]
        below = tier
    return [unmoved, *(shift for shift in partial if _effort(shift) > (SAME_MM, 0.0))]


def _effort(shift: dict[int, float]) -> tuple[float, float]:
    return sum(abs(v) for v in shift.values()), -sum(shift.values())


def _windows(
    payload: Payload,
    view: HalfView,
    tiers: tuple[_Tier, ...],
    facing: list[Stand],
    accent_mm: float | None,
    shift: dict[int, float],
) -> tuple[Window, ...]:
    """Where boundaries are asked for: pocket floors, undersides of tiers, bottoms of reliefs."""
    clear = payload.case.clearance
    made: list[Window] = []
    for place, tier in enumerate(tiers):
        rise = shift.get(tier.number, 0.0)
        least = clear.floor_mm if place == 0 else 0.0
        accented: list[tuple[float, float]] = []
        for one in tier.stands:
            low = max(one.low_mm + rise, least)
            high = one.low_mm + rise + _headroom(payload, tier, one, facing)
            # however far it stands proud, at least one sheet holds it
            held = view.depth_mm - min(payload.foam.sheets_mm)
            high = min(high, max(low, held))
            if accent_mm and abs(one.low_mm - tier.floor_mm) < SAME_MM:
                accented.append((low, high))
            else:
                made.append(Window(_pocket_name(one), low, high, lift=True, grab=True))
            if accent_mm or high - low < SAME_MM:
                made.extend(_ledges(one, low))
            if one.reach_mm[0] < one.low_mm - SAME_MM:
                # a zone below the body is cut right through its sheets: foam must be left under it
                under = clear.floor_mm
                if place > 0:
                    below = tiers[place - 1]
                    under = below.top_mm + shift.get(below.number, 0.0) + clear.tier_mm
                name = f"floor under the zone of {one.label}"
                made.append(Window(name, under, max(under, one.reach_mm[0] + rise)))
        if accented:
            high = min(h for _, h in accented)
            low = max(low for low, _ in accented)
            name = _tier_name(view, tier.number)
            made.append(Window(name, low, max(high, low), accent=True))
    for below, above in itertools.pairwise(tiers):
        low = below.top_mm + shift.get(below.number, 0.0)
        rise = shift.get(above.number, 0.0)
        high = min(above.floor_mm - clear.tier_mm, above.low_mm) + rise
        made.append(Window(_split_name(view, above.number), low, high))
    if guests := _guests(facing, view):
        made.append(
            Window(
                f"relief in the {view.name} half",
                clear.lid_mm,
                min(g.low_mm for g in guests),
                lift=True,
            )
        )
    return tuple(made)


def _ledges(one: Stand, floor_mm: float) -> list[Window]:
    """Where a wide part overhangs a narrow foot: a boundary just under it keeps foam there."""
    made = []
    areas = [shape.area for shape in one.sweeps]
    for band, area, below in zip(one.bands[1:], areas[1:], areas[:-1], strict=True):
        rise = band.z0_mm - one.low_mm
        if rise >= LEDGE_MM and area - below > LEDGE_SHARE * areas[-1]:
            at = floor_mm + rise
            made.append(Window(f"ledge of {one.label}", at - LEDGE_MM / 2, at, wish=True))
    return made


def _headroom(payload: Payload, tier: _Tier, one: Stand, facing: list[Stand]) -> float:
    """How far an item may be raised within its tier [mm]; one that stands through it stays."""
    if one.label in tier.through:
        return 0.0
    # zones may come nearer to the lid than bodies: each is held to the highest of its own kind
    room = max(0.0, min(tier.top_mm - one.reach_mm[1], tier.highest_mm - one.top_mm))
    if not one.placed.item.proud or one.top_mm <= one.view.depth_mm + SAME_MM:
        room = min(room, max(0.0, one.view.depth_mm - one.top_mm))
    web = payload.case.clearance.item_mm
    silhouette = one.placed.solid.silhouette
    for other in facing:
        if other.placed.solid.silhouette.distance(silhouette) < web:
            gap = other.reach_mm[0] - payload.case.clearance.tier_mm - one.reach_mm[1]
            room = min(room, max(0.0, gap))
    return room


def _splits(
    payload: Payload, stack: Stack, tiers: tuple[_Tier, ...], shift: dict[int, float]
) -> tuple[float, ...]:
    """Undersides of the higher tiers: the lowest boundary that clears the tier below."""
    made = []
    pad = payload.case.clearance.tier_mm
    for below, above in itertools.pairwise(tiers):
        top = below.top_mm + shift.get(below.number, 0.0)
        rise = shift.get(above.number, 0.0)
        high = min(above.floor_mm - pad, above.low_mm) + rise
        free = [b for b in stack.boundaries_mm if top - SAME_MM <= b <= high + SAME_MM]
        made.append(min(free) if free else stack.floor_under(above.floor_mm + rise - pad))
    return tuple(made)


def _remarks(view: HalfView, stack: Stack, found: Found) -> list[str]:
    notes = []
    if not stack.sheets_mm and view.depth_mm > 0:
        notes.append(
            f"{view.name} half: no sheet is thin enough for its depth of {view.depth_mm:g} mm; "
            "it stays without foam"
        )
    elif stack.gap_mm > AIR_MM:
        notes.append(
            f"{view.name} half: the sheets at hand fill {sum(stack.sheets_mm):g} of "
            f"{view.depth_mm:g} mm; {stack.gap_mm:g} mm of air stay at the closing plane"
        )
    for split, number in zip(stack.splits_mm, itertools.count(2)):
        under = sum(1 for b in stack.boundaries_mm if SAME_MM < b <= split + SAME_MM)
        notes.append(
            f"{view.name} half: tier {number} lifts out; glue its layers into one block and leave "
            f"layers {under} and {under + 1} unglued (tray split at {split:g} mm)"
        )
    for name in found.missed:
        if not name.startswith("pocket"):
            notes.append(f"{name}: the sheets at hand have no boundary at the height it needs")
    return notes


def _pocket_name(one: Stand) -> str:
    return f"pocket of {one.label}"


def _tier_name(view: HalfView, number: int) -> str:
    return f"accent layer under tier {number} of the {view.name} half"


def _split_name(view: HalfView, number: int) -> str:
    return f"underside of tier {number} in the {view.name} half"
