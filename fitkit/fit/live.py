"""The bodies on the board, kept from one move to the next, so that a move costs little.

What :func:`fitkit.fit.gaps.gaps_of`, :func:`~fitkit.fit.gaps.failing_gaps` and
:func:`~fitkit.fit.move.following_box` say of a layout, said again after one item was moved: boxes
sort out what is far apart, and pairs of items that stayed are not looked at again.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import cast

import numpy as np
import shapely
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from fitkit.fit.gaps import FAR, Gap, pair_gaps, wall_gaps
from fitkit.fit.layout import Interior, Placement
from fitkit.fit.move import Key, PlanBox, following_box, key_of
from fitkit.fit.neighbours import TOLERANCE_MM, heights_overlap, pad_asked_mm
from fitkit.fit.place import Placed, place_all
from fitkit.fit.validate import wall_violations
from fitkit.geometry.shapes import moved
from fitkit.payload.model import Payload

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]
Pair = tuple[int, int]
Ranked = tuple[float, int, int, Gap | None]
"""A gap that holds: how wide [mm], the rows of its two items, and the gap itself once known."""

WALL_ROWS = 1 << 30
"""Walls come after every item."""


@frozen(eq=False)
class Table:
    """A layout ready for questions; a value: :meth:`moved` gives the table after a move.

    Rows go with ``placements``. ``boxes_mm`` are those of the bodies, ``reach_mm`` those of bodies
    with their zones; ``heights_mm`` and ``spans_mm`` their heights, in that order. The outlines in
    ``bodies`` are prepared for questions: use a table from one thread at a time.
    """

    payload: Payload
    placements: tuple[Placement, ...]
    placed: tuple[Placed, ...] = field(repr=False)
    rows: Mapping[Key, int] = field(repr=False)
    bodies: NDArray[np.object_] = field(repr=False)
    boxes_mm: Floats = field(repr=False)
    reach_mm: Floats = field(repr=False)
    heights_mm: Floats = field(repr=False)
    spans_mm: Floats = field(repr=False)
    levels: NDArray[np.intp] = field(repr=False)
    zoned: NDArray[np.bool_] = field(repr=False)
    fails: Mapping[Pair, tuple[Gap, ...]] = field(repr=False)

    @classmethod
    def of(cls, payload: Payload, placements: tuple[Placement, ...]) -> Table:
        """The table of a layout. KeyError for an item that the payload lacks."""
        count = len(placements)
        empty = cls(
            payload,
            placements,
            place_all(payload, placements),
            {key_of(p): row for row, p in enumerate(placements)},
            np.empty(count, dtype=object),
            np.zeros((count, 4)),
            np.zeros((count, 4)),
            np.zeros((count, 2)),
            np.zeros((count, 2)),
            np.zeros(count, dtype=np.intp),
            np.zeros(count, dtype=bool),
            {},
        )
        return empty._with(range(count), placements)

    def moved(self, placements: tuple[Placement, ...]) -> Table:
        """The table of another layout; what stands as it did is kept."""
        if [key_of(p) for p in placements] != list(self.rows):
            return Table.of(self.payload, placements)
        new = [
            row
            for row, (old, now) in enumerate(zip(self.placements, placements, strict=True))
            if old is not now and old != now
        ]
        return self._with(new, placements) if new else self

    def gaps(self, keys: Key | Collection[Key], *, box: PlanBox, most: int = 4) -> tuple[Gap, ...]:
        """The gaps worth showing of one item, or of several that move together.

        As :func:`fitkit.fit.gaps.gaps_of`: all that fail, nearest first, then at most ``most``
        that hold, nearest first. Of several items these are the gaps to all the others, and to
        each wall that of the item nearest to it. KeyError if one is not placed.
        """
        rows = self._rows_of(keys)
        away = np.ones(len(self.placements), dtype=bool)
        away[rows] = False
        failing: list[tuple[float, int, int, Gap]] = []
        holding: list[Ranked] = []
        for row in rows:
            for gap, order in self._near_gaps(row, away):
                if gap.verdict == "fails":
                    failing.append((gap.gap_mm, row, order, gap))
                elif gap.gap_mm <= FAR * gap.limit_mm:
                    holding.append((gap.gap_mm, row, order, gap))
            holding += self._wider(row, away)
        for order, (row, gap) in enumerate(self._wall_gaps(rows, box)):
            if gap.verdict == "fails":
                failing.append((gap.gap_mm, row, WALL_ROWS + order, gap))
            elif gap.gap_mm <= FAR * gap.limit_mm:
                holding.append((gap.gap_mm, row, WALL_ROWS + order, gap))
        failing.sort(key=lambda one: one[:3])
        return (*(one[3] for one in failing), *itertools.islice(self._shown(holding), most))

    def failing(self) -> tuple[Gap, ...]:
        """Every pair that is too close or overlaps, and every body that stands in a zone."""
        return tuple(gap for pair in sorted(self.fails) for gap in self.fails[pair])

    def following_box(self, interior: Interior) -> PlanBox:
        """The least rectangle that keeps the walls' clearance (:func:`following_box`) [mm]."""
        return following_box(self.payload, interior, self.placements)

    def outside_walls(self, box: PlanBox, *, interior: Interior | None = None) -> tuple[Key, ...]:
        """Who is nearer to the sides of a fixed ``box`` than the wall clearance, or out of it.

        Zones must be inside, without clearance. With an ``interior`` its round corners and leaning
        walls count too, its rectangle at the closing plane being ``box``.
        """
        keep = self.payload.case.clearance.wall_mm
        if interior is None or not (interior.corner_mm or interior.leans):
            out = self._past(self.boxes_mm, box, keep) | self._past(self.reach_mm, box, 0.0)
            return tuple(key_of(self.placements[row]) for row in np.flatnonzero(out))
        height = interior.height_mm
        lean = max(*interior.inset_mm(0.0), *interior.inset_mm(height))
        share = interior.corner_mm * (1 - math.sqrt(0.5))
        # whoever keeps this much more from the sides is inside for certain
        near = np.flatnonzero(self._past(self.reach_mm, box, keep + lean + share))
        length_mm, width_mm = box.size_mm
        room = evolve(interior, length_mm=length_mm, width_mm=width_mm)
        if interior.floors_mm:
            by = (length_mm - interior.length_mm, width_mm - interior.width_mm)
            floors = tuple((a + by[0], b + by[1]) for a, b in interior.floors_mm)
            room = evolve(room, floors_mm=floors)
        there = [
            evolve(p, x_mm=p.x_mm - box.x0_mm, y_mm=p.y_mm - box.y0_mm)
            for p in (self.placements[row] for row in near)
        ]
        faults = wall_violations(self.payload, interior=room, placements=there)
        return tuple(key_of(p) for p, found in zip(there, faults, strict=True) if found)

    def apart_mm(self, row: int) -> Floats:
        """How far the box of a row, zones included, is from those of all rows [mm]."""
        return _box_distances(self.reach_mm[row], self.reach_mm)

    # ---- one move

    def _with(self, new: Iterable[int], placements: tuple[Placement, ...]) -> Table:
        """This table with the rows ``new`` as in ``placements``."""
        changed = list(new)
        placed = list(self.placed)
        for row, one in zip(
            changed,
            place_all(self.payload, tuple(placements[row] for row in changed)),
            strict=True,
        ):
            placed[row] = one
        bodies, boxes, reach = self.bodies.copy(), self.boxes_mm.copy(), self.reach_mm.copy()
        heights, spans = self.heights_mm.copy(), self.spans_mm.copy()
        levels, zoned = self.levels.copy(), self.zoned.copy()
        for row in changed:
            one = placed[row]
            turned, here = one.turned, one.placement
            by = (here.x_mm, here.y_mm)
            # our own copy: a prepared outline must not be shared with other threads
            bodies[row] = moved(turned.silhouette, by=by)
            boxes[row] = turned.box_mm + np.array([*by, *by])
            whole = np.vstack([turned.box_mm, turned.room_mm]) + np.array([*by, *by])
            reach[row] = (*whole[:, :2].min(axis=0), *whole[:, 2:].max(axis=0))
            heights[row], spans[row] = (one.z0_mm, one.z1_mm), one.reach_mm
            levels[row] = 2 * here.tier + (here.half == "shallow")
            zoned[row] = len(turned.room_mm) > 0
        shapely.prepare(bodies[changed])
        gone = set(changed)
        fails = {pair: gaps for pair, gaps in self.fails.items() if gone.isdisjoint(pair)}
        table = Table(
            self.payload,
            placements,
            tuple(placed),
            self.rows,
            bodies,
            boxes,
            reach,
            heights,
            spans,
            levels,
            zoned,
            fails,
        )
        for row in changed:
            for other in table._near(row, np.ones(len(placements), dtype=bool)):
                # a pair of which both were moved is looked at once
                if other in gone and other < row:
                    continue
                pair = (min(row, int(other)), max(row, int(other)))
                found = table._failing_gaps(pair)
                if found:
                    fails[pair] = found
        return table

    def _failing_gaps(self, pair: Pair) -> tuple[Gap, ...]:
        one, other = (self.placed[row] for row in pair)
        gaps = pair_gaps(self.payload, one, other)
        return tuple(gap for gap in gaps if gap.verdict == "fails")

    # ---- who is near whom

    def _rows_of(self, keys: Key | Collection[Key]) -> list[int]:
        if isinstance(keys, tuple) and len(keys) == 2 and isinstance(keys[0], str):
            return [self.rows[keys]]
        return sorted({self.rows[key] for key in cast(Collection[Key], keys)})

    def _same_level_or_meet(self, row: int, spans_mm: Floats) -> NDArray[np.bool_]:
        low, high = spans_mm[row]
        meet = heights_overlap(low, high, spans_mm[:, 0], spans_mm[:, 1])
        return np.asarray((self.levels == self.levels[row]) | meet)

    def _concerned(self, row: int) -> NDArray[np.bool_]:
        """Those that keep any distance from a row: in plan, from zones, or a pad between them."""
        (low, high), z = self.heights_mm[row], self.heights_mm
        pad = np.maximum(z[:, 0] - high, low - z[:, 1])
        facing = (self.levels - self.levels[row]) % 2 != 0
        asked = np.where(
            facing, pad_asked_mm(self.payload, facing=True), pad_asked_mm(self.payload)
        )
        concerned = self._same_level_or_meet(row, self.spans_mm) | (pad < asked - TOLERANCE_MM)
        concerned[row] = False
        return np.asarray(concerned)

    def _near(self, row: int, among: NDArray[np.bool_]) -> Rows:
        """Those with which a row may have a gap that fails: near enough, bodies or zones."""
        keep = self.payload.case.clearance.item_mm
        apart = _box_distances(self.reach_mm[row], self.reach_mm)
        able = np.flatnonzero((apart <= keep) & self._concerned(row) & among)
        if not len(able):
            return able
        hits = shapely.dwithin(self.bodies[able], self.bodies[row], keep)
        near: Rows = able[hits | self.zoned[able] | self.zoned[row]]
        return near

    # ---- gaps of one row

    def _near_gaps(self, row: int, among: NDArray[np.bool_]) -> Iterator[tuple[Gap, int]]:
        """All gaps to those that are near, each with the other's row."""
        for other in self._near(row, among):
            for gap in pair_gaps(self.payload, self.placed[row], self.placed[other]):
                yield gap, int(other)

    def _wider(self, row: int, among: NDArray[np.bool_]) -> list[Ranked]:
        """Gaps between bodies that hold for certain, measured but not yet made."""
        far_mm = FAR * self.payload.case.clearance.item_mm
        able = among & self._same_level_or_meet(row, self.heights_mm)
        able[row] = False
        able[self._near(row, among)] = False
        able &= _box_distances(self.boxes_mm[row], self.boxes_mm) <= far_mm
        others = np.flatnonzero(able)
        if not len(others):
            return []
        gaps_mm = shapely.distance(self.bodies[others], self.bodies[row])
        return [
            (float(gap_mm), row, int(other), None)
            for gap_mm, other in zip(gaps_mm, others, strict=True)
            if gap_mm <= far_mm
        ]

    def _wall_gaps(self, rows: list[int], box: PlanBox) -> list[tuple[int, Gap]]:
        """For each wall the gap of the row that is nearest to it."""
        every = [
            [(row, gap) for gap in wall_gaps(self.payload, self.placed[row], box)] for row in rows
        ]
        return [min(side, key=lambda one: one[1].gap_mm) for side in zip(*every, strict=True)]

    def _shown(self, holding: list[Ranked]) -> Iterator[Gap]:
        """The gaps that hold and are in plain sight, nearest first."""
        for _, row, other, known in sorted(holding, key=lambda one: one[:3]):
            gap = known
            if gap is None:
                (gap,) = pair_gaps(self.payload, self.placed[row], self.placed[other])
            if self._in_sight(row, gap):
                yield gap

    def _in_sight(self, row: int, gap: Gap) -> bool:
        (ax, ay), (bx, by) = gap.a_mm, gap.b_mm
        line = np.array([min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)])
        able = self._concerned(row) & (_box_distances(line, self.boxes_mm) <= 0.0)
        if not isinstance(gap.right, str):
            able[self.rows[gap.right]] = False
        third = self.bodies[np.flatnonzero(able)]
        return not bool(shapely.intersects(third, shapely.LineString([gap.a_mm, gap.b_mm])).any())

    def _past(self, boxes_mm: Floats, box: PlanBox, keep_mm: float) -> NDArray[np.bool_]:
        keep = keep_mm - TOLERANCE_MM
        low = np.array([box.x0_mm + keep, box.y0_mm + keep])
        high = np.array([box.x1_mm - keep, box.y1_mm - keep])
        out = (boxes_mm[:, :2] < low) | (boxes_mm[:, 2:] > high)
        return np.asarray(out.any(axis=1))


def _box_distances(one: Floats, boxes: Floats) -> Floats:
    """How far a box (x0, y0, x1, y1) is from each of many boxes [mm]; 0 where they touch."""
    apart = np.maximum(np.maximum(boxes[:, :2] - one[2:], one[:2] - boxes[:, 2:]), 0.0)
    distances: Floats = np.hypot(apart[:, 0], apart[:, 1])
    return distances
