"""The workshop page without a browser: what it says, what it writes, what it leaves behind."""

from __future__ import annotations

import html
import re
import threading
from pathlib import Path
from typing import Any

import pytest

import hand_plan
import shell_kits
from fitkit.documents import files as documents
from fitkit.notebook.view3d import BuildBench, View3D, sections
from fitkit.notebook.view3d import build as build_module
from fitkit.notebook.work import Work
from fitkit.scene import Rendering

PLAN = hand_plan.plan()


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """The page of a saved plan, whose sheet is not there."""
    monkeypatch.setattr(documents, "exploded_picture", lambda plan: Rendering(None, "a test"))
    monkeypatch.chdir(tmp_path)
    Work.at("kit.toml").keep(PLAN)
    made = BuildBench("kit.toml")
    yield made
    made.close()


def press(bench: BuildBench, name: str) -> None:
    """Press a button and wait until what it starts is done."""
    bench.controls.asked = {"name": name, "n": bench.controls.asked.get("n", 0) + 1}
    worker = bench._worker
    if worker is not None:
        worker.join(120)


def test_the_page_says_what_the_plan_comes_to(bench: BuildBench) -> None:
    """Sizes, mass, every finding, every panel and the cautions of the trade stand on it."""
    text = bench._top.value + bench._foot.value
    assert "480 × 300" in text
    assert bench.plan is not None
    for finding in bench.plan.findings:
        assert sections.TAGS[finding.verdict] in text
    assert "older than its shell" in text
    assert "Lifting:" in text
    assert "Local codes come first" in text


def test_the_lists_have_every_piece_of_the_shell() -> None:
    """Panels and profiles add up to what the shell has; boards, fasteners and costs are named."""
    plan = shell_kits.with_shell(PLAN)
    shell, stock = plan.shell, plan.stock
    assert shell is not None
    assert stock is not None
    text = sections.lists_html(plan)
    cut = text.split("Hardware</h4>")[0]
    rows = re.findall(r"<tr><td>.*?</td><td>.*?</td><td class='fk-number'>(\d+)</td>", cut)
    assert sum(map(int, rows)) == len(shell.panels) + len(shell.bars)
    for name in {panel.board for panel in shell.panels} | {one.name for one in shell.fasteners}:
        assert html.escape(name) in text
    for line in stock.buying:
        assert html.escape(line.what) in text


def test_all_files_are_written_listed_and_can_be_opened(bench: BuildBench, tmp_path: Path) -> None:
    """The button writes beside, the list names what is there, from the page to start with on."""
    assert bench.controls.files == []
    assert "Nothing is written yet" in bench.controls.said
    press(bench, "write")
    assert "files written into kit" in bench.controls.said
    paths = [path for group in bench.controls.files for path in group["paths"]]
    assert paths[0] == "kit/index.html"
    assert all((tmp_path / path).is_file() for path in paths)
    assert "kit/lists/sheets.csv" in paths
    again = BuildBench("kit.toml")
    assert again.controls.files == bench.controls.files
    again.close()


def test_files_of_an_earlier_plan_are_called_so(bench: BuildBench, tmp_path: Path) -> None:
    """A plan saved after its files were written says: write them again before you cut."""
    press(bench, "write")
    import os

    later = (tmp_path / "kit" / "index.html").stat().st_mtime + 60
    os.utime(tmp_path / "kit" / "plan.json", (later, later))
    again = BuildBench("kit.toml")
    assert "write them again before you cut" in again.controls.said
    again.close()


def test_a_folder_that_cannot_be_written_is_said_on_the_page(bench, monkeypatch) -> None:
    """No traceback: the fault stands beside the button, and the button works again."""
    monkeypatch.setattr(
        documents, "_open", lambda place: (_ for _ in ()).throw(documents.BadInput(
            [documents.Fault(str(place), "is a file", "name a folder to write into")]))
    )  # fmt: skip
    press(bench, "write")
    assert "is a file" in bench.controls.said
    assert bench.controls.busy == ""


def test_what_breaks_is_said_too(bench, monkeypatch) -> None:
    """An error that nobody foresaw is shown, never swallowed."""
    monkeypatch.setattr(documents, "write_all", lambda *_, **__: 1 / 0)
    press(bench, "write")
    assert "ZeroDivisionError" in bench.controls.said


def test_a_sheet_that_has_moved_on_is_told_and_can_be_planned_again(tmp_path, monkeypatch) -> None:
    """The page says so, offers to plan again, and shows and saves the new kit."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FITKIT_BUDGET", "0.5")
    made = BuildBench("one_probe.toml")
    assert made.controls.offer == ""
    sheet = tmp_path / "one_probe.toml"
    sheet.write_text(sheet.read_text().replace("title = ", "title = 'Later kit' # ", 1))
    made.close()
    later = BuildBench("one_probe.toml")
    assert "was changed after this plan was made" in later._top.value
    assert later.controls.offer == "plan again from one_probe.toml"
    press(later, "plan")
    assert "Planned again" in later.controls.said
    assert later.controls.offer == ""
    assert "Later kit" in later._top.value
    assert Work.at("one_probe.toml").plan().payload.title == "Later kit"
    later.close()


def test_a_sheet_that_cannot_be_read_is_explained(tmp_path, monkeypatch) -> None:
    """No traceback and no button that would do nothing: every fault with its remedy."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bad.toml").write_text("title = 3\n")
    made = BuildBench("bad.toml")
    assert "This cannot be used" in made._top.value
    assert "bad.toml" in made._top.value
    assert not made.controls.ready
    made.close()


def test_an_exported_notebook_has_the_page_without_widgets(bench: BuildBench) -> None:
    """The static form holds figures, lists and the view's frame, and asks nothing of a network."""
    data, _ = bench._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in data
    text = data["text/html"]
    assert "480 × 300" in text
    assert "<iframe" in text
    assert "http" not in text.replace("http-equiv", "")


def test_the_last_of_several_plans_is_drawn() -> None:
    """Asked for three in a row, the view ends with the last, and no thread is left."""
    from attrs import evolve

    view = View3D()
    for title in ("one", "two", "three"):
        view.show(evolve(PLAN, payload=evolve(PLAN.payload, title=title)))
    view.wait()
    assert view.widget.scene["title"] == "three"
    assert view.widget.said == ""
    view.close()
    assert not any(one.name == "fitkit-3d" for one in threading.enumerate())


def test_what_cannot_be_drawn_is_said_and_the_next_plan_is(monkeypatch) -> None:
    """An error while drawing stands in the view; the kernel lives, and so does the view."""
    from fitkit.notebook.view3d import bench as bench_module

    drawn = bench_module.scene_of
    monkeypatch.setattr(bench_module, "scene_of", lambda plan: 1 / 0)
    view = View3D(PLAN)
    view.wait()
    assert "ZeroDivisionError" in view.widget.said
    monkeypatch.setattr(bench_module, "scene_of", drawn)
    view.show(PLAN)
    view.wait()
    assert view.widget.said == ""
    assert view.widget.scene["parts"]
    view.close()


def test_pages_made_and_closed_leave_nothing(tmp_path, monkeypatch) -> None:
    """Twenty pages: no thread and no widget more than before."""
    from ipywidgets import Widget

    monkeypatch.chdir(tmp_path)
    Work.at("kit.toml").keep(PLAN)
    BuildBench("kit.toml").close()
    known = getattr(Widget, "_instances", None) or build_module.widgets.widget._instances
    threads, made = threading.active_count(), len(known)
    for _ in range(20):
        BuildBench("kit.toml").close()
    assert threading.active_count() == threads
    assert len(known) <= made
