"""What can go wrong, said in the user's words.

The tree::

    FitkitError             anything that fitkit says no to
    ├── BadInput            a sheet, plan, option or folder that cannot be used; lists every fault
    └── MissingExtra        an optional part is not installed; says what to install

A kit that does not fit its limits is an answer, not an error: see
:attr:`fitkit.fit.layout.Fit.misses`.
"""

from __future__ import annotations

from collections.abc import Iterable

from attrs import field, frozen


@frozen
class Fault:
    """One thing wrong with the input.

    ``place`` is where (file with line, or a key path), ``found`` is what stands there,
    ``remedy`` is what would be right. ``path`` is the key's path in the file, for a form that
    shows the fault beside its field; it is not printed and does not count when faults are
    compared.
    """

    place: str
    found: str
    remedy: str
    path: tuple[str | int, ...] = field(default=(), eq=False, repr=False)

    def __str__(self) -> str:
        """The fault on one line: place, what was found, what would be right."""
        return f"{self.place}: {self.found}; {self.remedy}"


class FitkitError(Exception):
    """Anything that fitkit refuses; its text is fit to be shown to a user as it is."""

    def _render_traceback_(self) -> list[str]:
        """What a notebook shows in place of a traceback: the text alone."""
        return [str(self)]


class BadInput(FitkitError):
    """Input that cannot be used, with every fault found in one go.

    >>> print(BadInput([Fault("kit.toml line 3", "count is 0", "give 1 or more")]))
    1 fault:
      kit.toml line 3: count is 0; give 1 or more
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        """Keep ``faults`` (at least one) in the order in which a reader meets them."""
        self.faults: tuple[Fault, ...] = tuple(faults)
        if not self.faults:
            raise ValueError("BadInput needs at least one fault")
        head = "1 fault:" if len(self.faults) == 1 else f"{len(self.faults)} faults:"
        super().__init__("\n".join([head, *(f"  {fault}" for fault in self.faults)]))


class MissingExtra(FitkitError):
    """A part that the core install leaves out is needed; the text says how to add it."""


def in_words(error: FitkitError) -> str:
    """What went wrong, one fault to a line, for a place that has no room for a list.

    >>> in_words(BadInput([Fault("kit.toml line 3", "count is 0", "give 1 or more")]))
    'kit.toml line 3: count is 0; give 1 or more'
    """
    if isinstance(error, BadInput):
        return "\n".join(str(fault) for fault in error.faults)
    return str(error)
