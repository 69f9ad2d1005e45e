"""Outside sizes against the limits of the sheet, for everybody who asks."""

from __future__ import annotations

import math

from attrs import frozen

from fitkit.payload.model import Limits


@frozen
class Side:
    """One outside size with its limit [mm]; the limit is None where it is free."""

    name: str
    size_mm: float
    limit_mm: float | None

    @property
    def over_mm(self) -> float:
        """By how much the size is over its limit; 0 where it is not."""
        return 0.0 if self.limit_mm is None else max(0.0, self.size_mm - self.limit_mm)


def sides_of(outside_mm: tuple[float, float, float], *, limits: Limits) -> tuple[Side, Side, Side]:
    """Length, width and height of a case with the limit that each must keep.

    The height keeps its own limit. Length and width are the longer and the shorter side of the
    plan: a case can be turned on the floor, so the longer one goes with the larger limit.

    >>> [side.over_mm for side in sides_of((380.0, 600.0, 310.0), limits=Limits((400, 620, 300)))]
    [0.0, 0.0, 10.0]
    """
    free = [math.inf if limit is None else limit for limit in limits.outside_mm]
    plan = sorted(outside_mm[:2], reverse=True)
    allowed = sorted(free[:2], reverse=True)
    length, width, height = (
        Side(name, size, None if math.isinf(limit) else limit)
        for name, size, limit in zip(
            ("length", "width", "height"), (*plan, outside_mm[2]), (*allowed, free[2]), strict=True
        )
    )
    return length, width, height
