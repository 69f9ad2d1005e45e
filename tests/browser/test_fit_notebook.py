"""The first notebook in JupyterLab, worked with a real browser as a builder would."""

from __future__ import annotations

import json
import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lab_server import FLAGS, ROOT, chromium, served

pytestmark = pytest.mark.browser

LONG_MS = 120_000


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A folder of the builder's own with the notebook in it."""
    made = tmp_path_factory.mktemp("lab") / "notebooks"
    made.mkdir()
    shutil.copy(ROOT / "notebooks" / "1-fit.ipynb", made)
    return made


@pytest.fixture(scope="module")
def page(folder: Path, tmp_path_factory) -> Iterator[Any]:
    """The notebook, run from top to bottom."""
    program = chromium()
    if program is None:
        if os.environ.get("CI"):
            pytest.fail("CI is set, and there is no Chromium to run the notebooks in")
        pytest.skip("no Chromium on this computer; the notebooks are not tried in a browser")
    from playwright.sync_api import sync_playwright

    with served(folder, budget_s=2) as address, sync_playwright() as play:
        browser = play.chromium.launch_persistent_context(
            str(tmp_path_factory.mktemp("profile")),
            executable_path=program,
            headless=True,
            args=FLAGS,
            viewport={"width": 1500, "height": 1100},
        )
        tab = browser.new_page()
        tab.set_default_timeout(LONG_MS)
        tab.goto(f"{address}/lab/tree/1-fit.ipynb?reset")
        tab.wait_for_selector(".jp-Notebook .jp-Cell")
        tab.wait_for_selector("text=| Idle")
        tab.click(".jp-Notebook .jp-Cell >> nth=2")
        tab.click(".lm-MenuBar-item:has-text('Run')")
        tab.click("text=Run All Cells")
        tab.wait_for_selector("svg.fk-board .fk-item")
        tab.wait_for_selector(".fk-layer svg")
        yield tab
        browser.close()


def number(page: Any, name: str) -> float:
    """A size that stands on the board [mm]."""
    text = page.locator(f'svg.fk-board [data-size="{name}"]').first.text_content()
    return float(text.split()[0])


def outline(page: Any, item: str) -> str:
    """The path of an item's outline."""
    return page.locator(f'[data-item="{item}"] .fk-body').get_attribute("d")


def middle(page: Any, item: str) -> tuple[float, float]:
    """Where the middle of an item is on the screen."""
    page.locator("svg.fk-board").first.scroll_into_view_if_needed()
    box = page.locator(f'[data-item="{item}"] .fk-body').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def settled(page: Any) -> None:
    """Wait until the kernel has answered everything."""
    page.wait_for_timeout(250)
    page.wait_for_selector("text=| Idle")
    page.wait_for_timeout(400)
    page.wait_for_selector("text=| Idle")


def chosen(page: Any, item: str) -> None:
    """Choose an item as the Tab key would."""
    page.locator(f'[data-item="{item}"]').focus()
    settled(page)


def test_no_cell_failed(page: Any) -> None:
    """The notebook ran through, and shows the kit with a name for every item of the sample."""
    assert page.locator('.jp-OutputArea-output[data-mime-type*="error"]').count() == 0
    assert page.locator('[data-mime-type="application/vnd.jupyter.stderr"]').count() == 0
    table = page.locator(".fk-kit").text_content()
    assert "recorder" in table
    assert "calibrator" in table


def test_dragging_moves_the_outline_at_once_and_the_interior_follows(page: Any) -> None:
    """Pulled out to the right, an item widens the interior by as much as it went past the edge."""
    item = "recorder/1"
    chosen(page, item)
    before, start = number(page, "interior-length"), outline(page, item)
    outside = number(page, "outside-length")
    x, y = middle(page, item)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 200, y, steps=4)
    assert outline(page, item) != start
    page.mouse.move(x + 420, y, steps=6)
    page.wait_for_function(
        "before => parseFloat(document.querySelector("
        "'[data-size=\"interior-length\"]').textContent) > before + 20",
        arg=before,
    )
    settled(page)
    page.wait_for_selector("svg.fk-board .fk-tag-text")
    assert page.locator('svg.fk-board [data-gap="right wall"]').text_content() == "20.0"
    grown = number(page, "interior-length")
    assert number(page, "outside-length") - outside == pytest.approx(grown - before, abs=0.11)
    page.mouse.up()
    settled(page)
    assert number(page, "interior-length") == pytest.approx(grown, abs=0.11)


