"""A child process at the board's service, so that a drag is answered while a search goes on."""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from functools import partial
from pathlib import Path

from fitkit.fit.layout import Fit
from fitkit.notebook.home import Home
from fitkit.notebook.session.jobs import Answer, Job, Search, WorkOut, Write
from fitkit.payload.model import Payload
from fitkit.plan import Choices, Plan

Told = Callable[[Answer], None]

_LOST = "The process that works for the board has ended. Press the button again to start another."


class Worker:
    """Jobs for one child process, which is started with the first of them.

    ``told`` hears every answer: in the kernel's thread, or in one of the worker's own where there
    is no kernel.
    """

    def __init__(self, told: Told) -> None:
        """Nothing is started yet."""
        self._told = told
        self._home = Home()
        self._process: subprocess.Popen[bytes] | None = None
        self._reader: threading.Thread | None = None
        self._lock = threading.Lock()
        self._number = 0
        self._open: set[int] = set()
        self._closed = False

    def search(self, payload: Payload, choices: Choices) -> int:
        """Search in the background; the number of the job."""
        return self._hand(lambda number: Search(number, payload, choices))

    def work_out(self, payload: Payload, fit: Fit, choices: Choices) -> int:
        """Work out what follows from a layout in the background; the number of the job."""
        return self._hand(lambda number: WorkOut(number, payload, fit, choices))

    def write(self, plan: Plan, folder: Path) -> int:
        """Write a plan and all that belongs to it in the background; the number of the job."""
        return self._hand(lambda number: Write(number, plan, folder))

    def stop(self, number: int) -> None:
        """End a search early: its answer is the best so far."""
        self._send(number, self._process)

    def start(self) -> None:
        """Start the child before there is a job for it, so that the first is done sooner."""
        with self._lock:
            self._started()

    def close(self) -> None:
        """End the child at once, whatever it does; no answer is told any more."""
        with self._lock:
            self._closed = True
            process, self._process = self._process, None
            reader, self._reader = self._reader, None
        if process is None:
            return
        process.kill()
        process.wait()
        if reader is not None and reader is not threading.current_thread():
            reader.join()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                with contextlib.suppress(OSError):
                    pipe.close()

    def _hand(self, made: Callable[[int], Job]) -> int:
        with self._lock:
            self._number += 1
            number = self._number
            self._open.add(number)
            self._started()
            process = self._process
        self._send(made(number), process)
        return number

    def _started(self) -> None:
        """With the lock held: a child that lives, or whose reader has yet to tell of its end."""
        if self._closed or self._process is not None:
            return
        environment = dict(os.environ)
        environment["PYTHONPATH"] = os.pathsep.join(part for part in sys.path if part)
        self._process = subprocess.Popen(
            [sys.executable, "-m", "fitkit.notebook.session.child"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,  # "interrupt the kernel" is not meant for it
            env=environment,
        )
        self._reader = threading.Thread(
            target=self._read, args=(self._process,), name="fitkit-board", daemon=True
        )
        self._reader.start()

    def _send(self, message: Job | int, process: subprocess.Popen[bytes] | None) -> None:
        if process is None or process.stdin is None:
            return
        # a child that died has closed its end: the reader tells of it
        with contextlib.suppress(BrokenPipeError, ValueError):
            pickle.dump(message, process.stdin, protocol=pickle.HIGHEST_PROTOCOL)
            process.stdin.flush()

    def _read(self, process: subprocess.Popen[bytes]) -> None:
        assert process.stdout is not None
        while True:
            try:
                answer: Answer = pickle.load(process.stdout)
            except (EOFError, OSError, ValueError, pickle.UnpicklingError):
                break
            if answer.kind in ("done", "wrong"):
                self._open.discard(answer.number)
            self._home.do(partial(self._tell, answer))
        # its pipe closes before it counts as ended: from here on no job may be handed to it
        with self._lock:
            if self._closed:
                return
            lost, self._open = self._open, set()
            self._process = None
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                with contextlib.suppress(OSError):
                    pipe.close()
        for number in sorted(lost):
            self._home.do(partial(self._tell, Answer(number, "wrong", _LOST)))

    def _tell(self, answer: Answer) -> None:
        """Pass an answer on; where that fails the job has failed, and the reader goes on."""
        if self._closed:
            return
        try:
            self._told(answer)
        except Exception as error:  # noqa: BLE001 - told to the builder instead
            text = f"This should not have happened ({type(error).__name__}: {error})."
            self._told(Answer(answer.number, "wrong", text))
