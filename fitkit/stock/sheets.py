"""Panels on sheets: the fewest sheets by guillotine cuts in two or three stages, and their cuts.

Every cut goes right through its piece. Two stages: strips, then pieces; three: pieces cut once
more; a tile smaller than its piece is trimmed by a cut of its own. The first cuts may run along
either side of each sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from attrs import frozen

from fitkit.errors import BadInput, Fault
from fitkit.stock.guillotine import Block, Saw, Strip, sawn
from fitkit.stock.model import CutSheet, SheetPlan, Tile
from fitkit.stock.sheet_search import AREA, Board, fewest
from fitkit.stock.strips import Entry, Room

SLACK_UM = 1
"""Sizes count in thousandths of a millimetre; a sheet holds what is too large by one of them."""


@frozen
class Kind:
    """What tiles of one size have in common, in thousandths of a millimetre."""

    length: int
    width: int
    turn: bool


def cut_sheets(
    tiles: Sequence[Tile],
    *,
    what: str,
    sheet_mm: tuple[float, float],
    kerf_mm: float = 3.0,
    trim_mm: float = 10.0,
    stages: Literal[2, 3] = 2,
    keep_mm: float = 300.0,
    seconds: float = 5.0,
) -> SheetPlan:
    """Cut all ``tiles`` of one board from the fewest sheets.

    ``sheet_mm`` is length and width of a new sheet, of which ``trim_mm`` is cut off each side.
    Among equally many sheets the plan that uses least of the last one is taken; offcuts with both
    sides of ``keep_mm`` or more are listed. ``seconds`` is a limit of work, the same in every run.

    BadInput names every tile that is larger than the sheet, and every size that is none.

    >>> tiles = [Tile(f"wall {n}", 579.0, 185.0) for n in range(1, 7)]
    >>> plan = cut_sheets(tiles, what="birch", sheet_mm=(1220.0, 610.0))
    >>> len(plan.sheets), plan.bound, plan.proven
    (1, 1, True)
    """
    _refuse(tiles, what=what, sheet_mm=sheet_mm, kerf_mm=kerf_mm, trim_mm=trim_mm)
    saw = Saw(kerf_mm, trim_mm)
    naive = first_fit(tiles, sheet_mm=sheet_mm, saw=saw, keep_mm=keep_mm)
    if not tiles:
        return SheetPlan(what, (), 0, AREA, True, 0, stages, kerf_mm, trim_mm)
    kinds = list(dict.fromkeys(kind_of(tile) for tile in tiles))
    kinds.sort(key=lambda kind: (-kind.length * kind.width, -kind.length, kind.turn))
    demand = tuple(sum(kind_of(tile) == kind for tile in tiles) for kind in kinds)
    rooms = _rooms(kinds, demand, sheet_mm=sheet_mm, saw=saw, stages=stages)
    found = fewest(rooms, seconds=seconds)
    waiting: dict[Kind, list[Tile]] = {kind: [] for kind in kinds}
    for tile in tiles:
        waiting[kind_of(tile)].append(tile)
    sheets = tuple(
        sawn(
            _strips(board, kinds, waiting),
            way=board.way,
            sheet_mm=sheet_mm,
            saw=saw,
            keep_mm=keep_mm,
        )
        for board in found.boards
    )
    if len(naive) < len(sheets):
        sheets = naive
    return SheetPlan(
        what,
        sheets,
        found.bound,
        found.bound_name,
        found.bound >= len(sheets),
        len(naive),
        stages,
        kerf_mm,
        trim_mm,
    )


def kind_of(tile: Tile) -> Kind:
    """The tile's size, and whether it may be turned (a square need not be)."""
    length, width = round(tile.length_mm * 1000), round(tile.width_mm * 1000)
    return Kind(length, width, tile.turn and length != width)


def _rooms(
    kinds: Sequence[Kind],
    demand: tuple[int, ...],
    *,
    sheet_mm: tuple[float, float],
    saw: Saw,
    stages: int,
) -> list[Room]:
    """Both ways of starting a sheet; only one where they come to the same."""
    kerf = round(saw.kerf_mm * 1000)
    length, width = (round((side - 2 * saw.trim_mm) * 1000) + kerf + SLACK_UM for side in sheet_mm)
    rooms = []
    for way, (along, across) in enumerate(((length, width), (width, length))):
        entries = []
        for number, kind in enumerate(kinds):
            for turned in (False, True) if kind.turn else (False,):
                flat = turned == (way == 1)
                u, v = (kind.length, kind.width) if flat else (kind.width, kind.length)
                if u + kerf <= along and v + kerf <= across:
                    entries.append(Entry(number, turned, u + kerf, v + kerf))
        rooms.append(Room(way, along, across, tuple(entries), demand, stages))
    return rooms


