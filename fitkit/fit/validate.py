"""The check that every layout must pass, whoever made it.

Bodies keep their clearances (:mod:`fitkit.fit.neighbours`), zones are free of bodies, everything is
inside the interior, and every item can be lifted straight out of its half. Nothing here trusts an
engine: it looks at the solids. Boxes sort out what is far apart; what is left is measured on the
true outlines.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

import numpy as np
import shapely
from attrs import frozen
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.elevation import halves_for
from fitkit.fit.layout import Interior, Placement
from fitkit.fit.neighbours import TOLERANCE_MM, before_front, heights_overlap, pad_asked_mm
from fitkit.fit.place import Placed, place_all
from fitkit.geometry.shapes import moved
from fitkit.payload.model import Payload
from fitkit.payload.mounted import turn_deg as mount_turn_deg
from fitkit.payload.pose import flipped

AREA_MM2 = 1e-4
"""Shapes that share no more than this only touch [mm2]."""

ViolationKind = Literal[
    "item", "tier", "wall", "floor", "lid", "zone", "inside", "pose", "half", "count", "proud",
    "lift", "reach",
]  # fmt: skip

_SAID: dict[ViolationKind, str] = {
    "count": "{left} must stand in the case once",
    "pose": "{left} may not stand with its {right}",
    "half": "{left} may not stand in {right}",
    "lift": "{left} stands in the way when {right} is lifted out",
    "reach": "{left} must be lifted to take out {right}, which must always be in reach",
}


@frozen
class Violation:
    """A promise that a layout breaks: which, between what, by how many millimetres."""

    kind: ViolationKind
    left: str
    right: str
    value_mm: float
    limit_mm: float

    def __str__(self) -> str:
        """The violation in a sentence."""
        if self.kind in _SAID:
            return _SAID[self.kind].format(left=self.left, right=self.right)
        return (
            f"{self.left} to {self.right}: {self.value_mm:.2f} mm, at least "
            f"{self.limit_mm:.2f} mm ({self.kind})"
        )


def violations(
    payload: Payload, *, interior: Interior, placements: Sequence[Placement]
) -> tuple[Violation, ...]:
    """Everything that is wrong with a layout; empty when it keeps every promise."""
    found = _counts(payload, placements)
    case = _Case(payload, interior, placements)
    found += case.each(range(len(case.placed)))
    found += case.pairs(*np.triu_indices(len(case.placed), 1))
    return tuple(found)


def violations_of_moved(
    payload: Payload, *, interior: Interior, placements: Sequence[Placement], index: int
) -> tuple[Violation, ...]:
    """What is wrong with one placement (by its index), by itself or with any of the others.

    Of :func:`violations` those that it takes part in; how often copies are placed is not counted.
    A layout that kept every promise still does after one item was moved in plan if this is empty.
    IndexError if there is no such placement.
    """
    case = _Case(payload, interior, placements)
    one = range(len(case.placed))[index]
    others = np.array([k for k in range(len(case.placed)) if k != one], dtype=np.intp)
    found = case.each([one])
    found += case.pairs(np.minimum(others, one), np.maximum(others, one))
    return tuple(found)


def wall_violations(
    payload: Payload, *, interior: Interior, placements: Sequence[Placement]
) -> tuple[tuple[Violation, ...], ...]:
    """For each placement what is wrong between it and the walls: its body, and its zones."""
    case = _Case(payload, interior, placements)
    return tuple(tuple(case.walls_of(k)) for k in range(len(case.placed)))


def _counts(payload: Payload, placements: Sequence[Placement]) -> list[Violation]:
    wanted = {(item.name, copy) for item in payload.items for copy in range(1, item.count + 1)}
    have = [(p.item, p.copy) for p in placements]
    found = []
    for name, copy in sorted(wanted - set(have)):
        found.append(Violation("count", f"{name} {copy}", "the case", 0.0, 1.0))
    for name, copy in sorted({key for key in have if have.count(key) > 1 or key not in wanted}):
        times = float(have.count((name, copy)))
        found.append(Violation("count", f"{name} {copy}", "the case", times, 1.0))
    return found


@frozen
class _Wall:
    """The walls at one height; ``plain`` if they make a rectangle."""

    outline: Polygon
    box_mm: tuple[float, float, float, float]
    plain: bool

    @classmethod
    def of(cls, outline: Polygon) -> _Wall:
        """The walls of an interior's outline."""
        left, low, right, high = outline.bounds
        plain = outline.area >= (right - left) * (high - low) * (1 - 1e-12)
        return cls(outline, (left, low, right, high), plain)


