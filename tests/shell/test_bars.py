"""Profiles as cut: lengths by hand, frames that close, legs that clear each other."""

from __future__ import annotations

import itertools
from collections import Counter

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from assemblies import frame_pieces, kits, leg, nested, outline, profiles, stacks
from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import CaseWishes, Payload, Profile, Wall
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import SIDES, Workshop
from fitkit.shell.bars import bars_of
from fitkit.shell.frame import out_of
from fitkit.shell.graph import assembly_of
from fitkit.shell.model import Assembly, Bar

INSIDE = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
KIT = Payload("kit", ())
CASE = assembly_of(INSIDE, payload=KIT)


def cut(profile: Profile, kind: str) -> Counter[tuple[float, float]]:
    """Long and short points of the worked case's profiles of a kind, counted."""
    bars = bars_of(CASE, wall=Wall(profile=profile))
    return Counter((bar.length_mm, bar.short_mm) for bar in bars if bar.kind == kind)


def overlaps(case: Assembly, profile: Profile) -> float:
    """The largest area that two legs share on a face of a part [mm2]."""
    bars = bars_of(case, wall=Wall(profile=profile))
    most = 0.0
    for part in case.parts:
        own = [bar for bar in bars if bar.part == part.name]
        for side in SIDES:
            legs = [leg(bar, side, part, profile=profile) for bar in own]
            found = [one for one in legs if one is not None]
            face = outline(part, side)
            assert all(face.buffer(1e-6).covers(one) for one in found)
            for one, two in itertools.combinations(found, 2):
                most = max(most, one.intersection(two).area)
    return most


@settings(max_examples=40)
@given(st.one_of(stacks(plates=True), nested()), profiles())
def test_no_two_legs_overlap(case: Assembly, profile: Profile) -> None:
    """On every face the legs of edge profiles and the leaves of closing ones lie side by side.

    Square with k >= a, mitred or butted; seen flat, as polygons on the face.
    """
    assert overlaps(case, profile) <= 1e-6


@settings(max_examples=40)
@given(stacks(), st.integers(1, 10))
def test_legs_collide_below_the_allowance(case: Assembly, short: int) -> None:
    """Square ends with k < a: legs of neighbours meet in squares of side a - k, on any case."""
    profile = Profile(leg_mm=30.0, corner_mm=30.0 - short)
    assert overlaps(case, profile) == pytest.approx(short**2)


@settings(max_examples=40)
@given(stacks(plates=True), profiles())
def test_closing_frames_close(case: Assembly, profile: Profile) -> None:
    """Seen in the closing plane, a mitred or butted frame fills its ring once; a square one less.

    The ring is as wide as the wall is thick: E x E less (E - 2 T) x (E - 2 T).
    """
    bars = bars_of(case, wall=Wall(profile=profile))
    thick = build_up_mm(profile)
    for part in case.parts:
        if part.plate:
            continue
        for side in part.open:
            pieces = frame_pieces(part, bars, side, profile=profile)
            face = outline(part, side)
            ring = face.difference(face.buffer(-thick, join_style="mitre"))
            assert len(pieces) == 4
            whole = shapely.union_all(pieces)
            assert whole.area == pytest.approx(sum(piece.area for piece in pieces))
            if profile.closing_ends == "square":
                assert ring.buffer(1e-6).covers(whole)
            else:
                assert whole.symmetric_difference(ring).area == pytest.approx(0, abs=1e-3)


@settings(max_examples=40)
@given(st.one_of(stacks(plates=True), nested()), profiles())
def test_lengths_are_between_the_ends(case: Assembly, profile: Profile) -> None:
    """A bar is as long as its ends are apart, its short point no longer, never nothing or less."""
    for bar in bars_of(case, wall=Wall(profile=profile)):
        part = case.part(bar.part)
        moves = [end - start for start, end in zip(bar.start_mm, bar.end_mm, strict=True)]
        assert sorted(map(abs, moves))[:2] == [0, 0]
        assert sum(moves) == pytest.approx(bar.length_mm)
        assert 0 < bar.short_mm <= bar.length_mm
        assert (bar.short_mm < bar.length_mm) == (bar.ends == "mitred")
        for side in bar.sides:
            axis, sense = out_of(side)
            plane = part.high_mm[axis] if sense > 0 else part.low_mm[axis]
            assert bar.start_mm[axis] == bar.end_mm[axis] == plane


def test_square() -> None:
    """E - 2 k between corners; an upright of a half is h - k - q; k is 35 here, q 25."""
    found = cut(Profile(corner_mm=35.0), "edge")
    assert found == {(530.0, 530.0): 4, (330.0, 330.0): 4, (140.0, 140.0): 4, (40.0, 40.0): 4}


