"""A closing gap tried with other figures: depths, recesses, panels, tolerances; nothing searched.

A layout stays as it is in plan. Mounted items that look at the closing plane take the recess that
is tried, so that what a half is deeper goes behind them; all other gear keeps its height over the
floor of its own half. Rails, sub-panels and battens are made anew for it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

from attrs import evolve, frozen

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.place import Placed, place, place_all
from fitkit.foam.model import Foam
from fitkit.payload.closing import Closing
from fitkit.payload.model import Item, Payload
from fitkit.payload.walls import least_depth_mm, plank_depths_mm
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.gap.facing import in_first_half, recess_mm
from fitkit.shell.gap.make import gaps_of
from fitkit.shell.gap.model import Gap
from fitkit.shell.gap.recess import recesses_needed_mm
from fitkit.shell.model import Panel, Shell
from fitkit.shell.mounting.make import mounting_of

_EXACT_MM = 0.005


@frozen
class Wishes:
    """What is tried: inside depth of each half, recess of each mounted item, panels, closing [mm].

    ``depths_mm`` go with the interior's halves; ``found``: they come from a plan and are sawn as it
    says, else they are given and measured by tape. ``recesses_mm`` names items that look at the
    closing plane; an item that it does not name keeps its recess. ``backs_mm`` is the thickness of
    both backs, None as they are (they may differ).
    """

    depths_mm: tuple[float, ...]
    recesses_mm: tuple[tuple[str, float], ...]
    closing: Closing
    backs_mm: float | None = None
    found: bool = True

    @property
    def recess_of(self) -> Mapping[str, float]:
        """The recesses by item."""
        return dict(self.recesses_mm)

    def with_recess(self, item: str, mm: float) -> Wishes:
        """These wishes with another recess of one item."""
        changed = tuple((name, mm if name == item else was) for name, was in self.recesses_mm)
        return evolve(self, recesses_mm=changed)


@frozen
class Shortage:
    """What does not go together in a trial: where, what, and how many millimetres are missing."""

    where: str
    kind: Literal["room behind", "slot", "height"]
    short_mm: float
    what: str


@frozen
class Trial:
    """A layout with other figures: what follows from them, its gaps, and what does not go."""

    payload: Payload
    interior: Interior
    placements: tuple[Placement, ...]
    shell: Shell
    shortages: tuple[Shortage, ...]

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """The gaps, the least at worst first."""
        return self.shell.gaps


def movable(payload: Payload) -> tuple[Item, ...]:
    """The mounted items that look at the closing plane: those with a recess to try."""
    return tuple(
        item
        for item in payload.items
        if item.mount is not None and item.mount.faces == "closing plane"
    )


def as_planned(
    payload: Payload, *, interior: Interior, placements: tuple[Placement, ...], shell: Shell
) -> Wishes:
    """The wishes that a layout fulfils as it is: trying them changes nothing.

    Copies of an item share one recess, the least of theirs.
    """
    placed = place_all(payload, placements)
    recesses = []
    for item in movable(payload):
        own = [recess_mm(one, interior) for one in placed if one.item.name == item.name]
        if own:
            recesses.append((item.name, round(min(own), 3)))
    backs = {panel.thickness_mm for panel in shell.panels if panel.side in ("bottom", "top")}
    return Wishes(
        depths_mm=tuple(half.depth_mm for half in interior.halves),
        recesses_mm=tuple(recesses),
        closing=payload.closing,
        backs_mm=backs.pop() if len(backs) == 1 else None,
    )


def tried(
    payload: Payload,
    wishes: Wishes,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
) -> Trial:
    """The layout with what is wished for: heights, panels, supports, gaps, and what is missing.

    ``interior`` and ``placements`` are those of the plan that is tried on. The trial's shell has
    panels, profiles, supports, screws and gaps; ``troubles`` and ``notes`` are those of mounting.
    Hardware, cables and the panels' holes are not worked out: plan again for those.
    """
    kit = evolve(
        payload,
        closing=wishes.closing,
        items=_items(payload, wishes),
        case=evolve(payload.case, depths_mm=_depths(payload, wishes)),
    )
    halves = tuple(
        Half(half.name, depth)
        for half, depth in zip(interior.halves, wishes.depths_mm, strict=True)
    )
    room = evolve(interior, halves=halves)
    before = place_all(payload, placements)
    moved = tuple(_height(one, interior, room, wishes) for one in before)
    after = tuple(place(kit.item(one.item), one) for one in moved)
    bare = bare_shell(kit, interior=room)
    panels = tuple(_panel(panel, wishes) for panel in bare.panels)
    held = mounting_of(kit, panels=panels, interior=room, placements=moved, bars=bare.bars)
    gaps = gaps_of(kit, interior=room, placements=moved, panels=panels, supports=held.supports)
    return Trial(
        payload=kit,
        interior=room,
        placements=moved,
        shell=evolve(
            bare,
            panels=panels,
            supports=held.supports,
            screwings=held.screwings,
            gaps=gaps,
            troubles=held.troubles,
            notes=held.notes,
        ),
        shortages=_shortages(kit, room, after, panels),
    )


def moved_foam(foam: Foam, *, before: Interior, after: Interior) -> Foam:
    """The lining as planned, on the floors of halves of other depths, cut off where they close.

    Nothing is cut anew: it shows where the foam would lie, and no webs are measured in it.
    """
    rise = after.height_mm - before.height_mm
    layers = []
    for layer in foam.layers:
        by = rise if layer.half == "shallow" else 0.0
        low, high = layer.z0_mm + by, layer.z1_mm + by
        if layer.half == "shallow":
            low = max(low, after.closing_mm)
        else:
            high = min(high, after.closing_mm)
        if high - low > _EXACT_MM:
            layers.append(evolve(layer, z0_mm=low, z1_mm=high))
    return Foam(tuple(layers), (), foam.sheets, foam.notes)


def least_recesses(trial: Trial) -> dict[str, float]:
    """The recess of each item that may be tried at which all its gaps are kept at worst [mm].

    As :func:`~fitkit.shell.gap.recess.recesses_needed_mm`, with every such recess taken as free.
    """
    items = tuple(
        evolve(item, mount=evolve(item.mount, recess_mm=None))
        if item.mount is not None and item.mount.faces == "closing plane"
        else item
        for item in trial.payload.items
    )
    return recesses_needed_mm(evolve(trial.payload, items=items), trial.gaps)


def least_depths(trial: Trial) -> tuple[float, ...]:
    """The least inside depth of each half that holds its mounted items at the recess tried [mm].

    What lies behind them, they themselves, and their recess; rounded up to the planks that the
    builder names, else to whole millimetres, and never too shallow for the corners. A half with
    anything else in it is at least so deep that its tallest body ends at the closing plane; its
    foam is not counted: plan again for that. In a pair both halves are as deep as the deeper one.
    """
    interior, profile = trial.interior, trial.payload.wall.profile
    asked = {half.name: least_depth_mm(profile) for half in interior.halves}
    for one in place_all(trial.payload, trial.placements):
        behind, high = behind_mm(one, interior), one.z1_mm - one.z0_mm
        mount = one.item.mount
        if mount is not None and mount.faces == "closing plane":
            behind = least_behind_mm(one, interior)
            high += recess_mm(one, interior)
        half = one.placement.half
        asked[half] = max(asked[half], behind + high)
    planks = plank_depths_mm(trial.payload.workshop.planks_mm, profile=profile)
    depths = [_rounded_up(asked[half.name], planks) for half in interior.halves]
    if trial.payload.case.form == "pair":
        depths = [max(depths)] * len(depths)
    return tuple(depths)


def _rounded_up(least_mm: float, planks_mm: tuple[float, ...]) -> float:
    wide = next((depth for depth in planks_mm if depth >= least_mm - _EXACT_MM), None)
    return float(math.ceil(least_mm - _EXACT_MM)) if wide is None else wide


def behind_mm(one: Placed, interior: Interior) -> float:
    """The room between a copy's body and the floor of its own half [mm]."""
    return one.z0_mm if in_first_half(one, interior) else interior.height_mm - one.z1_mm


