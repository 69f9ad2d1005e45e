"""Saved plans: exact there and back; anything else is refused in words."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
import shapely
from attrs import evolve, frozen
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Polygon

import hand_plan
import shell_kits
from fitkit import __version__
from fitkit.checks.finding import Finding
from fitkit.errors import BadInput
from fitkit.fit.layout import Fit, Half, Improvement, Interior, Placement
from fitkit.foam.model import Cutout, Foam, Layer, NotchAt, NotchesOf, SheetUse, Web
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import (
    FACES,
    Body,
    CaseWishes,
    FoamWishes,
    Item,
    Limits,
    Notch,
    Payload,
    Section,
    Wall,
    Zone,
)
from fitkit.plan import Choices, Mass, MassPart, Plan
from fitkit.plan_json import Listed, dumps, loads, read_plan, read_written
from workshop_kits import workshops

number = st.floats(-1e6, 1e6)
above_0 = st.floats(1e-3, 1e5)
text = st.text(min_size=1, max_size=12)
point = st.tuples(number, number)
point3 = st.tuples(number, number, number)


@st.composite
def polygons(draw: st.DrawFn) -> Polygon:
    """Valid polygons with awkward coordinates, some with a hole."""
    x, y, w = draw(number), draw(number), draw(st.floats(1.0, 1e3))
    shape = draw(
        st.sampled_from([shapely.box(0, 0, w, w / 3), circle(w), rectangle(w, w / 7, corner_mm=w)])
    )
    moved = shapely.transform(shape, lambda xy: xy * math.pi / 3 + (x, y))
    if draw(st.booleans()):
        hole = shapely.transform(moved, lambda xy: moved.centroid.coords[0] + (xy - xy.mean(0)) / 9)
        with_hole = Polygon(moved.exterior.coords, [hole.exterior.coords])
        moved = with_hole if with_hole.is_valid else moved
    return moved if moved.is_valid else shapely.box(0, 0, w, w)


zones = st.builds(
    Zone,
    kind=st.sampled_from(["connector", "cable", "vent", "hand"]),
    face=st.sampled_from(FACES),
    at_mm=point,
    size_mm=point,
    depth_mm=above_0,
)
bodies = st.builds(
    Body,
    st.lists(
        st.builds(Section, polygons(), z0_mm=number, z1_mm=number), min_size=1, max_size=2
    ).map(tuple),
)
items = st.builds(
    Item,
    name=text,
    body=bodies,
    count=st.integers(1, 5),
    mass_kg=st.none() | above_0,
    up=st.lists(st.sampled_from(FACES), min_size=1, max_size=6, unique=True).map(tuple),
    fragility_g=st.none() | above_0,
    power_w=st.none() | above_0,
    uncertainty_mm=st.floats(0, 5),
    proud=st.booleans(),
    zones=st.lists(zones, max_size=2).map(tuple),
)
wishes = st.builds(
    CaseWishes,
    form=st.sampled_from(["box", "pair", "tray"]),
    depths_mm=st.tuples(st.none() | above_0, st.none() | above_0),
    limits=st.builds(
        Limits,
        outside_mm=st.tuples(*[st.none() | above_0] * 3),
        linear_mm=st.none() | above_0,
        mass_kg=st.none() | above_0,
    ),
)


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Plans whose records hold whatever their types allow, and whose names agree."""
    kit = draw(st.lists(items, min_size=1, max_size=3, unique_by=lambda item: item.name))
    payload = Payload(
        draw(text),
        tuple(kit),
        units=draw(st.sampled_from(["mm", "in"])),
        case=draw(wishes),
        wall=draw(st.builds(Wall, panel=text, areal_kg_m2=st.none() | above_0)),
        foam=draw(
            st.builds(
                FoamWishes,
                sheets_mm=st.lists(above_0, min_size=1, max_size=4).map(tuple),
                notch=st.none() | st.builds(Notch, above_0, above_0),
                accent_mm=st.none() | above_0,
            )
        ),
        assumptions=draw(st.lists(text, max_size=2).map(tuple)),
        workshop=draw(workshops()),
    )
    halves = (Half("deep", draw(above_0)), Half("shallow", draw(above_0)))
    room = Interior(draw(above_0), draw(above_0), halves, draw(st.floats(0, 50)), 1 / 3)
    placed = st.builds(
        lambda item, half, turn, at: Placement(item.name, item.count, half, 1, "top", turn, *at),
        st.sampled_from(kit),
        st.sampled_from(["deep", "shallow"]),
        number,
        point3,
    )
    placements = tuple(draw(st.lists(placed, max_size=3)))
    value = draw(above_0 | st.just(math.inf))
    fit = Fit(
        objective="volume",
        value=value,
        bound=draw(above_0),
        bound_name=draw(text),
        gap=draw(st.floats(0, 1)),
        proven=draw(st.booleans()),
        seconds=draw(above_0),
        seed=draw(st.integers(-(2**63), 2**63)),
        interior=room,
        placements=placements,
        history=tuple(draw(st.lists(st.builds(Improvement, above_0, above_0, text), max_size=2))),
        misses=tuple(draw(st.lists(text, max_size=2))),
        interrupted=draw(st.booleans()),
    )
    layer = st.builds(
        Layer,
        half=st.sampled_from(["deep", "shallow"]),
        index=st.integers(1, 20),
        z0_mm=number,
        z1_mm=number,
        material=st.sampled_from(["foam", "accent"]),
        outline=polygons(),
        cutouts=st.lists(
            st.builds(
                Cutout,
                item=text,
                copy=st.integers(1, 3),
                kind=st.sampled_from(["pocket", "notch", "channel", "relief"]),
                shape=polygons(),
            ),
            max_size=2,
        ).map(tuple),
    )
    web = st.builds(
        Web,
        half=st.sampled_from(["deep", "shallow"]),
        layer=st.integers(1, 9),
        left=text,
        right=text,
        width_mm=above_0,
        limit_mm=above_0,
        a_mm=point,
        b_mm=point,
    )
    sheet = st.builds(
        SheetUse, above_0, st.sampled_from(["foam", "accent"]), st.integers(1, 9), above_0
    )
    return Plan(
        payload=payload,
        choices=Choices(
            draw(st.none() | st.just("plan")), draw(above_0), pins=placements[:1], repeatable=True
        ),
        fit=fit,
        outside_mm=draw(point3),
        foam=Foam(
            tuple(draw(st.lists(layer, max_size=2))),
            tuple(draw(st.lists(web, max_size=2))),
            tuple(draw(st.lists(sheet, max_size=2))),
            tuple(draw(st.lists(text, max_size=2))),
        ),
        mass=Mass(
            (MassPart(draw(text), draw(above_0), draw(point3)),),
            draw(above_0),
            draw(point3),
            ("probe",),
            ("profiles",),
        ),
        findings=(
            draw(
                st.builds(
                    Finding,
                    check=text,
                    subject=text,
                    value=st.none() | number,
                    limit=st.none() | number,
                    unit=st.sampled_from(["mm", "kg", ""]),
                    margin=st.none() | number,
                    verdict=st.sampled_from(["ok", "tight", "fails", "unknown"]),
                    note=text,
                    source=text,
                )
            ),
        ),
    )


