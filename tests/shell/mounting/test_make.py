"""What holds mounted items: where it is, what it is screwed with, and what does not go."""

from __future__ import annotations

import math

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.fit.layout import HalfName, Placement
from fitkit.fit.place import place_all
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section
from fitkit.payload.mounts import HolePattern, Mount, Rails, Run
from fitkit.shell.frame import to_panel
from fitkit.shell.model import Fitted, Hole
from fitkit.shell.mounting.meets import Solid, overlap_mm
from fitkit.shell.mounting.model import Support
from support_kits import (
    ON_RAILS,
    PATTERN,
    VOID_MM,
    WIDTH_MM,
    between_walls,
    held,
    of_kind,
    on_sub_panel,
    one_screen,
    said,
    screen,
    twins,
)


def _bench(support: Support, hole: Hole) -> tuple[float, float]:
    u, v = "xyz".index(support.u_axis), "xyz".index(support.v_axis)
    return hole.at_mm[u] - support.low_mm[u], hole.at_mm[v] - support.low_mm[v]


def test_every_screw_hole_goes_through_panel_and_rail() -> None:
    """A hole in the panel has a pilot hole in its support right behind it."""
    for found in (twins(), on_sub_panel(), one_screen(ON_RAILS, behind_mm=35.0)):
        supports = {one.name: one for one in found.mounting.supports}
        assert found.mounting.holes
        for hole in found.mounting.holes:
            support = supports[hole.owner]
            u, v = _bench(support, hole)
            assert any(
                math.dist((u, v), (one.u_mm, one.v_mm)) < 1e-6
                or math.dist((support.length_mm - u, v), (one.u_mm, one.v_mm)) < 1e-6
                for one in support.holes
                if "pilot" in one.use
            ), hole
            panel = found.shell.panel(hole.pieces[-1])
            at = to_panel(panel, hole.at_mm)
            assert 0 < at[0] < panel.length_mm
            assert 0 < at[1] < panel.width_mm


def test_the_bench_shows_the_items_side() -> None:
    """With the item's side up a lopsided pattern keeps its hand: u, v and up are right-handed."""
    lopsided = HolePattern("odd", ((130.0, 90.0), (290.0, 90.0), (140.0, 170.0)))
    halves: tuple[HalfName, ...] = ("deep", "shallow")
    for half in halves:
        found = one_screen(Mount(by="sub-panel", pattern=lopsided), half=half, behind_mm=26.4)
        (board,) = of_kind(found, "sub-panel")
        holes = [one for one in board.holes if one.use.startswith("screw M4")]
        at = sorted((round(one.u_mm, 6), round(one.v_mm, 6)) for one in holes)
        # 20 mm of margin; the back is seen from above in the sheet, and so it is from the item
        expected = [(150.0, 110.0), (160.0, 190.0), (310.0, 110.0)]
        turned = sorted((460.0 - u, 302.0 - v) for u, v in expected)
        assert at in (expected, turned), half


def test_without_holes_nothing_is_known_of_the_screws() -> None:
    """No pattern: rails are made, what screws the item to them is unknown."""
    for found in (
        one_screen(Mount()),
        one_screen(Mount(by="sub-panel"), behind_mm=26.4),
        between_walls(pattern=None),
    ):
        assert said(found, "unknown")
        assert not [one for one in found.mounting.screwings if one.hole_mm is not None]


def test_an_unknown_thread_is_said() -> None:
    """A thread that no table knows makes no screw and no claim."""
    inch = evolve(PATTERN, thread="1/4 inch")
    found = one_screen(Mount(pattern=inch))
    assert any("1/4 inch" in one.what for one in said(found, "unknown"))


def test_screws_keep_clear_of_feet() -> None:
    """A foot right over a screw moves that screw along its rail, and no screw lies under it."""
    plain = one_screen()
    first = plain.mounting.holes[0].at_mm
    foot = Fitted("foot bottom 1", "foot", "rubber foot", "bottom", ("deep",), first, 0.0,
                  (38.0, 38.0))  # fmt: skip
    found = one_screen(fitted=(foot,))
    assert said(found) == []
    for hole in found.mounting.holes:
        off = max(abs(hole.at_mm[0] - first[0]), abs(hole.at_mm[1] - first[1]))
        assert off >= 19.0 + (hole.sink_mm or 0.0) / 2


