"""Moving items by hand: a placement shifted or turned, and the interior that follows.

Nothing here judges a layout; :mod:`fitkit.fit.gaps` does.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np
import shapely
from attrs import evolve, frozen

from fitkit.fit.bounds import objective_value
from fitkit.fit.layout import Fit, Interior, Placement
from fitkit.fit.place import Placed, place, place_all
from fitkit.payload.model import Payload, Turn

Key = tuple[str, int]
"""An item's name and the number of its copy."""

TURN_STEP_DEG: dict[Turn, float] = {"free": 1.0, "quarter": 90.0, "half": 180.0, "fixed": 360.0}
"""Step between the turns that an item may take [degrees]; a free one goes by whole degrees."""


@frozen
class PlanBox:
    """A rectangle seen from above [mm]; ``x0 <= x1`` and ``y0 <= y1``."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float

    @property
    def size_mm(self) -> tuple[float, float]:
        """Length (x) and width (y) [mm]."""
        return (self.x1_mm - self.x0_mm, self.y1_mm - self.y0_mm)

    @property
    def centre_mm(self) -> tuple[float, float]:
        """The middle [mm]."""
        return ((self.x0_mm + self.x1_mm) / 2, (self.y0_mm + self.y1_mm) / 2)


def key_of(placement: Placement) -> Key:
    """The key by which a placement is found: its item's name and copy."""
    return (placement.item, placement.copy)


def find(placements: Iterable[Placement], key: Key) -> Placement:
    """The placement of ``key``; KeyError if there is none."""
    for placement in placements:
        if key_of(placement) == key:
            return placement
    raise KeyError(key)


def plan_box(payload: Payload, placement: Placement) -> PlanBox:
    """The box of the body seen from above, as posed and turned (zones not counted)."""
    return PlanBox(*_bounds(place(payload.item(placement.item), placement)))


def shifted_to(
    placements: tuple[Placement, ...], key: Key, *, x_mm: float, y_mm: float
) -> tuple[Placement, ...]:
    """The placements with ``key``'s lower left corner at (x, y); the others as they are.

    KeyError if ``key`` is not placed.

    >>> here = Placement("probe", 1, "deep", 1, "top", 0.0, 20.0, 20.0, 25.0)
    >>> shifted_to((here,), ("probe", 1), x_mm=30.0, y_mm=20.0)[0].x_mm
    30.0
    """
    old = find(placements, key)
    return _with(placements, key, evolve(old, x_mm=x_mm, y_mm=y_mm))


def allowed_turn(turn: Turn, *, from_deg: float, to_deg: float) -> float:
    """The turn that an item may take nearest to ``to_deg``, starting at ``from_deg`` [degrees].

    A free item takes any turn; the others go from where they stand by quarters, halves, or not
    at all. The answer is in [0, 360).

    >>> allowed_turn("quarter", from_deg=0.0, to_deg=130.0)
    90.0
    >>> allowed_turn("fixed", from_deg=180.0, to_deg=10.0)
    180.0
    """
    if turn == "free":
        return to_deg % 360.0
    step_deg = TURN_STEP_DEG[turn]
    steps = math.floor((to_deg - from_deg) / step_deg + 0.5)
    if turn == "fixed":
        steps = 0
    return (from_deg + steps * step_deg) % 360.0


def turned_to(
    payload: Payload, placements: tuple[Placement, ...], key: Key, *, turn_deg: float
) -> tuple[Placement, ...]:
    """The placements with ``key`` turned to ``turn_deg``, or the nearest turn it may take.

    It turns about the middle of its box, so that it stays where it is. KeyError if ``key`` is
    not placed or not in the payload.
    """
    old = find(placements, key)
    item = payload.item(old.item)
    angle = allowed_turn(item.turn, from_deg=old.turn_deg, to_deg=turn_deg)
    before = plan_box(payload, old).centre_mm
    new = evolve(old, turn_deg=angle)
    after = plan_box(payload, new).centre_mm
    new = evolve(new, x_mm=old.x_mm + before[0] - after[0], y_mm=old.y_mm + before[1] - after[1])
    return _with(placements, key, new)


