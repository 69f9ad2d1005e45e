"""Widgets put away with all that belongs to them."""

from __future__ import annotations

from typing import Any


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
