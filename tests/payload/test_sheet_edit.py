"""An edit of a sheet changes what it names, and nothing else."""

from __future__ import annotations

import copy
import re
import tomllib
from pathlib import Path as FilePath
from typing import Any

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.payload.sheet_edit import SheetText, toml_value
from fitkit.payload.toml_lines import Path

SAMPLES = sorted((FilePath(__file__).parents[2] / "sample_payloads").glob("*.toml"))
TIDELINE = next(file for file in SAMPLES if file.stem == "tideline")

ODD = """# a sheet typed in haste
title = 'odd'
wall.profile.leg = 30   # measured twice

[case]
clearance.item = 12     # tight

# apart
[[item]]
name = "a"   # first
body = [{ circle = 4, z = [0, 9] }, # round
  { rectangle = [4,
     5], z = [0, 3] } ]
zone = [ { kind = "vent", face = "top", at = [1, 1], size = [1, 1], depth = 2 } ]
# close behind a

[foam]
sheets = [
  10, # thin
  # nothing between
  20
]
[[item]] # second
body = [
  { circle = 4, z = [0, 9], holes = [] }
]
name = "b"
up = []
  # a trailing word
  [[item.zone]]
  kind = "hand"
"""


def walked(value: Any, path: Path = ()) -> list[Path]:
    """Every path of read data."""
    inner = value.items() if isinstance(value, dict) else enumerate(value)
    found: list[Path] = []
    for key, one in inner:
        found.append((*path, key))
        if isinstance(one, dict | list):
            found += walked(one, (*path, key))
    return found


def at(data: Any, path: Path) -> Any:
    """What stands at a path."""
    for key in path:
        data = data[key]
    return data


def comments(text: str) -> list[str]:
    """Every comment of a text without a # in its strings."""
    return re.findall(r"#[^\n]*", text)


SHEETS = {
    file.stem: file.read_text(encoding="utf-8") for file in SAMPLES if file.stem != "sixty"
} | {"odd": ODD}
values = (
    st.integers(-99, 999)
    | st.floats(-99, 99)
    | st.booleans()
    | st.sampled_from(("12 3/8 in", "free", 'say "so"', "back\\slash", "ä × ö", "\x7f", "a\nb", ""))
    | st.just([1, 2.5])
    | st.just({"width": 4, "odd key": [{"z": [0, 1]}]})
)
names = st.sampled_from(sorted(SHEETS))


@settings(max_examples=80, deadline=None)
@given(name=names, data=st.data(), value=values)
def test_setting_a_value_changes_that_value_only(name: str, data: st.DataObject, value: Any):
    """All other values are equal, every comment is there, and no other line has changed."""
    sheet = SheetText(SHEETS[name])
    leaves = [p for p in walked(sheet.data) if not isinstance(at(sheet.data, p), dict | list)]
    path = data.draw(st.sampled_from(leaves))
    new = sheet.set(path, value)
    wanted = copy.deepcopy(tomllib.loads(SHEETS[name]))
    at(wanted, path[:-1])[path[-1]] = value
    assert tomllib.loads(new.text) == wanted
    assert tomlkit.parse(new.text).unwrap() == wanted
    assert comments(new.text) == comments(sheet.text)
    before, after = sheet.text.split("\n"), new.text.split("\n")
    assert len(before) == len(after)
    assert sum(a != b for a, b in zip(before, after, strict=True)) <= 1
    assert new.set(path, at(sheet.data, path)).data == sheet.data


