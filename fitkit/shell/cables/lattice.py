"""A cable's way on a lattice of lines: straight, round by 90 degrees, or one lane aside.

The moves know the least bend: a turn takes its radius before and after the corner, and a step of m
aside takes sqrt(4 R m - m^2) forwards, two arcs of R that meet (R: radius of the middle line). So
whatever comes out can be laid. Compiled with numba when a plan has cables; nothing else imports it.
"""

from __future__ import annotations

import heapq
import math

import numpy as np
from numba import njit

LANES = 3
"""How many lines a single step aside may cross."""

SAG_MM = 0.05
"""How far a chord may lie off its arc [mm]."""

HASTE = 1.25
"""The search takes ways for near the goal a little eagerly; ways are shortened afterwards."""


SLIP_MM = 1e-6


@njit(cache=True)
def crosses(
    ax: float, ay: float, az: float, bx: float, by: float, bz: float, boxes: np.ndarray
) -> bool:
    """Whether the straight piece from a to b goes through the inside of any box."""
    for k in range(boxes.shape[0]):
        box = boxes[k]
        if min(ax, bx) >= box[3] or max(ax, bx) <= box[0]:
            continue
        if min(ay, by) >= box[4] or max(ay, by) <= box[1]:
            continue
        if min(az, bz) >= box[5] or max(az, bz) <= box[2]:
            continue
        low, high = 0.0, 1.0
        for axis in range(3):
            if axis == 0:
                p, d = ax, bx - ax
            elif axis == 1:
                p, d = ay, by - ay
            else:
                p, d = az, bz - az
            if abs(d) < 1e-12:
                continue
            one, other = (box[axis] - p) / d, (box[axis + 3] - p) / d
            low = max(low, min(one, other))
            high = min(high, max(one, other))
        if high - low > 1e-9:
            return True
    return False


@njit(cache=True)
def line_crosses(points: np.ndarray, boxes: np.ndarray) -> bool:
    """Whether a line of straight pieces goes through the inside of any box."""
    for k in range(points.shape[0] - 1):
        a, b = points[k], points[k + 1]
        if crosses(a[0], a[1], a[2], b[0], b[1], b[2], boxes):
            return True
    return False


@njit(cache=True)
def near(low: np.ndarray, high: np.ndarray, boxes: np.ndarray) -> bool:
    """Whether any box reaches into the box between two corners."""
    for k in range(boxes.shape[0]):
        box = boxes[k]
        if (
            low[0] < box[3] + SLIP_MM and high[0] > box[0] - SLIP_MM
            and low[1] < box[4] + SLIP_MM and high[1] > box[1] - SLIP_MM
            and low[2] < box[5] + SLIP_MM and high[2] > box[2] - SLIP_MM
        ):  # fmt: skip
            return True
    return False


@njit(cache=True)
def ahead(lines: np.ndarray, count: int, at: int, sign: int, by: float) -> int:
    """The first line at least ``by`` ahead of line ``at``; -1 if there is none."""
    k = at
    while 0 <= k < count:
        if abs(lines[k] - lines[at]) >= by - 1e-7:
            return k
        k += sign
    return -1


