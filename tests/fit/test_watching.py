"""A search is left at once when it is told to, whatever step it is in."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable

import pytest

from fitkit.fit import search, watching
from fitkit.fit.assign import problem_of
from fitkit.fit.search import smallest
from fitkit.fit.state import Progress, State
from fitkit.fit.validate import violations
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, Item, Payload, Section

PATIENCE_S = 60.0
"""A step that never looks at the state would hang the test: it gives up after this [s]."""


def kit() -> Payload:
    """Three rods and two cans."""
    rod = Body((Section(rectangle(150.0, 30.0), 0.0, 30.0),))
    can = Body((Section(circle(30.0, at=(30.0, 30.0)), 0.0, 60.0),))
    return Payload("Tideline bench", (Item("rod", rod, count=3), Item("float", can, count=2)))


def state() -> State:
    """A state in which nothing is laid out yet."""
    problem = problem_of(kit(), objective="volume", pins={})
    return State(problem, 0.0, "none", budget_s=60.0, started=0.0, counted=True)


@pytest.mark.parametrize("stage", ["lower_bound", "candidates", "neighbour", "exact", "outlines"])
def test_no_step_is_waited_for(stage: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A step that never ends and never looks up, in any stage: the best so far comes back.

    The step is let go only after the answer is there.
    """
    stuck, let_go = threading.Event(), threading.Event()

    def step(*_: object, **__: object) -> None:
        stuck.set()
        let_go.wait(PATIENCE_S)
        raise RuntimeError("nobody hears of this: the answer has been given")

    if stage == "exact":  # asked only where all are rectangles: let these pass for some
        monkeypatch.setattr(search.exact, "rectangles_of", lambda _: object())
    if stage in ("exact", "outlines"):
        module = getattr(search, stage)
        monkeypatch.setattr(module, "prove" if stage == "exact" else "improve", step)
    else:
        monkeypatch.setattr(search, stage, step)
    monkeypatch.setattr(threading, "excepthook", lambda _: None)
    try:
        fit = smallest(kit(), budget_s=4.0, cancelled=stuck.is_set)
        assert not let_go.is_set()
    finally:
        let_go.set()
    assert fit.interrupted
    assert violations(kit(), interior=fit.interior, placements=fit.placements) == ()


def test_ctrl_c_leaves_a_step_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """KeyboardInterrupt in the caller while a step is at work gives the best so far."""
    stuck, let_go = threading.Event(), threading.Event()

    def step(*_: object, **__: object) -> None:
        stuck.set()
        let_go.wait(PATIENCE_S)

    def interrupt(_: Progress) -> None:
        if stuck.is_set():
            raise KeyboardInterrupt

    monkeypatch.setattr(search, "candidates", step)
    try:
        fit = smallest(kit(), budget_s=4.0, progress=interrupt)
    finally:
        let_go.set()
    assert fit.interrupted
    assert violations(kit(), interior=fit.interior, placements=fit.placements) == ()


def test_the_work_stops_by_itself_after_a_cancel() -> None:
    """No thread of a cancelled search is left behind for good."""
    seen: list[Progress] = []
    before = set(threading.enumerate())
    smallest(
        kit(),
        budget_s=8.0,
        progress=seen.append,
        cancelled=lambda: any(step.stage == "outlines" for step in seen),
    )
    for thread in set(threading.enumerate()) - before:
        thread.join(PATIENCE_S / 2)
        assert not thread.is_alive(), thread.name


@pytest.mark.parametrize("when", [1, 2, 5, 17])
def test_cancelled_is_asked_until_it_says_so(when: int) -> None:
    """At the n-th time that it is asked: asked n times, from the calling thread, never again."""
    asked: list[threading.Thread] = []

    def cancelled() -> bool:
        asked.append(threading.current_thread())
        return len(asked) >= when

    def work(over: Callable[[], bool]) -> None:
        while not over():
            threading.Event().wait(0.001)

    now = state()
    assert watching.watched(now, lambda: work(now.stop.is_set), cancelled=cancelled)
    assert asked == [threading.current_thread()] * when
    assert now.stop.is_set()


def test_progress_is_told_first_and_last() -> None:
    """However short the work, the caller hears of its start and of its end, from its own thread."""
    heard: list[tuple[str, threading.Thread]] = []
    now = state()

    def work() -> None:
        now.stage = "done"

    def hear(told: Progress) -> None:
        heard.append((told.stage, threading.current_thread()))

    assert not watching.watched(now, work, progress=hear)
    assert len(heard) >= 2
    assert heard[-1] == ("done", threading.current_thread())


@pytest.mark.parametrize("where", ["work", "progress", "cancelled"])
def test_what_goes_wrong_is_raised_and_the_search_stopped(where: str) -> None:
    """An error in the work or in a callback reaches the caller, and nothing runs on."""

    def fail(*_: object) -> bool:
        raise ZeroDivisionError(where)

    now = state()
    with pytest.raises(ZeroDivisionError, match=where):
        watching.watched(
            now,
            fail if where == "work" else lambda: None,
            progress=fail if where == "progress" else None,
            cancelled=fail if where == "cancelled" else None,
        )
    assert now.stop.is_set()


def test_an_answer_that_was_given_does_not_change() -> None:
    """After a cancel late layouts and bounds are refused; before there is a layout they are not."""
    now = state()
    quickly = search.first_candidate(now.problem)
    assert quickly is not None
    layout = search.quick.lay_out(now.problem, quickly, count=1)
    assert watching.watched(now, lambda: None, cancelled=lambda: True)
    assert now.offer(layout, "late but the first")
    assert not watching.watched(now, lambda: None)
    better = search.quick.lay_out(now.problem, quickly, count=12)
    assert not now.offer(better, "too late")
    assert not now.bounded(1.0, "too late")
    assert [one.by for one in now.history] == ["late but the first"]


def test_taking_turns_is_put_back() -> None:
    """The interpreter's switch interval is as before, whatever happens in between."""
    before = sys.getswitchinterval()
    with watching.first_in_line():
        assert sys.getswitchinterval() < before

    def fail() -> None:
        with watching.first_in_line():
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert sys.getswitchinterval() == before


def test_bounds_keep_the_name_of_the_best() -> None:
    """A bound is taken with its name if it is higher; a lower one leaves both as they are."""
    now = state()
    assert now.bounded(10.0, "areas")
    assert not now.bounded(9.0, "lower")
    assert not now.bounded(10.0, "as high")
    assert (now.bound, now.bound_name) == (10.0, "areas")
    assert now.bounded(11.0, "patterns")
    told = now.progress()
    assert (told.bound, told.bound_name, told.by) == (11.0, "patterns", "")
