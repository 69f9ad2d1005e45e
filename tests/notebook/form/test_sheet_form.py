"""The form of a sheet: what the browser tells becomes an edit, and its faults stand beside it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

pytest.importorskip("anywidget", reason="the form needs the extra lab")

from fitkit.errors import BadInput
from fitkit.notebook.form import Measure, SheetForm
from fitkit.payload.sheet import parse_sheet
from form_kits import act, fields, press, said, typed

ROOT = Path(__file__).parents[3]
TIDELINE = (ROOT / "sample_payloads" / "tideline.toml").read_text("utf-8")


@pytest.fixture
def form() -> Iterator[SheetForm]:
    """The sample in a form without a file."""
    made = SheetForm(TIDELINE, "tideline.toml")
    yield made
    made.close()


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    """A folder to work in."""
    before = Path.cwd()
    os.chdir(tmp_path)
    yield tmp_path
    os.chdir(before)


def test_a_number_typed_changes_the_payload(form: SheetForm) -> None:
    """A size is typed: the payload has it, and the callback hears payload and text."""
    heard: list[Any] = []
    form._changed = lambda payload, text: heard.append((payload, text))
    typed(form, "item.0.body.0.rectangle", "180", part=0)
    assert form.payload.items[0].body.sections[0].outline.bounds[2] == 180
    assert heard == [(form.payload, form.text)]
    assert "rectangle = [180, 148], corner = 6" in form.text


def test_nonsense_is_explained_beside_its_field(form: SheetForm) -> None:
    """The fault stands at its field, the last valid payload stays, the callback is not called."""
    before = form.payload
    form._changed = lambda payload, text: pytest.fail("called with a fault")
    state = typed(form, "case.clearance.item", "wide")
    assert "is not a length" in fields(state)["case.clearance.item"]["fault"]
    assert fields(state)["case.clearance.item"]["text"] == "wide"
    assert form.payload is before
    state = typed(form, "item.0.zone.0.at", "-4", part=1)
    assert "negative" in fields(state)["item.0.zone.0.at"]["fault"] or "outside" in str(said(state))
    assert len(said(state)) == len(form.faults) == 2


def test_faults_without_a_field_stand_on_top_with_their_place(form: SheetForm) -> None:
    """A key that the form does not know, and an item that is not shown: both are said on top."""
    form.replace(form.sheet.set(("foam", "colour"), "red").set(("item", 6, "count"), 0), "a test")
    state = form.panel.state
    assert len(state["faults"]) == 2
    line = form.text.splitlines().index('colour = "red"') + 1
    place = f"tideline.toml line {line}, foam colour"
    assert any(text.startswith(place) for text in state["faults"])
    assert any('item "battery" count' in text for text in state["faults"])
    state = act(form, "choose", item=6)
    assert len(state["faults"]) == 1
    assert fields(state)["item.6.count"]["fault"]


NONSENSE = ("", "x", "-1", "0", "99999", "1/0", '"', "free", "true", "4 kg", "4 in", "é\x00")


SHEETS = {
    name: (ROOT / "sample_payloads" / f"{name}.toml").read_text("utf-8")
    for name in ("tideline", "watch_desk")
}


def buttons(state: dict[str, Any]) -> list[tuple[str, str]]:
    """Every button of the groups: what it does, and to what."""
    found: list[tuple[str, str]] = []

    def walk(section: dict[str, Any]) -> None:
        found.extend((one["do"], one["key"]) for one in section["actions"])
        for inner in section["sections"]:
            walk(inner)

    for group in state["groups"]:
        walk(group)
    return found


@settings(max_examples=40, deadline=None)
@given(st.data(), st.sampled_from(sorted(SHEETS)))
def test_every_fault_is_shown_once_and_undone_at_last(data: st.DataObject, name: str) -> None:
    """Whatever is done, nothing breaks, all faults are shown, and undo goes all the way."""
    form = SheetForm(SHEETS[name], "kit.toml")
    state = form.panel.state
    for _ in range(data.draw(st.integers(1, 8))):
        every = fields(state)
        ways = data.draw(st.sampled_from(("type", "type", "press", "item")))
        if ways == "type":
            key = data.draw(st.sampled_from(sorted(every)))
            part = data.draw(st.integers(0, max(0, len(every[key]["names"]) - 1)))
            values = [choice[0] for choice in every[key]["choices"]]
            state = typed(form, key, data.draw(st.sampled_from([*NONSENSE, *values])), part=part)
        elif ways == "press":
            state = press(form, *data.draw(st.sampled_from(buttons(state))))
        else:
            does = data.draw(st.sampled_from(("item", "copy", "remove", "later", "earlier", "in")))
            key = f"item.{form.item}" if does != "in" else ""
            if form.item is not None or does in ("item", "in"):
                state = press(form, does, key)
        assert state["trouble"] == ""
        assert len(said(state)) == len(form.faults)
        if form.faults:
            with pytest.raises(BadInput) as refused:
                parse_sheet(form.text, name="kit.toml")
            assert refused.value.faults == form.faults
        else:
            assert parse_sheet(form.text, name="kit.toml") == form.payload
    while form.panel.state["undo"] is not None:
        form.undo()
    assert form.text == SHEETS[name]
    assert form.faults == ()


def test_typing_on_in_one_field_is_one_step(form: SheetForm) -> None:
    """Letters typed in one go are undone together; another visit is another step."""
    for text in ("1", "12", "120"):
        typed(form, "item.1.mass", text + " g", session=7)
    typed(form, "item.1.mass", "99 g", session=8)
    form.undo()
    assert form.sheet.get(("item", 1, "mass")) == "120 g"
    form.undo()
    assert form.text == TIDELINE
    form.redo()
    form.redo()
    assert form.sheet.get(("item", 1, "mass")) == "99 g"


def test_inches_are_shown_and_typed_and_the_sheet_stays_in_millimetres(form: SheetForm) -> None:
    """The switch changes what is shown; a bare number typed then is kept with its unit."""
    text = form.text
    state = press(form, "in")
    assert form.text == text
    assert fields(state)["case.clearance.floor"]["text"] == "63/64"  # within 0.01 mm
    state = typed(form, "case.clearance.floor", "1 1/8")
    assert form.sheet.get(("case", "clearance", "floor")) == "1 1/8 in"
    assert form.payload.case.clearance.floor_mm == pytest.approx(28.575)
    assert fields(state)["case.clearance.floor"]["text"] == "1 1/8"
    state = press(form, "mm")
    assert fields(state)["case.clearance.floor"]["text"] == "28.575"
    assert 'units = "mm"' in form.text


def test_what_is_not_given_is_shown_as_assumed(form: SheetForm) -> None:
    """Without its key a field shows the default, and says so; emptied, it does again."""
    state = typed(form, "case.clearance.wall", "")
    field = fields(state)["case.clearance.wall"]
    assert (field["assumed"], field["default"], field["text"]) == (True, "20", "")
    assert form.payload.case.clearance.wall_mm == 20
    assert fields(state)["item.0.hold"]["default"] == "foam pocket"
    assert fields(state)["foam.tool"]["assumed"]


def test_bounds_come_with_the_field_in_the_unit_shown(form: SheetForm) -> None:
    """The bounds of the table of bounds, in millimetres and in inches."""
    field = fields(form.panel.state)["foam.notch.width"]
    assert (field["min"], field["max"], field["unit"]) == (5.0, 200.0, "mm")
    field = fields(press(form, "in"))["foam.notch.width"]
    assert field["max"] == pytest.approx(200 / 25.4, abs=1e-4)


def test_notches_are_switched_off_and_on_and_their_comment_stays(form: SheetForm) -> None:
    """Without notches their sizes are not asked for; the comment on the line is kept."""
    state = typed(form, "foam.=notch", "false")
    assert form.payload.foam.notch is None
    assert "foam.notch.width" not in fields(state)
    assert "notch = false    # room for a finger and a thumb" in form.text
    typed(form, "foam.=notch", "true")
    assert form.payload.foam.notch is not None


def test_an_error_in_a_callback_is_shown_and_the_edit_stays(form: SheetForm) -> None:
    """Whoever listens may fail: the form says how, and goes on."""

    def fails(payload: object, text: str) -> None:
        raise RuntimeError("the board is gone")

    form._changed = fails
    state = typed(form, "case.tiers", "1")
    assert "the board is gone" in state["trouble"]
    assert form.sheet.get(("case", "tiers")) == 1


def test_nothing_told_is_lost_or_done_twice(form: SheetForm) -> None:
    """Acts come as a list until they are heard; told again, they are not done again."""
    first = {"view": "a", "n": 1, "kind": "do", "do": "item", "key": ""}
    second = {
        "view": "a",
        "n": 2,
        "kind": "set",
        "key": "item.8.name",
        "text": "lamp",
        "session": 1,
    }
    form.panel.acts = [first, second]
    form.panel.acts = [first, second, {**first, "n": 3, "do": "copy", "key": "item.8"}]
    assert [item.name for item in form.payload.items][8:] == ["lamp", "lamp B"]
    assert form.panel.state["heard"] == {"a": 3}


def test_the_item_of_the_board_is_shown(form: SheetForm) -> None:
    """Another part of the notebook chooses the item by its name."""
    form.show_item("probe")
    assert "item.3.name" in fields(form.panel.state)
    form.show_item("nothing of that name")
    assert form.item == 3


def test_shapes_and_zones_are_added_changed_and_removed(form: SheetForm) -> None:
    """A knob becomes a hexagon with a hole; a zone is added; all of it can be planned."""
    act(form, "choose", item=2)
    press(form, "shape", "item.2.body")
    state = typed(form, "item.2.body.1.=kind", "regular")
    assert fields(state)["item.2.body.1.regular.sides"]["text"] == "6"
    press(form, "hole", "item.0.body.0")
    press(form, "zone", "item.2.zone")
    assert form.faults == ()
    assert len(form.payload.items[2].zones) == 1
    press(form, "remove", "item.2.zone.0")
    press(form, "remove", "item.2.body.1")
    press(form, "remove", "item.0.body.0.holes.0")
    assert parse_sheet(form.text, name="x").items == parse_sheet(TIDELINE, name="x").items


# ---- the file


def test_saving_keeps_comments_and_leaves_nothing_beside(folder: Path) -> None:
    """The sample is copied, edited and saved with its comments; the folder holds nothing else."""
    form = Measure("tideline.toml")
    assert form.panel.state["picture"]["svg"].startswith("<svg")
    typed(form, "case.tiers", "1")
    assert form.unsaved
    assert (folder / ".tideline.toml.unsaved").exists()
    press(form, "save")
    assert not form.unsaved
    assert (folder / "tideline.toml").read_text("utf-8") == TIDELINE.replace(
        "tiers = 2 ", "tiers = 1 "
    )
    assert [path.name for path in folder.iterdir()] == ["tideline.toml"]


def test_unsaved_edits_come_back(folder: Path) -> None:
    """A form that was lost is opened again with its edits; undo goes back to what is saved."""
    typed(Measure("tideline.toml"), "case.tiers", "1")
    again = Measure("tideline.toml")
    assert "unsaved edits" in again.panel.state["note"]
    assert again.payload.case.tiers == 1
    assert "changed since" not in again.panel.state["note"]
    again.undo()
    assert again.text == TIDELINE
    assert not (folder / ".tideline.toml.unsaved").exists()
    assert "unsaved" not in Measure("tideline.toml").panel.state["note"]


def test_a_file_changed_meanwhile_is_not_written_over(folder: Path) -> None:
    """It is said, and the builder chooses: what is there, or what is in the form."""
    form = Measure("tideline.toml")
    other = TIDELINE.replace("tiers = 2", "tiers = 3")
    typed(form, "case.tiers", "1")
    (folder / "tideline.toml").write_text(other, "utf-8")
    state = press(form, "save")
    assert "changed on disk" in state["note"]
    assert state["save"]["asks"]
    assert (folder / "tideline.toml").read_text("utf-8") == other
    press(form, "load")
    assert form.payload.case.tiers == 3
    press(form, "undo")
    assert form.payload.case.tiers == 1
    press(form, "save")
    assert "tiers = 1" in (folder / "tideline.toml").read_text("utf-8")


def test_a_sheet_edited_elsewhere_since_is_said(folder: Path) -> None:
    """Unsaved edits that are older than the file come back with a word about it."""
    typed(Measure("tideline.toml"), "case.tiers", "1")
    old = (folder / "tideline.toml").stat().st_mtime - 60
    os.utime(folder / ".tideline.toml.unsaved", (old, old))
    assert "changed since" in Measure("tideline.toml").panel.state["note"]


def test_spoilt_unsaved_edits_are_put_aside(folder: Path) -> None:
    """What was kept but is no sheet any more is not lost, and the sheet opens all the same."""
    Measure("tideline.toml")
    (folder / ".tideline.toml.unsaved").write_text("tiers = = 3", "utf-8")
    form = Measure("tideline.toml")
    assert form.text == TIDELINE
    assert "could not be read back" in form.panel.state["note"]
    assert (folder / ".tideline.toml.kept").read_text("utf-8") == "tiers = = 3"


def test_a_new_sheet_is_started_and_only_saving_makes_it(folder: Path) -> None:
    """A name that is not there starts with one item; other missing files are refused in words."""
    form = Measure("shore_kit.toml")
    assert form.payload.title == "shore kit"
    assert not list(folder.iterdir())
    press(form, "save")
    assert parse_sheet((folder / "shore_kit.toml").read_text(), name="x").items
    assert Measure("inches.toml", units="in").payload.units == "in"
    with pytest.raises(BadInput, match="no such"):
        Measure("shore_kit.txt")


def test_a_refused_sheet_is_said_without_a_traceback(folder: Path) -> None:
    """A sheet that is no TOML: a notebook shows what is wrong and where, and nothing else."""
    from IPython.core.interactiveshell import InteractiveShell

    (folder / "torn.toml").write_text("title = ", "utf-8")
    with pytest.raises(BadInput) as refused:
        Measure("torn.toml")
    shell = InteractiveShell()
    told: list[str] = []
    shell._showtraceback = lambda kind, error, lines: told.extend(lines)
    shell.run_cell('from fitkit.notebook import Measure; Measure("torn.toml")')
    assert told == [str(refused.value)]
    assert "this is not TOML" in told[0]


def test_the_line_ends_of_the_file_stay(folder: Path) -> None:
    """A sheet with carriage returns is saved with them."""
    (folder / "tideline.toml").write_bytes(TIDELINE.replace("\n", "\r\n").encode())
    form = Measure("tideline.toml")
    typed(form, "case.tiers", "1")
    form.save()
    raw = (folder / "tideline.toml").read_bytes()
    assert raw.count(b"\r\n") == raw.count(b"\n") == TIDELINE.count("\n")


def test_closing_frees_the_widget(folder: Path) -> None:
    """Forms that were made and closed leave no widget behind."""
    import ipywidgets.widgets.widget as room

    count = len(room._instances)
    for _ in range(20):
        Measure("tideline.toml").close()
    assert len(room._instances) == count


def test_undo_is_answered_once(form: SheetForm) -> None:
    """One state for one press: a second one would take away what is typed meanwhile."""
    typed(form, "case.clearance.item", "17")
    causes: list[str] = []
    form.panel.observe(lambda change: causes.append(change["new"]["cause"]), "state")
    press(form, "undo")
    press(form, "redo")
    press(form, "redo")
    assert causes == ["undo", "redo", "redo"]
