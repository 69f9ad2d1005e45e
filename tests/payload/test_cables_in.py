"""Cables as typed: ends, bends and plugs, and every fault named with the millimetres."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.payload.cables import Cable, Connector, Plug
from fitkit.payload.connectors_in import least_between_mm
from fitkit.payload.pose import posed
from fitkit.reference.cable_bends import cable_bends
from sheet_kits import RECORDER, SCREEN, faults, only_fault, read

START = '[[cable]]\nfrom = "recorder.back.1"\n'
OUT = START + 'to = "outside"\ndiameter = 6\n'


def cable_of(*lines: str, count: int = 1) -> Cable:
    """The only cable of a sheet with a recorder and two screens."""
    cables = read(RECORDER, SCREEN, "\n".join(lines)).cables
    assert len(cables) == count
    return cables[-1]


def test_a_bare_cable() -> None:
    """Where a cable is silent it is one, of unknown kind, still to be bought, and stays plugged."""
    assert cable_of(OUT) == Cable("cable 1", Connector("recorder", "back", 1), None, 6.0)


def test_every_key() -> None:
    """All that a cable may say is read, lengths in mm and the bend in diameters."""
    cable = cable_of(
        START,
        'name = "picture"\nto = "recorder.back.2"\ndiameter = "1/4 in"\nlength = "0.6 m"\n'
        "bend = 10\n"
        'kind = "coax"\nplugs = ["BNC", { width = 15, height = 14, length = 33, angled = true }]\n'
        "count = 2\nplugged = false\n",
    )
    assert cable == Cable(
        name="picture",
        start=Connector("recorder", "back", 1),
        to=Connector("recorder", "back", 2),
        diameter_mm=6.35,
        kind="coax",
        length_mm=600.0,
        bend_mm=63.5,
        plugs=(
            Plug(14.5, 14.5, 35.0, known="from memory"),
            Plug(15.0, 14.0, 33.0, angled=True),
        ),
        count=2,
        plugged=False,
    )


@pytest.mark.parametrize(
    ("typed", "connector"),
    [
        ("recorder.back.2", Connector("recorder", "back", 2)),
        ("Recorder.front", Connector("recorder", "front", 1)),
        ("field screen.left.1", Connector("field screen", "left", 1)),
        ("field screen 2.left", Connector("field screen", "left", 1, copy=2)),
    ],
)
def test_connectors_by_name(typed: str, connector: Connector) -> None:
    """Item, face and number; the number may go where there is one, a copy is named as in a plan."""
    cable = cable_of(f'[[cable]]\nfrom = "{typed}"\nto = "outside"\ndiameter = 6\n')
    assert cable.start == connector


def test_an_item_with_dots_and_digits_in_its_name() -> None:
    """The item's own name comes first: "probe 1.2" is an item, and "probe 1.2 3" its third copy."""
    item = RECORDER.replace('"recorder"', '"probe 1.2"\ncount = 3')
    for typed, copy in (("probe 1.2.back.1", None), ("probe 1.2 3.back.1", 3)):
        cable = f'[[cable]]\nfrom = "{typed}"\nto = "outside"\ndiameter = 6\n'
        assert read(item, cable).cables[0].start == Connector("probe 1.2", "back", 1, copy)


@pytest.mark.parametrize(
    ("line", "kind", "bend_mm"),
    [
        ("bend = 8", "unknown", 48.0),
        ('bend = "30 mm"', "unknown", 30.0),
        ('bend = "coax"', "coax", None),
        ('bend = "coax"\nkind = "coax"', "coax", None),
        ('kind = "fibre cord"\nbend = "25 mm"', "fibre cord", 25.0),
    ],
)
def test_bends(line: str, kind: str, bend_mm: float | None) -> None:
    """A number is diameters, a text with its unit a radius, a kind's name its own rule."""
    cable = cable_of(OUT, line)
    assert (cable.kind, cable.bend_mm) == (kind, bend_mm)


@pytest.mark.parametrize(
    ("line", "ends"),
    [
        ('plugs = "8P8C"', ("8P8C", "8P8C")),
        ('plugs = ["8P8C", "none"]', ("8P8C", None)),
        ('plugs = ["none", "8p8c"]', (None, "8P8C")),
        ('plugs = ["8P8C"]', ("8P8C", "8P8C")),
    ],
)
def test_plugs_of_both_ends(line: str, ends: tuple[str | None, ...]) -> None:
    """One plug alone is at both ends; "none" is an end without one."""
    ethernet = Plug(11.68, 8.4, 21.5, known="from memory")
    assert cable_of(OUT, line).plugs == tuple(None if end is None else ethernet for end in ends)


def test_a_plug_by_name_and_partly_measured() -> None:
    """What is measured counts before what the name says."""
    line = 'plugs = [{ name = "USB Micro-B", length = 26 }, { name = "C13", width = 28 }]'
    assert cable_of(OUT, line).plugs == (
        Plug(10.6, 8.5, 26.0, known="read"),
        Plug(28.0, 22.0, 75.0, known="from memory"),
    )


