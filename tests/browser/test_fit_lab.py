"""The fit notebook in JupyterLab, worked with a real browser as a builder would."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bench_sheet import BATTERIES, SHEET
from lab_server import ROOT, browsing, run_notebook, served

pytestmark = pytest.mark.browser

LONG_MS = 40_000
BOARD = ".fkb"


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A folder of the builder's own with the notebook and a sheet in it."""
    made = tmp_path_factory.mktemp("lab") / "notebooks"
    made.mkdir()
    text = (ROOT / "notebooks" / "fit.ipynb").read_text(encoding="utf-8")
    (made / "fit.ipynb").write_text(text.replace("tideline.toml", "bench.toml"), encoding="utf-8")
    (made / "bench.toml").write_text(SHEET + BATTERIES, encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def tab(folder: Path) -> Iterator[Any]:
    """The notebook, run from top to bottom; nothing is asked of any other machine."""
    with served(folder, budget_s=1) as address, browsing() as browser:
        page = browser.new_context(
            viewport={"width": 1500, "height": 1200}, has_touch=True
        ).new_page()
        page.set_default_timeout(LONG_MS)
        foreign: list[str] = []
        ours = (address, address.replace("http", "ws"), "data:", "blob:")
        page.on(
            "request",
            lambda one: None if one.url.startswith(ours) else foreign.append(one.url),
        )
        page.address = address
        run_all(page)
        yield page
        assert foreign == []


def run_all(page: Any) -> None:
    """Run every cell and wait until the first search is over."""
    run_notebook(page, page.address, "fit.ipynb")
    page.wait_for_selector(f"{BOARD} [data-item]")
    settled(page)


def settled(page: Any) -> None:
    """Wait until nothing goes on: no search, no foam to work out."""
    page.wait_for_timeout(150)
    page.wait_for_function("() => !document.querySelector('.fkb-busy:not(:empty)')")
    page.wait_for_timeout(250)
    page.wait_for_function("() => !document.querySelector('.fkb-busy:not(:empty)')")


def number(page: Any, name: str) -> float:
    """A size that stands on the board [mm]."""
    return float(page.locator(f'{BOARD} [data-size="{name}"]').first.text_content().split()[0])


def middle(page: Any, item: str) -> tuple[float, float]:
    """Where the middle of an item is on the screen."""
    page.locator(f"{BOARD} svg").first.scroll_into_view_if_needed()
    box = page.locator(f'{BOARD} [data-item="{item}"]').first.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def spoken(page: Any, item: str) -> str:
    """What a screen reader says of an item."""
    return page.locator(f'{BOARD} [data-item="{item}"]').first.get_attribute("aria-label")


def drag(page: Any, item: str, by: tuple[float, float]) -> None:
    """Drag an item with the mouse, and put it down."""
    x, y = middle(page, item)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by[0] / 2, y + by[1] / 2, steps=4)
    page.mouse.move(x + by[0], y + by[1], steps=4)
    page.mouse.up()
    settled(page)


def place(page: Any, name: str) -> float:
    """The x, y or turn of the chosen item, as the numbers beside the board say."""
    return float(page.locator(f'[data-place="{name}-number"]').input_value())


def put(page: Any, item: str, **at: float) -> None:
    """Type where an item is to stand."""
    page.locator(f'{BOARD} [data-item="{item}"]').focus()
    settled(page)
    for name, value in at.items():
        figure = page.locator(f'[data-place="{name}-number"]')
        figure.fill(str(value))
        figure.press("Enter")
        settled(page)


def saved(folder: Path, name: str = "board.json") -> dict[str, Any]:
    """What was saved beside the sheet."""
    return json.loads((folder / "bench" / name).read_text(encoding="utf-8"))


def where(data: dict[str, Any], item: str) -> tuple[float, float]:
    """Where a saved layout has an item."""
    name, copy = item.split("/")
    (one,) = [p for p in data["placements"] if p["item"] == name and str(p["copy"]) == copy]
    return one["x_mm"], one["y_mm"]


def test_it_opens_on_a_layout_that_holds(tab: Any, folder: Path) -> None:
    """No cell failed, the first search is over, and the plan is saved beside the sheet."""
    assert tab.locator('.jp-OutputArea-output[data-mime-type*="error"]').count() == 0
    assert tab.locator('[data-mime-type="application/vnd.jupyter.stderr"]').count() == 0
    assert "every clearance is kept" in tab.locator(".fk-findings").first.text_content()
    assert len(saved(folder, "plan.json")["placements"]) == 5


