"""Tolerance loops with known answers: worst case and root of the sum of squares.

Each loop is told as a gap: its nominal size, and one tolerance for each part in it.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from attrs import frozen

from fitkit.shell.gap.model import Contribution, Gap
from fitkit.shell.gap.monte_carlo import sampled_mm


@frozen
class Loop:
    """A published loop: sizes with their signs, half widths, and what its source answers."""

    source: str
    sizes_mm: tuple[float, ...]
    half_mm: tuple[float, ...]
    nominal_mm: float
    worst_mm: float
    rss_mm: float
    digits_mm: float


LOOPS = (
    Loop(
        # sizes, tolerances and nominal as printed; the two sums by the rules that it states
        source="metricmech.com, Tolerance stack-up: a worked example using worst-case and RSS "
        "(read): bore 40.00, spacer 25.00, ring 2.00, shoulder 10.00",
        sizes_mm=(40.0, -25.0, -2.0, -10.0),
        half_mm=(0.10, 0.05, 0.03, 0.05),
        nominal_mm=3.00,
        worst_mm=0.23,
        rss_mm=math.sqrt(0.0159),
        digits_mm=1e-9,
    ),
    Loop(
        source="a tutorial on the RSS method for tolerance stacks (read): three parts, 17.00 "
        "plus or minus 0.45 at worst, 0.27 by RSS",
        sizes_mm=(17.0, 0.0, 0.0),
        half_mm=(0.20, 0.10, 0.15),
        nominal_mm=17.00,
        worst_mm=0.45,
        rss_mm=0.27,
        digits_mm=0.005,
    ),
    Loop(
        source="a tutorial on RSS tolerance analysis (read): ten parts of 0.1 each, 1.0 at worst, "
        "0.316 by RSS",
        sizes_mm=(0.0,) * 10,
        half_mm=(0.1,) * 10,
        nominal_mm=0.0,
        worst_mm=1.0,
        rss_mm=0.316,
        digits_mm=0.0005,
    ),
)


def as_gap(loop: Loop) -> Gap:
    """The loop as a closing gap without shifts."""
    parts = tuple(
        Contribution(f"part {k}", half, "tolerance", loop.source)
        for k, half in enumerate(loop.half_mm, 1)
    )
    nominal = sum(loop.sizes_mm)
    return Gap("a", "b", nominal, (0.0, 0.0), (0.0, 0.0, 0.0), 0.0, parts, (0.0, 0.0))


@pytest.mark.parametrize("loop", LOOPS, ids=lambda loop: loop.source.split(",")[0])
def test_loop_closes_as_published(loop: Loop) -> None:
    """Nominal, worst case and RSS are those of the source, to its printed digits."""
    gap = as_gap(loop)
    assert gap.nominal_mm == pytest.approx(loop.nominal_mm, abs=1e-9)
    assert gap.nominal_mm - gap.worst_mm == pytest.approx(loop.worst_mm, abs=loop.digits_mm)
    assert gap.nominal_mm - gap.rss_mm == pytest.approx(loop.rss_mm, abs=loop.digits_mm)


@pytest.mark.parametrize("loop", LOOPS, ids=lambda loop: loop.source.split(",")[0])
def test_normal_parts_stay_within_rss_as_often_as_published(loop: Loop) -> None:
    """Of normal parts at three sigma 99.73 % stay within RSS (every table of the normal law)."""
    gap = as_gap(loop)
    drawn = sampled_mm(gap, count=40000, seed=6, spread="normal")
    inside = np.abs(drawn - gap.nominal_mm) <= gap.nominal_mm - gap.rss_mm
    assert float(inside.mean()) == pytest.approx(0.9973, abs=0.001)


@pytest.mark.parametrize("loop", LOOPS, ids=lambda loop: loop.source.split(",")[0])
def test_uniform_parts_spread_by_the_root_of_three(loop: Loop) -> None:
    """Parts spread evenly inflate RSS by the square root of 3.

    Scholz, Tolerance Stack Analysis Methods (1995), inflation factor of the uniform distribution
    (from memory): three of the gap's standard deviations are sqrt(3) times RSS.
    """
    gap = as_gap(loop)
    drawn = sampled_mm(gap, count=40000, seed=6)
    rss = gap.nominal_mm - gap.rss_mm
    assert 3 * float(drawn.std()) / rss == pytest.approx(math.sqrt(3), rel=0.02)
