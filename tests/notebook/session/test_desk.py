"""The desk behind the board: steps, undo, saving, searching, and what is kept after a crash."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from attrs import evolve

from bench_sheet import SHEET
from fitkit.errors import FitkitError
from fitkit.fit.elevation import Level
from fitkit.fit.move import Key, key_of
from fitkit.fit.validate import violations
from fitkit.notebook.session.desk import Desk
from fitkit.notebook.work import Work
from fitkit.payload.sheet import parse_sheet
from fitkit.plan_json import read_plan
from fitkit.plan_json.layouts import read_layout

RECORDER: Key = ("recorder", 1)
PROBE: Key = ("probe", 1)
LONG_S = 60.0


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A working folder with a sheet in it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FITKIT_BUDGET", "0.5")
    (tmp_path / "kit.toml").write_text(SHEET, encoding="utf-8")
    return tmp_path


@pytest.fixture
def open_desk(folder: Path) -> Iterator[Callable[[], Desk]]:
    """Makes desks on the sheet; all are closed at the end."""
    made: list[Desk] = []

    def opened(*, search: bool = True) -> Desk:
        desk = Desk(Work.at("kit.toml"), lambda _: None)
        made.append(desk)
        if search:
            desk.begin()
            quiet(desk)
        return desk

    yield opened
    for desk in made:
        desk.close()


def quiet(desk: Desk) -> None:
    """Wait until nothing goes on in the background."""
    end = time.monotonic() + LONG_S
    while time.monotonic() < end:
        with desk.lock:
            if desk.busy is None:
                return
        time.sleep(0.01)
    raise AssertionError(f"still {desk.busy}: {desk.message}")


def spot(desk: Desk, key: Key) -> tuple[float, float]:
    """Where an item's corner is."""
    here = desk.state.here(key)
    return here.x_mm, here.y_mm


def away(desk: Desk, key: Key = RECORDER, by_mm: float = 90.0) -> None:
    """Put an item down to the right of everything."""
    x, y = desk.state.box.x1_mm + by_mm, spot(desk, key)[1]
    desk.move((key,), key, x_mm=x, y_mm=y, snap=False, drop=True)


def test_a_kit_without_a_plan_is_laid_out_at_once_and_searched(open_desk) -> None:
    """The first layout stands before the search; its end saves the plan beside the sheet."""
    desk = open_desk(search=False)
    state = desk.state
    assert violations(state.payload, interior=state.interior, placements=state.placements) == ()
    desk.begin()
    assert desk.searching
    quiet(desk)
    assert desk.plan is not None
    assert read_plan(desk.work.plan_path) == desk.plan
    assert desk.plan.fit.placements == desk.state.placements
    assert desk.history.undo_words is None


def test_in_hand_nothing_is_a_step_and_letting_go_takes_it_back(open_desk) -> None:
    """While an item is dragged it is elsewhere on the board, and only there."""
    desk = open_desk()
    before = desk.history
    x, y = spot(desk, RECORDER)
    desk.move((RECORDER,), RECORDER, x_mm=x + 200, y_mm=y, snap=False, drop=False)
    assert spot(desk, RECORDER)[0] == x + 200
    assert desk.state.box.x1_mm > before.now.box.x1_mm + 100
    desk.let_go()
    assert desk.history == before
    assert spot(desk, RECORDER) == (x, y)


def test_undo_goes_back_step_by_step_to_the_start_and_redo_to_the_end(open_desk) -> None:
    """However many steps: every one is passed again both ways, exactly."""
    desk = open_desk()
    seen = [desk.history.now]
    for k in range(12):
        away(desk, PROBE if k % 2 else RECORDER, 5.0 + k)
        quiet(desk)
        seen.append(desk.history.now)
    desk.lock_items((PROBE,), on=True)
    seen.append(desk.history.now)
    for state in reversed(seen[:-1]):
        desk.undo()
        quiet(desk)
        assert desk.state.placements == state.placements
        assert (desk.state.interior, desk.state.locked) == (state.interior, state.locked)
    assert desk.history.undo_words is None
    for state in seen[1:]:
        desk.redo()
        quiet(desk)
        assert desk.state.placements == state.placements
        assert (desk.state.interior, desk.state.locked) == (state.interior, state.locked)
    assert desk.history.redo_words is None


