"""Where rivets go: clear of edges, hardware and each other, six to a corner, even-handed."""

from __future__ import annotations

import math
from collections import Counter
from itertools import combinations, pairwise

import numpy as np
import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from assemblies import leg
from fitkit.payload.model import Payload, Profile, Wall
from fitkit.payload.workshop import HardwareType, HoleAt
from fitkit.reference.rivets import rivet_sizes
from fitkit.shell.frame import to_bar, to_face, to_panel
from fitkit.shell.model import Fitted, Opening
from fitkit.shell.rivet_rows import HEAD_GAP_MM, rivets_of
from riveted import WORKED, Riveted, cases, on_face, plain, riveted, wished

EPS = 1e-6


def diameter(case: Riveted) -> float:
    """The rivets' diameter."""
    return case.payload.workshop.hardware.rivet_mm


@settings(max_examples=20, deadline=None)
@given(cases())
def test_every_rivet_goes_through_the_leaf_and_the_panel_that_it_names(case: Riveted) -> None:
    """One and a half diameters from every edge of its panel and of its leaf, at the least.

    From memory: EN 1993-1-3, table 8.1 (1.5 d).
    """
    least = 1.5 * diameter(case)
    for hole in case.holes:
        bar, panel = case.bar(hole.pieces[0]), case.panel(hole.pieces[1])
        u, v = to_panel(panel, hole.at_mm)
        assert least - EPS <= u <= panel.length_mm - least + EPS
        assert least - EPS <= v <= panel.width_mm - least + EPS
        part = case.assembly.part(bar.part)
        outline = leg(bar, hole.side, part, profile=case.payload.wall.profile)
        assert outline is not None
        point = shapely.Point(to_face(hole.side, hole.at_mm))
        assert outline.contains(point)
        # a mitre's slope is met squarely: the way along the leaf is what is kept there
        along, away = to_bar(bar, hole.at_mm, hole.side)
        assert least - EPS <= along <= bar.length_mm - least + EPS
        assert away >= least - EPS
        assert hole.diameter_mm == pytest.approx(diameter(case) + 0.1)


@settings(max_examples=20, deadline=None)
@given(cases())
def test_no_row_runs_under_hardware(case: Riveted) -> None:
    """Every rivet of a profile keeps its head and a millimetre clear of every flange."""
    clear = rivet_sizes()[diameter(case)].head_mm / 2 + HEAD_GAP_MM
    for (_, side), holes in case.rows().items():
        for one in case.fitted:
            if one.side != side:
                continue
            u, v = to_face(one.side, one.centre_mm)
            for hole in holes:
                at = to_face(hole.side, hole.at_mm)
                beside = max(
                    abs(at[0] - u) - one.size_mm[0] / 2, abs(at[1] - v) - one.size_mm[1] / 2
                )
                assert beside >= clear - EPS


@settings(max_examples=20, deadline=None)
@given(cases())
def test_no_two_rivets_are_too_near(case: Riveted) -> None:
    """Three diameters lie between any two on a face. From memory: EN 1993-1-3, table 8.1."""
    by_side: dict[str, list[tuple[float, float]]] = {}
    for hole in case.holes:
        by_side.setdefault(hole.side, []).append(to_face(hole.side, hole.at_mm))
    for places in by_side.values():
        nearest = min((math.dist(a, b) for a, b in combinations(places, 2)), default=math.inf)
        assert nearest >= 3 * diameter(case) - EPS


@settings(max_examples=20, deadline=None)
@given(cases())
def test_rivets_are_within_the_pitch_or_hardware_lies_between(case: Riveted) -> None:
    """Neighbours of a row further apart than the pitch have a flange on the line between them."""
    pitch = case.payload.workshop.hardware.pitch_mm
    clear = rivet_sizes()[diameter(case)].head_mm / 2 + HEAD_GAP_MM
    for (name, side), holes in case.rows().items():
        bar = case.bar(name)
        mine = sorted(holes, key=lambda hole: to_bar(bar, hole.at_mm, side)[0])
        for one, two in pairwise(mine):
            gap = to_bar(bar, two.at_mm, side)[0] - to_bar(bar, one.at_mm, side)[0]
            if gap <= pitch + EPS:
                continue
            line = shapely.LineString([to_face(side, one.at_mm), to_face(side, two.at_mm)])
            assert any(
                fitted.side == side and flange(fitted, clear).intersects(line)
                for fitted in case.fitted
            )


def flange(fitted: Fitted, clear: float) -> shapely.Polygon:
    """What a piece of hardware keeps free on its face."""
    u, v = to_face(fitted.side, fitted.centre_mm)
    wide, tall = fitted.size_mm
    return shapely.box(
        u - wide / 2 - clear, v - tall / 2 - clear, u + wide / 2 + clear, v + tall / 2 + clear
    )


