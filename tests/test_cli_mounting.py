"""Mounted gear, gaps and cables on the terminal: what is printed, and nothing of nothing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from attrs import evolve

from fitkit.cli.show import show_plan
from fitkit.cli.show_mounting import MOST_GAPS, show_mounting
from fitkit.cli.terminal import output
from fitkit.plan import Plan
from hand_plan import plan as plain_plan
from mounted_plans import lid, pair, shell_of


def told(plan: Plan, capsys: pytest.CaptureFixture[str]) -> str:
    """What is printed of the mounts of a plan, wrapped lines joined."""
    show_mounting(output(), plan)
    text = capsys.readouterr().out
    assert max(map(len, text.splitlines()), default=0) <= 110
    return re.sub(r"\s+", " ", text)


def test_what_is_mounted_is_told_with_its_recess(capsys: pytest.CaptureFixture[str]) -> None:
    """Each copy by name: recess, room behind, pieces and screws."""
    text = told(pair(), capsys)
    for copy in (1, 2):
        assert f"field screen {copy} recess 14, 23 mm behind it; 2 rails 420 × 30 × 20;" in text
    assert "screws 4 × M4 × 25, 4 × 4.0 × 20" in text
    assert "recess 13.6, 26.4 mm behind it; sub-panel 440 × 282 × 6.4" in told(lid(), capsys)


def test_gaps_are_told_with_their_verdict_and_all_that_takes(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Planned, at worst, RSS and keep in a row; contributions under it, the unknown first."""
    text = told(pair(), capsys)
    assert "OK field screen 1 to field screen 2 28.0 17.0 18.4 2.0" in text
    for one in shell_of(pair()).gaps[0].contributions:
        assert one.what in text
    assert text.index("moves in a drop 3.2") < text.index("as measured ±0.5")
    text = told(lid(), capsys)
    assert "UNKNOWN field screen 1 to foam of the upper half" in text
    assert text.index("foam gives way ?") < text.index("as measured ±0.5")


def test_many_gaps_are_counted(capsys: pytest.CaptureFixture[str]) -> None:
    """The tightest are printed, and how many more there are is said."""
    (gap,) = shell_of(pair()).gaps
    many = tuple(evolve(gap, deep=f"screen {k}", nominal_mm=10.0 + k) for k in range(MOST_GAPS + 3))
    text = told(evolve(pair(), shell=evolve(shell_of(pair()), gaps=many)), capsys)
    assert text.count(" to field screen 2 ") == MOST_GAPS
    assert "and 3 more, in lists/closing_gap.csv" in text
    assert "screen 0 to" in text


def test_gaps_of_copies_are_told_once(capsys: pytest.CaptureFixture[str]) -> None:
    """What takes from the second of two gaps alike is not printed again."""
    (gap,) = shell_of(pair()).gaps
    both = (evolve(gap, deep="battery 1"), evolve(gap, deep="battery 2"))
    text = told(evolve(pair(), shell=evolve(shell_of(pair()), gaps=both)), capsys)
    assert text.count("moves in a drop") == 1
    assert text.index("battery 2 to field screen 2") < text.index("the same takes from it")


def test_cables_are_told_with_what_is_wrong(capsys: pytest.CaptureFixture[str]) -> None:
    """Every cable with its length and bend; what is short, too tight or blocked by name and mm."""
    text = told(pair(), capsys)
    assert "power 1 field screen 1.left.1 to outside through exit deep front left;" in text
    assert "1600 mm needed of 2600; bent to 30 mm, 28 allowed" in text
    # 820 when open, 800 had; with slack 900
    assert "link is 20 mm too short: take one of 900 mm or more" in text
    assert "power 2: the rail field screen 2 rail 1 stands in its way by 4 mm." in text
    assert "1 cable, 7 mm thick: power 1" in text
    assert "corner cut 24 mm: a bundle of 14.1 mm passes, 7 mm have to; edge trim" in text


def test_nothing_is_told_of_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    """A plan of foam alone prints no heading of these; one without foam prints none of foam."""
    assert told(plain_plan(), capsys) == ""
    show_plan(output(), pair(), folder=Path("build"), written=())
    assert "Foam" not in capsys.readouterr().out
    show_plan(output(), lid(), folder=Path("build"), written=())
    assert "Foam layers" in capsys.readouterr().out


def test_no_length_is_told_of_a_way_that_was_not_found(capsys: pytest.CaptureFixture[str]) -> None:
    """A blocked cable has no length and no bend: what stands in its way is told instead."""
    made = shell_of(pair())
    blocked = evolve(
        made.routes[2], path_mm=(), closed_mm=0.0, open_mm=0.0, needed_mm=0.0, blocked="no room"
    )
    text = told(evolve(pair(), shell=evolve(made, routes=(blocked,))), capsys)
    assert "link: no room." in text
    assert "needed" not in text
    assert "bent to" not in text
    assert "too short" not in text
