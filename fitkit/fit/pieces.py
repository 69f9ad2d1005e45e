"""What a nesting engine moves about: copies of items in a pose, as outlines.

A *piece* is one copy of an item standing on one face: its silhouette with holes filled (nothing is
nested inside a hole), its zones, and the turns that it may take. A *spot* is where a piece went:
turned about the piece's own origin, then shifted. Coordinates of a level have no fixed origin; the
room that its pieces take is found by :func:`room_of`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache

import numpy as np
import shapely
from attrs import frozen
from shapely import Polygon

from fitkit.geometry.shapes import moved, union
from fitkit.payload.model import Clearance, Face, Item, Payload, Turn
from fitkit.payload.mounted import turn_deg
from fitkit.payload.pose import Solid, flipped, posed

Box2 = tuple[float, float, float, float]
CopyKey = tuple[str, int]

TURNS: dict[Turn, tuple[float, ...]] = {
    "free": (0.0, 90.0, 180.0, 270.0),
    "quarter": (0.0, 90.0, 180.0, 270.0),
    "half": (0.0, 180.0),
    "fixed": (0.0,),
}
"""The turns that are tried exactly [deg]; "free" may take any other as well."""


@frozen(cache_hash=True)
class Piece:
    """One item in one pose as the engines see it; shared by all its copies.

    ``up`` is the face that looks out of the half, towards the closing plane. A piece that is
    ``hung`` stands in the shallow half, which lies upside down in the closed case; its outline is
    that of the closed case, seen from above.
    """

    item: Item
    up: Face
    hung: bool = False

    @property
    def solid(self) -> Solid:
        """The solid as it stands in its own half, its box's corner at the origin."""
        return posed(self.item, self.up)

    @property
    def plan(self) -> Solid:
        """The solid as it stands in the closed case, its box's corner at the origin."""
        return posed(self.item, self.closed_up)

    @property
    def closed_up(self) -> Face:
        """The face that looks up in the closed case."""
        return flipped(self.up, 0.0)[0] if self.hung else self.up

    @property
    def outline(self) -> Polygon:
        """The body seen from above, holes filled."""
        return _filled(self)

    @property
    def lift_mm(self) -> float:
        """How far the body must stand above its level's floor because of zones below it."""
        return max(0.0, self.solid.z0_mm - self.solid.reach_mm[0])

    @property
    def turns_deg(self) -> tuple[float, ...]:
        """Turns tried exactly [deg]."""
        upright = turn_deg(self.item, self.closed_up)
        if upright is not None:
            return (upright,)
        extra = flipped(self.up, 0.0)[1] if self.hung else 0.0
        return tuple((turn + extra) % 360.0 for turn in TURNS[self.item.turn])


@frozen
class Spot:
    """Where a piece stands in its level: turned [deg], then shifted [mm]."""

    turn_deg: float
    x_mm: float
    y_mm: float

    def body(self, piece: Piece) -> Polygon:
        """The piece's outline at this spot."""
        return moved(turned_outline(piece, self.turn_deg), by=(self.x_mm, self.y_mm))

    def rooms(self, piece: Piece) -> list[Polygon]:
        """The outlines of the piece's zones at this spot."""
        return [
            moved(room, by=(self.x_mm, self.y_mm)) for room in turned_rooms(piece, self.turn_deg)
        ]

    def shifted(self, dx_mm: float, dy_mm: float) -> Spot:
        """This spot moved along."""
        return Spot(self.turn_deg, self.x_mm + dx_mm, self.y_mm + dy_mm)

    def quarter(self) -> Spot:
        """This spot after the whole level is turned by a quarter, counter-clockwise."""
        return Spot((self.turn_deg + 90.0) % 360.0, -self.y_mm, self.x_mm)

    def carried(self, piece: Piece) -> Spot:
        """Like :meth:`quarter`, for a piece that :func:`quarter_free` lets pass.

        A piece that may not turn, and need not because it is round, keeps its own turn.
        """
        turned = self.quarter()
        if piece.item.turn in ("free", "quarter"):
            return turned
        x0, y0, x1, y1 = turned.body(piece).bounds
        a0, b0, a1, b1 = turned_outline(piece, self.turn_deg).bounds
        return Spot(self.turn_deg, (x0 + x1 - a0 - a1) / 2, (y0 + y1 - b0 - b1) / 2)


