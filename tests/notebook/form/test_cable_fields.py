"""Cables in the form: every key has a field, connectors are offered, plugs chosen or measured."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

pytest.importorskip("anywidget", reason="the form needs the extra lab")

from fitkit.payload.cables import Plug
from fitkit.payload.cables_in import CABLE
from fitkit.payload.plugs_in import PLUG
from form_kits import fields, press, said, shown, typed, wrong
from sheet_kits import RECORDER, SCREEN, sheet

LINK = '[[cable]]\nname = "link"\nfrom = "recorder.back.1"\nto = "outside"\ndiameter = 6\n'
OWN = "{ width = 12, height = 8, length = 30 }"


def wired(*lines: str) -> str:
    """A sheet with one cable of those lines."""
    return sheet(SCREEN, RECORDER, LINK + "\n".join([*lines, ""]))


PLAIN = wired()
NAMED = wired('plugs = "8P8C"')
TWO = wired(f'plugs = [{OWN}, "none"]')


def test_every_key_of_a_cable_has_a_field() -> None:
    """Whatever the reader knows under [[cable]] and of a plug can be typed."""
    with shown(NAMED) as form:
        there = {tuple(one["path"][2:]) for one in fields(form.panel.state).values()
                 if one["path"][0] == "cable"}  # fmt: skip
    ways = {("plugs",): ("plugs", "=ends"), ("plugs", "name"): ("plugs", "=plug")}
    known = {(key,) for key in CABLE} | {("plugs", key) for key in PLUG}
    assert {ways.get(path, path) for path in known} == there


GOOD: list[tuple[str, str, str, Any]] = [
    (PLAIN, "name", "long link", "long link"),
    (PLAIN, "from", "recorder.front.1", "recorder.front.1"),
    (PLAIN, "to", "recorder.front.1", "recorder.front.1"),
    (PLAIN, "diameter", "5.5", 5.5),
    (PLAIN, "kind", "coax", "coax"),
    (PLAIN, "bend", "8", 8),
    (PLAIN, "bend", "40 mm", "40 mm"),
    (PLAIN, "length", "2000", 2000),
    (PLAIN, "length", "free", "free"),
    (PLAIN, "count", "3", 3),
    (PLAIN, "plugged", "false", False),
    (PLAIN, "plugs.=ends", "two", ["none", "none"]),
    (NAMED, "plugs.=ends", "two", ["8P8C", "8P8C"]),
    (NAMED, "plugs.=plug", "XLR", "XLR"),
    (NAMED, "plugs.=plug", "measured", {"width": 11.68, "height": 8.4, "length": 21.5}),
    (NAMED, "plugs.length", "25", {"name": "8P8C", "length": 25}),
    (NAMED, "plugs.angled", "true", {"name": "8P8C", "angled": True}),
    (TWO, "plugs.=ends", "alike", {"width": 12, "height": 8, "length": 30}),
    (TWO, "plugs.0.width", "13", [{"width": 13, "height": 8, "length": 30}, "none"]),
    (TWO, "plugs.0.height", "9", [{"width": 12, "height": 9, "length": 30}, "none"]),
    (TWO, "plugs.0.=plug", "none", ["none", "none"]),
    (TWO, "plugs.1.=plug", "BNC", [{"width": 12, "height": 8, "length": 30}, "BNC"]),
]


@pytest.mark.parametrize(("text", "key", "words", "value"), GOOD)
def test_a_value_typed_is_the_only_change(text: str, key: str, words: str, value: Any) -> None:
    """The sheet reads, has that value at that key, and all else as it was; undo brings it back."""
    with shown(text) as form:
        assert said(form.panel.state) == []
        state = typed(form, f"cable.0.{key}", words)
        wanted = tomllib.loads(text)
        wanted["cable"][0][key.split(".")[0]] = value
        assert (form.sheet.data, said(state), state["trouble"]) == (wanted, [], "")
        form.undo()
        assert form.text == text


BAD: list[tuple[str, str, str]] = [
    (PLAIN, "name", "\x00"),
    (PLAIN, "from", "recorder"),
    (PLAIN, "from", ""),
    (PLAIN, "from", "outside"),
    (PLAIN, "to", "recorder.top"),
    (PLAIN, "to", ""),
    (PLAIN, "diameter", "thick"),
    (PLAIN, "diameter", ""),
    (PLAIN, "kind", "string"),
    (PLAIN, "bend", "tight"),
    (PLAIN, "length", "1"),
    (PLAIN, "count", "0"),
    (PLAIN, "plugged", "perhaps"),
    (NAMED, "plugs.=plug", "8P8"),
    (NAMED, "plugs.=plug", "USB Micro-B"),  # nobody knows how far it stands out
    (NAMED, "plugs.width", "0"),
    (TWO, "plugs.0.length", "-1"),
    (TWO, "plugs.0.height", ""),
    (TWO, "plugs.0.angled", "perhaps"),
    (TWO, "plugs.1.=plug", "measured"),
]


@pytest.mark.parametrize(("text", "key", "words"), BAD)
def test_a_wrong_value_is_said_beside_its_field(text: str, key: str, words: str) -> None:
    """What the reader says of it stands there, and nowhere else."""
    with shown(text) as form:
        state = typed(form, f"cable.0.{key}", words)
        assert form.faults
        assert wrong(state) == [f"cable.0.{key}"] * len(form.faults)


def test_ends_are_offered_as_a_cable_names_them() -> None:
    """Every connector of the sheet, counted on each face; the outside at the other end only."""
    names = ["field screen.left.1", "recorder.front.1", "recorder.back.1", "recorder.back.2"]
    with shown(PLAIN) as form:
        every = fields(form.panel.state)
        assert [value for value, _ in every["cable.0.from"]["choices"]] == names
        assert [value for value, _ in every["cable.0.to"]["choices"]] == [*names, "outside"]
        for name in names:
            assert said(typed(form, "cable.0.from", name)) == []


def test_what_a_plugs_name_says_is_shown_as_assumed() -> None:
    """Sizes by the table of plugs, and those that were measured instead of them."""
    with shown(NAMED) as form:
        field = fields(form.panel.state)["cable.0.plugs.width"]
        assert (field["assumed"], field["default"]) == (True, "11.68")
        typed(form, "cable.0.plugs.width", "13")
        assert form.payload.cables[0].plugs[1] == Plug(13.0, 8.4, 21.5, known=plug_known(form))
        typed(form, "cable.0.plugs.width", "")
        assert form.text == NAMED


def plug_known(form: Any) -> str:
    """Where the reader has the rest of a plug from."""
    return form.payload.cables[0].plugs[0].known


def test_a_cable_is_added_copied_and_removed() -> None:
    """A new one starts at a connector that is free, so does a copy; removed, the text is back."""
    text = sheet(SCREEN, RECORDER)
    with shown(text) as form:
        for k, start in enumerate(["field screen.left.1", "recorder.front.1"]):
            state = press(form, *(("cable", "cable") if k == 0 else ("copy", "cable.0")))
            assert (said(state), state["trouble"], form.item) == ([], "", 0)
            assert form.payload.cables[k].start.name == start
            assert form.payload.cables[k].to is None
        assert [cable.name for cable in form.payload.cables] == ["new cable", "new cable B"]
        press(form, "remove", "cable.1")
        press(form, "remove", "cable.0")
        assert form.text == text
        for _ in range(4):
            form.undo()
        assert (form.text, form.panel.state["undo"]) == (text, None)


def test_without_a_connector_the_reader_says_what_to_do() -> None:
    """The cable is added all the same, and what is missing stands beside its start."""
    with shown(
        sheet('[[item]]\nname = "a"\nbody = [ { rectangle = [90, 60], z = [0, 9] } ]\n')
    ) as f:
        state = press(f, "cable", "cable")
        assert wrong(state) == ["cable.0.from"]
        assert 'write "item.face.number"' in fields(state)["cable.0.from"]["fault"]


def test_cables_of_an_item_that_is_gone_say_so() -> None:
    """Removing an item deletes no cable: its end says that there is no such item."""
    with shown(PLAIN, item=1) as form:
        state = press(form, "remove", "item.1")
        assert wrong(state) == ["cable.0.from"]
        assert len(form.sheet.get(("cable",))) == 1


def test_a_title_says_which_cable() -> None:
    """Each has its name on its section, or its number; undo names it too."""
    with shown(
        wired() + '\n[[cable]]\nfrom = "recorder.back.2"\nto = "outside"\ndiameter = 6\n'
    ) as f:
        group = next(one for one in f.panel.state["groups"] if one["id"] == "cables")
        assert [one["title"] for one in group["sections"]] == ["link", "cable 2"]
        assert fields(f.panel.state)["cable.1.name"]["default"] == "cable 2"
        assert typed(f, "cable.1.diameter", "5")["undo"] == "cable 2: diameter"
