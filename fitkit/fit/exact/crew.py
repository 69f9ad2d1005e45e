"""Worker processes for the exact search: kept warm, handed jobs, killed to be stopped.

Workers load compiled code, which takes a second (and some twenty the first time ever, when it is
compiled). So a worker that has nothing to do at the end of a search is kept for the next one; one
that is still at a job is killed. One that is still compiling is let finish, so that the compiled
code is there next time, and then ends by itself.
"""

from __future__ import annotations

import atexit
import contextlib
import json
import queue
import threading
import time
from typing import Any

from attrs import field, mutable

from fitkit.fit.child import started

MODULE = "fitkit.fit.exact.worker"

GRACE_S = 0.06
"""A worker at a job is stopped after this time."""

KEPT = 2
"""So many workers are kept between searches."""


class Worker:
    """One child process; what it says is put on a queue, with the worker itself."""

    def __init__(self) -> None:
        """Start the process."""
        self.inbox: queue.Queue[tuple[Worker, dict[str, Any] | None]] | None = None
        self.compiling = False
        self.process = started(MODULE)
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            told = json.loads(line)
            if "compiling" in told:
                self.compiling = told["compiling"]
            elif self.inbox is not None:
                self.inbox.put((self, told))
        self.process.wait()
        if self.inbox is not None:
            self.inbox.put((self, None))

    def send(self, job: dict[str, Any]) -> bool:
        """Hand over a job; false if the process has ended."""
        assert self.process.stdin is not None
        try:
            self.process.stdin.write(json.dumps(job) + "\n")
            self.process.stdin.flush()
        except (BrokenPipeError, ValueError):
            return False
        return True

    def alive(self) -> bool:
        """Whether the process runs."""
        return self.process.poll() is None

    def stop(self) -> None:
        """End the process at once; one that is compiling ends when it has compiled."""
        self.inbox = None
        if not self.compiling:
            self.process.kill()
        assert self.process.stdin is not None
        with contextlib.suppress(BrokenPipeError, ValueError):
            self.process.stdin.close()


_kept: list[Worker] = []
_kept_lock = threading.Lock()


def dismiss() -> None:
    """End the workers that are kept between searches."""
    with _kept_lock:
        while _kept:
            _kept.pop().stop()


atexit.register(dismiss)


@mutable
class Crew:
    """Workers for one search. Use it as a context manager: leaving it stops what still runs.

    Every job has a tag of the caller's; :meth:`heard` gives answers with their tags.
    """

    size: int = 2
    _idle: list[Worker] = field(factory=list, init=False)
    _busy: dict[Worker, tuple[int, dict[str, Any], bool]] = field(factory=dict, init=False)
    _inbox: queue.Queue[tuple[Worker, dict[str, Any] | None]] = field(
        factory=queue.Queue, init=False
    )

    def room(self) -> int:
        """How many jobs can be handed over now."""
        return self.size - len(self._busy)

    def ask(self, tag: int, job: dict[str, Any], *, again: bool = False) -> None:
        """Hand a job to a worker that is free, or to a new one."""
        worker = self._free()
        while not worker.send(job):
            worker = self._free()
        self._busy[worker] = (tag, job, again)

    def _free(self) -> Worker:
        with _kept_lock:
            while not self._idle and _kept:
                kept = _kept.pop()
                if kept.alive():
                    self._idle.append(kept)
        worker = self._idle.pop() if self._idle else Worker()
        worker.inbox = self._inbox
        return worker

    def heard(self, wait_s: float) -> list[tuple[int, dict[str, Any]]]:
        """The answers that came within ``wait_s`` (one is waited for), with their jobs' tags.

        A job whose worker died is handed to another once, then answered with a fault.
        """
        found: list[tuple[int, dict[str, Any]]] = []
        try:
            worker, told = self._inbox.get(timeout=wait_s)
            while True:
                if worker in self._busy:
                    tag, job, again = self._busy.pop(worker)
                    if told is not None:
                        self._idle.append(worker)
                        found.append((tag, told))
                    elif again:
                        found.append((tag, {"fault": "two workers ended at the same job"}))
                    else:
                        self.ask(tag, job, again=True)
                worker, told = self._inbox.get_nowait()
        except queue.Empty:
            return found

    def close(self) -> None:
        """Stop workers that are at a job; keep the others for the next search.

        A job that is as good as done is waited for, since a new worker takes longer to start.
        """
        until = time.monotonic() + GRACE_S
        while self._busy and time.monotonic() < until:
            self.heard(GRACE_S / 4)
        for worker in self._busy:
            worker.stop()
        self._busy.clear()
        with _kept_lock:
            for worker in self._idle:
                worker.inbox = None
                if len(_kept) < KEPT and worker.alive():
                    _kept.append(worker)
                else:
                    worker.stop()
        self._idle.clear()

    def __enter__(self) -> Crew:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
