"""How an item is mounted, in the form: every key has a field, typed values read, acts undone."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("anywidget", reason="the form needs the extra lab")

from fitkit.notebook.form.mount_fields import NO_FIELD
from fitkit.payload.mounts_in import BY, MOUNT, RAIL, SUB_PANEL
from fitkit.payload.patterns_in import PATTERN
from fitkit.payload.stiffness_in import KEYS as MEASURED
from form_kits import act, fields, press, said, shown, typed, wrong
from sheet_kits import RECORDER, SCREEN, sheet

SAMPLES = Path(__file__).parents[3] / "sample_payloads"
HOLES = 'pattern = { holes = [[20, 20], [400, 20], [400, 240]], thread = "M4", depth = 8 }'
STIFF = 'stiffness = { span = 400, mass = "5 kg", sag = 1.2 }'


def mounted(*lines: str) -> str:
    """A sheet with a screen that has a mount with those lines."""
    return sheet(SCREEN, "\n".join(['[[mount]]\nitem = "field screen"', *lines, ""]))


RAILS = mounted('by = "rails"', 'pattern = "100x100"')
WALLED = mounted(HOLES, f'rail = {{ on = "walls", {STIFF} }}')
BOARD = mounted(
    'by = "sub-panel"', 'pattern = { size = [60, 40], thread = "M4", depth = 8 }',
    'sub_panel = { panel = "our sheet", thickness = 6 }',
)  # fmt: skip
BETWEEN = mounted('by = "walls"')


def test_every_key_of_a_mount_has_a_field() -> None:
    """Whatever the reader knows under [[mount]] can be typed, but for a short list with reasons."""
    there: set[tuple[Any, ...]] = set()
    for text in (RAILS, WALLED, BOARD, BETWEEN):
        with shown(text) as form:
            there |= {tuple(one["path"][2:]) for one in fields(form.panel.state).values()
                      if one["path"][0] == "mount"}  # fmt: skip
    tables = {
        (): MOUNT, ("rail",): RAIL, ("sub_panel",): SUB_PANEL, ("pattern",): PATTERN,
        ("rail", "stiffness"): MEASURED,
    }  # fmt: skip
    known = {(*at, key) for at, keys in tables.items() for key in keys}
    known -= {at for at in tables if at}
    known -= {(key,) for key in NO_FIELD}
    chosen = {("pattern", "name"): ("pattern", "=way")}
    assert {chosen.get(path, path) for path in known} == there - {
        ("sub_panel", "batten", "=batten")
    }


GOOD: list[tuple[str, str, str, int | None, Any]] = [
    (RAILS, "front", "bottom", None, "bottom"),
    (RAILS, "faces", "back panel", None, "back panel"),
    (RAILS, "recess", "12", None, 12),
    (RAILS, "recess", "free", None, "free"),
    (RAILS, "behind", "20", None, 20),
    (RAILS, "head", "2.5", None, 2.5),
    (RAILS, "sunk", "true", None, True),
    (RAILS, "rail.width", "25", None, 25),
    (RAILS, "rail.height", "1 in", None, "1 in"),
    (RAILS, "rail.run", "up", None, "up"),
    (RAILS, "rail.on", "walls", None, "walls"),
    (RAILS, "rail.length", "200", None, 200),
    (RAILS, "rail.kg_per_m", "0.42", None, 0.42),
    (WALLED, "rail.stiffness.span", "500", None, 500),
    (WALLED, "rail.stiffness.mass", "3", None, "3 kg"),
    (WALLED, "rail.stiffness.sag", "2", None, 2),
    (WALLED, "pattern.holes", "20, 20\n400, 30", None, [[20, 20], [400, 30]]),
    (WALLED, "pattern.thread", "M5", None, "M5"),
    (WALLED, "pattern.depth", "6", None, 6),
    (BOARD, "pattern.size", "80", 0, [80, 40]),
    (BOARD, "sub_panel.panel", "birch plywood 9", None, "birch plywood 9"),
    (BOARD, "sub_panel.thickness", "6.2", None, 6.2),
    (BOARD, "sub_panel.kg_per_m2", "4", None, 4),
    (BOARD, "sub_panel.margin", "5", None, 5),
    (BOARD, "sub_panel.batten.=batten", "false", None, False),
    (BOARD, "sub_panel.batten", "30", 1, [20, 30]),
    (BETWEEN, "walls", "front,back", None, ["front", "back"]),
]


@pytest.mark.parametrize(("text", "key", "words", "part", "value"), GOOD)
def test_a_value_typed_is_the_only_change(
    text: str, key: str, words: str, part: int | None, value: Any
) -> None:
    """The sheet reads, has that value at that key, and all else as it was; undo brings it back."""
    with shown(text) as form:
        assert said(form.panel.state) == []
        state = typed(form, f"mount.0.{key}", words, part=part)
        wanted = shown_data(text)
        here = wanted["mount"][0]
        *tables, last = key.removesuffix(".=batten").split(".")
        for table in tables:
            here = here.setdefault(table, {})
        here[last] = value
        assert (form.sheet.data, said(state), state["trouble"]) == (wanted, [], "")
        shown_field = fields(state)[f"mount.0.{key}"]
        assert not shown_field["assumed"]
        form.undo()
        assert form.text == text


def shown_data(text: str) -> dict[str, Any]:
    """A sheet's plain data."""
    return tomllib.loads(text)


