"""A gap as it may come out: drawn many times from its tolerances, by a seed."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fitkit.shell.gap.model import Gap

Spread = Literal["uniform", "normal"]

SIGMAS = 3.0
"""How many standard deviations a tolerance is taken to be in a normal spread (assumption)."""


def sampled_mm(
    gap: Gap,
    *,
    count: int,
    seed: int,
    spread: Spread = "uniform",
    shifts: Literal["full", "spread"] = "full",
) -> NDArray[np.float64]:
    """``count`` gaps drawn at random [mm]: every tolerance by itself, from the same seed the same.

    "uniform": each tolerance is anywhere within plus or minus its own, so that no draw leaves the
    worst case. "normal": its standard deviation is a third of it, not cut off. ``shifts``: they
    take all that they can in every draw ("full", as at worst and in the root of the sum of
    squares), or evenly anything up to that ("spread"). What is not known takes nothing. ValueError
    if ``count`` is below 1.

    >>> from fitkit.shell.gap.model import Contribution
    >>> saw = Contribution("saw", 0.5, "tolerance", "")
    >>> gap = Gap("a", "b", 10.0, (5.0, 5.0), (0.0, 0.0, 0.0), 2.0, (saw,), (0.0, 0.0))
    >>> drawn = sampled_mm(gap, count=500, seed=1)
    >>> bool(drawn.min() >= 9.5 and drawn.max() <= 10.5)
    True
    """
    if count < 1:
        raise ValueError("a gap is drawn once or more")
    draw = np.random.default_rng(seed)
    half = np.array([one.mm or 0.0 for one in gap.contributions if one.kind == "tolerance"])
    takes = np.array([one.mm or 0.0 for one in gap.contributions if one.kind == "shift"])
    if spread == "uniform":
        off = draw.uniform(-1.0, 1.0, size=(count, half.size)) @ half
    else:
        off = draw.normal(0.0, 1.0 / SIGMAS, size=(count, half.size)) @ half
    if shifts == "full":
        taken = np.full(count, takes.sum())
    else:
        taken = draw.uniform(0.0, 1.0, size=(count, takes.size)) @ takes
    return np.asarray(gap.nominal_mm + off - taken, dtype=np.float64)
