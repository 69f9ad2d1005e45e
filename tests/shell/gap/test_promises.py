"""What must hold of any two things face to face."""

from __future__ import annotations

import re
from collections import Counter

import numpy as np
import pytest
from attrs import evolve
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity

from fitkit.checks.closing_gap import verdict_of
from fitkit.fit.layout import Half, HalfName, Interior, Placement
from fitkit.fit.place import Placed, place_all
from fitkit.payload.closing import Closing, Tolerances
from fitkit.payload.model import Item, Payload
from fitkit.payload.mounts import Mount
from fitkit.payload.pose import flipped
from fitkit.shell.gap.facing import side_play_mm
from fitkit.shell.gap.model import Gap
from fitkit.shell.gap.recess import recesses_needed_mm
from gap_kits import block, gaps, kit, rails, room, stand, sub_panel

SLOW = settings(max_examples=40, deadline=None)


@st.composite
def closings(draw: st.DrawFn) -> Closing:
    """Tolerances, loads and falls within what a workshop has."""
    some = st.sampled_from((0.0, 0.2, 0.5, 1.0))
    return Closing(
        tolerances=Tolerances(*(draw(some) for _ in range(6))),
        keep_mm=draw(st.sampled_from((0.0, 2.0, 5.0))),
        load_n=draw(st.sampled_from((0.0, 100.0, 400.0))),
        drop_mm=draw(st.sampled_from((50.0, 300.0, 760.0))),
        shock_g=draw(st.sampled_from((None, 40.0, 85.0))),
    )


@st.composite
def things(draw: st.DrawFn, name: str, *, mounted: bool | None = None) -> Item:
    """A block with or without a knob, on rails, on a sub-panel, or in foam."""
    mounts: tuple[Mount | None, ...] = (rails(), sub_panel())
    if mounted is None:
        mounts = (*mounts, None)
    return block(
        name,
        size=(draw(st.sampled_from((80.0, 200.0))), draw(st.sampled_from((60.0, 140.0))), 30.0),
        knob_mm=draw(st.sampled_from((0.0, 12.0, 25.0))),
        mount=draw(st.sampled_from(mounts)),
        mass_kg=draw(st.sampled_from((0.3, 2.0, 5.0))),
        fragility_g=draw(st.sampled_from((25.0, 60.0, 115.0))),
        uncertainty_mm=draw(st.sampled_from((0.0, 0.5, 1.5))),
    )


@st.composite
def layouts(draw: st.DrawFn, *, mounted: bool | None = None) -> tuple[Payload, list[Placement]]:
    """Two things face to face in a pair of halves, anywhere over each other."""
    below, above = draw(things("low", mounted=mounted)), draw(things("high", mounted=mounted))
    payload = kit(below, above, closing=draw(closings()))
    halves: tuple[tuple[Item, HalfName], ...] = ((below, "deep"), (above, "shallow"))
    recess = st.sampled_from((-10.0, 0.0, 5.0, 15.0, 30.0, 60.0))
    place = st.sampled_from((30.0, 60.0, 100.0, 140.0))
    return payload, [
        stand(
            item, half, inside=INSIDE, recess_mm=draw(recess), x=draw(place), y=draw(place)
        )
        for item, half in halves
    ]  # fmt: skip


INSIDE = room(130.0, 130.0)


def meet(low: Placed, high: Placed, *, closer_mm: float, aside: tuple[float, float]) -> bool:
    """Whether two bodies share room once one has come closer by so much and moved aside.

    Every height on the way there counts: a body that has been passed through is met as well.
    """
    for below in low.solid.bands:
        for above in high.solid.bands:
            moved = affinity.translate(above.shape, *aside)
            if above.z0_mm - closer_mm < below.z1_mm and below.shape.intersection(moved).area > 0:
                return True
    return False


@SLOW
@given(layouts(), st.floats(0, 360), st.floats(0, 1))
def test_at_the_worst_bodies_do_not_meet(
    drawn: tuple[Payload, list[Placement]], turn_deg: float, share: float
) -> None:
    """Where the verdict is ok, all contributions at their worst leave what is to be kept."""
    payload, placements = drawn
    # set the upper one back (or forward) until the gap is only just kept
    for gap in gaps(payload, *placements, inside=INSIDE):
        if (gap.deep, gap.shallow) == ("low", "high"):
            up_mm = gap.keep_mm - gap.worst_mm
            placements[1] = evolve(placements[1], z_mm=placements[1].z_mm + up_mm)
    low, high = place_all(payload, tuple(placements))
    play = side_play_mm(low, payload) + side_play_mm(high, payload)
    way = share * play * np.array(
        [np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))]
    )  # fmt: skip
    for gap in gaps(payload, *placements, inside=INSIDE):
        if {gap.deep, gap.shallow} != {"low", "high"} or verdict_of(gap) != "ok":
            continue
        taken = sum(one.mm or 0.0 for one in gap.contributions)
        aside = (float(way[0]), float(way[1]))
        assert not meet(low, high, closer_mm=taken + gap.keep_mm - 0.011, aside=aside)


