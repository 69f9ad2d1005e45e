"""How long a cable must be to open the case: the rim that it crosses, and where."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

import cable_kits as kits
from fitkit.payload.workshop import HardwareWishes, Workshop
from fitkit.shell.cables.opening import BESIDE_MM, best_along_mm, opened, rim_ray

POINTS = st.tuples(st.floats(10, 530), st.floats(10, 310), st.floats(5, 90))
SHOPS = {
    "lift off": Workshop(hardware=HardwareWishes(lid="lift off")),
    "upright": Workshop(hardware=HardwareWishes(use="upright")),
    "hinged": Workshop(hardware=HardwareWishes(lid="hinged")),
}


@given(POINTS, POINTS, st.sampled_from(sorted(SHOPS)), st.floats(-0.5, 0.5))
def test_no_other_place_on_the_rim_is_shorter(
    one: tuple[float, float, float],
    other: tuple[float, float, float],
    how: str,
    share: float,
) -> None:
    """Any other place along the rim makes the way from end to end at least as long."""
    room = kits.interior()
    low = (other[0], other[1], 2 * kits.DEPTH_MM - other[2])  # an end in the upper half
    shown = opened(kits.payload(workshop=SHOPS[how]))
    best = best_along_mm(room, shown, one, low)
    axis = 1 if shown.side == "right" else 0
    wall = room.size_mm[1 - axis]

    def long(along: float) -> float:
        total = 0.0
        for end in (one, low):
            aside = end[axis] - along
            total += math.hypot(aside, wall - end[1 - axis], room.closing_mm - end[2])
        return total

    assert long(best) <= long(best + share * room.size_mm[axis]) + 1e-6


def test_the_ways_of_opening() -> None:
    """Hinges turn about the back; loose halves stand beside each other, or upright by their ends.

    The wall's build-up is 10 mm on each side (the profile's defaults).
    """
    found = {name: opened(kits.payload(workshop=shop)) for name, shop in SHOPS.items()}
    assert {name: how.side for name, how in found.items()} == {
        "lift off": "back", "upright": "right", "hinged": "back",
    }  # fmt: skip
    assert found["hinged"].across_mm == 20.0
    assert found["lift off"].across_mm == found["upright"].across_mm == 20.0 + BESIDE_MM


def test_a_rim_is_crossed_upwards_out_of_either_half() -> None:
    """The ray points back into the half that it leaves, at the closing plane, off the wall."""
    room, how = kits.interior(), opened(kits.payload())
    low = rim_ray(room, how, half="deep", along_mm=100.0, thick_mm=8.0, run_mm=4.0)
    high = rim_ray(room, how, half="shallow", along_mm=100.0, thick_mm=8.0, run_mm=4.0)
    assert low.at_mm == high.at_mm == (100.0, kits.WIDTH_MM - 4.0, kits.DEPTH_MM)
    assert (low.way[2], high.way[2]) == (-1.0, 1.0)
