"""Boards drawn and closed again in one page leave nothing in the browser."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import hand_plan
from browser.board_fixture import opened, page, six
from browser.widget_page import widget_html, widget_shown
from fitkit.notebook import BuildBench, FoamBench, Measure
from fitkit.notebook.session.bring import Bring
from fitkit.notebook.session.place import Place
from fitkit.notebook.work import Work
from lab_server import browsing

pytestmark = pytest.mark.browser

COUNTING = """<script>
window.open_ears = new Map();
for (const [name, target] of [["window", window], ["document", document]]) {
  const { addEventListener: add, removeEventListener: remove } = target;
  const key = (kind, run, how) => [name, kind, how === true || !!(how && how.capture)].join(" ");
  target.addEventListener = function (kind, run, how) {
    const place = key(kind, run, how);
    if (!open_ears.has(place)) open_ears.set(place, new Set());
    open_ears.get(place).add(run);
    return add.call(target, kind, run, how);
  };
  target.removeEventListener = function (kind, run, how) {
    (open_ears.get(key(kind, run, how)) || new Set()).delete(run);
    return remove.call(target, kind, run, how);
  };
}
window.ears = () => [...open_ears].flatMap(([place, all]) => Array(all.size).fill(place));
</script>"""
"""Notes every listener that is put on the window or the document, and taken away."""
OPEN_AND_CLOSE = """async ({ times, work }) => {
  for (let n = 0; n < times; n += 1) {
    const el = document.createElement("div");
    document.body.append(el);
    const close = await another(el);
    await new Promise(requestAnimationFrame);
    const one = work && n % 5 === 0 && el.querySelector(work);
    if (one) {
      one.focus();
      for (const key of ["ArrowRight", "ArrowUp", "t"])
        one.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
      window.dispatchEvent(new Event("resize"));
    }
    if (close) close();
    el.remove();
  }
  model.log.length = 0;
  return Object.values(model.listeners).flat().length;
}"""
"""Draws views and closes them again, every fifth worked by keys and closed in the middle of it."""
MOST_BYTES = 4000
"""What one view may leave on average [bytes]. Found with one kept per board: the board 42000, its
scene 13500; with nothing kept 1500."""
ONCE_BYTES = 100_000
"""What the browser may add once, for code that it has come to know better [bytes]."""
PLACE = {
    "id": "recorder/1",
    **{
        name: {"value": 20.0, "min": 0.0, "max": 400.0, "step": 1.0, "fixed": False}
        for name in ("x", "y", "turn")
    },
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for this file; every test has a context of its own."""
    with browsing() as one:
        yield one


@pytest.fixture
def of_the_kit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], Any]]:
    """Widgets of benches on a plan laid out by hand."""
    monkeypatch.chdir(tmp_path)
    Work.at("kit.toml").keep(hand_plan.plan())
    benches: list[Any] = []

    def made(name: str) -> Any:
        if name == "place":
            return Place(place=PLACE)
        if name == "bring":
            return Bring(words="load a layout", accept=".json")
        if name == "form":
            benches.append(Measure("tideline.toml"))
            return benches[-1].panel
        if name == "foam":
            benches.append(FoamBench("kit.toml"))
            return benches[-1].view
        benches.append(BuildBench("kit.toml"))
        benches[-1].view.wait()
        return benches[-1].view.widget if name == "case" else benches[-1].controls

    yield made
    for bench in benches:
        bench.close()


def held(client: Any, tab: Any) -> dict[str, float]:
    """What the page holds once its rubbish is collected: nodes, listeners, bytes of objects."""
    for _ in range(3):
        tab.wait_for_timeout(50)
        client.send("HeapProfiler.collectGarbage")
    metrics = client.send("Performance.getMetrics")["metrics"]
    names = ("Nodes", "JSEventListeners", "JSHeapUsedSize")
    return {one["name"]: one["value"] for one in metrics if one["name"] in names}


def check(tab: Any, *, warm: int, times: int, work: str | None) -> None:
    """``times`` views drawn and closed leave no listener, no node and no objects."""
    client = tab.context.new_cdp_session(tab)
    client.send("HeapProfiler.enable")
    client.send("Performance.enable")
    listens = tab.evaluate(OPEN_AND_CLOSE, {"times": warm, "work": work})
    ears, before = tab.evaluate("ears()"), held(client, tab)
    assert tab.evaluate(OPEN_AND_CLOSE, {"times": times, "work": work}) == listens
    assert tab.evaluate("ears()") == ears
    after = held(client, tab)
    assert after["Nodes"] <= before["Nodes"]
    assert after["JSEventListeners"] <= before["JSEventListeners"]
    grown = after["JSHeapUsedSize"] - before["JSHeapUsedSize"]
    assert grown < ONCE_BYTES + MOST_BYTES * times


def test_200_boards_leave_nothing_in_the_page(browser: Any) -> None:
    """Of 200 boards no listener, no node and no memory is left, though some were moved on."""
    html = page(six()).replace("<meta charset", f"{COUNTING}<meta charset", 1)
    with opened(browser, html) as tab:
        assert any(place.startswith("window blur") for place in tab.evaluate("ears()"))
        check(tab, warm=20, times=180, work="[data-item='float/5']")
        tab.evaluate("close_board()")
        assert not any(place.startswith("window blur") for place in tab.evaluate("ears()"))


@pytest.mark.parametrize(
    ("name", "times", "work"),
    [
        ("case", 12, "canvas"),
        ("foam", 40, "svg"),
        ("form", 20, "input"),
        ("files", 40, "button"),
        ("place", 40, "input[type=number]"),
        ("bring", 40, "button"),
    ],
)
def test_every_other_view_leaves_nothing_either(
    browser: Any, of_the_kit: Callable[[str], Any], name: str, times: int, work: str
) -> None:
    """The 3D view, the foam, the form and the small ones: nothing is left of those closed."""
    with widget_shown(browser, widget_html(of_the_kit(name), head=COUNTING)) as tab:
        check(tab, warm=8, times=times, work=work)
