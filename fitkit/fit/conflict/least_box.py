"""The least box for a whole layout: a smaller box is drawn, conflicts in it are resolved.

What is left of conflicts on the grid is less than a few cells; a linear program then pushes pieces
apart and closes the layout up, at any place and not only the grid's. Boxes are drawn by the value
that they are to have, in many aspects.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from attrs import evolve, field, mutable

from fitkit.fit.arrange import pin_spot
from fitkit.fit.assign import Assignment, Problem
from fitkit.fit.conflict.board import Board, Play, Size
from fitkit.fit.conflict.masks import TooManyMasks
from fitkit.fit.conflict.turns import turns_of
from fitkit.fit.elevation import Elevation
from fitkit.fit.estimate import estimate
from fitkit.fit.pieces import Piece, Spot, room_of
from fitkit.fit.polish.compact import Never, never
from fitkit.fit.polish.disturb import Aim, settled
from fitkit.fit.polish.scene import Scene, Setting
from fitkit.fit.polish.whole import ROUGH_MM, aim_of, setting_of

CELLS = 120
"""About as many cells as a box is long."""

FINEST_MM = 0.5

TOLERANCE_MM = 0.05
"""How far outlines are taken too large on the grid where they are round [mm]."""

MORE_TURNS = 4
"""Turns drawn for a piece that may turn freely, besides the exact and the snug ones."""

MOVES = 40
"""Moves for each piece in one box, about."""

LESS = (0.002, 0.03)
"""By how much less than the best value a box is to have, as a share: between these."""

NARROWER, ANY_ASPECT = 0.1, 0.35
"""Spread of the aspects of boxes like the best one, and of any box (natural logarithm)."""

LIKE_BEST, ANEW = 0.6, 0.1
"""Share of boxes about the best one's aspect; share of beginnings at random."""

HEAT = 0.02
"""How much worse than the best a layout may be from which others are begun, as a share."""

CLOSE = 40
"""A layout with less depth than this for each piece [fifths of a cell] may be pushed apart."""

FIRST, WIDER = 1.06, 1.05
"""The first box if no layout is known, against the estimate; how much more the next if it fails."""

ROUNDS_PER_TABLE = 30
"""Boxes that are tried before the turns of free pieces are drawn anew."""


