"""Items that a changed sheet adds to a layout, and those that it takes away."""

from __future__ import annotations

import shapely

from fitkit.fit.elevation import halves_for
from fitkit.fit.layout import Interior, Placement
from fitkit.fit.move import key_of, own_pose
from fitkit.fit.place import Placed, place
from fitkit.fit.restack import restacked
from fitkit.payload.model import Face, Item, Payload
from fitkit.payload.pose import flipped


def joined(
    payload: Payload, interior: Interior, placements: tuple[Placement, ...]
) -> tuple[Interior, tuple[Placement, ...]]:
    """A layout with every copy of the payload in it, whatever it held before.

    A copy that the payload no longer has is gone; one whose half or face is no longer allowed
    counts as new. New copies stand in a row to the right of the others, clear of their zones, on
    the first tier; the heights of all are worked out anew.
    """
    wanted = [(item, copy) for item in payload.items for copy in range(1, item.count + 1)]
    before = {key_of(placement): placement for placement in placements}
    kept: dict[tuple[str, int], Placement] = {}
    for item, copy in wanted:
        old = before.get((item.name, copy))
        if old is not None and _may_stay(payload, item, old):
            kept[item.name, copy] = old
    made = [place(payload.item(one.item), one) for one in kept.values()]
    web_mm = payload.case.clearance.item_mm
    for item, copy in wanted:
        if (item.name, copy) in kept:
            continue
        half = halves_for(payload, item)[0]
        up: Face = flipped(item.up[0], 0.0)[0] if half == "shallow" else item.up[0]
        new = place(item, Placement(item.name, copy, half, 1, up, 0.0, 0.0, 0.0, 0.0))
        right_mm = max((_spread(one)[2] for one in made), default=-web_mm)
        low_mm = min((_spread(one)[1] for one in made), default=0.0)
        x0_mm, y0_mm, _, _ = _spread(new)
        there = Placement(
            item.name, copy, half, 1, up, 0.0, right_mm + web_mm - x0_mm, low_mm - y0_mm, 0.0
        )
        kept[item.name, copy] = there
        made.append(place(item, there))
    ranked = tuple(kept[item.name, copy] for item, copy in wanted)
    return restacked(payload, interior, ranked, fixed=False)


def _may_stay(payload: Payload, item: Item, old: Placement) -> bool:
    face, _ = own_pose(old)
    return (
        old.half in halves_for(payload, item) and old.tier <= payload.case.tiers and face in item.up
    )


def _spread(one: Placed) -> tuple[float, float, float, float]:
    """The box of a body and its zones seen from above (x0, y0, x1, y1) [mm]."""
    shapes = [one.solid.silhouette, *(room.outline for room in one.solid.rooms)]
    x0, y0, x1, y1 = shapely.total_bounds(shapes).tolist()
    return x0, y0, x1, y1