def test_a_step_after_an_undo_gives_up_what_was_undone(open_desk) -> None:
    """There is one line of history, as a builder expects."""
    desk = open_desk()
    away(desk)
    desk.undo()
    assert desk.history.redo_words == "move recorder"
    away(desk, PROBE)
    assert (desk.history.redo_words, desk.history.undo_words) == (None, "move probe 1")


def test_every_drop_is_saved_and_comes_back_after_a_crash(open_desk) -> None:
    """A desk that is opened on the same sheet has the layout that the lost one had, locks too."""
    desk = open_desk()
    plan = desk.plan
    desk.lock_items((PROBE,), on=True)
    # dropped onto another item: it cannot be worked out, so that no plan holds it
    x, y = spot(desk, PROBE)
    desk.move((RECORDER,), RECORDER, x_mm=x, y_mm=y, snap=False, drop=True)
    lost = desk.state
    assert lost.failing()
    desk.close()
    again = open_desk(search=False)
    assert again.state.placements == lost.placements
    assert again.state.locked == {PROBE}
    assert "on the board at" in again.message
    again.undo()
    assert again.state.placements == plan.fit.placements
    assert not again.state.locked


def test_what_stands_right_is_worked_out_and_becomes_the_plan(open_desk) -> None:
    """After a drop that keeps every clearance plan.json holds the layout with its foam."""
    desk = open_desk()
    away(desk)
    assert desk.plan is None
    quiet(desk)
    assert desk.plan is not None
    assert read_plan(desk.work.plan_path) == desk.plan
    recorder = next(p for p in desk.plan.fit.placements if key_of(p) == RECORDER)
    assert (recorder.x_mm, recorder.y_mm) == spot(desk, RECORDER)
    assert read_layout(desk.work.folder / "board.json").placements == desk.state.placements


def test_what_stands_wrong_leaves_the_last_plan_on_disk(open_desk) -> None:
    """Overlapping items make no plan; the one that was saved stays as it is."""
    desk = open_desk()
    saved = desk.work.plan_path.read_bytes()
    x, y = spot(desk, PROBE)
    desk.move((RECORDER,), RECORDER, x_mm=x, y_mm=y, snap=False, drop=True)
    quiet(desk)
    assert desk.plan is None
    assert desk.work.plan_path.read_bytes() == saved
    with pytest.raises(FitkitError, match="Not written"):
        desk.write(desk.work.folder)


def test_locked_items_are_neither_moved_nor_searched_away(open_desk) -> None:
    """A locked item cannot be dragged, sent or turned over, and the search leaves it there."""
    desk = open_desk()
    desk.move((RECORDER,), RECORDER, x_mm=40.0, y_mm=35.0, snap=False, drop=True)
    away(desk, PROBE)
    quiet(desk)
    desk.lock_items((RECORDER,), on=True)
    here = desk.state.here(RECORDER)
    for act in (
        lambda: away(desk),
        lambda: desk.send((RECORDER,), Level("deep", 2)),
        lambda: desk.turn_over((RECORDER,)),
        lambda: desk.turn(RECORDER, turn_deg=90.0, drop=True),
    ):
        with pytest.raises(FitkitError, match="Locked: recorder"):
            act()
    desk.fit_rest(0.5)
    quiet(desk)
    there = desk.state.here(RECORDER)
    assert (there.x_mm, there.y_mm, there.turn_deg) == (here.x_mm, here.y_mm, here.turn_deg)
    state = desk.state
    assert violations(state.payload, interior=state.interior, placements=state.placements) == ()


