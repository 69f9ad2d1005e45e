"""What the closing gap is reckoned with, and the exits, backs and planks of the shell, as typed."""

from __future__ import annotations

import pytest

from fitkit.errors import BadInput
from fitkit.payload.closing import Closing, Tolerances
from fitkit.payload.sheet import parse_sheet
from fitkit.payload.workshop import ExitWish
from sheet_kits import RECORDER, SCREEN, faults, only_fault, read

MOUNT = '[[mount]]\nitem = "field screen"\n'


def test_a_silent_sheet_has_the_settings() -> None:
    """Without [closing] every value is the house's setting."""
    assert read(SCREEN).closing == Closing()
    assert read(SCREEN, "[closing]").closing == Closing()


def test_every_key() -> None:
    """All that [closing] may say is read, lengths in mm."""
    text = """
[closing]
keep = "1/8 in"
load = 150
drop = 600
shock = 50
tolerances = { measured = 0.2, tape = 2, saw = 0.3, seating = 0.4, foam = 1.5, rail = 0.1 }
"""
    assert read(SCREEN, text).closing == Closing(
        Tolerances(0.2, 2.0, 0.3, 0.4, 1.5, 0.1), 3.175, 150.0, 600.0, 50.0
    )


def test_a_height_of_fall_may_be_free() -> None:
    """A height that is "free" follows from the mass."""
    assert read(SCREEN, '[closing]\ndrop = "free"\n').closing.drop_mm is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[closing]\nkept = 3\n", "did you mean keep?"),
        ("[closing]\nkeep = -1\n", "is negative"),
        ("[closing]\nshock = 0\n", "give G from 1"),
        ('[closing]\nload = "100 N"\n', "give newtons as a number"),
        ("[closing]\ntolerances = 0.5\n", "write tolerances = { ... }"),
        ("[closing]\ntolerances = { saws = 0.5 }\n", "did you mean saw?"),
    ],
)
def test_a_fault_is_said_once(text: str, said: str) -> None:
    """Each wrong value gets one fault that says what to do."""
    assert said in only_fault(SCREEN, text)


def test_closing_that_is_no_table() -> None:
    """A plain value where the table belongs is one fault."""
    with pytest.raises(BadInput, match="the number 3 where a table belongs"):
        parse_sheet("closing = 3\n" + SCREEN, name="kit.toml")


def test_what_is_taken_for_granted_is_said() -> None:
    """Settings that stand in for statements are named, and those that are given are not."""
    said = "\n".join(read(SCREEN, "[closing]\nkeep = 3\ntolerances = { saw = 1 }\n").assumptions)
    assert "100 N on the middle of a back" in said
    assert "depths by tape 1 mm" in said
    assert "left at worst" not in said
    assert "sawn" not in said
    assert "Height of fall, not given" in said
    assert "counted as 40 G" in "\n".join(read(SCREEN, "[closing]\nshock = 40\n").assumptions)
    assert "Closing gap" not in "\n".join(read(RECORDER, case='form = "box"').assumptions)


def shop(*lines: str, case: str = 'form = "pair"') -> tuple[bool, tuple[float, ...], object]:
    """Removable backs, planks and exits of a sheet."""
    made = read(SCREEN, "[shell]\n" + "\n".join(lines), case=case).workshop
    return made.removable, made.planks_mm, made.exits


def test_exits_backs_and_planks() -> None:
    """Exits have a corner in the order left or right, then front or back; planks are sorted."""
    assert shop() == (False, (), ())
    lines = (
        "removable = true",
        "planks = [120, 90, 120]",
        'exits = [ {}, { part = "shallow", corner = ["front", "right"], leg = "30 mm", '
        'plug = true, edge = "grommet" }, { part = "shallow", leg = "free" } ]',
    )
    assert shop(*lines) == (
        True,
        (90.0, 120.0),
        (
            ExitWish(),
            ExitWish("shallow", ("right", "front"), 30.0, True, "grommet"),
            ExitWish("shallow"),
        ),
    )
    assert shop("planks = []")[1] == ()


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('exits = [{ corner = ["left", "right"] }]', "do not meet in a corner"),
        ('exits = [{ corner = "left" }]', "where two walls that meet belong"),
        ("exits = [{}, {}]", "has an exit in this corner already"),
        ("exits = [{ leg = 1 }]", "too small"),
        ('exits = [{ edge = "tape" }]', "none of the words known here"),
        ("exits = [3]", "where a table belongs"),
        ("planks = [0]", "nought"),
        ("planks = 90", "1 or more lengths"),
        ("removable = true\ndoors = true", "a back that is a door is not screwed on"),
    ],
)
def test_a_fault_of_the_shell_is_said_once(line: str, said: str) -> None:
    """Each wrong exit, plank or back gets one fault that says what to do."""
    assert said in only_fault(SCREEN, f"[shell]\n{line}\n")


def test_a_tray_has_neither_exits_nor_a_back() -> None:
    """What a tray has no half for is refused, both at once."""
    found = faults(RECORDER, "[shell]\nremovable = true\nexits = [{}]\n", case='form = "tray"')
    assert [("exits" in str(one), "back" in str(one)) for one in found] == [
        (False, True),
        (True, False),
    ]


def test_too_many_exits() -> None:
    """More exits than the house allows are one fault, beside those that share a corner."""
    text = "[shell]\nexits = [" + "{ leg = 30 }," * 9 + "]\n"
    assert "there are 9 exits" in str(faults(SCREEN, text)[0])


def test_planks_and_exit_edges_that_are_not_given_are_said() -> None:
    """A mounted item without planks is rounded up to whole millimetres, and that is said."""
    said = "\n".join(read(SCREEN, MOUNT, "[shell]\nexits = [{}]\n").assumptions)
    assert "whole millimetres, not to planks" in said
    assert "cables leave the deep half at the left and back walls" in said
    assert "edge trim on the cable exits" in said