def test_items_pushed_together_say_that_they_overlap(page: Any) -> None:
    """Dropped on another item, both are marked in words, and a sentence says how to move."""
    items = [one.get_attribute("data-item") for one in page.locator("svg.fk-board .fk-item").all()]
    other = next(name for name in items if name != "recorder/1")
    x, y = middle(page, "recorder/1")
    to = middle(page, other)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(*to, steps=8)
    page.mouse.up()
    settled(page)
    assert "overlaps" in page.locator('[data-item="recorder/1"]').get_attribute("aria-label")
    tags = page.locator("svg.fk-board .fk-fails .fk-tag-text").all_text_contents()
    assert any(text in ("overlaps", "in the zone") for text in tags)
    sentence = page.locator(".fk-findings").first.text_content()
    assert re.search(r"move recorder by \d+\.\d mm to the (left|right|back|front)", sentence)


def test_arrow_keys_and_numbers_move_by_millimetres(page: Any) -> None:
    """An arrow is 1 mm, with Shift 10 mm; a typed number puts the item there."""
    chosen(page, "recorder/1")
    figure = page.locator('[data-place="x-number"]')
    figure.fill("400")
    figure.press("Enter")
    settled(page)
    at = float(figure.input_value())
    item = page.locator('[data-item="recorder/1"]')
    item.focus()
    item.press("ArrowRight")
    settled(page)
    one = float(figure.input_value())
    page.locator('[data-item="recorder/1"]').press("Shift+ArrowRight")
    settled(page)
    assert one - at == pytest.approx(1.0, abs=0.11)
    assert float(figure.input_value()) - one == pytest.approx(10.0, abs=0.11)


def test_a_slider_moves_the_item_on_the_board(page: Any) -> None:
    """Moving the y slider redraws the outline and the interior's width."""
    chosen(page, "recorder/1")
    before, width = outline(page, "recorder/1"), number(page, "interior-width")
    slider = page.locator('[data-place="y-range"]')
    slider.evaluate(
        "(el) => { el.value = el.max; el.dispatchEvent(new Event('input', {bubbles: true}));"
        " el.dispatchEvent(new Event('change', {bubbles: true})); }"
    )
    page.wait_for_function(
        "before => parseFloat(document.querySelector("
        "'[data-size=\"interior-width\"]').textContent) > before + 20",
        arg=width,
    )
    settled(page)
    assert outline(page, "recorder/1") != before


def test_a_pinned_item_keeps_its_place_in_the_search(page: Any) -> None:
    """After fit again, the pinned item stands where it was put, and nothing fails."""
    chosen(page, "recorder/1")
    for name, value in (("x", "20"), ("y", "20")):
        figure = page.locator(f'[data-place="{name}-number"]')
        figure.fill(value)
        figure.press("Enter")
        settled(page)
    x = page.locator('[data-place="x-number"]').input_value()
    y = page.locator('[data-place="y-number"]').input_value()
    page.locator('[data-handle="pin"]').click()
    settled(page)
    assert "pinned" in page.locator('[data-item="recorder/1"]').get_attribute("aria-label")
    page.locator("button:has-text('fit again')").click()
    page.wait_for_selector(".fk-reading:has-text('done')")
    settled(page)
    assert page.locator('[data-place="x-number"]').input_value() == x
    assert page.locator('[data-place="y-number"]').input_value() == y
    assert page.locator(".fk-findings").first.text_content().count("every clearance is kept") == 1


def test_the_layer_slider_shows_another_layer(page: Any) -> None:
    """One step on the slider shows the next layer's name and picture."""
    before = page.locator(".fk-layer svg").first.get_attribute("aria-label")
    handle = page.locator(".fk-root .noUi-handle").first
    handle.focus()
    handle.press("ArrowLeft")
    page.wait_for_function(
        "before => document.querySelector('.fk-layer svg').getAttribute('aria-label') !== before",
        arg=before,
    )


def test_the_3d_view_is_a_frame_of_its_own_or_says_why_not(page: Any) -> None:
    """The button draws the open case into a frame with a picture in it."""
    page.locator("button:has-text('draw it as it stands')").click()
    page.wait_for_selector("iframe.fk-view, .fk-note:has-text('No 3D view')")
    frame = page.locator("iframe.fk-view")
    if frame.count() == 0:
        assert "No 3D view on this computer:" in page.locator(".fk-note").last.text_content()
        return
    assert "<canvas" in frame.get_attribute("srcdoc") or "vtk" in frame.get_attribute("srcdoc")
    frame.content_frame.locator("canvas").first.wait_for()
    settled(page)


def test_save_writes_the_plan_beside_the_notebook(page: Any, folder: Path) -> None:
    """The folder named in the box gets plan.json with the pinned item where the board has it."""
    x = float(page.locator('[data-place="x-number"]').input_value())
    page.locator("button:has-text('save the plan')").click()
    page.wait_for_selector(".fk-reading:has-text('saved')")
    saved = json.loads((folder / "build" / "plan.json").read_text(encoding="utf-8"))
    (recorder,) = [one for one in saved["placements"] if one["item"] == "recorder"]
    assert recorder["x_mm"] == pytest.approx(x, abs=0.06)
    assert (folder / "build" / "views" / "exploded.png").stat().st_size > 10_000
