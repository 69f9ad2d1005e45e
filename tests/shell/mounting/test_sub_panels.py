"""Sub-panels: cut out for plugs, on battens that fill the room behind them, or before walls."""

from __future__ import annotations

import pytest

from fitkit.payload.mounts import HolePattern, Mount, SubPanel
from support_kits import (
    VOID_MM,
    WIDTH_MM,
    of_kind,
    on_sub_panel,
    one_screen,
    said,
)


def test_a_sub_panel_is_cut_out_for_plugs() -> None:
    """The plug's zone goes through the sub-panel with 2 mm of play, and nothing fails."""
    found = on_sub_panel()
    assert said(found) == []
    (board,) = of_kind(found, "sub-panel")
    (cut,) = board.openings
    assert cut.bounds == pytest.approx((210.0, 110.0, 254.0, 134.0))
    net_m2 = (board.length_mm * board.width_mm - 44.0 * 24.0) * 1e-6
    assert board.kg == pytest.approx(net_m2 * 4.37)


def test_battens_fill_the_room_behind_a_sub_panel() -> None:
    """Two battens under the long edges, from the sub-panel to the panel, clear of inner leaves."""
    found = on_sub_panel()
    (board,) = of_kind(found, "sub-panel")
    for batten in of_kind(found, "batten"):
        assert batten.high_mm[2] == pytest.approx(board.low_mm[2])
        assert batten.low_mm[2] == pytest.approx(-VOID_MM)
        assert batten.low_mm[1] >= 15.0 - 1e-9
        assert batten.high_mm[1] <= WIDTH_MM - 15.0 + 1e-9
        assert board.low_mm[1] <= batten.low_mm[1]
        assert batten.high_mm[1] <= board.high_mm[1]


def test_a_narrow_margin_puts_battens_over_screws() -> None:
    """Holes 5 mm from the item's edge, with no margin, lie over a batten: said."""
    low = HolePattern("low", ((160.0, 5.0), (260.0, 5.0), (210.0, 181.0)))
    mount = Mount(by="sub-panel", pattern=low, sub_panel=SubPanel(margin_mm=0.0))
    found = one_screen(mount, behind_mm=26.4)
    assert any("head of a screw" in one.what for one in said(found))


def test_a_sub_panel_without_battens_hangs_on_two_walls() -> None:
    """It reaches from front to back, the nearer pair of walls; battens lie on the item's side."""
    found = on_sub_panel(sub_panel=SubPanel(batten_mm=None))
    assert said(found) == []
    (board,) = of_kind(found, "sub-panel")
    assert (board.low_mm[1], board.high_mm[1]) == (0.0, WIDTH_MM)
    battens = of_kind(found, "batten")
    assert [one.low_mm[2] for one in battens] == pytest.approx([board.high_mm[2]] * 2)
    assert {one.side for one in found.mounting.holes} == {"front", "back"}


def test_screws_from_two_sides_of_a_batten_keep_apart() -> None:
    """Through the sub-panel and through the panel: 6 mm or more lie between their middles."""
    for wish in (SubPanel(margin_mm=22.0), SubPanel(batten_mm=None)):
        found = on_sub_panel(wish)
        assert said(found) == []
        (board,) = of_kind(found, "sub-panel")
        for batten in of_kind(found, "batten"):
            u = "xyz".index(batten.u_axis)
            outer = [h.at_mm[u] for h in found.mounting.holes if h.owner == batten.name]
            inner = [
                board.low_mm[u] + (one.u_mm if board.u_axis == batten.u_axis else one.v_mm)
                for one in board.holes
                if "batten" in one.use
            ]
            assert len(outer) >= 2
            assert min(abs(a - b) for a in outer for b in inner) >= 6.0
