"""An item is drawn as far as it can be read, and new parts of a sheet can be planned at once."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.payload.bounds import COUNTS, LENGTHS, NUMBERS
from fitkit.payload.shapes_in import KINDS
from fitkit.payload.sheet import parse_sheet
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.sketch import sketched
from fitkit.payload.starting import (
    new_hole,
    new_item,
    new_shape,
    new_zone,
    starting_sheet,
    turned_into,
)

TIDELINE = (Path(__file__).parents[2] / "sample_payloads" / "tideline.toml").read_text("utf-8")


def test_a_whole_item_is_drawn_as_it_is_planned() -> None:
    """For every item of the sample, sections and zones are those of the payload."""
    payload = parse_sheet(TIDELINE, name="tideline")
    for entry, item in zip(tomllib.loads(TIDELINE)["item"], payload.items, strict=True):
        sketch = sketched(entry, units="mm")
        assert sketch is not None
        assert sketch.item.body == item.body
        assert sketch.item.zones == item.zones
        assert sketch.left_out == ()
        assert sketch.parts == 1


def test_what_cannot_be_read_is_left_out_and_named() -> None:
    """A shape with a fault is left out; two that do not meet are drawn, and counted as pieces."""
    typed = {
        "body": [
            {"circle": 9, "z": [0, 4]},
            {"rectangle": [4], "z": [4, 6]},
            {"circle": 2, "at": [90, 0], "z": [0, 2]},
        ],
        "zone": [{"kind": "vent"}],
        "mass": "heavy",
    }
    sketch = sketched(typed, units="mm")
    assert sketch is not None
    assert (sketch.shapes, sketch.left_out, sketch.parts) == ((0, 2), (1,), 2)
    assert sketch.item.zones == ()
    assert sketched({"body": [{"z": [0, 1]}]}, units="mm") is None
    assert sketched({}, units="in") is None


@pytest.mark.parametrize("units", ["mm", "in"])
def test_new_parts_can_be_planned_as_they_are(units: str) -> None:
    """A starting sheet has no fault, nor after adding an item, a shape, a hole and a zone."""
    sheet = SheetText(starting_sheet('shore "kit"', units=units))
    assert parse_sheet(sheet.text, name="new").title == "shore kit"
    sheet = sheet.add(("item",), new_item("second", units=units))
    body = sheet.get(("item", 1, "body"))
    sheet = sheet.add(("item", 1, "body"), new_shape(body[-1], units=units))
    sheet = sheet.add(("item", 1, "body", 0, "holes"), new_hole(units=units))
    sheet = sheet.add(("item", 1, "zone"), new_zone(units=units))
    payload = parse_sheet(sheet.text, name="new")
    assert [item.name for item in payload.items] == ["first item", "second"]
    assert payload.items[1].zones[0].kind == "connector"


@given(st.sampled_from(KINDS), st.sampled_from(KINDS), st.integers(4, 90), st.integers(4, 90))
def test_a_shape_of_another_kind_can_be_planned(old: str, new: str, wide: int, deep: int) -> None:
    """Any kind becomes any other, no larger than it was, and has no fault."""
    start = turned_into({"rectangle": [wide, deep]}, old, units="mm")
    shape = turned_into(start, new, units="mm")
    assert list(shape) == [new]
    sheet = SheetText(starting_sheet("kit")).set(("item", 0, "body", 0), {**shape, "z": [0, 3]})
    assert parse_sheet(sheet.text, name="kit").items


def test_every_fault_knows_the_path_of_its_key() -> None:
    """Faults of values, of missing keys and of unknown ones all say where they belong."""
    sheet = SheetText(TIDELINE)
    spoilt = (
        sheet.set(("item", 0, "body", 1, "circle"), "wide")
        .set(("item", 3, "zone", 0, "at", 1), -5)
        .set(("case", "clearance", "lid"), True)
        .set(("foam", "colour"), "red")
        .remove(("item", 2, "name"))
        .set(("item", 1, "up", 0), "above")
        .set(("title",), "")
    )
    with pytest.raises(BadInput) as refused:
        parse_sheet(spoilt.text, name="sheet")
    paths = {fault.path for fault in refused.value.faults}
    assert paths == {
        ("item", 0, "body", 1, "circle"),
        ("item", 3, "zone", 0, "at"),
        ("case", "clearance", "lid"),
        ("foam", "colour"),
        ("item", 2),
        ("item", 1, "up", 0),
        ("title",),
    }


def test_faults_of_a_list_of_cases_belong_to_the_key_that_names_it(tmp_path: Path) -> None:
    """What is wrong in the list's own file has the path of case.ready_made in the sheet."""
    (tmp_path / "cases.csv").write_text("name,length\nold trunk,long\n", "utf-8")
    sheet = SheetText(starting_sheet("kit")).set(("case", "ready_made"), "cases.csv")
    with pytest.raises(BadInput) as refused:
        parse_sheet(sheet.text, name=str(tmp_path / "kit.toml"))
    assert {fault.path for fault in refused.value.faults} == {("case", "ready_made")}


@pytest.mark.parametrize("name", sorted({*LENGTHS, *NUMBERS, *COUNTS}))
def test_bounds_are_ranges(name: str) -> None:
    """Every row of the table of bounds has its least below its most."""
    if name in LENGTHS:
        assert LENGTHS[name]["least_mm"] < LENGTHS[name]["most_mm"]
    elif name in NUMBERS:
        assert NUMBERS[name]["least"] < NUMBERS[name]["most"]
        assert NUMBERS[name]["unit"]
    else:
        assert COUNTS[name] > 1


@pytest.mark.parametrize(
    ("path", "name"),
    [
        (("foam", "accent"), "foam.accent"),
        (("foam", "allowance"), "foam.allowance"),
        (("case", "clearance", "lid"), "case.clearance"),
        (("item", 0, "uncertainty"), "item.uncertainty"),
        (("wall", "profile", "outer_leaf"), "wall.profile"),
        (("wall", "profile", "play"), "wall.profile.play"),
        (("hardware", "pitch"), "hardware.pitch"),
        (("stock", "bar_kerf"), "stock.kerf"),
        (("stock", "keep"), "stock.keep"),
    ],
)
def test_readers_keep_the_bounds_of_the_table(path: tuple[str | int, ...], name: str) -> None:
    """Just within its bounds a length is read; just beyond either, it is a fault of that key."""
    sheet = SheetText(starting_sheet("kit")).set(("wall", "panel"), "birch plywood 6.5")
    least, most = LENGTHS[name]["least_mm"], LENGTHS[name]["most_mm"]
    for value in (least, most):
        parse_sheet(sheet.set(path, value).text, name="kit")
    for value in (least - 0.01, most + 0.01):
        with pytest.raises(BadInput) as refused:
            parse_sheet(sheet.set(path, value).text, name="kit")
        assert {fault.path for fault in refused.value.faults} == {path}
