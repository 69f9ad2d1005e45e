"""The kernel's own thread: what other threads find out is shown from there, one after the other."""

from __future__ import annotations

import asyncio
from collections.abc import Callable


class Home:
    """The thread in which this was made, if a kernel's loop runs in it.

    Widgets that send what changed in one message would lose what another thread sets meanwhile.
    """

    def __init__(self) -> None:
        """Remember the loop that runs here, if any."""
        try:
            self._loop: asyncio.AbstractEventLoop | None = asyncio.get_running_loop()
        except RuntimeError:
            self._loop = None

    def do(self, job: Callable[[], None]) -> None:
        """Have ``job`` done soon in the kernel's thread; without a kernel, here and now."""
        loop = self._loop
        if loop is None or loop.is_closed() or not loop.is_running():
            job()
            return
        loop.call_soon_threadsafe(job)
