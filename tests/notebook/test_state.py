"""The board's state and what is sent to the board's script."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hand_plan
from fitkit.fit.elevation import Level
from fitkit.fit.move import key_of
from fitkit.notebook.picture import answer, key_from, name_of, place_of, scene
from fitkit.notebook.state import State

PLAN = hand_plan.plan()
START = State.of(PLAN.payload, PLAN.fit)


def test_the_state_after_a_search_is_the_search_s_layout() -> None:
    """Nothing is moved, nothing fails, and both halves can be shown."""
    assert START.placements == PLAN.fit.placements
    assert START.failing() == ()
    assert START.violations() == ()
    assert not START.by_hand
    assert START.levels() == (Level("deep", 1), Level("shallow", 1))


@settings(max_examples=25, deadline=None)
@given(x=st.floats(-100.0, 500.0), y=st.floats(-100.0, 300.0))
def test_dropping_moves_no_item_against_another(x: float, y: float) -> None:
    """Dropping only makes the interior's corner the origin: all items shift by the same amount."""
    moved = START.shifting(("float", 1), x_mm=x, y_mm=y)
    dropped = moved.dropped()
    shifts = {
        (round(a.x_mm - b.x_mm, 6), round(a.y_mm - b.y_mm, 6))
        for a, b in zip(moved.placements, dropped.placements, strict=True)
    }
    assert len(shifts) == 1
    assert dropped.box.size_mm == pytest.approx(moved.box.size_mm)
    assert dropped.interior.size_mm[:2] == pytest.approx(moved.box.size_mm)
    assert dropped.dropped().placements == dropped.placements


def test_pins_are_the_placements_as_they_stand() -> None:
    """A pinned item is handed to the search where it was put, and let go again when unpinned."""
    key = ("calibrator", 1)
    state = START.shifting(key, x_mm=240.0, y_mm=210.0).dropped().pinning(key, pinned=True)
    (pin,) = state.pinned()
    assert key_of(pin) == key
    assert pin in state.placements
    assert state.pinning(key, pinned=False).pinned() == ()


def test_a_scene_holds_the_level_shown_and_is_plain_json() -> None:
    """The board gets each item of its level once, and nothing that JSON cannot carry."""
    sent = scene(START, cause="all", serial=1)
    assert json.loads(json.dumps(sent)) is not None
    assert {item["id"] for item in sent["items"]} == {
        name_of(key_of(p)) for p in START.placements if p.half == "deep"
    }
    assert sent["texts"]["interior"] == ["480 interior", "300 interior"]
    assert sent["texts"]["outside"] == ["500 outside", "320 outside"]


def test_an_answer_tells_the_new_box_and_who_is_too_close() -> None:
    """A float pushed out to the right widens the interior; pushed on another it overlaps."""
    key = ("float", 1)
    out = answer(START.shifting(key, x_mm=424.0, y_mm=20.0), key, turned=False, serial=7)
    assert out["n"] == 7
    assert out["texts"]["interior"][0] == "510 interior"
    onto = answer(START.shifting(key, x_mm=394.0, y_mm=80.0), key, turned=False, serial=8)
    assert onto["failing"] == {"float/1": "overlaps", "float/2": "overlaps"}
    assert any(gap["text"] == "overlaps" and gap["to"] == "float/2" for gap in onto["gaps"])


def test_sliders_offer_only_the_turns_that_an_item_may_take() -> None:
    """A quarter-turn item goes by 90 degrees, a free one by whole degrees."""
    assert place_of(START.choosing(("recorder", 1)))["turn"]["step"] == 90
    free = place_of(START.choosing(("float", 2)))["turn"]
    assert (free["step"], free["max"]) == (1, 359)


@given(item=st.text(min_size=1), copy=st.integers(1, 99))
def test_names_of_keys_read_back(item: str, copy: int) -> None:
    """Any item name, slashes included, comes back from the text that the board uses."""
    assert key_from(name_of((item, copy))) == (item, copy)
