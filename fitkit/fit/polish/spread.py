"""Equal webs: in a box that is given, pieces move so that the smallest web gets as large as it can.

Then the next smallest, and so on for a few rounds: what cannot get larger any more is kept, the
rest goes on. Levels that do not meet are spread each for itself.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from attrs import evolve

from fitkit.fit.pieces import Spot
from fitkit.fit.polish.compact import Never, never
from fitkit.fit.polish.program import Rows, minimise
from fitkit.fit.polish.scene import Near, Scene, Setting, near

Size = tuple[float, float]

ROUNDS = 12
"""How often what cannot get larger is set aside."""

PASSES = 3
"""How often directions are found anew."""

STEP_SHARE = 0.06
"""How far a piece may move in one pass, as a share of the box's longer side."""

HELD = 1e-7


def spread(scene: Scene, size_mm: Size, *, stop: Never = never) -> Scene:
    """The scene with its slack shared out within the box from the origin to ``size_mm``.

    Neither the smallest web nor the smallest distance to a wall (both over what is asked) gets
    smaller.
    """
    best, least = scene, smallest_excess_mm(scene.setting, scene.spots, size_mm)
    for _ in range(PASSES):
        if stop():
            break
        moves = np.zeros((scene.count, 2))
        for members in groups(scene.setting):
            if stop():
                return best
            moves += _moves(scene, size_mm, members, stop=stop)
        scene = scene.shifted(moves)
        now = smallest_excess_mm(scene.setting, scene.spots, size_mm)
        if now < least - HELD:
            break
        best, least = scene, max(now, least)
        if float(np.abs(moves).max(initial=0.0)) < 1e-3:
            break
    return best


def groups(setting: Setting) -> list[list[int]]:
    """Pieces that hold each other in place, directly or through others."""
    root = list(range(len(setting.pieces)))

    def find(k: int) -> int:
        while root[k] != k:
            k = root[k]
        return k

    for i, j in setting.pairs:
        one, other = sorted((find(i), find(j)))
        root[other] = one
    made: dict[int, list[int]] = {}
    for k in range(len(root)):
        made.setdefault(find(k), []).append(k)
    return list(made.values())


def smallest_excess_mm(setting: Setting, spots: Sequence[Spot], size_mm: Size) -> float:
    """By how much the smallest web or wall distance is over what is asked, on true outlines [mm].

    Zones count as far as a body must keep the web from them.
    """
    bodies = np.array([s.body(p) for p, s in zip(setting.pieces, spots, strict=True)], dtype=object)
    rooms = [s.rooms(p) for p, s in zip(setting.pieces, spots, strict=True)]
    boxes = shapely.bounds(bodies)
    moving = [k for k in range(len(spots)) if k not in setting.fixed]
    walls = np.concatenate([boxes[:, :2], np.array(size_mm) - boxes[:, 2:]], axis=1)
    least = float(walls[moving].min(initial=np.inf)) - setting.margins.body_mm
    pairs = [p for p in setting.pairs if not (p[0] in setting.fixed and p[1] in setting.fixed)]
    if pairs:
        one, other = np.array(pairs).T
        gaps = shapely.distance(bodies[one], bodies[other])
        least = min(least, float(gaps.min()) - setting.web_mm)
    for i, j in pairs:
        for room, body in [(r, bodies[j]) for r in rooms[i]] + [(r, bodies[i]) for r in rooms[j]]:
            least = min(least, float(shapely.distance(room, body)) - setting.web_mm)
    return least


def _moves(scene: Scene, size: Size, members: list[int], *, stop: Never) -> np.ndarray:
    """The moves of some pieces that make their webs alike; the others stay.

    When stopped, the smallest webs so far are alike, and the others as they came.
    """
    count = scene.count
    step = STEP_SHARE * max(size)
    own = np.zeros(count, dtype=bool)
    own[members] = True
    close = near(only(scene, own), step_mm=step, more_mm=step)
    low = np.where(np.tile(own, 2), -step, 0.0)
    high = -low
    for k in scene.setting.fixed:
        low[[k, count + k]] = high[[k, count + k]] = 0.0
    free = np.array([k for k in members if k not in scene.setting.fixed], dtype=int)
    frozen = [np.full(len(close.gap), -np.inf), np.full(4 * len(free), -np.inf)]
    moves = np.zeros((count, 2))
    for _ in range(ROUNDS):
        if stop():
            break
        rows = level_rows(scene, size, close, free, frozen)
        cost = np.zeros(2 * count + 1)
        cost[-1] = -1.0
        answer = minimise(cost, low=np.append(low, 0.0), high=np.append(high, step), rows=rows)
        if answer is None:
            break
        moves = np.stack([answer.point[:count], answer.point[count : 2 * count]], axis=1)
        level = float(answer.point[-1])
        prices = answer.prices
        held = 0
        for k, start in ((0, 0), (1, len(close.gap))):
            dear = prices[start : start + len(frozen[k])] > HELD
            new = dear & ~np.isfinite(frozen[k])
            frozen[k][new] = level - 1e-9
            held += int(new.sum())
        if held == 0:
            break
    return moves


def only(scene: Scene, own: np.ndarray) -> Scene:
    """The scene with only those pairs of parts that concern the pieces of ``own``."""
    kept = own[scene.owner[scene.first]] & own[scene.owner[scene.second]]
    return evolve(scene, first=scene.first[kept], second=scene.second[kept])


def level_rows(
    scene: Scene, size: Size, close: Near, free: np.ndarray, frozen: list[np.ndarray]
) -> list[Rows]:
    """Rows that raise all webs and wall distances by the last column, those set aside by less.

    ``frozen`` holds levels for the pairs and for the walls, -inf where not set aside.
    """
    count = scene.count
    last = 2 * count
    kept = np.full(len(close.gap), scene.setting.keep_mm)
    pairs = close.rows(count, np.minimum(kept, close.gap), extra=np.full(len(close.gap), last))
    rising = ~np.isfinite(frozen[0])
    pairs.factors[:, -1] = np.where(rising, -1.0, 0.0)
    pairs = Rows(pairs.columns, pairs.factors, pairs.least + np.where(rising, 0.0, frozen[0]))
    columns = np.concatenate([free, free + count, free, free + count])
    signs = np.repeat([1.0, 1.0, -1.0, -1.0], len(free))

    def room(reach: np.ndarray) -> np.ndarray:
        return np.concatenate(
            [reach[free, 0], reach[free, 1], size[0] - reach[free, 2], size[1] - reach[free, 3]]
        )

    rising = ~np.isfinite(frozen[1])
    ends = np.full(len(columns), last)
    body = Rows(
        np.stack([columns, ends], axis=1),
        np.stack([signs, np.where(rising, -1.0, 0.0)], axis=1),
        np.minimum(-room(scene.body), 0.0) + np.where(rising, 0.0, frozen[1]),
    )
    # where a zone reaches farther than its body with its margin, it just stays inside
    whole = Rows(
        np.stack([columns, ends], axis=1),
        np.stack([signs, np.zeros(len(columns))], axis=1),
        np.minimum(-room(scene.reach), 0.0),
    )
    return [pairs, body, whole]