@SLOW
@given(layouts(mounted=True), st.sampled_from((0, 1)), st.floats(0.1, 30.0))
def test_more_recess_never_shrinks_a_gap(
    drawn: tuple[Payload, list[Placement]], side: int, more_mm: float
) -> None:
    """Setting mounted gear back by some millimetres widens its gaps by as much, at worst too."""
    payload, placements = drawn
    was = {(gap.deep, gap.shallow): gap for gap in gaps(payload, *placements, inside=INSIDE)}
    down = more_mm if side else -more_mm
    placements[side] = evolve(placements[side], z_mm=placements[side].z_mm + down)
    now = {(gap.deep, gap.shallow): gap for gap in gaps(payload, *placements, inside=INSIDE)}
    assert now.keys() == was.keys() or any("foam" in label for pair in was for label in pair)
    for pair, gap in now.items():
        if pair in was:
            assert gap.nominal_mm >= was[pair].nominal_mm - 1e-9
            assert gap.worst_mm >= was[pair].worst_mm - 1e-9
            if pair == ("low", "high"):
                assert gap.worst_mm == pytest.approx(was[pair].worst_mm + more_mm)


def mirrored(place: Placement, inside: Interior, payload: Payload) -> Placement:
    """The same copy with the whole case turned upside down about its long axis."""
    (one,) = place_all(payload, (place,))
    face, turn = flipped(place.up, place.turn_deg)
    _, _, _, y1 = one.solid.silhouette.bounds
    return evolve(
        place,
        half="shallow" if place.half == "deep" else "deep",
        up=face,
        turn_deg=turn,
        y_mm=inside.width_mm - y1,
        z_mm=inside.height_mm - one.z1_mm,
    )


def other_half(text: str) -> str:
    """A label as it reads with the halves swapped."""
    swap = {"deep": "shallow", "shallow": "deep", "bottom": "top", "top": "bottom"}
    return re.sub(r"\b(deep|shallow|bottom|top)\b", lambda found: swap[found[0]], text)


def told(gap: Gap) -> Counter[tuple[str, str, float | None]]:
    """What a gap counts, in no order."""
    return Counter(
        (one.what, one.kind, None if one.mm is None else round(one.mm, 6))
        for one in gap.contributions
    )


@SLOW
@given(layouts())
def test_halves_swapped_give_the_same_gaps_mirrored(
    drawn: tuple[Payload, list[Placement]],
) -> None:
    """Upside down the case has the same gaps: sides change places, every figure stays."""
    payload, placements = drawn
    inside = evolve(INSIDE, halves=(Half("deep", 130.0), Half("shallow", 140.0)))
    over = evolve(INSIDE, halves=(Half("deep", 140.0), Half("shallow", 130.0)))
    turned = [mirrored(one, inside, payload) for one in placements]
    was = {gap.deep: gap for gap in gaps(payload, *placements, inside=inside)}
    now = {other_half(gap.shallow): gap for gap in gaps(payload, *turned, inside=over)}
    assert now.keys() == was.keys()
    for label, gap in was.items():
        twin = now[label]
        assert other_half(twin.deep) == gap.shallow
        assert twin.nominal_mm == pytest.approx(gap.nominal_mm, abs=1e-9)
        assert twin.worst_mm == pytest.approx(gap.worst_mm, abs=1e-6)
        assert twin.rss_mm == pytest.approx(gap.rss_mm, abs=1e-6)
        assert twin.recess_mm == pytest.approx(gap.recess_mm[::-1], abs=1e-9)
        assert twin.least_recess_mm == pytest.approx(gap.least_recess_mm[::-1], abs=1e-6)
        counted = Counter({(other_half(a), b, c): n for (a, b, c), n in told(twin).items()})
        assert counted == told(gap)


@SLOW
@given(layouts(mounted=True))
def test_the_recesses_asked_for_are_enough_and_not_too_much(
    drawn: tuple[Payload, list[Placement]],
) -> None:
    """At the recesses asked for every gap is kept at worst; a little less and one is not."""
    payload, placements = drawn
    found = gaps(payload, *placements, inside=INSIDE)
    needed = recesses_needed_mm(payload, found)
    assert needed.keys() == {"low", "high"}

    def at(recesses: dict[str, float]) -> tuple[Gap, ...]:
        # deep enough halves, so that nothing is pushed through a back
        inside = room(300.0, 300.0)
        again = [
            stand(payload.item(one.item), one.half, inside=inside,
                  recess_mm=recesses[one.item], x=one.x_mm, y=one.y_mm)
            for one in placements
        ]  # fmt: skip
        return gaps(payload, *again, inside=inside)

    facing = [gap for gap in found if (gap.deep, gap.shallow) == ("low", "high")]
    assume(facing)
    for gap in at(needed):
        if gap.known:
            assert gap.worst_mm >= gap.keep_mm - 1e-6
    least = {item.name: item.mount.least_mm for item in payload.items if item.mount}
    if all(needed[name] > least[name] for name in needed):
        less = {name: value - 0.02 for name, value in needed.items()}
        assert any(gap.worst_mm < gap.keep_mm for gap in at(less))