def test_a_drag_widens_the_case_and_undo_takes_it_back(tab: Any, folder: Path) -> None:
    """Interior and outside grow by the same; the drop is on disk; one undo brings all back."""
    before = {name: number(tab, name) for name in ("interior-length", "outside-length")}
    drag(tab, "recorder/1", (640, 0))
    grown = number(tab, "interior-length")
    assert grown > before["interior-length"] + 20
    assert number(tab, "outside-length") - before["outside-length"] == pytest.approx(
        grown - before["interior-length"], abs=0.11
    )
    dropped = where(saved(folder), "recorder/1")
    assert where(saved(folder, "plan.json"), "recorder/1") == pytest.approx(dropped)
    tab.keyboard.press("Control+z")
    settled(tab)
    assert number(tab, "interior-length") == pytest.approx(before["interior-length"], abs=0.11)
    assert where(saved(folder), "recorder/1") != dropped
    tab.keyboard.press("Control+Shift+Z")
    settled(tab)
    assert where(saved(folder), "recorder/1") == pytest.approx(dropped)


def test_what_overlaps_says_so_in_words(tab: Any) -> None:
    """Dropped on another item, both are marked, and a sentence says how to move."""
    put(tab, "recorder/1", x=20, y=20)
    x, y = place(tab, "x"), place(tab, "y")
    put(tab, "battery/1", x=x + 5, y=y + 5)
    assert "overlaps" in spoken(tab, "recorder/1")
    assert "overlaps" in spoken(tab, "battery/1")
    sentence = tab.locator(".fk-findings").first.text_content()
    assert re.search(r"move \S+( \d)? by \d+\.\d mm to the (left|right|back|front)", sentence)
    tab.locator(f'{BOARD} [data-item="battery/1"]').focus()
    tab.keyboard.press("Control+z")
    settled(tab)


def test_keys_move_by_millimetres_and_turn(tab: Any) -> None:
    """An arrow is 1 mm, with Shift 10 mm; t turns by the item's step."""
    put(tab, "probe/1", x=300, y=40)
    at = place(tab, "x")
    tab.locator(f'{BOARD} [data-item="probe/1"]').focus()
    tab.keyboard.press("ArrowRight")
    settled(tab)
    tab.wait_for_timeout(700)
    assert place(tab, "x") - at == pytest.approx(1.0, abs=0.11)
    tab.keyboard.press("Shift+ArrowRight")
    settled(tab)
    tab.wait_for_timeout(700)
    assert place(tab, "x") - at == pytest.approx(11.0, abs=0.11)
    turn = place(tab, "turn")
    tab.keyboard.press("t")
    settled(tab)
    assert (place(tab, "turn") - turn) % 360 == pytest.approx(15.0)


def test_in_inches_the_same_place_is_shown_and_typed(tab: Any, folder: Path) -> None:
    """The switch changes figures only; 4 typed in inches is 101.6 mm."""
    put(tab, "battery/1", x=310, y=60)
    before = where(saved(folder), "battery/1")
    tab.locator("button:text-is('inches')").click()
    settled(tab)
    assert place(tab, "x") == pytest.approx(before[0] / 25.4, abs=0.0006)
    length = tab.locator(f'{BOARD} [data-size="interior-length"]').first.text_content()
    assert not length.startswith(str(round(saved(folder)["interior_mm"][0])))
    figure = tab.locator('[data-place="y-number"]')
    figure.fill("4")
    figure.press("Enter")
    settled(tab)
    tab.locator("button:text-is('mm')").first.click()
    settled(tab)
    now = where(saved(folder), "battery/1")
    assert now[1] - before[1] == pytest.approx(101.6 - before[1], abs=0.02)


def test_a_finger_drags_an_item(tab: Any, folder: Path) -> None:
    """One finger on an item moves it, as the mouse does."""
    put(tab, "battery/2", x=320, y=120)
    before = where(saved(folder), "battery/2")
    x, y = middle(tab, "battery/2")
    cdp = tab.context.new_cdp_session(tab)
    cdp.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for k in range(1, 7):
        point = {"x": x + 20 * k, "y": y + 5 * k}
        cdp.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [point]})
    cdp.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    settled(tab)
    after = where(saved(folder), "battery/2")
    assert after[0] > before[0] + 20 or after[1] < before[1] - 3


def test_a_locked_item_keeps_its_place_in_the_search(tab: Any, folder: Path) -> None:
    """Fit the rest leaves it where it was put, and everything holds after it."""
    put(tab, "recorder/1", x=20, y=20)
    at = where(saved(folder), "recorder/1")
    tab.locator(f'{BOARD} [data-item="recorder/1"]').focus()
    tab.keyboard.press("l")
    settled(tab)
    assert "locked" in spoken(tab, "recorder/1").lower()
    tab.locator("button:has-text('fit the rest')").click()
    tab.wait_for_selector(".fkb-busy:has-text('fitting')")
    settled(tab)
    assert where(saved(folder), "recorder/1") == pytest.approx(at)
    assert saved(folder)["locked"] == ["recorder/1"]
    assert "every clearance is kept" in tab.locator(".fk-findings").first.text_content()


