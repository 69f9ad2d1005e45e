"""Names in a column on the terminal, and what is said of each beside it."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console


def row(out: Console, name: str, text: str, *, column: int, style: str | None = None) -> None:
    """Print a name in a column that is ``column`` wide and its text beside it, both wrapped."""
    lines = textwrap.wrap(text, max(out.width - column - 2, 24), break_on_hyphens=False) or [""]
    label = textwrap.wrap(name, column - 1) or [""]
    for k in range(max(len(lines), len(label))):
        left = label[k] if k < len(label) else ""
        right = lines[k] if k < len(lines) else ""
        out.print(f"  {left:<{column}}{right}".rstrip(), style=style)
