"""Search near a good layout: disturb it, push it apart, close it up, and keep what is smaller."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence

import numpy as np
from attrs import field, frozen, mutable

from fitkit.fit.pieces import Spot, turned_outline
from fitkit.fit.polish.compact import Never, closed_up, never
from fitkit.fit.polish.scene import Scene, Setting
from fitkit.fit.polish.separate import separated

ROOM = 1.12
"""How much longer or wider than the best box a disturbed layout may get on the way."""

HEAT = 0.02
"""How much worse than the present layout the next may be at first, as a share."""

FAR = 1.08
"""A layout pushed apart whose box is so much worse than is wanted is not closed up."""

Size = tuple[float, float]


@frozen(eq=False)
class Aim:
    """What is made small: the value of a box, and its sides as far as they are given [mm].

    ``value`` is asked for length and width; ``least_mm`` and ``most_mm`` bound the sides.
    """

    value: Callable[[Size], float]
    least_mm: Size = (0.0, 0.0)
    most_mm: Size = (math.inf, math.inf)

    def weights(self, size_mm: Size) -> Size:
        """What a millimetre of length and one of width cost, the dearer one 1."""
        here = self.value(size_mm)
        step = 1e-3 * max(size_mm)
        costs = [
            max(0.0, self.value((size_mm[0] + dx, size_mm[1] + dy)) - here)
            for dx, dy in ((step, 0.0), (0.0, step))
        ]
        most = max(*costs, 1e-12)
        return max(costs[0] / most, 1e-3), max(costs[1] / most, 1e-3)


@mutable
class Search:
    """A search near one layout, a trial at a time; the best so far is kept.

    ``levels`` lists which pieces may change places with each other. Same seed, same trials.
    """

    aim: Aim
    scene: Scene
    size_mm: Size
    levels: Sequence[Sequence[int]]
    rng: random.Random
    heat: float = HEAT
    trials: int = 0
    best: Scene = field(init=False)
    best_size_mm: Size = field(init=False)

    def __attrs_post_init__(self) -> None:
        """Start with what is there."""
        self.best, self.best_size_mm = self.scene, self.size_mm

    @property
    def value(self) -> float:
        """The value of the best box so far."""
        return self.aim.value(self.best_size_mm)

    def trial(self, stop: Never = never) -> bool:
        """One disturbance; true if the best got better."""
        self.trials += 1
        spots = disturbed(self.scene, self.size_mm, self.levels, self.rng)
        if spots is None:
            return False
        found = settled(
            Scene.of(self.scene.setting, spots),
            self.best_size_mm,
            aim=self.aim,
            stop=stop,
            pull=_pull(self.scene.count, self.rng),
            give_up=self.aim.value(self.size_mm) * (1 + self.heat),
        )
        if found is None:
            return False
        scene, size = found
        value = self.aim.value(size)
        if value <= self.aim.value(self.size_mm) * (1 + self.heat * self.rng.random() ** 2):
            self.scene, self.size_mm = scene, size
        if value < self.value * (1 - 1e-7):
            self.best, self.best_size_mm = scene, size
            return True
        return False

    def restart(self) -> None:
        """Go on from the best."""
        self.scene, self.size_mm = self.best, self.best_size_mm


def settled(
    scene: Scene,
    size_mm: Size,
    *,
    aim: Aim,
    pull: np.ndarray | None = None,
    give_up: float = math.inf,
    stop: Never = never,
) -> tuple[Scene, Size] | None:
    """A scene that may overlap pushed apart and closed up; None if that does not work out.

    ``give_up``: a value; what is far above it before it is closed up is not closed up.
    """
    most = (
        min(aim.most_mm[0], size_mm[0] * ROOM),
        min(aim.most_mm[1], size_mm[1] * ROOM),
    )
    weights = aim.weights(size_mm)
    apart = separated(
        scene, size_mm, weights=weights, most_mm=most, least_mm=aim.least_mm, stop=stop
    )
    if apart is None or aim.value(apart[1]) > give_up * FAR:
        return None
    return closed_up(
        apart[0],
        apart[1],
        weights=weights,
        most_mm=most,
        least_mm=aim.least_mm,
        pull=pull,
        stop=stop,
    )


def _pull(count: int, rng: random.Random) -> np.ndarray:
    return np.array([[rng.uniform(-1, 1), rng.uniform(-1, 1)] for _ in range(count)])


def disturbed(
    scene: Scene, size_mm: Size, levels: Sequence[Sequence[int]], rng: random.Random
) -> list[Spot] | None:
    """Spots with a change or two: places swapped, a piece put elsewhere, a piece turned."""
    setting, spots = scene.setting, list(scene.spots)
    free = [[k for k in level if k not in setting.fixed] for level in levels]
    free = [level for level in free if level]
    if not free:
        return None
    for _ in range(rng.choice((1, 1, 1, 2))):
        level = rng.choices(free, weights=[len(have) for have in free])[0]
        kind = rng.random()
        if kind < 0.5 and len(level) > 1:
            _swap(setting, spots, level, rng)
        elif kind < 0.8:
            k = rng.choice(level)
            turn = rng.choice(_turns(setting, k, spots[k], rng))
            at = (rng.uniform(0, size_mm[0]), rng.uniform(0, size_mm[1]))
            spots[k] = placed_about(setting, k, turn, at)
        else:
            k = rng.choice(level)
            others = [t for t in _turns(setting, k, spots[k], rng) if t != spots[k].turn_deg]
            if others:
                spots[k] = placed_about(
                    setting, k, rng.choice(others), middle(setting, k, spots[k])
                )
    return spots


def _swap(setting: Setting, spots: list[Spot], level: Sequence[int], rng: random.Random) -> None:
    """Two unlike pieces change places; more often those alike in size."""
    i = rng.choice(list(level))
    mine = setting.pieces[i]
    others = [j for j in level if setting.pieces[j] is not mine and setting.pieces[j] != mine]
    if not others:
        return
    sizes = [setting.pieces[j].outline.area / mine.outline.area for j in others]
    j = rng.choices(others, weights=[min(s, 1 / s) ** 1.5 for s in sizes])[0]
    at_i, at_j = middle(setting, i, spots[i]), middle(setting, j, spots[j])
    turn_i = rng.choice(_turns(setting, i, spots[i], rng))
    turn_j = rng.choice(_turns(setting, j, spots[j], rng))
    spots[i] = placed_about(setting, i, turn_i, at_j)
    spots[j] = placed_about(setting, j, turn_j, at_i)


def _turns(setting: Setting, k: int, spot: Spot, rng: random.Random) -> list[float]:
    """The turns that a piece may be given: those tried exactly, and for a free one any."""
    piece = setting.pieces[k]
    have = [spot.turn_deg, *piece.turns_deg]
    if piece.item.turn == "free":
        have += [(spot.turn_deg + rng.gauss(0, 8.0)) % 360.0, rng.uniform(0.0, 360.0)]
    return have


def middle(setting: Setting, k: int, spot: Spot) -> Size:
    """The middle of a piece's box at its spot [mm]."""
    x0, y0, x1, y1 = turned_outline(setting.pieces[k], spot.turn_deg).bounds
    return (x0 + x1) / 2 + spot.x_mm, (y0 + y1) / 2 + spot.y_mm


def placed_about(setting: Setting, k: int, turn_deg: float, at_mm: Size) -> Spot:
    """The spot at which the middle of a piece's box is at a point."""
    x0, y0, x1, y1 = turned_outline(setting.pieces[k], turn_deg).bounds
    return Spot(turn_deg % 360.0, at_mm[0] - (x0 + x1) / 2, at_mm[1] - (y0 + y1) / 2)
