"""The child process that searches on a grid: jobs come in as lines, better layouts go out.

Run as ``python -m fitkit.fit.conflict.child``. Jobs and answers are those of
:mod:`fitkit.fit.polish.child`, whose jobs this child does as well; those that say ``"on": "grid"``
ask for a search on a grid, which begins with an empty board if there are no spots. Its first line,
``{"ready": true}``, says that all is loaded. The child is killed to be stopped.
"""

from __future__ import annotations

import base64
import json
import pickle
import random
import sys
import time
from typing import TextIO

from fitkit.fit.conflict.board import Board, Play
from fitkit.fit.conflict.least_box import LeastBox
from fitkit.fit.pieces import Margins, Piece
from fitkit.fit.polish.child import Work
from fitkit.fit.polish.child import run as run_near
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, Item, Section


def run(work: Work, out: TextIO) -> None:
    """Search for the least box of one assignment for as long as asked; write what gets better."""
    until = time.monotonic() + work.seconds

    def over() -> bool:
        return time.monotonic() >= until

    search = LeastBox.of(
        work.problem,
        work.assignment,
        work.elevation,
        work.spots or None,
        random.Random(work.seed),
    )
    while not over():
        if search.round(stop=over):
            spots = [[spot.turn_deg, spot.x_mm, spot.y_mm] for spot in search.spots]
            out.write(json.dumps({"value": search.value, "spots": spots}) + "\n")
            out.flush()
    out.write('{"done": true}\n')
    out.flush()


def warm() -> None:
    """Have everything compiled that is: one move on a board of two squares."""
    square = Piece(Item("square", Body((Section(rectangle(4.0, 4.0), 0.0, 1.0),))), "top")
    board = Board.of(
        (square, square),
        {square: (0.0,)},
        frozenset({(0, 1)}),
        web_mm=0.0,
        margins=Margins(0.0, 0.0),
        step_mm=1.0,
        tolerance_mm=0.1,
    )
    play = Play(board, random.Random(0))
    play.set_box((8.0, 4.0))
    play.go_on(1)


if __name__ == "__main__":
    import fitkit.fit.polish.apart_compiled  # noqa: F401  # loaded while there is nothing to do yet

    warm()
    sys.stdout.write('{"ready": true}\n')
    sys.stdout.flush()
    for line in sys.stdin:
        asked = json.loads(line)
        one = pickle.loads(base64.b64decode(asked["work"]))
        (run if asked.get("on") == "grid" else run_near)(one, sys.stdout)