FAULTS = {
    "nothing at all": ("[[cable]]\n", "no from and no to and no diameter"),
    "from outside": (
        '[[cable]]\nfrom = "outside"\nto = "recorder.back.1"\ndiameter = 6\n', "swap the two",
    ),
    "no such item": (
        '[[cable]]\nfrom = "recoder.back.1"\nto = "outside"\ndiameter = 6\n', '"recorder"?',
    ),
    "no such face": (
        '[[cable]]\nfrom = "recorder.bakc.1"\nto = "outside"\ndiameter = 6\n', '"back"?',
    ),
    "no connector there": (
        '[[cable]]\nfrom = "recorder.left.1"\nto = "outside"\ndiameter = 6\n',
        'recorder has no connector on its left; give it a zone of kind connector there, or name '
        '"recorder.front.1" or "recorder.back.1"',
    ),
    "no connector of that number": (
        '[[cable]]\nfrom = "recorder.back.3"\nto = "outside"\ndiameter = 6\n',
        "no connector 3 on its back; it has 2 there",
    ),
    "which connector": (
        '[[cable]]\nfrom = "recorder.back"\nto = "outside"\ndiameter = 6\n',
        'has 2 connectors; say which, counted in the order of the sheet: "recorder.back.1"',
    ),
    "no such copy": (
        '[[cable]]\nfrom = "field screen 3.left.1"\nto = "outside"\ndiameter = 6\n',
        "no copy 3 of field screen; there are 2",
    ),
    "a plain word": (
        '[[cable]]\nfrom = "recorder"\nto = "outside"\ndiameter = 6\n', 'write "item.face',
    ),
    "back to its start": (START + 'to = "recorder.back.1"\ndiameter = 6\n', "ends where it starts"),
    "bend tighter than allowed": (
        OUT + 'kind = "coax"\nbend = 3\n',
        "an inside radius of 18 mm is tighter than a coax of 6 mm allows; it takes 30 mm at least, "
        "12 mm more",
    ),
    "bend tighter than a fibre cord allows": (
        OUT + 'kind = "fibre cord"\nbend = "20 mm"\n', "25 mm at least, 5 mm more",
    ),
    "bend that is a word": (OUT + 'bend = "soft"\n', "neither a bend nor a kind of cable"),
    "two kinds": (OUT + 'bend = "coax"\nkind = "multipair"\n', "take one of them out"),
    "unknown kind": (OUT + 'kind = "coaxial"\n', 'did you mean "coax"?'),
    "unknown plug": (OUT + 'plugs = "8P8"\n', 'did you mean "8P8C"?'),
    "three plugs": (OUT + 'plugs = ["8P8C", "8P8C", "8P8C"]\n', "the plugs of two ends"),
    "a plug of no known length": (
        OUT + 'plugs = "USB Micro-B"\n',
        'the plug "USB Micro-B" has no length; measure it, sleeve included: '
        '{ name = "USB Micro-B", length = 20 }',
    ),
    "a plug half measured": (OUT + "plugs = { width = 9 }\n", "no height and no length"),
    "too short on one item": (
        START + 'to = "recorder.front"\ndiameter = 6\nlength = 120\n',
        # the straight way: 150 deep, 100 across from x = 160 to x = 100
        f"it is {math.hypot(150, 60) - 120:.1f} mm too short at least",
    ),
    "two cables of one connector": (OUT + OUT, 'recorder.back.1 already has the cable "cable 1"'),
    "two cables of one name": (
        OUT + 'name = "a"\n' + OUT.replace("back.1", "back.2") + 'name = "A"\n',
        'two cables are called "A" (the other is on line 46)',
    ),
    "two screens on one connector": (
        START + 'to = "field screen.left.1"\ndiameter = 6\n',
        '2 copies of field screen cannot all be joined to recorder.back.1; write a cable for each '
        'copy: to = "field screen 1.left.1"',
    ),
    "unknown key": (OUT + "lenght = 300\n", "did you mean length?"),
}  # fmt: skip


@pytest.mark.parametrize("case", FAULTS)
def test_a_fault_is_said_once_and_in_full(case: str) -> None:
    """Each wrong cable gets one fault that says what to do, with the millimetres."""
    text, said = FAULTS[case]
    assert said in only_fault(RECORDER, SCREEN, text)


@pytest.mark.parametrize(
    ("wishes", "key"),
    [('ready_made = "no such list.csv"', "ready_made"), ("several = true", "several")],
)
def test_no_cables_where_they_cannot_be_planned(wishes: str, key: str) -> None:
    """Ready-made cases and a kit shared out over several cases have no cables in this version."""
    found = faults(RECORDER, OUT, case=f'form = "box"\n{wishes}')
    assert any(f"cable and {key} do not go together" in str(one) for one in found)


