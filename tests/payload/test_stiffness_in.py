"""What was measured of boards and rails, as typed: read, refused, and kept in the saved plan."""

from __future__ import annotations

import pytest

from fitkit.errors import Fault
from fitkit.payload.closing import Closing
from fitkit.payload.model import Payload
from fitkit.payload.stiffness import Stiffness
from fitkit.plan_json.codec import dumped, loaded
from sheet_kits import SCREEN, only_fault, read

WALL = '[wall]\npanel = "our board"\nthickness = 6\nkg_per_m2 = 4\n'
GOOD = '{ of = "Our Board", span = "40 cm", width = 50, mass = "2 kg", sag = 3.1, across = 4 }'
RAILS = '[[mount]]\nitem = "field screen"\npattern = "100x100"\nrail = { on = "walls", '
ON_PANEL = RAILS.replace("walls", "back panel")
RAIL = "stiffness = { span = 400, mass = "


def closing(entry: str) -> str:
    """A sheet whose closing has that measurement."""
    return f"{WALL}[closing]\nstiffness = [ {entry} ]\n"


def test_a_measured_board() -> None:
    """Lengths in mm, masses in kg; capitals of the name do not matter; what is silent is None."""
    found = read(SCREEN, closing(GOOD)).closing
    assert found == Closing(
        stiffness=(("Our Board", Stiffness(400.0, 2.0, 3.1, 4.0, 50.0)),),
    )
    bare = GOOD.replace(", across = 4", "")
    ((_, one),) = read(SCREEN, closing(bare)).closing.stiffness
    assert one == Stiffness(400.0, 2.0, 3.1, None, 50.0)


def test_a_measured_rail() -> None:
    """A rail is loaded as it is, without a width."""
    payload = read(SCREEN, f'{RAILS}{RAIL}"5 kg", sag = 1.2 }} }}\n')
    mount = payload.items[0].mount
    assert mount is not None
    assert mount.rails.stiffness == Stiffness(400.0, 5.0, 1.2)


def test_it_is_saved_and_loaded() -> None:
    """The saved payload holds what was measured."""
    payload = read(SCREEN, closing(GOOD), f'{RAILS}{RAIL}"5 kg", sag = 1.2 }} }}\n')
    faults: list[Fault] = []
    assert loaded(Payload, dumped(payload), "payload", faults) == payload
    assert faults == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('of = "Our Board", ', "", "the measurement has no board"),
        ('"Our Board"', '"oak"', 'nothing here is made of "oak"'),
        ("width = 50, ", "", "the measurement has no width; add width = 50"),
        ('mass = "2 kg", ', "", 'the measurement has no mass; add mass = "2 kg"'),
        ("sag = 3.1, ", "", "the measurement has no sag"),
        ("sag = 3.1", "sag = 41", "41 mm is more than a tenth of the span of 400 mm"),
        ("across = 4 ", "across = 44 ", "44 mm is more than a tenth of the span"),
        ("sag = 3.1", "sag = 0", "sag"),
        ("sag", "sagging", "did you mean sag?"),
        ("}", f"}}, {GOOD}", "was measured already"),
    ],
)
def test_a_wrong_measurement_is_named(old: str, new: str, said: str) -> None:
    """One fault, with what to write instead."""
    assert old in GOOD
    text = GOOD.replace(old, new)
    if old == "sag":  # the key is wrong, and so there is none
        text = text.replace("sagging = 3.1", "sag = 3.1, sagging = 3.1")
    assert said in only_fault(SCREEN, closing(text))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            f'{RAILS.replace("walls", "back panel")}{RAIL}"5 kg", sag = 1 }} }}\n',
            "is not asked for",
        ),
        (f"{RAILS}{RAIL}5, sag = 1 }} }}\n", "where a mass with its unit belongs"),
        (f'{RAILS}{RAIL}"5 kg", sag = 1, width = 30 }} }}\n', "width"),
    ],
)
def test_a_wrong_rail_is_named(text: str, said: str) -> None:
    """Rails on a panel bend with it; a rail has no strip's width."""
    assert said in only_fault(SCREEN, text)
