"""What lies flat on a side of the closed case: legs of profiles, with cut-outs, and corners."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.payload.workshop import Side
from fitkit.plan import Plan
from fitkit.shell.exits import BACKS
from fitkit.shell.frame import along, out_of, plane_mm, to_face
from fitkit.shell.model import Bar, Panel, Shell


def outermost(shell: Shell, panel: Panel) -> bool:
    """Whether a panel lies in the closed case's outer face, and not under another part."""
    part = shell.assembly.part(panel.part)
    return abs(plane_mm(part, panel.side) - plane_mm(shell.assembly, panel.side)) < 0.01


def leaves(plan: Plan, side: Side) -> Iterator[BaseGeometry]:
    """The legs of the profiles that lie on a side, flat."""
    if plan.shell is None:
        return
    shell, profile = plan.shell, plan.payload.wall.profile
    for bar in shell.bars:
        sides = bar.sides if bar.kind == "edge" else bar.sides[:1]
        part = shell.assembly.part(bar.part)
        outer = abs(plane_mm(part, side) - plane_mm(shell.assembly, side)) < 0.01
        if side in sides and outer:
            wide = profile.leg_mm if bar.kind == "edge" else profile.closing_leaf_mm
            yield _leaf(shell, bar, side, wide)


def _leaf(shell: Shell, bar: Bar, side: Side, wide: float) -> BaseGeometry:
    other = bar.sides[1] if side == bar.sides[0] else bar.sides[0]
    axis, way = out_of(other)
    along_axis, _ = along(bar)
    inner_a, inner_b = list(bar.start_mm), list(bar.end_mm)
    inner_a[axis] -= way * wide
    inner_b[axis] -= way * wide
    if bar.kind == "edge" and bar.ends == "mitred" and bar.short_mm < bar.length_mm:
        both = bar.length_mm - bar.short_mm > 1.5 * wide
        step = wide if inner_b[along_axis] > inner_a[along_axis] else -wide
        at_low = abs(bar.start_mm[along_axis] - shell.assembly.low_mm[along_axis]) < 0.01
        if both or at_low:
            inner_a[along_axis] += step
        if both or not at_low:
            inner_b[along_axis] -= step
    corners = [bar.start_mm, bar.end_mm, (inner_b[0], inner_b[1], inner_b[2]),
               (inner_a[0], inner_a[1], inner_a[2])]  # fmt: skip
    leaf: BaseGeometry = Polygon([to_face(side, point) for point in corners])
    cuts = [cut for cut in shell.bar_cuts if cut.bar == bar.name and cut.side == side]
    for cut in cuts:
        leaf = leaf.difference(_cut_box(bar, side, axis, way, cut.from_mm, cut.to_mm, cut.deep_mm))
    return leaf


def _cut_box(
    bar: Bar, side: Side, axis: int, way: int, from_mm: float, to_mm: float, deep_mm: float
) -> Polygon:
    along_axis, sense = along(bar)
    a, b = list(bar.start_mm), list(bar.start_mm)
    a[along_axis] += sense * from_mm
    b[along_axis] += sense * to_mm
    b[axis] -= way * deep_mm
    one, other = to_face(side, (a[0], a[1], a[2])), to_face(side, (b[0], b[1], b[2]))
    return shapely.box(min(one[0], other[0]), min(one[1], other[1]),
                       max(one[0], other[0]), max(one[1], other[1]))  # fmt: skip


def corners(plan: Plan, side: Side) -> Iterator[Polygon]:
    """What the corners cover of a side: two legs along the edges, as wide as the profile's.

    They reach as far as the corner pieces that are fitted, else as far as the corner allowance.
    """
    shell = plan.shell
    if shell is None:
        return
    pieces = [one for one in shell.hardware if one.kind == "corner"]
    reach = pieces[0].size_mm[0] if pieces else plan.payload.wall.profile.corner_mm
    leg = min(plan.payload.wall.profile.leg_mm, reach)
    low, high = shell.assembly.low_mm, shell.assembly.high_mm
    middle = to_face(side, ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2))
    for corner in shell.corners:
        outer = abs(corner.at_mm[out_of(side)[0]] - plane_mm(shell.assembly, side)) < 0.01
        at_exit = any(
            {*one.corner, BACKS[one.part]} == {*corner.sides} for one in shell.exits
        )  # cables leave there: no corner piece is set
        if corner.kind == "outer" and outer and not at_exit:
            u, v = to_face(side, corner.at_mm)
            right, up = (1 if u < middle[0] else -1), (1 if v < middle[1] else -1)
            ring = ((0, 0), (reach, 0), (reach, leg), (leg, leg), (leg, reach), (0, reach))
            yield Polygon([(u + right * a, v + up * b) for a, b in ring])
