"""The board as a widget: what it draws, and what the builder does on it, as plain values."""

from __future__ import annotations

from contextlib import ExitStack
from typing import Any

import anywidget
import traitlets

from fitkit.notebook.board.module import script, style

_VIEWS = 12
"""So many views' newest numbers are remembered."""


class Board(anywidget.AnyWidget):
    """Draws ``scene`` and ``answer``; says through ``move`` and ``act`` what the builder does.

    ``scene`` and ``answer`` are set here and drawn in the browser. ``move`` and ``act`` are set
    one after another, in the order in which the builder did them, for those who observe them:

    - ``move``: {n, view, ids, id, x, y} or {n, view, id, turn}, with ``drop`` true at the end of
      a drag, ``back`` true where the builder let go (all stands where it stood; no drop follows)
      and ``exact`` true where nothing may snap (arrow keys, Alt).
    - ``act``: {n, view, kind, ...}, kind one of choose, lock, show, send, over, undo, redo,
      follow, snap.

    The answer to a move carries its ``n`` and ``view``. In between stand ``told``, what the
    browser sends until it was heard, and ``heard``, the newest number handled for each view: so
    no drop and no act is lost or overtaken, whatever becomes of a message on its way. What
    observers set while an entry is handled goes out in one message with its number.
    """

    _esm = script()
    _css = style()
    scene = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)
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
