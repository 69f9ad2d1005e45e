"""The board's state, and what is sent to the board's script."""

from __future__ import annotations

import json

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import hand_plan
from fitkit.fit.elevation import Level
from fitkit.fit.move import key_of
from fitkit.fit.snap import Snapped
from fitkit.fit.validate import violations
from fitkit.notebook.session.figures import Figures
from fitkit.notebook.session.history import History
from fitkit.notebook.session.picture import (
    Frame,
    answer,
    key_from,
    level_from,
    level_id,
    name_of,
    place_of,
    scene,
)
from fitkit.notebook.session.state import State

PLAN = hand_plan.plan()
START = State.of(PLAN.payload, interior=PLAN.fit.interior, placements=PLAN.fit.placements)
FLOAT = ("float", 1)
PLAIN = Frame()


def test_the_state_after_a_search_is_the_search_s_layout() -> None:
    """Nothing is moved, nothing fails, and both halves can be shown."""
    assert START.placements == PLAN.fit.placements
    assert START.failing() == ()
    assert START.violations() == ()
    assert START.levels() == (Level("deep", 1), Level("shallow", 1))


@settings(max_examples=25, deadline=None)
@given(x=st.floats(-100.0, 500.0), y=st.floats(-100.0, 300.0))
def test_dropping_moves_no_item_against_another(x: float, y: float) -> None:
    """Dropping only makes the interior's corner the origin: all items shift by the same amount.

    Where nothing is too close the dropped layout passes the check that searches must pass.
    """
    moved = START.shifting((FLOAT,), lead=FLOAT, x_mm=x, y_mm=y)
    dropped = moved.dropped()
    shifts = {
        (round(a.x_mm - b.x_mm, 6), round(a.y_mm - b.y_mm, 6))
        for a, b in zip(moved.placements, dropped.placements, strict=True)
    }
    assert len(shifts) == 1
    assert dropped.box.size_mm == pytest.approx(moved.box.size_mm)
    assert dropped.interior.size_mm[:2] == pytest.approx(moved.box.size_mm)
    assert dropped.dropped().placements == dropped.placements
    found = violations(PLAN.payload, interior=dropped.interior, placements=dropped.placements)
    assert bool(found) == bool(moved.failing())


@settings(max_examples=25, deadline=None)
@given(x=st.floats(0.0, 450.0), y=st.floats(0.0, 270.0))
def test_where_an_item_lands_it_breaks_nothing_more(x: float, y: float) -> None:
    """Put down where it snaps, no pair fails that did not fail where it was held."""
    held = START.shifting((FLOAT,), lead=FLOAT, x_mm=x, y_mm=y)
    land = held.landing((FLOAT,), lead=FLOAT, x_mm=x, y_mm=y)
    there = held.shifting((FLOAT,), lead=FLOAT, x_mm=land.x_mm, y_mm=land.y_mm)
    assert len(there.failing()) <= len(held.failing())
    if land.to:
        assert max(abs(land.x_mm - x), abs(land.y_mm - y)) <= held.snap.reach_mm + 1e-6


def test_locked_items_are_the_search_s_pins() -> None:
    """A locked item is handed to the search where it stands, and let go again when unlocked."""
    key = ("calibrator", 1)
    moved = START.shifting((key,), lead=key, x_mm=240.0, y_mm=210.0).dropped()
    state = moved.locking((key,), on=True)
    (pin,) = state.pins()
    assert key_of(pin) == key
    assert pin in state.placements
    assert state.locking((key,), on=False).pins() == ()


def test_a_scene_holds_the_half_shown_and_is_plain_json() -> None:
    """The board gets each item of its half once, and nothing that JSON cannot carry."""
    sent = scene(START, PLAIN, serial=1)
    assert json.loads(json.dumps(sent)) is not None
    assert {item["id"] for item in sent["items"]} == {
        name_of(key_of(p)) for p in START.placements if p.half == "deep"
    }
    assert sent["texts"]["interior"] == ["480 interior", "300 interior"]
    assert sent["texts"]["outside"] == ["500 outside", "320 outside"]
    whole = scene(START.showing(None), PLAIN, serial=2)
    assert {item["id"] for item in whole["items"]} == {name_of(key_of(p)) for p in START.placements}
    assert not any(item["dim"] for item in whole["items"])