def test_nothing_mounted_makes_nothing() -> None:
    """A kit that lies in foam has no supports, no screws, no words."""
    brick = Item("brick", Body((Section(rectangle(30.0, 60.0), 0.0, 30.0),)))
    place = Placement("brick", 1, "deep", 1, "top", 0.0, 45.0, 90.0, 25.0)
    found = held(Payload("foam", (brick,)), (place,))
    assert found.mounting == type(found.mounting)()


@settings(max_examples=40)
@given(
    behind_mm=st.floats(23.2, 55.0),
    at=st.tuples(st.floats(20.0, 50.0), st.floats(20.0, 30.0)),
    quarter=st.sampled_from((0, 2)),
    half=st.sampled_from(("deep", "shallow")),
    sunk=st.booleans(),
    run=st.sampled_from(("along", "up")),
)
def test_what_is_made_keeps_its_promises(
    behind_mm: float,
    at: tuple[float, float],
    quarter: int,
    half: HalfName,
    sunk: bool,
    run: Run,
) -> None:
    """However a screen stands: rails and packings fill the room behind it, and meet no body."""
    mount = Mount(pattern=PATTERN, sunk=sunk, rails=Rails(run=run))
    found = one_screen(
        mount, half=half, behind_mm=behind_mm, at=at, turn_deg=90.0 * quarter,
        depths_mm=(120.0, 120.0),
    )  # fmt: skip
    assert said(found) == []
    rails, packings = of_kind(found, "rail"), of_kind(found, "batten")
    assert len(rails) == 2
    for rail, packing in zip(rails, packings, strict=True):
        together = rail.thick_mm + packing.thick_mm
        assert together == pytest.approx(behind_mm + VOID_MM)
    placed = place_all(found.payload, found.placements)
    for support in found.mounting.supports:
        for copy in placed:
            for band in copy.solid.bands:
                solid = Solid("body", band.shape, band.z0_mm, band.z1_mm)
                assert overlap_mm(support.low_mm, support.high_mm, solid) < 1e-6
    for screw in found.mounting.screwings:
        if screw.hole_mm is not None:
            assert screw.length_mm <= screw.stack_mm + screw.hole_mm - 0.3 + 1e-9
            assert screw.engaged_mm >= 4.0
    holes = [hole.at_mm for hole in found.mounting.holes]
    for k, one in enumerate(holes):
        assert all(math.dist(one, other) >= 20.0 - 1e-6 for other in holes[k + 1 :])


def test_halves_swapped_give_the_same_supports_mirrored() -> None:
    """A screen in the other half has the same pieces and screws, turned over about the x axis."""
    deep, shallow = one_screen(half="deep"), one_screen(half="shallow")
    height = 160.0
    mirrored = sorted(
        (
            round(one.low_mm[0], 6), round(WIDTH_MM - one.high_mm[1], 6),
            round(height - one.high_mm[2], 6), round(one.high_mm[0], 6),
            round(WIDTH_MM - one.low_mm[1], 6), round(height - one.low_mm[2], 6),
        )
        for one in shallow.mounting.supports
    )  # fmt: skip
    assert mirrored == sorted(
        tuple(round(value, 6) for value in (*one.low_mm, *one.high_mm))
        for one in deep.mounting.supports
    )
    assert [(one.size, one.length_mm, one.count) for one in deep.mounting.screwings] == [
        (one.size, one.length_mm, one.count) for one in shallow.mounting.screwings
    ]


def test_alike_pieces_of_both_halves_are_alike_to_the_last_figure() -> None:
    """A void of 1.55 mm: the packings of both halves have one thickness, and one drawing."""
    from fitkit.payload.model import Wall

    item = screen(ON_RAILS, count=2)
    places = (Placement(item.name, 1, "deep", 1, "top", 0.0, 35.0, 25.0, 23.0),
              Placement(item.name, 2, "shallow", 1, "bottom", 0.0, 35.0, 25.0, 97.0))  # fmt: skip
    kit = Payload("two", (item,), case=CaseWishes(form="pair"), wall=Wall(panel_mm=6.9))
    found = held(kit, places)
    assert {one.thick_mm for one in of_kind(found, "batten")} == {4.55}