def _strips(board: Board, kinds: Sequence[Kind], waiting: dict[Kind, list[Tile]]) -> list[Strip]:
    """The board's strips with tiles by name."""

    def block(entry: Entry) -> Block:
        tile = waiting[kinds[entry.kind]].pop(0)
        flat = entry.turned == (board.way == 1)
        u, v = (tile.length_mm, tile.width_mm) if flat else (tile.width_mm, tile.length_mm)
        return Block(tile.name, u, v, entry.turned)

    return [
        Strip(tuple(tuple(block(entry) for entry in stack) for stack in strip.stacks))
        for strip in board.strips
    ]


def first_fit(
    tiles: Sequence[Tile], *, sheet_mm: tuple[float, float], saw: Saw, keep_mm: float
) -> tuple[CutSheet, ...]:
    """The naive way: tiles in their order, each on the first shelf that has room for it.

    A tile lies as listed, turned only where it fits no other way. A new shelf is begun on the first
    sheet that has room for it.
    """
    length, width = (side - 2 * saw.trim_mm for side in sheet_mm)
    sheets: list[list[list[Block]]] = []
    for tile in tiles:
        flat = tile.length_mm <= length + 1e-6 and tile.width_mm <= width + 1e-6
        size = (tile.length_mm, tile.width_mm) if flat else (tile.width_mm, tile.length_mm)
        block = Block(tile.name, *size, not flat)
        if not _on_a_shelf(block, sheets, length, saw.kerf_mm):
            for sheet in sheets:
                tall = sum(shelf[0].across_mm + saw.kerf_mm for shelf in sheet)
                if tall + block.across_mm <= width + 1e-6:
                    sheet.append([block])
                    break
            else:
                sheets.append([[block]])
    return tuple(
        sawn(
            [Strip(tuple((block,) for block in shelf)) for shelf in sheet],
            way=0,
            sheet_mm=sheet_mm,
            saw=saw,
            keep_mm=keep_mm,
        )
        for sheet in sheets
    )


def _on_a_shelf(
    block: Block, sheets: Sequence[list[list[Block]]], length: float, kerf: float
) -> bool:
    """Put the block on the first shelf with room; whether there is one."""
    for sheet in sheets:
        for shelf in sheet:
            taken = sum(other.along_mm + kerf for other in shelf)
            if (
                block.across_mm <= shelf[0].across_mm + 1e-6
                and taken + block.along_mm <= length + 1e-6
            ):
                shelf.append(block)
                return True
    return False


def _refuse(
    tiles: Sequence[Tile],
    *,
    what: str,
    sheet_mm: tuple[float, float],
    kerf_mm: float,
    trim_mm: float,
) -> None:
    """BadInput with every tile that no sheet holds, and every size that is none."""
    faults = []
    for name, value in (("kerf", kerf_mm), ("trim", trim_mm)):
        if not 0 <= value < math.inf:
            faults.append(Fault(f"{what}, {name}", f"{value:g} mm", "give 0 mm or more"))
    length, width = (side - 2 * trim_mm for side in sheet_mm)
    if not (0 < length < math.inf and 0 < width < math.inf):
        faults.append(
            Fault(
                f"{what}, sheet of {sheet_mm[0]:g} x {sheet_mm[1]:g} mm",
                "nothing of it is left after trimming",
                f"give sides of more than {2 * trim_mm:g} mm",
            )
        )
        raise BadInput(faults)
    for tile in tiles:
        size = (tile.length_mm, tile.width_mm)
        text = f"{size[0]:g} x {size[1]:g} mm"
        place = f"{what}, {tile.name}"
        if not all(0 < side < math.inf for side in size):
            faults.append(Fault(place, text, "give a length and a width"))
            continue
        over = _over_mm(size, (length, width))
        turned = _over_mm((size[1], size[0]), (length, width))
        least = min(over, turned) if tile.turn else over
        if least <= SLACK_UM / 1000 + 1e-9:
            continue
        need = (size[0] + 2 * trim_mm, size[1] + 2 * trim_mm)
        remedy = f"buy sheets of {need[0]:g} x {need[1]:g} mm or more, trim less, or join two"
        if turned <= SLACK_UM / 1000:
            remedy += ", or let its grain run either way: turned it fits"
        faults.append(
            Fault(
                place,
                f"{text} is {least:g} mm too large for the sheet after trimming "
                f"({length:g} x {width:g} mm)",
                remedy,
            )
        )
    if faults:
        raise BadInput(faults)


def _over_mm(size: tuple[float, float], room: tuple[float, float]) -> float:
    return max(size[0] - room[0], size[1] - room[1])
