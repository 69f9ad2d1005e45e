"""What a bench does with an error: it is shown where the builder looks; surprises are raised on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from fitkit.errors import FitkitError, in_words


def guarded(
    action: Callable[[Any], None],
    event: Any,
    *,
    failed: Callable[[str], None],
    surprise: Callable[[str], str] = str,
) -> None:
    """``action`` with ``event``; ``failed`` hears in words whatever it raises.

    Bad input ends there. Anything else is our own fault: ``surprise`` puts its kind and text into
    words, and it is raised on.
    """
    try:
        action(event)
    except FitkitError as error:
        failed(in_words(error))
    except Exception as error:
        failed(surprise(f"{type(error).__name__}: {error}"))
        raise
