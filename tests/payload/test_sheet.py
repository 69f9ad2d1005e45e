"""Good sheets: what is typed is what is planned, and every default is said aloud."""
# ruff: noqa: E501 (sheets as a builder would type them)

from __future__ import annotations

import copy
import math
from pathlib import Path

import pytest
import shapely
import tomlkit

from fitkit.payload.model import FACES, Clearance, Item, Notch, Profile, Zone
from fitkit.payload.pose import body_size
from fitkit.payload.sheet import parse_sheet, read_sheet

SAMPLES = Path(__file__).parents[2] / "sample_payloads"

WHOLE = """\
title = "Tideline shore station"
units = "mm"

[case]
form = "box"
objective = "volume"
tiers = 2
depths = ["free", "free"]
half = "deep"
clearance = { item = 15, wall = 20, floor = 25, lid = 15, tier = 10 }
limits = { outside = ["free", "free", 300], linear = "158 cm", mass = "23 kg" }
corner = 0
draft = 0

[wall]
panel = "birch plywood 6.5"
thickness = 6.4
kg_per_m2 = 4.3
grain = "any"

[wall.profile]
outer_leaf = 1.5
slot = 7
inner_leaf = 1.5
slot_web = 1.5
leg = 30
corner = 30
closing_leaf = 25
play = 0.5
tongue_rim = 4
groove_rim = 6
tongue = 3.5
groove = 4
engagement = 15
corner_reach = 50
ends = "square"
closing_ends = "mitred"
kg_per_m = 0.35
closing_kg_per_m = 0.4

[foam]
sheets = [10, 20, 30, 50]
cutting = "router"
tool = 8
allowance = -0.5
notch = { width = 24, depth = 22 }
density = 33

[shell]
tongue = "deep"

[hardware]
lid = "lift off"
use = "flat"
ground = "feet"
braces = false
person = "25 kg"
rivet = 4
washers = true
pitch = 100
spares = 0.1
latch = { flange = [84, 68], dish = [60, 44], dish_corner = 8, depth = 10, stands = 2, holes = [[-36, 0, 4.1], [36, 0, 4.1]], fixing = "rivet", mass = "150 g" }
handle = { flange = [150, 80], dish = [120, 50], dish_corner = 8, depth = 10, stands = 3, holes = [[-67, 0, 4.1]], fixing = "rivet", mass = "400 g", load = "40 kg" }
foot = { flange = [38, 38], stands = 20, holes = [[0, 0, 8]], fixing = "tee nut", mass = "50 g" }
corner = { flange = [50, 50], stands = 2, holes = [], fixing = "rivet", mass = "40 g" }

[stock]
bars = [3000]
bar_trim = 10
bar_kerf = 3
sheet = [2440, 1220]
sheet_trim = 10
sheet_kerf = 3
stages = 2
foam = [2000, 1000]
foam_gap = 3
keep = 300

[[item]]
name = "recorder"
count = 1
mass = "1.4 kg"
body = [
  { rectangle = [212, 148], corner = 6, z = [0, 44] },
  { circle = 28, at = [40, 120], z = [44, 58] },
]
up = ["top"]
turn = "quarter"
hold = "pocket"
proud = false
fragility = 40
power = 12
reach = "always"
uncertainty = 0.5

  [[item.zone]]
  kind = "connector"
  face = "back"
  at = [150, 22]
  size = [22, 12]
  depth = 55
"""


def body_of(*shapes: str, units: str = "mm") -> Item:
    """The item made of these shapes."""
    text = f'units = "{units}"\n[[item]]\nname = "probe"\nbody = [{", ".join(shapes)}]\n'
    return parse_sheet(text, name="kit.toml").items[0]


