"""The board as a widget: what it draws, and what the builder does on it, as plain values."""

from __future__ import annotations

import traitlets

from fitkit.notebook.board.module import script, style
from fitkit.notebook.board.told import Told


class Board(Told):
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
