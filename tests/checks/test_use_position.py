"""Checks of the use position: each can fail, and says by how many millimetres."""

from __future__ import annotations

from typing import Any

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import use_kits
from fitkit.checks import use_position
from fitkit.checks.finding import Finding
from fitkit.checks.registry import all_checks
from fitkit.checks.stages import Stages
from fitkit.checks.use_position import (
    doors_open,
    exits_pass,
    handles_opposite,
    latches_in_reach,
    pieces_apart,
    rooms_clear_of_zones,
    stands_in_use,
)
from fitkit.foam.model import Room
from fitkit.payload.hardware import generic
from fitkit.payload.workshop import ExitWish, HardwareKind, HardwareWishes
from fitkit.shell.bars import bars_of
from fitkit.shell.exits import exits_of
from fitkit.shell.graph import assembly_of, corners_of
from fitkit.shell.hardware import hardware_of
from fitkit.shell.model import Fitted, Shell
from fitkit.shell.panels import panels_of
from fitkit.shell.swing import swings_of

LEFT_BACK = ExitWish("deep", ("left", "back"))


def stages(**case: Any) -> Stages:
    """The stages of the screens' case."""
    plan = use_kits.plan_of(**case)
    return Stages(plan.payload, plan.fit, plan.outside_mm, plan.foam, plan.mass, plan.shell)


def shell_of(made: Stages) -> Shell:
    """The shell, which is there."""
    assert made.shell is not None
    return made.shell


def with_piece(made: Stages, name: str, **changes: Any) -> Stages:
    """The same stages with one piece of hardware changed."""
    hardware = tuple(
        evolve(one, **changes) if one.name == name else one for one in shell_of(made).hardware
    )
    return evolve(made, shell=evolve(shell_of(made), hardware=hardware))


def piece(made: Stages, kind: str) -> Fitted:
    """The first piece of a kind."""
    return next(one for one in shell_of(made).hardware if one.kind == kind)


def verdicts(found: tuple[Finding, ...]) -> set[str]:
    """Their verdicts."""
    return {one.verdict for one in found}


@pytest.mark.parametrize(
    "case",
    [
        {"hardware": use_kits.UPRIGHT},
        {"hardware": use_kits.UPRIGHT, "doors": True, "exits": (LEFT_BACK,)},
        {"hardware": use_kits.UPRIGHT, "removable": True},
        {"form": "box", "hardware": HardwareWishes(lid="hinged"), "depths_mm": (160.0, 90.0)},
    ],
)
def test_cases_made_by_the_rules_pass(case: dict[str, Any]) -> None:
    """What the rules set keeps clear of each other, stands, and opens."""
    made = stages(**case)
    found = [one for one in all_checks(made) if one.check.startswith("use: ")]
    assert found
    assert verdicts(tuple(found)) == {"ok"}, [one for one in found if one.verdict != "ok"]


def measured(*kinds: HardwareKind) -> HardwareWishes:
    """Hardware of those kinds as if the builder had measured it."""
    types = tuple(evolve(generic()[kind], known="measured") for kind in kinds)
    return HardwareWishes(types=types)


@pytest.mark.parametrize(
    ("wishes", "verdict"),
    [(measured("handle", "latch"), "fails"), (measured("handle"), "unknown")],
)
def test_pieces_that_meet_are_told_with_by_how_much(wishes: HardwareWishes, verdict: str) -> None:
    """A latch moved onto a handle by 7 mm meets it by 7 mm; unknown while one is not measured."""
    made = stages(hardware=wishes)
    handle = piece(made, "handle")
    latch = piece(made, "latch")
    x, y, z = handle.centre_mm
    wide = handle.size_mm[0] / 2 + 42.0 - 7.0
    moved = with_piece(made, latch.name, side=handle.side, centre_mm=(x, y + wide, z),
                       size_mm=(84.0, 68.0))  # fmt: skip
    bad = [one for one in pieces_apart(moved) if one.verdict == verdict]
    (found,) = [one for one in bad if handle.name in one.subject and latch.name in one.subject]
    assert found.value == pytest.approx(-7.0)
    assert "7.0 mm" in found.note