def test_the_whole_grammar_is_read() -> None:
    """Every key of the sheet arrives where it belongs, in mm, kg and degrees."""
    payload = parse_sheet(WHOLE, name="kit.toml")
    assert (payload.title, payload.units) == ("Tideline shore station", "mm")
    case = payload.case
    assert (case.form, case.objective, case.tiers) == ("box", "volume", 2)
    assert case.depths_mm == (None, None)
    assert case.half == "deep"
    assert case.clearance == Clearance(15, 20, 25, 15, 10)
    assert case.limits.outside_mm == (None, None, 300.0)
    assert (case.limits.linear_mm, case.limits.mass_kg) == (1580.0, 23.0)
    assert payload.wall.profile == Profile(
        1.5, 7, 1.5, 1.5, 30, 30, 25, kg_per_m=0.35, closing_kg_per_m=0.4
    )
    assert (payload.wall.panel_mm, payload.wall.areal_kg_m2) == (6.4, 4.3)
    foam = payload.foam
    assert (foam.sheets_mm, foam.cutting, foam.tool_mm) == ((10, 20, 30, 50), "router", 8.0)
    assert (foam.allowance_mm, foam.notch, foam.accent_mm) == (-0.5, Notch(24, 22), None)
    recorder = payload.item("recorder")
    assert (recorder.mass_kg, recorder.fragility_g, recorder.power_w) == (1.4, 40.0, 12.0)
    assert (recorder.up, recorder.turn, recorder.reach) == (("top",), "quarter", "always")
    assert (recorder.proud, recorder.hold, recorder.uncertainty_mm) == (False, "pocket", 0.5)
    assert recorder.zones == (Zone("connector", "back", (150, 22), (22, 12), 55),)
    assert body_size(recorder.body) == pytest.approx((212, 148, 58))
    plate, knob = recorder.body.sections
    assert plate.outline.area == pytest.approx(212 * 148 - (4 - math.pi) * 36, abs=0.2)
    assert knob.outline.bounds == pytest.approx((12, 92, 68, 148))


def test_nothing_is_assumed_where_all_is_given() -> None:
    """A sheet that gives every value has no assumptions."""
    assert parse_sheet(WHOLE, name="kit.toml").assumptions == ()


SILENT = {
    ("units",): "millimetres",
    ("case", "form"): "form box",
    ("case", "objective"): "objective volume",
    ("case", "tiers"): "1 tier",
    ("case", "depths"): "depths free",
    ("case", "corner"): "square inner corners",
    ("case", "draft"): "upright walls",
    ("case", "clearance"): "item 15 mm, wall 20 mm, floor 25 mm, lid 15 mm, tier 10 mm",
    ("case", "clearance", "floor"): "floor 25 mm",
    ("wall", "panel"): "birch plywood 6.5",
    ("wall", "thickness"): "6.4 mm, the mean of 6.1 mm to 6.9 mm",
    ("wall", "kg_per_m2"): "4.37 kg/m2",
    ("wall", "profile", "outer_leaf"): "outer leaf 1.5 mm",
    ("wall", "profile", "closing_leaf"): "closing leaf 25 mm",
    ("wall", "grain"): "it may run along either side",
    ("wall", "profile", "play"): "play 0.5 mm",
    ("wall", "profile", "ends"): "ends square",
    ("wall", "profile", "kg_per_m"): "not given for edge profiles",
    ("wall", "profile", "closing_kg_per_m"): "not given for closing profiles",
    ("shell",): "tongue on the deep half",
    ("hardware", "lid"): "a lid that lifts off",
    ("hardware", "use"): "used lying flat",
    ("hardware", "ground"): "on feet",
    ("hardware", "braces"): "no braces",
    ("hardware", "person"): "25 kg for a person",
    ("hardware", "rivet"): "rivets of 4 mm",
    ("hardware", "washers"): "washers where a rivet ends in wood",
    ("hardware", "pitch"): "100 mm apart",
    ("hardware", "spares"): "10 % more fasteners",
    ("hardware", "latch"): "the latch is of generic size",
    ("hardware", "latch", "dish_corner"): "latch with a square-cornered dish",
    ("hardware", "latch", "holes"): "latch without holes",
    ("hardware", "foot", "stands"): "foot flush",
    ("hardware", "corner", "fixing"): "corner fixed by rivets",
    ("hardware", "corner", "mass"): "the corner is left out of the total",
    ("hardware", "handle", "load"): "Load, not given for the handle",
    ("stock",): "bars of 3000 mm, 10 mm off each end",
    ("stock", "bars"): "bars of 3000 mm",
    ("stock", "sheet"): "whole sheets as the trade sells them",
    ("stock", "stages"): "strips, then pieces",
    ("stock", "foam"): "foam sheets of 2000 mm x 1000 mm",
    ("stock", "keep"): "kept from 300 mm on",
    ("foam", "sheets"): "sheets of 10 mm, 20 mm, 30 mm, 50 mm",
    ("foam", "cutting"): "cut with a knife",
    ("foam", "tool"): "tool 6 mm",
    ("foam", "allowance"): "pocket allowance 0 mm",
    ("foam", "notch"): "24 mm wide and 22 mm deep",
    ("foam", "density"): "33 kg/m3",
    ("item", 0, "count"): "1 of each",
    ("item", 0, "mass"): "Mass, not given for recorder",
    ("item", 0, "up"): "top up",
    ("item", 0, "turn"): "quarter turns",
    ("item", 0, "hold"): "in a foam pocket",
    ("item", 0, "proud"): "may stand proud",
    ("item", 0, "fragility"): "Fragility, not given for recorder",
    ("item", 0, "power"): "Power, not given for recorder",
    ("item", 0, "reach"): "may lie under another item",
    ("item", 0, "uncertainty"): "Uncertainty of the measurement, not given for recorder",
}


