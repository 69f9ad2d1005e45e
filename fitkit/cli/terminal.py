"""Where the command line prints: plain when piped, in colour on a terminal."""

from __future__ import annotations

import sys
from typing import IO, TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

STYLES = {
    "quiet": "dim",
    "head": "bold",
    "ok": "blue",
    "tight": "yellow",
    "fails": "bold red",
    "unknown": "dim",
}
WIDTH_PIPED = 110
"""Columns where there is no terminal to ask."""


def output() -> Console:
    """The console on standard output."""
    return _console(sys.stdout)


def messages() -> Console:
    """The console on standard error, for progress and for what went wrong."""
    return _console(sys.stderr)


def _console(stream: IO[str]) -> Console:
    from rich.console import Console
    from rich.theme import Theme

    return Console(
        file=stream,
        theme=Theme(STYLES),
        highlight=False,
        markup=False,
        emoji=False,
        width=None if stream.isatty() else WIDTH_PIPED,
    )
