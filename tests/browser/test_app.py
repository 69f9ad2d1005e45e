"""The notebooks as pages without code, in a real browser."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import nbformat
import pytest

from lab_server import ROOT, browsing, served

pytestmark = pytest.mark.browser

LONG_MS = 30_000
COUNTER = """\
import anywidget, traitlets
class Counter(anywidget.AnyWidget):
    _esm = '''export default { render({ model, el }) {
      const b = document.createElement("button"); b.className = "count"; el.append(b);
      const draw = () => { b.textContent = `pressed ${model.get("n")} times`; };
      b.onclick = () => { model.set("n", model.get("n") + 1); model.save_changes(); };
      model.on("change:n", draw); draw();
    } }'''
    n = traitlets.Int(0).tag(sync=True)
Counter()
"""


def notebook(*cells: Any) -> str:
    """A notebook's text."""
    made = nbformat.v4.new_notebook(cells=list(cells))
    made.metadata["kernelspec"] = {
        "name": "python3", "language": "python", "display_name": "Python 3",
    }  # fmt: skip
    return str(nbformat.writes(made))


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """Two notebooks that lead to each other, one that fails, and a file that was written."""
    made = tmp_path_factory.mktemp("app") / "notebooks"
    made.mkdir()
    v4 = nbformat.v4
    (made / "measure.ipynb").write_text(
        notebook(
            v4.new_markdown_cell("# Measure the gear\n\n[Next: fit the gear](fit.ipynb)"),
            v4.new_code_cell(COUNTER),
            v4.new_markdown_cell("[The plan's page](tideline/index.html), [gone](tideline/no.csv)"),
        )
    )
    (made / "fit.ipynb").write_text(notebook(v4.new_markdown_cell("# Fit the gear")))
    (made / "broken.ipynb").write_text(notebook(v4.new_code_cell("1 / 0")))
    (made / "job").mkdir()
    for path in (ROOT / "notebooks").glob("*.ipynb"):
        shutil.copy(path, made / "job")
    (made / "secret.txt").write_text("not for pages")
    (made / "tideline").mkdir()
    (made / "tideline" / "index.html").write_text("<h1>Tideline shore station</h1>")
    return made


@pytest.fixture(scope="module")
def world(folder: Path) -> Iterator[tuple[str, Any]]:
    """The server's address and a browser."""
    with served(folder, budget_s=1, app=True) as address, browsing() as browser:
        yield address, browser


@pytest.fixture
def tab(world: tuple[str, Any]) -> Iterator[Any]:
    """A page of a fresh profile that notes every address it asks for."""
    context = world[1].new_context(viewport={"width": 1400, "height": 900})
    page = context.new_page()
    page.set_default_timeout(LONG_MS)
    page.asked = []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("websocket", lambda socket: page.asked.append(socket.url))
    yield page
    strange = [
        url
        for url in page.asked
        if urlsplit(url).scheme not in ("data", "blob") and urlsplit(url).hostname != "127.0.0.1"
    ]
    context.close()
    assert strange == []


def ready(tab: Any) -> None:
    """Wait until the page has what its kernel made."""
    tab.wait_for_selector("#rendered_cells", state="visible")


def test_the_page_shows_prose_and_widgets_and_no_code(world, tab) -> None:
    """A button answers through the kernel; the code is nowhere; all from this computer."""
    tab.goto(f"{world[0]}/voila/render/measure.ipynb", wait_until="commit")
    tab.wait_for_selector("#loading:has-text('Getting the measure page ready')")
    ready(tab)
    tab.click("button.count")
    tab.wait_for_selector("text=pressed 1 times")
    assert "anywidget" not in tab.inner_text("body")
    assert tab.locator("#loading").count() == 0
    assert any(url.startswith("ws://127.0.0.1") for url in tab.asked)


def test_links_lead_to_the_next_page_and_keep_the_look(world, tab) -> None:
    """The link of the prose and the bar's links open the other notebooks, dark where asked."""
    tab.goto(f"{world[0]}/voila/render/measure.ipynb?theme=dark")
    ready(tab)
    assert tab.evaluate("document.body.dataset.jpThemeLight") == "false"
    assert tab.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(23, 32, 38)"
    tab.click("text=Next: fit the gear")
    tab.wait_for_selector("h1:has-text('Fit the gear')")
    assert tab.url.endswith("/voila/render/fit.ipynb?theme=dark")
    ready(tab)
    assert tab.inner_text('.fk-bar [aria-current="page"]') == "fit"
    tab.click(".fk-bar >> text=measure")
    tab.wait_for_selector("h1:has-text('Measure the gear')")


def test_the_system_decides_where_nobody_does(world) -> None:
    """Without a theme in the address the page is dark in a dark system."""
    context = world[1].new_context(color_scheme="dark")
    tab = context.new_page()
    tab.goto(f"{world[0]}/voila/render/fit.ipynb")
    assert tab.evaluate("document.body.dataset.jpThemeLight") == "false"
    context.close()


def test_written_files_open_and_missing_ones_are_explained(world, tab) -> None:
    """A link to the folder's page opens it; one that leads nowhere says so in words."""
    tab.goto(f"{world[0]}/voila/render/measure.ipynb")
    ready(tab)
    tab.click("text=The plan's page")
    tab.wait_for_selector("h1:has-text('Tideline shore station')")
    tab.goto(f"{world[0]}/voila/render/secret.txt")
    assert "not shown here" in tab.inner_text("h1")
    tab.goto(f"{world[0]}/voila/render/tideline/no.csv")
    assert "There is no such page" in tab.inner_text("h1")
    tab.click("text=All pages of this folder")
    tab.wait_for_selector("h1:has-text('Your pages')")
    names = tab.locator("main li a").all_inner_texts()
    assert {"measure", "fit", "broken"} <= set(names)


def test_a_part_that_fails_says_what_to_do_without_a_traceback(world, tab) -> None:
    """The page names the way to the reason; no line of Python is shown."""
    tab.goto(f"{world[0]}/voila/render/broken.ipynb")
    ready(tab)
    text = tab.inner_text("#rendered_cells")
    assert "Load the page again" in text
    assert "Traceback" not in text
    assert "ZeroDivisionError" not in text


@pytest.mark.parametrize("name", ["measure", "fit", "recess", "foam", "build"])
def test_every_notebook_of_ours_is_a_page(world, tab, name: str) -> None:
    """Each opens on the sample, says nothing of Python, and breaks nothing in the browser."""
    broken: list[str] = []
    tab.on("pageerror", lambda error: broken.append(str(error)))
    tab.goto(f"{world[0]}/voila/render/job/{name}.ipynb")
    ready(tab)
    tab.wait_for_selector(".fk-look:visible")
    tab.wait_for_selector("#rendered_cells >> text=/Tideline|recorder/ >> nth=0")
    text = tab.inner_text("#rendered_cells")
    assert "could not be made" not in text
    assert "Traceback" not in text
    assert broken == []
