"""The child process that draws: parts come in on standard input, the file's path as argument.

A graphics driver that fails ends the process that uses it. Here that is this child, not the
builder's session. Run by :mod:`fitkit.scene.render`, not by hand.
"""

from __future__ import annotations

import pickle
import sys
from pathlib import Path


def main(arguments: list[str]) -> int:
    """Draw the parts on standard input as ``png`` or ``html`` into a file. Returns 0."""
    kind, target, width, height = arguments
    parts = pickle.load(sys.stdin.buffer)  # written by our own parent process
    from fitkit.scene.meshes import plotter

    view = plotter(parts, size=(int(width), int(height)), names=kind == "png")
    if kind == "png":
        view.screenshot(target)
    else:
        html = view.trame.export_html(None)
        Path(target).write_text(html.getvalue(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
