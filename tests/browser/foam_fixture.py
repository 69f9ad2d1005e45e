"""The foam view on a static page, answered by a real bench in the test's own process."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from fitkit.notebook.foam_view import FoamBench, FoamView
from fitkit.notebook.foam_view.widget import script, style

NAMES = ("layers", "scene", "answer", "heard")
MODEL = """
class Model {
  constructor(values) { this.values = values; this.calls = {}; }
  get(name) { return this.values[name]; }
  set(name, value) { this.values[name] = value; }
  on(name, run) { (this.calls[name] ||= []).push(run); }
  off(name, run) { this.calls[name] = (this.calls[name] || []).filter((one) => one !== run); }
  async save_changes() { this.take(await window.tell_python(this.values.told)); }
  take(news) {
    for (const [name, value] of Object.entries(news)) this.values[name] = value;
    for (const name of ["heard", "layers", "scene", "answer"])
      if (name in news) for (const run of this.calls[`change:${name}`] || []) run();
  }
}
window.start = (values) => {
  window.model = new Model(values);
  window.close_view = view.render({ model, el: document.getElementById("here") });
  setInterval(async () => model.take(await window.hear_python()), 40);
};
"""


class Bridge:
    """Carries what the page tells to the bench, and back what the bench's widget has new."""

    def __init__(self, bench: FoamBench) -> None:
        """Nothing was sent yet."""
        self.view: FoamView = bench.view
        self.sent: dict[str, Any] = {}

    def news(self) -> dict[str, Any]:
        """The values that the page has not seen yet."""
        new = {}
        for name in NAMES:
            value = getattr(self.view, name)
            if self.sent.get(name) is not value:
                self.sent[name] = new[name] = value
        return new

    def told(self, value: dict[str, Any]) -> dict[str, Any]:
        """What the builder did; gives what is new after it."""
        self.view.told = value
        return self.news()


@contextmanager
def shown(browser: Any, bench: FoamBench, **context: Any) -> Iterator[Any]:
    """A page of its own with the bench's view on it."""
    bridge = Bridge(bench)
    place = browser.new_context(
        **{"viewport": {"width": 1180, "height": 1000}, "device_scale_factor": 1, **context}
    )
    tab = place.new_page()
    tab.set_default_timeout(15_000)
    errors: list[str] = []
    tab.on("pageerror", lambda error: errors.append(str(error)))
    tab.expose_function("tell_python", bridge.told)
    tab.expose_function("hear_python", bridge.news)
    module = script().replace("export default {", "const view = {")
    tab.set_content(
        f"<!doctype html><meta charset=utf-8><style>{style()}body{{margin:0}}</style>"
        f"<body class=fk-page><div id=here></div><script type=module>{module}\n{MODEL}</script>"
    )
    tab.wait_for_function("() => Boolean(window.start)")
    tab.evaluate("values => window.start(values)", {"told": {}, **bridge.news()})
    tab.wait_for_selector(".fkl-sheet path")
    yield tab
    place.close()
    assert errors == []
