"""Limits that an item alone cannot meet, in any pose: said at once, before any search.

Only what is certain is refused: every bound here is one that no layout can undercut. A kit whose
items fit one by one but not together is an answer of the search, not a fault.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.payload.limits import sides_of
from fitkit.payload.model import Face, Item, Payload
from fitkit.payload.pose import posed
from fitkit.payload.reading import Table
from fitkit.payload.toml_lines import Path
from fitkit.payload.walls import build_up_mm
from fitkit.units import mass_text

SLACK_MM = 0.05
"""By how much a limit may be missed before a fault is noted [mm]: curves are drawn that finely."""


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
    tables = {str(table.data.get("name")): table for table in _item_tables(sheet)}
    mounts = _mount_tables(sheet)
    for item in payload.items:
        table = tables.get(item.name)
        if table is None:
            continue
        _mass(payload, item, table)
        mount = mounts.get(item.name.casefold())
        if mount is not None and item.mount is None:
            continue  # how it stands is not known: what is wrong with its mount is said there
        _height(payload, item, table, mount)
        _outside(payload, item, table)


def _item_tables(sheet: Table) -> list[Table]:
    found = sheet.data.get("item")
    if not isinstance(found, list):
        return []
    return [
        Table(entry, ("item", index), sheet.notes)
        for index, entry in enumerate(found)
        if isinstance(entry, dict)
    ]


def _mount_tables(sheet: Table) -> dict[str, Table]:
    """The tables of the mounts by the item that they hold, capitals aside."""
    found = sheet.data.get("mount")
    return {
        entry["item"].casefold(): Table(entry, ("mount", index), sheet.notes)
        for index, entry in enumerate(found if isinstance(found, list) else [])
        if isinstance(entry, dict) and isinstance(entry.get("item"), str)
    }


def _mass(payload: Payload, item: Item, table: Table) -> None:
    limit = payload.case.limits.mass_kg
    if limit is not None and item.mass_kg is not None and item.mass_kg > limit:
        units = payload.units
        at = _at_line(table, ("case", "limits", "mass"))
        table.fault(
            "mass",
            f"{mass_text(item.mass_kg, units=units)} is more than the whole case may weigh",
            f"the limit is {mass_text(limit, units=units)}{at}: raise it, or take the item out",
        )


def _height(payload: Payload, item: Item, table: Table, mount: Table | None) -> None:
    """The least height of the item against the halves' depths."""
    height = min(posed(item, up).height_mm for up in item.up)
    asked = [ask for ask in depth_asks(payload, item, height) if ask.over_mm > SLACK_MM]
    if not asked:
        return
    ask = max(asked, key=lambda ask: ask.over_mm)
    say = table.notes.say
    at = _at_line(table, ("case", "depths"))
    if item.mount is not None and mount is not None:
        mount.fault(
            "recess" if item.mount.recess_mm is not None and "recess" in mount else None,
            f"{_mounted_said(item, say)} take {say(ask.need_mm)}",
            f"{ask.room} {say(ask.room_mm)}{at}: {say(ask.over_mm)} are missing; give the half "
            "more depth, or the mount less recess or room behind it",
        )
        return
    table.fault(
        "body",
        f"the item is {say(height)} high at least and takes {say(ask.need_mm)} with its clearances",
        f"{ask.room} {say(ask.room_mm)}{at}: give {say(ask.over_mm)} more, or {ask.otherwise}",
    )


def _mounted_said(item: Item, say: Callable[[float], str]) -> str:
    """What a mounted item takes of a half's depth, part by part."""
    mount = item.mount
    assert mount is not None  # the caller has looked
    up = min(item.up, key=lambda face: mounted_depth_mm(item, face))
    height = posed(item, up).height_mm
    rest = mounted_depth_mm(item, up) - height
    if mount.upright:
        return f"the item of {say(height)} and {say(rest)} for the zones above and below it"
    recess = mount.asked_recess_mm
    return (
        f"a recess of {say(recess)}, the item of {say(height)} and {say(rest - recess)} behind it"
    )


def mounted_depth_mm(item: Item, up: Face) -> float:
    """What a mounted item takes of its half's depth with face ``up`` looking out of it [mm].

    Facing the closing plane: recess + body + the deepest zone behind the body. Facing the back
    panel or a wall: body and zones together. Without foam there is no pad under it.
    """
    solid, mount = posed(item, up), item.mount
    if mount is None:
        raise ValueError(f"{item.name} is not mounted")
    low, high = solid.reach_mm
    if mount.faces == "closing plane":
        return mount.asked_recess_mm + solid.z1_mm - low
    return high - low


