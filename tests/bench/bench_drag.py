"""How soon a drag is answered, from the browser to Python and back, in a real JupyterLab.

Run on demand: ``python tests/bench/bench_drag.py [--plain]``. It drags one item over the board with
the mouse, one step after the other, and takes the time from the pointer's event in the page to the
arrival of Python's answer there. A step without an answer within 5 s ends the run. Prints median,
95th percentile and longest, for a bare echo, and for 40 and 120 items of 60 vertices. ``--plain``
leaves the server extension out, for comparison. Needs Chromium.
"""

from __future__ import annotations

import json
import math
import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from lab_server import FLAGS, chromium, served  # noqa: E402 - found by the line above

STEPS = 150
ECHO = '''
import anywidget, traitlets
class Echo(anywidget.AnyWidget):
    _esm = """export default { render({ model, el }) {
      el.innerHTML = '<div class="fkb"><svg width="300" height="200">' +
        '<rect data-item="float 001/1" width="200" height="150"/></svg></div>';
      window.addEventListener("pointermove", (event) => {
        model.set("told", { x: event.clientX, y: event.clientY });
        model.save_changes();
      }, true);
      model.on("change:answer", () => document.dispatchEvent(new CustomEvent("fitkit-answered")));
    } };"""
    told = traitlets.Dict().tag(sync=True, echo_update=False)
    answer = traitlets.Dict().tag(sync=True)
    @traitlets.observe("told")
    def _told(self, change):
        self.answer = {**change["new"], "pad": "x" * 2000}
Echo()
'''
CELL = """
from fitkit.notebook import FitBench
bench = FitBench("many.toml")
bench
"""


def sheet(count: int) -> str:
    """A kit of ``count`` gear-like outlines of 60 vertices each, on one tier."""
    from math import cos, pi, sin

    lines = ['title = "Tideline, many"', "[case]", "tiers = 1", "[foam]", "notch = false"]
    for number in range(count):
        points = []
        for k in range(60):
            radius = 22 + 3 * sin(3 * 2 * pi * k / 60 + number) + 2 * cos(5 * 2 * pi * k / 60)
            angle = 2 * pi * k / 60
            points.append([round(30 + radius * cos(angle), 2), round(30 + radius * sin(angle), 2)])
        lines += [
            "[[item]]",
            f'name = "float {number + 1:03d}"',
            f"body = [ {{ polygon = {json.dumps(points)}, z = [0, 30] }} ]",
            'mass = "0.2 kg"',
        ]
    return "\n".join(lines)


def measure(count: int, *, plain: bool) -> list[float]:
    """Milliseconds from each move's leaving the page to its answer's arrival.

    With ``count`` 0 a bare widget echoes the move: what the way there and back takes on its own.
    """
    from playwright.sync_api import sync_playwright

    program = chromium()
    if program is None:
        sys.exit("No Chromium on this computer: the drag cannot be measured.")
    with tempfile.TemporaryDirectory() as base:
        folder = Path(base) / "notebooks"
        folder.mkdir()
        (folder / "many.toml").write_text(sheet(count), encoding="utf-8")
        cell = {
            "cell_type": "code",
            "metadata": {},
            "source": CELL if count else ECHO,
            "outputs": [],
            "execution_count": None,
            "id": "bench",
        }
        kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
        book = {
            "cells": [cell],
            "metadata": {"kernelspec": kernel},
            "nbformat": 4,
            "nbformat_minor": 5,
        }
        (folder / "drag.ipynb").write_text(json.dumps(book), encoding="utf-8")
        with served(folder, budget_s=2, nodelay=not plain) as address, sync_playwright() as play:
            browser = play.chromium.launch_persistent_context(
                str(Path(base) / "profile"),
                executable_path=program,
                headless=True,
                args=FLAGS,
                viewport={"width": 1500, "height": 1100},
            )
            page = browser.new_page()
            page.set_default_timeout(120_000)
            page.goto(f"{address}/lab/tree/drag.ipynb?reset")
            page.wait_for_selector(".jp-Notebook .jp-Cell")
            page.wait_for_selector("text=| Idle")
            page.click(".jp-Notebook .jp-Cell >> nth=0")
            page.keyboard.press("Shift+Enter")
            page.wait_for_selector('.fkb [data-item="float 001/1"]')
            quiet = "() => !document.querySelector('.fkb-busy:not(:empty)')"
            for _ in range(3):
                page.wait_for_function(quiet)
                page.wait_for_timeout(1500)
            times = drag(page)
            browser.close()
    return times


WATCH = """
() => {
  window.fkTimes = [];
  let since = null;
  window.addEventListener("pointermove", () => { since ??= performance.now(); }, true);
  document.addEventListener("fitkit-answered", () => {
    if (since !== null) window.fkTimes.push(performance.now() - since);
    since = null;
  });
}
"""


def drag(page: Any) -> list[float]:
    """Drag the first item about with the mouse; every answer's time [ms]."""
    box = page.locator('.fkb [data-item="float 001/1"]').bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 12, y + 8)
    page.wait_for_timeout(500)
    page.evaluate(WATCH)
    for k in range(STEPS):
        page.mouse.move(x + 60 * math.sin(k / 9), y + 40 * math.sin(k / 7))
        page.wait_for_function("count => window.fkTimes.length > count", arg=k, timeout=5000)
    times = page.evaluate("window.fkTimes")
    page.mouse.up()
    return [float(one) for one in times]


def main() -> None:
    """Print the table."""
    plain = "--plain" in sys.argv
    print(f"{'items':>6} {'median':>8} {'95 %':>8} {'longest':>8}  [ms]")
    for count in (0, 40, 120):
        times = sorted(measure(count, plain=plain))
        share = times[int(0.95 * (len(times) - 1))]
        name = count or "echo"
        print(
            f"{name:>6} {statistics.median(times):8.1f} {share:8.1f} {times[-1]:8.1f}", flush=True
        )


if __name__ == "__main__":
    main()
