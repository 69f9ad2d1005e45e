"""The board's script and style sheet as one text each: no build step, no imports between files."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

PARTS = (
    "draw.js",
    "view.js",
    "names.js",
    "picture.js",
    "marks.js",
    "link.js",
    "gestures.js",
    "keys.js",
    "tools.js",
    "board.js",
)
"""The script's files, in the order in which they are read."""


@cache
def script(*more: str) -> str:
    """The board as one ES module, with the files ``more`` after it."""
    here = files("fitkit.notebook.board")
    return "\n".join((here / name).read_text(encoding="utf-8") for name in (*PARTS, *more))


@cache
def style() -> str:
    """The palette and the board's own style sheet."""
    here = files("fitkit.notebook")
    sheets = (here / "look.css", here / "board" / "board.css")
    return "\n".join(sheet.read_text(encoding="utf-8") for sheet in sheets)
