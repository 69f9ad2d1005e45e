"""A profile as a drawing needs it: unfolded about its outer edge, seen from outside.

An edge profile has a leg above that line and one below; a closing profile has its leaf above and
the closing plane below. Profiles that are the same piece, turned end for end where that makes no
difference, are drawn once.
"""

from __future__ import annotations

import shapely
from attrs import evolve, frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.shell_faces import Drilled
from fitkit.payload.model import Profile
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Side
from fitkit.shell.bars import ends_of
from fitkit.shell.frame import along, out_of, to_bar
from fitkit.shell.graph import edge_kinds
from fitkit.shell.model import Bar, Shell


@frozen
class Leg:
    """One leg unfolded: u along the bar from its left end, v away from the outer edge [mm].

    ``side`` is None for the closing plane of a closing profile. ``cuts`` are (from, to, deep).
    ``less_mm`` is by how much its inner edge is shorter at the left and right end.
    """

    side: Side | None
    wide_mm: float
    holes: tuple[Drilled, ...]
    cuts: tuple[tuple[float, float, float], ...]
    less_mm: tuple[float, float]

    def shape(self, length_mm: float) -> BaseGeometry:
        """The leg as cut: mitres at 45 degrees, cut-outs taken away."""
        left, right = self.less_mm
        whole = Polygon(
            [(0, 0), (length_mm, 0), (length_mm - right, self.wide_mm), (left, self.wide_mm)]
        )
        cut = [shapely.box(a, 0.0, b, deep) for a, b, deep in self.cuts]
        return shapely.difference(whole, shapely.union_all(cut)) if cut else whole


@frozen
class Unfolded:
    """A profile with its upper and lower leg; ``turned``: its end is at the left."""

    bar: Bar
    upper: Leg
    lower: Leg
    turned: bool

    @property
    def left(self) -> str:
        """Which way the left end points in the case: a side."""
        axis, sense = along(self.bar)
        low = ("left", "front", "bottom")[axis]
        high = ("right", "back", "top")[axis]
        return high if (sense > 0) == self.turned else low


def unfolded(shell: Shell, bar: Bar, *, profile: Profile) -> Unfolded:
    """A profile unfolded; of the two ways to lay an edge profile, always the same for one piece."""
    first = _leg_above(bar)
    if bar.kind != "edge":
        return _laid(shell, bar, profile, turned=first is not bar.sides[0])
    both = [_laid(shell, bar, profile, turned=turned) for turned in (False, True)]
    return min(both, key=piece_key)


def piece_key(one: Unfolded) -> str:
    """What makes two profiles the same piece; text, so that it can be ordered."""
    bar = one.bar
    legs = [
        (
            round(leg.wide_mm, 2),
            [round(less, 2) for less in leg.less_mm],
            sorted(
                (round(d.u_mm, 1) + 0.0, round(d.v_mm, 1) + 0.0, d.hole.diameter_mm, d.hole.use,
                 d.hole.pilot_mm or 0.0, d.hole.sink_mm or 0.0)
                for d in leg.holes
            ),
            sorted(tuple(round(v, 1) + 0.0 for v in cut) for cut in leg.cuts),
        )
        for leg in (one.upper, one.lower)
    ]  # fmt: skip
    return repr((bar.kind, round(bar.length_mm, 2), round(bar.short_mm, 2), bar.ends, legs))


def pieces(shell: Shell, *, profile: Profile) -> tuple[tuple[Unfolded, ...], ...]:
    """Every distinct profile with those that are the same piece, in the order of the shell."""
    groups: dict[str, list[Unfolded]] = {}
    for bar in shell.bars:
        one = unfolded(shell, bar, profile=profile)
        groups.setdefault(piece_key(one), []).append(one)
    return tuple(tuple(group) for group in groups.values())


def _leg_above(bar: Bar) -> Side:
    """The leg that lies above the outer edge, seen from outside with the bar's start at the left.

    Along, away from the edge, and out of the face are then a right-handed frame.
    """
    axis, sense = along(bar)
    a, b = bar.sides
    inward, way = out_of(b)  # away from the edge, on the face a, is against the way out of b
    out, out_way = out_of(a)
    turn = 1 if (inward - axis) % 3 == 1 else -1
    return a if sense * -way * turn == out_way and out != axis else b


def _laid(shell: Shell, bar: Bar, profile: Profile, *, turned: bool) -> Unfolded:
    above = _leg_above(bar)
    below = bar.sides[1] if above is bar.sides[0] else bar.sides[0]
    if turned:
        above, below = below, above
    left, right = _less(shell, bar, profile)
    if turned:
        left, right = right, left
    if bar.kind == "edge":
        mitres = (profile.leg_mm if left else 0.0, profile.leg_mm if right else 0.0)
        upper = _leg(shell, bar, above, profile.leg_mm, mitres, turned=turned)
        lower = _leg(shell, bar, below, profile.leg_mm, mitres, turned=turned)
        return Unfolded(bar, upper, lower, turned)
    deep = build_up_mm(profile)
    wall = bar.sides[0]
    leaf = _leg(shell, bar, wall, profile.closing_leaf_mm, (0.0, 0.0), turned=turned)
    mitres = (deep if left else 0.0, deep if right else 0.0)
    rim = _leg(shell, bar, bar.sides[1], deep, mitres, turned=turned)  # what is tapped there
    return Unfolded(bar, leaf, evolve(rim, side=None, cuts=()), turned)


def _less(shell: Shell, bar: Bar, profile: Profile) -> tuple[float, float]:
    """How much shorter the short point is at start and end; 0 where the end is square."""
    lost = bar.length_mm - bar.short_mm
    if bar.ends != "mitred" or lost <= 0:
        return (0.0, 0.0)
    for edge in edge_kinds(shell.assembly):
        if edge.part == bar.part and edge.kind == bar.kind and set(edge.sides) == set(bar.sides):
            low, high = ends_of(shell.assembly, edge, profile=profile)
            if along(bar)[1] < 0:
                low, high = high, low
            return (low.less_mm, high.less_mm)
    return (lost / 2, lost / 2)


def _leg(
    shell: Shell,
    bar: Bar,
    side: Side,
    wide: float,
    less: tuple[float, float],
    *,
    turned: bool,
) -> Leg:
    long = bar.length_mm
    holes = []
    for hole in shell.holes:
        if hole.side == side and bar.name in hole.pieces:
            u, v = to_bar(bar, hole.at_mm, side)
            holes.append(Drilled(long - u if turned else u, v, hole))
    cuts = []
    for cut in shell.bar_cuts:
        if cut.bar == bar.name and cut.side == side:
            a, b = cut.from_mm, cut.to_mm
            ends = (long - b, long - a) if turned else (a, b)
            cuts.append((*ends, min(cut.deep_mm, wide)))
    order = sorted(holes, key=lambda d: (d.u_mm, d.v_mm))
    return Leg(side, wide, tuple(order), tuple(sorted(cuts)), less)