def test_a_search_that_finds_nothing_smaller_changes_nothing(open_desk) -> None:
    """A worse layout never takes the place of a better one."""
    desk = open_desk()
    away(desk)
    quiet(desk)
    desk.fit_rest(0.5)
    quiet(desk)
    best = desk.fit.value
    for _ in range(3):
        desk.fit_rest(0.1)
        quiet(desk)
        assert desk.fit.value <= best
        best = desk.fit.value


def test_fit_the_rest_can_be_undone(open_desk) -> None:
    """One step brings back the layout that was moved by hand."""
    desk = open_desk()
    away(desk)
    quiet(desk)
    mine = desk.state.placements
    desk.fit_rest(0.5)
    quiet(desk)
    assert desk.history.undo_words == "fit the rest"
    assert desk.state.placements != mine
    desk.undo()
    assert desk.state.placements == mine


def test_stopping_keeps_the_best_and_giving_up_goes_back(open_desk) -> None:
    """Both end a long search at once."""
    desk = open_desk()
    away(desk)
    quiet(desk)
    mine = desk.state.placements
    desk.fit_rest(300.0)
    deadline = time.monotonic() + LONG_S
    while desk.progress is None or desk.progress.value is None:
        assert time.monotonic() < deadline
        time.sleep(0.01)
    with pytest.raises(FitkitError, match="A search is running"):
        away(desk)
    desk.give_up()
    assert not desk.searching
    assert desk.state.placements == mine
    quiet(desk)
    assert desk.state.placements == mine
    desk.fit_rest(300.0)
    while desk.progress is None or desk.progress.value is None:
        assert time.monotonic() < deadline
        time.sleep(0.01)
    desk.stop()
    quiet(desk)
    assert desk.history.undo_words == "fit the rest"
    assert desk.plan is not None
    assert desk.plan.fit.interrupted


