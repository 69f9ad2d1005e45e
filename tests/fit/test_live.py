"""The table that answers each move says what the plain functions say."""

from __future__ import annotations

import random

import pytest
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import hand_plan
from fitkit.fit.gaps import Gap, failing_gaps, gaps_of
from fitkit.fit.live import Table
from fitkit.fit.move import PlanBox, following_box, key_of, settled, shifted_to, turned_to
from fitkit.fit.validate import violations
from strategies import layouts

PAYLOAD = hand_plan.payload()
LAID = hand_plan.placements()
INTERIOR = hand_plan.plan().fit.interior
BOX = following_box(PAYLOAD, INTERIOR, LAID)
SOME = settings(
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def figures(gaps: tuple[Gap, ...]) -> list[tuple[object, ...]]:
    """Gaps as plain values, lengths to a millionth of a millimetre."""
    return [
        (
            gap.left,
            gap.right,
            gap.kind,
            gap.names,
            gap.verdict,
            *(round(v, 6) + 0.0 for v in (gap.gap_mm, gap.limit_mm, *gap.a_mm, *gap.b_mm)),
        )
        for gap in gaps
    ]


def strewn_on(payload, placements, moves, seed):
    """The placements after a few random moves and turns, one after another."""
    rng = random.Random(seed)
    for _ in range(moves):
        key = key_of(rng.choice(placements))
        if rng.random() < 0.3:
            placements = turned_to(
                payload, placements, key, turn_deg=rng.choice((90.0, 180.0, 25.0))
            )
        else:
            at = (rng.uniform(-40.0, 300.0), rng.choice((0.0, 64.0, rng.uniform(-40.0, 250.0))))
            placements = shifted_to(placements, key, x_mm=at[0], y_mm=at[1])
        yield placements


@SOME
@given(layout=layouts(), moves=st.integers(1, 6), seed=st.integers(0, 999))
def test_after_any_moves_the_table_says_what_the_plain_functions_say(layout, moves, seed) -> None:
    """Gaps, failing pairs and the box, kept from move to move, are those of a fresh look."""
    payload, interior, placements = layout
    table = Table.of(payload, placements)
    for now in strewn_on(payload, placements, moves, seed):
        table = table.moved(now)
        assert table.following_box(interior) == following_box(payload, interior, now)
        assert figures(table.failing()) == figures(failing_gaps(payload, now))
        box = PlanBox(0.0, 0.0, interior.length_mm, interior.width_mm)
        for placement in now:
            key = key_of(placement)
            plain = gaps_of(payload, now, key, box=box)
            assert figures(table.gaps(key, box=box)) == figures(plain)


@SOME
@given(
    layout=layouts(), corner=st.sampled_from([0.0, 10.0, 60.0]), draft=st.sampled_from([0.0, 4.0])
)
def test_who_is_outside_is_who_the_check_says(layout, corner, draft) -> None:
    """Those nearer to the walls than their clearance, or whose zones leave the room."""
    payload, interior, placements = layout
    interior = evolve(interior, corner_mm=corner, draft_deg=draft)
    box = PlanBox(40.0, -25.0, 40.0 + interior.length_mm, -25.0 + interior.width_mm)
    here = settled(interior, placements, box)[1]
    expected = set()
    for before, one in zip(placements, here, strict=True):
        alone = violations(payload, interior=interior, placements=(one,))
        inside = [v for v in alone if v.kind == "inside" and v.right == "the wall"]
        if inside or any(v.kind == "wall" for v in alone):
            expected.add(key_of(before))
    assert set(Table.of(payload, placements).outside_walls(box, interior=interior)) == expected


@SOME
@given(layout=layouts(), share=st.floats(0.2, 0.8), seed=st.integers(0, 99))
def test_gaps_of_several_are_those_to_the_others(layout, share, seed) -> None:
    """A failing gap of a member to one outside is shown, none between members is."""
    payload, interior, placements = layout
    rng = random.Random(seed)
    keys = {key_of(p) for p in placements if rng.random() < share} or {key_of(placements[0])}
    box = PlanBox(0.0, 0.0, interior.length_mm, interior.width_mm)
    shown = Table.of(payload, placements).gaps(keys, box=box, most=9)
    assert all(gap.left in keys and gap.right not in keys for gap in shown)
    every = [gap for key in keys for gap in gaps_of(payload, placements, key, box=box, most=99)]
    across = [g for g in every if g.right not in keys]
    failing = [g for g in across if g.verdict == "fails" and g.kind != "wall"]
    said = [g for g in shown if g.verdict == "fails" and g.kind != "wall"]
    assert sorted(figures(tuple(said))) == sorted(figures(tuple(failing)))
    for name in ("left wall", "right wall", "front wall", "back wall"):
        least = min((g.gap_mm for g in every if g.right == name), default=None)
        mine = [g.gap_mm for g in shown if g.right == name]
        assert len(mine) <= 1
        if mine:
            assert mine == [pytest.approx(least, abs=1e-9)]


def test_a_table_keeps_what_did_not_move() -> None:
    """Outlines of all who stayed are the same objects; a layout like before the same table."""
    table = Table.of(PAYLOAD, LAID)
    after = table.moved(shifted_to(LAID, ("float", 2), x_mm=390.0, y_mm=101.0))
    kept = [a is b for a, b in zip(table.bodies, after.bodies, strict=True)]
    assert kept == [p.item != "float" or p.copy == 1 for p in LAID]
    assert table.moved(hand_plan.placements()) is table


def test_a_table_takes_another_set_of_items() -> None:
    """With an item left out the table is that of the rest."""
    table = Table.of(PAYLOAD, LAID).moved(LAID[1:])
    assert table.rows == {key_of(p): row for row, p in enumerate(LAID[1:])}
    with pytest.raises(KeyError):
        table.gaps(("recorder", 1), box=BOX)


def test_a_round_corner_and_a_lean_put_items_outside_that_a_plain_box_holds() -> None:
    """At the wall clearance from both sides a sharp corner is too near to a large round one."""
    table = Table.of(PAYLOAD, LAID)
    assert table.outside_walls(BOX) == ()
    assert table.outside_walls(BOX, interior=INTERIOR) == ()
    # radius 70 less 20 of clearance: a corner of radius 8 stands (50 - 8)(sqrt 2 - 1) too far out
    round_corner = evolve(INTERIOR, corner_mm=70.0)
    assert ("hydrophone box", 1) in table.outside_walls(BOX, interior=round_corner)
    leaning = evolve(INTERIOR, draft_deg=3.0)
    named = set(table.outside_walls(BOX, interior=leaning))
    assert named == {("recorder", 1), ("hydrophone box", 1), ("float", 1), ("float", 2),
                     ("calibrator", 1)}  # fmt: skip
