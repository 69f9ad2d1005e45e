"""Mounts as typed: what they make of an item, and every fault named with the millimetres."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.payload.mounts import HolePattern, Mount, Rails, SubPanel
from fitkit.payload.sheet import parse_sheet
from sheet_kits import RECORDER, SCREEN, faults, only_fault, read, sheet

MOUNT = '[[mount]]\nitem = "field screen"\n'


def mount_of(*lines: str, case: str = 'form = "pair"', item: str = SCREEN) -> Mount:
    """The mount of the sheet's first item."""
    mount = read(item, MOUNT + "\n".join(lines), case=case).items[0].mount
    assert mount is not None
    return mount


def test_a_bare_mount_is_rails_at_the_closing_plane() -> None:
    """Where a mount is silent the item lies on rails, its top at the closing plane, recess free."""
    mount = mount_of(case='form = "pair"\nclearance = { lid = 12 }')
    assert mount == Mount(least_mm=12.0, sub_panel=SubPanel(kg_per_m2=4.37))


@pytest.mark.parametrize(
    ("form", "faces", "least_mm"),
    [("pair", "closing plane", 15.0), ("pair", "left wall", 0.0), ("box", "closing plane", 0.0)],
)
def test_the_least_recess(form: str, faces: str, least_mm: float) -> None:
    """A free recess is at least the clearance behind the closing plane, in a pair."""
    mount = mount_of(f'faces = "{faces}"', 'recess = "free"', case=f'form = "{form}"')
    assert (mount.recess_mm, mount.least_mm) == (None, least_mm)


def test_every_key_of_rails() -> None:
    """All that a mount on rails may say is read, in mm."""
    mount = mount_of(
        'by = "rails"', 'front = "top"', 'faces = "closing plane"', "recess = -4",
        'pattern = "75x75"', "head = 2.5", "behind = 20",
        'rail = { width = 40, height = "1 in", run = "up", on = "back panel", length = 300, '
        "kg_per_m = 0.7 }",
    )  # fmt: skip
    assert mount.recess_mm == -4.0
    assert mount.rails == Rails(40.0, 25.4, "up", "back panel", 300.0, 0.7)
    assert (mount.head_mm, mount.behind_mm, mount.sunk) == (2.5, 20.0, False)
    assert mount.pattern == HolePattern(
        "75x75", ((172.5, 92.5), (247.5, 92.5), (247.5, 167.5), (172.5, 167.5)), "M4", 10.0
    )


def test_a_sub_panel_takes_thickness_and_mass_of_its_board() -> None:
    """A trade name says thickness and mass; a board of one's own says its own; battens may go."""
    trade = mount_of('by = "sub-panel"', 'sub_panel = { panel = "birch plywood 9", margin = 5 }')
    assert trade.sub_panel.thickness_mm == pytest.approx(8.9, abs=0.5)
    assert trade.sub_panel.kg_per_m2 is not None
    assert trade.sub_panel.margin_mm == 5.0
    own = mount_of(
        'by = "sub-panel"', 'sub_panel = { panel = "our sheet", thickness = 4, batten = false }'
    )
    assert own.sub_panel == SubPanel("our sheet", 4.0, 20.0, None, None)
    assert own.support_mm == 7.0


def test_rails_run_the_way_that_needs_fewer() -> None:
    """Two columns of three holes get two rails up the back, unless the sheet says otherwise."""
    holes = "holes = [[20, 20], [20, 60], [20, 100], [90, 20], [90, 60], [90, 100]]"
    pattern = f'pattern = {{ {holes}, thread = "M5", depth = 8 }}'
    assert mount_of(pattern).rails.run == "up"
    assert mount_of(pattern, 'rail = { run = "along" }').rails.run == "along"


def test_walls_hold_the_two_faces_beside_the_front() -> None:
    """Held by the walls: left and right, or front and back where the front is a side."""
    assert mount_of('by = "walls"').walls == ("left", "right")
    assert mount_of('by = "walls"', 'front = "left"').walls == ("front", "back")
    assert mount_of('by = "walls"', 'walls = ["back", "front"]').walls == ("front", "back")
    pattern = mount_of('by = "walls"', 'pattern = { size = [60, 20], thread = "M4", depth = 8 }')
    assert pattern.pattern is not None
    assert pattern.pattern.holes_mm[0] == (100.0, 10.0)  # in the middle of the left face, 260 x 40