@settings(max_examples=80, deadline=None)
@given(name=names, data=st.data(), value=values)
def test_a_new_key_is_added_beside_the_others(name: str, data: st.DataObject, value: Any) -> None:
    """A key in any table, or in one that is not there yet: comments and their order stay."""
    sheet = SheetText(SHEETS[name])
    tables = [p for p in ((), *walked(sheet.data)) if isinstance(at(sheet.data, p), dict)]
    path = (*data.draw(st.sampled_from(tables)), "new key", "inner")
    path = path[: len(path) - data.draw(st.integers(0, 1))]
    new = sheet.set(path, value)
    assert new.get(path) == value
    wanted = copy.deepcopy(sheet.data)
    here = wanted
    for key in path[:-1]:
        here = here[key] if isinstance(key, int) or key in here else here.setdefault(key, {})
    here[path[-1]] = value
    assert tomlkit.parse(new.text).unwrap() == wanted
    assert comments(new.text) == comments(sheet.text)
    kept = [line for line in new.text.split("\n") if line in sheet.text.split("\n")]
    assert len(kept) >= len(sheet.text.split("\n")) - 1
    undone = new.remove(path)
    assert comments(undone.text) == comments(sheet.text)


@settings(max_examples=80, deadline=None)
@given(name=names, data=st.data())
def test_removing_takes_no_other_comment_along(name: str, data: st.DataObject) -> None:
    """A removed value takes only comments on its own lines; all other values are equal."""
    sheet = SheetText(SHEETS[name])
    every = [p for p in walked(sheet.data) if sheet._places.spans.get(p)]
    path = data.draw(st.sampled_from(every))
    new = sheet.remove(path)
    wanted = copy.deepcopy(sheet.data)
    del at(wanted, path[:-1])[path[-1]]
    if name == "odd" and path == ("wall", "profile", "leg"):
        del wanted["wall"]  # which only that dotted key had made
    if name == "odd" and path == ("case", "clearance", "item"):
        del wanted["case"]["clearance"]
    assert new.data == wanted
    span = sheet._places.spans[path]
    first = sheet.text.rfind("\n", 0, span.key) + 1
    following = sheet.text.find("\n", span.end)
    own = comments(sheet.text[first:following])
    rest = comments(sheet.text)
    for one in own:
        rest.remove(one)
    assert [one for one in comments(new.text) if one not in own] == [
        one for one in rest if one not in own
    ]


def lists_of(sheet: SheetText) -> list[Path]:
    """Every list of tables: items, zones, shapes, holes."""
    return [
        p
        for p in walked(sheet.data)
        if isinstance(at(sheet.data, p), list)
        and at(sheet.data, p)
        and all(isinstance(one, dict) for one in at(sheet.data, p))
    ]


@settings(max_examples=120, deadline=None)
@given(name=names, data=st.data(), what=st.sampled_from(("add", "copy", "remove", "move")))
def test_lists_of_tables_are_edited_entry_by_entry(name: str, data: st.DataObject, what: str):
    """Items, zones, shapes and holes: added, copied, removed, moved; the rest stays as it was."""
    sheet = SheetText(SHEETS[name])
    path = data.draw(st.sampled_from(lists_of(sheet)))
    many = len(at(sheet.data, path))
    index, to = data.draw(st.integers(0, many - 1)), data.draw(st.integers(0, many - 1))
    wanted = copy.deepcopy(sheet.data)
    entries = at(wanted, path)
    had = sorted(comments(sheet.text))
    if what == "add":
        entry = {"name": "new", "body": [{"circle": 5, "z": [0, 1]}]}
        new = sheet.add(path, entry, at=index)
        entries.insert(index, entry)
        assert sorted(comments(new.text)) == had
    elif what == "copy":
        new = sheet.copy((*path, index), name="twin")
        entries.insert(index + 1, {**entries[index], "name": "twin"})
        assert set(comments(new.text)) == set(had)
        assert len(comments(new.text)) >= len(had)
    elif what == "move":
        new = sheet.move((*path, index), to)
        entries.insert(to, entries.pop(index))
        assert sorted(comments(new.text)) == had
    else:
        new = sheet.remove((*path, index))
        entries.pop(index)
        blocks = path not in sheet._places.spans
        if not entries and blocks:
            del at(wanted, path[:-1])[path[-1]]
        assert set(comments(new.text)) <= set(had)
    assert tomllib.loads(new.text) == wanted
    assert tomlkit.parse(new.text).unwrap() == wanted


