"""The closing gap in the form: every key has a field, and boards are measured one by one."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

pytest.importorskip("anywidget", reason="the form needs the extra lab")

from fitkit.payload.closing import Closing, Tolerances
from fitkit.payload.closing_in import CLOSING, TOLERANCES
from fitkit.payload.stiffness import Stiffness
from fitkit.payload.stiffness_in import KEYS
from form_kits import fields, press, said, shown, typed, wrong
from sheet_kits import SCREEN, sheet

WALL = '[wall]\npanel = "our board"\nthickness = 6\nkg_per_m2 = 4\n'
ROW = 'of = "our board"\nspan = 400\nwidth = 50\nmass = "2 kg"\nsag = 3.1\n'
PLAIN = sheet(WALL, SCREEN)
FULL = sheet(WALL, f"[closing]\nkeep = 3\n\n  [[closing.stiffness]]\n{ROW}", SCREEN)
INLINE = sheet(
    WALL, f"[closing]\nstiffness = [ {{ {', '.join(ROW.split(chr(10))[:-1])} }} ]\n", SCREEN
)
SILENT = {"keep": "2", "load": "100", "drop": "by mass", "shock": "none"}


def test_every_key_of_the_closing_gap_has_a_field() -> None:
    """Whatever the reader knows under [closing] and of a measured board can be typed."""
    with shown(FULL) as form:
        there = {tuple(one["path"][1:]) for one in fields(form.panel.state).values()
                 if one["path"][0] == "closing"}  # fmt: skip
    known = {(key,) for key in CLOSING if key not in ("tolerances", "stiffness")}
    known |= {("tolerances", key) for key in TOLERANCES}
    known |= {("stiffness", 0, key) for key in (*KEYS, "of", "width", "across")}
    assert known == there


def test_what_is_silent_is_shown_as_the_model_has_it() -> None:
    """Each field has the default of the records, in the unit shown."""
    with shown(PLAIN) as form:
        every = fields(form.panel.state)
        assert {key: every[f"closing.{key}"]["default"] for key in SILENT} == SILENT
        assert Closing().keep_mm == 2
        assert Closing().load_n == 100
        for key in TOLERANCES:
            field = every[f"closing.tolerances.{key}"]
            assert float(field["default"]) == getattr(Tolerances(), f"{key}_mm")
            assert field["assumed"]
        inches = fields(press(form, "in"))
        assert inches["closing.keep"]["default"] == "0.079"  # 2 mm


GOOD: list[tuple[str, str, str, Any]] = [
    (PLAIN, "keep", "3", 3), (PLAIN, "load", "150", 150), (PLAIN, "drop", "600", 600),
    (PLAIN, "drop", "free", "free"), (PLAIN, "shock", "40", 40),
    *((PLAIN, f"tolerances.{key}", "0.7", 0.7) for key in TOLERANCES),
    *((text, f"stiffness.0.{key}", words, value) for text in (FULL, INLINE) for key, words, value in
      (("span", "500", 500), ("width", "60", 60), ("mass", "3", "3 kg"), ("sag", "4", 4),
       ("across", "5", 5), ("of", "Our Board", "Our Board"))),
]  # fmt: skip


@pytest.mark.parametrize(("text", "key", "words", "value"), GOOD)
def test_a_value_typed_is_the_only_change(text: str, key: str, words: str, value: Any) -> None:
    """The sheet reads, has that value at that key, and all else as it was; undo brings it back."""
    with shown(text) as form:
        assert said(form.panel.state) == []
        state = typed(form, f"closing.{key}", words)
        wanted = tomllib.loads(text)
        here: Any = wanted.setdefault("closing", {})
        *tables, last = key.split(".")
        for table in tables:
            here = here[int(table)] if table.isdigit() else here.setdefault(table, {})
        here[last] = value
        assert (form.sheet.data, said(state), state["trouble"]) == (wanted, [], "")
        form.undo()
        assert form.text == text


BAD: list[tuple[str, str, str]] = [
    (PLAIN, "keep", "-1"), (PLAIN, "load", "a hand"), (PLAIN, "drop", "0"), (PLAIN, "shock", "0"),
    *((PLAIN, f"tolerances.{key}", "99") for key in TOLERANCES),
    *((text, f"stiffness.0.{key}", words) for text in (FULL, INLINE) for key, words in
      (("of", "another"), ("of", ""), ("span", "10"), ("span", ""), ("width", "x"),
       ("mass", "2 mm"), ("mass", ""), ("sag", "90"), ("across", "0"))),
]  # fmt: skip


@pytest.mark.parametrize(("text", "key", "words"), BAD)
def test_a_wrong_value_is_said_beside_its_field(text: str, key: str, words: str) -> None:
    """What the reader says of it stands there, and nowhere else."""
    with shown(text) as form:
        state = typed(form, f"closing.{key}", words)
        assert form.faults
        assert wrong(state) == [f"closing.{key}"] * len(form.faults)


@pytest.mark.parametrize("text", [PLAIN, sheet(WALL, "[closing]\nkeep = 3\n", SCREEN)])
def test_a_board_is_measured_step_by_step(text: str) -> None:
    """A new one names the wall's board and asks for each measurement; removed, the text is back."""
    with shown(text) as form:
        state = press(form, "board", "closing.stiffness")
        assert fields(state)["closing.stiffness.0.of"]["text"] == "our board"
        assert wrong(state) == ["closing.stiffness.0"] * 4  # span, width, mass, sag: not invented
        assert "[[closing.stiffness]]" in form.text
        for key, words in (("span", "400"), ("width", "50"), ("mass", "2"), ("sag", "3.1")):
            state = typed(form, f"closing.stiffness.0.{key}", words)
        assert said(state) == []
        found = (("our board", Stiffness(400.0, 2.0, 3.1, None, 50.0)),)
        assert form.payload.closing.stiffness == found
        state = press(form, "remove", "closing.stiffness.0")
        assert (form.text, state["undo"]) == (text, "measured board 1 removed")
        while form.panel.state["undo"] is not None:
            form.undo()
        assert form.text == text


@pytest.mark.parametrize("text", [FULL, INLINE])
def test_a_second_board_is_added_however_the_first_is_written(text: str) -> None:
    """Under headings of their own or in a list: one more stands after it, and goes again."""
    with shown(text) as form:
        state = press(form, "board", "closing.stiffness")
        assert state["trouble"] == ""
        assert len(form.sheet.get(("closing", "stiffness"))) == 2
        assert said(press(form, "remove", "closing.stiffness.1")) == []
        form.undo()
        form.undo()
        assert form.text == text


def test_boards_are_offered_by_the_names_that_the_sheet_has() -> None:
    """The wall's board, those of single panels, and those of sub-panels."""
    mount = (
        '[[mount]]\nitem = "field screen"\nby = "sub-panel"\n'
        'sub_panel = { panel = "birch plywood 9" }\n'
    )
    wall = WALL + 'panels = { bottom = "birch plywood 4" }\n'
    with shown(sheet(wall, f"[closing]\n\n  [[closing.stiffness]]\n{ROW}", SCREEN, mount)) as form:
        choices = fields(form.panel.state)["closing.stiffness.0.of"]["choices"]
        names = [value for value, _ in choices]
        assert names == ["our board", "birch plywood 4", "birch plywood 9"]
        for name in ("birch plywood 9", "our board"):
            assert said(typed(form, "closing.stiffness.0.of", name)) == []
