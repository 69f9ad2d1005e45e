"""What is counted where two halves close on each other: tolerances, loads, drops.

All lengths are mm. Defaults are settings (assumption) until the builder states their own; they are
checked where they are read (:mod:`fitkit.payload.closing_in`).
"""

from __future__ import annotations

from attrs import frozen

from fitkit.payload.stiffness import Stiffness


@frozen
class Tolerances:
    """Half widths of what each measure may be off by, as plus or minus [mm].

    ``measured_mm``: an item's size where the item does not state its own uncertainty (a caliper);
    ``tape_mm``: a depth measured with a tape; ``saw_mm``: a panel or rail as sawn; ``seating_mm``:
    how far a panel may stand off the bottom of its slot, and the closing profiles off each other;
    ``foam_mm``: a sheet's thickness; ``rail_mm``: a rail's or a sub-panel's thickness.
    """

    measured_mm: float = 0.5
    tape_mm: float = 1.0
    saw_mm: float = 0.5
    seating_mm: float = 0.5
    foam_mm: float = 1.0
    rail_mm: float = 0.3


@frozen
class Closing:
    """What the gap between facing items must stand.

    ``keep_mm`` is what must be left when everything is at its worst. ``load_n`` is what may press
    on the middle of a back from outside. ``drop_mm`` is the height of fall, None where it follows
    from the mass; ``shock_g`` the shock [G: acceleration over g] that is counted where an item's
    fragility is not known, None where it is not. ``stiffness`` holds what the builder measured of
    boards, by their names.
    """

    tolerances: Tolerances = Tolerances()
    keep_mm: float = 2.0
    load_n: float = 100.0
    drop_mm: float | None = None
    shock_g: float | None = None
    stiffness: tuple[tuple[str, Stiffness], ...] = ()
