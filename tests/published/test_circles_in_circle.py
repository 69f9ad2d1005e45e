"""Equal circles in a round room: the check accepts the published layouts, and nothing tighter.

Source: least radius of a circle for n unit circles, best known and for these n proven; values as in
widely printed tables (secondary: Graham, Lubachevsky, Nurmela and Ostergard, "Dense packings of
congruent circles in a circle", Discrete Mathematics 181 (1998); the layouts are rings and rings
around one in the middle, R / r = 1 + 1 / sin(pi / n)).
"""

from __future__ import annotations

import math

import pytest

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.validate import violations
from fitkit.geometry.shapes import circle
from fitkit.payload.model import Body, CaseWishes, Clearance, Item, Payload, Section

PUBLISHED = {1: 1.0, 2: 2.0, 3: 2.1547005, 4: 2.4142136, 5: 2.7013016, 6: 3.0, 7: 3.0}
RADIUS = 30.0


def ring(n: int, room_mm: float) -> list[tuple[float, float]]:
    """Middles of n circles: on a ring against the wall, the seventh in the middle."""
    around = min(n, 6) if n > 1 else 0
    out = room_mm - RADIUS - 0.006
    middles = [
        (
            room_mm + out * math.cos(2 * math.pi * k / around),
            room_mm + out * math.sin(2 * math.pi * k / around),
        )
        for k in range(around)
    ]
    return middles if n == around else [*middles, (room_mm, room_mm)]


@pytest.mark.parametrize("n", sorted(PUBLISHED))
def test_the_check_agrees_with_the_least_round_room(n: int) -> None:
    """Circles fit in a round room of the published radius, and in none 0.5 % smaller.

    With 0.06 % to spare: outlines are polygons around their circles, by less than 0.005 mm.
    """
    can = Item("can", Body((Section(circle(RADIUS, at=(RADIUS, RADIUS)), 0.0, 20.0),)), count=n)
    none = Clearance(item_mm=0.0, wall_mm=0.0, floor_mm=0.0, lid_mm=0.0, tier_mm=0.0)
    payload = Payload("cans", (can,), case=CaseWishes(clearance=none))
    for share, holds in ((1.0006, True), (0.995, False)):
        room = PUBLISHED[n] * RADIUS * share
        interior = Interior(
            2 * room, 2 * room, (Half("deep", 30.0), Half("shallow", 30.0)), corner_mm=room
        )
        placements = tuple(
            Placement("can", k, "deep", 1, "top", 0.0, x - RADIUS, y - RADIUS, 0.0)
            for k, (x, y) in enumerate(ring(n, room), start=1)
        )
        found = violations(payload, interior=interior, placements=placements)
        assert (found == ()) is holds
