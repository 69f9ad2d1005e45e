"""The fit bench without a browser: what is told, shown, refused and said."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bench_sheet import SHEET
from fitkit.errors import BadInput
from fitkit.notebook import FitBench
from fitkit.notebook.work import Work
from fitkit.plan_json.layouts import read_layout


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FitBench]:
    """A bench on a sheet, its first search over."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FITKIT_BUDGET", "0.3")
    (tmp_path / "kit.toml").write_text(SHEET, encoding="utf-8")
    one = FitBench("kit.toml")
    quiet(one)
    yield one
    one.close()


def quiet(bench: FitBench) -> None:
    """Wait until nothing goes on in the background."""
    end = time.monotonic() + 60
    while time.monotonic() < end:
        with bench.desk.lock:
            if bench.desk.busy is None:
                return
        time.sleep(0.01)
    raise AssertionError(bench.desk.busy)


_numbers = iter(range(1, 10**6))


def tell(bench: FitBench, **what: Any) -> None:
    """What the board's script tells."""
    entry = {"n": next(_numbers), "view": "test", **what}
    bench.board.told = {"view": "test", "list": [entry]}


def act(bench: FitBench, kind: str, **more: Any) -> None:
    """What is done on the board but moving."""
    tell(bench, act=True, kind=kind, **more)


def drop(bench: FitBench, name: str, x: float, y: float, **more: Any) -> None:
    """An item put down."""
    tell(bench, ids=[name], id=name, x=x, y=y, drop=True, **more)


def item(bench: FitBench, name: str) -> dict[str, Any]:
    """An item as the board shows it."""
    return next(one for one in bench.board.scene["items"] if one["id"] == name)


def test_a_move_is_answered_with_its_number_and_a_drop_with_a_scene(bench: FitBench) -> None:
    """In hand the box follows; put down, the scene has the item there and can be undone."""
    at = item(bench, "probe/1")
    serial = bench.board.scene["n"]
    tell(bench, ids=["probe/1"], id="probe/1", x=at["x"] + 300, y=at["y"])
    assert bench.board.answer["view"] == "test"
    assert bench.board.answer["box"][2] > bench.board.scene["box"][2] + 100
    assert bench.board.scene["n"] == serial
    drop(bench, "probe/1", at["x"] + 300, at["y"], exact=True)
    assert bench.board.scene["n"] > serial
    assert bench.board.scene["undo"] == "move probe 1"
    act(bench, "undo")
    assert (item(bench, "probe/1")["x"], bench.board.scene["undo"]) == (at["x"], None)


def test_letting_go_puts_everything_back(bench: FitBench) -> None:
    """Escape in mid drag: the item is where it was, and nothing can be undone."""
    at = item(bench, "probe/1")
    tell(bench, ids=["probe/1"], id="probe/1", x=at["x"] + 300, y=at["y"])
    tell(bench, ids=["probe/1"], id="probe/1", x=at["x"], y=at["y"], back=True)
    assert item(bench, "probe/1")["x"] == at["x"]
    assert bench.board.scene["undo"] is None


def test_a_drop_near_a_neighbour_snaps_to_its_clearance(bench: FitBench) -> None:
    """Two millimetres too near is put right; with exact it stays as it was put."""
    recorder = item(bench, "recorder/1")
    clear = bench.desk.state.payload.case.clearance.item_mm
    beside = recorder["x"] + recorder["w"] + clear
    drop(bench, "probe/1", beside - 2.0, recorder["y"], exact=True)
    assert "probe/1" in bench.board.scene["failing"]
    act(bench, "undo")
    drop(bench, "probe/2", recorder["x"] + recorder["w"] + 400, recorder["y"], exact=True)
    recorder = item(bench, "recorder/1")
    beside = recorder["x"] + recorder["w"] + clear
    drop(bench, "probe/1", beside + 2.0, recorder["y"] + 10)
    now = item(bench, "probe/1")
    recorder = item(bench, "recorder/1")
    assert now["x"] - recorder["x"] - recorder["w"] == pytest.approx(clear, abs=0.02)


def test_what_cannot_be_done_is_said_and_changes_nothing(bench: FitBench) -> None:
    """A locked item moved, a level that is none, a search that is not running."""
    act(bench, "lock", ids=["recorder/1"], on=True)
    at = item(bench, "recorder/1")
    drop(bench, "recorder/1", at["x"] + 50, at["y"])
    assert "Locked: recorder" in bench.message.value
    assert item(bench, "recorder/1")["x"] == at["x"]
    with pytest.raises(KeyError):
        act(bench, "show", level="attic/1")
    assert "should not have happened" in bench.message.value
    act(bench, "undo")
    assert bench.message.value == ""


