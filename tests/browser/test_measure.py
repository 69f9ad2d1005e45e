"""The payload sheet as a form, worked in a real browser through JupyterLab."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from lab_server import ROOT, browsing, builders_folder, run_notebook, served

pytestmark = pytest.mark.browser

LONG_MS = 60_000
SAMPLE = (ROOT / "sample_payloads" / "tideline.toml").read_text("utf-8")


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A folder of the builder's own with the notebook in it."""
    return builders_folder(tmp_path_factory, "measure.ipynb")


@pytest.fixture(scope="module")
def page(folder: Path) -> Iterator[Any]:
    """The notebook, run from top to bottom."""
    with served(folder, budget_s=2) as address, browsing() as browser:
        tab = browser.new_context(viewport={"width": 1500, "height": 1000}).new_page()
        tab.set_default_timeout(LONG_MS)
        tab.asked = []
        tab.on("request", lambda request: tab.asked.append(request.url))
        tab.address = address
        tab.folder = folder
        opened(tab)
        yield tab


def opened(page: Any) -> None:
    """Open the notebook and run it."""
    run_notebook(page, page.address, "measure.ipynb")
    page.wait_for_selector(".fkf-picture svg")


def field(page: Any, key: str, part: int = 0) -> Any:
    """What is typed into."""
    return page.locator(f'[data-key="{key}"]').locator("input, select, textarea").nth(part)


def chosen(page: Any, name: str) -> None:
    """Choose an item in the list."""
    page.click(f'.fkf-row:has-text("{name}")')
    page.wait_for_selector(f'.fkf-picture-title:has-text("{name}")')


def drawn(page: Any) -> list[str]:
    """The texts of the drawing."""
    return page.locator(".fkf-picture svg text").all_text_contents()


def until(page: Any, script: str, given: Any = None) -> None:
    """Wait for something to be so on the page."""
    page.wait_for_function(script, arg=given)


HAS_FIGURE = """figure => [...document.querySelectorAll('.fkf-picture svg text')]
    .some(one => one.textContent === figure)"""


def test_it_opens_on_the_sample(page: Any) -> None:
    """No cell failed, every item of the sample stands in the list, and the first is drawn."""
    assert page.locator('.jp-OutputArea-output[data-mime-type*="error"]').count() == 0
    names = page.locator(".fkf-row .fkf-name").all_text_contents()
    assert names == [item["name"] for item in tomllib.loads(SAMPLE)["item"]]
    assert {"212", "148", "44", "58"} <= set(drawn(page))


def test_the_drawing_follows_what_is_typed(page: Any) -> None:
    """A size typed letter by letter, without leaving the field, is soon in the drawing."""
    size = field(page, "item.0.body.0.rectangle")
    size.click()
    size.press("Control+a")
    size.press_sequentially("187.5", delay=20)
    until(page, HAS_FIGURE, "187.5")
    assert "tideline.toml: unsaved edits" in page.locator(".fkf-saved").text_content()
    size.press("Control+z")
    until(page, HAS_FIGURE, "212")
    assert size.input_value() == "212"
    size.press("Control+Shift+z")
    until(page, HAS_FIGURE, "187.5")


def test_nonsense_is_explained_beside_its_field(page: Any) -> None:
    """The fault stands under what was typed, the item is marked, and both go with their cause."""
    mass = field(page, "item.0.mass")
    mass.fill("heavy")
    fault = page.locator('[data-key="item.0.mass"] .fkf-fault')
    until(page, "() => document.querySelector('[data-key=\"item.0.mass\"] .fkf-fault').textContent")
    assert '"heavy" is not a mass; write a mass such as "1.2 kg"' in fault.text_content()
    assert mass.get_attribute("aria-invalid") == "true"
    assert mass.input_value() == "heavy"
    below, above = fault.bounding_box(), mass.bounding_box()
    assert 0 <= below["y"] - (above["y"] + above["height"]) < 12
    assert "a fault" in page.locator(".fkf-row").first.text_content()
    mass.fill("1.9 kg")
    until(page, "() => !document.querySelector('.fkf-row.fkf-wrong')")


def test_typing_fast_loses_nothing(page: Any) -> None:
    """Three fields typed into at once, as fast as a browser can: all of them arrive."""
    values = {"case.clearance.item": "17", "case.clearance.wall": "23", "case.clearance.lid": "19"}
    for key, value in values.items():
        field(page, key).fill(value)
    until(
        page,
        "() => document.querySelector('.fkf-bar [title^=\"undo: to the lid\"]') !== null",
    )
    for key, value in values.items():
        assert field(page, key).input_value() == value


def test_items_are_added_copied_and_removed(page: Any) -> None:
    """A new item is chosen and drawn at once; removed, the list is as it was."""
    before = page.locator(".fkf-row").count()
    page.click('.fkf-list button:has-text("add an item")')
    page.wait_for_selector('.fkf-picture-title:has-text("new item")')
    assert page.locator(".fkf-row").count() == before + 1
    page.click('.fkf-list button:has-text("copy")')
    page.wait_for_selector('.fkf-picture-title:has-text("new item B")')
    page.click('.fkf-list button:has-text("remove")')
    until(page, f"() => document.querySelectorAll('.fkf-row').length === {before + 1}")
    page.click('.fkf-list button:has-text("remove")')
    until(page, f"() => document.querySelectorAll('.fkf-row').length === {before}")