BAD: list[tuple[str, str, str, int | None]] = [
    (RAILS, "by", "glue", None), (RAILS, "front", "glass", None), (RAILS, "faces", "up", None),
    (RAILS, "recess", "-9999", None), (RAILS, "behind", "-1", None), (RAILS, "head", "x", None),
    (RAILS, "sunk", "perhaps", None), (RAILS, "rail.width", "0", None),
    (RAILS, "rail.height", "wide", None), (RAILS, "rail.run", "down", None),
    (RAILS, "rail.on", "air", None), (RAILS, "rail.length", "0", None),
    (RAILS, "rail.kg_per_m", "much", None), (RAILS, "pattern.=way", "100x101", None),
    (RAILS, "pattern.at", "-900", 0), (RAILS, "pattern.thread", "M7", None),
    (RAILS, "pattern.depth", "0", None), (WALLED, "pattern.holes", "20", None),
    (WALLED, "rail.stiffness.span", "1", None), (WALLED, "rail.stiffness.mass", "heavy", None),
    (WALLED, "rail.stiffness.sag", "90", None), (BOARD, "pattern.size", "0", 0),
    (BOARD, "sub_panel.panel", "\x00", None), (BOARD, "sub_panel.thickness", "900", None),
    (BOARD, "sub_panel.kg_per_m2", "0", None), (BOARD, "sub_panel.margin", "-1", None),
    (BOARD, "sub_panel.batten", "0", 0), (BETWEEN, "walls", "left,front", None),
]  # fmt: skip


@pytest.mark.parametrize(("text", "key", "words", "part"), BAD)
def test_a_wrong_value_is_said_beside_its_field(
    text: str, key: str, words: str, part: int | None
) -> None:
    """What the reader says of it stands there, and nowhere else."""
    with shown(text) as form:
        state = typed(form, f"mount.0.{key}", words, part=part)
        assert form.faults
        assert wrong(state) == [f"mount.0.{key}"] * len(form.faults)


