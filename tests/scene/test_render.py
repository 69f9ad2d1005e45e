"""Pictures drawn in a child process: what comes back when it draws, crashes or hangs."""

from __future__ import annotations

import io
import sys

import pytest

import fitkit.scene.render as render
import hand_plan
from fitkit.documents.exploded_view import exploded_sheet
from fitkit.documents.pens.svg import svg
from fitkit.scene import exploded_picture, notebook_html, render_exploded

PLAN = hand_plan.plan()


@pytest.fixture(autouse=True)
def _fresh(monkeypatch):
    """Each test starts on a computer of which nothing is known."""
    monkeypatch.setattr(render, "_broken", [])


def fails_with(monkeypatch, line: str) -> None:
    """Let the child run ``line`` instead of drawing."""
    start = f"import sys, os, time; sys.stdin.buffer.read(); {line}"
    before = render.subprocess.run

    def run(command, **options):
        return before([sys.executable, "-c", start], **options)

    monkeypatch.setattr(render.subprocess, "run", run)


def test_the_same_plan_gives_the_same_picture_of_the_size_asked_for() -> None:
    """Two drawings are equal byte for byte, or both say why there is none."""
    first = exploded_picture(PLAN, size=(400, 300))
    again = exploded_picture(PLAN, size=(400, 300))
    assert first == again
    if first.data is None:
        assert first.why
        return
    from PIL import Image

    image = Image.open(io.BytesIO(first.data)).convert("RGB")
    assert image.size == (400, 300)
    colours = {colour for _, colour in image.getcolors(1 << 20)}
    assert (0xFB, 0xFA, 0xF5) in colours  # paper
    assert (0xFF, 0xFF, 0xFF) in colours  # the top of an item
    assert (0xE9, 0xE4, 0xD8) in colours  # the top of a sheet of foam


def test_a_crash_of_the_driver_is_an_answer_and_is_not_tried_again(monkeypatch, tmp_path) -> None:
    """When the child dies by a signal, nothing is written and the reason is in words."""
    fails_with(monkeypatch, "os.kill(os.getpid(), 11)")
    rendering = render_exploded(PLAN, tmp_path / "exploded.png")
    assert rendering.data is None
    assert "graphics driver failed" in rendering.why
    assert list(tmp_path.iterdir()) == []

    def never(*_, **__):
        raise AssertionError("tried again")

    monkeypatch.setattr(render.subprocess, "run", never)
    assert render_exploded(PLAN, tmp_path / "exploded.png") == rendering


def test_a_child_that_hangs_is_given_up(monkeypatch) -> None:
    """A drawing that takes too long is stopped, and the answer says so."""
    monkeypatch.setattr(render, "TIMEOUT_S", 1.0)
    fails_with(monkeypatch, "time.sleep(60)")
    assert "longer than 1 seconds" in exploded_picture(PLAN).why


def test_a_missing_library_is_named(monkeypatch) -> None:
    """The reason says which library is missing and what to install."""
    fails_with(monkeypatch, "import no_such_library_here")
    why = exploded_picture(PLAN).why
    assert "no_such_library_here" in why
    assert "install fitkit" in why


def test_the_notebooks_view_asks_no_driver(monkeypatch) -> None:
    """Where no picture can be drawn, the view is still there: no child is started for it."""

    def never(*_, **__):
        raise AssertionError("a child was started")

    monkeypatch.setattr(render.subprocess, "run", never)
    assert notebook_html(PLAN).startswith("<iframe")


@pytest.mark.skipif(sys.platform != "linux", reason="EGL and X11 are told apart on Linux only")
def test_a_computer_without_a_display_crashes_the_child_only(monkeypatch) -> None:
    """VTK forced onto an X display that is not there ends the child; this process lives on."""
    monkeypatch.delenv("DISPLAY", raising=False)
    monkeypatch.setenv("VTK_DEFAULT_OPENGL_WINDOW", "vtkXOpenGLRenderWindow")
    rendering = exploded_picture(PLAN, size=(64, 48))
    assert rendering.data is None
    assert rendering.why


def test_the_line_drawing_names_every_item_in_sight_and_says_why() -> None:
    """The drawing that stands in for the picture tells what kept it from being made."""
    text = svg(exploded_sheet(PLAN, why="the graphics driver failed"))
    assert "the graphics driver failed" in text
    for name in ("recorder", "hydrophone box", "calibrator", "pouch", "float 1"):
        assert f">{name}<" in text
