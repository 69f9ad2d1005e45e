"""The board in the page without code: worked as in the lab, and nothing asked of other machines."""

from __future__ import annotations

import json
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urljoin

import pytest

from bench_sheet import SHEET
from lab_server import ROOT, browsing, served

pytestmark = pytest.mark.browser

LONG_MS = 40_000


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A folder of the builder's own with the fit notebook and a sheet in it."""
    made = tmp_path_factory.mktemp("app-board") / "notebooks"
    made.mkdir()
    text = (ROOT / "notebooks" / "fit.ipynb").read_text(encoding="utf-8")
    (made / "fit.ipynb").write_text(text.replace("tideline.toml", "bench.toml"), encoding="utf-8")
    (made / "bench.toml").write_text(SHEET, encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def tab(folder: Path) -> Iterator[Any]:
    """The page, with its first search over; it asks nothing of any other machine."""
    with served(folder, budget_s=1, app=True) as address, browsing() as browser:
        page = browser.new_context(viewport={"width": 1400, "height": 1100}).new_page()
        page.set_default_timeout(LONG_MS)
        foreign: list[str] = []
        broken: list[str] = []
        ours = (f"{address}/", f"{address.replace('http', 'ws')}/", "data:", "blob:")

        def asked(url: str) -> None:
            if not url.startswith(ours):
                foreign.append(url)

        page.on("request", lambda one: asked(one.url))
        page.on("websocket", lambda one: asked(one.url))
        page.on("pageerror", lambda error: broken.append(str(error)))
        page.goto(f"{address}/voila/render/fit.ipynb")
        page.wait_for_selector("#rendered_cells", state="visible")
        page.wait_for_selector(".fkb [data-item]")
        settled(page)
        yield page
        assert foreign == []
        assert broken == []


def settled(page: Any) -> None:
    """Wait until nothing goes on: no search, no foam to work out."""
    for _ in range(2):
        page.wait_for_timeout(200)
        page.wait_for_function("() => !document.querySelector('.fkb-busy:not(:empty)')")


def saved(folder: Path, name: str = "board.json") -> dict[str, Any]:
    """What was saved beside the sheet."""
    return json.loads((folder / "bench" / name).read_text(encoding="utf-8"))


def where(folder: Path, item: str, name: str = "board.json") -> tuple[float, float]:
    """Where a saved layout has an item."""
    called, copy = item.split("/")
    for one in saved(folder, name)["placements"]:
        if (one["item"], str(one["copy"])) == (called, copy):
            return one["x_mm"], one["y_mm"]
    raise AssertionError(item)


def drag(page: Any, item: str, by: tuple[float, float]) -> None:
    """Drag an item with the mouse, and put it down."""
    page.locator(".fkb svg").first.scroll_into_view_if_needed()
    box = page.locator(f'.fkb [data-item="{item}"]').first.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by[0] / 2, y + by[1] / 2, steps=4)
    page.mouse.move(x + by[0], y + by[1], steps=4)
    page.mouse.up()
    settled(page)


def spoken(page: Any, item: str) -> str:
    """What a screen reader says of an item."""
    return str(page.locator(f'.fkb [data-item="{item}"]').first.get_attribute("aria-label"))


def test_the_page_shows_the_board_and_no_code(tab: Any, folder: Path) -> None:
    """The board stands there with its findings, the plan is saved, no line of Python is shown."""
    assert tab.locator(".fkb [data-item]").count() == 3
    assert "every clearance is kept" in tab.locator(".fk-findings").first.text_content()
    text = tab.inner_text("body")
    assert "import" not in text
    assert "FitBench" not in text
    assert len(saved(folder, "plan.json")["placements"]) == 3


def test_a_drag_is_saved_and_undo_takes_it_back(tab: Any, folder: Path) -> None:
    """The case grows with the item dragged out of it, the drop is on disk; undo brings it back."""
    size = tab.locator('.fkb [data-size="interior-length"]').first
    before = size.text_content()
    drag(tab, "recorder/1", (520, 0))
    assert float(size.text_content().split()[0]) > float(before.split()[0]) + 20
    dropped = where(folder, "recorder/1")
    assert where(folder, "recorder/1", "plan.json") == pytest.approx(dropped)
    tab.locator(".fkb button:has-text('undo: move')").click()
    settled(tab)
    assert size.text_content() == before
    assert where(folder, "recorder/1") != dropped


def test_what_is_locked_stays_and_the_rest_is_fitted(tab: Any, folder: Path) -> None:
    """A locked item keeps its place in the search; the layout found holds and is saved."""
    drag(tab, "probe/1", (460, 0))
    apart = float(tab.locator('.fkb [data-size="interior-length"]').first.text_content().split()[0])
    tab.locator('.fkb [data-item="recorder/1"]').focus()
    tab.keyboard.press("l")
    settled(tab)
    assert ", locked" in spoken(tab, "recorder/1")
    at = where(folder, "recorder/1")
    tab.locator("button:has-text('fit the rest')").click()
    tab.wait_for_selector(".fkb-busy:has-text('fitting')")
    settled(tab)
    assert where(folder, "recorder/1") == pytest.approx(at)
    assert where(folder, "recorder/1", "plan.json") == pytest.approx(at)
    now = float(tab.locator('.fkb [data-size="interior-length"]').first.text_content().split()[0])
    assert now < apart - 20
    assert "every clearance is kept" in tab.locator(".fk-findings").first.text_content()


def test_a_search_is_given_up_and_nothing_has_moved(tab: Any, folder: Path) -> None:
    """Back to where it was ends a long search at once; every item is where it stood."""
    drag(tab, "probe/2", (460, 40))
    before = saved(folder)
    seconds = tab.locator(".fk-row:has-text('seconds') input")
    seconds.fill("300")
    seconds.press("Enter")
    tab.locator("button:has-text('fit the rest')").click()
    tab.wait_for_selector(".fkb-busy:has-text('fitting')")
    tab.wait_for_selector(".fk-reading progress")
    tab.locator("button:has-text('back to where it was')").click()
    settled(tab)
    assert tab.locator(".fk-message:has-text('given up')").count() == 1
    assert saved(folder) == before


def test_the_page_opened_again_has_what_was_on_the_board(tab: Any, folder: Path) -> None:
    """A page loaded anew has another kernel, and the same board with its lock."""
    before = saved(folder)
    tab.reload()
    tab.wait_for_selector("#rendered_cells", state="visible")
    tab.wait_for_selector(".fkb [data-item]")
    settled(tab)
    assert ", locked" in spoken(tab, "recorder/1")
    assert saved(folder)["placements"] == before["placements"]


def kernels(tab: Any) -> list[str]:
    """The kernels that run on the server."""
    with urllib.request.urlopen(urljoin(tab.url, "/api/kernels"), timeout=10) as answer:
        return [one["id"] for one in json.load(answer)]


def test_a_page_that_is_left_ends_its_kernel(tab: Any) -> None:
    """Loaded anew, a page leaves no kernel behind; a word from elsewhere ends none."""
    tab.reload()
    tab.wait_for_selector(".fkb [data-item]")
    for _ in range(60):
        if len(kernels(tab)) == 1:
            break
        tab.wait_for_timeout(100)
    (one,) = kernels(tab)
    for headers in ({}, {"Origin": "http://elsewhere.invalid"}, {"Origin": "null"}):
        request = urllib.request.Request(
            urljoin(tab.url, f"/voila/api/shutdown/{one}"), method="POST", headers=headers
        )
        with pytest.raises(urllib.error.HTTPError, match="403"):
            urllib.request.urlopen(request, timeout=10)
    assert kernels(tab) == [one]
