"""How long a screw may be: from what lies under its head, and what it goes into.

A machine screw never reaches the bottom of its hole: L <= stack + depth, the stack at its least.
It should go in by its own diameter (S43, read second hand), and holds no better beyond two
(assumption). A wood screw must not come through what it goes into.
"""

from __future__ import annotations

from attrs import frozen

from fitkit.reference.machine_screws import (
    ENGAGED_DIAMETERS,
    ENGAGED_MOST_DIAMETERS,
    machine_screws,
    screw_lengths,
)
from fitkit.reference.wood_screws import WoodScrew, wood_screws

TIP_MM = 2.0
"""What is left of the wood before a wood screw's tip [mm] (assumption)."""

WIDE_MM = 18.0
"""From this width on, a strip takes a no. 8 wood screw; a narrower one no. 6 [mm] (assumption)."""

HELD_SHANKS = 3.0
"""A wood screw goes in by so many shanks at the least (assumption)."""


@frozen
class Pick:
    """The screw for one hole: length to buy and how far it goes in [mm].

    ``length_mm`` is None where no length that is sold will do. ``short_mm`` is what is missing of
    the thread or wood that it should have, 0 where nothing is; ``remedy`` says what to do then.
    """

    length_mm: float | None
    engaged_mm: float
    short_mm: float = 0.0
    remedy: str = ""


def machine_screw(thread: str, *, stack_mm: float, hole_mm: float, off_mm: float = 0.0) -> Pick:
    """The length of a machine screw through ``stack_mm`` into a hole ``hole_mm`` deep [mm].

    L <= (stack - off) + hole, where ``off_mm`` is how much thinner the stack may be than planned.
    Of the lengths that are sold the longest is taken that goes in no more than two diameters, if
    that is at least one. KeyError for a thread that no table knows.

    >>> machine_screw("M4", stack_mm=20.0, hole_mm=10.0)
    Pick(length_mm=25.0, engaged_mm=5.0, short_mm=0.0, remedy='')
    >>> machine_screw("M4", stack_mm=22.0, hole_mm=4.0).short_mm
    1.0
    """
    d_mm = machine_screws()[thread].d_mm
    sold = screw_lengths("machine")
    most = stack_mm - off_mm + hole_mm
    wanted = ENGAGED_DIAMETERS * d_mm
    length = sold.longest_mm(min(most, stack_mm + ENGAGED_MOST_DIAMETERS * d_mm))
    if length is None or length - stack_mm < wanted - 1e-9:
        longer = sold.shortest_mm(stack_mm + wanted)
        length = longer if longer is not None and longer <= most + 1e-9 else sold.longest_mm(most)
    if length is None or length - stack_mm <= 1e-9:
        # a longer one with washers under its head
        longer = sold.shortest_mm(stack_mm + 1e-6)
        if longer is None:
            return Pick(None, 0.0, wanted, "take a thinner rail or panel")
        pack = max(0.0, longer - most)
        return Pick(
            None, 0.0, wanted,
            f"put washers {pack:.1f} mm thick under the head of one {longer:g} mm long, "
            "or take a thinner rail or panel",
        )  # fmt: skip
    engaged = length - stack_mm
    short = max(0.0, wanted - engaged)
    if short <= 1e-9:
        return Pick(length, engaged)
    if hole_mm - off_mm < wanted:
        remedy = f"the hole itself is no deeper than {hole_mm:g} mm: use more screws"
    else:
        remedy = f"sink the head {short:.1f} mm deep into what it holds"
    return Pick(length, engaged, short, remedy)


def wood_screw(gauge: int, *, stack_mm: float, wood_mm: float) -> Pick:
    """The length of a wood screw through ``stack_mm`` into wood ``wood_mm`` thick [mm].

    The longest that is sold whose tip stays ``TIP_MM`` inside.

    >>> wood_screw(8, stack_mm=6.4, wood_mm=20.0).length_mm
    20.0
    """
    screw = wood_screws()[gauge]
    wanted = HELD_SHANKS * screw.shank_mm
    length = screw_lengths("wood").longest_mm(stack_mm + wood_mm - TIP_MM)
    if length is None or length - stack_mm <= 1e-9:
        return Pick(None, 0.0, wanted, "take a thicker piece")
    engaged = length - stack_mm
    short = max(0.0, wanted - engaged)
    return Pick(length, engaged, short, "take a thicker piece, and glue it" if short else "")


def gauge_for(width_mm: float) -> WoodScrew:
    """The wood screw for a strip of that width: no. 8, or no. 6 in a narrow one (assumption)."""
    return wood_screws()[8 if width_mm >= WIDE_MM else 6]
