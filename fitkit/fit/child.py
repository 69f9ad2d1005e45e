"""Nesting jobs in child processes: started, read line by line, killed to be stopped."""

from __future__ import annotations

import contextlib
import json
import queue
import subprocess
import sys
import threading
from collections.abc import Sequence
from typing import Any

import shapely

from fitkit.fit.pieces import Piece, Spot, engine_outline


def started(module: str) -> subprocess.Popen[str]:
    """A process of ``python -m module``, talked to by lines, that Ctrl-C does not reach."""
    return subprocess.Popen(
        [sys.executable, "-m", module],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,
    )


class Child:
    """A child process of the given module that is handed JSON jobs and answers in JSON lines.

    Use it as a context manager: leaving it kills the process. The child has a session of its own,
    so Ctrl-C reaches only the parent, which decides.
    """

    def __init__(self, module: str, job: dict[str, Any] | None = None) -> None:
        """Start ``python -m module`` and hand it ``job``, if there is one yet."""
        self._process = started(module)
        self._lines: queue.Queue[str | None] = queue.Queue()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        if job is not None:
            self.hand(job)

    def hand(self, job: dict[str, Any]) -> None:
        """Hand it a job: the first, or another one after the end of the one before."""
        assert self._process.stdin is not None
        # a child that died at once has closed its end: its lines simply stay away
        with contextlib.suppress(BrokenPipeError):
            self._process.stdin.write(json.dumps(job) + "\n")
            self._process.stdin.flush()

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            self._lines.put(line)
        self._lines.put(None)

    def answers(self, wait_s: float) -> tuple[list[dict[str, Any]], bool]:
        """The answers that came within ``wait_s`` (one is waited for), and whether it was the end.

        A child that died is at its end too: an engine that gives up is no error, just no answer.
        """
        found: list[dict[str, Any]] = []
        try:
            line = self._lines.get(timeout=wait_s)
            while True:
                if line is None:
                    return found, True
                answer = json.loads(line)
                if answer.get("done"):  # the end of a job
                    return found, True
                found.append(answer)
                line = self._lines.get_nowait()
        except queue.Empty:
            return found, False

    def kill(self) -> None:
        """Stop the child at once."""
        self._process.kill()
        self._process.wait()
        self._reader.join()  # the dead child's end of the pipe is closed: the reader comes to it
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                with contextlib.suppress(BrokenPipeError, ValueError):
                    pipe.close()

    def __enter__(self) -> Child:
        """The child itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Kill the child."""
        self.kill()


def nest_job(
    pieces: Sequence[Piece],
    *,
    across_mm: float,
    web_mm: float,
    seconds: int,
    seed: int,
    base_deg: float,
) -> dict[str, Any]:
    """The nesting engine's job for one level: a strip in which bodies reach ``across_mm`` at most.

    The engine keeps the web from the strip's sides as well, so the strip is two webs wider.
    ``base_deg`` turns the whole level: 90 nests along y.
    """
    kinds: dict[Piece, int] = {}
    for piece in pieces:
        kinds[piece] = kinds.get(piece, 0) + 1
    items = []
    for number, (piece, count) in enumerate(kinds.items()):
        outline = engine_outline(piece)
        turns = [(turn + base_deg) % 360.0 for turn in piece.turns_deg]
        items.append(
            {
                "id": str(number),
                "points": shapely.get_coordinates(outline)[:-1].tolist(),
                "demand": count,
                "turns": None if piece.item.turn == "free" else turns,
            }
        )
    return {
        "height": across_mm + 2 * web_mm,
        "web": web_mm,
        "seconds": seconds,
        "seed": seed,
        "items": items,
    }


def spots_of(answer: dict[str, Any], pieces: Sequence[Piece], base_deg: float) -> list[Spot] | None:
    """Spots for ``pieces`` from one answer of the nesting engine; None if copies are missing."""
    kinds: dict[Piece, int] = {}
    for piece in pieces:
        kinds.setdefault(piece, len(kinds))
    waiting: dict[int, list[Spot]] = {}
    for number, turn, x, y in answer["spots"]:
        spot = Spot(turn % 360.0, x, y)
        for _ in range(round(-base_deg / 90.0) % 4):
            spot = spot.quarter()
        if not _free(kinds, int(number)):
            spot = Spot(round(spot.turn_deg / 90.0) * 90.0 % 360.0, spot.x_mm, spot.y_mm)
        waiting.setdefault(int(number), []).append(spot)
    made = []
    for piece in pieces:
        have = waiting.get(kinds[piece])
        if not have:
            return None
        made.append(have.pop(0))
    return made


def _free(kinds: dict[Piece, int], number: int) -> bool:
    return any(kinds[p] == number and p.item.turn == "free" for p in kinds)