class _Case:
    """A layout in arrays, one row for each copy; outlines are shifted only where they are asked."""

    def __init__(
        self, payload: Payload, interior: Interior, placements: Sequence[Placement]
    ) -> None:
        """Boxes, heights and levels of all copies."""
        self.payload, self.interior = payload, interior
        self.placed = place_all(payload, tuple(placements))
        count = len(self.placed)
        self.by_mm = np.array([(p.x_mm, p.y_mm) for p in placements]).reshape(count, 2)
        boxes = np.array([one.turned.box_mm for one in self.placed]).reshape(count, 4)
        self.boxes = boxes + np.tile(self.by_mm, 2)
        self.z0_mm = np.array([one.z0_mm for one in self.placed])
        self.z1_mm = np.array([one.z1_mm for one in self.placed])
        names = {"deep": 0, "tray": 0, "shallow": 1}
        self.half = np.array([names[p.half] for p in placements], dtype=int)
        self.tier = np.array([p.tier for p in placements], dtype=int)
        self.mounted = np.array([one.item.mount is not None for one in self.placed], dtype=bool)
        self._wall: dict[float, _Wall] = {}
        self._outlines: dict[int, BaseGeometry] = {}

    # ---- one copy by itself

    def each(self, copies: Iterable[int]) -> list[Violation]:
        """Pose, walls and heights of some copies."""
        found: list[Violation] = []
        for k in copies:
            one = self.placed[k]
            found += _pose(self.payload, one)
            found += self.walls_of(k)
            found += _heights(self.payload, self.interior, one)
        return found

    def walls_of(self, k: int) -> Iterator[Violation]:
        """The body's least distance to the walls, and zones that leave the room."""
        one = self.placed[k]
        wall, turned, z_mm = self.payload.case.clearance.wall_mm, one.turned, one.z0_mm
        if self.interior.leans:
            stack = [
                (band.shape, np.array(band.shape.bounds), band.z0_mm, band.z1_mm)
                for band in turned.solid.bands
            ]
        else:
            stack = [(turned.silhouette, turned.box_mm, 0.0, 0.0)]
        gaps = [
            self._short(self._wall_at(z0 + z_mm, z1 + z_mm), shape, box, k, wall)
            for shape, box, z0, z1 in stack
        ]
        short = [gap for gap in gaps if gap is not None]
        if short:
            yield Violation("wall", one.label, "the wall", min(short), wall)
        for zone, box in zip(turned.solid.rooms, turned.room_mm, strict=True):
            room = self._wall_at(zone.z0_mm + z_mm, zone.z1_mm + z_mm)
            gap = self._short(room, zone.outline, box, k, 0.0)
            if gap is not None:
                yield Violation("inside", f"{one.label} {zone.kind} zone", "the wall", gap, 0.0)

    def _wall_at(self, z0_mm: float, z1_mm: float) -> _Wall:
        """The walls at the narrowest place of a band: its end farther from the closing plane."""
        far = max((z0_mm, z1_mm), key=lambda z: abs(z - self.interior.closing_mm))
        z_mm = min(max(far, 0.0), self.interior.height_mm) if self.interior.leans else 0.0
        if z_mm not in self._wall:
            self._wall[z_mm] = _Wall.of(self.interior.outline_at(z_mm))
        return self._wall[z_mm]

    def _short(
        self, wall: _Wall, shape: BaseGeometry, box: NDArray[np.float64], k: int, least_mm: float
    ) -> float | None:
        """How far copy k's shape is from the walls if that is less than asked; else None [mm]."""
        left, low, right, high = wall.box_mm
        (x0, y0, x1, y1), (dx, dy) = box.tolist(), self.by_mm[k].tolist()
        gap: float = min(x0 + dx - left, y0 + dy - low, right - x1 - dx, high - y1 - dy)
        if not wall.plain:
            there = moved(shape, by=(dx, dy))
            if wall.outline.covers(there):
                gap = float(shapely.distance(wall.outline.exterior, there))
            else:
                out = shapely.distance(shapely.points(shapely.get_coordinates(there)), wall.outline)
                gap = -float(out.max())
        return gap if gap < least_mm - TOLERANCE_MM else None

    # ---- two copies

    def pairs(self, left: NDArray[np.intp], right: NDArray[np.intp]) -> list[Violation]:
        """What is wrong between the copies ``left[k]`` and ``right[k]``, left below right."""
        clear = self.payload.case.clearance
        near = self._near(left, right, clear.item_mm)
        i, j = left[near], right[near]
        level = self._share_level(i, j)
        z0, z1 = self.z0_mm, self.z1_mm
        web = level | heights_overlap(z0[i], z1[i], z0[j], z1[j])
        found = self._webs(i[web], j[web], clear.item_mm)
        found += self._stacked(i[~web], j[~web])
        return found + self._zones(left, right, clear.item_mm)

    def _webs(self, i: NDArray[np.intp], j: NDArray[np.intp], web_mm: float) -> list[Violation]:
        found = []
        for k, gap in self._too_near(self._bodies(i), self._bodies(j), web_mm):
            one, other = self.placed[i[k]], self.placed[j[k]]
            found.append(Violation("item", one.label, other.label, gap, web_mm))
        return found

    def _stacked(self, i: NDArray[np.intp], j: NDArray[np.intp]) -> list[Violation]:
        """Pairs that may lie above each other: the pad between them, and lifting them out."""
        below = np.where(self.z0_mm[i] < self.z0_mm[j], i, j)
        above = np.where(self.z0_mm[i] < self.z0_mm[j], j, i)
        gap = self.z0_mm[above] - self.z1_mm[below]
        same = self.half[i] == self.half[j]
        pad = np.where(same, pad_asked_mm(self.payload), pad_asked_mm(self.payload, facing=True))
        pad = np.where(~same & (self.mounted[i] | self.mounted[j]), 0.0, pad)
        thin = gap < pad - TOLERANCE_MM
        # in the shallow half what lies below in the closed case is lifted out first
        first = np.where(self.half[i] == 1, below, above)
        last = np.where(self.half[i] == 1, above, below)
        always = np.array([one.item.reach == "always" for one in self.placed])
        blocked = same & (self.tier[first] < self.tier[last])
        at_hand = same & always[last]
        asked = np.flatnonzero(thin | blocked | at_hand)
        asked = asked[self._near(i[asked], j[asked], 0.0)]
        shared = shapely.area(shapely.intersection(self._bodies(i[asked]), self._bodies(j[asked])))
        found = []
        for k in asked[shared > AREA_MM2]:
            one, other = self.placed[i[k]].label, self.placed[j[k]].label
            over, under = self.placed[first[k]].label, self.placed[last[k]].label
            if thin[k]:
                found.append(Violation("tier", one, other, float(gap[k]), float(pad[k])))
            if blocked[k]:
                found.append(Violation("lift", over, under, 0.0, 0.0))
            if at_hand[k]:
                found.append(Violation("reach", over, under, 0.0, 0.0))
        return found

    def _zones(
        self, left: NDArray[np.intp], right: NDArray[np.intp], web_mm: float
    ) -> list[Violation]:
        """Zones of either of two copies against the other's body."""
        found: list[Violation] = []
        zoned = np.array([len(one.turned.room_mm) > 0 for one in self.placed], dtype=bool)
        owner, guest = np.concatenate([left, right]), np.concatenate([right, left])
        keep = zoned[owner]
        owner, guest = owner[keep], guest[keep]
        for k in np.unique(owner):
            one, guests = self.placed[k], guest[owner == k]
            turned, (x, y) = one.turned, self.by_mm[k]
            for n, zone in enumerate(turned.solid.rooms):
                x0, y0, x1, y1 = turned.room_mm[n] + (x, y, x, y)
                low, high = turned.bands_mm[n] + one.z0_mm
                others = self.boxes[guests]
                close = (others[:, 0] < x1 + web_mm) & (others[:, 2] > x0 - web_mm)
                close &= (others[:, 1] < y1 + web_mm) & (others[:, 3] > y0 - web_mm)
                meets = self._share_level(np.full(len(guests), k), guests) | heights_overlap(
                    low, high, self.z0_mm[guests], self.z1_mm[guests]
                )
                if before_front(one, low, high):
                    meets &= self.half[guests] == self.half[k]
                at = guests[close & meets]
                if len(at) == 0:
                    continue
                outlines = np.full(len(at), moved(zone.outline, by=(x, y)), dtype=object)
                label = f"{one.label} {zone.kind} zone"
                for m, gap in self._too_near(outlines, self._bodies(at), web_mm):
                    found.append(Violation("zone", label, self.placed[at[m]].label, gap, web_mm))
        return found

    # ---- geometry

    def _share_level(self, i: NDArray[np.intp], j: NDArray[np.intp]) -> NDArray[np.bool_]:
        same: NDArray[np.bool_] = (self.half[i] == self.half[j]) & (self.tier[i] == self.tier[j])
        return same

    def _near(self, i: NDArray[np.intp], j: NDArray[np.intp], keep_mm: float) -> NDArray[np.bool_]:
        """Whether the boxes of two copies are nearer to each other than ``keep_mm``."""
        a, b = self.boxes[i], self.boxes[j]
        low = np.maximum(a[:, :2], b[:, :2])
        high = np.minimum(a[:, 2:], b[:, 2:])
        near: NDArray[np.bool_] = np.all(low < high + keep_mm, axis=1)
        return near

    def _bodies(self, copies: NDArray[np.intp]) -> NDArray[np.object_]:
        """The bodies seen from above, where they stand."""
        fresh = [int(k) for k in np.unique(copies) if int(k) not in self._outlines]
        if fresh:
            still = np.array([self.placed[k].turned.silhouette for k in fresh], dtype=object)
            points = shapely.get_num_coordinates(still)
            by = np.repeat(self.by_mm[fresh], points, axis=0)
            shifted = shapely.transform(still, lambda xy: xy + by)
            # our own copies: prepared shapes must not be shared between threads
            shapely.prepare(shifted)
            self._outlines.update(zip(fresh, shifted, strict=True))
        return np.array([self._outlines[int(k)] for k in copies], dtype=object)

    def _too_near(
        self, ones: NDArray[np.object_], others: NDArray[np.object_], keep_mm: float
    ) -> Iterator[tuple[int, float]]:
        """Pairs ones[k], others[k] nearer than ``keep_mm``, or overlapping: (k, distance)."""
        if keep_mm > TOLERANCE_MM:
            hits = np.flatnonzero(shapely.dwithin(ones, others, keep_mm - TOLERANCE_MM))
        else:
            touching = np.flatnonzero(shapely.intersects(ones, others))
            shared = shapely.area(shapely.intersection(ones[touching], others[touching]))
            hits = touching[shared > AREA_MM2]
        for k in hits:
            yield int(k), float(shapely.distance(ones[k], others[k]))


