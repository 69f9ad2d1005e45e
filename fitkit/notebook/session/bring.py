"""A button that takes a file from the builder's disk."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

_HERE = Path(__file__).parent


class Bring(anywidget.AnyWidget):
    """Says in ``file`` what was chosen: {n, name, text}; ``words`` stand on the button."""

    # its text, not its path: of a path the library keeps every widget ever made
    _esm = (_HERE / "bring.js").read_text(encoding="utf-8")
    words = traitlets.Unicode().tag(sync=True)
    accept = traitlets.Unicode().tag(sync=True)
    file = traitlets.Dict().tag(sync=True)
