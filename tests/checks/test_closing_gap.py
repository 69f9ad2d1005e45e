"""The finding of each closing gap: verdict, figures, and what to do."""

from __future__ import annotations

import re

import pytest
from attrs import evolve

from fitkit.checks.closing_gap import closing_gap, verdict_of
from fitkit.checks.registry import CHECKS
from fitkit.checks.stages import Stages
from fitkit.fit.layout import Fit
from fitkit.foam.model import Foam
from fitkit.payload.model import Payload
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.gap.model import Contribution, Gap
from fitkit.shell.mass import Mass
from gap_kits import block, face_to_face, kit, rails, room, stand


def stages(payload: Payload, *gaps: Gap) -> Stages:
    """The stages of a plan of which only the gaps matter here."""
    inside = room()
    return Stages(
        payload=payload,
        fit=Fit("volume", 1.0, 1.0, "none", 0.0, False, 1.0, 1, inside, ()),
        outside_mm=(460.0, 340.0, 200.0),
        foam=Foam((), (), ()),
        mass=Mass((), 0.0, (0.0, 0.0, 0.0)),
        shell=evolve(bare_shell(payload, interior=inside), gaps=gaps),
    )


def gap(
    nominal_mm: float, *contributions: Contribution, keep_mm: float = 2.0, other: str = "screen 2"
) -> Gap:
    """A gap between two screens that are 10 mm behind the closing plane each."""
    bare = Gap(
        "screen 1", other, nominal_mm, (10.0, 10.0), (50.0, 60.0, 70.0), keep_mm,
        contributions, (0.0, 0.0),
    )  # fmt: skip
    short = keep_mm - bare.worst_mm
    return evolve(bare, least_recess_mm=(10.0 + short, 10.0 + short))


def off(mm: float | None) -> Contribution:
    """A tolerance."""
    return Contribution("sawn", mm, "tolerance", "a saw")


def takes(mm: float | None, what: str = "panel deep bottom: pressed in") -> Contribution:
    """A shift."""
    return Contribution(what, mm, "shift", "press on it and measure")


TWO = kit(evolve(block("screen", mount=rails()), count=2))


@pytest.mark.parametrize(
    ("contributions", "verdict"),
    [
        ((off(3.0), off(4.0), takes(11.0)), "ok"),  # 20 - 18 = 2
        ((off(3.0), off(4.0), takes(11.1)), "tight"),  # 1.9 at worst, 3.9 by squares
        ((off(3.0), off(4.0), takes(13.0)), "tight"),  # exactly 2 by squares
        ((off(3.0), off(4.0), takes(13.1)), "fails"),
        ((off(3.0), off(4.0), takes(None)), "unknown"),
        ((off(None), takes(1.0)), "unknown"),
        ((off(None), takes(19.0)), "fails"),  # what is not known can only take more
    ],
)
def test_the_verdict_follows_worst_case_and_squares(
    contributions: tuple[Contribution, ...], verdict: str
) -> None:
    """It is ok at worst, tight by the root of the sum of squares only, and fails not even then."""
    one = gap(20.0, *contributions)
    assert verdict_of(one) == verdict
    (found,) = closing_gap(stages(TWO, one))
    assert found.verdict == verdict
    assert found.value == one.worst_mm
    assert found.limit == 2.0
    assert (found.margin is None) == (verdict == "unknown")
    assert found.subject == "screen 1, screen 2"


@pytest.mark.parametrize("nominal_mm", [-4.0, 3.0, 20.0])
def test_every_note_is_a_sentence(nominal_mm: float) -> None:
    """It begins with a capital and ends with a full stop, for gaps below nothing as well."""
    for one in (gap(nominal_mm, off(1.0)), gap(nominal_mm, off(None), takes(9.0))):
        (found,) = closing_gap(stages(TWO, one))
        assert found.note[0].isupper()
        assert found.note.endswith(".")
        assert ".." not in found.note


def test_the_least_comes_first() -> None:
    """Gaps are told from the least left over on, each once."""
    wide, narrow = gap(30.0, off(1.0)), gap(5.0, off(1.0), other="foam of the shallow half")
    found = closing_gap(stages(TWO, wide, narrow))
    assert [one.value for one in found] == [4.0, 29.0]