@frozen
class Margins:
    """How far bodies and zones stay from the interior's sides [mm].

    ``body_mm`` is the wall clearance, enlarged where rounded corners or a draft take room;
    ``zone_mm`` is 0 for a plain box: zones may reach to the panel.
    """

    body_mm: float
    zone_mm: float

    @classmethod
    def of(cls, payload: Payload, *, depth_mm: float) -> Margins:
        """The margins for halves up to ``depth_mm`` deep.

        A body's corner may meet a rounded corner of radius r at 45 degrees: with wall clearance w
        the inner corner has radius r - w, and a rectangle inside keeps (r - w)(1 - 1/sqrt 2) from
        both sides. A draft narrows the floor by depth * tan(draft).
        """
        case = payload.case
        wall = case.clearance.wall_mm
        lean = depth_mm * math.tan(math.radians(case.draft_deg))
        share = 1 - math.sqrt(0.5)
        return cls(
            wall + lean + max(0.0, case.corner_mm - wall) * share, lean + case.corner_mm * share
        )


@lru_cache(maxsize=1024)
def _filled(piece: Piece) -> Polygon:
    silhouette = piece.plan.silhouette
    parts = [p for p in shapely.get_parts(silhouette) if isinstance(p, Polygon)]
    if len(parts) > 1:  # a body in one piece has one silhouette; slivers come from rounding
        parts = [max(parts, key=lambda part: part.area)]
    return shapely.normalize(Polygon(parts[0].exterior))


@lru_cache(maxsize=8192)
def turned_outline(piece: Piece, turn_deg: float) -> Polygon:
    """The piece's outline turned about its origin."""
    return moved(piece.outline, turn_deg=turn_deg)


@lru_cache(maxsize=8192)
def turned_rooms(piece: Piece, turn_deg: float) -> tuple[Polygon, ...]:
    """The outlines of the piece's zones turned about its origin."""
    return tuple(moved(room.outline, turn_deg=turn_deg) for room in piece.plan.rooms)


@lru_cache(maxsize=8192)
def turned_box(piece: Piece, turn_deg: float) -> Box2:
    """The box of the piece's outline turned about its origin."""
    x0, y0, x1, y1 = turned_outline(piece, turn_deg).bounds
    return (x0, y0, x1, y1)


@lru_cache(maxsize=8192)
def turned_room_boxes(piece: Piece, turn_deg: float) -> tuple[Box2, ...]:
    """The boxes of the outlines of the piece's zones turned about its origin."""
    return tuple(
        (x0, y0, x1, y1) for x0, y0, x1, y1 in (r.bounds for r in turned_rooms(piece, turn_deg))
    )


@lru_cache(maxsize=1024)
def same_at_quarters(piece: Piece) -> bool:
    """Whether a quarter turn about the middle of its box leaves a piece as it is (a round one)."""
    if piece.plan.rooms:
        return False
    for band in piece.plan.bands:
        x0, y0, x1, y1 = piece.outline.bounds
        centred = moved(band.shape, by=(-(x0 + x1) / 2, -(y0 + y1) / 2))
        change = shapely.symmetric_difference(centred, moved(centred, turn_deg=90.0)).area
        if change > 1e-4 * centred.area:
            return False
    return True


def quarter_free(piece: Piece) -> bool:
    """Whether a level may be turned by a quarter as far as this piece is concerned."""
    return piece.item.turn in ("free", "quarter") or same_at_quarters(piece)


@lru_cache(maxsize=1024)
def engine_outline(piece: Piece) -> Polygon:
    """The outline that an engine keeps a web away from others: body and zones in one.

    Zones become channels in the foam, so the web is kept from them as well. Few vertices: never
    inside the true outline, at most about 0.2 mm outside it.
    """
    body = piece.outline
    parts = [body]
    left, low, right, high = body.bounds
    for room in piece.plan.rooms:
        x0, y0, x1, y1 = room.outline.bounds
        # reach back to the body's middle, so that zone and body hang together
        x0, x1 = _bridged(x0, x1, left, right)
        y0, y1 = _bridged(y0, y1, low, high)
        parts.append(shapely.box(x0, y0, x1, y1))
    whole = union(parts)
    if not isinstance(whole, Polygon):
        whole = shapely.convex_hull(whole)
    assert isinstance(whole, Polygon)
    return coarse(Polygon(whole.exterior), 0.08)


