"""The way of one cable through the room that is left: found on a lattice, then shortened.

Everything is about the cable's middle line: what it must keep clear of is grown by half its
thickness, and the radius of its bends is the inside radius and half its thickness.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from fitkit.shell.cables.curve import (
    Line,
    can_be_laid,
    length_mm,
    rounded,
    tidy,
)
from fitkit.shell.cables.ends import Ray
from fitkit.shell.cables.lines import lattice_lines

TOUCH_MM = 0.05
"""A way may touch what it goes around: this much of a box does not count [mm]."""

SHARP_MM = 0.5
"""The least radius of a middle line that is tried when nothing gentler has a way [mm]."""

HALVINGS = 5
"""How often the room between a radius that has a way and one that has none is halved."""

MOST_ROUNDS = 12
GAIN_MM = 0.05
"""A way that is shorter by less is none [mm]."""

MOST_TURN = 3.0
"""A sharper corner is not slid along its plug [rad]."""

Boxes = NDArray[np.float64]


@frozen(eq=False)
class Way:
    """A way from end to end: corners, the radius of its bends, and its length [mm]."""

    corners: Line
    radius_mm: float
    length_mm: float

    @property
    def line(self) -> Line:
        """Points of the middle line, bends as short chords, shape (n, 3) [mm]."""
        return rounded(self.corners, radius_mm=self.radius_mm)


def way_between(
    start: Ray,
    goal: Ray,
    *,
    boxes: Boxes,
    low_mm: tuple[float, float, float],
    high_mm: tuple[float, float, float],
    radius_mm: float,
) -> Way | None:
    """A short way between two rays whose bends have ``radius_mm`` or more; None if there is none.

    ``boxes`` (n, 6) are what the middle line must not enter, ``low_mm`` and ``high_mm`` where it
    must stay. Straight runs at both ends are exempt from both: they are the plugs' own room.
    """
    return _way(
        _rounded_off(start), _rounded_off(goal), np.ascontiguousarray(boxes).tobytes(),
        low_mm, high_mm, max(float(radius_mm), SHARP_MM),
    )  # fmt: skip


def widest_way(
    start: Ray,
    goal: Ray,
    *,
    boxes: Boxes,
    low_mm: tuple[float, float, float],
    high_mm: tuple[float, float, float],
    radius_mm: float,
) -> Way | None:
    """The way with the gentlest bends up to ``radius_mm``; None if not even a sharp one is free."""

    def at(radius: float) -> Way | None:
        return way_between(
            start, goal, boxes=boxes, low_mm=low_mm, high_mm=high_mm, radius_mm=radius
        )

    found = at(radius_mm)
    if found is not None or radius_mm <= SHARP_MM:
        return found
    found = at(SHARP_MM)
    if found is None:
        return None
    low, high = SHARP_MM, radius_mm
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        better = at(middle)
        if better is None:
            high = middle
        else:
            low, found = middle, better
    return found


def _rounded_off(ray: Ray) -> Ray:
    at = tuple(round(value, 6) for value in ray.at_mm)
    way = tuple(round(value, 9) for value in ray.way)
    return Ray((at[0], at[1], at[2]), (way[0], way[1], way[2]), round(ray.straight_mm, 6))


@lru_cache(maxsize=2048)
def _way(
    start: Ray,
    goal: Ray,
    boxes_bytes: bytes,
    low_mm: tuple[float, float, float],
    high_mm: tuple[float, float, float],
    radius_mm: float,
) -> Way | None:
    boxes = np.frombuffer(boxes_bytes, dtype=np.float64).reshape(-1, 6)
    boxes = boxes + np.array([1, 1, 1, -1, -1, -1]) * TOUCH_MM
    boxes = np.ascontiguousarray(boxes[np.all(boxes[:, 3:] > boxes[:, :3], axis=1)])
    first, second = _onto_axes(start, radius_mm), _onto_axes(goal, radius_mm)
    inner = _on_lattice(first, second, boxes, np.array(low_mm), np.array(high_mm), radius_mm)
    if inner is None:
        return None
    corners = tidy(np.array([start.at_mm, *first.lead, *inner, *second.lead[::-1], goal.at_mm]))
    straight = (start.straight_mm, goal.straight_mm)
    if not can_be_laid(corners, radius_mm=radius_mm, straight_mm=straight):
        return None
    short = _Shortening(boxes, (start, goal), radius_mm, np.array(low_mm), np.array(high_mm))
    corners = short.shorter(corners)
    return Way(corners, radius_mm, length_mm(corners, radius_mm=radius_mm))


@frozen(eq=False)
class _Entry:
    """Where a ray comes onto the lattice: the point, the direction 0 to 5, corners before it."""

    at: Line
    way: int
    lead: tuple[Line, ...]


def _onto_axes(ray: Ray, radius_mm: float) -> _Entry:
    """A ray that runs askew is bent onto the nearest axis first."""
    at, way = np.array(ray.at_mm), np.array(ray.way)
    axis = int(np.argmax(np.abs(way)))
    sign = 1 if way[axis] > 0 else -1
    number = 2 * axis + (0 if sign > 0 else 1)
    if abs(abs(way[axis]) - 1) < 1e-9:
        return _Entry(at + way * ray.straight_mm, number, ())
    unit = np.zeros(3)
    unit[axis] = sign
    cut = radius_mm * float(np.tan(np.arccos(np.clip(way @ unit, -1, 1)) / 2))
    corner = at + way * (ray.straight_mm + cut)
    return _Entry(corner + unit * cut, number, (corner,))


def _on_lattice(
    start: _Entry, goal: _Entry, boxes: Boxes, low: Line, high: Line, radius_mm: float
) -> list[Line] | None:
    """Corners from entry to entry, both entries among them; None where there is no way."""
    from fitkit.shell.cables.lattice import search  # numba: only where there are cables

    for entry in (start, goal):
        if np.any(entry.at < low - 1e-6) or np.any(entry.at > high + 1e-6):
            return None
    rows = []
    for axis in range(3):
        edges = np.unique(np.round(boxes[:, [axis, axis + 3]].ravel(), 3))
        rows.append(
            lattice_lines(
                low_mm=float(low[axis]),
                high_mm=float(high[axis]),
                ends_mm=(float(start.at[axis]), float(goal.at[axis])),
                radius_mm=radius_mm,
                edges_mm=edges,
            )
        )
    counts = np.array([len(row) for row in rows])
    lines = np.full((3, int(counts.max())), np.inf)
    for axis, row in enumerate(rows):
        lines[axis, : len(row)] = row
    states = []
    for entry, sense in ((start, 0), (goal, 1)):
        at = [int(np.argmin(np.abs(row - entry.at[axis]))) for axis, row in enumerate(rows)]
        states.append(np.array([*at, entry.way ^ sense]))  # one arrives against the goal's ray
    found = search(lines, counts, boxes, states[0], states[1], radius_mm)
    if not len(found):
        return None
    points = np.array([[rows[axis][state[axis]] for axis in range(3)] for state in found])
    return list(_corners(points, found[:, 3]))


def _corners(points: Line, ways: NDArray[np.int64]) -> Iterator[Line]:
    """The corners of a way that is given by its states."""
    yield points[0]
    for k in range(1, len(points)):
        p, q = points[k - 1], points[k]
        axis = int(ways[k - 1]) // 2
        sign = 1 - 2 * (int(ways[k - 1]) % 2)
        moved = np.abs(q - p)
        if ways[k] != ways[k - 1]:
            corner = p.copy()
            corner[axis] = q[axis]
            yield corner
        elif float(moved.sum() - moved[axis]) > 1e-9:
            aside = float(moved.sum() - moved[axis])
            wide = (float(moved[axis]) ** 2 + aside**2) / (4 * aside)
            cut = wide * np.tan(np.arcsin(min(1.0, float(moved[axis]) / (2 * wide))) / 2)
            for corner, back in ((p.copy(), 1), (q.copy(), -1)):
                corner[axis] += sign * back * cut
                yield corner
    yield points[-1]


class _Shortening:
    """Makes a way shorter without making it impossible: leaves corners out, cuts others off."""

    def __init__(
        self, boxes: Boxes, rays: tuple[Ray, Ray], radius: float, low: Line, high: Line
    ) -> None:
        self.boxes, self.radius = boxes, radius
        self.low, self.high = low, high
        self.runs = (rays[0].straight_mm, rays[1].straight_mm)
        self.ways = (np.array(rays[0].way), np.array(rays[1].way))

    def free(self, corners: Line) -> bool:
        """Whether a line that can be laid is clear of every box, and stays inside."""
        from fitkit.shell.cables.laying import clear

        return bool(
            clear(corners, self.radius, *self.runs, self.boxes, self.low, self.high, TOUCH_MM)
        )

    def length_mm(self, corners: Line) -> float:
        """Length of the rounded line [mm]; infinite where it cannot be laid."""
        from fitkit.shell.cables.laying import long_mm

        return float(long_mm(corners, self.radius, *self.runs))

    def shorter(self, corners: Line) -> Line:
        """The shortest way that leaving out and cutting off lead to."""
        from fitkit.shell.cables.laying import tidied

        best, long = corners, self.length_mm(corners)
        for _ in range(MOST_ROUNDS):
            tried = sorted(
                ((self.length_mm(line), k, line)
                 for k, line in enumerate(tidied(one) for one in self._candidates(best))),
                key=lambda one: one[:2],
            )  # fmt: skip
            found = next(
                ((new, line) for new, _, line in tried if new < long - GAIN_MM and self.free(line)),
                None,
            )
            if found is None:
                break
            long, best = found
        return best

    def _candidates(self, corners: Line) -> Iterator[Line]:
        """Lines with fewer corners, or with corners cut off."""
        n = len(corners)
        for first in range(1, n - 1):
            for last in range(first + 2, n - 1):
                line = np.vstack([corners[: first + 1], corners[last:]])
                yield line
                yield self._slid(line)
        yield self._slid(corners)
        if n > 3:
            yield self._slid(np.vstack([corners[:2], corners[-2:]]))
        for k in range(2, n - 2):
            for share in (0.9, 0.5, 0.25):
                a = corners[k] + (corners[k - 1] - corners[k]) * share
                b = corners[k] + (corners[k + 1] - corners[k]) * share
                yield np.vstack([corners[:k], a, b, corners[k + 1 :]])

    def _slid(self, corners: Line) -> Line:
        """First and last corner as near to their plugs as straight run and bend allow."""
        line = corners.copy()
        if len(line) < 4:
            return line
        for _ in range(4):
            for end, sense in ((0, 1), (-1, -1)):
                inner, beyond = end + sense, end + 2 * sense
                way, run = self.ways[end], self.runs[end]
                on = line[beyond] - line[inner]
                long = math.sqrt(float(on @ on))
                if long < 1e-6:
                    continue
                turn = math.acos(max(-1.0, min(1.0, float(way @ on) / long)))
                if turn < MOST_TURN:
                    line[inner] = line[end] + way * (run + self.radius * math.tan(turn / 2))
        return line
