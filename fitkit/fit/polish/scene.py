"""What a program sees of a layout: convex parts where they stand, and which must keep apart."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from attrs import evolve, frozen

from fitkit.fit.pieces import Margins, Piece, Spot, room_of
from fitkit.fit.polish.apart import separations
from fitkit.fit.polish.parts import turned_parts
from fitkit.fit.polish.program import Rows

Pair = tuple[int, int]

HAIR_MM = 1e-8

FEW = 8
"""Parts with so many corners or fewer are looked at apart from the others, for speed."""


@frozen(eq=False)
class Setting:
    """What stays the same while pieces move: who keeps how far from whom and from the walls.

    ``pairs`` (i < j) keep the web in plan; pieces in ``fixed`` stay where they are. Outlines are
    taken to within ``tolerance_mm``, never smaller than they are. ``compiled`` code is faster but
    takes a moment to load: for children that search long.
    """

    pieces: tuple[Piece, ...]
    pairs: frozenset[Pair]
    web_mm: float
    margins: Margins
    fixed: frozenset[int] = frozenset()
    tolerance_mm: float = 0.02
    compiled: bool = False

    @property
    def keep_mm(self) -> float:
        """The web, and a hair against rounding [mm]."""
        return self.web_mm + HAIR_MM


@frozen(eq=False)
class Scene:
    """All parts of all pieces at their spots.

    ``corners`` has shape (parts, m, 2) and ``radii`` (parts,): a part is all within its radius of
    the hull of its ``sizes`` corners; ``owner`` and ``zone`` tell whose part it is and whether it
    is a zone's. ``first`` and ``second`` list the pairs of parts that must keep the web. ``reach``
    holds, for each piece, how far its body and zones with their margins get: (x0, y0, x1, y1);
    ``body`` the same of the body alone.
    """

    setting: Setting
    spots: tuple[Spot, ...]
    corners: np.ndarray
    radii: np.ndarray
    sizes: np.ndarray
    owner: np.ndarray
    zone: np.ndarray
    first: np.ndarray
    second: np.ndarray
    reach: np.ndarray
    body: np.ndarray

    @classmethod
    def of(cls, setting: Setting, spots: Sequence[Spot]) -> Scene:
        """The scene of pieces at their spots."""
        rings: list[np.ndarray] = []
        radii: list[float] = []
        owner: list[int] = []
        zone: list[bool] = []
        for k, (piece, spot) in enumerate(zip(setting.pieces, spots, strict=True)):
            bodies, rooms = turned_parts(piece, spot.turn_deg, setting.tolerance_mm)
            for part in (*bodies, *rooms):
                rings.append(part.core + np.array([spot.x_mm, spot.y_mm]))
                radii.append(part.radius_mm)
                owner.append(k)
            zone += [False] * len(bodies) + [True] * len(rooms)
        sizes = np.array([len(ring) for ring in rings])
        most = int(sizes.max())
        corners = np.stack([np.concatenate([r, np.tile(r[-1], (most - len(r), 1))]) for r in rings])
        owners, zones = np.array(owner), np.array(zone)
        first, second = _pairs(setting, owners, zones)
        placed = list(zip(setting.pieces, spots, strict=True))
        reach = np.array([room_of([one], setting.margins) for one in placed])
        body = np.array([spot.body(piece).bounds for piece, spot in placed])
        body += np.array([-1.0, -1.0, 1.0, 1.0]) * setting.margins.body_mm
        return cls(
            setting,
            tuple(spots),
            corners,
            np.array(radii),
            sizes,
            owners,
            zones,
            first,
            second,
            reach,
            body,
        )

    @property
    def count(self) -> int:
        """How many pieces there are."""
        return len(self.setting.pieces)

    @property
    def size_mm(self) -> tuple[float, float]:
        """How far pieces with their margins get along x and y from the origin [mm]."""
        return float(self.reach[:, 2].max()), float(self.reach[:, 3].max())

    def shifted(self, moves: np.ndarray) -> Scene:
        """The scene with every piece moved along; ``moves`` has shape (pieces, 2) [mm]."""
        spots = tuple(
            spot.shifted(float(dx), float(dy))
            for spot, (dx, dy) in zip(self.spots, moves, strict=True)
        )
        return evolve(
            self,
            spots=spots,
            corners=self.corners + moves[self.owner][:, None, :],
            reach=self.reach + np.concatenate([moves, moves], axis=1),
            body=self.body + np.concatenate([moves, moves], axis=1),
        )


@frozen(eq=False)
class Near:
    """The pairs of parts that may come too near within a step: owners, direction, gap [mm]."""

    one: np.ndarray
    other: np.ndarray
    way: np.ndarray
    gap: np.ndarray
    first: np.ndarray
    second: np.ndarray

    def rows(self, count: int, least: np.ndarray, *, extra: np.ndarray | None = None) -> Rows:
        """Rows that keep each gap at ``least`` or more after the moves (columns x, then y).

        ``extra`` gives one more column for each row (factor 1), a column that helps the row.
        """
        columns = [self.one, self.one + count, self.other, self.other + count]
        factors = [-self.way[:, 0], -self.way[:, 1], self.way[:, 0], self.way[:, 1]]
        if extra is not None:
            columns.append(extra)
            factors.append(np.ones(len(extra)))
        return Rows(np.stack(columns, axis=1), np.stack(factors, axis=1), least - self.gap)


def near(scene: Scene, *, step_mm: float, more_mm: float = 0.0) -> Near:
    """The pairs that a step of at most ``step_mm`` along x and y may bring within the web.

    ``more_mm`` widens that: pairs within web + more are listed as well.
    """
    keep = scene.setting.keep_mm + more_mm
    round_mm = scene.radii[:, None]
    low, high = scene.corners.min(axis=1) - round_mm, scene.corners.max(axis=1) + round_mm
    a, b = scene.first, scene.second
    clear = np.maximum(low[b] - high[a], low[a] - high[b]).max(axis=1)
    close = np.flatnonzero(clear < keep + 2 * step_mm)
    a, b = a[close], b[close]
    radii = scene.radii[a] + scene.radii[b]
    way, gap = _separations(scene, a, b, radii + keep * 1.05)
    gap = gap - radii
    able = gap - 2 * step_mm * np.abs(way).sum(axis=1) < keep
    a, b, way, gap = a[able], b[able], way[able], gap[able]
    return Near(scene.owner[a], scene.owner[b], way, gap, a, b)


def _separations(
    scene: Scene, a: np.ndarray, b: np.ndarray, enough_mm: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Directions and gaps between the cores of parts."""
    if scene.setting.compiled:
        from fitkit.fit.polish.apart_compiled import separations_of

        made: tuple[np.ndarray, np.ndarray] = separations_of(
            scene.corners, scene.sizes, a, b, enough_mm
        )
        return made
    way, gap = np.zeros((len(a), 2)), np.zeros(len(a))
    enough = float(enough_mm.max(initial=0.0))
    few_a, few_b = scene.sizes[a] <= FEW, scene.sizes[b] <= FEW
    for short_a in (True, False):
        for short_b in (True, False):
            some = np.flatnonzero((few_a == short_a) & (few_b == short_b))
            if some.size:
                way[some], gap[some] = separations(
                    scene.corners[a[some], : FEW if short_a else None],
                    scene.corners[b[some], : FEW if short_b else None],
                    enough_mm=enough,
                )
    return way, gap


def _pairs(setting: Setting, owner: np.ndarray, zone: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of parts that keep the web: those of pieces that must, unless both are zones."""
    count = len(setting.pieces)
    wanted = np.zeros((count, count), dtype=bool)
    for i, j in setting.pairs:
        if not (i in setting.fixed and j in setting.fixed):
            wanted[i, j] = True
    both = wanted[owner[:, None], owner[None, :]] & ~(zone[:, None] & zone[None, :])
    first, second = np.nonzero(both)
    return first, second
