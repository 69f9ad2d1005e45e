"""Profiles cut across: leaves, slot and web from the builder's own measures, tongue and groove.

The form is simplified: measured are leaves, slot, web, rims, engagement, and how high the tongue
stands. How wide the tongue is has no measure; it is drawn as wide as the slot's middle third.
"""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from fitkit.payload.model import Profile
from fitkit.shell.frame import along, out_of
from fitkit.shell.leaves import leg_mm, slot_mm
from fitkit.shell.model import Bar


def bar_cut(bar: Bar, y_mm: float, *, profile: Profile) -> BaseGeometry:
    """A profile's section at ``y_mm`` in x and z [mm]; empty where the cut misses it.

    Only profiles that run along y are cut across; those along x lie in or beside the cut.
    """
    axis, _ = along(bar)
    low, high = sorted((bar.start_mm[1], bar.end_mm[1]))
    if axis != 1 or not low < y_mm < high:
        return shapely.Polygon()
    one, two = (out_of(side) for side in bar.sides)
    shape = _edge(bar, profile) if bar.kind == "edge" else _closing(bar, profile)
    # p runs inwards from the first side's face, q from the second's
    x_first = one[0] == 0
    p_in, q_in = -one[1], -two[1]
    x0, z0 = bar.start_mm[0], bar.start_mm[2]
    matrix = [p_in, 0, 0, q_in, x0, z0] if x_first else [0, q_in, p_in, 0, x0, z0]
    return shapely.affinity.affine_transform(shape, matrix)


def _edge(bar: Bar, profile: Profile) -> BaseGeometry:
    """An edge profile: two legs, each with its slot, about a hollow corner."""
    leg, bottom = leg_mm(bar, profile), slot_mm(bar, profile)
    thick = profile.outer_leaf_mm + profile.slot_mm + profile.inner_leaf_mm
    boxes = []
    for p0, q0, p1, q1 in (
        (0.0, 0.0, profile.outer_leaf_mm, leg),
        (0.0, bottom - profile.slot_web_mm, thick, bottom),
        (thick - profile.inner_leaf_mm, bottom - profile.slot_web_mm, thick,
         bottom + profile.engagement_mm),
    ):  # fmt: skip
        boxes += [shapely.box(p0, q0, p1, q1), shapely.box(q0, p0, q1, p1)]
    return shapely.union_all(boxes)


def _closing(bar: Bar, profile: Profile) -> BaseGeometry:
    """A closing profile: one leg with its slot, and the tongue or the groove at its rim."""
    leg, rim = leg_mm(bar, profile), slot_mm(bar, profile)
    thick = profile.outer_leaf_mm + profile.slot_mm + profile.inner_leaf_mm
    third = profile.slot_mm / 3
    middle = (profile.outer_leaf_mm + third, profile.outer_leaf_mm + 2 * third)
    whole = shapely.union_all(
        [
            shapely.box(0.0, 0.0, profile.outer_leaf_mm, leg),
            shapely.box(0.0, 0.0, thick, rim),
            shapely.box(thick - profile.inner_leaf_mm, 0.0, thick, rim + profile.engagement_mm),
        ]
    )
    if bar.kind == "tongue":
        return whole.union(shapely.box(middle[0], -profile.tongue_mm, middle[1], 0.0))
    play = (profile.groove_mm - profile.tongue_mm) / 2
    deep = min(profile.groove_mm, rim)
    return whole.difference(shapely.box(middle[0] - play, 0.0, middle[1] + play, deep))