def test_shapes_are_drawn_as_they_become(page: Any) -> None:
    """A knob made into a hexagon, a zone added and given its depth: the drawing shows both."""
    chosen(page, "hydrophone box")
    page.click('button[aria-label="add a shape: Its shape, band by band"]')
    page.wait_for_selector('[data-section="item.2.body.1"]')
    field(page, "item.2.body.1.=kind").select_option("regular")
    page.wait_for_selector('[data-key="item.2.body.1.regular.sides"]')
    page.click('button[aria-label="add a zone: Room that must stay free"]')
    field(page, "item.2.zone.0.depth").fill("61")
    until(
        page,
        """() => [...document.querySelectorAll('.fkf-picture svg text')]
            .some(one => one.textContent.includes('connector zone, back') &&
                         one.textContent.includes('61 deep'))""",
    )
    page.click('[data-section="item.2.zone.0"] button:has-text("remove")')
    page.click('[data-section="item.2.body.1"] button:has-text("remove")')
    until(page, "() => !document.querySelector('[data-section=\"item.2.body.1\"]')")


def test_an_item_is_mounted_and_its_recess_typed(page: Any) -> None:
    """The button gives it a mount and its fields; the sheet has what is typed; it goes again."""
    chosen(page, "calibrator")
    assert "[[mount]]" not in SAMPLE
    page.click('button[aria-label="mount it: Its mount"]')
    recess = field(page, "mount.0.recess")
    recess.wait_for()
    assert recess.input_value() == "free"
    recess.fill("14")
    until(page, "() => document.querySelector('.fkf-bar [title*=\"calibrator: recess\"]') !== null")
    assert page.locator('[data-section="mount.0"] .fkf-wrong').count() == 0
    field(page, "mount.0.by").select_option("sub-panel")
    page.wait_for_selector('[data-key="mount.0.sub_panel.margin"]')
    assert page.locator('[data-key="mount.0.rail.width"]').count() == 0
    assert recess.input_value() == "14"
    page.click('button:has-text("save the sheet")')
    until(page, "() => document.querySelector('.fkf-saved').textContent.includes(': saved')")
    (mount,) = tomllib.loads((page.folder / "tideline.toml").read_text("utf-8"))["mount"]
    assert (mount["item"], mount["recess"], mount["by"]) == ("calibrator", 14, "sub-panel")
    page.click('button:has-text("take the mount off")')
    page.wait_for_selector('button[aria-label="mount it: Its mount"]')


def test_inches_are_a_switch(page: Any) -> None:
    """Sizes are shown in inches, and a bare number typed is one; back again, it is millimetres."""
    chosen(page, "hydrophone box")
    page.click('.fkf-bar button:has-text("inches")')
    until(page, HAS_FIGURE, "5.039")
    assert field(page, "item.2.body.0.rectangle").input_value() == "5.039"
    size = field(page, "item.2.body.0.rectangle")
    size.fill("5 1/4")
    until(page, HAS_FIGURE, "5 1/4")
    page.click('.fkf-bar button:has-text("mm")')
    until(page, HAS_FIGURE, f"{133.35:.1f}")
    assert size.input_value() == "133.35"


def test_it_can_be_worked_by_keyboard(page: Any) -> None:
    """Tab and arrow keys: through the list, into a field, count up; a group folds by Enter."""
    page.locator(".fkf-row").first.focus()
    page.keyboard.press("ArrowDown")
    page.wait_for_selector('.fkf-picture-title:has-text("calibrator")')
    until(page, "() => document.activeElement.dataset.row === '1'")
    count = field(page, "item.1.count")
    count.focus()
    page.keyboard.press("ArrowUp")
    until(page, "() => document.querySelectorAll('.fkf-row')[1].textContent.includes('2 of them')")
    count.press("Control+z")
    head = page.locator('.fkf-head:has-text("Limits")')
    head.focus()
    page.keyboard.press("Enter")
    assert head.get_attribute("aria-expanded") == "false"
    page.keyboard.press("Enter")
    assert head.get_attribute("aria-expanded") == "true"
    described = count.get_attribute("aria-describedby").split()
    assert "Copies of it" in page.locator(f"#{described[1]}").text_content()


def test_saving_keeps_every_comment(page: Any, folder: Path) -> None:
    """What was edited is in the file, and every comment of the sample with it."""
    page.click('button:has-text("save the sheet")')
    until(page, "() => document.querySelector('.fkf-saved').textContent.includes(': saved')")
    text = (folder / "tideline.toml").read_text("utf-8")
    data = tomllib.loads(text)
    assert data["item"][0]["body"][0]["rectangle"] == [187.5, 148]
    assert data["item"][2]["body"][0]["rectangle"][0] == "5 1/4 in"
    assert data["case"]["clearance"]["lid"] == 19
    assert re.findall(r"#[^\n]*", text) == re.findall(r"#[^\n]*", SAMPLE)
    assert not (folder / ".tideline.toml.unsaved").exists()


def test_unsaved_edits_survive_a_lost_kernel_and_page(page: Any, folder: Path) -> None:
    """An edit that was not saved is there again after kernel and page are gone, and says so."""
    field(page, "foam.density").fill("41")
    until(page, "() => document.querySelector('.fkf-unsaved')")
    page.click(".lm-MenuBar-item:has-text('Kernel')")
    page.click("text=Shut Down All Kernels")
    page.click(".jp-Dialog button:has-text('Shut Down All')")
    page.wait_for_timeout(1000)
    opened(page)
    assert "unsaved edits" in page.locator(".fkf-said").text_content()
    assert field(page, "foam.density").input_value() == "41"
    assert "density" not in (folder / "tideline.toml").read_text("utf-8")
    page.click('.fkf-bar button:has-text("undo")')
    until(page, "() => !document.querySelector('.fkf-unsaved')")


def test_no_request_leaves_the_machine(page: Any) -> None:
    """Everything that the page asked for came from this computer."""
    away = [url for url in page.asked if not re.match(r"(http|ws)://127\.0\.0\.1|data:|blob:", url)]
    assert away == []
