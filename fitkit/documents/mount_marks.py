"""Rails, sub-panels and blocks in a plan view: where they are seen, and dashed under the gear."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from fitkit.documents.lettering import cut_to, wrapped
from fitkit.documents.mount_words import (
    held_by,
    screw_words,
    screws_of,
    stands_words,
    supports_of,
)
from fitkit.documents.plan_frame import Frame
from fitkit.documents.sheet import MEASURED, Hatch, Mark, Path, Style, Text, contours_of, polyline
from fitkit.fit.place import Placed
from fitkit.payload.pose import Room
from fitkit.plan import Plan
from fitkit.shell.gap.facing import in_first_half
from fitkit.shell.mounting.outline import is_below, outline_of

LINE_MM = 3.7


def support_shapes(plan: Plan, placed: Sequence[Placed], frame: Frame) -> list[BaseGeometry]:
    """The supports of these copies on the sheet, in their order."""
    return [
        frame.shape(outline_of(piece, below=is_below(piece, one)))
        for one in placed
        for piece in supports_of(plan, one)
    ]


def support_marks(
    plan: Plan, placed: Sequence[Placed], frame: Frame
) -> tuple[list[Mark], list[Mark]]:
    """What is seen of the supports, to lay under the gear, and their dashed outlines over it.

    The half is seen from its open side, so a support is hidden by a body that lies nearer to the
    closing plane.
    """
    under: list[Mark] = []
    over: list[Mark] = []
    for one in placed:
        up = in_first_half(one, plan.fit.interior)
        for piece in supports_of(plan, one):
            shape = outline_of(piece, below=is_below(piece, one))
            nearer = [
                other.solid.silhouette
                for other in placed
                if (
                    other.solid.z1_mm > piece.high_mm[2] + 1e-6
                    if up
                    else other.solid.z0_mm < piece.low_mm[2] - 1e-6
                )
            ]
            hiding = shapely.union_all(nearer)
            seen = contours_of(frame.shape(shape.difference(hiding)))
            if seen:
                under += [Path(seen, Style(None, fill="paper")), Hatch(seen, "panel"),
                          Path(seen, Style("ink", 0.25))]  # fmt: skip
            hidden = frame.shape(shape.boundary.intersection(hiding))
            lines = tuple(
                polyline(shapely.get_coordinates(line))
                for line in shapely.get_parts(shapely.line_merge(hidden))
                if line.length > 0
            )
            if lines:
                over.append(Path(lines, Style("quiet", 0.2, MEASURED)))
    return under, over


def is_flat(room: Room, one: Placed) -> bool:
    """Whether a room of a mount lies wholly over or under its body, so that plan views leave it."""
    left, low, right, high = one.solid.silhouette.bounds
    x0, y0, x1, y1 = room.outline.bounds
    return x0 > left - 0.01 and y0 > low - 0.01 and x1 < right + 0.01 and y1 < high + 0.01


def mounted_list(
    plan: Plan, placed: Sequence[Placed], left: float, top: float, right: float, *, floor: float
) -> tuple[list[Mark], float]:
    """What holds each mounted copy, its recess and its screws, downwards; and where it ends.

    As many copies as stay above ``floor``; how many more there are is said.
    """
    marks: list[Mark] = []
    y = top
    mounted = [one for one in placed if one.item.mount is not None]
    for number, one in enumerate(mounted):
        mount = one.item.mount
        if mount is None:
            continue
        said = [*held_by(mount, supports_of(plan, one)), stands_words(one, plan.fit.interior)]
        said += [f"{screw_words(s)}: {s.holds}" for s in screws_of(plan, one)]
        lines = [
            line for text in said for line in wrapped(text, width_mm=right - left, size_mm=2.6)
        ]
        if number and y - LINE_MM * (len(lines) + 1) < floor:
            marks.append(Text(left, y, f"and {len(mounted) - number} more", 2.6, role="quiet"))
            return marks, y - LINE_MM
        name = cut_to(one.label, width_mm=right - left, size_mm=2.7, bold=True)
        marks.append(Text(left, y, name, 2.7, bold=True))
        for line in lines:
            y -= LINE_MM
            marks.append(Text(left, y, line, 2.6, role="quiet"))
        y -= LINE_MM * 1.45
    return marks, y