def test_mitred() -> None:
    """Long point E, each mitre a = 30 shorter; uprights h - q, mitred at one end only."""
    found = cut(Profile(ends="mitred", corner_mm=42.0), "edge")
    assert found == {(600.0, 540.0): 4, (400.0, 340.0): 4, (175.0, 145.0): 4, (75.0, 45.0): 4}


def test_butt() -> None:
    """The long ones run through, E; the others stop a = 30 short of each corner."""
    found = cut(Profile(ends="butt", corner_mm=42.0), "edge")
    assert found == {(600.0, 600.0): 4, (340.0, 340.0): 4, (145.0, 145.0): 4, (45.0, 45.0): 4}


@pytest.mark.parametrize(
    ("ends", "wanted"),
    [
        ("mitred", {(600.0, 580.0): 2, (400.0, 380.0): 2}),
        ("butt", {(600.0, 600.0): 2, (380.0, 380.0): 2}),
        ("square", {(540.0, 540.0): 2, (340.0, 340.0): 2}),
    ],
)
def test_closing_frames(ends: str, wanted: dict[tuple[float, float], int]) -> None:
    """Mitred: E and E - 2 T; butt: 2 x L and 2 x (W - 2 T); square: E - 2 k. T is 10, k 30."""
    for kind in ("tongue", "groove"):
        assert cut(Profile(closing_ends=ends), kind) == wanted  # type: ignore[arg-type]  # by test


def test_ring_uprights() -> None:
    """A ring's uprights stop at both closing profiles: h - 2 q, 80 - 50."""
    payload = Payload("kit", (), workshop=Workshop(rings_mm=(80.0,)))
    bars = bars_of(assembly_of(INSIDE, payload=payload), wall=payload.wall)
    uprights = [bar for bar in bars if bar.part == "ring 1" and bar.kind == "edge"]
    assert [(bar.length_mm, bar.ends) for bar in uprights] == [(30.0, "square")] * 4


def test_tray_with_a_lid() -> None:
    """A tray has eight edges and four closing profiles; its flat lid a frame of four edges."""
    payload = Payload("kit", (), case=CaseWishes(form="tray"))
    case = assembly_of(Interior(580.0, 380.0, (Half("tray", 190.0),)), payload=payload)
    bars = bars_of(case, wall=payload.wall)
    assert Counter((bar.part, bar.kind) for bar in bars) == {
        ("tray", "edge"): 8,
        ("tray", "tongue"): 4,
        ("lid", "edge"): 4,
    }
    lid = [bar for bar in bars if bar.part == "lid"]
    assert sorted(bar.length_mm for bar in lid) == [340.0, 340.0, 540.0, 540.0]
    assert all("top" in bar.sides for bar in lid)


def test_names_and_places_by_hand() -> None:
    """An edge by its two faces, a closing profile by its wall and the open face; low end first."""
    bars: dict[str, Bar] = {bar.name: bar for bar in bars_of(CASE, wall=Wall())}
    front = bars["deep edge bottom front"]
    assert (front.start_mm, front.end_mm) == ((20.0, -10.0, -10.0), (560.0, -10.0, -10.0))
    upright = bars["shallow edge back right"]
    assert (upright.start_mm, upright.end_mm) == ((590.0, 390.0, 215.0), (590.0, 390.0, 260.0))
    tongue = bars["deep tongue left top"]
    assert (tongue.start_mm, tongue.end_mm) == ((-10.0, -10.0, 190.0), (-10.0, 390.0, 190.0))
    assert "shallow groove left bottom" in bars


@settings(max_examples=40)
@given(kits())
def test_no_piece_of_any_form_is_negative(drawn: tuple[Interior, Payload]) -> None:
    """Every form that is large enough has all its profiles: each edge of the graph carries one."""
    interior, payload = drawn
    case = assembly_of(interior, payload=payload)
    bars = bars_of(case, wall=payload.wall)
    whole = sum(12 for part in case.parts if not part.plate)
    flat = sum(4 for part in case.parts if part.plate)
    assert len(bars) == whole + flat
    assert overlaps(case, payload.wall.profile) <= 1e-6


def test_a_case_as_long_as_wide() -> None:
    """Where two ways are alike, butted profiles along x run through: nothing is left to chance."""
    inside = evolve(INSIDE, length_mm=380.0)
    wall = Wall(profile=Profile(ends="butt", closing_ends="butt"))
    bars = bars_of(assembly_of(inside, payload=Payload("kit", (), wall=wall)), wall=wall)
    through = {bar.name for bar in bars if bar.length_mm == 400.0}
    assert through == {
        "deep edge bottom front", "deep edge bottom back", "deep tongue front top",
        "deep tongue back top", "shallow edge top front", "shallow edge top back",
        "shallow groove front bottom", "shallow groove back bottom",
    }  # fmt: skip
