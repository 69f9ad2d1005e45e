"""Tables of machine screws: heads, lengths that are sold, and how each value is known."""

from __future__ import annotations

import pytest

from fitkit.reference.clearance_holes import clearance_holes
from fitkit.reference.machine_screws import machine_screws, screw_lengths
from fitkit.sources import SOURCES


def test_every_thread_has_a_clearance_hole() -> None:
    """Threads are those of ISO 273, with the same diameters, and heads that cover their holes."""
    for thread, screw in machine_screws().items():
        hole = clearance_holes()[thread]
        assert screw.d_mm == hole.d_mm
        assert screw.head_mm > hole.medium_mm
        assert screw.source.split()[0] in SOURCES
        assert screw.known == "read"


def test_heads_are_about_twice_as_wide_as_their_thread() -> None:
    """Pan heads: dk = 1.87 d to 2 d, countersunk ones 1.8 d to 1.9 d, as their tables print.

    The ratio of the standards' own tables (ISO 7045, DIN 965), read second hand.
    """
    for screw in machine_screws().values():
        assert 1.86 <= screw.head_mm / screw.d_mm <= 2.0
        assert 1.8 <= screw.sunk_head_mm / screw.d_mm <= 1.9


def test_lengths_are_from_memory_and_say_so() -> None:
    """Until someone has read them, the lengths that are sold are marked as from memory."""
    for lengths in (screw_lengths("machine"), screw_lengths("wood")):
        assert lengths.known == "from memory"
        assert lengths.longest_mm(0.0) is None
        assert lengths.shortest_mm(1000.0) is None
        assert lengths.shortest_mm(lengths.lengths_mm[0]) == lengths.lengths_mm[0]


def test_there_are_no_other_kinds() -> None:
    """Asking for lengths of anything else is a mistake of the program."""
    with pytest.raises(KeyError):
        screw_lengths("drywall")  # type: ignore[arg-type]  # the mistake
