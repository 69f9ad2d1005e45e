"""Where a dragged item snaps: to its neighbours' clearance, to walls, to edges, to a grid.

Of the places that one or two holds (:mod:`fitkit.fit.holds`) fix within reach, the one with the
strongest holds wins, of equals the nearest. No place is taken that breaks a clearance which was
kept where the item was put.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Sequence

import numpy as np
import shapely
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from fitkit.fit.gaps import TOLERANCE_MM as GAP_MM
from fitkit.fit.holds import (
    EXACT_MM,
    GRID,
    LINE_UP,
    TOUCH,
    Contact,
    Hold,
    Line,
    Vector,
    between,
    solved,
)
from fitkit.fit.layout import Interior, Placement
from fitkit.fit.live import Table
from fitkit.fit.move import Key, PlanBox, moved_together
from fitkit.fit.neighbours import TOLERANCE_MM
from fitkit.fit.validate import wall_violations
from fitkit.geometry.shapes import moved
from fitkit.payload.model import Payload

Box = tuple[float, float, float, float]

SLACKS_MM = (TOLERANCE_MM, GAP_MM)
"""The check of layouts wants clearances to the first, the gaps shown to the second [mm]."""

MOST_CONTACTS = 6
"""Contacts that are looked at, the nearest ones."""

MOST_LINED_UP = 2
"""Edges of neighbours that are looked at for each axis, the nearest ones."""

LINED_UP_MM = 60.0
"""Neighbours farther than this are not lined up with [mm]."""


@frozen
class Snap:
    """What a dragged item snaps to, and from how far [mm].

    ``grid_mm`` is the step of the grid in the placements' own coordinates, None for no grid.
    """

    grid_mm: float | None = None
    gear: bool = True
    walls: bool = True
    reach_mm: float = 6.0


@frozen
class Snapped:
    """Where the lead's lower left corner snaps [mm], and the names of what holds it there.

    Names are labels of items (with the kind where it is a zone), walls ("left wall"; "left wall,
    zone" where a zone touches it), "in line with ..." for edges, and "grid". None: it stays as
    asked.
    """

    x_mm: float
    y_mm: float
    to: tuple[str, ...] = ()


def snapped(
    payload: Payload,
    placements: tuple[Placement, ...],
    keys: Collection[Key],
    *,
    lead: Key,
    x_mm: float,
    y_mm: float,
    box: PlanBox | None,
    snap: Snap = Snap(),
    interior: Interior | None = None,
    table: Table | None = None,
) -> Snapped:
    """Where ``keys`` snap when the lead's lower left corner is put at (x, y) and all move along.

    ``box`` is a fixed interior seen from above; None where the interior follows: then there are no
    walls to snap to or to keep. With ``interior`` its leaning walls and round corners count too.
    ``table`` is that of any layout of the same items and saves time. The answer is within
    ``reach_mm`` of what was asked; wherever it names an item or a wall, that gap is the clearance
    to 0.01 mm. KeyError if an item is not placed.
    """
    asked = moved_together(placements, keys, lead=lead, x_mm=x_mm, y_mm=y_mm)
    now = Table.of(payload, asked) if table is None else table.moved(asked)
    rows = sorted({now.rows[key] for key in (*keys, lead)})
    board = _Board.of(now, rows, box=box, interior=interior, reach_mm=snap.reach_mm)
    best = board.best(tuple(board.holds(snap, at_mm=(x_mm, y_mm))))
    if best is None:
        return Snapped(x_mm, y_mm)
    (dx, dy), names = best
    return Snapped(x_mm + dx, y_mm + dy, names)


@frozen(eq=False)
class _Board:
    """The moved items where they were put, what is near them, and what they break there."""

    table: Table
    rows: list[int]
    box: PlanBox | None
    interior: Interior | None
    reach_mm: float
    contacts: tuple[Contact, ...] = field(repr=False)
    pads: tuple[Contact, ...] = field(repr=False)
    body_mm: Box
    whole_mm: Box
    inset_mm: Vector
    broken: frozenset[object] = frozenset()

    @classmethod
    def of(
        cls,
        table: Table,
        rows: list[int],
        *,
        box: PlanBox | None,
        interior: Interior | None,
        reach_mm: float,
    ) -> _Board:
        """What is near the moved rows of a table."""
        contacts, pads = [], []
        near_mm = table.payload.case.clearance.item_mm + reach_mm
        others = np.ones(len(table.placed), dtype=bool)
        others[rows] = False
        for row in rows:
            for other in np.flatnonzero(others & (table.apart_mm(row) <= near_mm)):
                webs, stacked = between(table, row, int(other))
                contacts += webs
                pads += stacked
        bodies, wholes = table.boxes_mm[rows], table.reach_mm[rows]
        inset = (0.0, 0.0)
        if interior is not None:
            heights = [z for row in rows for z in table.heights_mm[row].tolist()]
            insets = [interior.inset_mm(min(max(z, 0.0), interior.height_mm)) for z in heights]
            inset = (max(one[0] for one in insets), max(one[1] for one in insets))
        board = cls(
            table,
            rows,
            box,
            interior,
            reach_mm,
            tuple(contacts),
            tuple(pads),
            _round_all(bodies),
            _round_all(wholes),
            inset,
        )
        return evolve(board, broken=board.breaks((0.0, 0.0)))

    @property
    def keep_mm(self) -> float:
        """The item clearance [mm]."""
        return self.table.payload.case.clearance.item_mm

    # ---- what may hold it

    def holds(self, snap: Snap, *, at_mm: Vector) -> Iterator[Hold]:
        """All single holds within reach, from where the items were put."""
        if snap.gear:
            found = [one for contact in self.contacts for one in self._met(contact)]
            found.sort(key=lambda one: math.hypot(*one.by))
            yield from found[:MOST_CONTACTS]
            yield from self._lined_up()
        if snap.walls and self.box is not None:
            yield from self._walls(self.box)
        if snap.grid_mm:
            for axis, at in enumerate(at_mm):
                to = round(at / snap.grid_mm) * snap.grid_mm
                if abs(to - at) <= self.reach_mm:
                    yield Line(axis, to - at, "grid", GRID)

    def _met(self, contact: Contact) -> Iterator[Contact]:
        """The contact with the shift that meets it; by each side where the two overlap."""
        starts: Sequence[Vector] = [(0.0, 0.0)]
        if contact.miss((0.0, 0.0)) is None:
            far = self.reach_mm
            starts = [(far, 0.0), (-far, 0.0), (0.0, far), (0.0, -far)]
        for start in starts:
            by = solved([contact], start=start, reach_mm=self.reach_mm)
            if by is not None:
                yield evolve(contact, by=by)

    def _lined_up(self) -> Iterator[Line]:
        """Edges of neighbours of the same level in line with the moved items' own."""
        boxes, levels = self.table.boxes_mm, self.table.levels
        near = np.isin(levels, levels[self.rows])
        near[self.rows] = False
        apart = [
            np.maximum(boxes[:, k] - self.body_mm[k + 2], self.body_mm[k] - boxes[:, k + 2])
            for k in (0, 1)
        ]
        near &= np.maximum(*apart) <= LINED_UP_MM
        for axis in (0, 1):
            found = []
            for other in np.flatnonzero(near):
                for edge in (axis, axis + 2):
                    by = float(boxes[other, edge]) - self.body_mm[edge]
                    if abs(by) <= self.reach_mm:
                        name = f"in line with {self.table.placed[other].label}"
                        found.append(Line(axis, by, name, LINE_UP))
            found.sort(key=lambda line: abs(line.value_mm))
            yield from found[:MOST_LINED_UP]

    def _walls(self, box: PlanBox) -> Iterator[Line]:
        """Bodies at the wall clearance, and zones at the wall itself."""
        wall = self.table.payload.case.clearance.wall_mm
        for keep, mine, suffix in ((wall, self.body_mm, ""), (0.0, self.whole_mm, ", zone")):
            if suffix and mine == self.body_mm:
                continue
            in_x, in_y = keep + self.inset_mm[0], keep + self.inset_mm[1]
            for name, axis, by in (
                ("left wall", 0, box.x0_mm + in_x - mine[0]),
                ("right wall", 0, box.x1_mm - in_x - mine[2]),
                ("front wall", 1, box.y0_mm + in_y - mine[1]),
                ("back wall", 1, box.y1_mm - in_y - mine[3]),
            ):
                if abs(by) <= self.reach_mm:
                    yield Line(axis, by, name + suffix, TOUCH)

    # ---- the best place

    def best(self, holds: tuple[Hold, ...]) -> tuple[Vector, tuple[str, ...]] | None:
        """The shift with the strongest holds, the least of equals; None if none may be taken."""
        sets: dict[int, list[tuple[Hold, ...]]] = {}
        for one in holds:
            sets.setdefault(one.weight, []).append((one,))
        for one, other in itertools.combinations(holds, 2):
            sets.setdefault(one.weight + other.weight, []).append((one, other))
        for _, able in sorted(sets.items(), reverse=True):
            best: tuple[float, Vector, tuple[str, ...]] | None = None
            # a place that meets two holds is no nearer than the farther of them alone
            able.sort(key=lambda some: max(math.hypot(*one.by) for one in some))
            for some in able:
                if best and max(math.hypot(*one.by) for one in some) >= best[0] - EXACT_MM:
                    break
                by = self._place(some)
                if by is None or (best and math.hypot(*by) >= best[0] - EXACT_MM):
                    continue
                if self.breaks(by) <= self.broken:
                    names = tuple(dict.fromkeys(one.name for one in some))
                    best = (math.hypot(*by), by, names)
            if best:
                return best[1], best[2]
        return None

    def _place(self, some: tuple[Hold, ...]) -> Vector | None:
        if len(some) == 1:
            return some[0].by
        lines = [one for one in some if isinstance(one, Line)]
        if len(lines) == 2 and lines[0].axis == lines[1].axis:
            return None
        start = list(some[0].by)
        for line in lines:
            other = next(one for one in some if one is not line)
            start[1 - line.axis] = other.by[1 - line.axis]
            start[line.axis] = line.value_mm
        return solved(some, start=(start[0], start[1]), reach_mm=self.reach_mm)

    # ---- what a place breaks

    def breaks(self, by: Vector) -> frozenset[object]:
        """Which clearances the moved items break when shifted."""
        found: set[object] = set()
        for what, some, keep in (("web", self.contacts, self.keep_mm), ("pad", self.pads, 0.0)):
            by_shape: dict[int, list[int]] = {}
            for k, one in enumerate(some):
                by_shape.setdefault(id(one.moving), []).append(k)
            for those in by_shape.values():
                shape = moved(some[those[0]].moving, by=by)
                stills = np.array([some[k].still for k in those], dtype=object)
                for slack in SLACKS_MM:
                    if keep > slack:
                        hits = shapely.dwithin(stills, shape, keep - slack)
                    else:
                        hits = shapely.area(shapely.intersection(stills, shape)) > slack
                    found |= {(what, slack, those[hit]) for hit in np.flatnonzero(hits)}
        return frozenset(found | set(self._past_walls(by)))

    def _past_walls(self, by: Vector) -> Iterator[object]:
        if self.box is None:
            return
        wall, (dx, dy) = self.table.payload.case.clearance.wall_mm, by
        low, high = (self.box.x0_mm, self.box.y0_mm), (self.box.x1_mm, self.box.y1_mm)
        for what, keep, boxes in (
            ("body", wall, self.table.boxes_mm[self.rows]),
            ("zone", 0.0, self.table.reach_mm[self.rows]),
        ):
            shifted = boxes + np.array([dx, dy, dx, dy])
            gaps = np.hstack([shifted[:, :2] - low, high - shifted[:, 2:]])
            for slack in SLACKS_MM:
                past = np.argwhere(gaps < keep - slack).tolist()
                yield from ((what, slack, row, side) for row, side in past)
        room = self.interior
        if room is not None and (room.leans or room.corner_mm):
            there = [
                evolve(
                    self.table.placements[row],
                    x_mm=self.table.placements[row].x_mm + dx - self.box.x0_mm,
                    y_mm=self.table.placements[row].y_mm + dy - self.box.y0_mm,
                )
                for row in self.rows
            ]
            faults = wall_violations(self.table.payload, interior=room, placements=there)
            for row, some in zip(self.rows, faults, strict=True):
                yield from ((row, fault.kind) for fault in some)


def _round_all(boxes: NDArray[np.float64]) -> Box:
    """The box around boxes."""
    x0, y0 = boxes[:, :2].min(axis=0).tolist()
    x1, y1 = boxes[:, 2:].max(axis=0).tolist()
    return (x0, y0, x1, y1)