def following_box(
    payload: Payload, interior: Interior, placements: tuple[Placement, ...]
) -> PlanBox:
    """The least rectangle around the placements that keeps the wall clearance [mm].

    It is the interior at the closing plane: where walls lean, items near a floor ask for more,
    and an item that would reach into a rounded corner moves that corner's two sides out evenly.
    Zones must be inside, without clearance. The rectangle is in the placements' own
    coordinates; :func:`settled` makes its corner the origin. A ready-made case, whose floors were
    measured, follows nothing: its own rectangle comes back. ValueError without placements.
    """
    if not placements:
        raise ValueError("a box needs at least one placement to follow")
    if interior.floors_mm:
        return PlanBox(0.0, 0.0, interior.length_mm, interior.width_mm)
    lows, highs, corners = [], [], []
    for xy, inset_mm, keep_mm in _claims(payload, interior, placements):
        lows.append(xy.min(axis=0) - keep_mm - inset_mm)
        highs.append(xy.max(axis=0) + keep_mm + inset_mm)
        corners.append((xy, inset_mm, keep_mm))
    x0, y0 = np.min(lows, axis=0)
    x1, y1 = np.max(highs, axis=0)
    grow = {(sx, sy): 0.0 for sx in (-1, 1) for sy in (-1, 1)}
    for xy, inset_mm, keep_mm in corners:
        radius_mm = interior.corner_mm - keep_mm
        if radius_mm <= 0:
            continue
        for sx, sy in grow:
            from_x = xy[:, 0] - x0 if sx < 0 else x1 - xy[:, 0]
            from_y = xy[:, 1] - y0 if sy < 0 else y1 - xy[:, 1]
            u = interior.corner_mm - (from_x - inset_mm)
            v = interior.corner_mm - (from_y - inset_mm)
            grow[sx, sy] = max(grow[sx, sy], _corner_growth(u, v, radius_mm))
    return PlanBox(
        float(x0 - max(grow[-1, -1], grow[-1, 1])),
        float(y0 - max(grow[-1, -1], grow[1, -1])),
        float(x1 + max(grow[1, -1], grow[1, 1])),
        float(y1 + max(grow[-1, 1], grow[1, 1])),
    )


def settled(
    interior: Interior, placements: tuple[Placement, ...], box: PlanBox
) -> tuple[Interior, tuple[Placement, ...]]:
    """The interior of ``box``'s size, and the placements with the box's corner as the origin."""
    length_mm, width_mm = box.size_mm
    return (
        evolve(interior, length_mm=length_mm, width_mm=width_mm),
        tuple(evolve(p, x_mm=p.x_mm - box.x0_mm, y_mm=p.y_mm - box.y0_mm) for p in placements),
    )


def move_reach(placements: tuple[Placement, ...], key: Key, box: PlanBox) -> PlanBox:
    """How far the lower left corner of ``key`` may sensibly be put: a box's length either way [mm].

    It always holds the corner itself. KeyError if ``key`` is not placed.
    """
    here = find(placements, key)
    length_mm, width_mm = box.size_mm
    return PlanBox(
        math.floor(min(box.x0_mm - length_mm / 2, here.x_mm)),
        math.floor(min(box.y0_mm - width_mm / 2, here.y_mm)),
        math.ceil(max(box.x1_mm + length_mm / 2, here.x_mm)),
        math.ceil(max(box.y1_mm + width_mm / 2, here.y_mm)),
    )


def by_hand(fit: Fit, *, interior: Interior, placements: tuple[Placement, ...]) -> Fit:
    """The fit for a layout changed by hand: the search's bound still holds, its value is new.

    ``proven`` stays true only where the layout is as small as the search's proven one.
    """
    value = objective_value(fit.objective, interior.size_mm)
    gap = max(0.0, (value - fit.bound) / value)
    return evolve(
        fit,
        value=value,
        gap=gap,
        proven=fit.proven and value <= fit.value + 1e-6,
        interior=interior,
        placements=placements,
    )


def _corner_growth(u: np.ndarray, v: np.ndarray, radius_mm: float) -> float:
    """How far a rounded corner must move out along both axes to take in all points.

    ``u`` and ``v`` are how far the points lie beyond the arc's centre; a corner moved by d
    contains a point when (u - d)^2 + (v - d)^2 <= r^2.
    """
    out = (u > 0) & (v > 0) & (u**2 + v**2 > radius_mm**2 + 1e-9)
    if not out.any():
        return 0.0
    s, q = (u + v)[out], (u**2 + v**2)[out] - radius_mm**2
    return float(np.max((s - np.sqrt(np.maximum(s**2 - 2 * q, 0.0))) / 2))


def _claims(
    payload: Payload, interior: Interior, placements: tuple[Placement, ...]
) -> Iterator[tuple[np.ndarray, float, float]]:
    """Points that must be inside, the walls' inset at their height, and the distance to keep."""
    lean = math.tan(math.radians(interior.draft_deg))

    def inset(z0_mm: float, z1_mm: float) -> float:
        return max(abs(z - interior.closing_mm) for z in (z0_mm, z1_mm)) * lean

    for placed in place_all(payload, placements):
        for band in placed.solid.bands:
            xy = shapely.get_coordinates(band.shape)
            yield xy, inset(band.z0_mm, band.z1_mm), payload.case.clearance.wall_mm
        for room in placed.solid.rooms:
            xy = shapely.get_coordinates(room.outline)
            yield xy, inset(room.z0_mm, room.z1_mm), 0.0


def _bounds(placed: Placed) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = placed.solid.silhouette.bounds
    return (x0, y0, x1, y1)


def _with(placements: tuple[Placement, ...], key: Key, new: Placement) -> tuple[Placement, ...]:
    return tuple(new if key_of(p) == key else p for p in placements)