def test_titles_of_parts_stay_where_they_are() -> None:
    """A comment apart from the items is not carried along when items are moved or removed."""
    sheet = SheetText(SHEETS["tideline"])
    titles = re.compile(r"# -{20,}[^\n]*\n\n\[\[item\]\]\nname = \"([^\"]*)\"")
    assert titles.findall(sheet.text) == ["recorder", "probe", "battery"]
    moved = sheet.move(("item", 7), 0)
    assert titles.findall(moved.text) == ["clamp", "hydrophone box", "reel"]
    gone = sheet.remove(("item", 0))
    assert titles.findall(gone.text) == ["calibrator", "probe", "battery"]


def test_a_table_is_added_in_its_usual_place() -> None:
    """Without [wall], its first key brings it back before what stands after it."""
    sheet = SheetText(SHEETS["tideline"]).remove(("wall",))
    new = sheet.set(("wall", "profile", "leg"), 33)
    heads = [head.path for head in new._places.headers if len(head.path) == 1]
    assert heads == [("case",), ("wall",), ("foam",), ("shell",), ("hardware",), ("stock",)]
    shell = SheetText(SHEETS["tideline"]).remove(("shell",)).set(("shell", "tongue"), "shallow")
    heads = [head.path for head in shell._places.headers if len(head.path) == 1]
    assert heads == [("case",), ("wall",), ("foam",), ("shell",), ("hardware",), ("stock",)]
    bare = SheetText('# mine\n\n[[item]]\nname = "a"\n').set(("case", "tiers"), 2)
    assert bare.text == '# mine\n\n[case]\ntiers = 2\n\n[[item]]\nname = "a"\n'


def test_line_ends_of_other_systems_are_read() -> None:
    """A sheet saved with carriage returns is edited like any other."""
    sheet = SheetText(SHEETS["tideline"].replace("\n", "\r\n"))
    assert sheet.set(("case", "tiers"), 1).get(("case", "tiers")) == 1


def test_what_cannot_be_edited_is_refused() -> None:
    """A block's list cannot be changed where its words hide in a text of several lines."""
    text = '[[item]]\nname = """\n\n# no comment"""\n\n'
    with pytest.raises(BadInput, match="text editor"):
        SheetText(text + "[[zone]]\n").copy(("item", 0))
    with pytest.raises(BadInput, match="this is not TOML"):
        SheetText("title = ")
    with pytest.raises(KeyError):
        SheetText(text).remove(("case",))


@given(values)
def test_values_read_as_they_were_given(value: Any) -> None:
    """What is written is read back equal by two readers."""
    text = f"key = {toml_value(value)}\n"
    assert tomllib.loads(text)["key"] == value
    assert tomlkit.parse(text).unwrap()["key"] == value


def test_a_comment_goes_with_the_item_that_it_touches() -> None:
    """Right above a heading it belongs to that item, right under the last key to the one above."""
    sheet = SheetText(
        '# first things\n[[item]]\nname = "a"\n# said of a\n\n'
        '[[item]]\nname = "b"\n# said of c\n[[item]]\nname = "c"\n'
    )
    moved = sheet.move(("item", 2), 0)
    assert '# said of c\n[[item]]\nname = "c"\n' in moved.text
    assert '# first things\n[[item]]\nname = "a"\n# said of a\n' in moved.text
    assert sorted(comments(moved.text)) == sorted(comments(sheet.text))
    gone = sheet.remove(("item", 0))
    assert gone.text == '[[item]]\nname = "b"\n# said of c\n[[item]]\nname = "c"\n'
    assert sheet.copy(("item", 2)).text.count("# said of c") == 2


@pytest.mark.parametrize("between", ["", "\n"])
def test_a_new_table_stands_apart_from_what_follows(between: str) -> None:
    """A blank line on either side of it, whether there was one after the plain keys or not."""
    sheet = SheetText(f'title = "kit"\nunits = "mm"\n{between}[[item]]\nname = "a"\n')
    made = sheet.set(("closing", "keep"), 3).text
    assert made.startswith('title = "kit"\nunits = "mm"\n\n[closing]\nkeep = 3\n\n[[item]]\n')
