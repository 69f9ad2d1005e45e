"""What the board asks of its child process, and what it answers."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

from attrs import frozen

from fitkit.fit.layout import Fit
from fitkit.payload.model import Payload
from fitkit.plan import Choices, Plan


@frozen
class Search:
    """Find the best layout of a payload; ``choices.pins`` stay where they are."""

    number: int
    payload: Payload
    choices: Choices


@frozen
class WorkOut:
    """Work out everything that follows from a layout: heights, foam, mass, findings."""

    number: int
    payload: Payload
    fit: Fit
    choices: Choices


@frozen
class Write:
    """Write a plan and all that belongs to it into a folder."""

    number: int
    plan: Plan
    folder: Path


Job = Search | WorkOut | Write


@frozen
class Answer:
    """What the child says of a job.

    ``ready`` (number 0) once it has started; ``progress`` and ``better`` (a better layout) with a
    :class:`fitkit.fit.state.Progress`; ``done`` with a :class:`fitkit.plan.Plan`, or with the
    files that were written; ``wrong`` with words for the builder.
    """

    number: int
    kind: Literal["ready", "progress", "better", "done", "wrong"]
    value: Any