def test_a_search_can_be_given_up_or_stopped(tab: Any, folder: Path) -> None:
    """Back to where it was changes nothing; stop keeps the best and ends a long search."""
    put(tab, "probe/2", x=400, y=200)
    before = saved(folder)["placements"]
    seconds = tab.locator(".fk-row:has-text('seconds') input")
    seconds.fill("300")
    seconds.press("Enter")
    for button, same in (("back to where it was", True), ("stop, keep the best", False)):
        tab.locator("button:has-text('fit the rest')").click()
        tab.wait_for_selector(".fkb-busy:has-text('fitting')")
        tab.wait_for_selector(".fk-reading progress")
        tab.wait_for_timeout(1500)
        tab.locator(f"button:has-text('{button}')").click()
        settled(tab)
        assert (saved(folder)["placements"] == before) == same


def test_a_lost_kernel_loses_nothing(tab: Any, folder: Path) -> None:
    """After a restart of the kernel the board is as it was, overlaps and all; undo still works."""
    put(tab, "probe/1", x=30, y=30)
    put(tab, "battery/1", x=30, y=30)
    assert "overlaps" in spoken(tab, "battery/1")
    lost = saved(folder)
    assert where(saved(folder, "plan.json"), "battery/1") != where(lost, "battery/1")
    tab.click(".lm-MenuBar-item:has-text('Kernel')")
    tab.click("text=Restart Kernel and Run All Cells…")
    tab.click("button.jp-mod-accept, button:has-text('Restart')")
    tab.wait_for_selector(".fk-message:has-text('on the board at')")
    settled(tab)
    assert saved(folder)["placements"] == lost["placements"]
    assert "overlaps" in spoken(tab, "battery/1")
    assert "locked" in spoken(tab, "recorder/1").lower()


def test_files_are_written_and_the_board_comes_along(tab: Any, folder: Path) -> None:
    """All files of the plan, and the board as a page of its own."""
    tab.locator(f'{BOARD} [data-item="battery/1"]').focus()
    tab.keyboard.press("Control+z")
    settled(tab)
    if "overlaps" in spoken(tab, "battery/1"):
        put(tab, "battery/1", x=500, y=300)
    tab.locator("button:has-text('write all files')").click()
    tab.wait_for_selector(".fk-reading:has-text('files written')")
    assert (folder / "bench" / "index.html").is_file()
    tab.locator("button:has-text('save the board as a page')").click()
    tab.wait_for_selector(".fk-reading:has-text('board.html')")
    assert "fitkit-layout" in (folder / "bench" / "board.html").read_text(encoding="utf-8")


def test_a_carried_layout_is_loaded_back(tab: Any, folder: Path, tmp_path: Path) -> None:
    """A layout saved on the page is taken onto the board; one of another sheet is refused."""
    layout = saved(folder)
    (one,) = [p for p in layout["placements"] if (p["item"], p["copy"]) == ("probe", 2)]
    one["x_mm"] += 77.0
    layout.pop("interior_mm"), layout.pop("halves")
    mine = tmp_path / "mine.json"
    mine.write_text(json.dumps(layout), encoding="utf-8")

    def load(path: Path) -> None:
        with tab.expect_file_chooser() as chooser:
            tab.locator(".fk-bring button").click()
        chooser.value.set_files(str(path))

    before = where(saved(folder), "probe/2")
    load(mine)
    settled(tab)
    assert where(saved(folder), "probe/2") != before
    other = tmp_path / "other.json"
    other.write_text(json.dumps(layout | {"plan": "0" * 16}), encoding="utf-8")
    load(other)
    tab.wait_for_selector(".fk-message:has-text('made for a sheet that says something else')")


def test_a_wish_changed_beside_the_board_changes_what_is_asked(tab: Any, folder: Path) -> None:
    """A wider wall clearance typed in the form widens the interior at once; undo takes it back."""
    before = number(tab, "interior-length")
    field = tab.locator('.fkf-field:has(label:text-is("to the walls")) input').first
    folded = tab.locator(
        "[data-section]:has(label:text-is('to the walls')) > [aria-expanded=false]"
    )
    while folded.count():
        folded.first.click()
    field.fill("45")
    field.press("Enter")
    tab.wait_for_function(
        "before => parseFloat(document.querySelector('[data-size=\"interior-length\"]')"
        ".textContent) > before + 20",
        arg=before,
    )
    settled(tab)
    assert saved(folder, "plan.json")["payload"]["case"]["clearance"]["wall_mm"] == 45
