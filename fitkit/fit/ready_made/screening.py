"""Cases that cannot hold the kit, whatever is tried: bounds that no layout undercuts.

*Items*: each must fit by itself, in some pose, with its clearances, into the room at its widest (at
the rim). *Depths*: the sheets under the lowest item and the relief over it must go into base and
lid. *Areas*: the plan at the rim must offer what the items ask of it in the depths there are
(:func:`fitkit.fit.bounds.lower_bound`). *Limits*: what was measured outside, and the masses known.
"""

from __future__ import annotations

import math

from attrs import evolve

from fitkit.fit.assign import poses
from fitkit.fit.bounds import BOUND_NAME, lower_bound, share
from fitkit.fit.elevation import Need, elevate, halves_for, levels, thickness
from fitkit.fit.ready_made.answer import Missing, Tried
from fitkit.fit.ready_made.room import bare
from fitkit.payload.limits import sides_of
from fitkit.payload.model import Item, Payload, ReadyMade

SLACK_MM = 0.05
"""Less than this is not missing [mm]: curves are drawn that finely."""


STEP_MM = 0.5
"""Steps in which a base is made deeper to see what it lacks [mm]."""


class Screen:
    """The bounds for one payload; plan areas are worked out once for each pair of depths."""

    def __init__(self, payload: Payload) -> None:
        """Bounds for ``payload``."""
        self.payload = payload
        self._plans: dict[tuple[float | None, float | None], float] = {}

    def judged(self, case: ReadyMade) -> Tried | None:
        """The verdict on a case that cannot do for certain; None where only a search can tell.

        Of several bounds that rule it out, the one that asks for most is told.
        """
        short = [self._items(case), self._depths(case), self._areas(case)]
        found = [one for one in short if one is not None]
        if found:
            return max(found, key=lambda one: one.missing.total_mm)
        return self._limits(case)

    def _items(self, case: ReadyMade) -> Tried | None:
        worst: tuple[Missing, Item] | None = None
        for item in self.payload.items:
            lacks = lack_of(self.payload, item, case)
            if lacks.total_mm > SLACK_MM and (worst is None or _more(lacks, worst[0])):
                worst = (lacks, item)
        if worst is None:
            return None
        lacks, item = worst
        return Tried(case.name, "too small", lacks, f"{item.name} alone needs more room")

    def _depths(self, case: ReadyMade) -> Tried | None:
        """Whether base and lid hold the tallest item with foam in whole sheets below and above."""
        lacks = depth_lack_mm(self.payload, case)
        if lacks <= 0:
            return None
        return Tried(
            case.name,
            "too small",
            Missing(depth_mm=lacks),
            "base and lid do not hold the tallest item with whole sheets of foam under and over it",
        )

    def _areas(self, case: ReadyMade) -> Tried | None:
        """Whether the plan is too small in all; sides count in whole millimetres, rounded up.

        Where the depths hold nothing at all, the least plan for any depths is what counts.
        """
        least = self._plan_mm2((case.deep_mm, case.shallow_mm))
        if not math.isfinite(least):
            least = self._plan_mm2((None, None))
        long, short = sorted((math.ceil(case.length_mm), math.ceil(case.width_mm)), reverse=True)
        if not math.isfinite(least) or least <= long * short + 1e-6:
            return None
        return Tried(
            case.name,
            "too small",
            _short_of(least, long, short),
            f"the items ask for {math.floor(least / 100)} cm2 of plan, the rim has "
            f"{math.ceil(long * short / 100)} cm2 ({BOUND_NAME})",
        )

    def _plan_mm2(self, depths_mm: tuple[float | None, float | None]) -> float:
        """The least plan of any upright room with these depths (None is free) [mm2]."""
        if depths_mm not in self._plans:
            asked = bare(self.payload, depths_mm=depths_mm)
            options = [poses(item) for item in asked.items for _ in range(item.count)]
            self._plans[depths_mm] = lower_bound(asked, options, objective="plan")
        return self._plans[depths_mm]

    def _limits(self, case: ReadyMade) -> Tried | None:
        limits, said = self.payload.case.limits, []
        if case.outside_mm is not None:
            said += [
                f"outside {side.name} {side.over_mm:.1f} mm over the limit"
                for side in sides_of(case.outside_mm, limits=limits)
                if side.over_mm > 1e-6
            ]
            total = sum(case.outside_mm)
            if limits.linear_mm is not None and total > limits.linear_mm + 1e-6:
                said.append(f"sum of the sides {total - limits.linear_mm:.1f} mm over the limit")
        known = sum((item.mass_kg or 0.0) * item.count for item in self.payload.items)
        mass = known + (case.mass_kg or 0.0)
        if limits.mass_kg is not None and mass > limits.mass_kg + 1e-9:
            said.append(f"gear and case {mass - limits.mass_kg:.2f} kg over the limit")
        if not said:
            return None
        return Tried(case.name, "over a limit", note="; ".join(said))


