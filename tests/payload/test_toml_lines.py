"""Every key of a sheet is found on the line where it stands."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path as FilePath

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.payload.toml_lines import Path, key_lines, line_of

SAMPLES = sorted((FilePath(__file__).parents[2] / "sample_payloads").glob("*.toml"))


def walked(value: object, path: Path = ()) -> Iterator[tuple[Path, object]]:
    """Every path of read data, with what stands there."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield (*path, key), inner
            yield from walked(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield (*path, index), inner
            yield from walked(inner, (*path, index))


@pytest.mark.parametrize("file", SAMPLES, ids=lambda file: file.stem)
def test_every_key_of_the_samples_is_found(file: FilePath) -> None:
    """Each path that the library reads has a line, and the key is on that very line."""
    text = file.read_text(encoding="utf-8")
    lines = key_lines(text)
    rows = text.splitlines()
    paths = list(walked(tomllib.loads(text)))
    assert len(paths) > 10
    for path, value in paths:
        row = rows[lines[path] - 1]
        if isinstance(path[-1], str):
            assert path[-1] in row
        elif isinstance(value, int | float):
            assert f"{value}" in row


keys = st.text("abc-_019", min_size=1, max_size=6) | st.sampled_from(
    ("a b", "ä.ö", "x]y", 'q"q', "#")
)
leaves = (
    st.integers(0, 999)
    | st.booleans()
    | st.floats(0, 99)
    | st.sampled_from(("text", "with # in it", "two\nlines", "]]", 'quote " and \\', "=", ""))
)
data = st.recursive(
    leaves,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3),
    max_leaves=12,
)


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(keys, data, max_size=5))
def test_every_key_of_any_toml_is_found(document: dict[str, object]) -> None:
    """Whatever a general TOML writer writes, each path gets a line, in the order of the text."""
    text = tomlkit.dumps(document)
    read = tomllib.loads(text)
    lines = key_lines(text)
    assert {path for path, _ in walked(read)} == set(lines)
    last = text.count("\n") + 1
    assert all(1 <= line <= last for line in lines.values())
    for path, line in lines.items():
        if len(path) > 1:
            assert lines[path[:-1]] <= line


def test_headings_dots_and_text_blocks() -> None:
    """Dotted keys, lists of tables within lists of tables, text blocks and windows line ends."""
    text = "\r\n".join(
        [
            'note = """one',
            'two # no comment """',
            "a.b.c = 1 # a comment with = and [",
            "[[item]]",
            "  [[item.zone]]",
            "  depth = 5",
            "  [[item.zone]]",
            "[[item]]",
            "  [item.extra]",
            "  'odd key' = [1, # one",
            "",
            "    2]",
            "  [[item.zone]]",
        ]
    )
    lines = key_lines(text)
    assert lines[("a", "b", "c")] == 3
    assert lines[("item", 0, "zone", 0, "depth")] == 6
    assert lines[("item", 0, "zone", 1)] == 7
    assert lines[("item", 1, "extra", "odd key")] == 10
    assert lines[("item", 1, "extra", "odd key", 1)] == 12
    assert lines[("item", 1, "zone", 0)] == 13


def test_a_text_carried_over_line_ends() -> None:
    """A backslash at a line's end joins the text, yet the next key is on the line after."""
    text = 'note = """one \\\n  two \\\n  three"""\nnext = 1\n'
    assert tomllib.loads(text) == {"note": "one two three", "next": 1}
    assert key_lines(text)[("next",)] == 4


def test_what_is_missing_is_placed_at_what_holds_it() -> None:
    """A key that is not there is looked for at its table, then at that table's table."""
    lines = key_lines("[[item]]\nname = 'a'\n")
    assert line_of(lines, ("item", 0, "body", 3, "z")) == 1
    assert line_of(lines, ("case",)) is None
