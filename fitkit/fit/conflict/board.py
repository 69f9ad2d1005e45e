"""Pieces on a grid: their shapes, who must not conflict with whom, and one layout that changes."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np
from attrs import field, frozen, mutable

from fitkit.fit.conflict.masks import Pair, Shape, Table
from fitkit.fit.conflict.resolve_compiled import resolve
from fitkit.fit.pieces import Margins, Piece, Spot

Size = tuple[float, float]

NOWHERE = 1 << 60
"""More depth than any layout has."""


@frozen(eq=False)
class Board:
    """What stays the same while pieces move on a grid.

    Piece k may take the shapes ``kinds[k, 0]`` to ``kinds[k, 1]`` of the table; ``partners`` tells
    which pairs must not conflict, ``free`` which pieces may move.
    """

    table: Table
    kinds: np.ndarray
    partners: np.ndarray
    free: np.ndarray

    @classmethod
    def of(
        cls,
        pieces: Sequence[Piece],
        turns: Mapping[Piece, Sequence[float]],
        pairs: frozenset[Pair],
        *,
        web_mm: float,
        margins: Margins,
        step_mm: float,
        tolerance_mm: float,
        fixed: Mapping[int, Spot] = MappingProxyType({}),
    ) -> Board:
        """A board for pieces at the turns given; ``fixed`` ones stay at their spots.

        Outlines are taken too large by up to ``tolerance_mm`` where they are round.
        """
        shapes: list[Shape] = []
        known: dict[tuple[Piece, int | None], tuple[int, int]] = {}
        kinds = np.zeros((len(pieces), 2), dtype=np.int64)
        for k, piece in enumerate(pieces):
            key = (piece, k if k in fixed else None)
            if key not in known:
                spot = fixed.get(k)
                angles = turns[piece] if spot is None else (spot.turn_deg,)
                made = [
                    Shape.of(piece, turn, margins, tolerance_mm=tolerance_mm, fixed=spot)
                    for turn in angles
                ]
                known[key] = (len(shapes), len(shapes) + len(made))
                shapes += made
            kinds[k] = known[key]
        partners = np.zeros((len(pieces), len(pieces)), dtype=np.bool_)
        wanted: set[Pair] = set()
        met: set[tuple[int, int]] = set()
        for i, j in pairs:
            if i in fixed and j in fixed:
                continue
            partners[i, j] = partners[j, i] = True
            groups = (int(kinds[i, 0]), int(kinds[j, 0]))
            if groups not in met:
                met.add(groups)
                wanted.update((a, b) for a in range(*kinds[i]) for b in range(*kinds[j]))
        table = Table.of(shapes, wanted, web_mm=web_mm, step_mm=step_mm)
        free = np.array([k not in fixed for k in range(len(pieces))])
        return cls(table, kinds, partners, free)

    @property
    def count(self) -> int:
        """How many pieces there are."""
        return len(self.kinds)

    def places(self, size_mm: Size) -> np.ndarray:
        """How many places each shape has along x and y in a box, shape (shapes, 2)."""
        sizes = np.array([shape.size_mm for shape in self.table.shapes])
        spare = (np.array(size_mm) - sizes) / self.table.step_mm
        counts: np.ndarray = np.maximum(0, np.floor(spare + 1e-9).astype(np.int64) + 1)
        return counts

    def fits(self, size_mm: Size) -> bool:
        """Whether every piece has a place in a box, were it alone; fixed ones count as well."""
        has = self.places(size_mm).min(axis=1) > 0
        return all(bool(has[a:b].any()) for a, b in self.kinds)


@mutable
class Play:
    """One layout on a board, in a box: conflicts are priced and resolved.

    ``at`` are places, shape (pieces, 2), ``turn`` shapes; ``best_at`` and ``best_turn`` hold the
    state of least total depth, ``depth``, since the box was set. Same seed, same moves.
    """

    board: Board
    rng: random.Random
    room: np.ndarray = field(init=False)
    at: np.ndarray = field(init=False)
    turn: np.ndarray = field(init=False)
    weights: np.ndarray = field(init=False)
    depth: int = NOWHERE
    moves: int = 0
    best_at: np.ndarray = field(init=False)
    best_turn: np.ndarray = field(init=False)
    _seed: np.ndarray = field(init=False)

    def __attrs_post_init__(self) -> None:
        """No box and no layout yet."""
        count = self.board.count
        self.at = np.zeros((count, 2), dtype=np.int64)
        self.turn = self.board.kinds[:, 0].copy()
        self._seed = np.array([self.rng.getrandbits(63) | 1], dtype=np.uint64)
        self._forget()

    def _forget(self) -> None:
        self.weights = np.ones((self.board.count, self.board.count))
        self.depth = NOWHERE
        self.best_at, self.best_turn = self.at.copy(), self.turn.copy()

    def set_box(self, size_mm: Size) -> None:
        """Go on in another box; what would stick out is moved in. Weights start anew."""
        self.room = self.board.places(size_mm)
        for k in np.flatnonzero(self.board.free):
            if self.room[self.turn[k]].min() <= 0:
                self.turn[k] = self.rng.choice(self._fitting(int(k)))
            self.at[k] = np.clip(self.at[k], 0, self.room[self.turn[k]] - 1)
        self._forget()

    def scatter(self) -> None:
        """Every piece at a place and a turn drawn at random."""
        for k in np.flatnonzero(self.board.free):
            self.turn[k] = self.rng.choice(self._fitting(int(k)))
            self.at[k] = [self.rng.randrange(int(n)) for n in self.room[self.turn[k]]]
        self._forget()

    def swap(self) -> None:
        """Two pieces drawn at random change places, as far as the box lets them."""
        free = [int(k) for k in np.flatnonzero(self.board.free)]
        if len(free) < 2:
            return
        i, j = self.rng.sample(free, 2)
        self.at[[i, j]] = self.at[[j, i]]
        for k in (i, j):
            self.at[k] = np.clip(self.at[k], 0, self.room[self.turn[k]] - 1)
        self._forget()

    def take(self, spots: Sequence[Spot], scale: Size = (1.0, 1.0)) -> None:
        """The places and turns nearest to spots, their middles stretched by ``scale``."""
        shapes, step = self.board.table.shapes, self.board.table.step_mm
        for k in map(int, np.flatnonzero(self.board.free)):
            a, b = self.board.kinds[k]
            spot = spots[k]
            near = min(range(a, b), key=lambda s: abs(_angle(shapes[s].turn_deg - spot.turn_deg)))
            shape = shapes[near]
            for axis, at in enumerate((spot.x_mm, spot.y_mm)):
                middle = at - shape.shift_mm[axis] + shape.size_mm[axis] / 2
                place = middle * scale[axis] - shape.size_mm[axis] / 2
                self.at[k, axis] = round(place / step)
            self.turn[k] = near
        self._forget()

    def go_on(self, moves: int) -> bool:
        """Make moves until there is no conflict, about ``moves`` at most; true if there is none."""
        table, board = self.board.table, self.board
        made, self.depth = resolve(
            table.flat,
            table.starts,
            table.low,
            table.shape,
            table.index,
            board.kinds,
            self.room,
            board.partners,
            board.free,
            self.at,
            self.turn,
            self.weights,
            self._seed,
            moves,
            self.best_at,
            self.best_turn,
            self.depth,
        )
        self.moves += made
        return self.depth == 0

    def spots(self) -> list[Spot]:
        """The spots of the state of least depth."""
        table = self.board.table
        made = []
        for (x, y), turn in zip(self.best_at, self.best_turn, strict=True):
            shape = table.shapes[turn]
            made.append(
                Spot(
                    shape.turn_deg,
                    float(x) * table.step_mm + shape.shift_mm[0],
                    float(y) * table.step_mm + shape.shift_mm[1],
                )
            )
        return made

    def _fitting(self, k: int) -> list[int]:
        a, b = self.board.kinds[k]
        return [s for s in range(a, b) if self.room[s].min() > 0]


def _angle(turn_deg: float) -> float:
    """A turn between -180 and 180 degrees."""
    return (turn_deg + 180.0) % 360.0 - 180.0