def _pose(payload: Payload, one: Placed) -> Iterator[Violation]:
    yield from pose_faults(one)
    half = one.placement.half
    if half not in halves_for(payload, one.item):
        yield Violation("half", one.label, f"the {half} half", 0.0, 0.0)


def pose_faults(one: Placed) -> list[Violation]:
    """A violation if the item may not stand on this face, or not at this turn."""
    placement, item = one.placement, one.item
    hung = placement.half == "shallow"
    up, turn_deg = placement.up, placement.turn_deg
    face, turn = flipped(up, turn_deg) if hung else (up, turn_deg)
    upright = mount_turn_deg(item, up)
    if upright is not None:
        turn = turn_deg - upright
    step = {"free": 0.0, "quarter": 90.0, "half": 180.0, "fixed": 360.0}[item.turn]
    off = 0.0 if step == 0 else abs((turn + step / 2) % step - step / 2)
    if face in item.up and off <= 1e-6:
        return []
    return [Violation("pose", one.label, f"{face} up, turned {turn:.1f} degrees", off, 0.0)]


def _heights(payload: Payload, interior: Interior, one: Placed) -> Iterator[Violation]:
    """Floor, lid and closing plane, and zones that reach through the floor or the lid."""
    clear = payload.case.clearance
    hung, closing = one.placement.half == "shallow", interior.closing_mm
    below, above = one.z0_mm, interior.height_mm - one.z1_mm
    floor, lid = (above, below) if hung else (below, above)
    # how far the body stays behind the closing plane
    recess = one.z0_mm - closing if hung else closing - one.z1_mm
    mount = one.item.mount
    if mount is not None and mount.faces == "closing plane":
        floor, lid = max(floor, clear.floor_mm), max(lid, clear.lid_mm)
        asked = mount.asked_recess_mm
        if recess < asked - TOLERANCE_MM:
            yield Violation("lid", one.label, "the closing plane", recess, asked)
        recess = max(recess, clear.lid_mm)
    elif mount is not None and not mount.upright:
        floor, lid, recess = (
            max(gap, clear.floor_mm, clear.lid_mm) for gap in (floor, lid, recess)
        )
    if floor < clear.floor_mm - TOLERANCE_MM:
        yield Violation("floor", one.label, "its floor", floor, clear.floor_mm)
    if payload.case.form == "pair":
        if recess < clear.lid_mm - TOLERANCE_MM:
            yield Violation("lid", one.label, "the closing plane", recess, clear.lid_mm)
    elif lid < clear.lid_mm - TOLERANCE_MM:
        yield Violation("lid", one.label, "the lid", lid, clear.lid_mm)
    if not one.item.proud and payload.case.form == "box" and recess < -TOLERANCE_MM:
        yield Violation("proud", one.label, "the closing plane", recess, 0.0)
    bands = one.turned.bands_mm
    if len(bands):
        low, high = float(bands[:, 0].min()) + one.z0_mm, float(bands[:, 1].max()) + one.z0_mm
        worst = min(low, interior.height_mm - high)
        if worst < -TOLERANCE_MM:
            yield Violation("inside", f"{one.label} zone", "floor or lid", worst, 0.0)
