"""The lines of a lattice: where a cable may run, exact where it matters and even in between."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

LEAST_STEP_MM = 12.0
"""Lines that only fill the space stand no nearer than this [mm]."""

MOST_STEPS = 40
"""At most about so many lines fill one direction."""

APART_MM = 2.5
"""Edges of things that lie nearer to another line than this get no line of their own [mm]."""


def lattice_lines(
    *,
    low_mm: float,
    high_mm: float,
    ends_mm: Sequence[float],
    radius_mm: float,
    edges_mm: NDArray[np.float64],
) -> NDArray[np.float64]:
    """The lines along one axis between ``low_mm`` and ``high_mm``, in order [mm].

    All ends of the cable and the walls have their own, and so have the places one and two radii
    off them, where a first bend leads; then the edges of what is to go around, then an even fill.

    >>> lattice_lines(low_mm=0.0, high_mm=30.0, ends_mm=(10.0, 10.0), radius_mm=10.0,
    ...               edges_mm=np.array([])).tolist()
    [0.0, 10.0, 20.0, 30.0]
    """
    exact = [*ends_mm, low_mm, high_mm]
    for at in (*ends_mm, low_mm, high_mm):
        exact += [at - radius_mm, at + radius_mm]
    for at in ends_mm:
        exact += [at - 2 * radius_mm, at + 2 * radius_mm]
    kept = _apart(exact, [], 1e-6)
    kept = _apart(np.sort(edges_mm).tolist(), kept, APART_MM)
    step = max(LEAST_STEP_MM, radius_mm / 2.5, (high_mm - low_mm) / MOST_STEPS)
    steps = max(1, int(np.ceil((high_mm - low_mm) / step)))
    kept = _apart(np.linspace(low_mm, high_mm, steps + 1).tolist(), kept, step / 2)
    found = np.array(sorted(kept))
    return found[(found >= low_mm - 1e-9) & (found <= high_mm + 1e-9)]


def _apart(wished: list[float], kept: list[float], apart_mm: float) -> list[float]:
    """``kept``, and those of ``wished`` that lie far enough from all before them."""
    found = list(kept)
    for at in wished:
        if all(abs(at - other) > apart_mm for other in found):
            found.append(float(at))
    return found