def _bridged(zone0: float, zone1: float, body0: float, body1: float) -> tuple[float, float]:
    """A zone's extent along one axis, stretched to the body's middle if the zone is beside it."""
    middle = (body0 + body1) / 2
    if zone0 >= body1 - 1e-9:
        return middle, zone1
    if zone1 <= body0 + 1e-9:
        return zone0, middle
    return zone0, zone1


def coarse(outline: Polygon, tolerance_mm: float) -> Polygon:
    """An outline with few vertices that contains ``outline``.

    It reaches at most about twice ``tolerance_mm`` beyond it.
    """
    simple = outline.simplify(tolerance_mm)
    if not isinstance(simple, Polygon):
        return outline
    if len(simple.exterior.coords) >= len(outline.exterior.coords):
        return outline
    for extra in (1.0, 1.5, 2.5):
        grown = simple.buffer(tolerance_mm * extra, join_style="mitre", mitre_limit=4.0)
        if isinstance(grown, Polygon) and shapely.covers(grown, outline):
            return Polygon(grown.exterior)
    return outline


def room_of(placed: Iterable[tuple[Piece, Spot]], margins: Margins) -> Box2:
    """The least box (x0, y0, x1, y1) that holds pieces with their margins, and their zones."""
    boxes = []
    for piece, spot in placed:
        x0, y0, x1, y1 = turned_box(piece, spot.turn_deg)
        boxes.append(
            (
                x0 - margins.body_mm + spot.x_mm,
                y0 - margins.body_mm + spot.y_mm,
                x1 + margins.body_mm + spot.x_mm,
                y1 + margins.body_mm + spot.y_mm,
            )
        )
        for x0, y0, x1, y1 in turned_room_boxes(piece, spot.turn_deg):
            boxes.append(
                (
                    x0 - margins.zone_mm + spot.x_mm,
                    y0 - margins.zone_mm + spot.y_mm,
                    x1 + margins.zone_mm + spot.x_mm,
                    y1 + margins.zone_mm + spot.y_mm,
                )
            )
    array = np.array(boxes)
    return (
        float(array[:, 0].min()),
        float(array[:, 1].min()),
        float(array[:, 2].max()),
        float(array[:, 3].max()),
    )


def level_holds(placed: Sequence[tuple[Piece, Spot]], clearance: Clearance) -> bool:
    """Whether pieces of one level keep the item clearance, from each other's zones as well."""
    if len(placed) < 2:
        return True
    bodies = np.array([spot.body(piece) for piece, spot in placed], dtype=object)
    tree = shapely.STRtree(bodies)
    least = clearance.item_mm
    if least > 0:
        left, right = tree.query(bodies, predicate="dwithin", distance=least - 1e-6)
        if bool((left != right).any()):
            return False
    left, right = tree.query(bodies, predicate="intersects")
    for one, other in zip(left, right, strict=True):
        if one < other and shapely.area(shapely.intersection(bodies[one], bodies[other])) > 1e-6:
            return False
    for index, (piece, spot) in enumerate(placed):
        for room in spot.rooms(piece):
            if any(other != index for other in _near(tree, room, bodies, least)):
                return False
    return True


def apart(shape: Polygon, obstacles: Sequence[Polygon], *, keep_mm: float) -> bool:
    """Whether ``shape`` is more than ``keep_mm`` from all obstacles; at 0 it may touch them."""
    if not obstacles:
        return True
    array = np.array(obstacles, dtype=object)
    if keep_mm > 0:
        return not bool(shapely.dwithin(array, shape, keep_mm).any())
    return float(shapely.area(shapely.intersection(array, shape)).max()) <= 1e-9


def _near(tree: shapely.STRtree, room: Polygon, bodies: np.ndarray, least: float) -> list[int]:
    """The bodies (by index) that are nearer to a zone than ``least``, or overlap it."""
    if least > 0:
        return [int(k) for k in tree.query(room, predicate="dwithin", distance=least - 1e-6)]
    touching = tree.query(room, predicate="intersects")
    return [int(k) for k in touching if shapely.intersection(room, bodies[k]).area > 1e-6]
