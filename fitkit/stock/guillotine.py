"""Strips of a sheet, and the saw cuts that part them: every cut goes right through its piece.

A sheet is first ripped into *strips*, a strip is cross cut into *stacks*, a stack is cut once more
into tiles where three stages are allowed. A tile that is smaller than its piece is trimmed by one
more cut. Within a sheet u runs along the strips and v across them; *way* 0 has u along the sheet's
length, way 1 along its width.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from attrs import evolve, field, frozen

from fitkit.stock.model import CutSheet, Laid, SawCut

EPS_MM = 1e-6


@frozen
class Block:
    """A tile as it lies in a strip: name, size along and across the strip [mm], turned or not."""

    name: str
    along_mm: float
    across_mm: float
    turned: bool


@frozen
class Strip:
    """One strip: stacks of blocks, each stack the blocks across the strip from its lower edge."""

    stacks: tuple[tuple[Block, ...], ...]


@frozen
class Saw:
    """What every cut takes: the kerf, and what is trimmed off a sheet's edges [mm]."""

    kerf_mm: float
    trim_mm: float

    def stack_mm(self, stack: Sequence[Block]) -> float:
        """How far a stack reaches across its strip."""
        return sum(b.across_mm for b in stack) + self.kerf_mm * (len(stack) - 1)

    def height_mm(self, strip: Strip) -> float:
        """How wide a strip is ripped."""
        return max(self.stack_mm(stack) for stack in strip.stacks)


@frozen
class Rect:
    """A piece of the sheet in u and v [mm]."""

    u0: float
    v0: float
    u1: float
    v1: float


@frozen
class _Bench:
    """The sheet while it is cut: what has been cut, laid and left so far."""

    saw: Saw
    way: int
    cuts: list[SawCut] = field(factory=list)
    laid: list[Laid] = field(factory=list)
    left: list[Rect] = field(factory=list)

    def part(
        self, piece: Rect, at_mm: float, *, across: bool, stage: int
    ) -> tuple[Rect, Rect | None]:
        """Cut a piece at ``at_mm`` (the blade beyond it): its near and its far part, if any.

        ``across``: the cut runs along v, so that ``at_mm`` is on u.
        """
        low, high = (piece.u0, piece.u1) if across else (piece.v0, piece.v1)
        if at_mm > high - EPS_MM:
            return piece, None
        blade = min(self.saw.kerf_mm, high - at_mm)
        start, end = (piece.v0, piece.v1) if across else (piece.u0, piece.u1)
        along: Literal["x", "y"] = "y" if across == (self.way == 0) else "x"
        self.cuts.append(SawCut(stage, along, at_mm + blade / 2, start, end))
        beyond = at_mm + blade
        if across:
            near, far = evolve(piece, u1=at_mm), evolve(piece, u0=beyond)
        else:
            near, far = evolve(piece, v1=at_mm), evolve(piece, v0=beyond)
        assert at_mm > low
        return near, far if beyond < high - EPS_MM else None

    def without_edge(self, piece: Rect, *, across: bool, stage: int) -> Rect:
        """The piece without the sheet's lower edge, which goes to the bin."""
        trim = self.saw.trim_mm
        if trim <= EPS_MM:
            return piece
        blade = min(self.saw.kerf_mm, trim)
        start, end = (piece.v0, piece.v1) if across else (piece.u0, piece.u1)
        along: Literal["x", "y"] = "y" if across == (self.way == 0) else "x"
        self.cuts.append(SawCut(stage, along, trim - blade / 2, start, end))
        return evolve(piece, u0=trim) if across else evolve(piece, v0=trim)

    def lay(self, piece: Rect, block: Block) -> None:
        """The block has come out of the sheet."""
        self.laid.append(_laid(piece, self.way, block.name, block.turned))


def _laid(piece: Rect, way: int, name: str, turned: bool) -> Laid:
    u, v = piece.u1 - piece.u0, piece.v1 - piece.v0
    if way == 0:
        return Laid(name, piece.u0, piece.v0, u, v, turned)
    return Laid(name, piece.v0, piece.u0, v, u, turned)


def sawn(
    strips: Sequence[Strip],
    *,
    way: int,
    sheet_mm: tuple[float, float],
    saw: Saw,
    keep_mm: float,
) -> CutSheet:
    """The sheet as cut, with its cuts in the order of a saw operator.

    All rips first, the widest strips first and equal ones together with one setting of the fence;
    then the cross cuts, strip by strip, the longest pieces first; then the cuts within pieces. The
    sheet's edges are trimmed on the way. Offcuts with both sides of ``keep_mm`` or more are listed,
    the largest first.
    """
    bench = _Bench(saw, way)
    length, width = sheet_mm if way == 0 else (sheet_mm[1], sheet_mm[0])
    whole = bench.without_edge(Rect(0.0, 0.0, length, width), across=False, stage=1)
    order = sorted(strips, key=lambda strip: -round(saw.height_mm(strip), 6))
    rest: Rect | None = whole
    ripped: list[tuple[Strip, Rect]] = []
    for strip in order:
        assert rest is not None, "strips wider than the sheet"
        piece, rest = bench.part(rest, rest.v0 + saw.height_mm(strip), across=False, stage=1)
        ripped.append((strip, piece))
    if rest is not None:
        bench.left.append(rest)
    crossed: list[tuple[tuple[Block, ...], Rect]] = []
    for strip, piece in ripped:
        rest = bench.without_edge(piece, across=True, stage=2)
        for stack in sorted(strip.stacks, key=lambda s: -max(b.along_mm for b in s)):
            assert rest is not None, "stacks longer than the strip"
            at = rest.u0 + max(block.along_mm for block in stack)
            piece, rest = bench.part(rest, at, across=True, stage=2)
            crossed.append((stack, piece))
        if rest is not None:
            bench.left.append(rest)
    narrow: list[tuple[Block, Rect]] = []
    for stack, piece in crossed:
        rest = piece
        for block in sorted(stack, key=lambda b: -b.across_mm):
            assert rest is not None, "blocks wider than the strip"
            piece, rest = bench.part(rest, rest.v0 + block.across_mm, across=False, stage=3)
            narrow.append((block, piece))
        if rest is not None:
            bench.left.append(rest)
    for block, piece in narrow:
        piece, rest = bench.part(piece, piece.u0 + block.along_mm, across=True, stage=4)
        if rest is not None:
            bench.left.append(rest)
        bench.lay(piece, block)
    kept = [_laid(r, way, "offcut", False) for r in bench.left]
    kept = [o for o in kept if min(o.length_mm, o.width_mm) >= keep_mm - EPS_MM]
    kept.sort(key=lambda o: (-o.length_mm * o.width_mm, o.x_mm, o.y_mm))
    return CutSheet(sheet_mm[0], sheet_mm[1], tuple(bench.laid), tuple(bench.cuts), tuple(kept))
