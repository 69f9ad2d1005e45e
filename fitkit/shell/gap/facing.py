"""What faces what across the closing plane, and how far apart it is as planned.

The halves close along the vertical. So the distance that counts between a body below the plane and
one above it is the least vertical distance wherever both are over the same spot in plan, each
being able to lie off by its *side play*. Rails and sub-panels belong to the body that they hold.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import shapely
from attrs import frozen

from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed
from fitkit.foam.model import Point
from fitkit.payload.model import Payload
from fitkit.payload.pose import Band
from fitkit.shell.gap.tolerances import measured_mm
from fitkit.shell.mounting.model import Support


@frozen
class Facing:
    """The nearest that two bodies come on the way in which the halves close [mm].

    ``gap_mm`` is below 0 where they would pass through each other; ``at_mm`` lies in the middle
    between them.
    """

    gap_mm: float
    at_mm: Point


def is_mounted(one: Placed) -> bool:
    """Whether a copy is mounted instead of lying in foam."""
    return one.item.mount is not None


def side_play_mm(one: Placed, payload: Payload) -> float:
    """How far a copy may lie off sideways [mm], its half having shifted on the other one too.

    Its size, where it is held (a mounted item as its holes were sawn and drilled, one in foam as
    its pocket was cut, with the pocket's play), and half of how the closing profiles seat.

    >>> from fitkit.fit.layout import Placement
    >>> from fitkit.geometry.shapes import rectangle
    >>> from fitkit.payload.model import Body, Item, Section
    >>> box = Item("float", Body((Section(rectangle(40.0, 30.0), 0.0, 20.0),)))
    >>> side_play_mm(Placed(Placement("float", 1, "deep", 1, "top", 0, 0, 0, 0), box),
    ...              Payload("kit", (box,)))
    1.75
    """
    given = payload.closing.tolerances
    held = given.saw_mm if is_mounted(one) else given.foam_mm + max(payload.foam.allowance_mm, 0.0)
    return measured_mm(one.item, given) + held + given.seating_mm / 2


def solid_bands(one: Placed, supports: Sequence[Support]) -> tuple[Band, ...]:
    """The bands of a copy's body, and the boxes of the supports that hold it."""
    held = tuple(
        Band(
            support.low_mm[2],
            support.high_mm[2],
            shapely.box(*support.low_mm[:2], *support.high_mm[:2]),
        )
        for support in supports
        if support.item == one.item.name and support.copy == one.placement.copy
    )
    return (*one.solid.bands, *held)


def nearest(deep: Sequence[Band], shallow: Sequence[Band], *, play_mm: float) -> Facing | None:
    """The least vertical distance between bands that lie over each other in plan.

    ``play_mm`` is how far apart they may lie in plan and still count. None where nothing does.

    >>> base, knob = shapely.box(0, 0, 50, 50), shapely.box(0, 0, 9, 9)
    >>> low = [Band(0.0, 30.0, base), Band(30.0, 42.0, knob)]
    >>> high = [Band(60.0, 90.0, shapely.box(10, 0, 50, 50))]
    >>> nearest(low, high, play_mm=0.5).gap_mm, nearest(low, high, play_mm=1.5).gap_mm
    (30.0, 18.0)
    """
    pairs = sorted(
        ((above.z0_mm - below.z1_mm, below, above) for below in deep for above in shallow),
        key=lambda pair: pair[0],
    )
    for gap_mm, below, above in pairs:
        if not shapely.dwithin(below.shape, above.shape, play_mm):
            continue
        over = below.shape.intersection(above.shape)
        if over.area > 0:
            spot = over.representative_point()
        else:
            spot = shapely.shortest_line(below.shape, above.shape).centroid
        middle = (below.z1_mm + above.z0_mm) / 2
        return Facing(gap_mm, (float(spot.x), float(spot.y), middle))
    return None


def recess_mm(one: Placed, interior: Interior) -> float:
    """How far a copy's foremost point lies behind the closing plane [mm]; below 0 it is proud."""
    if in_first_half(one, interior):
        return interior.closing_mm - one.z1_mm
    return one.z0_mm - interior.closing_mm


def in_first_half(one: Placed, interior: Interior) -> bool:
    """Whether a copy stands in the half below the closing plane."""
    return one.placement.half == interior.halves[0].name


def foremost_at(one: Placed, interior: Interior) -> Point:
    """A point in the middle of a copy's foremost surface [mm]."""
    top = in_first_half(one, interior)
    band = one.solid.bands[-1 if top else 0]
    spot = band.shape.representative_point()
    return (float(spot.x), float(spot.y), band.z1_mm if top else band.z0_mm)


def faces_panel_or_foam(
    one: Placed, interior: Interior, placed: Sequence[Placed]
) -> tuple[Facing, Literal["foam", "panel"]] | None:
    """How far an item that faces no other is from the foam opposite, or from the panel.

    A foam half is filled up to the closing plane; over an item that stands proud its foam is cut
    away, so that such an item faces the panel. None for an item in foam that faces foam, or a
    tray's lid: the lid clearance is judged by itself.
    """
    others = [half.name for half in interior.halves if half.name != one.placement.half]
    foam = bool(others) and has_foam(others[0], placed)
    if not is_mounted(one) and (foam or not others):
        return None
    x, y, z = foremost_at(one, interior)
    panel_mm = interior.height_mm if in_first_half(one, interior) else 0.0
    if foam and recess_mm(one, interior) >= 0:
        plane_mm = interior.closing_mm
        return Facing(abs(plane_mm - z), (x, y, (z + plane_mm) / 2)), "foam"
    away = panel_mm - z if in_first_half(one, interior) else z - panel_mm
    return Facing(away, (x, y, (z + panel_mm) / 2)), "panel"


def has_foam(half: str, placed: Sequence[Placed]) -> bool:
    """Whether a half is lined with foam: all are but those that hold mounted items only."""
    inside = [one for one in placed if one.placement.half == half]
    return not inside or not all(is_mounted(one) for one in inside)
