"""Methods that hold their object's lock."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, Protocol, TypeVar


class _Lockable(Protocol):
    lock: threading.RLock


P = ParamSpec("P")
R = TypeVar("R")
S = TypeVar("S", bound=_Lockable)


def locked(act: Callable[Concatenate[S, P], R]) -> Callable[Concatenate[S, P], R]:
    """A method with ``self.lock`` held: what another thread does comes before or after it."""

    @wraps(act)
    def acted(self: S, /, *args: P.args, **more: P.kwargs) -> R:
        with self.lock:
            return act(self, *args, **more)

    return acted
