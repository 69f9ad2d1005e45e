"""Limits that an item alone cannot meet, in any pose: said at once, before any search.

Only what is certain is refused: every bound here is one that no layout can undercut. A kit whose
items fit one by one but not together is an answer of the search, not a fault.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fitkit.payload.model import Item, Payload, Wall
from fitkit.payload.pose import posed
from fitkit.payload.reading import Table
from fitkit.payload.toml_lines import Path
from fitkit.units import length_text, mass_text

SLACK_MM = 0.05
"""By how much a limit may be missed before a fault is noted [mm]: curves are drawn that finely."""


def wall_build_up_mm(wall: Wall) -> float:
    """Outside minus inside on one side [mm]: outer leaf, slot and inner leaf."""
    profile = wall.profile
    return profile.outer_leaf_mm + profile.slot_mm + profile.inner_leaf_mm


def least_plan_mm(silhouette: BaseGeometry, *, free: bool) -> tuple[float, float]:
    """Least short and long side of a box around a silhouette [mm], each on its own.

    With free turns the short side is the least width of the hull over all directions and the long
    side at least its greatest width over root two (a box holds its diagonal).

    >>> least_plan_mm(shapely.box(0, 0, 30, 10), free=False)
    (10.0, 30.0)
    """
    x0, y0, x1, y1 = silhouette.bounds
    if not free:
        short, long = sorted((x1 - x0, y1 - y0))
        return short, long
    hull = shapely.get_coordinates(silhouette.convex_hull)
    sides = np.diff(hull, axis=0)
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    normals = np.column_stack([-sides[:, 1], sides[:, 0]])[lengths > 0] / lengths[lengths > 0, None]
    short = float(np.ptp(hull @ normals.T, axis=0).min())
    span = hull[:, None, :] - hull[None, :, :]
    longest = float(np.hypot(span[..., 0], span[..., 1]).max())
    return short, max(short, longest / math.sqrt(2))


def note_impossible(payload: Payload, sheet: Table) -> None:
    """Note a fault for every item that cannot meet a limit on its own."""
    tables = {table.data.get("name"): table for table in _item_tables(sheet)}
    for item in payload.items:
        table = tables.get(item.name)
        if table is not None:
            _mass(payload, item, table)
            _height(payload, item, table)
            _outside(payload, item, table)


def _item_tables(sheet: Table) -> list[Table]:
    found = sheet.data.get("item")
    if not isinstance(found, list):
        return []
    return [
        Table(entry, ("item", index), sheet.notes) for index, entry in enumerate(found) if isinstance(entry, dict)
    ]


def _mass(payload: Payload, item: Item, table: Table) -> None:
    limit = payload.case.limits.mass_kg
    if limit is not None and item.mass_kg is not None and item.mass_kg > limit:
        units = payload.units
        table.fault("mass", f"{mass_text(item.mass_kg, units=units)} is more than the whole case may weigh",
                    f"the limit is {mass_text(limit, units=units)}{_at_line(table, ('case', 'limits', 'mass'))}: "
                    "raise it, or take the item out")


def _height(payload: Payload, item: Item, table: Table) -> None:
    """The least height of the item against the halves' depths."""
    case, gaps = payload.case, payload.case.clearance
    deep, shallow = case.depths_mm
    height = min(posed(item, up).height_mm for up in item.up)
    room: float | None = None
    need = height + gaps.floor_mm
    if case.form == "pair" or (case.form == "tray" and deep is not None):
        need += gaps.lid_mm
        room = deep
        if case.form == "pair" and item.proud and deep is not None:
            need, room = need + gaps.floor_mm - gaps.lid_mm, 2 * deep
    elif deep is not None and shallow is not None:
        need, room = need + gaps.lid_mm, deep + shallow
        if not item.proud and max(deep, shallow) < height + gaps.floor_mm:
            need, room = height + gaps.floor_mm, max(deep, shallow)
    if room is None or need <= room + SLACK_MM:
        return
    units = payload.units
    table.fault(
        "body",
        f"the item is {length_text(height, units=units)} high at least and takes {length_text(need, units=units)} "
        "with its clearances",
        f"the depths leave {length_text(room, units=units)}{_at_line(table, ('case', 'depths'))}: give "
        f"{length_text(need - room, units=units)} more, or let it lie on another face (up)",
    )


def _outside(payload: Payload, item: Item, table: Table) -> None:
    """The item's least box in each pose against the limits on the outside sizes."""
    limits, gaps = payload.case.limits, payload.case.clearance
    wall = 2 * wall_build_up_mm(payload.wall)
    allowed = sorted((math.inf if side is None else side for side in limits.outside_mm), reverse=True)
    best_over, best_linear = math.inf, math.inf
    best: tuple[float, float, float] = (0.0, 0.0, 0.0)
    for up in item.up:
        solid = posed(item, up)
        short, long = least_plan_mm(solid.silhouette, free=item.turn == "free")
        height = solid.height_mm + gaps.floor_mm + min(gaps.lid_mm, gaps.floor_mm)
        sides = sorted((short + 2 * gaps.wall_mm, long + 2 * gaps.wall_mm, height), reverse=True)
        outside = (sides[0] + wall, sides[1] + wall, sides[2] + wall)
        over = max(side - limit for side, limit in zip(outside, allowed, strict=True))
        if over < best_over:
            best_over, best = over, outside
        best_linear = min(best_linear, sum(outside))
    units = payload.units
    if best_over > SLACK_MM:
        needs = " x ".join(length_text(side, units=units) for side in best)
        table.fault(
            "body", f"the item alone needs a case of {needs} outside",
            f"that is {length_text(best_over, units=units)} over the limit"
            f"{_at_line(table, ('case', 'limits', 'outside'))}: raise the limit, or take the item out",
        )
    if limits.linear_mm is not None and best_linear > limits.linear_mm + SLACK_MM:
        over_mm = best_linear - limits.linear_mm
        table.fault(
            "body", f"the item alone needs a linear sum of {length_text(best_linear, units=units)} outside",
            f"that is {length_text(over_mm, units=units)} over the limit"
            f"{_at_line(table, ('case', 'limits', 'linear'))}: raise the limit, or take the item out",
        )


def _at_line(table: Table, path: Path) -> str:
    line = table.notes.lines.get(path)
    return f" (line {line})" if line else ""
