"""A button that takes a file from the builder's disk."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets

_HERE = Path(__file__).parent


class Bring(anywidget.AnyWidget):
    """Says in ``file`` what was chosen: {n, name, text}; ``words`` stand on the button."""

    _esm = _HERE / "bring.js"
    words = traitlets.Unicode().tag(sync=True)
    accept = traitlets.Unicode().tag(sync=True)
    file = traitlets.Dict().tag(sync=True)
