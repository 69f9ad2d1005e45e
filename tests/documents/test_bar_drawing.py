"""Workshop drawings of profiles: each piece once, with its ends, holes and cut-outs."""

from __future__ import annotations

import pytest
import shapely
from attrs import evolve

import hand_shell
import use_kits
from fitkit.documents.bar_drawing import bar_sheets
from fitkit.documents.bar_faces import Unfolded, pieces, unfolded
from fitkit.documents.clear_text import area_of
from fitkit.documents.sheet import Circle, Path, Text
from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import Payload, Profile
from fitkit.plan import Plan
from fitkit.shell.bars import bars_of
from fitkit.shell.graph import assembly_of
from fitkit.shell.model import Bar, Shell
from sheet_texts import assert_texts_apart


@pytest.fixture(scope="module")
def built(plan: Plan) -> Plan:
    """The demo plan with the worked example's shell."""
    return hand_shell.with_shell(plan)


def shell_of(plan: Plan) -> Shell:
    """The plan's shell, which is there."""
    assert plan.shell is not None
    return plan.shell


def laid(plan: Plan, name: str) -> Unfolded:
    """One bar unfolded."""
    shell = shell_of(plan)
    return unfolded(shell, shell.bar(name), profile=plan.payload.wall.profile)


def test_every_profile_is_on_one_drawing_with_its_count(built: Plan) -> None:
    """Twenty-four profiles in groups of one piece each; counts on the sheets add up to 24."""
    groups = pieces(shell_of(built), profile=built.payload.wall.profile)
    names = sorted(one.bar.name for group in groups for one in group)
    assert names == sorted(bar.name for bar in shell_of(built).bars)
    texts = [m.text for s in bar_sheets(built) for m in s.marks if isinstance(m, Text)]
    counts = [int(t.split(" × ")[0]) for t in texts if t.endswith(" profile") and m_is_count(t)]
    assert sum(counts) == 24
    assert len(counts) == len(groups)


def m_is_count(text: str) -> bool:
    """Whether a text is the heading of a row."""
    return text.split(" × ")[0].isdigit()


def test_every_hole_of_every_distinct_profile_is_drawn_once(built: Plan) -> None:
    """As many circles on the sheets as the distinct pieces have holes."""
    shell = shell_of(built)
    groups = pieces(shell, profile=built.payload.wall.profile)
    wanted = sum(
        sum(1 for hole in shell.holes if group[0].bar.name in hole.pieces) for group in groups
    )
    circles = [m for s in bar_sheets(built) for m in s.marks if isinstance(m, Circle)]
    assert len(circles) == wanted > 40


def test_holes_count_from_the_left_end_as_seen_from_outside(built: Plan) -> None:
    """The shallow groove at the front: u is x from the case's left, v the height over the plane."""
    one = laid(built, "shallow groove front bottom")
    assert one.left == "left"
    assert one.upper.side == "front"
    holes = [h for h in shell_of(built).holes if one.bar.name in h.pieces]
    got = sorted((d.u_mm, d.v_mm) for d in one.upper.holes)
    wanted = sorted((h.at_mm[0] + 10.0, h.at_mm[2] - 190.0) for h in holes)
    for a, b in zip(got, wanted, strict=True):
        assert a == pytest.approx(b)


def test_a_tongue_is_turned_so_that_its_leaf_lies_above(built: Plan) -> None:
    """The deep half's leaf hangs below its plane: as drawn, left is the case's right."""
    one = laid(built, "deep tongue front top")
    assert one.left == "right"
    holes = [h for h in shell_of(built).holes if one.bar.name in h.pieces]
    got = sorted((d.u_mm, d.v_mm) for d in one.upper.holes)
    wanted = sorted((590.0 - h.at_mm[0], 190.0 - h.at_mm[2]) for h in holes)
    for a, b in zip(got, wanted, strict=True):
        assert a == pytest.approx(b)


def test_latch_cut_outs_of_both_halves_line_up(built: Plan) -> None:
    """From and to in the groove are those in the tongue, counted from the other end, on one line.

    The same places as the panels' openings: latches at x 130 and 430, 90 wide, case from -10.
    """
    groove, tongue = (
        laid(built, "shallow groove front bottom"),
        laid(built, "deep tongue front top"),
    )
    spans = [(a, b) for a, b, _ in groove.upper.cuts]
    assert sorted(spans) == [(95.0, 185.0), (395.0, 485.0)]
    turned = sorted((600.0 - b, 600.0 - a) for a, b, _ in tongue.upper.cuts)
    assert turned == sorted(spans)
    for one in (groove, tongue):
        left = one.upper.shape(600.0)
        assert float(left.area) == pytest.approx(600 * 25 - 2 * 90 * 25)


def test_mitres_are_drawn_at_45_degrees(built: Plan) -> None:
    """A closing profile's plane is a trapezoid from long point to short point, T deep."""
    one = laid(built, "deep tongue back top")
    shape = one.lower.shape(600.0)
    xy = shapely.get_coordinates(shape)
    inner = sorted({float(x) for x, y in xy if y > 5})
    assert inner == [10.0, 590.0]
    assert float(max(y for _, y in xy)) == pytest.approx(10.0)
    assert one.lower.side is None


