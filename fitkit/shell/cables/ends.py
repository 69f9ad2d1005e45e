"""Where cables begin and end: plugs in their connectors, and the exits of the case.

A cable leaves its plug along the plug, runs straight for its own diameter at least (a rule that was
read), and only then may bend. Behind a device it so takes plug + straight run + radius + diameter
before a bend of 90 degrees is round.
"""

from __future__ import annotations

import numpy as np
from attrs import evolve, frozen

from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed
from fitkit.foam.model import Point
from fitkit.payload.cables import Connector, Plug
from fitkit.payload.model import Item, Zone
from fitkit.payload.workshop import Side
from fitkit.shell.cables.blocks import Block, outwards, tidy_unit
from fitkit.shell.cables.model import CableExit
from fitkit.shell.frame import out_of

ANGLED_MM = 2.0
"""What an angled plug needs beyond its body (common practice, no source) [mm]."""


@frozen
class Ray:
    """The first straight piece of a cable: from where, which way, and for how long at least."""

    at_mm: Point
    way: Point
    straight_mm: float


@frozen
class End:
    """One end of a cable: its name, the ways in which it may leave, and the room of its plug.

    ``out`` is the way out of the connector's face. ``stub_mm`` is what lies within the plug: the
    cable's own length is counted from there on. ``copy`` is None at an exit.
    """

    name: str
    rays: tuple[Ray, ...]
    half: str
    out: Point
    plug: Block | None = None
    stub_mm: float = 0.0
    copy: Placed | None = None


def connector_zone(item: Item, connector: Connector) -> Zone | None:
    """The connector's zone; None where the item has no such one."""
    mine = [z for z in item.zones if z.kind == "connector" and z.face == connector.face]
    return mine[connector.index - 1] if 0 < connector.index <= len(mine) else None


def end_at(
    copy: Placed, connector: Connector, *, plug: Plug | None, diameter_mm: float
) -> End | None:
    """A cable's end in a connector of one copy; None where there is no such connector.

    Where the plug was not measured, the zone is taken for plug and straight run together.
    """
    zone = connector_zone(copy.item, connector)
    if zone is None:
        return None
    where = Connector(connector.item, connector.face, connector.index)
    name = where.name if copy.item.count == 1 else evolve(where, copy=copy.placement.copy).name
    size = zone.size_mm if plug is None else (plug.width_mm, plug.height_mm)
    long = max(zone.depth_mm - diameter_mm, 0.0) if plug is None else plug.length_mm
    taken = evolve(zone, size_mm=size, depth_mm=max(long, 0.1))
    room = evolve(copy.item, zones=(taken,), mount=None)
    solid = Placed(copy.placement, room).rooms[0]
    x0, y0, x1, y1 = solid.outline.bounds
    block = Block((x0, y0, solid.z0_mm), (x1, y1, solid.z1_mm), f"the plug in {name}", "plug")
    way = outwards(copy, connector.face)
    middle = solid.outline.centroid
    centre = (middle.x, middle.y, (solid.z0_mm + solid.z1_mm) / 2)
    face = _along(centre, way, -taken.depth_mm / 2)
    if plug is not None and plug.angled:
        leaves = _along(face, way, max(long - diameter_mm / 2, diameter_mm / 2))
        reach = max(size) / 2 + diameter_mm
        rays = tuple(Ray(leaves, side, reach) for side in _aside(way))
        return End(name, rays, copy.placement.half, way, block, max(size) / 2, copy)
    straight = zone.depth_mm if plug is None else plug.length_mm + diameter_mm
    ray = Ray(face, way, max(straight, diameter_mm))
    return End(name, (ray,), copy.placement.half, way, block, long, copy)


def exit_end(one: CableExit, *, interior: Interior, thick_mm: float) -> End:
    """The cable's end in a corner exit: in the middle of the largest round bundle that passes.

    That bundle touches both walls and the cut's lining: its middle is half its diameter from
    either wall. ``thick_mm`` is what runs through: it stands no nearer to the walls than half of
    that.
    """
    side = _side(one.panel)
    axis, sense = out_of(side)
    inset = max(one.bundle_mm, thick_mm) / 2
    at = [value / 2 for value in interior.size_mm]
    at[axis] = interior.size_mm[axis] if sense > 0 else 0.0
    for wall in one.corner:
        across, out = out_of(_side(wall))
        at[across] = interior.size_mm[across] - inset if out > 0 else inset
    into = [0.0, 0.0, 0.0]
    into[axis] = -float(sense)
    ray = Ray((at[0], at[1], at[2]), (into[0], into[1], into[2]), thick_mm)
    return End(one.name, (ray,), one.part, ray.way)


def _side(name: str) -> Side:
    """The face of the case that a wall's or a panel's name ends in."""
    last = name.split()[-1]
    for side in ("bottom", "top", "front", "back", "left", "right"):
        if side == last:
            return side
    raise ValueError(f"{name!r} names no face of the case")


def _along(point: Point, way: Point, by: float) -> Point:
    x, y, z = (p + w * by for p, w in zip(point, way, strict=True))
    return (x, y, z)


def _aside(way: Point) -> tuple[Point, ...]:
    """The four ways square to a way."""
    ahead = np.array(way)
    up = np.array((0.0, 0.0, 1.0)) if abs(way[2]) < 0.5 else np.array((0.0, 1.0, 0.0))
    right = np.cross(ahead, up)
    found = []
    for one in (up, -up, right, -right):
        x, y, z = (tidy_unit(float(value)) for value in one)
        found.append((x, y, z))
    return tuple(found)
