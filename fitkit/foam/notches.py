"""Finger notches: room at a pocket's side to get hold of the item.

Two notches face each other across the long sides where there is room, else across the ends, else
there is one. A notch goes down to where a finger reaches under the item's top, never below the
pocket's floor; it keeps the webs that are asked for to every other cut-out and to the edge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
import shapely.affinity
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.foam.channels import joined, opened
from fitkit.foam.cutting import Method
from fitkit.foam.model import Cutout
from fitkit.foam.notch_shape import Drawn, Side, drawn_along
from fitkit.foam.pockets import without_tongues
from fitkit.foam.stack import Stack, tier_top
from fitkit.foam.view import SAME_MM, Stand
from fitkit.foam.webs import WebRule
from fitkit.payload.model import Notch

GRIP_MM = 20.0
"""A notch reaches at least this far below the item's top (common practice, no source: 20 to 30)."""

FINGER_MM = 16.0
"""The shallowest notch that lets a finger in; tried where the full one has no room (assumption)."""

STEP_MM = 4.0
"""Notches are moved along a side in steps of this or more [mm]."""

MOST_STEPS = 16
"""How many steps are tried to each side of the middle."""


@frozen
class Cutting:
    """A layer in the making: its heights above the half's floor, its edge, what is cut so far."""

    low_mm: float
    high_mm: float
    outline: Polygon
    cutouts: tuple[Cutout, ...]


@frozen
class Notched:
    """The notches of one item: what they take out, by position among the layers, and as drawn."""

    cuts: dict[int, tuple[Cutout, ...]]
    drawn: tuple[Drawn, ...] = ()


ACCURACY_MM = 0.01
"""Webs are exact to this [mm]."""


@frozen
class Crossed:
    """The layers that an item's notches are cut in, by position, and its own pocket in each."""

    positions: tuple[int, ...]
    pockets: tuple[BaseGeometry, ...]

    @property
    def top(self) -> BaseGeometry:
        """The pocket in the topmost of them: at its edge the notches lie."""
        return self.pockets[-1]


def crossed(stand: Stand, *, stack: Stack, layers: Sequence[Cutting]) -> Crossed | None:
    """The layers from a grip below an item's top up to the top of its tier; None without a pocket.

    Down to the pocket's floor at most.
    """
    top = tier_top(stack, stand)
    floor = stack.floor_under(max(stand.low_mm, min(stand.top_mm, top) - GRIP_MM))
    inside = [
        k
        for k, layer in enumerate(layers)
        if layer.low_mm >= floor - SAME_MM and layer.high_mm <= top + SAME_MM
    ]
    if not inside:
        return None
    me = key_of(stand)
    own = [
        shapely.union_all([c.shape for c in layers[k].cutouts if _of(c, me) and c.kind == "pocket"])
        for k in inside
    ]
    return None if own[-1].is_empty else Crossed(tuple(inside), tuple(own))


def key_of(stand: Stand) -> tuple[str, int]:
    """The item's name and the number of the copy."""
    return (stand.placed.placement.item, stand.placed.placement.copy)


def cut_through(
    stand: Stand, *, drawn: Sequence[Drawn], where: Crossed, method: Method
) -> dict[int, tuple[Cutout, ...]]:
    """What notches take out of each layer that they cross, made so that the tool can cut it."""
    me = key_of(stand)
    return {
        k: tuple(
            Cutout(*me, "notch", part)
            for one in drawn
            for part in opened(joined(one.shape, pocket), pocket, method)
        )
        for k, pocket in zip(where.positions, where.pockets, strict=True)
    }


def notch_cuts(
    stand: Stand,
    *,
    stack: Stack,
    layers: Sequence[Cutting],
    notch: Notch,
    rule: WebRule,
    method: Method,
) -> Notched | None:
    """The planned notches of one item; None where there is no room.

    Empty where none is needed: the item stands far enough proud, or has a hand zone.
    """
    if any(room.kind == "hand" for room in stand.rooms):
        return Notched({})
    if stand.top_mm - tier_top(stack, stand) >= GRIP_MM:
        return Notched({})
    where = crossed(stand, stack=stack, layers=layers)
    if where is None:
        return None
    me = key_of(stand)
    near = [layers[k] for k in where.positions]
    for depth in dict.fromkeys((notch.depth_mm, min(notch.depth_mm, FINGER_MM))):
        drawn = _places(where.top, near, me, Notch(notch.width_mm, depth), rule, method)
        if not drawn:
            continue
        cuts = cut_through(stand, drawn=drawn, where=where, method=method)
        if _as_drawn(cuts, where=where, layers=layers, me=me, rule=rule):
            return Notched(cuts, drawn)
    return None


def _as_drawn(
    cuts: dict[int, tuple[Cutout, ...]],
    *,
    where: Crossed,
    layers: Sequence[Cutting],
    me: tuple[str, int],
    rule: WebRule,
) -> bool:
    """Whether notches as the tool cuts them still join their pocket and keep their webs.

    A tool's round corners and the way to the pocket make them a little larger than drawn.
    """
    for k, pocket in zip(where.positions, where.pockets, strict=True):
        made = [cut.shape for cut in cuts[k]]
        if not all(pocket.intersects(shape) for shape in made):
            return False
        if not all(_free(made, [layers[k]], me, rule, slack_mm=ACCURACY_MM)):
            return False
    return True


def _of(cut: Cutout, key: tuple[str, int]) -> bool:
    return (cut.item, cut.copy) == key