def one_plan() -> Plan:
    """Make a small plan by hand, the same each time."""
    item = Item("recorder", Body((Section(rectangle(60.0, 40.0), 0.0, 45.0),)), mass_kg=1.4)
    room = Interior(100.0, 80.0, (Half("deep", 70.0), Half("shallow", 50.0)))
    placed = (Placement("recorder", 1, "deep", 1, "top", 0.0, 20.0, 20.0, 25.0),)
    edge = shapely.box(0, 0, 100, 80)
    pocket = Cutout("recorder", 1, "pocket", shapely.box(20, 20, 80, 60))
    return Plan(
        Payload("Tideline kit", (item,)),
        Choices(),
        Fit("volume", 960000.0, 480000.0, "area", 0.5, False, 1.5, 7, room, placed),
        (120.0, 100.0, 140.0),
        Foam((Layer("deep", 1, 25.0, 70.0, "foam", edge, (pocket,)),), (), ()),
        Mass((MassPart("recorder", 1.4, (50.0, 40.0, 47.5)),), 1.4, (50.0, 40.0, 47.5)),
        (),
    )


def faults(change: Any) -> list[tuple[str, str]]:
    """Load the plan by hand after ``change`` to its JSON data; the places and what was found."""
    data = json.loads(dumps(one_plan()))
    change(data)
    with pytest.raises(BadInput) as refused:
        loads(json.dumps(data), place="p.json")
    return [(fault.place, fault.found) for fault in refused.value.faults]


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=25)
@given(plans())
def test_a_loaded_plan_is_the_saved_one(plan: Plan) -> None:
    """Every field of every record comes back equal, and saving again gives the same bytes."""
    saved = dumps(plan)
    again = loads(saved)
    assert again == plan
    assert dumps(again) == saved


