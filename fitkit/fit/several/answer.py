"""What comes of sharing a kit out: the cases, what goes into each, and how few there can be."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import evolve, frozen

from fitkit.fit.layout import Fit
from fitkit.payload.model import Payload

Counts = tuple[int, ...]
"""How many copies of each item, in the order of the payload's items."""


@frozen
class Share:
    """One case: the copies that go into it, its layout, and its mass as far as it is known [kg].

    ``misses`` says which limits the case breaks; it is empty where it keeps them all.
    """

    counts: Counts
    fit: Fit
    mass_kg: float
    misses: tuple[str, ...] = ()


@frozen
class Several:
    """A kit shared out over cases.

    No fewer than ``least`` cases can do, by the bound of the name ``bound_name``; ``proven`` where
    there are no more. ``seconds`` is what the search took (0 where work is counted).
    """

    shares: tuple[Share, ...]
    least: int
    bound_name: str
    proven: bool
    seconds: float
    interrupted: bool = False

    @property
    def misses(self) -> tuple[str, ...]:
        """Limits that some case breaks; empty where every case keeps them."""
        return tuple(
            f"case {number}: {miss}"
            for number, share in enumerate(self.shares, start=1)
            for miss in share.misses
        )

    def __str__(self) -> str:
        """How many cases there are, and how few there could be."""
        count = len(self.shares)
        cases = "1 case" if count == 1 else f"{count} cases"
        if self.misses:
            return f"{cases} as far as the search went, with limits broken; at least {self.least}"
        if self.proven:
            return f"{cases}, proven: no fewer will do ({self.bound_name})"
        if self.least == 1:
            return f"{cases}; whether one would do is not settled"
        return f"{cases}; at least {self.least} are needed ({self.bound_name})"


def part_of(payload: Payload, counts: Counts) -> Payload:
    """The payload of one case: the items of which it gets copies, numbered from 1 again."""
    items = tuple(
        evolve(item, count=count)
        for item, count in zip(payload.items, counts, strict=True)
        if count
    )
    wishes = evolve(payload.case, several=False)
    return evolve(payload, items=items, case=wishes)


def copies_in(shares: Sequence[Share], case: int, item: int) -> range:
    """Which copies of an item (by index) go into a case (by index), in the sheet's numbers.

    Copies are alike: the first case gets the first ones, and so on.
    """
    before = sum(share.counts[item] for share in shares[:case])
    return range(before + 1, before + shares[case].counts[item] + 1)
