"""Answers for the hand that moves a notch: the place on the pocket's edge, the webs it leaves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
import shapely
from attrs import field, frozen
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.layout import Interior, Placement
from fitkit.foam.bare import BareHalf, settled
from fitkit.foam.cutting import method_for
from fitkit.foam.model import Cutout, Foam, Layer, NotchAt, NotchesOf, Room, Way, Web
from fitkit.foam.notch_places import Key, beside, drawn_of, notch_of, where_of
from fitkit.foam.notch_shape import Drawn, drawn_at, nearest_edge
from fitkit.foam.notches import Crossed, key_of
from fitkit.foam.view import Stand
from fitkit.foam.webs import EDGE, TOLERANCE_MM, WebRule
from fitkit.payload.model import Notch, Payload

SHOWN_MM = 20.0
"""A web wider than its limit by more than this is not worth a number [mm]."""


@frozen(eq=False)
class Edges:
    """The pockets of one layout and what stands around them; made by :func:`edges_of`."""

    rule: WebRule
    stands: dict[Key, Stand]
    halves: dict[Key, BareHalf]
    where: dict[Key, Crossed]
    planned: dict[Key, tuple[NotchAt, ...]] = field(repr=False)

    def layers_of(self, key: Key) -> tuple[tuple[str, int], ...]:
        """The layers (half, index) in which a copy's notches are cut; the topmost last."""
        if key not in self.where:
            return ()
        half = self.halves[key]
        return tuple((half.stack.half, half.slots[k].index) for k in self.where[key].positions)

    def now(self, key: Key, notches: tuple[NotchesOf, ...]) -> tuple[NotchAt, ...]:
        """A copy's notches: the builder's own, else the planned ones."""
        for choice in notches:
            if choice.key == key:
                return choice.notches
        return self.planned.get(key, ())


@frozen
class EdgePlace:
    """A place for a notch on its pocket's edge.

    ``shape`` is what it takes out beside the pocket, ``at_mm`` its place on the edge (x, y).
    ``web`` is the tightest web that it leaves, with its witness line; None where all is wide.
    ``out`` is the direction in which it reaches out.
    """

    notch: NotchAt
    at_mm: tuple[float, float]
    shape: Polygon
    web: Web | None
    out: tuple[float, float] = (0.0, 1.0)

    @property
    def keeps(self) -> bool:
        """Whether every web that it leaves is as wide as asked."""
        return self.web is None or self.web.width_mm >= self.web.limit_mm - TOLERANCE_MM


def edges_of(
    payload: Payload,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
    rooms: tuple[Room, ...] = (),
    ways: tuple[Way, ...] = (),
) -> Edges:
    """The pockets' edges of a layout, for :func:`edge_place`; quick after its foam was made.

    ``rooms`` are what sunk hardware takes and ``ways`` what cables do, as for
    :func:`fitkit.foam.layers.make_foam`.
    """
    _, halves = settled(payload, interior=interior, placements=placements, rooms=rooms, ways=ways)
    stands = {key_of(one): one for half in halves for one in half.home}
    homes = {key_of(one): half for half in halves for one in half.home}
    where, planned = {}, {}
    for key, one in stands.items():
        crosses = where_of(one, homes[key])
        if crosses is not None:
            where[key] = crosses
        found = homes[key].planned.get(key)
        drawn = found.drawn if found is not None else ()
        planned[key] = tuple(notch_of(one, each) for each in drawn)
    rule = WebRule.of(payload, method_for(payload.foam))
    return Edges(rule, stands, homes, where, planned)


def planned(
    payload: Payload,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
    rooms: tuple[Room, ...] = (),
    ways: tuple[Way, ...] = (),
) -> tuple[NotchesOf, ...]:
    """The notches that are planned for a layout, copy by copy, as the builder's would be kept."""
    edges = edges_of(payload, interior=interior, placements=placements, rooms=rooms, ways=ways)
    return tuple(NotchesOf(*key, edges.planned[key]) for key in sorted(edges.planned))


def edge_place(
    edges: Edges,
    foam: Foam,
    *,
    key: Key,
    at_mm: tuple[float, float],
    width_mm: float,
    depth_mm: float,
    others: tuple[NotchAt, ...] = (),
) -> EdgePlace | None:
    """The place on a copy's pocket nearest to ``at_mm``, by whole millimetres along its edge.

    ``foam`` is the lining as it is cut, ``others`` are the copy's other notches. None for a copy
    without a pocket at the top of its tier. KeyError for a copy that is not placed.
    """
    stand = edges.stands[key]
    where = edges.where.get(key)
    if where is None:
        return None
    edge = nearest_edge(where.top, at_mm)
    s_mm = round(float(edge.project(Point(at_mm)))) % float(edge.length)
    x, y = shapely.get_coordinates(edge.interpolate(s_mm))[0].tolist()
    drawn = drawn_at(where.top, (x, y), notch=Notch(width_mm, depth_mm))
    notch = notch_of(stand, drawn)
    return _judged(edges, foam, key, notch, drawn, others)


