"""A cable's middle line: straight pieces between corners, every corner rounded by one radius."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Line = NDArray[np.float64]
"""Corners of a line, shape (n, 3) [mm]."""

CHORD_DEG = 6.0
"""A bend is drawn by chords of this sweep at the most [deg]."""

STRAIGHT_DEG = 0.01
BACK_DEG = 178.0
"""A corner that turns by more goes back on itself: no arc rounds it [deg]."""

LENGTH_MM = 1e-6


def tidy(points: Line) -> Line:
    """The line without corners that lie on each other or do not turn."""
    kept = [points[0]]
    for point in points[1:]:
        if float(np.linalg.norm(point - kept[-1])) > LENGTH_MM:
            kept.append(point)
    if len(kept) < 3:
        return np.array(kept)
    inner = turns_deg(np.array(kept))
    middle = [one for one, turn in zip(kept[1:-1], inner, strict=True) if turn > STRAIGHT_DEG]
    return np.array([kept[0], *middle, kept[-1]])


def turns_deg(points: Line) -> Line:
    """By how much the line turns at each inner corner [deg], shape (n - 2,).

    >>> turns_deg(np.array([[0, 0, 0], [10, 0, 0], [10, 10, 0]], dtype=float)).tolist()
    [90.0]
    """
    ways = np.diff(points, axis=0)
    units = ways / np.linalg.norm(ways, axis=1, keepdims=True)
    cos = np.clip(np.sum(units[:-1] * units[1:], axis=1), -1.0, 1.0)
    crossed = np.linalg.norm(np.cross(units[:-1], units[1:]), axis=1)
    found: Line = np.degrees(np.arctan2(crossed, cos))
    return found


def tangents_mm(points: Line, *, radius_mm: float) -> Line:
    """How far before and behind each inner corner its bend begins: T = R tan(turn / 2) [mm]."""
    found: Line = radius_mm * np.tan(np.radians(turns_deg(points)) / 2)
    return found


def can_be_laid(
    points: Line, *, radius_mm: float, straight_mm: tuple[float, float], accuracy_mm: float = 1e-4
) -> bool:
    """Is there room for every bend, and for the straight runs at both ends?

    Bends must not run into each other: T_i + T_(i+1) is no longer than the piece between.

    >>> corner = np.array([[0, 0, 0], [30, 0, 0], [30, 30, 0]], dtype=float)
    >>> can_be_laid(corner, radius_mm=20.0, straight_mm=(10.0, 0.0))
    True
    >>> can_be_laid(corner, radius_mm=20.0, straight_mm=(10.1, 0.0))
    False
    """
    pieces = np.linalg.norm(np.diff(points, axis=0), axis=1)
    if len(points) == 2:
        return bool(pieces[0] >= max(straight_mm) - accuracy_mm)
    if float(turns_deg(points).max()) > BACK_DEG:
        return False
    cut = tangents_mm(points, radius_mm=radius_mm)
    needed = np.concatenate([[straight_mm[0]], cut]) + np.concatenate([cut, [straight_mm[1]]])
    return bool(np.all(pieces >= needed - accuracy_mm))


def length_mm(points: Line, *, radius_mm: float) -> float:
    """Length of the rounded line [mm]: straight pieces less 2 T - R turn for each bend.

    >>> corner = np.array([[0, 0, 0], [30, 0, 0], [30, 30, 0]], dtype=float)
    >>> round(length_mm(corner, radius_mm=20.0), 3)
    51.416
    """
    long = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    if len(points) < 3:
        return long
    turns = np.radians(turns_deg(points))
    return long - float(np.sum(2 * radius_mm * np.tan(turns / 2) - radius_mm * turns))


def rounded(points: Line, *, radius_mm: float, chord_deg: float = CHORD_DEG) -> Line:
    """The line with every bend as short chords whose ends lie on the arc, shape (m, 3) [mm]."""
    if len(points) < 3 or radius_mm <= 0:
        return points
    turns = turns_deg(points)
    cuts = tangents_mm(points, radius_mm=radius_mm)
    found = [points[0]]
    for k, (turn, cut) in enumerate(zip(turns, cuts, strict=True), start=1):
        back = points[k - 1] - points[k]
        on = points[k + 1] - points[k]
        back, on = back / np.linalg.norm(back), on / np.linalg.norm(on)
        first, last = points[k] + back * cut, points[k] + on * cut
        half = math.radians(turn) / 2
        middle = back + on
        centre = points[k] + middle / np.linalg.norm(middle) * radius_mm / math.cos(half)
        steps = max(1, math.ceil(turn / chord_deg))
        u, v = first - centre, -back  # a quarter round: from the radius towards the way ahead
        for step in range(steps):
            t = 2 * half * step / steps
            found.append(centre + u * math.cos(t) + v * radius_mm * math.sin(t))
        found.append(last)
    return np.array([*found, points[-1]])


def tightest_mm(path: Line) -> float:
    """The least radius of the circles through three neighbouring points of a line [mm].

    Infinite for a straight one. For a rounded line whose chords are alike along each bend it is
    the bends' own radius or more.
    """
    if len(path) < 3:
        return math.inf
    a, b, c = path[:-2], path[1:-1], path[2:]
    ab, bc, ca = (np.linalg.norm(one, axis=1) for one in (b - a, c - b, a - c))
    area2 = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    bent = area2 > 1e-9 * ab * bc
    if not bool(bent.any()):
        return math.inf
    return float((ab[bent] * bc[bent] * ca[bent] / (2 * area2[bent])).min())
