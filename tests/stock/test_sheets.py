"""Tiles on sheets: what the listed cuts part is what was asked for, and no fewer sheets do."""

from __future__ import annotations

import random
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.fit.solver import Model
from fitkit.stock.model import Tile
from fitkit.stock.sheets import cut_sheets
from sheet_saw import check, stacked


def tiles_of(sizes: Sequence[tuple[float, float]], *, turn: bool = True) -> list[Tile]:
    """Tiles with numbers for names."""
    return [Tile(f"tile {n}", float(a), float(b), turn) for n, (a, b) in enumerate(sizes, 1)]


def levels_at_most(
    sizes: Sequence[tuple[int, int]], sheet: tuple[int, int], kerf: int, sheets: int, turn: bool
) -> bool:
    """Whether two stages of cuts get the tiles from so many sheets, by another method.

    Every tile is put on one of as many strips as there are tiles, every strip on one sheet; strips
    are as wide as their widest tile. Sheets may be started either way.
    """
    model = Model()
    n = len(sizes)
    ways = [model.flag() for _ in range(sheets)]  # whether a sheet is started along its width
    big = sum(sheet) + kerf
    strips = []
    for _ in range(n):
        on = [model.flag() for _ in range(sheets)]
        model.linear([(flag, 1) for flag in on], 1, 1)
        strips.append((on, model.whole(0, big)))
    turned = [model.flag() for _ in sizes]
    if not turn:
        model.linear([(flag, 1) for flag in turned], 0, 0)
    held = [[model.flag() for _ in range(n)] for _ in sizes]
    for row in held:
        model.linear([(flag, 1) for flag in row], 1, 1)
    for number, (on, high) in enumerate(strips):
        lengths: dict[int, list[tuple[int, int]]] = {0: [], 1: []}
        for tile, (a, b) in enumerate(sizes):
            here = held[tile][number]
            for lies in (0, 1):
                size = (a, b) if lies == 0 else (b, a)
                # a tile lies one way on one strip: a flag for both
                both = model.flag()
                flag = [(here, 1), (turned[tile], 1 if lies else -1), (both, -1)]
                model.linear(flag, -2, 1 if lies else 0)
                model.linear([(here, 1)], 1, 1, when=[both])
                model.linear([(turned[tile], 1)], lies, lies, when=[both])
                for started in (0, 1):
                    along, across = size if started == 0 else size[::-1]
                    lengths[started].append((both, along + kerf))
                    for k in range(sheets):
                        state = ways[k] if started else ~ways[k]
                        model.linear([(high, 1)], across + kerf, big, when=[both, on[k], state])
        for k in range(sheets):
            for started in (0, 1):
                state = ways[k] if started else ~ways[k]
                room = sheet[started] + kerf
                model.linear(lengths[started], 0, room, when=[on[k], state])
    for k in range(sheets):
        parts = []
        for on, high in strips:
            share = model.whole(0, big)
            model.linear([(share, 1), (high, -1)], 0, big, when=[on[k]])
            parts.append((share, 1))
        for started in (0, 1):
            state = ways[k] if started else ~ways[k]
            model.linear(parts, 0, sheet[1 - started] + kerf, when=[state])
    answer = model.solve(work=60.0)
    assert answer.status in ("optimal", "feasible", "infeasible")
    return answer.status != "infeasible"


SIZES = st.lists(st.tuples(st.integers(15, 70), st.integers(10, 45)), min_size=1, max_size=4)


@settings(max_examples=8, deadline=None)
@given(sizes=SIZES, kerf=st.integers(0, 3), turn=st.booleans())
def test_two_methods_agree(sizes: list[tuple[int, int]], kerf: int, turn: bool) -> None:
    """Strips put together and an assignment of each tile come to the same number of sheets."""
    tiles = tiles_of(sizes, turn=turn)
    plan = cut_sheets(tiles, what="board", sheet_mm=(100.0, 60.0), kerf_mm=kerf, trim_mm=0.0)
    check(plan, tiles)
    count = len(plan.sheets)
    assert levels_at_most(sizes, (100, 60), kerf, count, turn)
    if count > 1:
        fewer = levels_at_most(sizes, (100, 60), kerf, count - 1, turn)
        assert not fewer


@settings(max_examples=12, deadline=None)
@given(
    sizes=st.lists(st.tuples(st.integers(30, 300), st.integers(30, 190)), min_size=1, max_size=14),
    kerf=st.sampled_from((0.0, 2.5, 3.0)),
    trim=st.sampled_from((0.0, 2.0, 10.0)),
    stages=st.sampled_from((2, 3)),
    turn=st.booleans(),
)
def test_the_listed_cuts_part_every_tile(
    sizes: list[tuple[int, int]], kerf: float, trim: float, stages: int, turn: bool
) -> None:
    """Cut by cut, right through, every tile falls out in its size, kerf, trim and grain kept."""
    tiles = tiles_of(sizes, turn=turn)
    plan = cut_sheets(
        tiles, what="board", sheet_mm=(410.0, 320.0), kerf_mm=kerf, trim_mm=trim,
        stages=stages, keep_mm=60.0,  # type: ignore[arg-type]  # by test
    )  # fmt: skip
    check(plan, tiles)
    assert stages == 3 or not stacked(plan)
    assert all(min(o.length_mm, o.width_mm) >= 60.0 for sheet in plan.sheets for o in sheet.offcuts)


