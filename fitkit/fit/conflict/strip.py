"""Strips on a lattice: the width is given, the length is made less by a step at a time."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence

from attrs import field, mutable

from fitkit.fit.conflict.board import Board, Play
from fitkit.fit.conflict.turns import turns_of
from fitkit.fit.pieces import Margins, Piece, Spot

FIRST_DENSITY = 0.8
"""How dense the first strip is that is tried."""

PATIENCE = 100
"""Moves for each piece before a strip that still has conflicts is begun anew."""

ANEW = 0.3
"""Share of new beginnings from places drawn at random; the others vary the last good layout."""


@mutable
class Strip:
    """A strip that gets shorter while moves are made; the last one without conflicts is kept.

    ``length_mm`` is that of ``spots``; infinite until there are some. Same ``rng``, same moves,
    same strips.
    """

    board: Board
    across_mm: float
    rng: random.Random
    least_mm: float
    length_mm: float = math.inf
    spots: tuple[Spot, ...] = ()
    tried_mm: float = math.inf
    _play: Play = field(init=False)
    _since: int = 0

    @classmethod
    def of(
        cls, pieces: Sequence[Piece], *, across_mm: float, step_mm: float, rng: random.Random
    ) -> Strip:
        """A strip for pieces without webs, on a lattice of ``step_mm``."""
        board = Board.of(
            pieces,
            {piece: turns_of(piece, 0.0) for piece in set(pieces)},
            frozenset(itertools.combinations(range(len(pieces)), 2)),
            web_mm=0.0,
            margins=Margins(0.0, 0.0),
            step_mm=step_mm,
            tolerance_mm=1e-3,
        )
        area = sum(piece.outline.area for piece in pieces)
        return cls(board, across_mm, rng, area / across_mm)

    def __attrs_post_init__(self) -> None:
        """Begin with a strip that is not too dense."""
        self._play = Play(self.board, self.rng)
        step = self.board.table.step_mm
        length = math.ceil(self.least_mm / FIRST_DENSITY / step - 1e-9) * step
        while not self.board.fits((length, self.across_mm)):
            length += step
        self._begin(length)
        self._play.scatter()

    def _begin(self, length_mm: float) -> None:
        self.tried_mm, self._since = length_mm, 0
        self._play.set_box((length_mm, self.across_mm))

    @property
    def least_possible(self) -> bool:
        """Whether no step less is possible by area."""
        return self.length_mm - self.board.table.step_mm < self.least_mm * (1 - 1e-9)

    def go_on(self, moves: int) -> bool:
        """Make about ``moves`` moves; true as soon as there is a shorter strip."""
        play, step = self._play, self.board.table.step_mm
        if play.go_on(moves):
            self.length_mm, self.spots = self.tried_mm, tuple(play.spots())
            less = self.tried_mm - step
            if not self.board.fits((less, self.across_mm)):
                self.least_mm = self.length_mm
                return True
            self._begin(less)
            return True
        self._since += moves
        if self._since > PATIENCE * self.board.count:
            self._since = 0
            if not self.spots:  # not even the first: a longer one
                self._begin(self.tried_mm + step)
                play.scatter()
            elif self.rng.random() < ANEW:
                play.scatter()
            else:
                play.take(self.spots)
                play.set_box((self.tried_mm, self.across_mm))
                for _ in range(self.rng.randint(1, 3)):
                    play.swap()
        return False
