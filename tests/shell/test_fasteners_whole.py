"""Whole shells with their hardware: every hole filled, counted, and clear of its neighbours."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from math import dist

import pytest
from attrs import evolve

from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import CaseWishes, Payload
from fitkit.payload.workshop import HardwareType, HardwareWishes, HoleAt, Workshop
from fitkit.reference.rivets import rivet_grips, rivet_sizes
from fitkit.shell.frame import to_face
from fitkit.shell.make import make_shell
from fitkit.shell.model import Shell
from riveted import WORKED

LARGE = Interior(1200.0, 700.0, (Half("deep", 500.0), Half("shallow", 100.0)))
SMALL = Interior(300.0, 250.0, (Half("deep", 120.0), Half("shallow", 70.0)))
TRAY = Interior(500.0, 350.0, (Half("tray", 220.0),))

CASES = {
    "worked": (WORKED, "box", HardwareWishes()),
    "hinged on castors": (
        LARGE,
        "box",
        HardwareWishes(lid="hinged", ground="castors", braces=True),
    ),
    "small pair": (SMALL, "pair", HardwareWishes(rivet_mm=3.2, pitch_mm=60.0)),
    "tray": (TRAY, "tray", HardwareWishes(rivet_mm=4.8)),
    "without washers": (WORKED, "box", HardwareWishes(washers=False, spares=0.0)),
}


def shell(name: str) -> Shell:
    """The shell of one of the cases."""
    interior, form, wishes = CASES[name]
    payload = Payload(
        "kit",
        (),
        case=CaseWishes(form=form),  # type: ignore[arg-type]  # one of the three
        workshop=Workshop(hardware=wishes),
    )
    return make_shell(payload, interior=interior, placements=())


@pytest.mark.parametrize("name", CASES)
def test_every_hole_is_filled_and_counted(name: str) -> None:
    """What is used of each fastener is the number of holes that name it; none is left empty."""
    made = shell(name)
    named = Counter(hole.fastener for hole in made.holes)
    assert "" not in named
    used = {line.name: line.used for line in made.fasteners}
    assert {key: used[key] for key in named} == dict(named)
    # a bolt goes into each tee nut; all others are washers behind rivets
    extra = {line.kind for line in made.fasteners if line.name not in named}
    assert extra <= {"bolt", "washer"}
    assert used.get("bolt M6", 0) >= used.get("tee nut M6", 0)
    wishes = CASES[name][2]
    for line in made.fasteners:
        assert line.buy >= line.used * (1 + wishes.spares) - 1e-6


@pytest.mark.parametrize("name", CASES)
def test_rivets_keep_off_hardware_and_each_other(name: str) -> None:
    """No profile's rivet lies under a flange; no two holes are nearer than three diameters.

    From memory: EN 1993-1-3, table 8.1 (3 d). Holes of one piece of hardware are its maker's.
    """
    made, d = shell(name), CASES[name][2].rivet_mm
    bars = {bar.name for bar in made.bars}
    by_side: dict[str, list[tuple[str, tuple[float, float]]]] = {}
    for hole in made.holes:
        by_side.setdefault(hole.side, []).append((hole.owner, to_face(hole.side, hole.at_mm)))
    for holes in by_side.values():
        for (one, at), (two, there) in combinations(holes, 2):
            if one in bars or two in bars:
                assert dist(at, there) >= 3 * d - 1e-6, (one, two)
    head = rivet_sizes()[d].head_mm / 2
    for piece in made.hardware:
        if piece.kind == "corner":
            continue
        u, v = to_face(piece.side, piece.centre_mm)
        for owner, at in by_side[piece.side]:
            if owner in bars:
                beside = max(
                    abs(at[0] - u) - piece.size_mm[0] / 2, abs(at[1] - v) - piece.size_mm[1] / 2
                )
                assert beside >= head


@pytest.mark.parametrize("name", CASES)
def test_every_rivet_is_one_of_the_table(name: str) -> None:
    """Names are those that ISO 15981 lists, and the thickest grip lies within what they hold."""
    rows = {f"blind rivet {row.size}": row for all_of in rivet_grips().values() for row in all_of}
    for line in shell(name).fasteners:
        if line.kind == "rivet":
            assert line.grip_mm is not None
            assert line.grip_mm <= rows[line.name].most_grip_mm
            assert line.grip_mm > rows[line.name].least_grip_mm - 0.05


def test_the_corners_rivets_belong_to_the_corners_that_are_fitted() -> None:
    """Six rivets name each corner piece; a builder's own corner is drilled once, as measured."""
    counts = Counter(
        hole.owner for hole in shell("worked").holes if hole.owner.startswith("corner ")
    )
    fitted = {one.name for one in shell("worked").hardware if one.kind == "corner"}
    assert set(counts) == fitted
    assert set(counts.values()) == {6}
    own = HardwareType("corner", "corner", (48.0, 48.0), holes=(HoleAt(4.0, 4.0, 4.1),))
    wishes = evolve(HardwareWishes(), types=(own,))
    made = make_shell(
        Payload("kit", (), workshop=Workshop(hardware=wishes)), interior=WORKED, placements=()
    )
    counts = Counter(hole.owner for hole in made.holes if hole.owner.startswith("corner "))
    assert set(counts) == fitted
    assert set(counts.values()) == {3}
