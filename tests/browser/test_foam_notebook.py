"""The foam notebook in JupyterLab, worked with a real browser as a builder would."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from fitkit.plan_json import read_plan
from lab_server import browsing, builders_folder, run_notebook, served

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A folder of the builder's own with the notebook in it."""
    return builders_folder(tmp_path_factory, "foam.ipynb")


@pytest.fixture(scope="module")
def page(folder: Path) -> Iterator[Any]:
    """The notebook, run from top to bottom."""
    with served(folder, budget_s=2) as address, browsing() as browser:
        tab = browser.new_context(viewport={"width": 1500, "height": 1200}).new_page()
        tab.set_default_timeout(60_000)
        tab.address = address
        run_all(tab)
        yield tab


def run_all(tab: Any) -> None:
    """Run every cell, and wait for the foam."""
    run_notebook(tab, tab.address, "foam.ipynb")
    tab.wait_for_selector(".fkl-sheet [data-notch]")


def cut(tab: Any) -> None:
    """Wait until the foam is cut."""
    tab.wait_for_timeout(200)
    tab.wait_for_function("document.querySelector('.fkl-busy').textContent === ''")
    tab.wait_for_timeout(200)
    tab.wait_for_function("document.querySelector('.fkl-busy').textContent === ''")


def test_a_notch_dragged_in_the_notebook_is_in_the_plan(page: Any, folder: Path) -> None:
    """Nothing failed; the notch that was dragged is in the saved plan, and moved in its foam."""
    assert page.locator('.jp-OutputArea-output[data-mime-type*="error"]').count() == 0
    assert page.locator('[data-mime-type="application/vnd.jupyter.stderr"]').count() == 0
    path = folder / "tideline" / "plan.json"
    before = read_plan(path)
    assert before.choices.notches == ()
    page.locator(".fkl-sheet").scroll_into_view_if_needed()
    first = page.locator("[data-notch]").first
    name = first.get_attribute("data-notch")
    hand = first.locator(".fkl-hand").bounding_box()
    x, y = hand["x"] + hand["width"] / 2, hand["y"] + hand["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 25, y + 25, steps=5)
    page.wait_for_selector(".fkl-ghost")
    page.wait_for_function("document.querySelector('.fkl-status').textContent.includes('web')")
    page.mouse.up()
    cut(page)
    after = read_plan(path)
    (choice,) = after.choices.notches
    assert "{}/{}".format(*choice.key) == name.partition("#")[0]
    assert after.foam != before.foam
    assert after.fit == before.fit


def test_after_a_lost_kernel_the_notches_are_as_they_were(page: Any, folder: Path) -> None:
    """The notebook is run again on a fresh kernel: the same notches, and the way back."""
    path = folder / "tideline" / "plan.json"
    saved = read_plan(path)
    assert saved.choices.notches
    page.click(".lm-MenuBar-item:has-text('Kernel')")
    page.click("text=Restart Kernel and Run All Cells")
    page.click(".jp-Dialog button:has-text('Restart')")
    page.wait_for_timeout(1500)
    page.wait_for_selector("text=| Idle")
    page.wait_for_selector(".fkl-sheet [data-notch]")
    assert read_plan(path) == saved
    again = page.locator("button", has_text="all notches as planned").last
    page.wait_for_function(
        "[...document.querySelectorAll('.fkl button')].some((one) => "
        "one.textContent === 'all notches as planned' && !one.disabled)"
    )
    again.click()
    cut(page)
    assert read_plan(path).choices.notches == ()


def test_keys_typed_in_the_view_stay_in_the_view(page: Any) -> None:
    """Letters, digits and Enter in a field do nothing to the notebook's cells."""
    many = page.locator(".jp-Notebook .jp-Cell").count()
    page.locator("[data-notch]").first.focus()
    page.wait_for_selector('[data-field="width"]')
    page.locator('[data-field="width"]').click()
    for key in ("b", "a", "d", "d", "x", "Escape"):
        page.keyboard.press(key)
    page.locator(".fkl-sheet [data-notch]").first.focus()
    for key in ("b", "a", "d", "d"):
        page.keyboard.press(key)
    page.wait_for_timeout(200)
    assert page.locator(".jp-Notebook .jp-Cell").count() == many
