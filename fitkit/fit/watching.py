"""A search at work in a thread of its own, while its caller watches: progress out, cancel in.

Whatever step the work is in, the caller is free: a cancel or Ctrl-C is heard within a tick, and the
best layout so far is there to be kept. The thread notices at its next look at the state.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from fitkit.fit.state import Progress, State

TICK_S = 0.05
"""How often a cancel is asked for [s]."""

SWITCH_S = 1e-4
"""How long other threads may keep the interpreter while the answer is made ready [s]."""

TELL_S = 0.1
"""How often the caller is told where the search stands [s]."""


def watched(
    state: State,
    work: Callable[[], None],
    *,
    progress: Callable[[Progress], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> bool:
    """Do ``work`` in a thread; true if ``cancelled`` or Ctrl-C ended it early.

    Both callbacks are called from the calling thread: ``progress`` at the start, about ten times a
    second and at the end, ``cancelled`` twice as often. Once cancelled, nothing is waited for but
    the first layout, so that there is one to keep. What goes wrong in the work, or in a callback,
    is raised here; the search is stopped whatever happens.
    """
    done = threading.Event()
    wrong: list[BaseException] = []

    def run() -> None:
        try:
            work()
        except BaseException as error:  # noqa: BLE001  # raised again below, by the caller
            wrong.append(error)
        finally:
            done.set()
            state.laid.set()  # there will be no more: nobody need wait

    early = False
    try:
        threading.Thread(target=run, name="search", daemon=True).start()
        early = _watch(state, done, progress, cancelled)
    except KeyboardInterrupt:
        early = True
    finally:
        state.stop.set()
    if early:
        state.laid.wait()
    with state.lock:
        state.closed = state.best is not None
    if wrong:
        raise wrong[0]
    return early


def _watch(
    state: State,
    done: threading.Event,
    progress: Callable[[Progress], None] | None,
    cancelled: Callable[[], bool] | None,
) -> bool:
    told = -TELL_S
    while True:
        if progress and time.monotonic() - told >= TELL_S:
            told = time.monotonic()
            progress(state.progress())
        if cancelled and cancelled():
            return True
        if done.wait(TICK_S):
            break
    if progress:
        progress(state.progress())
    return False


@contextmanager
def first_in_line() -> Iterator[None]:
    """Let the calling thread have the interpreter at once whenever it asks for it.

    After a cancel the search's threads may still be at work on their last step; taking turns of the
    usual 5 ms, they would make the answer wait.
    """
    before = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH_S)
    try:
        yield
    finally:
        sys.setswitchinterval(before)
