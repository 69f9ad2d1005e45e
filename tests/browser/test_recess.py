"""The recess notebook in JupyterLab, worked with a real browser as a builder would."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from closing_kits import SHEET
from fitkit.payload.sheet import read_sheet
from lab_server import browsing, builders_folder, run_notebook, served

pytestmark = pytest.mark.browser

RECESS = 'input[type="range"][data-key="recess/screen"]'


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A builder's folder with the notebook, and two screens of the builder's own."""
    made = builders_folder(tmp_path_factory, "recess.ipynb")
    (made / "twin_screens.toml").write_text(SHEET, encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def page(folder: Path) -> Iterator[Any]:
    """The notebook, run from top to bottom."""
    with served(folder, budget_s=2) as address, browsing() as browser:
        tab = browser.new_context(viewport={"width": 1500, "height": 1300}).new_page()
        tab.set_default_timeout(60_000)
        run_notebook(tab, address, "recess.ipynb")
        tab.wait_for_selector(f"{RECESS}")
        yield tab


def figure(page: Any, name: str) -> float:
    """A figure under the list of contributions."""
    row = page.locator(".fkr-parts tfoot tr", has_text=name)
    return float(row.locator(".fkr-number").inner_text())


def slide(page: Any, selector: str, value: float) -> None:
    """Move a slider as a hand does: to a value, telling of it on the way and at the end."""
    page.locator(selector).evaluate(
        """(one, value) => {
          for (const step of [0.25, 0.5, 0.75, 1]) {
            one.value = Number(one.value) + (value - Number(one.value)) * step;
            one.dispatchEvent(new Event("input", { bubbles: true }));
          }
          one.dispatchEvent(new Event("change", { bubbles: true }));
        }""",
        value,
    )


def numbers(page: Any) -> list[str]:
    """Every text of the section."""
    found: list[str] = page.locator(".fkr-section svg text").all_text_contents()
    return found


def test_a_slider_draws_the_section_anew(page: Any) -> None:
    """Nothing failed; a recess of 20 mm stands twice in the drawing, its gap of 40 once."""
    assert page.locator('.jp-OutputArea-output[data-mime-type*="error"]').count() == 0
    assert page.locator('[data-mime-type="application/vnd.jupyter.stderr"]').count() == 0
    assert figure(page, "as planned") == pytest.approx(28.0)
    slide(page, RECESS, 20.0)
    page.wait_for_function(
        "[...document.querySelectorAll('.fkr-section text')]"
        ".filter((one) => one.textContent === '20').length === 2"
    )
    assert "40" in numbers(page)
    assert figure(page, "as planned") == pytest.approx(40.0)
    assert "recess screen = 20" in page.inner_text(".fkr-lines")


def test_it_is_drawn_live_while_the_slider_moves(page: Any) -> None:
    """Told of by 'input' alone, before the hand lets go, the drawing follows."""
    page.locator(RECESS).evaluate(
        """(one) => { one.value = 17; one.dispatchEvent(new Event("input", { bubbles: true })); }"""
    )
    page.wait_for_function(
        "[...document.querySelectorAll('.fkr-section text')]"
        ".filter((one) => one.textContent === '17').length === 2"
    )
    page.keyboard.press("Tab")


def test_the_slider_moves_by_arrow_keys(page: Any) -> None:
    """The lab's own keys stay out of it; each press is a step of half a millimetre."""
    cells = page.locator(".jp-Notebook .jp-Cell").count()
    slide(page, RECESS, 16.0)
    page.locator(RECESS).focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.wait_for_function("document.querySelector('.fkr-lines').textContent.includes('= 17')")
    page.keyboard.press("d")
    page.keyboard.press("d")
    page.wait_for_timeout(200)
    assert page.locator(".jp-Notebook .jp-Cell").count() == cells


def test_what_fails_says_so_and_the_least_recess_mends_it(page: Any) -> None:
    """At a recess of 1 mm the gap fails; the button sets it back until it is kept."""
    slide(page, RECESS, 1.0)
    page.wait_for_selector(".fkr-findings :text('short at worst')")
    assert page.locator(".fkr-findings .fk-is-fails").count() >= 1
    page.click("text=least recess that keeps all gaps")
    page.click("text=least depth for it")
    page.wait_for_function(
        "[...document.querySelectorAll('.fkr-findings .fk-tag')]"
        ".every((one) => one.textContent === 'OK')"
    )
    assert figure(page, "worst case") >= figure(page, "to be kept") - 0.011


def test_the_histogram_has_its_three_lines_and_follows(page: Any) -> None:
    """Worst case, RSS and what must be kept are marked; spread normally it is another picture."""
    picture = page.locator(".fkr-chance .fkr-drawn")
    words = " ".join(picture.locator("text").all_text_contents())
    assert re.search(r"worst case [\d.]+", words)
    assert re.search(r"RSS [\d.]+", words)
    assert re.search(r"to keep 2", words)
    before = picture.inner_html()
    page.click('button[data-spread="normal"]')
    page.wait_for_selector('button[data-spread="normal"][aria-pressed="true"]')
    assert picture.inner_html() != before


def test_a_typed_figure_and_a_bad_one(page: Any) -> None:
    """A length with its unit is taken; what is none is said, and changes nothing."""
    field = page.locator('[data-field="tolerance/saw"]')
    field.fill("0.1 cm")
    field.press("Enter")
    page.wait_for_function("document.querySelector('.fkr-lines').textContent.includes('saw = 1')")
    field.fill("rough")
    field.press("Enter")
    page.wait_for_function("document.querySelector('.fkr-fault').textContent.includes('rough')")
    assert "saw = 1" in page.inner_text(".fkr-lines")
    field.press("Escape")


def test_what_was_tried_is_in_the_sheet(page: Any, folder: Path) -> None:
    """The button writes it: recess and tolerance as they were tried, comments kept."""
    slide(page, RECESS, 21.0)
    page.wait_for_function("document.querySelector('.fkr-lines').textContent.includes('= 21')")
    page.click("text=write it into twin_screens.toml")
    page.wait_for_selector("text=into twin_screens.toml. Plan again")
    sheet = folder / "twin_screens.toml"
    payload = read_sheet(sheet)
    mount = payload.item("screen").mount
    assert mount is not None
    assert mount.recess_mm == 21.0
    assert payload.closing.tolerances.saw_mm == 1.0
    assert "# a guess to begin with" in sheet.read_text(encoding="utf-8")
