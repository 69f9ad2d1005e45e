"""Kits laid out in plain rows, so that the foam is tested without the search.

Heights come from :mod:`fitkit.fit.elevation`, as they do in a plan; every gap between items and to
the walls is kept, zones stay free of bodies, and a row may have slack for finger notches.
"""

from __future__ import annotations

import math

import shapely
from attrs import evolve, frozen
from hypothesis import strategies as st
from shapely import Polygon

from fitkit.fit.elevation import Need, elevate, levels
from fitkit.fit.layout import Half, Interior, Placement
from fitkit.payload.model import Body, CaseWishes, FoamWishes, Item, Payload, Section
from fitkit.payload.pose import Solid, posed
from strategies import payloads

DRAFT_ROOM_MM = 15.0
FOAM = FoamWishes()
CASE = CaseWishes()


@frozen
class Kit:
    """A payload with an interior and placements that keep its clearances."""

    payload: Payload
    interior: Interior
    placements: tuple[Placement, ...]


def block(name: str, width: float, depth: float, height: float, **more: object) -> Item:
    """A plain box of an item."""
    body = Body((Section(shapely.box(0, 0, width, depth), 0.0, height),))
    return Item(name, body, **more)  # type: ignore[arg-type]  # passed on


def plain(outline: Polygon, height: float, name: str = "probe", **more: object) -> Item:
    """An item of one section."""
    return Item(name, Body((Section(outline, 0.0, height),)), **more)  # type: ignore[arg-type]  # passed on


def kit_of(
    *items: Item,
    depths: tuple[float, ...] = (110.0, 40.0),
    at: tuple[tuple[float, float, float], ...],
    size: tuple[float, float] = (400.0, 300.0),
    tiers: tuple[int, ...] | None = None,
    halves: tuple[str, ...] | None = None,
    foam: FoamWishes = FOAM,
    case: CaseWishes = CASE,
) -> Kit:
    """A kit by hand: one placement for each item at (x, y, z), as measured."""
    names = {1: ("tray",), 2: ("deep", "shallow")}[len(depths)]
    interior = Interior(
        *size,
        tuple(Half(n, d) for n, d in zip(names, depths, strict=True)),  # type: ignore[arg-type]  # by test
        case.corner_mm,
        case.draft_deg,
    )
    tiers = tiers or (1,) * len(items)
    halves = halves or (names[0],) * len(items)
    placements = tuple(
        Placement(item.name, 1, half, tier, "top" if half != "shallow" else "bottom", 0.0, x, y, z)  # type: ignore[arg-type]  # by test
        for item, half, tier, (x, y, z) in zip(items, halves, tiers, at, strict=True)
    )
    return Kit(Payload("Tideline trial", items, case=case, foam=foam), interior, placements)


@st.composite
def kits(draw: st.DrawFn, *, max_items: int = 3) -> Kit:
    """Kits of every form, one or two tiers, every cutting method, with and without accent."""
    payload = draw(payloads(max_items=max_items, most=90.0))
    allowed = levels(payload)
    slack = draw(st.sampled_from((0.0, 45.0)))
    rows: dict[int, list[tuple[str, int, str, float, Solid]]] = {}
    for item in payload.items:
        for copy in range(1, item.count + 1):
            level = draw(st.integers(0, len(allowed) - 1))
            up = draw(st.sampled_from(item.up))
            turn = draw(st.sampled_from((0.0, 90.0, 180.0, 33.0)))
            solid = posed(item, up).placed(turn_deg=turn, x_mm=0.0, y_mm=0.0, z_mm=0.0)
            rows.setdefault(level, []).append((item.name, copy, up, turn, solid))
    needs = []
    for k in range(len(allowed)):
        solids = [one[4] for one in rows.get(k, [])]
        if not solids:
            needs.append(None)
            continue
        body = max(s.z1_mm - s.reach_mm[0] for s in solids)
        room = max(s.reach_mm[1] - s.reach_mm[0] for s in solids)
        proud = [payload.item(one[0]).proud for one in rows[k]]
        flush = [s.z1_mm - s.reach_mm[0] for s, p in zip(solids, proud, strict=True) if not p]
        needs.append(Need(body, room, max(flush, default=0.0)))
    heights = elevate(payload, tuple(needs))
    assert heights is not None
    wall = payload.case.clearance.wall_mm
    wall += DRAFT_ROOM_MM if payload.case.draft_deg else 0.0
    closed = sum(heights.depths_mm)
    spots: list[tuple[str, int, int, str, float, Solid, float, float]] = []
    length = width = 0.0
    for k, row in rows.items():
        x = wall
        for name, copy, up, turn, solid in row:
            shapes = [solid.silhouette, *(room.outline for room in solid.rooms)]
            left, low, right, high = shapely.total_bounds(shapes)
            spots.append((name, copy, k, up, turn, solid, x - left, wall + slack - low))
            x += right - left + payload.case.clearance.item_mm + slack
            width = max(width, high - low + 2 * wall + 2 * slack)
        length = max(length, x - payload.case.clearance.item_mm - slack + wall)
    placements = []
    for name, copy, k, up, turn, solid, x, y in spots:
        level = allowed[k]
        under = solid.z0_mm - solid.reach_mm[0]
        z, y_mm, turned, face = heights.floors_mm[k] + under, y, turn, up
        if level.half == "shallow":  # hang it: the same pose, measured down from the lid
            over = solid.reach_mm[1] - solid.z1_mm
            z = closed - heights.floors_mm[k] - over - solid.height_mm
        placements.append(
            Placement(name, copy, level.half, level.tier, face, turned, x, y_mm, round(z, 6))  # type: ignore[arg-type]  # by test
        )
    names = tuple(dict.fromkeys(level.half for level in allowed))
    if payload.case.form == "box":
        names = ("deep", "shallow")
    interior = Interior(
        math.ceil(length),
        math.ceil(width),
        tuple(Half(n, d) for n, d in zip(names, heights.depths_mm, strict=True)),  # type: ignore[arg-type]  # by test
        payload.case.corner_mm,
        payload.case.draft_deg,
    )
    if draw(st.integers(0, 4)) == 0:  # a depth that no sheets add up to
        first = interior.halves[0]
        if len(interior.halves) == 1:
            interior = evolve(interior, halves=(evolve(first, depth_mm=first.depth_mm + 3.5),))
    return Kit(payload, interior, tuple(placements))
