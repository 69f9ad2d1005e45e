"""Bad sheets: every fault at once, each with its line, what was found and what would be right."""
# ruff: noqa: E501 (a table, as far as possible with one fault on a line)

from __future__ import annotations

import os
from pathlib import Path

import pytest

from fitkit.errors import BadInput, Fault
from fitkit.payload.sheet import parse_sheet, read_sheet

GOOD_BODY = "body = [ { rectangle = [80, 40], z = [0, 20] } ]"


def faults_of(text: str) -> tuple[Fault, ...]:
    """The faults of a sheet called kit.toml."""
    with pytest.raises(BadInput) as refused:
        parse_sheet(text, name="kit.toml")
    return refused.value.faults


def item(*lines: str, name: str = "probe") -> str:
    """One item with its name on line 2 and further lines from line 3 on."""
    return "\n".join(["[[item]]", f'name = "{name}"', *lines, ""])


def body(*shapes: str) -> str:
    """An item of these shapes, the first on line 4."""
    return item("body = [", *(f"  {shape}," for shape in shapes), "]")


def case(*lines: str) -> str:
    """Wishes for the case from line 2 on, and a good item after them."""
    return "\n".join(["[case]", *lines, item(GOOD_BODY)])


def zone(**changes: str) -> str:
    """An item of 80 x 40 x 20 with one zone on lines 4 to 9."""
    keys = {
        "kind": '"connector"',
        "face": '"back"',
        "at": "[20, 10]",
        "size": "[8, 6]",
        "depth": "30",
    }
    lines = [f"{key} = {value}" for key, value in {**keys, **changes}.items() if value]
    return item(GOOD_BODY, "[[item.zone]]", *lines)


