"""Any widget of ours on a static page: its own script and style, and its values as they stand."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

HEAD = """<!doctype html><html lang="en"><head><meta charset="utf-8"><style>%s</style>%s</head>
<body%s style="margin:0;background:%s"><div id="here" class="fk-look"></div>
<script type="module">
class Still {
  constructor(values) { this.values = values; this.listeners = {}; this.log = []; }
  get(name) { return this.values[name]; }
  set(name, value) { this.values[name] = value; }
  on(event, run) { for (const one of event.split(" ")) (this.listeners[one] ||= []).push(run); }
  off(event, run) {
    if (!event) { this.listeners = {}; return; }
    for (const one of event.split(" ")) this.listeners[one] = (this.listeners[one] || []).filter((other) => other !== run);
  }
  save_changes() { this.log.push(1); }
  send() {}
}
window.model = new Still(%s);
const text = %s;
const { default: widget } = await import(URL.createObjectURL(new Blob([text], { type: "text/javascript" })));
const made = typeof widget === "function" ? await widget() : widget;
window.another = (el) => made.render({ model, el, experimental: {} });
window.close_view = await another(document.getElementById("here"));
window.ready = true;
</script></body></html>"""  # noqa: E501  # a script of its own language


def widget_html(widget: Any, *, theme: str | None = None, head: str = "") -> str:
    """The page with ``widget`` on it; ``head`` goes into its head, ``theme`` is None or dark."""
    state = {
        name: value
        for name, value in widget.get_state().items()
        if not name.startswith("_") and name not in ("layout", "tabbable", "tooltip")
    }
    dark = f' data-theme="{theme}"' if theme else ""
    paper = "#172026" if theme == "dark" else "#FBFAF5"
    text = json.dumps(str(widget._esm)).replace("</", "<\\/")
    values = json.dumps(state).replace("</", "<\\/")
    style = str(getattr(widget, "_css", ""))
    return HEAD % (style, head, dark, paper, values, text)


@contextmanager
def widget_shown(browser: Any, html: str, **context: Any) -> Iterator[Any]:
    """The page in a fresh context; an error in it, or a request to anywhere, fails the test."""
    room = browser.new_context(
        **{"viewport": {"width": 900, "height": 900}, "device_scale_factor": 1, **context}
    )
    tab = room.new_page()
    faults: list[str] = []
    tab.on("pageerror", lambda error: faults.append(str(error)))
    tab.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    tab.on(
        "request",
        lambda one: None if one.url.startswith(("blob:", "data:")) else faults.append(one.url),
    )
    tab.set_content(html)
    try:
        tab.wait_for_function("window.ready === true")
        yield tab
    finally:
        room.close()
    assert not faults, faults