def _mitred(profile: Profile) -> tuple[Shell, Payload]:
    payload = Payload("kit", ())
    payload = evolve(payload, wall=evolve(payload.wall, profile=profile))
    inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    assembly = assembly_of(inside, payload=payload)
    return Shell(assembly, (), bars_of(assembly, wall=payload.wall), ()), payload


def test_mitred_edges_have_their_short_point_on_both_legs() -> None:
    """Both ends of a bottom edge; only the end away from the closing plane of an upright."""
    profile = Profile(ends="mitred")
    shell, _ = _mitred(profile)
    for bar in shell.bars:
        if bar.kind != "edge":
            continue
        one = unfolded(shell, bar, profile=profile)
        for leg in (one.upper, one.lower):
            xy = shapely.get_coordinates(leg.shape(bar.length_mm))
            inner = [float(x) for x, y in xy if abs(y - leg.wide_mm) < 1e-9]
            assert max(inner) - min(inner) == pytest.approx(bar.short_mm)
        upright = {"front", "back"} & set(bar.sides) and {"left", "right"} & set(bar.sides)
        assert sum(1 for less in one.upper.less_mm if less) == (1 if upright else 2)


def test_an_unfolded_leg_is_seen_from_outside(built: Plan) -> None:
    """Along, away from the fold and out of the face are a right-handed frame, for all 24 profiles.

    Worked out here with cross products from the case's coordinates alone.
    """
    outs = {"left": (-1, 0, 0), "right": (1, 0, 0), "front": (0, -1, 0), "back": (0, 1, 0),
            "bottom": (0, 0, -1), "top": (0, 0, 1)}  # fmt: skip
    for bar in shell_of(built).bars:
        one = laid(built, bar.name)
        ends = (bar.end_mm, bar.start_mm) if one.turned else (bar.start_mm, bar.end_mm)
        along = [b - a for a, b in zip(*ends, strict=True)]
        assert one.upper.side is not None
        other = bar.sides[1] if one.upper.side == bar.sides[0] else bar.sides[0]
        away = [-v for v in outs[other]]
        cross = (along[1] * away[2] - along[2] * away[1],
                 along[2] * away[0] - along[0] * away[2],
                 along[0] * away[1] - along[1] * away[0])  # fmt: skip
        assert sum(c * o for c, o in zip(cross, outs[one.upper.side], strict=True)) > 0, bar.name


def test_turned_end_for_end_an_edge_profile_is_the_same_piece(built: Plan) -> None:
    """Start and end swapped in the record: the same drawing."""
    shell = shell_of(built)
    bar = shell.bar("deep edge bottom back")
    other = Bar(bar.part, bar.kind, bar.sides, bar.end_mm, bar.start_mm, bar.length_mm,
                bar.short_mm, bar.ends)  # fmt: skip
    swapped = evolve(shell, bars=tuple(other if b is bar else b for b in shell.bars))
    profile = built.payload.wall.profile
    a, b = unfolded(shell, bar, profile=profile), unfolded(swapped, other, profile=profile)
    assert [(round(d.u_mm, 6), round(d.v_mm, 6)) for d in a.upper.holes] == [
        (round(d.u_mm, 6), round(d.v_mm, 6)) for d in b.upper.holes
    ]


def test_no_text_overlaps_and_none_is_cut_off(built: Plan) -> None:
    """On every sheet; 2.5 mm at the least."""
    for sheet in bar_sheets(built):
        assert_texts_apart(sheet)


def test_steps_are_not_struck_through_by_leaders() -> None:
    """With the screws of a loose back between the rivets, each row tells its steps beside them."""
    steps = 0
    for sheet in bar_sheets(use_kits.plan_of(removable=True)):
        lines = [
            shapely.LineString([vertex[:2] for vertex in contour.vertices])
            for mark in sheet.marks
            if isinstance(mark, Path) and mark.style.stroke == "quiet"
            for contour in mark.contours
        ]
        for mark in sheet.marks:
            if isinstance(mark, Text) and " = " in mark.text:
                steps += 1
                assert not any(line.intersects(area_of(mark)) for line in lines), mark.text
    assert steps >= 5


def test_without_a_shell_there_are_no_sheets(plan: Plan) -> None:
    """None, and no error."""
    assert bar_sheets(evolve(plan, shell=None)) == []


def test_what_is_tapped_in_a_rim_is_drawn_on_its_closing_plane() -> None:
    """Screws of a loose back: each rim has its holes in the lower leg, and says the tap."""
    plan = use_kits.plan_of(removable=True)
    shell = plan.shell
    assert shell is not None
    taps = [hole for hole in shell.holes if hole.fastener == "tapped M4"]
    drawn = 0
    for group in pieces(shell, profile=plan.payload.wall.profile):
        for one in group:
            mine = [hole for hole in taps if one.bar.name in hole.pieces]
            assert len(one.lower.holes if mine else ()) == len(mine)
            assert all(drilled.v_mm == pytest.approx(5.0) for drilled in one.lower.holes if mine)
            drawn += len(mine)
    assert drawn == len(taps) > 0
    texts = " ".join(m.text for sheet in bar_sheets(plan) for m in sheet.marks
                     if isinstance(m, Text))  # fmt: skip
    assert "tapped M4" in texts
