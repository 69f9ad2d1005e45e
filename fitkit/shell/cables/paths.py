"""The way of one cable through the room that is left: found on a lattice, then shortened.

Everything is about the cable's middle line: what it must keep clear of is grown by half its
thickness, and the radius of its bends is the inside radius and half its thickness.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
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

MORE_MM = (0.0, 0.5, 1.5)
"""How much larger boxes are taken on the lattice where a way then cuts their edges [mm]."""

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
    starts: Sequence[Ray],
    goals: Sequence[Ray],
    *,
    boxes: Boxes,
    low_mm: tuple[float, float, float],
    high_mm: tuple[float, float, float],
    radius_mm: float,
) -> Way | None:
    """A short way from one of the starts to one of the goals; None if there is none.

    Its bends have ``radius_mm`` or more. ``boxes`` (n, 6) are what the middle line must not enter,
    ``low_mm`` and ``high_mm`` where it must stay. Straight runs at both ends are exempt from both:
    they are the plugs' own room.
    """
    return _way(
        tuple(_rounded_off(ray) for ray in starts),
        tuple(_rounded_off(ray) for ray in goals),
        np.ascontiguousarray(boxes, dtype=np.float64).tobytes(),
        low_mm,
        high_mm,
        max(float(radius_mm), SHARP_MM),
    )


def widest_way(
    starts: Sequence[Ray],
    goals: Sequence[Ray],
    *,
    boxes: Boxes,
    low_mm: tuple[float, float, float],
    high_mm: tuple[float, float, float],
    radius_mm: float,
) -> Way | None:
    """The way with the gentlest bends up to ``radius_mm``; None if not even a sharp one is free."""

    def at(radius: float) -> Way | None:
        return way_between(
            starts, goals, boxes=boxes, low_mm=low_mm, high_mm=high_mm, radius_mm=radius
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
    starts: tuple[Ray, ...],
    goals: tuple[Ray, ...],
    boxes_bytes: bytes,
    low_mm: tuple[float, float, float],
    high_mm: tuple[float, float, float],
    radius_mm: float,
) -> Way | None:
    boxes = np.frombuffer(boxes_bytes, dtype=np.float64).reshape(-1, 6)
    boxes = boxes + np.array([1, 1, 1, -1, -1, -1]) * TOUCH_MM
    boxes = np.ascontiguousarray(boxes[np.all(boxes[:, 3:] > boxes[:, :3], axis=1)])
    low, high = np.array(low_mm), np.array(high_mm)
    first = [one for ray in starts if (one := _onto_axes(ray, radius_mm)).within(low, high)]
    second = [one for ray in goals if (one := _onto_axes(ray, radius_mm)).within(low, high)]
    if not first or not second:
        return None
    for more in MORE_MM:
        # the lattice tests a step aside by its corners: rounded, it may cut an edge by a hair
        wider = boxes + np.array([-1, -1, -1, 1, 1, 1]) * more
        found = _on_lattice(first, second, wider, low, high, radius_mm)
        if found is None:
            return None
        start, inner, goal = found
        corners = tidy(
            np.array(
                [start.ray.at_mm, *start.lead, *inner, *goal.lead[::-1], goal.ray.at_mm],
                dtype=np.float64,
            )
        )
        straight = (start.ray.straight_mm, goal.ray.straight_mm)
        short = _Shortening(boxes, (start.ray, goal.ray), radius_mm, low, high)
        laid = can_be_laid(corners, radius_mm=radius_mm, straight_mm=straight)
        if laid and short.free(corners):
            corners = short.shorter(corners)
            return Way(corners, radius_mm, length_mm(corners, radius_mm=radius_mm))
    return None


@frozen(eq=False)
class _Entry:
    """Where a ray comes onto the lattice: the point, the direction 0 to 5, corners before it."""

    ray: Ray
    at: Line
    way: int
    lead: tuple[Line, ...]

    def within(self, low: Line, high: Line) -> bool:
        """Whether it does so where a cable may run."""
        return bool(np.all(self.at >= low - 1e-6) and np.all(self.at <= high + 1e-6))

    def state(self, rows: Sequence[Line], *, arriving: bool) -> list[int]:
        """Its state on the lattice; one arrives against the ray."""
        at = [int(np.argmin(np.abs(row - self.at[axis]))) for axis, row in enumerate(rows)]
        return [*at, self.way ^ 1 if arriving else self.way]


def _onto_axes(ray: Ray, radius_mm: float) -> _Entry:
    """A ray that runs askew is bent onto the nearest axis first."""
    at, way = np.array(ray.at_mm), np.array(ray.way)
    axis = int(np.argmax(np.abs(way)))
    sign = 1 if way[axis] > 0 else -1
    number = 2 * axis + (0 if sign > 0 else 1)
    if abs(abs(way[axis]) - 1) < 1e-9:
        return _Entry(ray, at + way * ray.straight_mm, number, ())
    unit = np.zeros(3)
    unit[axis] = sign
    cut = radius_mm * float(np.tan(np.arccos(np.clip(way @ unit, -1, 1)) / 2))
    corner = at + way * (ray.straight_mm + cut)
    return _Entry(ray, corner + unit * cut, number, (corner,))


def _on_lattice(
    starts: list[_Entry], goals: list[_Entry], boxes: Boxes, low: Line, high: Line, radius_mm: float
) -> tuple[_Entry, list[Line], _Entry] | None:
    """Corners from an entry to another, both among them; None where there is no way."""
    from fitkit.shell.cables.lattice import search  # numba: only where there are cables

    rows = [
        lattice_lines(
            low_mm=float(low[axis]),
            high_mm=float(high[axis]),
            ends_mm=[float(entry.at[axis]) for entry in (*starts, *goals)],
            radius_mm=radius_mm,
            edges_mm=np.unique(np.round(boxes[:, [axis, axis + 3]].ravel(), 3)),
        )
        for axis in range(3)
    ]
    counts = np.array([len(row) for row in rows])
    lines = np.full((3, int(counts.max())), np.inf)
    for axis, row in enumerate(rows):
        lines[axis, : len(row)] = row
    first = [entry.state(rows, arriving=False) for entry in starts]
    last = [entry.state(rows, arriving=True) for entry in goals]
    found = search(lines, counts, boxes, np.array(first), np.array(last), radius_mm)
    if not len(found):
        return None
    points = np.array([[rows[axis][state[axis]] for axis in range(3)] for state in found])
    start = starts[first.index(found[0].tolist())]
    goal = goals[last.index(found[-1].tolist())]
    return start, list(_corners(points, found[:, 3])), goal


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
