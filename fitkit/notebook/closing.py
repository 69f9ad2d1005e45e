"""Benches and widgets put away with all that belongs to them."""

from __future__ import annotations

import weakref
from pathlib import Path
from typing import Any, Protocol


class Closes(Protocol):
    """Anything that can be closed, more than once."""

    def close(self) -> None:
        """Free what it holds."""


_OPEN: weakref.WeakValueDictionary[tuple[type, Path], Closes] = weakref.WeakValueDictionary()


def take_place(bench: Closes, path: Path) -> None:
    """Close the bench of the same kind that was opened on ``path`` before.

    A cell that is run again makes a new bench; the one before is out of sight, and would go on
    holding its child process and saving what nobody sees.
    """
    key = (type(bench), path.resolve())
    earlier = _OPEN.get(key)
    if earlier is not None:
        earlier.close()
    _OPEN[key] = bench


def put_away(widget: Any) -> None:
    """Close a widget, what it holds, and their layouts and styles.

    ipywidgets keeps every widget that is not closed, and closing one leaves its children, its
    layout and its style behind. A widget that is closed already stays so.
    """
    for child in getattr(widget, "children", ()):
        put_away(child)
    parts = [getattr(widget, name, None) for name in ("layout", "style")]
    widget.close()
    for part in parts:
        if part is not None:
            part.close()