@pytest.mark.parametrize("name", ["tideline", "one_probe", "twin_screens", "watch_desk"])
def test_an_item_is_mounted_and_taken_off_again(name: str) -> None:
    """Each item of a sample still reads with a mount; off, or undone, the text is as it was."""
    file = SAMPLES / f"{name}.toml"
    text = file.read_text("utf-8")
    with shown(text, name=str(file)) as form:
        for index, item in enumerate(form.payload.items):
            if item.mount is not None:
                continue
            act(form, "choose", item=index)
            state = press(form, "mount", f"item.{index}")
            assert (said(state), state["trouble"]) == ([], "")
            mount = form.payload.items[index].mount
            assert (mount.by, mount.faces, mount.recess_mm) == ("rails", "closing plane", None)
            assert state["undo"] == f"{item.name} mounted"
            last = len(form.sheet.get(("mount",))) - 1
            state = press(form, "remove", f"mount.{last}")
            assert (form.text, form.item) == (text, index)
            form.undo()
            form.undo()
            assert form.text == text


def test_foam_gives_way_to_a_mount_and_comes_back() -> None:
    """What said that foam holds it says that it is mounted; off again it lies in foam."""
    text = sheet(SCREEN.replace("count = 2", 'hold = "pocket"  # soft\nup = ["left"]'))
    with shown(text) as form:
        state = press(form, "mount", "item.0")
        assert said(state) == []
        assert form.sheet.get(("item", 0, "hold")) == "mounted"
        assert form.payload.items[0].mount.front == "left"
        assert fields(state)["mount.0.front"]["text"] == "left"
        press(form, "remove", "mount.0")
        assert form.text == text


def test_another_way_of_holding_takes_out_what_it_has_no_use_for() -> None:
    """One step: the rails' sizes go, the fields are those of the new way; undo has them again."""
    with shown(WALLED) as form:
        state = typed(form, "mount.0.by", "sub-panel")
        assert form.payload.items[0].mount.by == "sub-panel"
        assert "rail" not in form.sheet.get(("mount", 0))
        assert "mount.0.sub_panel.margin" in fields(state)
        assert not any(key.startswith("mount.0.rail") for key in fields(state))
        form.undo()
        assert form.text == WALLED
    for text in (WALLED, BOARD, BETWEEN, RAILS):
        for by in (*BY, ""):
            with shown(text) as form:
                state = typed(form, "mount.0.by", by)
                table = form.sheet.get(("mount", 0))
                assert not any("out, or write by" in fault for fault in said(state))
                assert table.get("by") == (by or None)


def test_a_table_under_its_own_heading_goes_as_well() -> None:
    """Rails written under [mount.rail] are taken out with their heading, and come back by undo."""
    text = mounted('by = "rails"', "", "[mount.rail]  # oak", "width = 25")
    with shown(text) as form:
        assert fields(form.panel.state)["mount.0.rail.width"]["text"] == "25"
        typed(form, "mount.0.by", "walls")
        assert (form.faults, form.sheet.has(("mount", 0, "rail"))) == ((), False)
        form.undo()
        assert form.text == text


def test_a_pattern_is_named_changed_and_measured() -> None:
    """A name alone stays a name; with a depth it is a table; of one's own the reader asks on."""
    with shown(RAILS) as form:
        field = fields(form.panel.state)["mount.0.pattern.depth"]
        assert (field["assumed"], field["default"]) == (True, "10")
        typed(form, "mount.0.pattern.depth", "7")
        assert form.sheet.get(("mount", 0, "pattern")) == {"name": "100x100", "depth": 7}
        typed(form, "mount.0.pattern.=way", "75x75")
        assert form.payload.items[0].mount.pattern.depth_mm == 7
        typed(form, "mount.0.pattern.depth", "")
        assert form.sheet.get(("mount", 0, "pattern")) == "75x75"
        state = typed(form, "mount.0.pattern.=way", "size")
        assert form.sheet.get(("mount", 0, "pattern")) == {"size": [75, 75]}
        assert wrong(state) == ["mount.0.pattern.=way"] * 2  # thread and depth: nobody knows them
        typed(form, "mount.0.pattern.thread", "M4")
        state = typed(form, "mount.0.pattern.depth", "9")
        assert said(state) == []
        typed(form, "mount.0.pattern.=way", "holes")
        assert form.payload.items[0].mount.pattern.depth_mm == 9
        state = typed(form, "mount.0.pattern.=way", "")
        assert form.payload.items[0].mount.pattern is None
        assert "mount.0.pattern.depth" not in fields(state)