def test_hardware_on_an_exit_is_told() -> None:
    """A foot in the cut corner meets the exit."""
    exits = (evolve(LEFT_BACK, leg_mm=80.0),)
    made = stages(form="box", exits=exits, hardware=measured("foot"))
    foot = next(one for one in shell_of(made).hardware if one.kind == "foot")
    moved = with_piece(made, foot.name, centre_mm=(20.0, 310.0, -10.0))
    (found,) = [
        one for one in pieces_apart(moved) if "exit" in one.subject and "foot" in one.subject
    ]
    assert found.verdict == "fails"
    assert (found.value or 0.0) < -10.0


def test_a_dish_in_a_zone_is_told_with_by_how_much() -> None:
    """A dish's room reaches 6 mm into the zone of a plug at the left."""
    made = stages()
    handle = next(one for one in shell_of(made).hardware if one.name == "handle left 1")
    assert verdicts(rooms_clear_of_zones(made)) == {"ok"}
    # the zone: 25 mm before the screen's left side at x = 30, y about 34 + 262 - 130
    room = Room((0.0, 150.0, 60.0), (11.0, 180.0, 160.0))
    meets = with_piece(made, handle.name, room=room)
    bad = [one for one in rooms_clear_of_zones(meets) if one.verdict == "fails"]
    assert bad
    assert min(one.value or 0.0 for one in bad) == pytest.approx(-6.0)


def test_doors_on_the_ground_fail_and_name_it() -> None:
    """Flat, each half lies on its door: it opens only onto the ground."""
    found = doors_open(stages(doors=True))
    assert len(found) == 2
    assert verdicts(found) == {"fails"}
    assert all("the ground" in one.note and "mm are missing" in one.note for one in found)


def test_doors_without_hinges_are_unknown() -> None:
    """Hinges left out: nobody knows how the door hangs."""
    made = stages(doors=True, hardware=use_kits.UPRIGHT)
    bare = tuple(one for one in shell_of(made).hardware if one.kind != "hinge")
    found = doors_open(evolve(made, shell=evolve(shell_of(made), hardware=bare)))
    assert verdicts(found) == {"unknown"}


def test_a_half_without_its_feet_does_not_stand() -> None:
    """Two feet taken off one half: two are missing."""
    made = stages(hardware=use_kits.UPRIGHT)
    mine = [one for one in shell_of(made).hardware if one.kind == "foot" and "deep" in one.parts]
    left = tuple(one for one in shell_of(made).hardware if one not in mine[:2])
    found = stands_in_use(evolve(made, shell=evolve(shell_of(made), hardware=left)))
    feet = {one.subject: one for one in found if one.check == "use: feet"}
    assert feet["deep half on its back"].verdict == "fails"
    assert feet["deep half on its back"].margin == -2.0
    assert feet["shallow half on its back"].verdict == "ok"


def test_gear_outside_the_feet_tips_the_half() -> None:
    """Rows moved to z 10 and 60: the screen's centre at 126 lies 66 mm outside."""
    made = stages(hardware=use_kits.UPRIGHT)
    for at, one in zip(
        (10.0, 10.0, 60.0, 60.0),
        [one for one in shell_of(made).hardware if one.kind == "foot" and "deep" in one.parts],
        strict=True,
    ):
        x, y, _ = one.centre_mm
        made = with_piece(made, one.name, centre_mm=(x, y, at))
    (found,) = [one for one in stands_in_use(made)
                if one.check == "use: half stands" and one.subject.startswith("deep")]  # fmt: skip
    assert found.value == pytest.approx(-66.0)
    assert "66.0 mm outside" in found.note


def test_what_stands_out_farther_than_the_feet_is_told() -> None:
    """A handle set on the ground's side, 60 mm out, over feet of 20 mm: 40 mm."""
    bulky = evolve(generic()["handle"], sides=("back",), count=1, stands_mm=60.0, known="measured")
    made = stages(hardware=HardwareWishes(use="upright", types=(bulky,)))
    (found,) = [one for one in stands_in_use(made) if one.check == "use: clear of the ground"]
    assert found.value == pytest.approx(-40.0)
    (handles,) = handles_opposite(made)
    assert handles.verdict == "tight"


def test_latches_below_are_told() -> None:
    """Latches on the builder's own sides, front and back: those behind lie on the ground."""
    low = evolve(generic()["latch"], sides=("front", "back"), count=4, known="measured")
    (found,) = latches_in_reach(stages(hardware=HardwareWishes(use="upright", types=(low,))))
    assert found.verdict == "tight"
    assert "latch back" in found.note