ONE_FAULT = {
    # keys
    "unknown key": (item(GOOD_BODY, "colour = 1"), "line 4", '"colour" is not known', "known here: name"),
    "unknown key, nearly right": (item(GOOD_BODY, 'mas = "1 kg"'), "line 4", '"mas"', "did you mean mass?"),
    "unknown heading": ("[fom]\n" + item(GOOD_BODY), "line 1", '"fom"', "did you mean foam?"),
    "unknown shape": (body("{ rectangel = [8, 4], z = [0, 2], circle = 3 }"), "line 4", '"rectangel"',
                      "did you mean rectangle?"),
    # numbers and units
    "number in quotes": (item(GOOD_BODY, 'uncertainty = "1"'), "line 4", '"1" has no unit', "without quotes"),
    "wrong unit": (item(GOOD_BODY, 'uncertainty = "1 kg"'), "line 4", "is a mass, not a length", "31.5 cm"),
    "unknown unit": (body('{ circle = "3 parsecs", z = [0, 2] }'), "line 4", "parsecs", "12 3/8 in"),
    "decimal comma": (body('{ circle = "3,5 cm", z = [0, 2] }'), "line 4", "decimal comma", "point"),
    "true for a number": (body("{ circle = true, z = [0, 2] }"), "line 4", "true where a length", "a number"),
    "date for a number": (body("{ circle = 2026-11-25, z = [0, 2] }"), "line 4", "a date", "a number"),
    "nan": (body("{ circle = nan, z = [0, 2] }"), "line 4", "no end", "plain number"),
    "inf": (body("{ circle = inf, z = [0, 2] }"), "line 4", "no end", "plain number"),
    "absurdly large": (body("{ circle = 1e9, z = [0, 2] }"), "line 4", "too large", "20000 mm"),
    "a number of 400 digits": (body("{ circle = " + "9" * 400 + ", z = [0, 2] }"), "line 4", "no end",
                               "plain number"),
    "negative size": (body("{ rectangle = [80, -40], z = [0, 2] }"), "line 4", "-40 is negative", "0.1 mm"),
    "zero size": (body("{ rectangle = [0, 40], z = [0, 2] }"), "line 4", "is nought", "0.1 mm"),
    "one size for two": (body("{ rectangle = [40], z = [0, 2] }"), "line 4", "a list of 1", "2 lengths"),
    "mass without unit": (item(GOOD_BODY, "mass = 1.4"), "line 4", "the number 1.4", '"1.2 kg"'),
    "mass as length": (item(GOOD_BODY, 'mass = "14 mm"'), "line 4", "is a length, not a mass", '"1.2 kg"'),
    "mass of nothing": (item(GOOD_BODY, 'mass = "0 g"'), "line 4", '"0 g"', "above 0"),
    "unknown units": ('units = "cm"\n' + item(GOOD_BODY), "line 1", '"cm"', '"mm" or "in"'),
    "a number of 5000 digits": (
        body("{ circle = " + "9" * 5000 + ", z = [0, 2] }"), "kit.toml", "thousands of digits", "measure"),
    "a long number in another notation": (
        item(GOOD_BODY, "count = 0x" + "f" * 6000), "line 4", "more than 20 digits", "give 1 to 500"),
    "a key that does not print": (
        item(GOOD_BODY, '"a\\nb" = 1'), "line 4", '"aU+000Ab" is not known', "known here"),
    # counts and names
    "count of zero": (item("count = 0", GOOD_BODY), "line 3", "count is 0", "give 1 to 500"),
    "negative count": (item("count = -2", GOOD_BODY), "line 3", "count is -2", "give 1 to 500"),
    "half a count": (item("count = 1.5", GOOD_BODY), "line 3", "the number 1.5", "give 1 to 500"),
    "true for a count": (item("count = true", GOOD_BODY), "line 3", "true", "give 1 to 500"),
    "count beyond reason": (item("count = 100000", GOOD_BODY), "line 3", "count is 100000", "give 1 to 500"),
    "two of one name": (item(GOOD_BODY) + item(GOOD_BODY, name="Probe"), "line 5",
                        'two items are called "Probe" (the other is on line 2)', "rename one"),
    "a copy called like an item": (item(GOOD_BODY, "count = 2") + item(GOOD_BODY, name="Probe 2"),
                                   "line 2", 'copy 2 of "probe"', "rename one"),
    "no name": ("[[item]]\n" + GOOD_BODY, "line 1", "no name", "name ="),
    "empty name": (item(GOOD_BODY, name="  "), "line 2", "the name is empty", "tells the item"),
    "name with a slash": (item(GOOD_BODY, name="in/out"), "line 2", "/ in it", "letters, digits"),
    "name with a tab": (item(GOOD_BODY, name="a\\tb"), "line 2", "U+0009", "letters, digits"),
    "name too long": (item(GOOD_BODY, name="x" * 61), "line 2", "61 characters", "60 or fewer"),
    "name with a trailing dot": (item(GOOD_BODY, name="probe."), "line 2", "blank or a dot", '"probe"'),
    "name that a plan uses": (item(GOOD_BODY, name="Edge"), "line 2", "means something else", "another name"),
    "name that is a number": ("[[item]]\nname = 3\n" + GOOD_BODY, "line 2", "the number 3", "in quotes"),
    # bodies
    "no body": (item(), "line 1", "no body", "body = ["),
    "empty body": (item("body = []"), "line 3", "no shapes", "at least one"),
    "body that is a table": (item("body = { circle = 3, z = [0, 2] }"), "line 3", "a table", "brackets"),
    "no outline": (body("{ z = [0, 2] }"), "line 4", "no outline", "rectangle, circle, polygon or regular"),
    "two outlines": (body("{ circle = 3, rectangle = [4, 4], z = [0, 2] }"), "line 4",
                     "rectangle and circle", "give one of"),
    "no band": (body("{ circle = 3 }"), "line 4", "no height band", "z = [from, to]"),
    "band of no height": (body("{ circle = 3, z = [5, 5] }"), "line 4", "from 5 mm to 5 mm has no height",
                          "lower height first"),
    "band upside down": (body("{ circle = 3, z = [9, 5] }"), "line 4", "has no height", "lower height first"),
    "band of one number": (body("{ circle = 3, z = 9 }"), "line 4", "the number 9", "z = [from, to]"),
    "corner too round": (body("{ rectangle = [8, 4], corner = 3, z = [0, 2] }"), "line 4",
                         "half the short side", "2 mm or less"),
    "corner on a circle": (body("{ circle = 8, corner = 3, z = [0, 2] }"), "line 4", "no corner", "take it out"),
    "self-crossing": (body("{ polygon = [[0, 0], [80, 40], [80, 0], [0, 40]], z = [0, 2] }"), "line 4",
                      "crosses itself near 40, 20", "without crossing"),
    "touching itself": (body("{ polygon = [[0,0],[40,0],[40,40],[20,0],[0,40]], z = [0, 2] }"), "line 4",
                        "crosses itself near 20, 0", "without crossing"),
    "polygon of two points": (body("{ polygon = [[0, 0], [80, 40]], z = [0, 2] }"), "line 4",
                              "2 different points", "three points"),
    "polygon on one line": (body("{ polygon = [[0, 0], [80, 0], [40, 0]], z = [0, 2] }"), "line 4",
                            "encloses nothing", "not all on one line"),
    "arc too tight": (body('{ polygon = [[0, 0], [80, 0], [80, 40, "arc", 19], [0, 40]], z = [0, 2] }'),
                      "line 4", "an arc of radius 19 mm over 40 mm", "20 mm or more"),
    "arc of no radius": (body('{ polygon = [[0, 0], [80, 0], [80, 40, "arc", 0], [0, 40]], z = [0, 2] }'),
                         "line 4", "radius of the arc is nought", "leave it straight"),
    "point of three": (body("{ polygon = [[0, 0], [80, 0], [80, 40, 20], [0, 40]], z = [0, 2] }"), "line 4",
                       "a list of 3", '"arc", radius'),
    "a word that is not arc": (body('{ polygon = [[0, 0], [80, 0], [80, 40, "bow", 20]], z = [0, 2] }'),
                               "line 4", 'the text "bow"', '"arc"'),
    "regular with two sides": (body("{ regular = { sides = 2, across = 9 }, z = [0, 2] }"), "line 4",
                               "2 sides", "3 to"),
    "regular without width": (body("{ regular = { sides = 6 }, z = [0, 2] }"), "line 4", "across is missing",
                              "across = 30"),
    "two pieces side by side": (body("{ circle = 5, at = [5, 5], z = [0, 9] }",
                                     "{ circle = 5, at = [25, 5], z = [0, 9] }"),
                                "line 3", "in 2 pieces", "overlap"),
    "two pieces in height": (body("{ circle = 5, z = [0, 9] }", "{ circle = 5, z = [10, 19] }"), "line 3",
                             "in 2 pieces", "overlap"),
    "touching at a corner": (body("{ rectangle = [9, 9], z = [0, 9] }",
                                  "{ rectangle = [9, 9], at = [9, 9], z = [0, 9] }"),
                             "line 3", "in 2 pieces", "touching at a point"),
    "touching along an edge": (body("{ rectangle = [9, 9], z = [0, 9] }",
                                    "{ rectangle = [9, 9], at = [9, 0], z = [9, 18] }"),
                               "line 3", "in 2 pieces", "along a line"),
    "circles that touch": (body("{ circle = 20, at = [20, 20], z = [0, 9] }",
                                "{ circle = 30, at = [70, 20], z = [0, 9] }"),
                           "line 3", "in 2 pieces", "overlap"),
    "hole outside": (body("{ circle = 20, z = [0, 9], holes = [ { circle = 3, at = [60, 20] } ] }"), "line 4",
                     "not inside", "smaller"),
    "hole over the edge": (body("{ circle = 20, z = [0, 9], holes = [ { circle = 3, at = [38, 20] } ] }"),
                           "line 4", "not inside", "smaller"),
    "hole with a band": (body("{ circle = 20, z = [0, 9], holes = [ { circle = 3, at = [20, 20], z = [0, 9] } ] }"), "line 4",
                         '"z" is not known', "known here"),
    "holes that cut in pieces": (
        body("{ rectangle = [90, 30], z = [0, 9], holes = [ { rectangle = [50, 2], at = [20, 5] }, "
             "{ rectangle = [50, 2], at = [20, 23] }, { rectangle = [2, 20], at = [20, 5] }, "
             "{ rectangle = [2, 20], at = [68, 5] } ] }"), "line 4", "in pieces", "smaller"),
    # poses
    "unknown face": (item(GOOD_BODY, 'up = ["top", "rear"]'), "line 4", 'the text "rear" is not a face', "top"),
    "face nearly right": (item(GOOD_BODY, 'up = ["botom"]'), "line 4", '"botom"', '"bottom"'),
    "one face as text": (item(GOOD_BODY, 'up = "top"'), "line 4", 'the text "top"', 'up = ["top"]'),
    "no face": (item(GOOD_BODY, "up = []"), "line 4", "an empty list", "a list of top"),
    "unknown turn": (item(GOOD_BODY, 'turn = "quater"'), "line 4", '"quater"', 'did you mean "quarter"?'),
    "unknown hold": (item(GOOD_BODY, 'hold = "glue"'), "line 4", '"glue"', '"pocket" or "mounted"'),
    "unknown reach": (item(GOOD_BODY, 'reach = "never"'), "line 4", '"never"', '"always" or "any"'),
    "proud in quotes": (item(GOOD_BODY, 'proud = "no"'), "line 4", 'the text "no"', "true or false"),
    "unknown band": (item(GOOD_BODY, 'fragility = "delicat"'), "line 4", '"delicat"', '"delicate"'),
    "fragility of nothing": (item(GOOD_BODY, "fragility = 0"), "line 4", "the number 0", "1 to 1000"),
    "power in words": (item(GOOD_BODY, 'power = "12 W"'), "line 4", '"12 W"', "watts as a number"),
    "negative power": (item(GOOD_BODY, "power = -1"), "line 4", "-1", "0 to 10000"),
    # zones
    "face that no item has": (zone(face='"rear"'), "line 6", "an item has no such face", "top, bottom"),
    "zone outside its face": (zone(at="[95, 10]"), "line 7", "outside the back face",
                              "80 mm along and 20 mm up"),
    "zone above its face": (zone(face='"left"', at="[20, 30]"), "line 7", "outside the left face",
                            "40 mm along and 20 mm up"),
    "zone below its face": (zone(at="[20, -1]"), "line 7", "outside the back face", "from its foot"),
    "zone without depth": (zone(depth=""), "line 4", "the zone has no depth", "depth"),
    "zone of no depth": (zone(depth="0"), "line 9", "is nought", "0.1 mm"),
    "unknown zone": (zone(kind='"plug"'), "line 5", '"plug"', "connector"),
    "one zone as a table": (item(GOOD_BODY, "zone = 3"), "line 4", "list of tables", "zone = [ { ... } ]"),
    # the case
    "unknown form": (case('form = "trunk"'), "line 2", '"trunk"', '"box", "pair" or "tray"'),
    "objective of a later version": (case('objective = "mass"'), "line 2", "not planned by this version",
                                     '"volume"'),
    "no tiers": (case("tiers = 0"), "line 2", "tiers is 0", "give 1 to 9"),
    "one depth for two halves": (case("depths = [200]"), "line 2", "a list of 1", "2 lengths"),
    "depth in odd words": (case('depths = ["fre", 100]'), "line 2", '"fre"', 'a length or "free"'),
    "pair of two depths": (case('form = "pair"', "depths = [100, 120]"), "line 3", "are no pair", 'form = "box"'),
    "tray of two depths": (case('form = "tray"', "depths = [100, 120]"), "line 3", "one part", "one depth"),
    "negative clearance": (case("clearance = { item = -1 }"), "line 2", "-1 is negative", "0 mm"),
    "unknown clearance": (case("clearance = { ceiling = 1 }"), "line 2", '"ceiling"', "known here: item"),
    "two limits for three": (case("limits = { outside = [300, 400] }"), "line 2", "a list of 2", "3 lengths"),
    "draft beyond reason": (case("draft = 60"), "line 2", "the number 60", "under 30 degrees"),
    "draft as a length": (case('draft = "3 mm"'), "line 2", "a length, not an angle", "3 deg"),
    "clearance that is a number": (case("clearance = 15"), "line 2", "the number 15", "clearance = {"),
    # limits that one item cannot meet
    "taller than the limit": (case('limits = { outside = ["free", "free", 30] }'), "line 5",
                              "the item alone needs a case of", "over the limit (line 2)"),
    "longer than the linear limit": (case('limits = { linear = "10 cm" }'), "line 5", "linear sum",
                                     "over the limit (line 2)"),
    "taller than the halves": (case("depths = [30, 10]"), "line 5", "20 mm high at least",
                               "the depths leave 40 mm (line 2): give 20 mm more"),
    "taller than its half": (case('form = "pair"', "depths = [50, 50]") + "proud = false\n", "line 6",
                             "20 mm high at least", "give 10 mm more"),
    "heavier than the limit": (case('limits = { mass = "1 kg" }') + 'mass = "1.2 kg"\n', "line 6",
                               "1.2 kg is more than", "the limit is 1 kg (line 2)"),
    # wall and foam
    "unknown panel": ('[wall]\npanel = "birch plywood 6"\n' + item(GOOD_BODY), "line 2",
                      '"birch plywood 6" is not a panel', "birch plywood 6.5"),
    "negative leaf": ("[wall]\nprofile = { outer_leaf = -1 }\n" + item(GOOD_BODY), "line 2", "-1 is negative",
                      "0.1 mm"),
    "legs that collide": ("[wall]\nprofile = { leg = 40, corner = 30 }\n" + item(GOOD_BODY), "line 2",
                          "lets the legs collide", "40 mm"),
    "no sheets": ("[foam]\nsheets = []\n" + item(GOOD_BODY), "line 2", "an empty list", "1 or more lengths"),
    "sheet of no thickness": ("[foam]\nsheets = [10, 0]\n" + item(GOOD_BODY), "line 2", "is nought", "1 mm"),
    "unknown cutting": ('[foam]\ncutting = "saw"\n' + item(GOOD_BODY), "line 2", '"saw"',
                        '"knife", "router" or "hot wire"'),
    "notch that is true": ("[foam]\nnotch = true\n" + item(GOOD_BODY), "line 2", "true", "width = 24"),
    "allowance beyond reason": ("[foam]\nallowance = -50\n" + item(GOOD_BODY), "line 2", "-50 is", "-5 mm"),
    "density in words": ('[foam]\ndensity = "33"\n' + item(GOOD_BODY), "line 2", '"33"', "kilograms per cubic"),
    # later versions
    "body from a drawing": (body('{ drawing = { file = "x.dxf" }, z = [0, 2] }'), "line 4",
                            "not planned by this version", "polygon"),
    "body from a solid": (body('{ solid = { file = "x.stl", units = "mm" } }'), "line 4",
                          "not planned by this version", "sections"),
    "body from a photo": (body('{ photo = { file = "x.toml" } }'), "line 4", "not planned by this version",
                          "polygon"),
    "body from a shelf": (body('{ shelf = "battery" }'), "line 4", "not planned by this version", "shape"),
    "ready-made cases": (case('ready_made = "none.csv"'), "line 2", "there is no such list", "sheet's folder"),
    "cable without ends": (item(GOOD_BODY) + "[[cable]]\ndiameter = 6\n", "line 4, cable", "no from and no to",
                           'to = another connector or "outside"'),
    "mount without an item": (item(GOOD_BODY) + "[[mount]]\n", "line 4, mount 1", "the mount has no item",
                              'item = "field screen"'),
    # whole sheets
    "empty sheet": ("", "kit.toml", "the sheet has no items", "[[item]]"),
    "item that is a table": ("[item]\nname = 'a'\n", "line 1", "a table where a list", "double brackets"),
    "item that is a number": ("item = [3]\n", "line 1", "the number 3", "{ ... }"),
    "empty title": ('title = ""\n' + item(GOOD_BODY), "line 1", "title is empty", "one line"),
    "no TOML": (item(GOOD_BODY) + "count = = 2\n", "line 4, column", "not TOML", "key = value"),
    "a key given twice": (item(GOOD_BODY, 'name = "b"'), "line 4", "not TOML", "key = value"),
    "an open bracket": ("[case\n", "line 1", "not TOML", "key = value"),
    "an open text": ('title = "', "line 1", "not TOML", "key = value"),
    "brackets without end": ("a = " + "[" * 5000, "kit.toml", "nested too deeply", "samples"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "place", "found", "remedy"), ONE_FAULT.values(), ids=list(ONE_FAULT)
)
def test_a_fault_is_said_once_and_in_full(text: str, place: str, found: str, remedy: str) -> None:
    """One mistake gives one fault: the right line, what stands there, and what would be right."""
    faults = faults_of(text)
    assert len(faults) == 1, [str(fault) for fault in faults]
    (fault,) = faults
    assert fault.place.startswith("kit.toml")
    assert place in fault.place, fault.place
    assert found in fault.found, fault.found
    assert remedy in fault.remedy, fault.remedy