@pytest.mark.parametrize("stages", [2, 3])
def test_sixty_panels(stages: int) -> None:
    """Sixty panels of six sizes: the bound of the area is reached, in either number of stages."""
    rng = random.Random(1)
    sizes = [(rng.randint(150, 800), rng.randint(80, 500)) for _ in range(6)] * 10
    tiles = tiles_of(sizes)
    plan = cut_sheets(tiles, what="b", sheet_mm=(2440.0, 1220.0), stages=stages)  # type: ignore[arg-type]  # by test
    check(plan, tiles)
    assert plan.proven
    assert len(plan.sheets) == 3


def test_three_stages_save_a_sheet() -> None:
    """Tiles of half the height lie one above the other where a third stage is allowed.

    A tile of 60 x 100 beside two of 40 x 50 fills a sheet of 100 x 100: strips alone do not.
    """
    tiles = [
        Tile("tall", 60, 100, False),
        Tile("low 1", 40, 50, False),
        Tile("low 2", 40, 50, False),
    ]
    sheets = [
        len(cut_sheets(tiles, what="b", sheet_mm=(100, 100), kerf_mm=0, trim_mm=0, stages=s).sheets)
        for s in (2, 3)
    ]
    # in two stages the first cuts may run the other way: strips of 60 and 40, the second cut in two
    assert sheets == [1, 1]
    more = [*tiles, Tile("wide", 100, 20, False)]
    sheets = [
        len(cut_sheets(more, what="b", sheet_mm=(100, 120), kerf_mm=0, trim_mm=0, stages=s).sheets)
        for s in (2, 3)
    ]
    assert sheets == [2, 1]


def test_grain_keeps_a_tile_as_it_lies() -> None:
    """Turned, two tiles of 90 x 50 share a sheet of 50 x 180; with grain they fit no sheet."""
    sizes = [(90.0, 50.0)] * 2
    plan = cut_sheets(tiles_of(sizes), what="b", sheet_mm=(50.0, 180.0), kerf_mm=0.0, trim_mm=0.0)
    assert len(plan.sheets) == 1
    assert all(laid.turned for laid in plan.sheets[0].tiles)
    with pytest.raises(BadInput) as caught:
        cut_sheets(
            tiles_of(sizes, turn=False), what="birch", sheet_mm=(50.0, 180.0), kerf_mm=0.0,
            trim_mm=0.0,
        )  # fmt: skip
    assert [f.place for f in caught.value.faults] == ["birch, tile 1", "birch, tile 2"]
    assert "40 mm too large" in str(caught.value)
    assert "turned it fits" in str(caught.value)


def test_too_large_panels_are_named_together() -> None:
    """Each with its size, by how much it is too large for the trimmed sheet, and what would do."""
    with pytest.raises(BadInput) as caught:
        cut_sheets(
            tiles_of([(2430.0, 500.0), (700.0, 500.0), (900.0, 1300.0)]), what="birch",
            sheet_mm=(2440.0, 1220.0), trim_mm=10.0,
        )  # fmt: skip
    texts = [str(fault) for fault in caught.value.faults]
    assert len(texts) == 1
    assert "tile 1" in texts[0]
    assert "10 mm too large" in texts[0]
    assert "2450 x 520 mm or more" in texts[0]


def test_the_last_sheet_is_used_least() -> None:
    """One tile more than a sheet holds: one strip of the last sheet is used, the rest is whole."""
    tiles = tiles_of([(100.0, 50.0)] * 9)
    plan = cut_sheets(
        tiles, what="b", sheet_mm=(200.0, 200.0), kerf_mm=0.0, trim_mm=0.0, keep_mm=100.0
    )
    check(plan, tiles)
    assert len(plan.sheets) == 2
    largest = plan.sheets[-1].offcuts[0]
    assert sorted((largest.length_mm, largest.width_mm)) == [150.0, 200.0]


def test_equal_rips_lie_together_and_come_first() -> None:
    """The fence is set once for each width of strip, the widest first."""
    rng = random.Random(5)
    tiles = tiles_of([(rng.choice((300, 420)), rng.choice((90, 140, 200))) for _ in range(20)])
    plan = cut_sheets(tiles, what="b", sheet_mm=(1250.0, 1250.0))
    for sheet in plan.sheets:
        places = [cut.at_mm for cut in sheet.cuts if cut.stage == 1]
        widths = [round(b - a, 6) for a, b in zip(places, places[1:], strict=False)]
        assert widths == sorted(widths, reverse=True)


def test_two_runs_are_alike_and_nothing_needs_nothing() -> None:
    """The same tiles give the same plan; no tiles take no sheet."""
    rng = random.Random(8)
    tiles = tiles_of([(rng.uniform(150, 800), rng.uniform(80, 500)) for _ in range(12)])
    plans = [cut_sheets(tiles, what="b", sheet_mm=(1220.0, 610.0), stages=3) for _ in range(2)]
    assert plans[0] == plans[1]
    check(plans[0], tiles)
    empty = cut_sheets([], what="b", sheet_mm=(1220.0, 610.0))
    assert (empty.sheets, empty.proven, empty.waste) == ((), True, 0.0)