@njit(cache=True)
def search(
    lines: np.ndarray,
    counts: np.ndarray,
    boxes: np.ndarray,
    starts: np.ndarray,
    goals: np.ndarray,
    radius: float,
) -> np.ndarray:
    """The states of the way from a start to a goal, each (i, j, k, direction); none if none.

    ``lines`` (3, most) are the lattice's lines along x, y and z, ``counts`` how many of each.
    ``starts`` and ``goals`` (n, 4) are states; directions are +x, -x, +y, -y, +z, -z as 0 to 5.
    """
    nx, ny, nz = counts[0], counts[1], counts[2]
    total = nx * ny * nz * 6
    best = np.full(total, np.inf)
    parent = np.full(total, -1, np.int64)
    done = np.zeros(total, np.bool_)
    wanted = np.zeros(total, np.bool_)
    targets = np.zeros((goals.shape[0], 3))
    for k in range(goals.shape[0]):
        g = goals[k]
        wanted[((g[0] * ny + g[1]) * nz + g[2]) * 6 + g[3]] = True
        for axis in range(3):
            targets[k, axis] = lines[axis, g[axis]]
    heap = [(0.0, 0)]
    heap.pop()
    for k in range(starts.shape[0]):
        g = starts[k]
        state = ((g[0] * ny + g[1]) * nz + g[2]) * 6 + g[3]
        best[state] = 0.0
        heapq.heappush(heap, (0.0, state))
    last = -1
    p = np.zeros(3)
    q = np.zeros(3)
    low = np.zeros(3)
    high = np.zeros(3)
    at = np.zeros(3, np.int64)
    to = np.zeros(3, np.int64)
    arc = max(2, math.ceil(math.pi / 4 / math.acos(1 - min(0.5, SAG_MM / max(radius, 0.2)))))
    while len(heap) > 0:
        _, here = heapq.heappop(heap)
        if done[here]:
            continue
        done[here] = True
        if wanted[here]:
            last = here
            break
        way = int(here % 6)
        rest = here // 6
        at[0], at[1], at[2] = rest // (ny * nz), (rest // nz) % ny, rest % nz
        axis, sign = int(way // 2), int(1 - 2 * (way % 2))
        for a in range(3):
            p[a] = lines[a, at[a]]
        for move in range(1 + 4 + 4 * LANES):
            to[0], to[1], to[2] = at[0], at[1], at[2]
            turned = way
            if move == 0:
                to[axis] = at[axis] + sign
                if to[axis] < 0 or to[axis] >= counts[axis]:
                    continue
                other, across = axis, sign
            else:
                kind = (move - 1) % 4
                other = (axis + 1 + kind // 2) % 3
                across = 1 - 2 * (kind % 2)
                if move < 5:
                    corner = ahead(lines[axis], counts[axis], at[axis], sign, radius)
                    beyond = ahead(lines[other], counts[other], at[other], across, radius)
                    if corner < 0 or beyond < 0 or corner == at[axis] or beyond == at[other]:
                        continue
                    to[axis], to[other] = corner, beyond
                    turned = 2 * other + (1 if across < 0 else 0)
                else:
                    lane = at[other] + across * (1 + (move - 5) // 4)
                    if lane < 0 or lane >= counts[other]:
                        continue
                    aside = abs(lines[other, lane] - lines[other, at[other]])
                    if aside >= 2 * radius:
                        continue
                    run = math.sqrt(4 * radius * aside - aside * aside)
                    further = ahead(lines[axis], counts[axis], at[axis], sign, run)
                    if further < 0 or further == at[axis]:
                        continue
                    to[axis], to[other] = further, lane
            there = ((to[0] * ny + to[1]) * nz + to[2]) * 6 + turned
            if done[there]:
                continue
            for a in range(3):
                q[a] = lines[a, to[a]]
                low[a], high[a] = min(p[a], q[a]), max(p[a], q[a])
            forward, aside = abs(q[axis] - p[axis]), abs(q[other] - p[other])
            if move == 0:
                cost = forward
            elif move < 5:
                cost = forward + aside - radius * (2 - math.pi / 2) + 0.02 * radius
            else:
                cost = math.hypot(forward, aside) + 0.02 * radius
            reached = best[here] + cost
            if reached >= best[there] - 1e-9:
                continue
            if near(low, high, boxes):
                blocked = False
                if move == 0:
                    blocked = crosses(p[0], p[1], p[2], q[0], q[1], q[2], boxes)
                elif move < 5:
                    before = p.copy()
                    # straight up to the bend, round it by chords, straight on
                    for step in range(arc + 2):
                        after = p.copy()
                        if step <= arc:
                            t = math.pi / 2 * step / arc
                            after[axis] += sign * (forward - radius + radius * math.sin(t))
                            after[other] += across * radius * (1 - math.cos(t))
                        else:
                            after = q.copy()
                        if crosses(
                            before[0], before[1], before[2], after[0], after[1], after[2], boxes
                        ):
                            blocked = True
                            break
                        before = after
                else:
                    wide = (forward * forward + aside * aside) / (4 * aside)
                    cut = wide * math.tan(math.asin(min(1.0, forward / (2 * wide))) / 2)
                    one, two = p.copy(), q.copy()
                    one[axis] += sign * cut
                    two[axis] -= sign * cut
                    blocked = (
                        crosses(p[0], p[1], p[2], one[0], one[1], one[2], boxes)
                        or crosses(one[0], one[1], one[2], two[0], two[1], two[2], boxes)
                        or crosses(two[0], two[1], two[2], q[0], q[1], q[2], boxes)
                    )
                if blocked:
                    continue
            best[there] = reached
            parent[there] = here
            left = np.inf
            for k in range(targets.shape[0]):
                dx, dy, dz = q[0] - targets[k, 0], q[1] - targets[k, 1], q[2] - targets[k, 2]
                left = min(left, math.sqrt(dx * dx + dy * dy + dz * dz))
            heapq.heappush(heap, (reached + HASTE * left, there))
    if last < 0:
        return np.zeros((0, 4), np.int64)
    count = 0
    state = last
    while state >= 0:
        count += 1
        state = parent[state]
    found = np.zeros((count, 4), np.int64)
    state = last
    for k in range(count - 1, -1, -1):
        rest = state // 6
        found[k, 0], found[k, 1], found[k, 2] = rest // (ny * nz), (rest // nz) % ny, rest % nz
        found[k, 3] = state % 6
        state = parent[state]
    return found