@pytest.mark.parametrize("path", SILENT, ids=lambda path: ".".join(map(str, path)))
def test_every_default_is_said_aloud(path: tuple[str | int, ...]) -> None:
    """Take any one key out: exactly one sentence is added, and it names the value put in."""
    data = tomlkit.parse(WHOLE).unwrap()
    node = data
    for key in path[:-1]:
        node = node[key]
    del node[path[-1]]
    (sentence,) = parse_sheet(tomlkit.dumps(data), name="kit.toml").assumptions
    assert SILENT[path] in sentence
    assert sentence.endswith(".")


def test_a_band_of_fragility_is_read_at_its_low_end() -> None:
    """A band by name counts with its lower G, and says where that is from."""
    payload = parse_sheet(WHOLE.replace("fragility = 40", 'fragility = "delicate"'), name="k.toml")
    assert payload.items[0].fragility_g == 40.0
    (sentence,) = payload.assumptions
    assert "from memory" in sentence
    assert "40 G" in sentence


def test_plain_numbers_follow_the_units_of_the_sheet() -> None:
    """In inches all plain numbers are inches; texts keep the unit that they carry."""
    item = body_of('{ rectangle = [8, "10 cm"], z = [0, "1 1/2 in"] }', units="in")
    assert body_size(item.body) == pytest.approx((203.2, 100.0, 38.1))


def test_assumptions_speak_the_units_of_the_sheet() -> None:
    """Defaults are printed in inches where the builder works in inches."""
    text = 'units = "in"\n[[item]]\nname = "probe"\nbody = [{ circle = 1, z = [0, 2] }]\n'
    said = " ".join(parse_sheet(text, name="kit.toml").assumptions)
    assert "floor 63/64 in" in said  # 25 mm
    assert "leg 1.181 in" in said  # 30 mm
    assert " mm" not in said


@pytest.mark.parametrize(
    ("shapes", "size"),
    [
        (["{ rectangle = [30, 20], at = [-50, 70], z = [5, 9] }"], (30, 20, 4)),
        (["{ circle = 12, z = [0, 9] }"], (24, 24, 9)),
        (["{ circle = 12, at = [-3, 8], z = [-9, 0] }"], (24, 24, 9)),
        (["{ regular = { sides = 6, across = 30 }, z = [0, 9] }"], (60 / math.sqrt(3), 30, 9)),
        (["{ polygon = [[9, 9], [39, 9], [9, 29]], z = [0, 9] }"], (30, 20, 9)),
        (
            [
                "{ rectangle = [30, 20], z = [0, 9] }",
                "{ circle = 5, at = [30, 10], z = [4, 12] }",
            ],
            (35, 20, 12),
        ),
    ],
)
def test_a_body_starts_at_its_box(shapes: list[str], size: tuple[float, float, float]) -> None:
    """Wherever it was measured from, the body's box starts at 0, 0, 0 and has its true size."""
    item = body_of(*shapes)
    assert body_size(item.body) == pytest.approx(size, abs=1e-6)
    bounds = shapely.total_bounds([s.outline for s in item.body.sections])
    assert bounds[:2] == pytest.approx((0, 0), abs=1e-9)
    assert min(s.z0_mm for s in item.body.sections) == 0