def least_behind_mm(one: Placed, interior: Interior) -> float:
    """The room that a mounted copy needs behind it: supports, plugs, bends, what was asked [mm]."""
    low, high = one.reach_mm
    return one.z0_mm - low if in_first_half(one, interior) else high - one.z1_mm


def _depths(payload: Payload, wishes: Wishes) -> tuple[float | None, float | None]:
    """The depths as given in the sheet, or those that are tried where they were not found."""
    if wishes.found:
        return payload.case.depths_mm
    return (wishes.depths_mm[0], wishes.depths_mm[-1])


def _items(payload: Payload, wishes: Wishes) -> tuple[Item, ...]:
    recess = wishes.recess_of
    return tuple(
        evolve(item, mount=evolve(item.mount, recess_mm=recess[item.name]))
        if item.mount is not None and item.name in recess
        else item
        for item in payload.items
    )


def _height(one: Placed, before: Interior, after: Interior, wishes: Wishes) -> Placement:
    """Where a copy stands: at its recess, or as high over its own floor as it was."""
    first = in_first_half(one, before)
    recess = wishes.recess_of.get(one.item.name)
    place_now = one.placement
    if recess is not None:
        high = one.z1_mm - one.z0_mm
        z = after.closing_mm - recess - high if first else after.closing_mm + recess
    elif first:
        z = place_now.z_mm
    else:
        z = place_now.z_mm + after.height_mm - before.height_mm
    return evolve(place_now, z_mm=round(z, 6))


def _panel(panel: Panel, wishes: Wishes) -> Panel:
    if wishes.backs_mm is None or panel.side not in ("bottom", "top"):
        return panel
    areal = panel.areal_kg_m2
    if areal is not None and panel.thickness_mm > 0:
        areal = areal * wishes.backs_mm / panel.thickness_mm
    return evolve(panel, thickness_mm=wishes.backs_mm, areal_kg_m2=areal)


def _shortages(
    payload: Payload, interior: Interior, placed: tuple[Placed, ...], panels: tuple[Panel, ...]
) -> tuple[Shortage, ...]:
    found = []
    for one in placed:
        behind, least = behind_mm(one, interior), least_behind_mm(one, interior)
        if one.item.mount is not None and behind < least - _EXACT_MM:
            half = one.placement.half
            what = (
                f"{behind:.1f} mm are behind it, {least:.1f} are needed: make the {half} half "
                f"{least - behind:.1f} mm deeper, or the recess that much less"
            )
            found.append(Shortage(one.label, "room behind", least - behind, what))
        elif behind < -_EXACT_MM:
            what = f"it stands {-behind:.1f} mm into its own back: make its half so much deeper"
            found.append(Shortage(one.label, "height", -behind, what))
    slot = payload.wall.profile.slot_mm
    for panel in panels:
        short = panel.thickness_mm - slot
        if panel.side in ("bottom", "top") and short > _EXACT_MM:
            what = (
                f"{panel.thickness_mm:.1f} mm do not go into the slot of {slot:.1f} mm: take a "
                f"profile with a slot {short:.1f} mm wider, or thinner panels"
            )
            found.append(Shortage(panel.name, "slot", short, what))
    return tuple(found)