def test_the_board_in_inches_shows_the_same_case() -> None:
    """480 mm is 18.898 in; the drawing itself stays in millimetres."""
    sent = scene(START, Frame(figures=Figures("in")), serial=1)
    assert sent["texts"]["interior"][0] == "18.898 interior"
    assert sent["units"] == "in"
    assert sent["box"] == scene(START, PLAIN, serial=1)["box"]


def test_an_answer_tells_the_new_box_and_who_is_too_close() -> None:
    """A float pushed out to the right widens the interior; pushed on another it overlaps."""
    out = answer(
        START.shifting((FLOAT,), lead=FLOAT, x_mm=424.0, y_mm=20.0).choosing((FLOAT,)),
        PLAIN,
        lead=FLOAT,
        land=Snapped(425.5, 20.0, ("float 2",)),
    )
    assert out["texts"]["interior"][0] == "510 interior"
    assert out["land"] == {"dx": 1.5, "dy": 0.0, "to": "float 2"}
    onto = answer(
        START.shifting((FLOAT,), lead=FLOAT, x_mm=394.0, y_mm=80.0).choosing((FLOAT,)),
        PLAIN,
        lead=FLOAT,
        land=None,
        turned=(FLOAT,),
    )
    assert onto["failing"] == {"float/1": "overlaps", "float/2": "overlaps"}
    assert any(gap["text"] == "overlaps" and gap["to"] == "float/2" for gap in onto["gaps"])
    assert (onto["moved"]["float/1"]["x"], onto["land"]) == (394.0, None)


def test_who_is_outside_an_interior_that_stays_is_marked() -> None:
    """The interior does not grow, and the item says that it is outside."""
    fixed = START.following(False)
    moved = fixed.shifting((FLOAT,), lead=FLOAT, x_mm=470.0, y_mm=20.0)
    sent = scene(moved, PLAIN, serial=1)
    assert sent["box"] == [0.0, 0.0, 480.0, 300.0]
    assert sent["failing"]["float/1"] == "outside"


def test_numbers_offer_only_the_turns_that_an_item_may_take() -> None:
    """A quarter-turn item goes by 90 degrees, a free one by whole degrees; none has no numbers."""
    assert place_of(START.choosing([("recorder", 1)]))["turn"]["step"] == 90
    free = place_of(START.choosing([("float", 2)]))["turn"]
    assert (free["step"], free["max"]) == (1, 359)
    assert place_of(START.choosing([])) == {}


@given(item=st.text(min_size=1), copy=st.integers(1, 99))
def test_names_of_keys_read_back(item: str, copy: int) -> None:
    """Any item name, slashes included, comes back from the text that the board uses."""
    assert key_from(name_of((item, copy))) == (item, copy)


def test_names_of_levels_read_back() -> None:
    """Every level and "all" come back; another name is none."""
    for level in (*START.levels(), None):
        assert level_from(level_id(level), START.levels()) == level
    with pytest.raises(KeyError):
        level_from("deep/9", START.levels())


def test_the_mass_of_the_worked_out_plan_is_shown_once_there_is_one() -> None:
    """Until then it is what is known before the foam is cut, which is never less."""
    facts = dict(scene(START, PLAIN, serial=1)["facts"])
    exact = dict(scene(START, evolve(PLAIN, mass=PLAN.mass), serial=1)["facts"])

    def kg(text: str) -> float:
        return float(text.removeprefix("at least ").removesuffix(" kg"))

    assert kg(exact["mass"]) == pytest.approx(PLAN.mass.total_kg, abs=0.01)
    assert kg(facts["mass"]) >= kg(exact["mass"])


@given(st.lists(st.sampled_from(["do", "undo", "redo", "look"]), max_size=40))
def test_history_is_a_line_that_is_walked_both_ways(acts: list[str]) -> None:
    """Against a plain list with a cursor: whatever is done, the state and the words agree."""
    history, line, at, count = History(START), [START], 0, 0
    words: list[str] = []
    for act in acts:
        if act == "do":
            count += 1
            state = evolve(START, locked=frozenset({("step", count)}))
            history = history.done(f"step {count}", state)
            line, words = [*line[: at + 1], state], [*words[:at], f"step {count}"]
            at += 1
        elif act == "look":
            looked = evolve(history.now, chosen=())
            history = history.looking(looked)
            line[at] = looked
        elif act == "undo":
            history, at = history.undone(), max(0, at - 1)
        else:
            history, at = history.redone(), min(len(line) - 1, at + 1)
        assert history.now == line[at]
        assert history.undo_words == (words[at - 1] if at else None)
        assert history.redo_words == (words[at] if at < len(words) else None)
