"""The search for sheets is exact: nothing that trying all orders finds is better."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.foam.sheet_search import FAR_MM, Window, heights, search

SHELVES = ((10.0, 20.0, 30.0), (15.0, 20.0), (12.7, 25.4), (10.0, 25.0, 40.0))


def orders(depth: float, sheets: tuple[float, ...]) -> list[tuple[float, ...]]:
    """Every way to lay sheets one on another within ``depth``."""
    found: list[tuple[float, ...]] = [()]
    edge: list[tuple[float, ...]] = [()]
    while edge:
        edge = [(*o, s) for o in edge for s in sheets if sum(o) + s <= depth + 1e-6]
        found += edge
    return found


def served(order: tuple[float, ...], window: Window) -> float | None:
    """The highest boundary within a window, None if the stack has none there."""
    inside = [
        b
        for b in itertools.accumulate(order, initial=0.0)
        if window.low_mm - 1e-6 <= b <= window.high_mm + 1e-6
    ]
    return max(inside) if inside else None


def rank(
    order: tuple[float, ...], depth: float, windows: tuple[Window, ...]
) -> tuple[int, float, float]:
    """Windows missed, by how much in all, and the air left at the top."""
    lacking = [w for w in windows if not w.wish and served(order, w) is None]
    edges = list(itertools.accumulate(order, initial=0.0))
    short = sum(w.low_mm - max(b for b in edges if b <= w.high_mm + 1e-6) for w in lacking)
    return len(lacking), round(short, 6), round(depth - sum(order), 6)


def far(order: tuple[float, ...], windows: tuple[Window, ...]) -> int:
    """Wishes unserved, and tops out of a finger's reach."""
    count = 0
    for window in windows:
        at = served(order, window)
        if at is None:
            count += window.wish
        elif window.lift and window.grab:
            count += window.high_mm - at > FAR_MM + 1e-6
    return count


def buried(order: tuple[float, ...], windows: tuple[Window, ...]) -> float:
    """How far lifted boundaries stay below where they might be, in all."""
    return round(
        sum(w.high_mm - at for w in windows if w.lift and (at := served(order, w)) is not None), 4
    )


@st.composite
def cases(draw: st.DrawFn) -> tuple[float, tuple[float, ...], tuple[Window, ...]]:
    """A depth, a shelf of sheets, and up to four windows of any kind."""
    depth = float(draw(st.integers(20, 90)))
    windows = []
    for k in range(draw(st.integers(0, 4))):
        low = float(draw(st.integers(5, int(depth))))
        high = min(depth, low + draw(st.sampled_from((0.0, 5.0, 20.0, 45.0))))
        kind = draw(st.sampled_from(("plain", "lift", "grab", "wish")))
        windows.append(
            Window(
                f"window {k}",
                low,
                high,
                lift=kind in ("lift", "grab"),
                grab=kind == "grab",
                wish=kind == "wish",
            )
        )
    return depth, draw(st.sampled_from(SHELVES)), tuple(windows)


@settings(deadline=None, max_examples=60)
@given(cases())
def test_no_order_of_sheets_is_better(
    case: tuple[float, tuple[float, ...], tuple[Window, ...]],
) -> None:
    """Against all orders: no rule less missed, no less air, no better use of sheets."""
    depth, sheets, windows = case
    found = search(depth, sheets_mm=sheets, windows=windows)
    every = orders(depth, sheets)
    best = min(rank(o, depth, windows) for o in every)
    mine = found.sheets_mm
    assert rank(mine, depth, windows) == best
    assert len(found.missed) == best[0]
    equal = [o for o in every if rank(o, depth, windows) == best]
    fewest = min(len(o) for o in equal)
    allowed = [o for o in equal if len(o) <= fewest + 1]

    def wish(order: tuple[float, ...]) -> tuple[int, int, int, float]:
        return far(order, windows), len(order), len(set(order)), buried(order, windows)

    assert wish(mine) == min(wish(o) for o in allowed)


@given(st.sampled_from(SHELVES), st.integers(0, 120))
def test_heights_are_all_sums(sheets: tuple[float, ...], upto: int) -> None:
    """Heights are the sums of all orders of sheets, each once, rising."""
    sums = {round(sum(o), 6) for o in orders(min(float(upto), 80.0), sheets)}
    assert [round(h, 6) for h in heights(sheets, min(float(upto), 80.0))] == sorted(sums)


def test_accent_lies_right_under_its_boundary() -> None:
    """An accent layer ends at the boundary that asks for it; the other sheets fill the rest."""
    found = search(
        83.0,
        sheets_mm=(10.0, 20.0, 30.0),
        windows=(Window("tier 1", 33.0, 33.0, accent=True),),
        accent_mm=3.0,
    )
    assert found.missed == ()
    assert found.sheets_mm == pytest.approx((30.0, 3.0, 20.0, 30.0))
    assert found.accents == (False, True, False, False)


def test_a_shelf_of_odd_sheets_is_still_quick_to_search() -> None:
    """Six odd thicknesses and a deep half: thousands of heights, the answer still exact in sum."""
    sheets = (6.35, 9.5, 12.7, 19.0, 25.4, 50.8)
    found = search(300.0, sheets_mm=sheets, windows=(Window("floor", 25.0, 60.0, lift=True),))
    assert found.missed == ()
    assert set(found.sheets_mm) <= set(sheets)
    assert sum(found.sheets_mm) == pytest.approx(heights(sheets, 300.0)[-1])


def test_one_more_sheet_for_the_fingers_and_no_more() -> None:
    """Two sheets would do; a third brings a top within reach, and a fourth is not spent."""
    windows = (
        Window("tall", 50.0, 50.0, lift=True, grab=True),
        Window("flat", 50.0, 90.0, lift=True, grab=True),
    )
    shelf = (20.0, 30.0, 50.0)
    assert search(100.0, sheets_mm=shelf, windows=windows[:1]).sheets_mm == (50.0, 50.0)
    assert search(100.0, sheets_mm=shelf, windows=windows).sheets_mm == (50.0, 30.0, 20.0)
    many = (*windows, Window("wish", 20.0, 20.0, wish=True), Window("wish", 40.0, 40.0, wish=True))
    assert len(search(100.0, sheets_mm=(10.0, *shelf), windows=many).sheets_mm) == 3