@frozen
class DepthAsk:
    """What an item's height takes for certain, against the room that given depths leave it [mm].

    ``room`` says what that room is; ``otherwise`` what else the builder may do.
    """

    need_mm: float
    room_mm: float
    room: str
    otherwise: str

    @property
    def over_mm(self) -> float:
        """By how much the room is too low; 0 where it is not."""
        return max(0.0, self.need_mm - self.room_mm)


def depth_asks(payload: Payload, item: Item, height_mm: float) -> list[DepthAsk]:
    """What a body ``height_mm`` high takes of the depths that were given; empty where free."""
    gaps, form = payload.case.clearance, payload.case.form
    deep, shallow = payload.case.depths_mm
    if item.mount is not None:
        return _mounted_asks(payload, item)
    lie = "let it lie on another face (up)"
    stands = height_mm + gaps.floor_mm
    if form == "tray":
        room = "the depth leaves"
        return [] if deep is None else [DepthAsk(stands + gaps.lid_mm, deep, room, lie)]
    asks = []
    if form == "box" and deep is not None and shallow is not None:
        asks.append(DepthAsk(stands + gaps.lid_mm, deep + shallow, "the depths leave", lie))
    if form == "box" and item.proud:
        return asks
    need = stands + (gaps.lid_mm if form == "pair" else 0.0)
    half = item.half or ("any" if form == "pair" else "deep")
    if half == "any":
        if deep is not None and shallow is not None:
            asks.append(DepthAsk(need, max(deep, shallow), "the deeper half leaves", lie))
    else:
        depth = deep if half == "deep" else shallow
        if depth is not None:
            other = "let it stand in the other half too (half)"
            if form == "box":
                other += ", let it stand proud (proud)"
            asks.append(DepthAsk(need, depth, f"the {half} half leaves", f"{other}, or {lie}"))
    return asks


def _mounted_asks(payload: Payload, item: Item) -> list[DepthAsk]:
    """What a mounted item takes of the depths that were given."""
    deep, shallow = payload.case.depths_mm
    need = min(mounted_depth_mm(item, up) for up in item.up)
    less = "give the mount less recess or room behind it"
    if payload.case.form == "tray":
        return [] if deep is None else [DepthAsk(need, deep, "the depth leaves", less)]
    usual = payload.case.half or ("any" if payload.case.form == "pair" else "deep")
    half = item.half or usual
    if half == "any":
        if deep is None or shallow is None:
            return []
        return [DepthAsk(need, max(deep, shallow), "the deeper half leaves", less)]
    depth = deep if half == "deep" else shallow
    return [] if depth is None else [DepthAsk(need, depth, f"the {half} half leaves", less)]


def _outside(payload: Payload, item: Item, table: Table) -> None:
    """The item's least box in each pose against the limits on the outside sizes."""
    limits, gaps = payload.case.limits, payload.case.clearance
    wall = 2 * build_up_mm(payload.wall.profile)
    best_over, best_linear = math.inf, math.inf
    best: tuple[float, float, float] = (0.0, 0.0, 0.0)
    for up in item.up:
        solid = posed(item, up)
        short, long = least_plan_mm(solid.silhouette, free=item.turn == "free")
        height = solid.height_mm + gaps.floor_mm + gaps.lid_mm
        beside = 2 * gaps.wall_mm + wall
        if item.mount is not None:  # no pad of foam lies under it or above it
            height = mounted_depth_mm(item, up)
        outside = (long + beside, short + beside, height + wall)
        over = max(side.over_mm for side in sides_of(outside, limits=limits))
        if over < best_over:
            best_over, best = over, outside
        best_linear = min(best_linear, sum(outside))
    say = table.notes.say
    if best_over > SLACK_MM:
        needs = " x ".join(say(side) for side in best)
        table.fault(
            "body",
            f"the item alone needs a case of {needs} outside",
            f"that is {say(best_over)} over the limit"
            f"{_at_line(table, ('case', 'limits', 'outside'))}: raise it, or take the item out",
        )
    if limits.linear_mm is not None and best_linear > limits.linear_mm + SLACK_MM:
        over_mm = best_linear - limits.linear_mm
        table.fault(
            "body",
            f"the item alone needs a linear sum of {say(best_linear)} outside",
            f"that is {say(over_mm)} over the limit"
            f"{_at_line(table, ('case', 'limits', 'linear'))}: raise it, or take the item out",
        )


def _at_line(table: Table, path: Path) -> str:
    line = table.notes.lines.get(path)
    return f" (line {line})" if line else ""
