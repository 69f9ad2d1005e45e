"""The lining before the builder's own notches: sheets, pockets, channels, planned notches.

Which notches are planned does not depend on what the builder chooses, so one pocket's choice never
shifts another's notches, and the lining is cut again quickly after a choice.
"""

from __future__ import annotations

import math
from functools import lru_cache

import shapely
from attrs import evolve, field, frozen
from shapely import Polygon

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import place_all
from fitkit.foam.channels import channels
from fitkit.foam.cutting import Method, method_for
from fitkit.foam.model import Cutout, CutoutKind, Room, Way
from fitkit.foam.notches import Cutting, Notched, key_of, notch_cuts
from fitkit.foam.pockets import RELIEF_MM, pocket, polygons
from fitkit.foam.stack import Stack, Stacks, open_to, settle, tier_top
from fitkit.foam.view import SAME_MM, HalfView, Stand, stand, views
from fitkit.foam.ways import way_cuts
from fitkit.foam.webs import WebRule
from fitkit.payload.model import Payload


@frozen
class Slot:
    """One sheet in its stack: heights above the half's own floor, and its outer edge."""

    view: HalfView
    index: int
    low_mm: float
    high_mm: float
    accent: bool
    outline: Polygon


@frozen(eq=False)
class BareHalf:
    """One half's sheets with what is cut out of each, notches left out.

    ``home`` are the half's own items, the smallest first, ``planned`` their notches by item and
    copy: None where there is no room for any.
    """

    stack: Stack
    slots: tuple[Slot, ...]
    cuts: tuple[tuple[Cutout, ...], ...]
    home: tuple[Stand, ...]
    planned: dict[tuple[str, int], Notched | None] = field(repr=False)

    def cutting(self) -> tuple[Cutting, ...]:
        """The sheets as layers in the making."""
        return tuple(
            Cutting(slot.low_mm, slot.high_mm, slot.outline, made)
            for slot, made in zip(self.slots, self.cuts, strict=True)
        )


def settled(
    payload: Payload,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
    rooms: tuple[Room, ...] = (),
    ways: tuple[Way, ...] = (),
) -> tuple[Stacks, tuple[BareHalf, ...]]:
    """The stacks of sheets, and every half on them before the builder's own notches.

    ``rooms`` are kept free of foam: the dishes of latches and handles. ``ways`` are the cables'.
    The latest answers are kept, so that asking again for the same layout costs nothing.
    """
    return _settled(payload, interior, placements, rooms, ways)


@lru_cache(maxsize=4)
def _settled(
    payload: Payload,
    interior: Interior,
    placements: tuple[Placement, ...],
    rooms: tuple[Room, ...],
    ways: tuple[Way, ...],
) -> tuple[Stacks, tuple[BareHalf, ...]]:
    stacks = settle(payload, interior=interior, placements=placements)
    return stacks, bare(payload, interior=interior, stacks=stacks, rooms=rooms, ways=ways)


def bare(
    payload: Payload,
    *,
    interior: Interior,
    stacks: Stacks,
    rooms: tuple[Room, ...] = (),
    ways: tuple[Way, ...] = (),
) -> tuple[BareHalf, ...]:
    """Every half with its pockets and channels, and the notches that are planned for it."""
    method = method_for(payload.foam)
    rule = WebRule.of(payload, method)
    placed = place_all(payload, stacks.placements)
    made = []
    for view in views(interior):
        stack = stacks.stack(view.name)
        stands = [stand(one, view) for one in placed]
        sheets = slots(interior, view, stack, rooms)
        cuts = tuple(
            tuple(c for one in stands for c in _cuts(payload, method, stack, slot, one))
            for slot in sheets
        )
        if ways:
            cuts = tuple(
                (*own, *_for_cables(ways, slot, stands, own, method))
                for slot, own in zip(sheets, cuts, strict=True)
            )
        # the smallest items first: they have the fewest places to choose from
        home = sorted(
            (s for s in stands if s.at_home and s.placed.item.mount is None),
            key=lambda s: s.placed.solid.silhouette.area,
        )
        half = BareHalf(stack, sheets, cuts, tuple(home), {})
        made.append(_planned(payload, method, rule, half))
    return tuple(made)


def _for_cables(
    ways: tuple[Way, ...],
    slot: Slot,
    stands: list[Stand],
    cuts: tuple[Cutout, ...],
    method: Method,
) -> list[Cutout]:
    """The channels of cables in one sheet."""
    return way_cuts(
        ways,
        view=slot.view,
        band_mm=(slot.low_mm, slot.high_mm),
        edge=slot.outline,
        stands=[one for one in stands if one.at_home],
        cuts=cuts,
        method=method,
    )


