"""The bench without a browser: what the controls do to the plan, and how errors are shown."""

from __future__ import annotations

import json

import pytest
from attrs import evolve

import fitkit.notebook.controls as controls
import hand_plan
from fitkit.errors import BadInput, Fault
from fitkit.fit.move import find, key_of
from fitkit.notebook.controls import Bench
from fitkit.scene import Rendering

CALIBRATOR = ("calibrator", 1)


@pytest.fixture
def bench(tmp_path) -> Bench:
    """A bench with the plan laid out by hand."""
    return Bench(hand_plan.plan(), budget_s=1.0, folder=tmp_path / "out")


def drag(bench: Bench, **move) -> None:
    """Say what the board's script says when the calibrator is dragged."""
    bench.board.move = {"n": bench.board.move.get("n", 0) + 1, "id": "calibrator/1", **move}


def test_a_drag_is_answered_with_its_own_number(bench: Bench) -> None:
    """The answer names the move that it answers, so that the board can wait for it."""
    drag(bench, x=260.0, y=216.0)
    assert bench.board.answer["n"] == bench.board.move["n"]
    assert find(bench.state.placements, CALIBRATOR).x_mm == 260.0
    assert bench.place.place["x"]["value"] == 260.0
    assert bench.place.place["id"] == "calibrator/1"


def test_sliders_move_the_item_and_tell_the_board(bench: Bench) -> None:
    """A slider's move lands in the state, on the board, and in the list of findings."""
    bench.place.move = {"n": 1, "id": "float/2", "x": 394.0, "y": 95.0, "drop": True}
    assert bench.place.heard == 1
    assert find(bench.state.placements, ("float", 2)).y_mm == pytest.approx(95.0)
    assert "float 2" in bench.findings.value
    assert "move float 2 by 6.0 mm to the back" in bench.findings.value
    assert "fk-tag-fails" in bench.findings.value


def test_choosing_and_pinning_on_the_board_reach_the_controls(bench: Bench) -> None:
    """What is clicked on the board shows in the list and the box beside it, and back."""
    bench.board.act = {"n": 1, "kind": "choose", "id": "float/1"}
    assert bench.item.value == ("float", 1)
    bench.board.act = {"n": 2, "kind": "pin", "id": "float/1", "pinned": True}
    assert bench.pin.value
    assert [item["pinned"] for item in bench.board.scene["items"] if item["id"] == "float/1"] == [
        True
    ]
    bench.pin.value = False
    assert bench.state.pins == frozenset()


def test_the_search_gets_the_pins_and_its_layout_comes_back(bench: Bench, monkeypatch) -> None:
    """Fit again hands over pinned placements as they stand, and shows what was found."""
    seen = []

    def fake(payload, *, choices, progress, cancelled):
        seen.append(choices)
        plan = hand_plan.plan()
        interior = evolve(plan.fit.interior, length_mm=481.0)
        return evolve(plan, choices=choices, fit=evolve(plan.fit, interior=interior))

    monkeypatch.setattr(controls, "make_plan", fake)
    drag(bench, x=247.0, y=220.0, drop=True)
    bench.board.act = {"n": 1, "kind": "pin", "id": "calibrator/1", "pinned": True}
    bench.fit_again()
    bench.wait()
    (pin,) = seen[0].pins
    assert key_of(pin) == CALIBRATOR
    assert pin.y_mm == pytest.approx(220.0)
    assert seen[0].budget_s == 1.0
    assert bench.state.interior.length_mm == 481.0
    assert bench.state.pins == {CALIBRATOR}
    assert not bench.state.by_hand


def test_saving_writes_what_is_on_the_board(bench: Bench, tmp_path, monkeypatch) -> None:
    """After a move by hand, plan.json holds the moved place and foam made for it."""
    # the 3D picture has tests of its own, and takes its time
    monkeypatch.setattr(
        "fitkit.documents.files.exploded_picture", lambda plan: Rendering(b"a picture")
    )
    drag(bench, x=247.0, y=220.0, drop=True)
    bench.save_plan()
    bench.wait()
    assert bench.message.value == ""
    saved = json.loads((tmp_path / "out" / "plan.json").read_text())
    (place,) = [p for p in saved["placements"] if p["item"] == "calibrator"]
    assert place["y_mm"] == pytest.approx(220.0)
    assert saved["interior_mm"][1] == pytest.approx(304.0, abs=0.01)
    assert "saved" in bench.saved.value


def test_a_layout_that_breaks_a_clearance_is_not_saved(bench: Bench, tmp_path) -> None:
    """Save says what is wrong and what to do; nothing is written."""
    drag(bench, x=247.0, y=150.0, drop=True)
    bench.save.click()
    assert "Not saved" in bench.message.value
    assert not (tmp_path / "out").exists()


def test_what_goes_wrong_in_the_background_is_shown(bench: Bench, monkeypatch) -> None:
    """A search that refuses its input says so under the board, and the buttons work again."""

    def refuse(payload, **_):
        raise BadInput([Fault("pins", "two pins overlap", "let one of them go")])

    monkeypatch.setattr(controls, "make_plan", refuse)
    bench.again.click()
    bench.wait()
    assert "two pins overlap; let one of them go" in bench.message.value
    assert not bench.again.disabled


def test_a_surprise_in_a_callback_is_shown_and_raised(bench: Bench, monkeypatch) -> None:
    """Errors that nobody foresaw reach the eye, and the log too."""
    monkeypatch.setattr(controls, "answer", lambda *_, **__: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        drag(bench, x=260.0, y=216.0)
    assert "ZeroDivisionError" in bench.message.value


def test_the_layer_slider_shows_each_layer(bench: Bench) -> None:
    """Every layer of the plan has a picture of its own, and its name over it."""
    pictures = set()
    for number in range(1, len(bench.plan.foam.layers) + 1):
        bench.layer.value = number
        assert f"layer {bench.plan.foam.layers[number - 1].index}:" in bench.layer_title.value
        pictures.add(bench.layer_picture.value)
    assert len(pictures) == len(bench.plan.foam.layers)
