"""A checker of sheets of its own: replays the listed cuts and looks what falls off."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from attrs import evolve

from fitkit.stock.model import CutSheet, Laid, SheetPlan, Tile

NEAR = 1e-6
Box = tuple[float, float, float, float]


def pieces_of(sheet: CutSheet, kerf_mm: float) -> list[Box]:
    """What is left of the sheet after its cuts, each of which must part one piece right through."""
    pieces: list[Box] = [(0.0, 0.0, sheet.length_mm, sheet.width_mm)]
    for cut in sheet.cuts:
        found = [p for p in pieces if _goes_through(cut.along, cut.at_mm, p)
                 and _reaches(cut.along, cut.from_mm, cut.to_mm, p)]  # fmt: skip
        assert len(found) == 1, (cut, found)
        piece = found[0]
        pieces.remove(piece)
        x0, y0, x1, y1 = piece
        # the blade is as wide as the kerf, or as what is left where it runs off the edge
        low, high = (x0, x1) if cut.along == "y" else (y0, y1)
        half = min(kerf_mm / 2, high - cut.at_mm, cut.at_mm - low)
        near, far = cut.at_mm - half, cut.at_mm + half
        if cut.along == "y":
            parts = [(x0, y0, near, y1), (far, y0, x1, y1)]
        else:
            parts = [(x0, y0, x1, near), (x0, far, x1, y1)]
        pieces += [p for p in parts if p[2] - p[0] > NEAR and p[3] - p[1] > NEAR]
    return pieces


def _goes_through(along: str, at: float, piece: Box) -> bool:
    low, high = (piece[0], piece[2]) if along == "y" else (piece[1], piece[3])
    return low - NEAR <= at <= high + NEAR


def _reaches(along: str, start: float, end: float, piece: Box) -> bool:
    low, high = (piece[1], piece[3]) if along == "y" else (piece[0], piece[2])
    return abs(start - low) <= NEAR and abs(end - high) <= NEAR


def check(plan: SheetPlan, tiles: Sequence[Tile]) -> None:
    """Every tile once, in its size and grain; it falls out of the cuts; stages and trims kept."""
    wanted = {tile.name: tile for tile in tiles}
    assert Counter(laid.name for sheet in plan.sheets for laid in sheet.tiles) == Counter(
        list(wanted)
    )
    for sheet in plan.sheets:
        pieces = pieces_of(sheet, plan.kerf_mm)
        for laid in sheet.tiles:
            tile = wanted[laid.name]
            size = (tile.length_mm, tile.width_mm)
            assert tile.turn or not laid.turned
            lies = (laid.length_mm, laid.width_mm)
            assert all(
                abs(a - b) < 1e-6
                for a, b in zip(lies, size[::-1] if laid.turned else size, strict=True)
            )
            assert any(_same(laid, piece) for piece in pieces), laid
            for low, side, whole in (
                (laid.x_mm, laid.length_mm, sheet.length_mm),
                (laid.y_mm, laid.width_mm, sheet.width_mm),
            ):
                assert low >= plan.trim_mm - 0.01
                assert low + side <= whole - plan.trim_mm + 0.01
        for offcut in sheet.offcuts:
            assert any(_same(offcut, piece) for piece in pieces)
        order = [cut.stage for cut in sheet.cuts]
        assert order == sorted(order), "rips first, then cross cuts, then the rest"
        assert len({cut.along for cut in sheet.cuts if cut.stage == 1}) <= 1
        ways = {cut.stage: cut.along for cut in sheet.cuts}
        for stage, along in ways.items():
            assert all(cut.along == along for cut in sheet.cuts if cut.stage == stage)
            assert all(ways[other] != along for other in ways if other == stage + 1)
    assert plan.bound <= len(plan.sheets) <= plan.first_fit
    assert plan.proven == (plan.bound == len(plan.sheets))


def stacked(plan: SheetPlan) -> bool:
    """Whether a piece still holds two tiles after the cuts of the first two stages."""
    for sheet in plan.sheets:
        rough = evolve(sheet, cuts=tuple(cut for cut in sheet.cuts if cut.stage <= 2))
        for x0, y0, x1, y1 in pieces_of(rough, plan.kerf_mm):
            inside = [
                laid
                for laid in sheet.tiles
                if x0 - NEAR <= laid.x_mm < x1 - NEAR and y0 - NEAR <= laid.y_mm < y1 - NEAR
            ]
            if len(inside) > 1:
                return True
    return False


def _same(laid: Laid, piece: Box) -> bool:
    box = (laid.x_mm, laid.y_mm, laid.x_mm + laid.length_mm, laid.y_mm + laid.width_mm)
    return all(abs(a - b) <= 1e-6 for a, b in zip(box, piece, strict=True))