@pytest.mark.parametrize("way", ["counter-clockwise", "clockwise"])
@pytest.mark.parametrize(("radius", "area"), [(20, 1), (-20, -1)])
def test_a_positive_radius_bulges_outwards(way: str, radius: int, area: int) -> None:
    """An arc of positive radius adds to the outline, whichever way round it was typed."""
    if way == "counter-clockwise":
        points = f'[[0, 0], [80, 0], [80, 40, "arc", {radius}], [0, 40]]'
    else:
        points = f'[[0, 40], [80, 40], [80, 0, "arc", {radius}], [0, 0]]'
    outline = body_of(f"{{ polygon = {points}, z = [0, 9] }}").body.sections[0].outline
    half_disc = math.pi * 20**2 / 2
    assert outline.area == pytest.approx(80 * 40 + area * half_disc, abs=0.3)
    assert outline.area >= 80 * 40 + area * half_disc  # never smaller than it is


def test_an_arc_on_the_first_point_bends_the_closing_edge() -> None:
    """The edge that ends at the first point is the one that closes the outline."""
    item = body_of('{ polygon = [[0, 0, "arc", 20], [80, 0], [80, 40], [0, 40]], z = [0, 9] }')
    assert body_size(item.body)[0] == pytest.approx(100)


def test_two_points_and_two_arcs_make_a_disc() -> None:
    """A disc can be typed as two half circles."""
    item = body_of('{ polygon = [[0, 0, "arc", 20], [40, 0, "arc", 20]], z = [0, 9] }')
    assert item.body.sections[0].outline.area == pytest.approx(math.pi * 400, rel=1e-3)


def test_an_outline_closed_by_hand_is_taken() -> None:
    """Typing the first point again at the end changes nothing."""
    open_ended = body_of("{ polygon = [[0, 0], [80, 0], [0, 40]], z = [0, 9] }")
    closed = body_of("{ polygon = [[0, 0], [80, 0], [0, 40], [0, 0]], z = [0, 9] }")
    assert closed == open_ended


def test_holes_take_no_more_than_they_should() -> None:
    """A hole leaves at least the true material: the ring contains the true ring."""
    ring = body_of(
        "{ circle = 20, at = [20, 20], z = [0, 9], holes = [{ circle = 8, at = [20, 20] }] }"
    )
    area = ring.body.sections[0].outline.area
    true = math.pi * (20**2 - 8**2)
    assert true <= area <= true * 1.002
    assert len(ring.body.sections[0].outline.interiors) == 1


@pytest.mark.parametrize(
    "shapes",
    [
        ["{ rectangle = [9, 9], z = [0, 9] }", "{ rectangle = [9, 9], at = [9, 0], z = [0, 9] }"],
        ["{ rectangle = [9, 9], z = [0, 9] }", "{ rectangle = [9, 9], at = [9, 0], z = [8, 18] }"],
        ["{ rectangle = [9, 9], z = [0, 9] }", "{ circle = 3, at = [4, 4], z = [9, 18] }"],
        [  # a bridge on two feet
            "{ rectangle = [9, 9], z = [0, 9] }",
            "{ rectangle = [9, 9], at = [40, 0], z = [0, 9] }",
            "{ rectangle = [49, 9], z = [9, 12] }",
        ],
        [  # joined by a third shape listed last
            "{ circle = 9, at = [9, 9], z = [0, 20] }",
            "{ circle = 9, at = [49, 9], z = [0, 20] }",
            "{ rectangle = [40, 2], at = [9, 8], z = [15, 17] }",
        ],
    ],
)
def test_what_holds_together_is_one_body(shapes: list[str]) -> None:
    """Sharing a face or a volume makes one piece, in whatever order the shapes are given."""
    assert len(body_of(*shapes).body.sections) == len(shapes)
    assert len(body_of(*reversed(shapes)).body.sections) == len(shapes)