def test_all_faults_of_a_cable_come_at_once() -> None:
    """One that is too tight and too short is told both."""
    text = START + 'to = "recorder.front"\ndiameter = 6\nlength = 120\nkind = "coax"\nbend = 3\n'
    found = [str(one) for one in faults(RECORDER, SCREEN, text)]
    assert len(found) == 2
    assert any("tighter than a coax" in one for one in found)
    assert any("too short at least" in one for one in found)


def test_a_faulty_item_is_not_said_twice() -> None:
    """A cable at an item that cannot be read is no further fault."""
    broken = RECORDER.replace("z = [0, 60]", "z = [0, 0]")
    assert "recorder" in only_fault(broken, OUT)


def test_each_copy_may_have_its_own() -> None:
    """Copies named one by one, and two connectors of one item, are all different."""
    text = "".join(
        f'[[cable]]\nfrom = "field screen {copy}.left.1"\nto = "recorder.back.{copy}"\n'
        "diameter = 6\n"
        for copy in (1, 2)
    )
    assert [cable.to for cable in read(RECORDER, SCREEN, text).cables] == [
        Connector("recorder", "back", 1),
        Connector("recorder", "back", 2),
    ]


def test_copies_that_share_by_number_are_caught() -> None:
    """A cable of every copy, and one of copy 2, meet at copy 2's connector."""
    every = '[[cable]]\nfrom = "field screen.left.1"\nto = "outside"\ndiameter = 6\n'
    one = every.replace("screen.left", "screen 2.left")
    assert "already has the cable" in only_fault(SCREEN, every + one)


@settings(max_examples=40, deadline=None)
@given(length=st.floats(60, 400), long=st.floats(1, 60), angled=st.booleans())
def test_no_cable_is_shorter_than_the_straight_way(
    length: float, long: float, angled: bool
) -> None:
    """Between two connectors of one item the straight way from plug to plug is the least."""
    plug = Plug(12.0, 8.0, long, angled=angled)
    item = read(RECORDER).items[0]
    start, to = Connector("recorder", "back", 1), Connector("recorder", "front", 1)
    least = least_between_mm(item, start, to, plugs=(plug, plug))
    straight = math.hypot(150 + (0 if angled else 2 * long), 60) - (2 * long if angled else 0)
    assert least == pytest.approx(max(0.0, straight))
    line = (
        f"plugs = {{ width = 12, height = 8, length = {long!r}, angled = {str(angled).lower()} }}"
    )
    text = START + f'to = "recorder.front.1"\ndiameter = 6\nlength = {length!r}\n{line}\n'
    if length < least - 1e-3:
        with pytest.raises(BadInput):
            read(RECORDER, text)
    elif length > least:
        assert read(RECORDER, text).cables[0].length_mm == length


@pytest.mark.parametrize("face", ["left", "right", "front", "back", "top", "bottom"])
def test_connectors_lie_where_their_zones_do(face: str) -> None:
    """The straight way starts in the middle of the zone's room, on every face of the item."""
    item = RECORDER.replace('face = "front"', f'face = "{face}"').replace(
        "at = [100, 30]", "at = [50, 20]"
    )
    recorder = read(item).items[0]
    zones = [zone for zone in recorder.zones if zone.face == face]
    here = Connector("recorder", face, len(zones))  # type: ignore[arg-type]  # a face by name
    other = Connector("recorder", "back", 1)
    rooms = posed(recorder, "top").rooms
    inner = []
    for room in (rooms[2], rooms[0]):
        x, y = room.outline.centroid.x, room.outline.centroid.y
        inner.append((x, y, (room.z0_mm + room.z1_mm) / 2))
    plug = Plug(10.0, 10.0, 20.0)  # half of the zones' depth: plugs end in the rooms' middles
    assert least_between_mm(recorder, here, other, plugs=(plug, plug)) == pytest.approx(
        math.dist(*inner)
    )


def test_what_is_taken_for_granted_is_said() -> None:
    """Bends and plugs from tables are named with their figures and source."""
    said = "\n".join(read(RECORDER, OUT + 'plugs = "8P8C"\n').assumptions)
    assert "Bend of cable 1: kind not given, 48 mm inside, 8 diameters (common practice" in said
    assert 'Plug "8P8C" of cable 1, where it was not measured: 11.7 mm x 8.4 mm' in said
    assert "Length, not given for cable 1" in said
    assert "Stays plugged in when the case is shut: cable 1" in said
    own = (
        OUT
        + "plugs = { width = 9, height = 9, length = 9 }\nbend = 9\nplugged = true\nlength = 999\n"
    )
    quiet = "\n".join(read(RECORDER, own).assumptions)
    assert not any(word in quiet for word in ("Bend of", "Plug", "Length, not", "Stays plugged"))


def test_every_kind_may_be_named() -> None:
    """Each kind of cable in the table can be typed, and its own least bend is taken."""
    for kind, row in cable_bends().items():
        radius = row.radius_mm(diameter_mm=6.0)
        line = f'kind = "{kind}"\nbend = "{radius!r} mm"\n'
        assert cable_of(OUT, line).bend_mm == pytest.approx(radius)