def test_turning_over_and_another_face_are_steps(bench: FitBench) -> None:
    """By the board and by the list of faces; the form follows what is chosen."""
    act(bench, "choose", ids=["recorder/1"])
    assert (list(bench.up.options), bench.up.value) == (["top", "bottom"], "top")
    act(bench, "over", ids=["recorder/1"])
    assert bench.up.value == "bottom"
    bench.up.value = "top"
    assert bench.board.scene["undo"] == "stand recorder with its top up"
    act(bench, "choose", ids=["probe/1"])
    assert bench.up.disabled
    assert not bench.board.scene["items"][1]["over"]


def test_snapping_following_and_levels_are_told_back(bench: FitBench) -> None:
    """The toggles of the board show what holds."""
    act(bench, "snap", what="grid", on=True)
    act(bench, "snap", what="gear", on=False)
    assert bench.board.scene["snap"] == {"grid": True, "gear": False, "walls": True}
    act(bench, "follow", on=False)
    assert bench.board.scene["follows"] is False
    act(bench, "show", level="all")
    assert bench.board.scene["level"] == "all"


def test_numbers_beside_the_board_move_the_item_exactly(bench: FitBench) -> None:
    """A typed place is taken as it is; the sliders' way there is not a step."""
    act(bench, "choose", ids=["probe/1"])
    place = {"id": "probe/1", "y": 30.0, "exact": True, "view": "n"}
    for n, (x, drop_) in enumerate([(201.0, False), (202.0, False), (203.0, True)], start=1):
        entry = {**place, "n": n, "x": x, **({"drop": True} if drop_ else {})}
        bench.place.told = {"view": "n", "list": [entry]}
    assert bench.board.scene["undo"] == "move probe 1"
    act(bench, "undo")
    assert bench.board.scene["undo"] is None


def test_in_inches_the_same_things_are_said(bench: FitBench) -> None:
    """The switch of the form changes the board's figures, not the case."""
    before = bench.board.scene["box"]
    bench._in_units("in")
    assert bench.board.scene["units"] == "in"
    assert all(text.split()[1] == "interior" for text in bench.board.scene["texts"]["interior"])
    assert dict(bench.board.scene["facts"])["interior"].endswith(" in")
    assert bench.board.scene["box"] == before


def test_edits_that_were_not_saved_are_on_the_board(bench: FitBench, tmp_path: Path) -> None:
    """The form brings back unsaved edits; the board asks for the same."""
    assert bench.form is not None
    sheet = bench.form.sheet
    bench.form.replace(sheet.set(("item", 1, "count"), 3), "a third probe")
    quiet(bench)
    assert {one["id"] for one in bench.board.scene["items"]} >= {"probe/3"}
    bench.close()
    assert Work.at("kit.toml").payload().item("probe").count == 2
    again = FitBench("kit.toml")
    try:
        quiet(again)
        assert {one["id"] for one in again.board.scene["items"]} >= {"probe/3"}
    finally:
        again.close()


def test_a_plan_whose_sheet_is_gone_is_opened_all_the_same(bench: FitBench, tmp_path: Path) -> None:
    """The plan has its payload; there is no form then."""
    bench.close()
    (tmp_path / "kit.toml").unlink()
    again = FitBench(tmp_path / "kit" / "plan.json")
    try:
        assert again.form is None
        assert {one["id"] for one in again.board.scene["items"]} == {
            "recorder/1",
            "probe/1",
            "probe/2",
        }
    finally:
        again.close()


def test_the_page_and_the_layout_go_out_and_come_back(bench: FitBench, tmp_path: Path) -> None:
    """The page is written beside the plan; a layout taken in stands on the board."""
    bench.take.click()
    assert "board.html" in bench.taken.value
    layout = tmp_path / "kit" / "board.json"
    drop(bench, "probe/1", 300.0, 40.0, exact=True)
    text = layout.read_text(encoding="utf-8")
    there = item(bench, "probe/1")["x"]
    act(bench, "undo")
    bench.bring.file = {"n": 1, "name": "mine.json", "text": text}
    assert item(bench, "probe/1")["x"] == there
    assert bench.board.scene["undo"] == "load a layout"
    bench.bring.file = {"n": 2, "name": "mine.json", "text": "{"}
    assert "mine.json" in bench.message.value
    assert read_layout(layout).placements == bench.desk.history.now.placements


def test_a_sheet_with_faults_is_refused_with_all_of_them(tmp_path: Path) -> None:
    """The message is the sheet's own; nothing is written."""
    path = tmp_path / "bad.toml"
    path.write_text('[[item]]\nname = "x"\nmass = "two"\nbody = [ { circle = -3 } ]\n')
    with pytest.raises(BadInput) as refused:
        FitBench(path)
    assert len(refused.value.faults) >= 2
    assert [one.name for one in tmp_path.iterdir()] == ["bad.toml"]