def test_faces_by_word() -> None:
    """Any face, or the pose as measured."""
    text = '[[item]]\nname = "p"\nbody = [{ circle = 9, z = [0, 9] }]\nup = '
    assert parse_sheet(text + '"any"', name="k").items[0].up == FACES
    assert parse_sheet(text + '"as measured"', name="k").items[0].up == ("top",)
    assert parse_sheet(text + '["left", "left", "top"]', name="k").items[0].up == ("left", "top")


def test_halves_of_a_pair_are_alike() -> None:
    """One depth given to a pair holds for both halves; a tray has one."""
    tail = '\n[[item]]\nname = "p"\nbody = [{ circle = 9, z = [0, 9] }]\n'
    pair = parse_sheet('[case]\nform = "pair"\ndepths = [120, "free"]' + tail, name="k")
    assert pair.case.depths_mm == (120.0, 120.0)
    tray = parse_sheet('[case]\nform = "tray"\ndepths = [120]' + tail, name="k")
    assert tray.case.depths_mm == (120.0, None)


def test_no_notch_and_an_accent() -> None:
    """False leaves the notches out; an accent sheet has its thickness."""
    tail = '\n[[item]]\nname = "p"\nbody = [{ circle = 9, z = [0, 9] }]\n'
    foam = parse_sheet(
        "[foam]\nnotch = false\naccent = 5\nsheets = [50, 10, 10]" + tail, name="k"
    ).foam
    assert (foam.notch, foam.accent_mm, foam.sheets_mm) == (None, 5.0, (10.0, 50.0))


def test_a_panel_of_ones_own() -> None:
    """Any panel may be used with its measured thickness; its mass is unknown unless weighed."""
    tail = '\n[[item]]\nname = "p"\nbody = [{ circle = 9, z = [0, 9] }]\n'
    payload = parse_sheet('[wall]\npanel = "ours"\nthickness = 5.2' + tail, name="k")
    assert (payload.wall.panel_mm, payload.wall.areal_kg_m2) == (5.2, None)
    assert any("panels count with no mass" in said for said in payload.assumptions)


def test_files_from_any_editor(tmp_path: Path) -> None:
    """A byte-order mark and windows line ends are no faults, and lines are counted the same."""
    plain = tmp_path / "plain.toml"
    plain.write_bytes(WHOLE.encode())
    windows = tmp_path / "windows.toml"
    windows.write_bytes(b"\xef\xbb\xbf" + WHOLE.replace("\n", "\r\n").encode())
    assert read_sheet(plain) == read_sheet(windows)


@pytest.mark.parametrize(
    ("name", "copies", "kinds", "form"),
    [
        ("tideline", 12, 8, "box"),
        ("twin_screens", 2, 1, "pair"),
        ("watch_desk", 4, 3, "box"),
        ("one_probe", 1, 1, "box"),
        ("sixty", 60, 16, "box"),
    ],
)
def test_the_samples_are_read(name: str, copies: int, kinds: int, form: str) -> None:
    """Each sample is a good sheet with as many pieces as it says."""
    payload = read_sheet(SAMPLES / f"{name}.toml")
    assert sum(item.count for item in payload.items) == copies
    assert (len(payload.items), payload.case.form) == (kinds, form)


def test_reading_edits_nothing_and_repeats() -> None:
    """The same text gives equal payloads, hashable and frozen."""
    one, two = (parse_sheet(copy.copy(WHOLE), name="kit.toml") for _ in range(2))
    assert one == two
    assert hash(one) == hash(two)
