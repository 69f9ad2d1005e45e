"""The workshop page in JupyterLab and as an exported page, without any graphics driver."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lab_server import ROOT, browsing, builders_folder, run_notebook, served

pytestmark = pytest.mark.browser

LONG_MS = 60_000
NO_DRIVER = {"VTK_DEFAULT_OPENGL_WINDOW": "vtkXOpenGLRenderWindow", "DISPLAY": ""}
PICTURE = """canvas => {
  const { width, height } = canvas, counts = {};
  const data = new Uint32Array(canvas.getContext("2d").getImageData(0, 0, width, height).data.buffer);
  for (const value of data) counts[value] = (counts[value] || 0) + 1;
  const hex = (v) => "#" + [v & 255, (v >> 8) & 255, (v >> 16) & 255].map((n) => n.toString(16).padStart(2, "0")).join("");
  return Object.fromEntries(Object.entries(counts).map(([v, n]) => [hex(Number(v)), n / data.length]));
}"""  # noqa: E501  # a script of its own language


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A browser that may not use WebGL."""
    with browsing("--disable-3d-apis") as made:
        yield made


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A builder's folder with the notebook in it."""
    return builders_folder(tmp_path_factory, "build.ipynb")


@pytest.fixture(scope="module")
def tab(browser, folder: Path) -> Iterator[Any]:
    """The notebook in JupyterLab, run from top to bottom, where OpenGL is broken."""
    with pytest.MonkeyPatch.context() as patch:
        for name, value in NO_DRIVER.items():
            patch.setenv(name, value)
        with served(folder, budget_s=1) as address:
            page = browser.new_page(viewport={"width": 1500, "height": 1300})
            page.set_default_timeout(LONG_MS)
            run_notebook(page, address, "build.ipynb")
            drawn(page)
            yield page
            page.close()


def drawn(page: Any) -> dict[str, float]:
    """The shares of the colours in the finished picture."""
    page.wait_for_timeout(100)
    page.wait_for_selector('canvas[data-drawn="fine"]')
    shares: dict[str, float] = page.locator("canvas").first.evaluate(PICTURE)
    return shares


def choose(page: Any, *words: str) -> dict[str, float]:
    """Press word buttons of the view; the picture when it stands still."""
    for word in words:
        page.click(f'.fk-case-view button:text-is("{word}")')
    page.wait_for_timeout(900)
    return drawn(page)


def said(page: Any) -> str:
    """What the view tells a screen reader."""
    return str(page.locator(".fk-view-said").text_content())


def test_the_case_is_drawn_without_a_driver(tab) -> None:
    """No WebGL and a broken OpenGL: the open case is there, foam and gear in their colours."""
    assert not tab.evaluate("!!document.createElement('canvas').getContext('webgl')")
    shares = choose(tab, "open")
    assert shares["#fbfaf5"] > 0.2
    assert shares["#e9e4d8"] > 0.05
    assert shares["#ffffff"] > 0.005
    names = tab.locator(".fk-view-names .fk-name").all_inner_texts()
    assert "recorder" in names or "reel" in names


def test_every_state_is_another_picture_and_is_told(tab) -> None:
    """Closed hides the foam, open shows it, taken apart names the sheets."""
    closed = choose(tab, "closed")
    assert closed.get("#e9e4d8", 0) == 0
    assert "closed" in said(tab)
    assert tab.locator(".fk-view-names .fk-name").count() == 0
    apart = choose(tab, "taken apart")
    assert apart["#e9e4d8"] > 0.01
    assert "taken apart" in said(tab)
    assert tab.locator(".fk-sheet-name").count() >= 3
    assert re.match(r"(deep|shallow)-\d\d · \d+ mm", tab.inner_text(".fk-sheet-name >> nth=0"))