def test_renaming_takes_the_mount_along_and_a_copy_has_none() -> None:
    """The mount follows the name; of two alike items only the one that was mounted is."""
    with shown(RAILS) as form:
        typed(form, "item.0.name", "glass")
        assert form.payload.items[0].mount is not None
        state = press(form, "copy", "item.0")
        assert [item.mount is None for item in form.payload.items] == [False, True]
        assert form.item == 1
        assert not any(key.startswith("mount") for key in fields(state))
        assert press(form, "mount", "item.1")["faults"] == []
        assert form.payload.items[1].mount is not None


def test_a_mount_whose_item_is_gone_is_said_and_can_be_given_another() -> None:
    """Removing an item deletes nothing else: its mount says so beside its field."""
    with shown(sheet(SCREEN, RECORDER, '[[mount]]\nitem = "field screen"\n')) as form:
        state = press(form, "remove", "item.0")
        assert wrong(state) == ["mount.0.item"]
        assert 'there is no item "field screen"' in fields(state)["mount.0.item"]["fault"]
        assert said(typed(form, "mount.0.item", "recorder")) == []
        assert form.payload.items[0].mount is not None
        form.undo()
        assert said(press(form, "remove", "mount.0")) == []
        assert not form.sheet.has(("mount",))


def test_a_second_mount_is_shown_and_taken_off() -> None:
    """Two mounts of one item: the fault stands at the second, and its button removes it."""
    with shown(mounted() + '\n[[mount]]\nitem = "Field Screen"\n') as form:
        assert wrong(form.panel.state) == ["mount.1"]
        assert said(press(form, "remove", "mount.1")) == []
        assert form.payload.items[0].mount is not None


def test_keys_that_nobody_knows_are_said_at_the_mount() -> None:
    """A slip of the finger in the sheet stands under the title of the table it is in."""
    with shown(mounted("colour = 1", "rail = { colour = 1 }", "pattern = { colour = 1 }")) as form:
        assert sorted(wrong(form.panel.state)) == [
            "mount.0", "mount.0.pattern", *["mount.0.pattern.=way"] * 3, "mount.0.rail",
        ]  # fmt: skip


@pytest.mark.parametrize("name", ["twin_screens", "watch_desk"])
def test_the_samples_show_every_value_of_theirs(name: str) -> None:
    """No fault, and each value under [[mount]], [[cable]] and [closing] stands in a field."""
    file = SAMPLES / f"{name}.toml"
    text = file.read_text("utf-8")
    data, seen = shown_data(text), {}
    with shown(text, name=str(file)) as form:
        for index in range(len(data["item"])):
            state = act(form, "choose", item=index)
            assert said(state) == []
            seen.update(fields(state))
    for path, value in leaves({key: data[key] for key in ("mount", "cable", "closing")}):
        if path[0] == "mount" and path[2:] == ("item",):
            continue
        whole = next(
            one for size in range(len(path), 1, -1)
            if (one := seen.get(".".join(map(str, path[:size]))) or other(seen, path[:size]))
        )  # fmt: skip
        words = [whole["text"], *(whole["texts"] or [])]
        plain = str(value).lower() if isinstance(value, bool) else str(value)
        assert any(plain in word for word in words), (path, value, words)


def other(seen: dict[str, Any], path: tuple[Any, ...]) -> Any:
    """The field that chooses what stands at a place."""
    key = ".".join(map(str, path))
    return seen.get(f"{key}.=way") or seen.get(f"{key}.=plug")


def leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[tuple[Any, ...], Any]]:
    """Every single value with its path."""
    if isinstance(value, dict):
        return [one for key, inner in value.items() for one in leaves(inner, (*path, key))]
    if isinstance(value, list):
        return [one for key, inner in enumerate(value) for one in leaves(inner, (*path, key))]
    return [(path, value)]