@settings(max_examples=15, deadline=None)
@given(cases(), st.sampled_from((0.5, 0.7, 0.9)))
def test_a_smaller_pitch_never_means_fewer_rivets(case: Riveted, share: float) -> None:
    """In every row, whatever lies in its way."""
    pitch = case.payload.workshop.hardware.pitch_mm * share
    finer = rivet_again(case, pitch_mm=pitch)
    fine = Counter((hole.owner, hole.side) for hole in finer.holes)
    for key, count in Counter((hole.owner, hole.side) for hole in case.holes).items():
        assert fine[key] >= count


def rivet_again(case: Riveted, **changes: object) -> Riveted:
    """The same case and hardware with other wishes."""
    payload = wished(case.payload, **changes)
    holes, troubles = rivets_of(
        payload,
        assembly=case.assembly,
        panels=case.panels,
        bars=case.bars,
        corners=case.corners,
        fitted=case.fitted,
        openings=case.openings,
    )
    return evolve(case, payload=payload, holes=holes, troubles=troubles)


@settings(max_examples=15, deadline=None)
@given(cases(most=0))
def test_rivets_are_symmetrical(case: Riveted) -> None:
    """Where nothing lies on the case, what is left of its middle is right of it too.

    Common practice, no source. Cases whose left and right are made alike: no opening there.
    """
    if case.payload.workshop.opening != "lid" and case.payload.case.form == "tray":
        return
    middle = case.assembly.low_mm[0] + case.assembly.high_mm[0]
    swap = {"left": "right", "right": "left"}
    for side in ("bottom", "top", "front", "back", "left", "right"):
        here = [hole.at_mm for hole in case.holes if hole.side == side]
        over = [hole.at_mm for hole in case.holes if hole.side == swap.get(side, side)]
        assert len(here) == len(over)
        there = np.array([(middle - x, y, z) for x, y, z in over])
        for at in here:
            assert np.abs(there - at).max(axis=1).min() < 1e-6


def test_the_worked_example() -> None:
    """600 x 400 x 300, rivets of 4 mm every 100 mm: six at each corner, rows by the rule.

    Common practice, no source: n = ceil((c - 2 e) / pitch) + 1 for each leg. By hand: an edge of
    540 has e = 20 (rest of the corner's leg) + 4 (half a head) + 1 = 25 at each end, so
    ceil(490 / 100) + 1 = 6; one of 340 has ceil(290 / 100) + 1 = 4; uprights of 145 have 25 at one
    end and two diameters, 8, at the other: ceil(112 / 100) + 1 = 3, and those of 45 have 2.
    Closing profiles of 600 start two diameters inside the panel's edge, 18.5: ceil(563 / 100) + 1
    = 7, and those of 400 have ceil(363 / 100) + 1 = 5.
    """
    case = riveted(WORKED, Payload("kit", ()))
    assert case.troubles == ()
    counts = {key: len(holes) for key, holes in case.rows().items()}
    for (name, _), count in counts.items():
        bar = case.bar(name)
        expected = (
            {540.0: 6, 340.0: 4, 145.0: 3, 45.0: 2} if bar.kind == "edge" else {600.0: 7, 400.0: 5}
        )[bar.length_mm]
        assert count == expected
    assert len(counts) == 2 * 16 + 8
    corners = Counter(hole.owner for hole in case.holes if hole.owner.startswith("corner "))
    assert len(corners) == 8
    assert set(corners.values()) == {6}
    # in the middle of the leg's 30 to 50 mm that lie over the profile, in line with its row
    for corner in case.corners:
        for hole in case.holes:
            if hole.owner == f"corner {corner.part} {' '.join(corner.sides)}":
                away = (abs(a - b) for a, b in zip(hole.at_mm, corner.at_mm, strict=True))
                assert sorted(away) == pytest.approx([0.0, 17.75, 40.0])
    # in the middle of what panel and inner leaf share: 10.5 to 25, and 4.5 to 19
    lines = {
        (case.bar(name).kind, round(to_bar(case.bar(name), hole.at_mm, hole.side)[1], 6))
        for (name, _), holes in case.rows().items()
        for hole in holes
    }
    assert lines == {("edge", 17.75), ("tongue", 11.75), ("groove", 13.75)}