def first_place(
    edges: Edges,
    foam: Foam,
    *,
    key: Key,
    width_mm: float,
    depth_mm: float,
    others: tuple[NotchAt, ...] = (),
) -> EdgePlace | None:
    """A place for one more notch where none was named: the middle of a side, if there is room.

    Clear of the copy's ``others`` and with its webs kept, where any side allows that; else the
    side that comes nearest to it. None for a copy without a pocket at the top of its tier.
    """
    where = edges.where.get(key)
    if where is None:
        return None
    x0, y0, x1, y1 = where.top.bounds
    middles = [(x1, (y0 + y1) / 2), (x0, (y0 + y1) / 2), ((x0 + x1) / 2, y0), ((x0 + x1) / 2, y1)]
    if x1 - x0 > y1 - y0:
        middles = middles[2:] + middles[:2]
    taken = [one.shape for one in (shape_of(edges, each) for each in others) if one is not None]
    tried = []
    for k, at in enumerate(middles):
        place = edge_place(
            edges, foam, key=key, at_mm=at, width_mm=width_mm, depth_mm=depth_mm, others=others
        )
        if place is None:
            return None
        meets = any(place.shape.intersects(shape) for shape in taken)
        short = 0.0 if place.keeps or place.web is None else place.web.limit_mm - place.web.width_mm
        tried.append(((meets, short, k), place))
    return min(tried, key=lambda one: one[0])[1]


def shape_of(edges: Edges, notch: NotchAt) -> EdgePlace | None:
    """A kept notch where it lies, its webs not looked at; None where it is not on its edge."""
    key = (notch.item, notch.copy)
    where = edges.where.get(key)
    if where is None:
        return None
    drawn = drawn_of(edges.stands[key], notch, where=where)
    if drawn is None:
        return None
    return EdgePlace(notch, drawn.at_mm, beside(drawn, where), None, drawn.side.out)


def place_of(
    edges: Edges, foam: Foam, notch: NotchAt, *, others: tuple[NotchAt, ...] = ()
) -> EdgePlace | None:
    """A kept notch where it lies; None where its place is not on its pocket's edge."""
    key = (notch.item, notch.copy)
    where = edges.where.get(key)
    if where is None:
        return None
    drawn = drawn_of(edges.stands[key], notch, where=where)
    return None if drawn is None else _judged(edges, foam, key, notch, drawn, others)


def _judged(
    edges: Edges,
    foam: Foam,
    key: Key,
    notch: NotchAt,
    drawn: Drawn,
    others: tuple[NotchAt, ...],
) -> EdgePlace:
    where, stand = edges.where[key], edges.stands[key]
    also = [drawn_of(stand, one, where=where) for one in others]
    own = [Cutout(*key, "notch", one.shape) for one in also if one is not None]
    layers: dict[tuple[str, int], Layer] = {(one.half, one.index): one for one in foam.layers}
    webs = [
        web
        for name in edges.layers_of(key)
        for web in _webs_of(edges, layers[name], key, drawn.shape, own)
    ]
    web = min(webs, key=lambda w: (round(w.width_mm - w.limit_mm, 6), w.width_mm), default=None)
    return EdgePlace(notch, drawn.at_mm, beside(drawn, where), web, drawn.side.out)


def _webs_of(
    edges: Edges, layer: Layer, key: Key, shape: Polygon, own: list[Cutout]
) -> Iterator[Web]:
    """The webs that a notch would leave in one layer, those that are wide left out.

    Thin tongues between a notch and its item's own channels are left to the finished layer.
    """
    rule = edges.rule
    reach = rule.widest_mm + SHOWN_MM
    cuts = [c for c in layer.cutouts if not (c.kind == "notch" and (c.item, c.copy) == key)]
    cuts += own
    window = shapely.box(*(shape.bounds + np.array([-reach, -reach, reach, reach])))
    cuts = [cut for cut in cuts if cut.shape.intersects(window)]
    void = [cut.shape for cut in cuts]
    label = edges.stands[key].label
    for cut in cuts:
        mine = (cut.item, cut.copy) == key
        if mine and cut.kind != "notch":
            continue
        limit = rule.least_mm if mine else rule.between("notch", cut.kind)
        gap = float(cut.shape.distance(shape))
        if (mine and gap == 0.0) or gap > limit + SHOWN_MM:
            continue
        if gap == 0.0:
            line = _dot(shapely.intersection(cut.shape, shape))
        else:
            line = shapely.shortest_line(shape, cut.shape)
            if not _in_foam(line, void):
                continue
        yield _web(layer, label, edges.stands[(cut.item, cut.copy)].label, gap, limit, line)
    ring, limit = layer.outline.exterior, rule.at_edge("notch")
    gap = float(ring.distance(shape)) if layer.outline.contains(shape) else 0.0
    if gap <= limit + SHOWN_MM:
        line = shapely.shortest_line(shape, ring)
        if gap == 0.0:
            line = _dot(shapely.intersection(shape, ring))
        if gap == 0.0 or _in_foam(line, void):
            yield _web(layer, label, EDGE, gap, limit, line)


def _web(layer: Layer, left: str, right: str, gap: float, limit: float, line: LineString) -> Web:
    a, b = (tuple(end) for end in np.round(shapely.get_coordinates(line), 3).tolist())
    return Web(layer.half, layer.index, left, right, round(gap, 3), round(limit, 3), a, b)


def _in_foam(line: BaseGeometry, void: Iterable[BaseGeometry]) -> bool:
    """Whether a witness line runs through foam all the way."""
    return all(float(line.intersection(cut).length) < TOLERANCE_MM for cut in void)


def _dot(shape: BaseGeometry) -> LineString:
    x, y = shapely.get_coordinates(shapely.point_on_surface(shape))[0].tolist()
    return LineString([(x, y), (x, y)])
