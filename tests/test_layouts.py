"""Layouts changed by hand, saved and taken back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from attrs import evolve
from hypothesis import given, settings

from fitkit.errors import BadInput
from fitkit.fit.layout import Interior
from fitkit.fit.move import key_of
from fitkit.fit.search import smallest
from fitkit.payload.model import Payload
from fitkit.payload.sheet import parse_sheet
from fitkit.plan_json.layouts import (
    SavedLayout,
    check_layout,
    digest_of,
    dumps_layout,
    loads_layout,
    read_layout,
)
from strategies import payloads

KIT = parse_sheet(
    """
[[item]]
name = "probe"
count = 2
body = [ { circle = 11, z = [0, 60] } ]
[[item]]
name = "case lid"
body = [ { rectangle = [80, 40], z = [0, 20] } ]
""",
    name="kit.toml",
)
FIT = smallest(KIT, repeatable=True, budget_s=0.1)
LOCKED = frozenset({("probe", 2), ("case lid", 1)})
LAYOUT = SavedLayout.of(
    KIT, interior=FIT.interior, placements=FIT.placements, locked=LOCKED, follows=False
)


def test_a_layout_comes_back_as_it_was() -> None:
    """Placements to the last bit, locks room, and who follows whom."""
    assert loads_layout(dumps_layout(LAYOUT), place="board.json") == LAYOUT
    check_layout(LAYOUT, KIT, place="board.json")
    assert LAYOUT.room(Interior(1.0, 1.0, ())) == Interior(
        FIT.interior.length_mm, FIT.interior.width_mm, FIT.interior.halves
    )


def test_a_layout_without_a_room_takes_the_room_at_hand() -> None:
    """The stand-alone page saves none."""
    bare = evolve(LAYOUT, size_mm=None, halves=None)
    text = dumps_layout(bare)
    assert "interior_mm" not in json.loads(text)
    assert loads_layout(text, place="p") == bare
    assert bare.room(FIT.interior) == FIT.interior


@settings(deadline=None, max_examples=25)
@given(payloads(max_items=2))
def test_the_digest_tells_payloads_apart(payload: Payload) -> None:
    """Any change of gear or wishes changes it; notes about assumed values do not."""
    assert digest_of(evolve(payload, assumptions=("the wall is assumed",))) == digest_of(payload)
    assert digest_of(evolve(payload, title=payload.title + "x")) != digest_of(payload)
    first = payload.items[0]
    for other in (evolve(first, uncertainty_mm=9.5), evolve(first, count=first.count + 1)):
        items = (other, *payload.items[1:])
        assert digest_of(evolve(payload, items=items)) != digest_of(payload)


def test_every_fault_of_a_layout_is_said_at_once() -> None:
    """Missing keys and foreign ones; then wrong values; then copies that do not belong."""
    data = json.loads(dumps_layout(LAYOUT))
    spoilt = {key: value for key, value in data.items() if key != "locked"} | {"colour": "red"}
    with pytest.raises(BadInput) as refused:
        loads_layout(json.dumps(spoilt), place="b")
    assert {fault.place for fault in refused.value.faults} == {"b: colour", "b: locked"}
    with pytest.raises(BadInput) as refused:
        loads_layout(json.dumps(data | {"follows": 1, "halves": [{"name": "top"}]}), place="b")
    places = {fault.place for fault in refused.value.faults}
    assert {"b: follows", "b: halves[0].name", "b: halves[0].depth_mm"} <= places
    with pytest.raises(BadInput, match="mast/1"):
        loads_layout(json.dumps(data | {"locked": ["mast/1"]}), place="b")
    twice = evolve(LAYOUT, placements=(*LAYOUT.placements[:2], LAYOUT.placements[0]))
    with pytest.raises(BadInput) as refused:
        check_layout(twice, KIT, place="b")
    lost = key_of(LAYOUT.placements[2])
    double = key_of(LAYOUT.placements[0])
    assert {fault.place for fault in refused.value.faults} == {
        f"b: {lost[0]} {lost[1]}",
        f"b: {double[0]} {double[1]}",
    }


def test_a_layout_of_another_sheet_is_refused() -> None:
    """The message says so, even where the copies are the same."""
    other = evolve(KIT, title="another")
    with pytest.raises(BadInput, match="another"):
        check_layout(LAYOUT, other, place="b")


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "7", '{"format": "fitkit-plan"}', '{"format": "fitkit-layout"}']
)
def test_what_is_no_layout_is_refused(text: str, tmp_path: Path) -> None:
    """Cut short, another format, no version: one message with the place."""
    path = tmp_path / "board.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match=r"board\.json"):
        read_layout(path)


def test_a_newer_layout_and_a_file_that_is_not_text_are_refused(tmp_path: Path) -> None:
    """A later version says to update; a picture is no layout; a missing file is said."""
    data = json.loads(dumps_layout(LAYOUT)) | {"version": 2}
    with pytest.raises(BadInput, match="update fitkit"):
        loads_layout(json.dumps(data), place="b")
    path = tmp_path / "board.json"
    path.write_bytes(b"\xff\xd8\xff")
    with pytest.raises(BadInput, match="UTF-8"):
        read_layout(path)
    with pytest.raises(BadInput, match="cannot be read"):
        read_layout(tmp_path / "none.json")