def test_the_item_stands_as_its_mount_says() -> None:
    """A mount sets hold and the faces that may look up; before a wall the item may not turn."""
    flat = read(SCREEN, MOUNT + 'front = "front"\n').items[0]
    assert (flat.hold, flat.up, flat.turn) == ("mounted", ("front",), "quarter")
    back = read(SCREEN, MOUNT + 'front = "top"\nfaces = "back panel"\n').items[0]
    assert back.up == ("bottom",)
    wall = read(SCREEN, MOUNT + 'front = "top"\nfaces = "back wall"\n').items[0]
    assert (set(wall.up), wall.turn) == ({"front", "back", "left", "right"}, "fixed")
    said = SCREEN.replace("count = 2", 'up = ["left", "top"]')
    narrowed = read(said, MOUNT + 'front = "top"\nfaces = "back wall"\n').items[0]
    assert narrowed.up == ("left",)


def test_items_without_a_mount_stay_as_they_are() -> None:
    """Only the named item is mounted; capitals do not count."""
    payload = read(SCREEN, RECORDER, '[[mount]]\nitem = "Field Screen"\n')
    assert [item.mount is None for item in payload.items] == [False, True]
    assert payload.items[1] == read(RECORDER).items[0]


FAULTS = {
    "no such item": ('[[mount]]\nitem = "feild screen"\n', 'did you mean "field screen"?'),
    "two mounts": (MOUNT + MOUNT, "the item has two mounts (the other is on line 17)"),
    "unknown way": (MOUNT + 'by = "rail"\n', 'did you mean "rails"?'),
    "unknown face": (MOUNT + 'front = "glass"\n', "none of the words known here"),
    "unknown facing": (MOUNT + 'faces = "back"\n', "none of the words known here"),
    "unknown key": (MOUNT + "rails = { width = 20 }\n", "did you mean rail?"),
    "rails and a sub-panel": (
        MOUNT + "sub_panel = { margin = 3 }\n", 'held by rails; take sub_panel out',
    ),
    "walls and rails": (MOUNT + 'walls = ["left", "right"]\n', 'write by = "walls"'),
    "walls that are no pair": (
        MOUNT + 'by = "walls"\nwalls = ["left", "front"]\n',
        '["left", "right"] or ["front", "back"]',
    ),
    "walls at the front": (
        MOUNT + 'by = "walls"\nfront = "left"\nwalls = ["left", "right"]\n', '["front", "back"]',
    ),
    "sunk with heads": (MOUNT + "sunk = true\nhead = 3\n", "take head or sunk out"),
    "out through a wall": (
        MOUNT + 'faces = "left wall"\nrecess = -3\n', "would stand 3 mm out through the left wall",
    ),
    "out through the back panel": (
        MOUNT + 'faces = "back panel"\nrecess = -3\n', "3 mm out through the back panel",
    ),
    "a rail from wall to wall with a length": (
        MOUNT + 'rail = { on = "walls", length = 100 }\n', "runs from wall to wall",
    ),
    "a batten that is true": (
        MOUNT + 'by = "sub-panel"\nsub_panel = { batten = true }\n', "true where a size or false",
    ),
    "a board nobody knows": (
        MOUNT + 'by = "sub-panel"\nsub_panel = { panel = "birch plywod 9" }\n', "birch plywood 9",
    ),
    "unknown pattern": (MOUNT + 'pattern = "100x110"\n', 'did you mean "100x100"?'),
    "pattern that is a number": (MOUNT + "pattern = 100\n", "where a hole pattern belongs"),
    "pattern without holes": (
        MOUNT + 'pattern = { thread = "M4", depth = 8 }\n', "does not say where its holes are",
    ),
    "pattern with both": (
        MOUNT + 'pattern = { size = [9, 9], holes = [[1, 1]], thread = "M4", depth = 8 }\n',
        "both size and holes",
    ),
    "named pattern with a size": (
        MOUNT + 'pattern = { name = "100x100", size = [90, 90] }\n', "take size out",
    ),
    "no thread known": (
        MOUNT + 'pattern = { name = "200x200", depth = 12 }\n',
        "the thread of the holes of 200x200 is not known; try a screw in one and give thread =",
    ),
    "no thread in a pattern of one's own": (
        MOUNT + "pattern = { size = [90, 40], depth = 12 }\n", "of your own pattern is not known",
    ),
    "no such thread": (
        MOUNT + 'pattern = { name = "100x100", thread = "M4.5" }\n', "no thread known here",
    ),
    "no depth known": (
        MOUNT + 'pattern = "200x100"\n', "measure one with a thin rod and give depth",
    ),
    "pattern wider than the face": (
        MOUNT + 'pattern = { size = [430, 40], thread = "M4", depth = 8 }\n',
        "the pattern is 430 mm wide and the bottom face 420 mm; that is 10 mm too much",
    ),
    "pattern higher than the face": (
        MOUNT + 'pattern = { name = "400x400", thread = "M6", depth = 8 }\n',
        "the pattern is 400 mm high and the bottom face 260 mm; that is 140 mm too much",
    ),
    "hole beyond the edge": (
        MOUNT + 'pattern = { name = "100x100", at = [40, 130] }\n', "a hole lies 10 mm beyond",
    ),
    "holes and at": (
        MOUNT + 'pattern = { holes = [[9, 9]], at = [3, 3], thread = "M4", depth = 8 }\n',
        "take at out",
    ),
    "a hole twice": (
        MOUNT + 'pattern = { holes = [[9, 9], [9, 9]], thread = "M4", depth = 8 }\n',
        "listed twice",
    ),
    "a hole of one number": (
        MOUNT + 'pattern = { holes = [[9]], thread = "M4", depth = 8 }\n', "write [along, up]",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", FAULTS)
def test_a_fault_is_said_once_and_in_full(case: str) -> None:
    """Each wrong mount gets one fault that says what to do, with the millimetres."""
    text, said = FAULTS[case]
    assert said in only_fault(SCREEN, text)


def test_no_mount_in_a_ready_made_case() -> None:
    """A mount and a list of ready-made cases contradict each other, whatever is in the list."""
    found = faults(SCREEN, MOUNT, case='form = "box"\nready_made = "no such list.csv"')
    assert any("mount and ready_made do not go together" in str(one) for one in found)


CONTRADICTIONS = {
    "hold": ('hold = "pocket"', "", "the item has a mount"),
    "up": ('up = ["bottom"]', "", 'write up = ["top"]'),
    "up before a wall": (
        'up = ["top"]', 'faces = "left wall"\n', "name one of left, right, front or back",
    ),
    "proud": ("proud = false", "recess = -6\n", "6 mm proud of the closing plane"),
}  # fmt: skip


@pytest.mark.parametrize("case", CONTRADICTIONS)
def test_an_item_that_contradicts_its_mount(case: str) -> None:
    """What the item says must go with its mount, or one of them goes."""
    line, mount, said = CONTRADICTIONS[case]
    item = SCREEN.replace("count = 2", line)
    assert said in only_fault(item, MOUNT + mount)


def test_all_faults_at_once() -> None:
    """Every fault of every mount is said in one go, in the order of the sheet."""
    text = MOUNT + "sunk = 3\nrecess = 'deep'\npattern = '10x10'\n[[mount]]\nby = 'glue'\n"
    found = [str(fault) for fault in faults(SCREEN, text)]
    assert len(found) == 5
    assert ["sunk" in found[0], "recess" in found[1], "pattern" in found[2]] == [True] * 3
    assert "no item" in found[3]
    assert "by" in found[4]


def test_a_pattern_that_is_wrong_hides_no_recess_that_is_too_deep() -> None:
    """Both are said at once, and nothing of how the item would lie in foam."""
    text = MOUNT + "recess = 120\n"
    text += 'pattern = { size = [300, 300], thread = "M4", depth = 8 }\n'
    found = [
        str(fault) for fault in faults(SCREEN, text, case='form = "pair"\ndepths = [100, 100]')
    ]
    assert len(found) == 2
    assert any("the pattern is 300 mm high" in one for one in found)
    assert any("83 mm are missing" in one for one in found)


def test_a_mount_that_cannot_be_read_is_all_that_is_said() -> None:
    """How deep its item stands is not known then: no depth is asked for it."""
    said = only_fault(SCREEN, MOUNT + "recess = 'deep'\n", case='form = "pair"\ndepths = [50, 50]')
    assert "recess" in said
    assert "clearances" not in said


@pytest.mark.parametrize(
    ("lines", "depth", "missing"),
    [
        # recess 15 + body 40 + rails 20 and heads 3 = 78
        ("", 70, "8 mm are missing"),
        ("recess = 50\n", 100, "a recess of 50 mm, the item of 40 mm and 23 mm behind it"),
        ("recess = 50\n", 100, "13 mm are missing"),
        ("recess = 120\n", 100, "83 mm are missing"),
        # plywood 6.4, battens 20
        ('by = "sub-panel"\n', 80, "1.4 mm are missing"),
        ("behind = 60\n", 114.5, "0.5 mm are missing"),
        # upright: 260 or 420 high, with nothing above or below it
        ('faces = "left wall"\n', 250, "10 mm are missing"),
        # back panel: body 40, rails 23 above it
        ('faces = "back panel"\nrecess = 5\n', 60, "8 mm are missing"),
    ],
)
def test_recess_deeper_than_the_half(lines: str, depth: float, missing: str) -> None:
    """Recess, body and what lies behind it must go into a half of given depth; else: mm missing."""
    assert missing in only_fault(
        SCREEN, MOUNT + lines, case=f'form = "pair"\ndepths = [{depth}, {depth}]'
    )


@settings(max_examples=25, deadline=None)
@given(recess=st.floats(-30, 80), behind=st.floats(0, 60))
def test_what_just_goes_in_is_not_refused(recess: float, behind: float) -> None:
    """A half exactly as deep as recess, body and the deepest zone behind it is taken."""
    need = recess + 40 + max(23.0, behind)
    lines = MOUNT + f"recess = {recess!r}\nbehind = {behind!r}\n"
    for extra, refused in ((0.01, False), (-0.5, True)):
        depth = max(1.0, need + extra)
        try:
            read(SCREEN, lines, case=f'form = "pair"\ndepths = [{depth!r}, {depth!r}]')
        except BadInput:
            assert refused
        else:
            assert not refused


def test_what_is_taken_for_granted_is_said() -> None:
    """Rails, pattern and recess that the sheet does not give are named with their values."""
    said = "\n".join(read(SCREEN, MOUNT + 'pattern = "100x100"\n').assumptions)
    assert "recess free, 15 mm at least" in said
    assert "rails 30 mm wide and 20 mm high" in said
    assert "Hole pattern 100x100 of field screen: M4, 10 mm deep" in said
    assert "Closing gap, not given: 2 mm left at worst" in said
    assert "foam" not in said.lower()  # nothing lies in foam
    full = read(
        SCREEN,
        MOUNT + 'by = "walls"\nfront = "top"\nfaces = "closing plane"\nrecess = 9\nwalls = '
        '["left", "right"]\npattern = { size = [60, 20], thread = "M4", depth = 8 }\n',
    )
    assert not any(line.startswith(("Mounts", "Hole", "Rails")) for line in full.assumptions)


def test_two_mounts_are_told_apart() -> None:
    """A value that only one mount leaves open names its item."""
    both = MOUNT + 'head = 4\n[[mount]]\nitem = "recorder"\nrail = { width = 9, height = 9 }\n'
    (said,) = [one for one in read(SCREEN, RECORDER, both).assumptions if one[:7] == "Mounts,"]
    assert "heads of screws stand out 3 mm (recorder)" in said
    assert "rails 30 mm wide and 20 mm high (field screen)" in said
    assert "on rails;" in said


def test_inches() -> None:
    """A sheet in inches reads a recess in inches; what is left out stays the default in mm."""
    zone = "[[item]]\nname = 'field screen'\nbody = [{ rectangle = [16, 10], z = [0, 2] }]\n"
    text = sheet(zone, MOUNT + "recess = 0.5\nrail = { height = 1 }\n")
    mount = parse_sheet('units = "in"\n' + text, name="kit.toml").items[0].mount
    assert mount is not None
    assert (mount.recess_mm, mount.least_mm) == (12.7, 15.0)
    assert mount.rails == Rails(height_mm=25.4)