def test_a_loose_lid_has_two_rivets_at_each_corner() -> None:
    """A flat part has one panel, so each of its four corners has one rivet on each leg there."""
    tray = evolve(WORKED, halves=(evolve(WORKED.halves[0], name="tray"),))
    kit = Payload("kit", ())
    case = riveted(tray, evolve(kit, case=evolve(kit.case, form="tray")))
    corners = Counter(hole.owner for hole in case.holes if hole.owner.startswith("corner lid"))
    assert len(corners) == 4
    assert set(corners.values()) == {2}


def test_a_corner_as_the_builder_measured_it() -> None:
    """Its own holes are drilled, on every face, mirrored about the corner; no others."""
    holes = (HoleAt(12.0, -8.0, 4.2), HoleAt(-8.0, 12.0, 4.2))
    own = HardwareType("corner", "ball corner", (48.0, 48.0), holes=holes)
    case = riveted(WORKED, plain(types=(own,)))
    for corner in case.corners:
        if corner.kind != "outer":
            continue
        for side in corner.sides:
            u, v = to_face(side, corner.at_mm)
            found = {
                (round(abs(a - u), 6), round(abs(b - v), 6))
                for hole in case.holes
                if hole.owner == f"corner {corner.part} {' '.join(corner.sides)}"
                and hole.side == side
                for a, b in [to_face(side, hole.at_mm)]
            }
            assert found == {(36.0, 16.0), (16.0, 36.0)}
    low, high = case.assembly.low_mm, case.assembly.high_mm
    assert all(
        low[axis] <= hole.at_mm[axis] <= high[axis] for hole in case.holes for axis in range(3)
    )


def test_openings_are_kept_clear() -> None:
    """No rivet lies in an opening or within two diameters of it."""
    bare = riveted(WORKED, Payload("kit", ()))
    deep = bare.panel("deep front")
    hole = shapely.box(200.0, 120.0, 380.0, deep.width_mm)
    case = riveted(WORKED, bare.payload, openings=(Opening(deep.name, "latch", hole),))
    places = [to_panel(deep, one.at_mm) for one in case.holes if deep.name in one.pieces]
    assert min(hole.distance(shapely.Point(at)) for at in places) >= 8.0 - EPS
    before = [to_panel(deep, one.at_mm) for one in bare.holes if deep.name in one.pieces]
    assert min(hole.distance(shapely.Point(at)) for at in before) == 0.0


@pytest.mark.parametrize(
    ("profile", "where", "short"),
    [
        # panel from 10.5, leaf to 20: 9.5 mm shared, 12 asked for
        (Profile(leg_mm=20.0, corner_mm=30.0), "edge profiles", 2.5),
        # legs reach 40, the profile starts at 30: 10 mm, 12 asked for
        (Profile(corner_reach_mm=40.0), "corners of deep half", 2.0),
    ],
)
def test_no_room_for_a_rivet_is_said_in_millimetres(
    profile: Profile, where: str, short: float
) -> None:
    """What is too narrow or too short comes back with its place, how much, and what would do."""
    case = riveted(WORKED, Payload("kit", (), wall=Wall(profile=profile)))
    found = [trouble for trouble in case.troubles if trouble.where == where]
    assert len(found) == 1
    assert found[0].short_mm == pytest.approx(short)
    assert found[0].remedy


def test_a_flange_over_a_corners_rivet_is_said() -> None:
    """A foot in the very corner lies over the corner's rivets: named, with the millimetres."""
    bare = riveted(WORKED, Payload("kit", ()))
    u, v = to_face("bottom", bare.assembly.low_mm)
    # the rivets are 40 mm along and 17.75 mm away; the flange starts 25 mm from one edge and 20
    # from the other: the head wants 5 mm, so 2.75 are missing at the nearer one
    foot = on_face(bare.assembly, "bottom", (u - 55.0, v + 50.0), (60.0, 60.0), kind="foot")
    case = riveted(WORKED, bare.payload, (foot,))
    assert [trouble.where for trouble in case.troubles] == [foot.name]
    assert case.troubles[0].short_mm == pytest.approx(2.75)
    clear = on_face(bare.assembly, "bottom", (u - 60.0, v + 60.0), (60.0, 60.0), kind="foot")
    assert riveted(WORKED, bare.payload, (clear,)).troubles == ()


def test_rows_beyond_a_short_inner_leaf() -> None:
    """An inner leaf too short for the rivet: the row runs beyond it, its tails on the panel."""
    short = evolve(Profile(), engagement_mm=6.0, leg_mm=35.0, corner_mm=35.0, corner_reach_mm=55.0)
    case = riveted(WORKED, Payload("kit", (), wall=Wall(profile=short)))
    for (name, side), holes in case.rows().items():
        if case.bar(name).kind == "edge":
            for hole in holes:
                assert to_bar(case.bar(name), hole.at_mm, side)[1] >= 16.0 + 4.0 - EPS
