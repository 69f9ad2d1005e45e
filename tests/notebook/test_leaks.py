"""Benches made and closed again leave nothing: no widget, thread, process, open file or memory."""

from __future__ import annotations

import contextlib
import gc
import os
import threading
import time
import tracemalloc
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import comm
import ipywidgets as widgets
import pytest
from attrs import frozen
from ipywidgets.widgets.widget import _instances

import hand_plan
from bench_sheet import SHEET
from fitkit.fit.exact.crew import dismiss
from fitkit.notebook import BuildBench, FitBench, FoamBench, Measure
from fitkit.notebook.closing import put_away
from fitkit.notebook.session.worker import Worker
from fitkit.notebook.view3d import View3D
from fitkit.notebook.work import Work

BOARDS = 200
WARM = 20
"""So many are made before anything is counted: caches and imports fill up."""
TRACED = 40
"""The last boards, whose memory is counted; counting makes each three times as slow."""
MOST_BYTES = 4000
"""What one board may leave on average [bytes]. Found with one kept per board: a state of one item
13900, a picture of it 10900, a bench 333000; with nothing kept 700 and less."""


PLAN = hand_plan.plan()


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A working folder with a sheet and its plan in it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FITKIT_BUDGET", "0.3")
    (tmp_path / "kit.toml").write_text(SHEET, encoding="utf-8")
    Work.at("kit.toml").plan()
    # workers that earlier searches have left for the next one end by themselves at any moment
    dismiss()
    _wait_for_readers()
    return tmp_path


def _wait_for_readers() -> None:
    """Until no thread listens to a worker of the searches any more."""
    end = time.monotonic() + 60.0
    while any("(_read)" in one.name for one in threading.enumerate()):
        assert time.monotonic() < end, "a worker of a search did not end"
        time.sleep(0.01)


@frozen
class Left:
    """What is there at one moment."""

    widgets: frozenset[str]
    comms: int
    threads: frozenset[str]
    files: int
    children: frozenset[str]
    ours: Counter[str]
    parts: int

    @classmethod
    def now(cls) -> Left:
        """Count, once what nobody holds is gone."""
        gc.collect()
        gc.collect()
        ours: Counter[str] = Counter()
        parts = 0
        for one in gc.get_objects():
            kind = type(one)
            if str(kind.__module__).startswith("fitkit."):
                ours[f"{kind.__module__}.{kind.__qualname__}"] += 1
            parts += isinstance(one, widgets.Widget)
        return cls(
            widgets=frozenset(_instances),
            comms=len(comm.get_comm_manager().comms),
            threads=frozenset(one.name for one in threading.enumerate()),
            files=_open_files(),
            children=_children(),
            ours=ours,
            parts=parts,
        )


def _open_files() -> int:
    """How many files this process holds open, where the system tells; else 0."""
    place = Path("/proc/self/fd")
    return len(list(place.iterdir())) if place.is_dir() else 0


def _children() -> frozenset[str]:
    """The processes that this one has started and that are there still, where the system tells."""
    found = set()
    for place in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):  # it ended meanwhile
            parent = (place / "stat").read_text().rpartition(")")[2].split()[1]
            if parent == str(os.getpid()):
                found.add(place.name)
    return frozenset(found)


def _fit() -> None:
    bench = FitBench("kit.toml")
    bench.close()


def _foam() -> None:
    FoamBench("kit.toml").close()


def _build() -> None:
    BuildBench("kit.toml").close()


def _view() -> None:
    View3D(PLAN).close()


def _measure() -> None:
    Measure("kit.toml").close()


def test_200_boards_leave_no_memory_widgets_or_threads(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 200 boards opened and closed nothing is left, and memory does not grow with them.

    No child is started here; with real ones the next test has to do.
    """
    monkeypatch.setattr(Worker, "_started", lambda self: None)
    for _ in range(WARM):
        _fit()
    before = Left.now()
    for _ in range(BOARDS - WARM - TRACED):
        _fit()
    assert Left.now() == before
    tracemalloc.start()
    try:
        for _ in range(TRACED):
            _fit()
        after = Left.now()
        grown = tracemalloc.get_traced_memory()[0]
    finally:
        tracemalloc.stop()
    assert after == before
    assert grown < MOST_BYTES * TRACED


def test_a_closed_board_ends_its_child_at_work(folder: Path) -> None:
    """Closed in the middle of a search, a board leaves no process, thread or open file."""
    _fit()
    before = Left.now()
    for _ in range(3):
        bench = FitBench("kit.toml")
        bench.desk.fit_rest(60.0)
        assert bench.desk.searching
        process = bench.desk.errands.worker._process
        assert process is not None
        assert process.poll() is None
        bench.close()
        bench.close()
        assert process.returncode is not None
    del bench, process
    assert Left.now() == before


@pytest.mark.parametrize("made", [_foam, _build, _view, _measure], ids=lambda one: one.__name__[1:])
def test_every_other_bench_leaves_nothing_either(folder: Path, made: Callable[[], None]) -> None:
    """Foam, build, 3D and measure: after a few, twenty more leave no widget, thread or object."""
    for _ in range(4):
        made()
    before = Left.now()
    for _ in range(20):
        made()
    assert Left.now() == before


def test_benches_that_were_worked_on_close_as_cleanly(folder: Path) -> None:
    """Benches that were worked on and shown leave nothing when closed in the middle of it."""

    def worked(*, wait: bool = False) -> None:
        foam = FoamBench("kit.toml")
        key = next(iter(foam._edges.where))
        for n, act in enumerate(({"kind": "add", "key": f"{key[0]}/{key[1]}"}, {"kind": "undo"})):
            foam.view.act = {"n": n + 1, "view": "a", **act}
            if wait:
                foam.wait()
        foam.close()
        form = Measure("kit.toml")
        form.panel.acts = [{"view": "a", "n": 1, "kind": "do", "do": "item"}]
        assert form.unsaved
        form.undo()
        form.close()
        view = View3D(PLAN)
        view.show(PLAN)
        view._repr_mimebundle_()
        view.close()

    for wait in (True, False, False):
        worked(wait=wait)
    before = Left.now()
    for _ in range(6):
        worked()
    assert Left.now() == before


def test_a_widget_is_put_away_with_all_that_it_holds() -> None:
    """Children, layouts and styles go with it, twice does no harm, and others stay."""
    before = set(_instances)
    other = widgets.Button(description="stays")
    kept = set(_instances) - before
    inner = widgets.HBox([widgets.Button(description="a"), widgets.HTML("b")])
    outer = widgets.VBox([inner, widgets.FileUpload()])
    assert len(set(_instances) - before - kept) >= 10
    put_away(outer)
    put_away(outer)
    assert set(_instances) - before == kept
    put_away(other)
    assert set(_instances) == before


def test_a_cell_that_is_run_again_ends_the_board_before(folder: Path) -> None:
    """Of boards on one sheet only the newest lives; one on another sheet is let alone."""
    (folder / "other.toml").write_text(SHEET, encoding="utf-8")
    Work.at("other.toml").plan()
    other = FitBench("other.toml")
    first = FitBench("kit.toml")
    child = first.desk.errands.worker._process
    again = FitBench(folder / "kit.toml")
    assert child is not None
    assert child.returncode is not None
    assert first.board.comm is None
    for bench in (again, other):
        assert bench.board.comm is not None
        assert bench.desk.errands.worker._process is not None
        bench.close()