@mutable
class LeastBox:
    """A search for the least box of one assignment, a box at a time; the best layout is kept.

    ``spots`` lie from the origin on; ``value`` is their box's. All follows from the seed of ``rng``
    and the number of boxes tried.
    """

    setting: Setting
    aim: Aim
    rng: random.Random
    wanted: float
    pinned: Mapping[int, Spot] = MappingProxyType({})
    spots: tuple[Spot, ...] = ()
    size_mm: Size = (math.inf, math.inf)
    value: float = math.inf
    rounds: int = 0
    moves: int = 0
    _play: Play = field(init=False)
    _here: tuple[Sequence[Spot], Size] = field(init=False)

    @classmethod
    def of(
        cls,
        problem: Problem,
        assignment: Assignment,
        elevation: Elevation,
        spots: Sequence[Spot] | None,
        rng: random.Random,
    ) -> LeastBox:
        """A search for an assignment's least box; ``spots`` are a layout to be bettered."""
        setting = setting_of(problem, assignment, elevation, tolerance_mm=ROUGH_MM)
        pinned = {
            k: pin_spot(seat.piece, pin)
            for k, (seat, pin) in enumerate(zip(assignment.seats, problem.pins, strict=True))
            if pin is not None
        }
        made = cls(
            evolve(setting, compiled=True),
            aim_of(problem, elevation.height_mm),
            rng,
            FIRST * estimate(problem, assignment),
            pinned,
        )
        if spots is not None:
            made._keep(spots)
        made._set_up()
        return made

    def _keep(self, spots: Sequence[Spot]) -> None:
        """Take spots as the best layout, moved to the origin if nothing is pinned."""
        placed = list(zip(self.setting.pieces, spots, strict=True))
        x0, y0, x1, y1 = room_of(placed, self.setting.margins)
        if not self.setting.fixed:
            spots = [spot.shifted(-x0, -y0) for spot in spots]
            x1, y1 = x1 - x0, y1 - y0
        self.spots, self.size_mm = tuple(spots), (x1, y1)
        self._here = self.spots, self.size_mm
        self.value = self.aim.value(self.size_mm)

    def _set_up(self) -> None:
        """Masks for the turns that are tried next, on a grid that suits the box."""
        setting = self.setting
        also: dict[Piece, list[float]] = {piece: [] for piece in setting.pieces}
        for piece, spot in zip(setting.pieces, self.spots, strict=False):
            also[piece].append(spot.turn_deg)
        long = max(self.size_mm if self.spots else self._box(self.wanted, 1.0))
        more, step = MORE_TURNS, max(FINEST_MM, long / CELLS)
        while True:
            turns = {
                piece: turns_of(
                    piece, setting.web_mm, also=dict.fromkeys(known), more=more, rng=self.rng
                )
                for piece, known in also.items()
            }
            try:
                board = Board.of(
                    setting.pieces,
                    turns,
                    setting.pairs,
                    web_mm=setting.web_mm,
                    margins=setting.margins,
                    step_mm=step,
                    tolerance_mm=TOLERANCE_MM,
                    fixed=self.pinned,
                )
            except TooManyMasks:
                more, step = max(0, more - 2), step * 1.25
                continue
            self._play = Play(board, self.rng)
            return

    def round(self, stop: Never = never) -> bool:
        """One box: true if there is a better layout now."""
        self.rounds += 1
        if self.rounds % ROUNDS_PER_TABLE == 0:
            self._set_up()
        box = self._draw()
        if box is None:
            return False
        play, count = self._play, self.count
        if self.spots and self.rng.random() >= ANEW:
            spots, size = self._here
            scale = (box[0] / size[0], box[1] / size[1])
            play.take(spots, scale)
            play.set_box(box)
            for _ in range(self.rng.choice((0, 0, 1, 2))):
                play.swap()
        else:
            play.set_box(box)
            play.scatter()
        tried = CLOSE * count + 1
        before = play.moves
        while play.moves - before < MOVES * count and not stop():
            clear = play.go_on(MOVES * count // 6)
            if clear or play.depth < 0.7 * tried:
                tried = play.depth
                if self._settle(play.spots(), box):
                    self.moves += play.moves - before
                    return True
            if clear:
                break
        self.moves += play.moves - before
        if not self.spots:
            self.wanted *= WIDER
        return False

    @property
    def count(self) -> int:
        """How many pieces there are."""
        return len(self.setting.pieces)

    def _settle(self, spots: Sequence[Spot], box: Size) -> bool:
        """Push a layout apart and close it up; true if it is the best now."""
        found = settled(Scene.of(self.setting, spots), box, aim=self.aim, give_up=self.value)
        if found is None:
            return False
        scene, _ = found
        value = self.aim.value(scene.size_mm)
        if value >= self.value * (1 - 1e-6):
            if value <= self.value * (1 + HEAT * self.rng.random() ** 2):
                self._here = scene.spots, scene.size_mm
            return False
        self._keep(scene.spots)
        return True

    def _draw(self) -> Size | None:
        """A box to try: less than the best, in any aspect; None if some piece does not fit."""
        rng, value = self.rng, self.wanted
        aspect = math.exp(rng.gauss(0.0, ANY_ASPECT))
        if self.spots:
            value = self.value * (1 - rng.uniform(*LESS))
            if rng.random() < LIKE_BEST:
                aspect = self.size_mm[0] / self.size_mm[1] * math.exp(rng.gauss(0.0, NARROWER))
        box = self._box(value, aspect)
        return box if self._play.board.fits(box) else None

    def _box(self, value: float, aspect: float) -> Size:
        """The box of a value whose sides are as ``aspect`` to 1, no side below the least."""
        low, high = 1.0, 1e5
        for _ in range(50):
            middle = math.sqrt(low * high)
            if self.aim.value(self._sides(middle, aspect)) > value:
                high = middle
            else:
                low = middle
        return self._sides(low, aspect)

    def _sides(self, side: float, aspect: float) -> Size:
        root = math.sqrt(aspect)
        return max(side * root, self.aim.least_mm[0]), max(side / root, self.aim.least_mm[1])
