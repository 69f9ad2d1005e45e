"""The foam view as a widget: what it draws, and what the builder does on it, as plain values."""

from __future__ import annotations

from importlib.resources import files
from typing import Any

import traitlets

from fitkit.notebook.board.told import Told, told_script

PARTS = ("sheet.js", "stack.js", "notches.js", "tools.js", "foam_view.js")
"""The script's own files, in the order in which they are read."""


def script() -> str:
    """The view as one ES module: no build step, no imports between its files."""
    room = files("fitkit.notebook")
    own = room / "foam_view"
    shared = (room / "board" / name for name in ("draw.js", "names.js"))
    return told_script(*shared, *(own / name for name in PARTS))


def style() -> str:
    """The palette and the view's own style sheet."""
    room = files("fitkit.notebook")
    sheets = (room / "look.css", room / "foam_view" / "foam_view.css")
    return "\n".join(sheet.read_text(encoding="utf-8") for sheet in sheets)


class FoamView(Told):
    """Draws ``layers``, ``scene`` and ``answer``; says by ``move`` and ``act`` what is done on it.

    - ``layers``: the foam as it is cut, every layer at once; ``scene``: what changes at every
      step (notches, findings, undo, what is under way). Both are made by :mod:`.picture`.
    - ``move``: {n, view, id, x, y} while a notch is dragged, with ``drop`` true at its end; {n,
      view, id, dx, dy, drop} by the arrow keys, from where it is; {n, view, key, x, y} while a
      place for a new one is looked for; ``back`` true where the builder let go.
    - ``answer``: {n, view, id or key, at, rings, web: {a, b, text, verdict} or null, status}.
    - ``act``: {n, view, kind, ...}: choose {id}, add {key, x, y or neither}, remove {id}, size
      {id, width, depth}, planned {key or null}, undo, redo, write.
    """

    _esm = script()
    _css = style()
    layers = traitlets.Dict().tag(sync=True)
    scene = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)

    def retell(self, **values: Any) -> None:
        """Set several of the values above in one message."""
        with self.hold_sync():
            for name, value in values.items():
                setattr(self, name, value)