EIGHT = """\
titel = "Tideline"
[case]
tiers = 0
[[item]]
name = "recorder"
count = 0
mass = "1.4 mm"
body = [
  { rectangle = [212, -148], z = [0, 44] },
  { circle = 28, z = [44, 44] },
]
[[item]]
name = "Recorder"
body = [ { polygon = [[0, 0], [80, 40], [80, 0], [0, 40]], z = [0, 2] } ]
"""


def test_every_fault_comes_at_once_in_the_order_of_the_file() -> None:
    """A sheet with eight different faults reports all eight, from the first line to the last."""
    faults = faults_of(EIGHT)
    assert [fault.place.split(",")[0] for fault in faults] == [
        f"kit.toml line {line}" for line in (1, 3, 6, 7, 9, 10, 13, 14)
    ]
    assert [fault.place.partition(", ")[2] for fault in faults[2:6]] == [
        'item "recorder" count',
        'item "recorder" mass',
        'item "recorder" body 1 rectangle 2',
        'item "recorder" body 2 z',
    ]
    with pytest.raises(BadInput, match="8 faults:"):
        parse_sheet(EIGHT, name="kit.toml")


def test_a_missing_file_names_one_like_it(tmp_path: Path) -> None:
    """No such file: the sheet of nearly that name is offered."""
    (tmp_path / "tideline.toml").write_text(item(GOOD_BODY))
    with pytest.raises(BadInput) as refused:
        read_sheet(tmp_path / "tidelin.toml")
    (fault,) = refused.value.faults
    assert fault.place == str(tmp_path / "tidelin.toml")
    assert fault.found == "there is no such sheet"
    assert fault.remedy == f"did you mean {tmp_path / 'tideline.toml'}?"


