"""How stiff something is, as measured on a bench: a strip on two edges, a mass on its middle."""

from __future__ import annotations

from attrs import frozen


@frozen(cache_hash=True)
class Stiffness:
    """A strip that lies loose on two edges ``span_mm`` apart and gives way by ``sag_mm``.

    ``kg`` is the mass on its middle, on top of its own weight. ``across_mm`` is how far another
    strip gave way that was cut across the grain (None: alike both ways). ``width_mm`` is how wide
    the strips are; None for a rail, that was loaded as it is.
    """

    span_mm: float
    kg: float
    sag_mm: float
    across_mm: float | None = None
    width_mm: float | None = None