def test_notches_of_the_builders_own_are_saved_and_loaded() -> None:
    """They come back as they were; a plan without any has no word of them in its file."""
    plan = one_plan()
    assert '"notches":' not in json.dumps(json.loads(dumps(plan))["choices"])
    own = (
        NotchesOf("a", 1, (NotchAt("a", 1, (12.5, 0.0), 24.0, 18.5),)),
        NotchesOf("b", 2, (NotchAt("b", 2, (0.0, 7.25), 30.0, 22.0, 270.0),)),
        NotchesOf("c", 1),
    )
    chosen = evolve(plan, choices=evolve(plan.choices, notches=own))
    assert loads(dumps(chosen)) == chosen


def test_keys_in_the_order_of_the_contract() -> None:
    """Top-level keys, and those of fit, placements, layers and cut-outs, stand as promised."""
    data = json.loads(dumps(one_plan()))
    assert list(data) == [
        "format", "version", "fitkit", "payload", "choices", "fit", "interior_mm", "halves",
        "outside_mm", "placements", "foam", "mass", "findings", "written",
    ]  # fmt: skip
    assert (data["format"], data["version"], data["fitkit"]) == ("fitkit-plan", 1, __version__)
    assert list(data["fit"])[:8] == [
        "objective", "value", "bound", "bound_name", "gap", "proven", "seconds", "seed",
    ]  # fmt: skip
    assert data["interior_mm"] == [100.0, 80.0, 120.0]
    assert data["halves"][0] == {"name": "deep", "depth_mm": 70.0}
    assert list(data["placements"][0]) == [
        "item", "copy", "half", "tier", "up", "turn_deg", "x_mm", "y_mm", "z_mm",
    ]  # fmt: skip
    assert list(data["foam"])[:2] == ["sheets", "layers"]
    layer = data["foam"]["layers"][0]
    assert list(layer) == [
        "half", "index", "z0_mm", "z1_mm", "material", "outline", "cutouts",
    ]  # fmt: skip
    assert set(layer["cutouts"][0]) == {"item", "copy", "kind", "rings"}
    (ring,) = layer["cutouts"][0]["rings"]
    assert ring[0] == ring[-1]
    assert shapely.Polygon(ring).area == 60 * 40
    assert list(data["mass"])[:3] == ["parts", "total_kg", "centre_mm"]


def test_text_is_utf8_and_ends_in_a_line_feed() -> None:
    """Names are kept as they are typed, not escaped."""
    saved = dumps(evolve(one_plan(), payload=evolve(one_plan().payload, title="Küstenstation 海")))
    assert "Küstenstation 海" in saved
    assert saved.endswith("}\n")


