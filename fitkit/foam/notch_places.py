"""Notches where the builder wants them: on the edge of their item's pocket, in the size asked.

A notch is kept by its place in its item's own plan frame, so that it goes along when the item is
moved or turned. It is cut as asked: what that does to the webs is reported on the finished layer.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

import shapely
from shapely import Point, Polygon

from fitkit.errors import BadInput, Fault
from fitkit.fit.place import Placed
from fitkit.foam.cutting import Method
from fitkit.foam.model import Cutout, NotchAt, NotchesOf
from fitkit.foam.notch_shape import Drawn, drawn_at, nearest_edge
from fitkit.foam.notches import FINGER_MM, Crossed, crossed, cut_through
from fitkit.foam.view import Stand
from fitkit.geometry.shapes import moved
from fitkit.payload.model import Face, Item, Notch
from fitkit.payload.pose import posed

if TYPE_CHECKING:
    from fitkit.foam.bare import BareHalf

ON_EDGE_MM = 3.0
"""A notch this near to its pocket's edge lies on it: the allowance may have changed [mm]."""

LEAST_MM = 5.0
"""The narrowest and shallowest notch that is cut [mm]."""

MOST_MM = 400.0
"""The widest and deepest notch that is cut [mm]."""

Key = tuple[str, int]


def checked(notches: tuple[NotchesOf, ...]) -> None:
    """Nothing, or BadInput with all that is impossible about the builder's notches."""
    faults = []
    seen: set[Key] = set()
    for choice in notches:
        place = f"notches of {choice.item} {choice.copy}"
        if choice.key in seen:
            faults.append(Fault(place, "are given twice", "give all of a copy's notches at once"))
        seen.add(choice.key)
        for one in choice.notches:
            if (one.item, one.copy) != choice.key:
                what = f"hold one of {one.item} {one.copy}"
                faults.append(Fault(place, what, "give it to the copy that it belongs to"))
            for name, value in (("width", one.width_mm), ("depth", one.depth_mm)):
                if not LEAST_MM <= value <= MOST_MM:
                    remedy = f"give {LEAST_MM:g} to {MOST_MM:g} mm"
                    faults.append(Fault(place, f"{name} {value:g} mm", remedy))
            way = one.way_deg or 0.0
            if not all(math.isfinite(v) for v in (*one.at, way)):
                faults.append(Fault(place, "a place that is no number", "give x and y in mm"))
    if faults:
        raise BadInput(faults)


def to_own(placed: Placed, xy_mm: tuple[float, float]) -> tuple[float, float]:
    """A point of the case in the item's own plan frame, as posed and turned to 0 [mm]."""
    here = placed.placement
    left, low = _corner(placed.item, here.up, here.turn_deg)
    point = Point(xy_mm[0] - here.x_mm + left, xy_mm[1] - here.y_mm + low)
    u, v = shapely.get_coordinates(moved(point, turn_deg=-here.turn_deg))[0].tolist()
    return (round(u, 4) + 0.0, round(v, 4) + 0.0)


def to_case(placed: Placed, uv_mm: tuple[float, float]) -> tuple[float, float]:
    """A point of the item's own plan frame where it is in the case [mm]."""
    here = placed.placement
    left, low = _corner(placed.item, here.up, here.turn_deg)
    by = (here.x_mm - left, here.y_mm - low)
    x, y = shapely.get_coordinates(moved(Point(uv_mm), turn_deg=here.turn_deg, by=by))[0].tolist()
    return (x, y)


@lru_cache(maxsize=1024)
def _corner(item: Item, up: Face, turn_deg: float) -> tuple[float, float]:
    """The lower left corner of the body's box, turned about its own."""
    left, low, _, _ = moved(posed(item, up).silhouette, turn_deg=turn_deg).bounds
    return (float(left), float(low))


def notch_of(stand: Stand, drawn: Drawn) -> NotchAt:
    """A drawn notch as it is kept: with its direction, which at a corner could be another."""
    here = stand.placed.placement
    x, y = drawn.side.out
    way = round((math.degrees(math.atan2(y, x)) - here.turn_deg) % 360.0, 6) % 360.0
    return NotchAt(
        here.item,
        here.copy,
        to_own(stand.placed, drawn.at_mm),
        drawn.width_mm,
        round(drawn.depth_mm, 4),
        way,
    )


def drawn_of(stand: Stand, notch: NotchAt, *, where: Crossed) -> Drawn | None:
    """A kept notch as drawn in the case; None if its place is not on its pocket's edge."""
    at = to_case(stand.placed, notch.at)
    if float(nearest_edge(where.top, at).distance(Point(at))) > ON_EDGE_MM:
        return None
    way = None if notch.way_deg is None else notch.way_deg + stand.placed.placement.turn_deg
    return drawn_at(where.top, at, notch=Notch(notch.width_mm, notch.depth_mm), way_deg=way)


def where_of(stand: Stand, half: BareHalf) -> Crossed | None:
    """The layers that an item's notches cross, with its pocket in each; None if it has none."""
    return crossed(stand, stack=half.stack, layers=half.cutting())


def chosen_notches(
    choice: NotchesOf, *, stand: Stand, half: BareHalf, method: Method
) -> tuple[dict[int, tuple[Cutout, ...]], list[str]]:
    """What a copy's own notches take out, by position among its half's sheets, and remarks."""
    if not choice.notches:
        return {}, []
    where = where_of(stand, half)
    name = stand.label
    if where is None:
        what = "it has no pocket at the top of its tier, so its notches are not cut"
        return {}, [f"{name}: {what}; take them away, or lay a lifting ribbon under it"]
    drawn, said = [], []
    for notch in choice.notches:
        shape = drawn_of(stand, notch, where=where)
        if shape is None:
            u, v = notch.at
            said.append(
                f"{name}: the notch at {u:.0f}, {v:.0f} mm of the item is not on the edge of its "
                "pocket any more, so it is not cut; put it on the edge again, or go back to the "
                "notches as planned"
            )
            continue
        drawn.append(shape)
        if min(notch.width_mm, notch.depth_mm) < FINGER_MM:
            said.append(
                f"{name}: a notch of {notch.width_mm:g} by {notch.depth_mm:g} mm lets no finger "
                f"in; make it {FINGER_MM:g} mm or more (assumption)"
            )
    return cut_through(stand, drawn=drawn, where=where, method=method), said


def notched_with(notches: tuple[NotchesOf, ...], choice: NotchesOf) -> tuple[NotchesOf, ...]:
    """The choices with one copy's in place of what it had."""
    others = [one for one in notches if one.key != choice.key]
    return tuple(sorted((*others, choice), key=lambda one: one.key))


def as_planned(notches: tuple[NotchesOf, ...], key: Key) -> tuple[NotchesOf, ...]:
    """The choices without one copy's: it gets the planned notches again."""
    return tuple(one for one in notches if one.key != key)


def beside(drawn: Drawn, where: Crossed) -> Polygon:
    """What a drawn notch takes beside its pocket, for showing it while it is moved."""
    parts = shapely.get_parts(shapely.difference(drawn.shape, where.top))
    areal = [part for part in parts if isinstance(part, Polygon) and not part.is_empty]
    return max(areal, key=lambda part: float(part.area), default=Polygon())