def test_a_ready_made_case_has_gaps_whose_backs_nobody_knows() -> None:
    """Without a shell gear still faces gear; how far the backs give way is asked for."""
    screen, inside = block("screen", mount=rails()), room()
    payload = kit(evolve(screen, count=2))
    placements = (
        stand(screen, "deep", inside=inside, recess_mm=20.0),
        stand(screen, "shallow", inside=inside, recess_mm=20.0, copy=2),
    )
    bare = stages(payload)
    looked = evolve(bare, shell=None, fit=evolve(bare.fit, placements=placements))
    (found,) = closing_gap(looked)
    assert found.verdict == "unknown"
    assert "press on it and measure" in found.note
    assert closing_gap(evolve(bare, shell=None)) == ()


def test_one_recess_for_both_copies_would_do() -> None:
    """A builder who sets two alike back as the note says has the gap kept."""
    screen = block("screen", mount=rails())
    payload, (short,) = face_to_face(screen, screen, recesses_mm=(5.0, 8.0))
    (found,) = closing_gap(stages(payload, short))
    assert found.verdict == "fails"
    told = re.search(r"set back screen both to a recess of ([\d.]+) mm", found.note)
    assert told is not None
    recess = float(told[1])
    _, (after,) = face_to_face(
        screen, screen, recesses_mm=(recess, recess), inside=room(150.0, 150.0)
    )
    assert verdict_of(after) == "ok"
    assert after.worst_mm - after.keep_mm < 0.2


@pytest.mark.parametrize("side", [0, 1, 2])
def test_each_way_that_is_told_would_do(side: int) -> None:
    """Of two unlike things either may be set back, or both by half."""
    below, above = block("keyboard", mount=rails()), block("screen", mount=rails())
    payload, (short,) = face_to_face(below, above, recesses_mm=(5.0, 8.0))
    (found,) = closing_gap(stages(payload, short))
    told = [float(one) for one in re.findall(r"recess of ([\d.]+)", found.note)]
    half = re.search(r"both by ([\d.]+) mm", found.note)
    assert half is not None
    recesses = {
        0: (told[0], 8.0), 1: (5.0, told[1]), 2: (5.0 + float(half[1]), 8.0 + float(half[1])),
    }[side]  # fmt: skip
    _, (after,) = face_to_face(below, above, recesses_mm=recesses, inside=room(150.0, 150.0))
    assert verdict_of(after) == "ok"


def test_what_is_not_known_is_asked_for() -> None:
    """An unknown gap says what to find out, and what would be left without it."""
    (found,) = closing_gap(stages(TWO, gap(20.0, off(1.0), takes(None))))
    assert "press on it and measure" in found.note
    assert "19.0 at worst" in found.note


def test_what_stands_in_foam_is_lowered_and_a_panel_is_not() -> None:
    """Only what can be set back is told to be; the panel opposite stays."""
    payload = kit(block("recorder"))
    one = evolve(gap(5.0, off(9.0), other="panel shallow top"), deep="recorder")
    (found,) = closing_gap(stages(payload, one))
    assert "lower recorder" in found.note
    assert "panel shallow top to" not in found.note
    assert found.caution == ""


def test_mounted_gear_is_cautioned() -> None:
    """Whoever mounts gear is told to try the case with a dummy load."""
    (found,) = closing_gap(stages(TWO, gap(20.0, off(1.0))))
    assert "dummy load" in found.caution


def test_the_check_is_in_the_list() -> None:
    """Every plan's gaps are judged."""
    assert closing_gap in CHECKS


def test_a_back_that_bends_far_is_named() -> None:
    """Even where the gap is kept, a back that bends by more than half its thickness is told."""
    screen = block("screen", mount=rails())
    payload, (wide,) = face_to_face(
        screen, screen, recesses_mm=(60.0, 60.0), inside=room(150.0, 150.0)
    )
    (found,) = closing_gap(stages(payload, wide))
    assert found.verdict == "ok"
    assert "panel deep bottom and panel shallow top would bend" in found.note
    still = gap(20.0, off(1.0))
    assert "would bend" not in closing_gap(stages(TWO, still))[0].note