def _places(
    pocket: BaseGeometry,
    layers: list[Cutting],
    me: tuple[str, int],
    notch: Notch,
    rule: WebRule,
    method: Method,
) -> tuple[Drawn, ...]:
    """The best free places for notches: a pair across the long sides, across the ends, or one."""
    for sides in _frames(pocket):
        shapes = _along(pocket, sides, layers, me, notch, rule, method)
        if shapes:
            return shapes
    return ()


def _along(
    pocket: BaseGeometry,
    sides: tuple[Side, ...],
    layers: list[Cutting],
    me: tuple[str, int],
    notch: Notch,
    rule: WebRule,
    method: Method,
) -> tuple[Drawn, ...]:
    """The best free places along the sides of one box about the pocket."""
    plain = shapely.simplify(pocket, 0.05)

    def row(side: Side) -> dict[float, Drawn]:
        """The free places along one side by distance from its middle, nearest first."""
        slack = max(0.0, side.half_mm - notch.width_mm / 2)
        step = max(STEP_MM, slack / MOST_STEPS)
        count = int(slack / step + 1e-9)
        offsets = [0.0] + [sign * k * step for k in range(1, count + 1) for sign in (1, -1)]
        here = drawn_along(plain, side, offsets, notch)
        free = _free([one.shape for one in here.values()], layers, me, rule)
        return {t: one for (t, one), ok in zip(here.items(), free, strict=True) if ok}

    rows: list[dict[float, Drawn]] = []
    for pair_of_sides in (sides[:2], sides[2:]):
        first, second = (row(side) for side in pair_of_sides)
        rows += [first, second]
        pairs = [(first[t], second[t]) for t in first if t in second]
        if not pairs and first and second:
            pairs = [(next(iter(first.values())), next(iter(second.values())))]
        for pair in pairs:
            if _sound(pocket, pair, method):
                return pair
    for places in (rows[2], rows[3], rows[0], rows[1]):
        for one in places.values():
            if _sound(pocket, (one,), method):
                return (one,)
    return ()


def _frames(pocket: BaseGeometry) -> tuple[tuple[Side, ...], ...]:
    """Boxes about the pocket whose sides are tried: the upright one first where it is as tight."""
    tight = shapely.oriented_envelope(pocket)
    upright = shapely.box(*pocket.bounds)
    boxes = [upright] if upright.area <= 1.02 * tight.area else [tight, upright]
    middle = upright.centroid
    spread = float(shapely.minimum_bounding_radius(pocket))
    if pocket.area > 0.9 * math.pi * spread**2:  # round: any direction will do
        boxes += [shapely.affinity.rotate(upright, a, origin=middle) for a in (45.0, 22.5, 67.5)]
    return tuple(_sides(box) for box in boxes)


def _sides(box: BaseGeometry) -> tuple[Side, ...]:
    """The sides of a box: the two long ones first, then the ends."""
    ring = shapely.get_coordinates(box)
    middle = ring[:4].mean(axis=0)
    at = (float(middle[0]), float(middle[1]))
    edges = [ring[1] - ring[0], ring[2] - ring[1]]
    edges.sort(key=lambda e: (round(math.hypot(*e), 6), abs(round(float(e[0]), 6))))
    (short, least), (long, most) = ((e, float(math.hypot(*e))) for e in edges)
    sides = []
    for way, length, half in ((short, least, most / 2), (long, most, least / 2)):
        unit = (round(float(way[0]) / length, 12) + 0.0, round(float(way[1]) / length, 12) + 0.0)
        if unit < (0.0, 0.0):
            unit = (-unit[0] + 0.0, -unit[1] + 0.0)
        sides.append(Side(at, unit, half))
        sides.append(Side(at, (-unit[0] + 0.0, -unit[1] + 0.0), half))
    return tuple(sides)


def _free(
    shapes: list[Polygon],
    layers: list[Cutting],
    me: tuple[str, int],
    rule: WebRule,
    *,
    slack_mm: float = 0.0,
) -> list[bool]:
    """Which notches keep their webs to all other cut-outs and to the edge, in every layer."""
    if not shapes:
        return []
    drawn = np.array(shapes, dtype=object)
    ok = np.ones(len(shapes), dtype=bool)
    for outline in {layer.outline for layer in layers}:
        inner = shapely.buffer(outline, slack_mm - rule.at_edge("notch"), join_style="mitre")
        shapely.prepare(inner)
        ok &= shapely.covers(inner, drawn)
    left, low, right, high = shapely.total_bounds(drawn)
    keep = rule.widest_mm
    around = shapely.box(left - keep, low - keep, right + keep, high + keep)
    seen: set[tuple[int, float]] = set()
    for layer in layers:
        for cut in layer.cutouts:
            limit = rule.between("notch", cut.kind) - slack_mm
            key = (id(cut.shape), limit)
            if key in seen or (_of(cut, me) and cut.kind == "pocket"):
                continue
            seen.add(key)
            if not ok.any():
                break
            if cut.shape.intersects(around):
                shapely.prepare(cut.shape)
                ok &= ~shapely.dwithin(cut.shape, drawn, limit)
    return [bool(v) for v in ok]


def _sound(pocket: BaseGeometry, drawn: Sequence[Drawn], method: Method) -> bool:
    """Whether no thin tongue of foam is left between the notches and the pocket itself."""
    whole = shapely.union_all([pocket, *(one.shape for one in drawn)])
    return bool(without_tongues(whole, method).area - whole.area < 1.0)
