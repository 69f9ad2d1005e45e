"""The board: a widget on which items are dragged, drawn by our own script as SVG."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

_HERE = Path(__file__).parent


def _module(*names: str) -> str:
    """One ES module made of several files, in order: no build step, no imports between them."""
    return "\n".join((_HERE / name).read_text(encoding="utf-8") for name in names)


class Board(anywidget.AnyWidget):
    """Draws ``scene`` and ``answer``; says through ``move`` and ``act`` what the builder does.

    All four are synced values, not messages: while Python is busy only the newest counts.
    ``move``: {n, id, x, y} or {n, id, turn}, with drop true at the end of a move.
    ``act``: {n, kind: choose or pin, id, pinned}.
    """

    _esm = _module("link.js", "board_picture.js", "board.js")
    _css = _module("look.css", "board.css")
    scene = traitlets.Dict().tag(sync=True)
    answer = traitlets.Dict().tag(sync=True)
    move = traitlets.Dict().tag(sync=True)
    act = traitlets.Dict().tag(sync=True)


class Place(anywidget.AnyWidget):
    """Sliders and numbers for the chosen item's x, y and turn.

    ``place`` is {id, x, y, turn}, each of the three {value, min, max, step, fixed}; ``move`` is as
    the board's; ``heard`` is the number of the last move that was answered.
    """

    _esm = _module("link.js", "place.js")
    place = traitlets.Dict().tag(sync=True)
    move = traitlets.Dict().tag(sync=True)
    heard = traitlets.Int(0).tag(sync=True)
