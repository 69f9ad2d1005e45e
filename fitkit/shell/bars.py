"""The profiles of an assembly as cut: one along each edge of each part.

Symbols: ``E`` an outside size of a part, ``a`` leg, ``k`` corner allowance, ``q`` leaf of a closing
profile, ``T`` wall build-up. Edge profiles, by how they end:

- square: both ends ``k`` short of the corner, E - 2 k; with k >= a the legs of neighbours clear
  each other, with less they meet;
- mitred: the long point is E, each end ``a`` shorter at the short point;
- butt: along the case's longest way they run through, E; the others stop ``a`` short of corners.

Wherever an edge profile comes to an opening it stops ``q`` short of the closing plane, square.
Closing profiles form a frame round each opening: mitred, long point E and short point E - 2 T;
butt, the longer two run through and the others are E - 2 T; square, E - 2 k like the edges.
All of it is geometry on the builder's own measured profile; no outside source.
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen

from fitkit.payload.model import Profile, Wall
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Ends, Side
from fitkit.shell.forms import LEAST_MM
from fitkit.shell.frame import out_of
from fitkit.shell.graph import Edge, edge_kinds, order_of
from fitkit.shell.model import Assembly, Bar, Part, Point

Stop = Literal["corner", "mitre", "butt", "through", "opening"]
"""What an end comes to: a corner piece, a mitre, another profile, nothing, an opening."""


@frozen
class End:
    """One end of a profile: what it stops at, how far short of the part's corner.

    ``less_mm`` is how much shorter the piece is there at its short point (0 for a square cut).
    """

    stop: Stop
    short_mm: float
    less_mm: float = 0.0

    @property
    def takes_mm(self) -> float:
        """How far the short point lies from the part's corner [mm]."""
        return self.short_mm + self.less_mm


def bars_of(assembly: Assembly, *, wall: Wall) -> tuple[Bar, ...]:
    """The profiles of every part as cut, in the order of the parts and their edges.

    One that would have no length is left out; where it would have less than none,
    :func:`fitkit.shell.shortfalls.troubles_of` says so. n parts stacked have 12 n: 12 + 4 (n - 1)
    edge profiles, 4 (n - 1) with the tongue and as many with the groove. ``start_mm`` is each
    one's end with the lower coordinate.

    >>> from fitkit.fit.layout import Half, Interior
    >>> from fitkit.payload.model import Payload
    >>> from fitkit.shell.graph import assembly_of
    >>> inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    >>> bars = bars_of(assembly_of(inside, payload=Payload("kit", ())), wall=Wall())
    >>> len(bars), sorted({bar.length_mm for bar in bars if bar.kind == "edge"})
    (24, [45.0, 145.0, 340.0, 540.0])
    """
    bars = bars_of_any_length(assembly, wall=wall)
    return tuple(bar for bar in bars if bar.length_mm > LEAST_MM and bar.short_mm > LEAST_MM)


def bars_of_any_length(assembly: Assembly, *, wall: Wall) -> tuple[Bar, ...]:
    """The profiles by the formulas alone, those too that come out with no length or less."""
    return tuple(
        _bar(assembly, edge, wall.profile) for edge in edge_kinds(assembly) if edge.kind is not None
    )


def ends_of(assembly: Assembly, edge: Edge, *, profile: Profile) -> tuple[End, End]:
    """What the profile on ``edge`` stops at, at its low and its high end."""
    part = assembly.part(edge.part)
    low, high = (_end(assembly, part, edge, side, profile) for side in edge.ends)
    return low, high


def _end(assembly: Assembly, part: Part, edge: Edge, side: Side, profile: Profile) -> End:
    """The end of a profile where its edge meets the face ``side``."""
    closing = edge.kind in ("tongue", "groove")
    if not part.plate and side in part.open:
        own = order_of(assembly, part, edge.sides[1]) if closing else -1
        if order_of(assembly, part, side) > own:
            return End("opening", profile.closing_leaf_mm)
    if closing:
        how, back_mm = profile.closing_ends, build_up_mm(profile)
    else:
        how, back_mm = profile.ends, profile.leg_mm
    if how == "mitred":
        return End("mitre", 0.0, back_mm)
    if how == "square":
        return End("corner", profile.corner_mm)
    if edge.axis == _through(assembly, part, edge):
        return End("through", 0.0)
    return End("butt", back_mm)


def _through(assembly: Assembly, part: Part, edge: Edge) -> int:
    """The axis along which butted profiles run through at the corners of ``edge``.

    The longest way of the case for edge profiles, of the frame for closing ones; x, then y, where
    two are alike.
    """
    if edge.kind == "edge":
        box: Assembly | Part = assembly
        axes = [0, 1, 2]
    else:
        box = part
        axes = [axis for axis in range(3) if axis != out_of(edge.sides[1])[0]]
    return max(axes, key=lambda axis: box.high_mm[axis] - box.low_mm[axis])


def _bar(assembly: Assembly, edge: Edge, profile: Profile) -> Bar:
    assert edge.kind is not None
    low, high = ends_of(assembly, edge, profile=profile)
    axis = edge.axis
    length = edge.high_mm[axis] - edge.low_mm[axis] - low.short_mm - high.short_mm
    return Bar(
        part=edge.part,
        kind=edge.kind,
        sides=edge.sides,
        start_mm=_moved(edge.low_mm, axis, low.short_mm),
        end_mm=_moved(edge.high_mm, axis, -high.short_mm),
        length_mm=length,
        short_mm=length - low.less_mm - high.less_mm,
        ends=_ends(edge, low, high, profile),
    )


def _moved(point: Point, axis: int, by_mm: float) -> Point:
    found = [*point]
    found[axis] += by_mm
    return (found[0], found[1], found[2])


def _ends(edge: Edge, low: End, high: End, profile: Profile) -> Ends:
    """How a piece is sawn: mitred where one end is at least, else square or as it is joined."""
    if "mitre" in (low.stop, high.stop):
        return "mitred"
    how = profile.ends if edge.kind == "edge" else profile.closing_ends
    stops = {low.stop, high.stop}
    return "butt" if how == "butt" and stops != {"opening"} else "square"
