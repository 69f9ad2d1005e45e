"""What a builder does in the browser, told so that nothing is lost or overtaken."""

from __future__ import annotations

from contextlib import ExitStack
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

import anywidget
import traitlets

_VIEWS = 12
"""So many views' newest numbers are remembered."""


def told_script(*parts: Traversable) -> str:
    """The link of ``link.js`` and the files ``parts`` after it, as one ES module."""
    link = files("fitkit.notebook.board") / "link.js"
    return "\n".join(part.read_text(encoding="utf-8") for part in (link, *parts))


class Told(anywidget.AnyWidget):
    """A widget whose script tells through ``link.js`` what the builder does.

    ``move`` and ``act`` are set one after another, in the order in which the builder did them, for
    those who observe them. In between stand ``told``, what the browser sends until it was heard,
    and ``heard``, the newest number handled for each view: so no drop and no act is lost or
    overtaken, whatever becomes of a message on its way. What observers set while an entry is
    handled goes out in one message with its number.
    """

    told = traitlets.Dict().tag(sync=True, echo_update=False)
    heard = traitlets.Dict().tag(sync=True)
    move = traitlets.Dict()
    act = traitlets.Dict()

    @traitlets.observe("told")
    def _told(self, change: Any) -> None:
        view = change["new"].get("view", "")
        new = [one for one in change["new"].get("list", []) if one["n"] > self.heard.get(view, 0)]
        with self.hold_sync(), ExitStack() as stack:
            for entry in reversed(new):  # where an observer fails the others are still handled
                stack.callback(self._handle, view, entry)

    def _handle(self, view: str, entry: dict[str, Any]) -> None:
        """Pass one entry on; it counts as heard even where an observer fails."""
        others = {name: n for name, n in self.heard.items() if name != view}
        newest = dict(list(others.items())[1 - _VIEWS :])
        self.heard = {**newest, view: entry["n"]}
        plain = {name: value for name, value in entry.items() if name != "act"}
        if entry.get("act"):
            self.act = plain
        else:
            self.move = plain
