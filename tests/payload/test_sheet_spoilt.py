"""Whatever stands in a sheet, it is read or refused: never a crash."""
# ruff: noqa: E501 (tables, one thing on a line)

from __future__ import annotations

import copy
import tomllib
from pathlib import Path

import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.payload.sheet import parse_sheet

words = st.sampled_from(
    ["item", "name", "body", "case", "zone", "up", "at", "z", "circle", "polygon", "wall", "foam",
     "limits", "outside", "depths", "holes", "regular", "notch", "clearance", "profile", "sheets",
     "count", "mass", "corner", "rectangle", "mount", "cable", "closing", "shell", "exits", "from",
     "to", "diameter", "plugs", "pattern", "rail", "sub_panel", "recess", "tolerances", "planks"]
)  # fmt: skip
things = st.recursive(
    st.integers(-3, 300) | st.booleans() | st.floats() | st.text(max_size=5)
    | st.sampled_from(["free", "any", "arc", "1 in", "2 kg"]),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(words, inner, max_size=5),
    max_leaves=20,
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(words, things, max_size=6),
    st.lists(st.dictionaries(words, things, max_size=6), max_size=2),
)
def test_no_sheet_breaks_the_reader(top: dict[str, object], kit: list[dict[str, object]]) -> None:
    """Whatever stands under the keys of a sheet, it is read or refused with faults: never a crash."""
    text = tomlkit.dumps({**top, **({"item": kit} if kit else {})})
    try:
        payload = parse_sheet(text, name="kit.toml")
    except BadInput as refused:
        places = [fault.place for fault in refused.faults]
        assert all(place.startswith("kit.toml") for place in places)
    else:
        assert payload.items


SAMPLES = [
    tomllib.loads((Path(__file__).parents[2] / "sample_payloads" / file).read_text("utf-8"))
    for file in ("tideline.toml", "twin_screens.toml", "watch_desk.toml")
]
PARTS = ("mount", "cable", "closing", "shell")
"""What a spoilt value is looked for in first, so that the parts of a small sample are all met."""


@st.composite
def spoilt(draw: st.DrawFn) -> dict[str, object]:
    """A sample with one thing in it replaced by something else."""
    whole: dict[str, object] = copy.deepcopy(draw(st.sampled_from(SAMPLES)))
    whole.get("stock", {}).pop("prices", None)  # type: ignore[attr-defined]  # a table
    node: dict[str, object] | list[object] = whole
    parts = [part for part in PARTS if part in whole]
    if parts and draw(st.integers(0, 1)) == 1:
        node = whole[draw(st.sampled_from(parts))]  # type: ignore[assignment]  # tables
    while True:
        keys = sorted(node) if isinstance(node, dict) else range(len(node))
        key = draw(st.sampled_from(list(keys)))
        inner = node[key]  # type: ignore[index, call-overload]  # the key is one of its own
        if not isinstance(inner, dict | list) or not inner or draw(st.integers(0, 3)) == 0:
            node[key] = draw(things)  # type: ignore[index, call-overload]  # the same
            return whole
        node = inner


@settings(max_examples=80, deadline=None)
@given(spoilt())
def test_one_spoilt_value_breaks_nothing(sheet: dict[str, object]) -> None:
    """A good sheet with any one value replaced is read, or refused with faults on its lines."""
    text = tomlkit.dumps(sheet)
    try:
        payload = parse_sheet(text, name="kit.toml")
    except BadInput as refused:
        places = [fault.place for fault in refused.faults]
        assert all(place.startswith("kit.toml line ") for place in places)
    else:
        assert payload.items