def test_a_child_that_dies_is_said_and_replaced(open_desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The board goes on: the message says so, and the next search has another child."""
    desk = open_desk()
    away(desk)
    quiet(desk)
    desk.fit_rest(300.0)
    process = desk.errands.worker._process
    assert process is not None
    monkeypatch.setattr(process, "poll", lambda: None)  # its pipes close before it counts as ended
    time.sleep(0.3)
    os.kill(process.pid, signal.SIGKILL)
    quiet(desk)
    assert "has ended" in desk.message
    desk.fit_rest(0.3)
    assert desk.errands.worker._process is not process
    quiet(desk)
    assert desk.history.undo_words == "fit the rest"


def test_an_interior_that_stays_marks_who_is_outside(open_desk) -> None:
    """Kept as it is, the interior does not grow; who is too near its walls is named."""
    desk = open_desk()
    desk.follow(False)
    before = desk.state.interior
    recorder = desk.state.placed(RECORDER)
    right_mm = before.length_mm - recorder.solid.silhouette.bounds[2] + spot(desk, RECORDER)[0]
    y = spot(desk, RECORDER)[1]
    wall = desk.state.payload.case.clearance.wall_mm
    for past, out in ((wall, False), (wall - 0.5, True), (-5.0, True)):
        desk.move((RECORDER,), RECORDER, x_mm=right_mm - past, y_mm=y, snap=False, drop=True)
        assert desk.state.interior == before
        assert (RECORDER in desk.state.outside()) == out
    desk.follow(True)
    assert desk.state.outside() == ()


def test_a_changed_sheet_keeps_who_stood_and_adds_who_is_new(open_desk, folder: Path) -> None:
    """Who is gone is gone, who is new stands free of the others; one undo brings all back."""
    desk = open_desk()
    before = desk.state
    text = SHEET.replace("count = 2", "count = 1") + (
        '[[item]]\nname = "battery"\nbody = [ { rectangle = [70, 50], z = [0, 60] } ]\n'
    )
    desk.take_payload(parse_sheet(text, name="kit.toml"))
    quiet(desk)
    state = desk.state
    assert {key_of(p) for p in state.placements} == {RECORDER, PROBE, ("battery", 1)}
    assert violations(state.payload, interior=state.interior, placements=state.placements) == ()
    assert desk.plan is not None
    assert desk.plan.payload == state.payload
    desk.undo()
    assert desk.state.placements == before.placements
    assert desk.state.payload == before.payload


def test_a_sheet_changed_meanwhile_is_said(open_desk, folder: Path) -> None:
    """The saved plan is not the sheet's any more: items stay, the message says what to do."""
    desk = open_desk()
    desk.close()
    (folder / "kit.toml").write_text(SHEET.replace("[0, 40]", "[0, 45]"), encoding="utf-8")
    again = open_desk(search=False)
    assert "sheet has changed" in again.message
    assert spot(again, RECORDER) == spot(desk, RECORDER)
    again.begin()
    quiet(again)
    assert again.plan is not None
    assert again.plan.payload.item("recorder").body.sections[0].z1_mm == 45


def test_items_go_to_another_level_and_back(open_desk, folder: Path) -> None:
    """Sent up a tier an item stands above the others; undo brings the heights back."""
    (folder / "kit.toml").write_text(SHEET.replace("tiers = 1", "tiers = 2"), encoding="utf-8")
    desk = open_desk()
    before = desk.state
    home = before.here(PROBE)
    to = next(one for one in before.may_stand(PROBE) if one.tier != home.tier)
    desk.send((PROBE,), to)
    quiet(desk)
    there = desk.state.here(PROBE)
    assert (there.half, there.tier) == (to.half, to.tier)
    assert desk.state.choosing((PROBE,)).level == to
    state = desk.state
    kinds = {one.kind for one in state.violations()}
    assert kinds <= {"item"}  # it may stand too close to others there, in plan; heights are right
    desk.undo()
    assert desk.state.placements == before.placements
    assert desk.state.interior == before.interior


def test_arrow_keys_are_one_step_to_undo(open_desk) -> None:
    """Ten millimetres in ten strokes are taken back at once."""
    desk = open_desk()
    x, y = spot(desk, PROBE)
    for k in range(1, 11):
        desk.move((PROBE,), PROBE, x_mm=spot(desk, PROBE)[0] + 1, y_mm=y, snap=False, drop=True)
        assert k
    desk.undo()
    assert spot(desk, PROBE) == (x, y)


def test_writing_makes_every_document(open_desk) -> None:
    """All files of the plan, listed in plan.json, from the child process."""
    desk = open_desk()
    desk.write(desk.work.folder)
    quiet(desk)
    assert "files written" in desk.written
    assert (desk.work.folder / "index.html").is_file()
    assert (desk.work.folder / "foam" / "templates.pdf").is_file()


def test_closing_leaves_neither_threads_nor_processes(folder: Path) -> None:
    """Even in the middle of a search."""
    threads = set(threading.enumerate())
    desk = Desk(Work.at("kit.toml"), lambda _: None)
    desk.begin()
    assert desk.searching
    process = desk.errands.worker._process
    desk.close()
    assert process is not None
    assert process.poll() is not None
    assert {t for t in threading.enumerate() if t.name == "fitkit-board"} - threads == set()


def test_a_sheet_changed_during_a_search_ends_it(open_desk) -> None:
    """What is searched is not asked for any more: the new wishes are on the board at once."""
    desk = open_desk()
    desk.fit_rest(300.0)
    payload = desk.state.payload
    case = evolve(payload.case, clearance=evolve(payload.case.clearance, wall_mm=33.0))
    desk.take_payload(evolve(payload, case=case))
    assert not desk.searching
    quiet(desk)
    assert desk.plan is not None
    assert desk.plan.payload.case.clearance.wall_mm == 33.0
    assert desk.history.undo_words == "change the sheet"
