"""How many pieces of hardware a case gets: the rules, each with its source beside it.

Where a rule is common practice without a source, it says so; the builder's own counts overrule
every one of them.
"""

from __future__ import annotations

import math

END_MM = 120.0
"""From a side's end to the middle of its first latch [mm] (common practice, no source)."""

PITCH_MM = 450.0
"""Largest distance between two latches of a side [mm] (common practice, no source)."""

ALL_ROUND_MM = 700.0
"""Longest side from which a lift-off lid is latched on all four [mm] (common practice)."""

TWO_HINGES_MM = 600.0
HINGE_PITCH_MM = 400.0
"""Two hinges up to 600 mm, one more for each 400 mm (common practice, no source)."""

_TINY = 1e-9


def latches_along(side_mm: float, *, end_mm: float = END_MM, pitch_mm: float = PITCH_MM) -> int:
    """How many latches a side of that length gets: n = max(1, ceil((side - 2 end) / pitch) + 1).

    Valid for any length above 0; short sides get one. Common practice, no source.

    >>> latches_along(600.0), latches_along(200.0), latches_along(1400.0)
    (2, 1, 4)
    """
    return max(1, math.ceil((side_mm - 2 * end_mm) / pitch_mm - _TINY) + 1)


def hinges_along(side_mm: float) -> int:
    """How many hinges carry a lid of that length: 2 up to 600 mm, then 1 more per 400 mm.

    Common practice, no source.

    >>> hinges_along(500.0), hinges_along(600.0), hinges_along(601.0), hinges_along(1400.0)
    (2, 2, 3, 4)
    """
    return 2 + max(0, math.ceil((side_mm - TWO_HINGES_MM) / HINGE_PITCH_MM - _TINY))


def stays_for(side_mm: float) -> int:
    """How many stays hold a hinged lid of that length: one up to 600 mm, else two.

    Common practice says one to two, no source; where the second comes is the house's setting.

    >>> stays_for(500.0), stays_for(900.0)
    (1, 2)
    """
    return 1 if side_mm <= TWO_HINGES_MM else 2


def handles_for(gross_kg: float, *, person_kg: float) -> int:
    """How many handles: n = 2 ceil(gross / person), and two at the least.

    ``person_kg`` is what one person may lift (25 kg: from memory, ISO 11228-1; local rules on
    manual handling come first). ValueError if it is not above 0.

    >>> handles_for(18.0, person_kg=25.0), handles_for(26.0, person_kg=25.0)
    (2, 4)
    """
    if not person_kg > 0:
        raise ValueError(f"a person who may lift {person_kg} kg lifts nothing")
    return 2 * max(1, math.ceil(gross_kg / person_kg - _TINY))


def castor_load_kg(gross_kg: float, *, count: int = 4) -> float:
    """The load that each castor must be rated for [kg]: T >= (E + Z) / (n - 1).

    E + Z is the mass of the loaded case; one of ``count`` castors may hang in the air on uneven
    ground. Source S21, read (five pages agree).

    >>> castor_load_kg(60.0)
    20.0
    """
    return gross_kg / max(1, count - 1)


def fitting(count: int, *, room_mm: float, piece_mm: float, gap_mm: float) -> int:
    """``count``, or as many pieces as fit side by side in ``room_mm``, one at the least.

    >>> fitting(3, room_mm=200.0, piece_mm=84.0, gap_mm=3.0)
    2
    """
    return max(1, min(count, math.floor((room_mm + gap_mm) / (piece_mm + gap_mm) + _TINY)))


def shared(count: int, among: int) -> tuple[int, ...]:
    """``count`` pieces dealt out as evenly as may be, the first places first.

    >>> shared(5, 2), shared(1, 2)
    ((3, 2), (1, 0))
    """
    return tuple(count // among + (place < count % among) for place in range(among))


def spread(count: int, *, low_mm: float, high_mm: float) -> tuple[float, ...]:
    """Even places from the lowest to the highest allowed; a single one in the middle.

    >>> spread(3, low_mm=120.0, high_mm=480.0), spread(1, low_mm=0.0, high_mm=10.0)
    ((120.0, 300.0, 480.0), (5.0,))
    """
    if count == 1 or high_mm <= low_mm:
        return ((low_mm + high_mm) / 2,) * min(count, 1)
    return tuple(low_mm + index * (high_mm - low_mm) / (count - 1) for index in range(count))