def test_a_cut_is_moved_by_keys_and_names_what_it_goes_through(tab) -> None:
    """Dots on the foam, gear named; at the wall there is none; the other side can be kept."""
    cut = choose(tab, "closed", "width")
    assert cut["#b9b09c"] > 0.0005  # dots
    assert "through" in said(tab)
    slider = tab.locator(".fk-view-cut input")
    slider.focus()
    tab.keyboard.press("Home")
    assert "at 0 mm" in said(tab)
    assert "no gear there" in said(tab)
    tab.keyboard.press("ArrowRight")
    assert "at 1 mm" in said(tab)
    one = choose(tab, "height")
    other = choose(tab, "other side")
    assert one != other
    choose(tab, "other side", "not cut")


def test_what_is_shown_is_chosen_by_words(tab) -> None:
    """Without walls and foam the closed case shows its gear alone; all of it can come back."""
    bare = choose(tab, "closed", "walls", "foam")
    assert bare["#ffffff"] > 0.01
    assert bare.get("#e9e4d8", 0) == 0
    assert tab.locator(".fk-view-names .fk-name").count() >= 3
    nothing = choose(tab, "gear")
    assert set(nothing) == {"#fbfaf5"}
    choose(tab, "walls", "foam", "gear")


def test_it_turns_by_keys_and_by_the_pointer(tab) -> None:
    """Arrow keys and a drag each give another picture; the lab's own keys stay out of it."""
    choose(tab, "open", "front left")
    cells = tab.locator(".jp-Notebook .jp-Cell").count()
    canvas = tab.locator("canvas").first
    before = drawn(tab)
    canvas.focus()
    tab.keyboard.press("ArrowLeft")
    tab.keyboard.press("d")
    tab.keyboard.press("d")
    tab.wait_for_timeout(500)
    turned = drawn(tab)
    assert turned != before
    assert tab.locator(".jp-Notebook .jp-Cell").count() == cells
    canvas.scroll_into_view_if_needed()
    box = canvas.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    tab.mouse.move(x, y)
    tab.mouse.down()
    tab.mouse.move(x + 90, y + 30, steps=4)
    tab.mouse.up()
    tab.wait_for_timeout(500)
    assert drawn(tab) != turned


def test_all_files_are_written_and_opened_from_the_page(tab, folder: Path) -> None:
    """The kernel lives: the button writes, and the first link opens the folder's page."""
    tab.click("text=write all files")
    tab.wait_for_selector("text=files written into tideline")
    assert (folder / "tideline" / "foam" / "templates.pdf").is_file()
    with tab.expect_popup() as popup:
        tab.locator(".fk-files a").first.click()
    popup.value.wait_for_selector("h1, h2")
    assert "Tideline shore station" in popup.value.content()
    popup.value.close()


def test_the_exported_page_works_offline(browser, folder: Path, tab) -> None:
    """Exported as HTML and opened from disk without a network, the view is there and turns."""
    target = folder / "build.html"
    subprocess.run(
        [
            sys.executable, "-m", "nbconvert", "--to", "html", "--execute", "--log-level=ERROR",
            "--ExecutePreprocessor.store_widget_state=False", "build.ipynb",
        ],
        cwd=folder,
        check=True,
        timeout=120,
        env={**os.environ, **NO_DRIVER, "FITKIT_BUDGET": "1", "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    context = browser.new_context(offline=True)
    page = context.new_page()
    page.set_default_timeout(LONG_MS)
    page.goto(target.as_uri(), wait_until="commit")
    frame = page.frame_locator("iframe.fk-view")
    frame.locator('canvas[data-drawn="fine"]').wait_for()
    before = frame.locator("canvas").evaluate(PICTURE)
    assert before["#e9e4d8"] > 0.03
    frame.locator('button:text-is("closed")').click()
    page.wait_for_timeout(1200)
    assert frame.locator("canvas").evaluate(PICTURE).get("#e9e4d8", 0) == 0
    assert page.locator(".fk-build h2").first.inner_text() == "Tideline shore station"
    assert page.locator('a[href="tideline/index.html"]').count() == 1
    context.close()
