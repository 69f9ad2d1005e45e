"""What an exact search tells while it runs."""

from __future__ import annotations

from attrs import frozen

Spot = tuple[int, int, int, int]
"""Where a block stands and how: x, y, z, and the number of its orientation."""


@frozen
class News:
    """One piece of news: nothing is better than ``bound``; ``spots`` hold ``value`` where given.

    ``done`` says that the search has ended; ``fault`` that a worker could not answer.
    """

    bound: float
    value: float | None = None
    spots: tuple[Spot, ...] | None = None
    done: bool = False
    fault: str = ""
