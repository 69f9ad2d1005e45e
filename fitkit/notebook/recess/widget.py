"""The recess view as a widget: what it draws, and what the builder does on it, as plain values."""

from __future__ import annotations

from importlib.resources import files

import traitlets

from fitkit.notebook.board.told import Told, told_script


def script() -> str:
    """The view as one ES module: no build step, no imports between its files."""
    room = files("fitkit.notebook")
    return told_script(room / "board" / "draw.js", room / "recess" / "recess.js")


def style() -> str:
    """The palette and the view's own style sheet."""
    room = files("fitkit.notebook")
    sheets = (room / "look.css", room / "recess" / "recess.css")
    return "\n".join(sheet.read_text(encoding="utf-8") for sheet in sheets)


class RecessView(Told):
    """Draws ``shown``; says by ``move`` and ``act`` what the builder does.

    - ``shown``: {n, view, title, controls, section, said, findings, gap, histogram, draws, notes,
      changes, spread, fault, saved}. ``n`` and ``view`` are those of what it answers.
    - ``move``: {n, view, id, value} while a slider is dragged, with ``drop`` true at its end.
    - ``act``: {n, view, kind, ...}: type {key, text}, planned, least (recess), shallow (least
      depth), follow (the cut goes through the gap), spread {value}, gap {name}, keep.
    """

    _esm = script()
    _css = style()
    shown = traitlets.Dict().tag(sync=True)