def _planned(payload: Payload, method: Method, rule: WebRule, half: BareHalf) -> BareHalf:
    """The half with the notches that the sheet asks for, each clear of those before it."""
    if payload.foam.notch is None:
        return half
    layers = list(half.cutting())
    planned: dict[tuple[str, int], Notched | None] = {}
    for one in half.home:
        found = notch_cuts(
            one,
            stack=half.stack,
            layers=layers,
            notch=payload.foam.notch,
            rule=rule,
            method=method,
        )
        planned[key_of(one)] = found
        for k, extra in found.cuts.items() if found is not None else ():
            layers[k] = evolve(layers[k], cutouts=layers[k].cutouts + extra)
    return evolve(half, planned=planned)


def slots(
    interior: Interior, view: HalfView, stack: Stack, rooms: tuple[Room, ...] = ()
) -> tuple[Slot, ...]:
    """The sheets of one half from its floor up, each with the interior's outline at its height.

    A sheet that a dish reaches into leaves out the dish's place: its edge goes round it.
    """
    made = []
    boundaries = stack.boundaries_mm
    for index, (low, high) in enumerate(zip(boundaries[:-1], boundaries[1:], strict=True), 1):
        # walls with draft are narrowest at the half's own floor
        outline = _around(interior.outline_at(view.closed(low)), view, low, high, rooms)
        made.append(Slot(view, index, low, high, stack.accents[index - 1], outline))
    return tuple(made)


def _around(
    outline: Polygon, view: HalfView, low_mm: float, high_mm: float, rooms: tuple[Room, ...]
) -> Polygon:
    """A sheet's outline without the dishes between two heights; bits that they cut off go too."""
    z0, z1 = sorted((view.closed(low_mm), view.closed(high_mm)))
    dishes = [
        shapely.box(room.low_mm[0], room.low_mm[1], room.high_mm[0], room.high_mm[1])
        for room in rooms
        if room.low_mm[2] < z1 - SAME_MM and room.high_mm[2] > z0 + SAME_MM
    ]
    if not dishes:
        return outline
    left = polygons(outline.difference(shapely.union_all(dishes)))
    return max(left, key=lambda part: float(part.area), default=Polygon())


def _clear_of(method: Method, slot: Slot, one: Stand) -> list[Cutout]:
    """Foam keeps clear of a mounted item and of all that holds it, from floor to closing plane."""
    p = one.placed.placement
    own = pocket(one.placed.solid.silhouette, allowance_mm=RELIEF_MM, method=method)
    rooms = channels(
        one, top_mm=math.inf, own=shapely.union_all(own), edge=slot.outline, method=method
    )
    made = [Cutout(p.item, p.copy, "relief", shape) for shape in own]
    return made + [Cutout(p.item, p.copy, "channel", shape) for shape in rooms]


def _cuts(payload: Payload, method: Method, stack: Stack, slot: Slot, one: Stand) -> list[Cutout]:
    """What one item takes out of one sheet, not yet clipped to the sheet's edge."""
    if one.at_home and one.placed.item.mount is not None:
        return _clear_of(method, slot, one)
    low, high = one.reach_mm
    if slot.high_mm <= min(low, one.low_mm) + SAME_MM:
        return []
    home = one.at_home and slot.high_mm <= tier_top(stack, one) + SAME_MM
    if one.at_home and slot.low_mm >= max(high, open_to(stack, one)) - SAME_MM:
        return []
    allowance = payload.foam.allowance_mm if home else RELIEF_MM
    own: tuple[Polygon, ...] = ()
    floor = stack.floor_under(one.low_mm) if one.at_home else one.low_mm
    if slot.high_mm > floor + SAME_MM:
        count = max(1, one.swept_to(slot.high_mm))
        own = pocket(one.swept(count), allowance_mm=allowance, method=method)
    rooms = channels(
        one, top_mm=slot.high_mm, own=shapely.union_all(own), edge=slot.outline, method=method
    )
    kinds: tuple[tuple[CutoutKind, tuple[Polygon, ...]], ...] = (
        ("pocket" if home else "relief", own),
        ("channel" if home else "relief", rooms),
    )
    p = one.placed.placement
    return [Cutout(p.item, p.copy, kind, shape) for kind, shapes in kinds for shape in shapes]
