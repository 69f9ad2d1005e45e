"""Bundles of cables against circle packing.

Sources: Graham, Lubachevsky, Nurmela and Ostergard, "Dense packings of congruent circles in a
circle", Discrete Mathematics 181 (1998), as quoted in closed form on public pages on circle packing
in a circle (secondary); for three circles Descartes' theorem on curvatures (a textbook theorem).
"""

from __future__ import annotations

import itertools
import math

import pytest

from fitkit.reference.bundles import around_three, bundle_of, packings

ROOT2, ROOT3, ROOT5, ROOT6 = (math.sqrt(n) for n in (2, 3, 5, 6))
CLOSED = {
    1: 1.0,
    2: 2.0,
    3: 1 + 2 / ROOT3,
    4: 1 + ROOT2,
    5: 1 + math.sqrt(2 * (1 + 1 / ROOT5)),
    6: 3.0,
    7: 3.0,
    8: 1 + 1 / math.sin(math.pi / 7),
    9: 1 + math.sqrt(2 * (2 + ROOT2)),
    11: 1 + 1 / math.sin(math.pi / 9),
    13: 2 + ROOT5,
    19: 1 + ROOT2 + ROOT6,
}
"""Least radius around n unit circles where it has a closed form."""


@pytest.mark.parametrize("n", sorted(CLOSED))
def test_equal_cables_follow_the_published_packings(n: int) -> None:
    """The bundle of n equal cables is that of the closed form, and never below it by 1e-4."""
    size = bundle_of([4.0] * n).diameter_mm
    assert size == pytest.approx(4.0 * CLOSED[n], rel=1e-4)
    assert size >= 4.0 * CLOSED[n] * (1 - 1e-4)


def test_the_table_grows_and_keeps_above_its_area() -> None:
    """More cables never make a thinner bundle, and no packing is denser than the hexagonal one."""
    table = packings()
    assert sorted(table) == list(range(1, 31))
    for n, following in itertools.pairwise(sorted(table)):
        assert table[following].ratio >= table[n].ratio - 1e-5
    for n, one in table.items():
        assert n / one.ratio**2 <= (1.0 if n == 1 else math.pi / (2 * ROOT3))


def test_the_rule_beyond_the_table_is_wide_enough_for_the_table() -> None:
    """1.25 d sqrt(n) holds every packing of 8 to 30 cables; 1.2 does not hold all of them."""
    table = packings()
    assert all(1.25 * math.sqrt(n) >= table[n].ratio for n in range(3, 31))
    assert any(1.2 * math.sqrt(n) < table[n].ratio for n in range(8, 31))


@pytest.mark.parametrize("second", [100.0, 92.0, 80.0, 55.0])
@pytest.mark.parametrize("third", [100.0, 71.0, 50.0, 34.0, 20.0, 4.0])
def test_unlike_bundles_hold_their_three_thickest(second: float, third: float) -> None:
    """No bundle is thinner than the least circle around three of its cables (Descartes)."""
    r1, r2, r3 = 50.0, second / 2, min(third, second) / 2
    k = [1 / r1, 1 / r2, 1 / r3]
    beside = 1 / r1 + 1 / r2 - 1 / (r1 + r2)  # the curvature of what fits beside the two
    least = 2 * (r1 + r2)
    if k[2] < beside:
        pairs = k[0] * k[1] + k[1] * k[2] + k[2] * k[0]
        least = 2 / (2 * math.sqrt(pairs) - sum(k))
    assert around_three(100.0, second, 2 * r3) == pytest.approx(least)
    assert bundle_of([100.0, second, 2 * r3]).diameter_mm >= least * (1 - 1e-6)
    assert bundle_of([100.0, second, 2 * r3, 3.0]).diameter_mm >= least * (1 - 1e-6)