def test_exits_pass_or_say_what_is_missing() -> None:
    """Legs of 30 mm pass 15.9 mm; three cables of 9 mm ask for 19.4: 3.5 mm are missing."""
    wish = evolve(LEFT_BACK, leg_mm=30.0, plug=True)
    found = exits_pass(stages(cables=(use_kits.power(3),), exits=(wish,)))
    bundle, plug = [one for one in found if one.check == "use: cable exit"]
    assert bundle.verdict == plug.verdict == "fails"
    assert bundle.margin == pytest.approx(-3.5, abs=0.05)
    assert plug.margin == pytest.approx(30.0 - 2.0 * 2**0.5 - 47.0)
    assert verdicts(exits_pass(stages(cables=(use_kits.power(3),), exits=(LEFT_BACK,)))) == {"ok"}


def test_an_exit_on_the_side_that_stands_on_the_ground_needs_feet() -> None:
    """Three cables of 9 mm, 19.4 mm, leave below the case: feet of 20 mm do, those of 12 do not."""
    for high, verdict in ((20.0, "ok"), (12.0, "fails")):
        foot = evolve(generic()["foot"], stands_mm=high, known="measured")
        made = stages(form="box", cables=(use_kits.power(3),), exits=(LEFT_BACK,),
                      hardware=HardwareWishes(types=(foot,)))  # fmt: skip
        (found,) = [one for one in exits_pass(made) if one.check == "use: cable exit below"]
        assert found.verdict == verdict
        assert found.value == high


CORNERS = st.sampled_from([(a, b) for a in ("left", "right") for b in ("front", "back")])
WISHES = st.builds(
    ExitWish, part=st.sampled_from(["deep", "shallow"]), corner=CORNERS,
    leg_mm=st.floats(20.0, 110.0),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(
    depth=st.integers(90, 320),
    use=st.sampled_from(["flat", "upright"]),
    kind=st.sampled_from([{}, {"doors": True}, {"removable": True}]),
    exits=st.lists(WISHES, max_size=3).map(tuple),
)
def test_what_the_rules_set_never_meets(
    depth: int, use: str, kind: dict[str, bool], exits: tuple[ExitWish, ...]
) -> None:
    """Whatever exits, doors and depths are asked for: no two pieces cover the same of a face."""
    wishes = HardwareWishes(use=use)  # type: ignore[arg-type]  # drawn from both
    payload, interior, placed = use_kits.screens(
        depths_mm=(float(depth), float(depth)), hardware=wishes, exits=exits, **kind
    )
    assembly = assembly_of(interior, payload=payload)
    panels, bars = panels_of(assembly, payload=payload), bars_of(assembly, wall=payload.wall)
    fitted = hardware_of(
        payload, assembly=assembly, panels=panels, bars=bars, interior=interior,
        placements=placed, gross_kg=14.0, centre_mm=None,
    )  # fmt: skip
    exited = exits_of(payload, assembly=assembly, panels=panels, placements=placed)
    shell = Shell(assembly, panels, bars, corners_of(assembly), fitted.fitted, exits=exited.exits)
    base = stages()
    made = evolve(base, payload=payload, shell=shell)
    assert verdicts(pieces_apart(made)) == {"ok"}, [
        one.subject for one in pieces_apart(made) if one.verdict != "ok"
    ]


@pytest.mark.parametrize(
    ("kind", "advice"),
    [
        ("handle", "take a handle that stands out 4.0 mm less"),
        ("door latch", "take a door latch that stands out 4.0 mm less"),
        (None, "use hinges with their pin further out"),
    ],
)
def test_what_stops_a_door_is_called_by_its_kind(
    kind: HardwareKind | None, advice: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A door latch is no door, and the half itself cannot be taken smaller."""
    made = stages(doors=True, hardware=use_kits.UPRIGHT)
    (swing, *_) = swings_of(made.payload, shell_of(made))
    stop = "deep" if kind is None else piece(made, kind).name
    held = evolve(swing, most_deg=80.0, stop=stop, short_mm=4.0)
    monkeypatch.setattr(use_position, "swings_of", lambda payload, shell: (held,))
    found = next(one for one in doors_open(made) if one.verdict == "fails")
    assert advice in found.note
    assert "4.0 mm are missing" in found.note
