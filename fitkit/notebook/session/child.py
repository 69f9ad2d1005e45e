"""The child process that searches for the board and works plans out: ``python -m`` this module.

It reads pickled jobs from its input and writes pickled answers to its output. It ends by itself
when the input ends: when the kernel is restarted or dies, nobody is left to work for.
"""

from __future__ import annotations

import os
import pickle
import queue
import signal
import sys
import threading
import time
from typing import Any, BinaryIO

from fitkit.documents.files import Written, write_all
from fitkit.errors import FitkitError
from fitkit.notebook.session.jobs import Answer, Job, Search, WorkOut, Write
from fitkit.plan import Plan, make_plan, plan_of

_PAUSE_S = 0.1
"""Progress is told no more often than this [s]."""


class _Served:
    """The jobs of one parent, done one after the other; a newer number stops the older ones."""

    def __init__(self, output: BinaryIO) -> None:
        self._output = output
        self._lock = threading.Lock()
        self._stopped = 0  # jobs up to this number are to end

    def say(self, answer: Answer) -> None:
        """Write one answer."""
        with self._lock:
            pickle.dump(answer, self._output, protocol=pickle.HIGHEST_PROTOCOL)
            self._output.flush()

    def stop(self, number: int) -> None:
        """End the job of this number, and all before it, with the best so far."""
        self._stopped = max(self._stopped, number)

    def do(self, job: Job) -> None:
        """Do one job; whatever goes wrong is told, not lost."""
        try:
            made = self._made(job)
        except FitkitError as error:
            self.say(Answer(job.number, "wrong", str(error)))
        except Exception as error:  # noqa: BLE001 - the parent shows it: nothing is swallowed
            text = f"This should not have happened ({type(error).__name__}: {error})."
            self.say(Answer(job.number, "wrong", text))
        else:
            self.say(Answer(job.number, "done", made))

    def _made(self, job: Job) -> Plan | tuple[Written, ...]:
        if isinstance(job, WorkOut):
            return plan_of(job.payload, fit=job.fit, choices=job.choices)
        if isinstance(job, Write):
            return write_all(job.plan, job.folder)
        return self._search(job)

    def _search(self, job: Search) -> Plan:
        last = [0.0, float("inf")]

        def told(progress: Any) -> None:
            now = time.monotonic()
            better = progress.value is not None and progress.value < last[1]
            if better or now - last[0] >= _PAUSE_S:
                last[0] = now
                last[1] = progress.value if better else last[1]
                self.say(Answer(job.number, "better" if better else "progress", progress))

        return make_plan(
            job.payload,
            choices=job.choices,
            progress=told,
            cancelled=lambda: self._stopped >= job.number,
        )


def main() -> None:
    """Serve until the input ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # "interrupt the kernel" is not meant for us
    output = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # whatever a library prints stays away
    served = _Served(output)
    jobs: queue.Queue[Job] = queue.Queue()

    def work() -> None:
        while True:
            served.do(jobs.get())

    threading.Thread(target=work, daemon=True).start()
    served.say(Answer(0, "ready", None))
    while True:
        try:
            message = pickle.load(sys.stdin.buffer)
        except (EOFError, OSError):
            break
        if isinstance(message, int):
            served.stop(message)
        else:
            jobs.put(message)
    served.stop(sys.maxsize)
    os._exit(0)


if __name__ == "__main__":
    main()
