"""The form as a widget: fields described by Python, drawn and listened to by our own script."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

_HERE = Path(__file__).parent


def _text(*paths: Path) -> str:
    """Several files as one text: no build step, no imports between them."""
    return "\n".join(path.read_text(encoding="utf-8") for path in paths)


class Form(anywidget.AnyWidget):
    """Draws ``state`` and says through ``acts`` what the builder does.

    ``state`` holds everything that is shown (see :class:`fitkit.notebook.form.SheetForm`).
    ``acts`` is the list of what Python has not answered yet, so that nothing typed is lost:
    {view, n, kind, ...}; Python says in ``state.heard`` up to which number it heard each view.
    """

    _esm = _text(_HERE / "field.js", _HERE / "form.js")
    _css = _text(_HERE.parent / "look.css", _HERE / "form.css")
    state = traitlets.Dict().tag(sync=True)
    acts: Any = traitlets.List().tag(sync=True)
