"""What thicknesses sheets of foam add up to."""

from __future__ import annotations

import math
from functools import lru_cache

_UNITS_PER_MM = 100
"""Sheet thicknesses are added up in hundredths of a millimetre, so that sums are exact."""


@lru_cache(maxsize=64)
def reachable(sheets_mm: tuple[float, ...], upto_mm: float) -> tuple[float, ...]:
    """All thicknesses that sheets add up to, from 0 to the first one at or above ``upto_mm``.

    >>> reachable((20.0, 50.0), 75.0)
    (0.0, 20.0, 40.0, 50.0, 60.0, 70.0, 80.0)
    """
    units = sorted({round(sheet * _UNITS_PER_MM) for sheet in sheets_mm})
    step = math.gcd(*units)
    steps = [unit // step for unit in units]
    top = math.ceil(round(upto_mm * _UNITS_PER_MM, 6) / step)
    found = [True] + [False] * (top + steps[0])
    for value in range(1, len(found)):
        found[value] = any(value >= unit and found[value - unit] for unit in steps)
    sums = [value for value, yes in enumerate(found) if yes]
    last = next(k for k, value in enumerate(sums) if value >= top)
    return tuple(value * step / _UNITS_PER_MM for value in sums[: last + 1])


@lru_cache(maxsize=65536)
def thickness(sheets_mm: tuple[float, ...], least_mm: float) -> float:
    """The least sum of sheets that is at least ``least_mm`` (0 where nothing is asked).

    >>> thickness((20.0, 50.0), 61.0)
    70.0
    """
    if least_mm <= 1e-9:
        return 0.0
    return next(sum_mm for sum_mm in reachable(sheets_mm, least_mm) if sum_mm >= least_mm - 1e-9)
