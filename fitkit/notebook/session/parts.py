"""The controls' plain parts: words, sliders and groups in our own look."""

from __future__ import annotations

from importlib.resources import files
from typing import Any

import ipywidgets as widgets


def style() -> str:
    """The style sheet of the controls around the board, as an HTML element."""
    here = files("fitkit.notebook")
    sheets = (here / "look.css", here / "session" / "bench.css")
    return f"<style>{''.join(sheet.read_text(encoding='utf-8') for sheet in sheets)}</style>"


def group(name: str, *children: Any) -> Any:
    """Controls that belong together, under their name."""
    box = widgets.VBox([widgets.HTML(f'<h3 class="fk-group-name">{name}</h3>'), *children])
    box.add_class("fk-group")
    return box


def label(text: str, control: Any) -> Any:
    """A control with its word before it."""
    word = widgets.HTML(f'<span class="fk-word">{text}</span>')
    row = widgets.HBox([word, control])
    row.add_class("fk-row")
    return row


def number(value: float) -> Any:
    """A box for a number of seconds."""
    return widgets.BoundedFloatText(
        value=value, min=1.0, max=3600.0, layout=widgets.Layout(width="90px")
    )


def words_button(text: str, *, strong: bool = False) -> Any:
    """A button with words on it; a strong one does the group's main work."""
    button = widgets.Button(description=text, layout=widgets.Layout(width="auto"))
    button.add_class("fk-strong" if strong else "fk-plain")
    return button


def reading() -> Any:
    """A line that says how things stand."""
    line = widgets.HTML()
    line.add_class("fk-reading")
    return line
