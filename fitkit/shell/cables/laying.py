"""Whether a line of corners can be laid, and how long it then is; compiled with numba.

Used thousands of times where ways are shortened; nothing else imports it. The formulas are those of
:mod:`fitkit.shell.cables.curve`.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from fitkit.shell.cables.lattice import SAG_MM, crosses

SLIP_MM = 1e-4
"""Accuracy of lengths [mm]."""

SAME_MM = 1e-6
STRAIGHT = 1.7e-4
"""A smaller turn is none [rad]."""

BACK = 3.1
"""A larger turn goes back on itself [rad]."""


@njit(cache=True)
def turn_at(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> float:
    """By how much the way a, b, c turns at b [rad]."""
    ux, uy, uz = b[0] - a[0], b[1] - a[1], b[2] - a[2]
    vx, vy, vz = c[0] - b[0], c[1] - b[1], c[2] - b[2]
    wx, wy, wz = uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx
    return math.atan2(math.sqrt(wx * wx + wy * wy + wz * wz), ux * vx + uy * vy + uz * vz)


@njit(cache=True)
def apart(a: np.ndarray, b: np.ndarray) -> float:
    """The distance of two points [mm]."""
    return math.sqrt((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2 + (b[2] - a[2]) ** 2)


@njit(cache=True)
def tidied(points: np.ndarray) -> np.ndarray:
    """The line without corners that lie on each other or do not turn."""
    kept = np.empty_like(points)
    count = 0
    for point in points:
        if count and apart(kept[count - 1], point) <= SAME_MM:
            continue
        while count > 1 and turn_at(kept[count - 2], kept[count - 1], point) <= STRAIGHT:
            count -= 1
        kept[count] = point
        count += 1
    return kept[:count].copy()


@njit(cache=True)
def long_mm(points: np.ndarray, radius: float, first: float, last: float) -> float:
    """Length of the rounded line [mm]; infinite where bends or straight runs have no room."""
    n = points.shape[0]
    total, before = 0.0, first
    for k in range(n - 1):
        piece = apart(points[k], points[k + 1])
        after, bend = last, 0.0
        if k + 2 < n:
            turn = turn_at(points[k], points[k + 1], points[k + 2])
            if turn > BACK:
                return np.inf
            after = radius * math.tan(turn / 2)
            bend = radius * turn - 2 * after
        if n == 2:
            if piece < max(first, last) - SLIP_MM:
                return np.inf
        elif piece < before + after - SLIP_MM:
            return np.inf
        total += piece + bend
        before = after
    return total


@njit(cache=True)
def off_limits(p: np.ndarray, low: np.ndarray, high: np.ndarray, slack: float) -> bool:
    """Whether a point lies outside two corners by more than ``slack``."""
    for a in range(3):  # noqa: SIM110  # numba compiles the loop, not any() of a generator
        if p[a] < low[a] - slack or p[a] > high[a] + slack:
            return True
    return False


@njit(cache=True)
def clear(
    points: np.ndarray,
    radius: float,
    first: float,
    last: float,
    boxes: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    slack: float,
) -> bool:
    """Whether the rounded line is clear of every box and inside, straight runs left out."""
    n = points.shape[0]
    step = 2 * math.acos(1 - min(0.5, SAG_MM / max(radius, 0.2)))
    at = points[0].copy()
    long = apart(points[0], points[1])
    for a in range(3):
        at[a] += (points[1, a] - points[0, a]) * min(1.0, first / max(long, 1e-9))
    for k in range(1, n):
        if k == n - 1:
            long = apart(points[n - 2], points[n - 1])
            share = min(1.0, last / max(long, 1e-9))
            to = points[n - 1].copy()
            for a in range(3):
                to[a] += (points[n - 2, a] - points[n - 1, a]) * share
            if off_limits(to, low, high, slack):
                return False
            return not crosses(at[0], at[1], at[2], to[0], to[1], to[2], boxes)
        turn = turn_at(points[k - 1], points[k], points[k + 1])
        cut = radius * math.tan(turn / 2)
        back = (points[k - 1] - points[k]) / apart(points[k - 1], points[k])
        on = (points[k + 1] - points[k]) / apart(points[k], points[k + 1])
        entry = points[k] + back * cut
        if off_limits(entry, low, high, slack):
            return False
        if crosses(at[0], at[1], at[2], entry[0], entry[1], entry[2], boxes):
            return False
        middle = back + on
        size = math.sqrt(middle[0] ** 2 + middle[1] ** 2 + middle[2] ** 2)
        at = entry
        if size > 1e-9 and turn > STRAIGHT:
            centre = points[k] + middle / size * (radius / math.cos(turn / 2))
            spoke = entry - centre
            steps = max(1, math.ceil(turn / step))
            for s in range(1, steps + 1):
                t = turn * s / steps
                to = centre + spoke * math.cos(t) - back * (radius * math.sin(t))
                if off_limits(to, low, high, slack):
                    return False
                if crosses(at[0], at[1], at[2], to[0], to[1], to[2], boxes):
                    return False
                at = to
    return True