def test_a_missing_folder_is_no_trap(tmp_path: Path) -> None:
    """A file in a folder that does not exist is simply not there."""
    with pytest.raises(BadInput, match="there is no such sheet; check the name"):
        read_sheet(tmp_path / "nowhere" / "kit.toml")


def test_a_folder_is_no_sheet(tmp_path: Path) -> None:
    """A folder is refused, and the sheets in it are named."""
    (tmp_path / "kit.toml").write_text(item(GOOD_BODY))
    with pytest.raises(BadInput, match=r"this is a folder; name the sheet in it: kit\.toml"):
        read_sheet(tmp_path)


def test_a_file_that_is_no_text(tmp_path: Path) -> None:
    """What is not UTF-8 is refused with the line where it starts."""
    (tmp_path / "kit.toml").write_bytes(b"units = 'mm'\ntitle = '\xff\xfe'\n")
    with pytest.raises(BadInput, match=r"kit\.toml line 2: the text is not UTF-8; save"):
        read_sheet(tmp_path / "kit.toml")


@pytest.mark.skipif(os.name == "nt", reason="a null byte in a name fails in another way there")
def test_a_name_that_no_file_can_have() -> None:
    """A path that the system itself refuses is a fault, not a crash."""
    with pytest.raises(BadInput, match="cannot be read"):
        read_sheet(Path("kit\0.toml"))