def lack_of(payload: Payload, item: Item, case: ReadyMade) -> Missing:
    """What the room lacks at least for one item by itself, in the pose for which it is least.

    Plan: the outline's least sides with the wall clearance against the rim. Height: the pad under
    it in whole sheets, its own, and the lid clearance against both depths; an item that may not
    stand proud needs pad and height within a half that it may stand in.
    """
    clear, wall = payload.case.clearance, payload.case.clearance.wall_mm
    accent = payload.foam.accent_mm or 0.0
    sheets = tuple(sorted(payload.foam.sheets_mm))
    pad = accent + thickness(sheets, clear.floor_mm - accent)
    long, short = sorted((case.length_mm, case.width_mm), reverse=True)
    depths = {"deep": case.deep_mm, "shallow": case.shallow_mm}
    least: Missing | None = None
    for piece in poses(item):
        asked = share(piece, 0.0)
        height = pad + asked.height_mm
        depth = height + clear.lid_mm - case.deep_mm - case.shallow_mm
        if not item.proud:
            halves = halves_for(payload, item)
            depth = max(depth, height - max(depths[half] for half in halves))
        lacks = Missing(
            max(0.0, asked.long_mm + 2 * wall - long),
            max(0.0, asked.short_mm + 2 * wall - short),
            max(0.0, depth),
        )
        if least is None or _more(least, lacks):
            least = lacks
    assert least is not None  # an item has a pose
    return least


def depth_lack_mm(payload: Payload, case: ReadyMade) -> float:
    """By how much base and lid together are too shallow for the tallest item alone [mm]; 0 if not.

    The least over all ways to share the growth between the two, in steps of :data:`STEP_MM` of the
    base, less one step: a smaller growth will not do for certain. An item counts in its lowest
    pose, on the lowest level of any half; nothing lies under it.
    """
    tallest = max(
        min(share(piece, 0.0).height_mm for piece in poses(item)) for item in payload.items
    )
    asked = bare(payload, depths_mm=(case.deep_mm, case.shallow_mm))
    places = levels(asked)
    needs = [
        tuple(Need(tallest, tallest, 0.0) if k == n else None for k in range(len(places)))
        for n, place in enumerate(places)
        if place.tier == 1
    ]

    def holds(base_mm: float, lid_mm: float) -> bool:
        depths = (case.deep_mm + base_mm, case.shallow_mm + lid_mm)
        grown = evolve(asked, case=evolve(asked.case, depths_mm=depths))
        return any(elevate(grown, need) is not None for need in needs)

    if holds(0.0, 0.0):
        return 0.0
    best, base = math.inf, 0.0
    most = tallest + sum(payload.foam.sheets_mm) + payload.case.clearance.lid_mm
    while base < min(best, most):
        if holds(base, 0.0):
            lid = 0.0
        elif holds(base, most):
            low, lid = 0.0, most
            while lid - low > 0.01:
                middle = (low + lid) / 2
                low, lid = (low, middle) if holds(base, middle) else (middle, lid)
        else:
            lid = math.inf
        best = min(best, base + lid)
        base += STEP_MM
    return max(STEP_MM / 5, best - STEP_MM)


def _short_of(area_mm2: float, long_mm: float, short_mm: float) -> Missing:
    """The least total growth of two sides to an area: the shorter side first, then both alike."""
    width = area_mm2 / long_mm
    if width <= long_mm:
        return Missing(width_mm=max(width - short_mm, SLACK_MM))
    side = math.sqrt(area_mm2)
    return Missing(length_mm=side - long_mm, width_mm=side - short_mm)


def _more(one: Missing, other: Missing) -> bool:
    return one.total_mm > other.total_mm