def test_no_plan_is_refused() -> None:
    """Foreign JSON, no JSON, and a plan cut short are refused with place and remedy."""
    for foreign in ("[]", "{}", '{"format": "other"}', "3", "null"):
        with pytest.raises(BadInput, match="is not a fitkit plan"):
            loads(foreign)
    saved = dumps(one_plan())
    for length in (0, 1, len(saved) // 2, len(saved) - 3):
        with pytest.raises(BadInput, match=r"p.json line \d+: is not whole JSON"):
            loads(saved[:length], place="p.json")
    with pytest.raises(BadInput, match="nested too deeply"):
        loads("[" * 100_000)


def test_a_newer_version_is_refused_clearly() -> None:
    """The message names the version found, the newest that is read, and says to update."""

    def newer(data: dict[str, Any]) -> None:
        data.update(version=2, fitkit="9.9")

    ((place, found),) = faults(newer)
    assert place == "p.json: version"
    assert found == "2, written by fitkit 9.9"
    for nonsense in (0, -1, True, "1", None, 1.0):
        ((place, _),) = faults(lambda data, bad=nonsense: data.update(version=bad))
        assert place == "p.json: version"


def test_every_fault_is_listed_at_once_with_its_path() -> None:
    """Wrong types, unknown keys and missing keys, deep inside, all in one message."""

    def spoil(data: dict[str, Any]) -> None:
        data["payload"]["items"][0]["count"] = "1"
        data["payload"]["items"][0]["colour"] = "red"
        del data["fit"]["gap"]
        data["halves"][1]["name"] = "middle"
        data["foam"]["layers"][0]["cutouts"][0]["rings"] = [[[0, 0], [1, 1], [2, 2]]]
        data["outside_mm"] = [1.0, 2.0]
        data["placements"][0]["x_mm"] = True

    found = dict(faults(spoil))
    assert set(found) == {
        "p.json: payload.items[0].count",
        "p.json: payload.items[0].colour",
        "p.json: fit.gap",
        "p.json: halves[1].name",
        "p.json: foam.layers[0].cutouts[0].rings",
        "p.json: outside_mm",
        "p.json: placements[0].x_mm",
    }
    assert found["p.json: payload.items[0].count"] == '"1"'


def test_names_and_sums_must_agree() -> None:
    """A placement of an unknown item, an unknown half, and depths that do not add up are faults."""

    def unknown(data: dict[str, Any]) -> None:
        data["placements"][0]["item"] = "sextant"
        data["foam"]["layers"][0]["half"] = "tray"
        data["interior_mm"][2] = 121.0

    assert {place for place, _ in faults(unknown)} == {
        "p.json: placements[0]",
        "p.json: foam.layers[0].half",
        "p.json: interior_mm[2]",
    }
    assert faults(lambda data: data["placements"][0].update(copy=2))
    assert faults(lambda data: data["interior_mm"].__setitem__(0, -100.0))


def test_rings_that_cross_are_refused() -> None:
    """A figure of eight is no pocket."""
    eight = [[[0, 0], [2, 2], [2, 0], [0, 2], [0, 0]]]

    def cross(data: dict[str, Any]) -> None:
        data["foam"]["layers"][0]["cutouts"][0]["rings"] = eight

    ((place, _),) = faults(cross)
    assert place.endswith("cutouts[0].rings")


def test_a_missing_section_is_named() -> None:
    """Without its foam a plan is not whole."""
    assert ("p.json: foam", "is missing") in faults(lambda data: data.pop("foam"))


@frozen
class Wrote:
    """A file as the documents hand it over."""

    path: Path
    sha256: str


def test_written_files_are_listed(tmp_path: Path) -> None:
    """The list of written files comes back with forward slashes; the plan is not changed by it."""
    file = tmp_path / "plan.json"
    wrote = Wrote(Path("foam") / "deep-01.dxf", "ab" * 32)
    file.write_text(dumps(one_plan(), written=[wrote]), encoding="utf-8")
    assert read_written(file) == (Listed("foam/deep-01.dxf", "ab" * 32),)
    assert read_plan(file) == one_plan()


def test_unreadable_files_are_refused(tmp_path: Path) -> None:
    """A missing file, a folder, and bytes that are no text each give one fault with the path."""
    junk = tmp_path / "junk.json"
    junk.write_bytes(b"\xff\xfe\x00")
    for path in (tmp_path / "none.json", tmp_path, junk, tmp_path / "nul\0"):
        with pytest.raises(BadInput) as refused:
            read_plan(path)
        (fault,) = refused.value.faults
        assert fault.place == str(path)


def test_a_plan_with_shell_and_stock_comes_back_whole() -> None:
    """Panels, profiles, hardware, openings, holes, bars and sheets: every record as it was."""
    plan = shell_kits.with_shell(hand_plan.plan())
    assert plan.shell is not None
    assert plan.stock is not None
    text = dumps(plan)
    assert loads(text) == plan
    data = json.loads(text)
    assert list(data["shell"])[:5] == ["panels", "profiles", "hardware", "openings", "fasteners"]
    assert list(data["stock"])[:3] == ["bars", "sheets", "foam"]


def test_a_plan_without_a_shell_says_nothing_of_it() -> None:
    """Plans from before there were shells read on: the keys are absent, not empty."""
    plan = hand_plan.plan()
    data = json.loads(dumps(plan))
    assert not {"shell", "stock"} & set(data)
    assert loads(dumps(plan)).shell is None
