"""The child process that draws: parts come in on standard input, the file's path as argument.

A graphics driver that fails ends the process that uses it. Here that is this child, not the
builder's session. Run by :mod:`fitkit.scene.render`, not by hand.
"""

from __future__ import annotations

import pickle
import sys


def main(arguments: list[str]) -> int:
    """Draw the parts on standard input into a PNG. Returns 0."""
    target, width, height = arguments
    parts = pickle.load(sys.stdin.buffer)  # written by our own parent process
    from fitkit.scene.meshes import plotter

    plotter(parts, size=(int(width), int(height))).screenshot(target)
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
