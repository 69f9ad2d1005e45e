"""Pins that no layout can be made around are refused before any search, with their millimetres."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from attrs import evolve

from fitkit.errors import BadInput
from fitkit.fit import search
from fitkit.fit.fallback import check_pins
from fitkit.fit.layout import Placement
from fitkit.fit.search import smallest
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Limits, Payload, Section, Zone

BLOCK = Body((Section(rectangle(100.0, 60.0), 0.0, 40.0),))
PLUG = Zone("connector", "right", (30.0, 20.0), (20.0, 10.0), 30.0)
PAYLOAD = Payload(
    "bench",
    (
        Item("recorder", BLOCK, count=2, up=("top", "front"), proud=False),
        Item("preamp", BLOCK, zones=(PLUG,), turn="fixed"),
    ),
)
FIRST = Placement("recorder", 1, "deep", 1, "top", 0.0, 20.0, 20.0, 30.0)
SECOND = Placement("recorder", 2, "deep", 1, "top", 0.0, 140.0, 20.0, 30.0)
PREAMP = Placement("preamp", 1, "deep", 1, "top", 0.0, 20.0, 100.0, 30.0)


def faults(*pins: Placement, **case: object) -> list[str]:
    """What is said of some pins; empty if nothing is wrong with them."""
    wishes = CaseWishes(**case)  # type: ignore[arg-type]  # by test
    try:
        check_pins(evolve(PAYLOAD, case=wishes), pins)
    except BadInput as error:
        return [str(fault) for fault in error.faults]
    return []


def test_pins_in_order_are_let_pass() -> None:
    """Pins that keep their distances, with limits and depths that just hold them: no fault."""
    # 20 mm of wall clearance and of walls: 240 + 20 + 20 long, 160 + 20 + 20 wide
    limits = Limits(outside_mm=(280.0, 200.0, None))
    assert faults(FIRST, SECOND, PREAMP, limits=limits, depths_mm=(65.0, 15.0)) == []


@pytest.mark.parametrize(
    ("pins", "case", "said"),
    [
        ([FIRST, evolve(SECOND, x_mm=110.0)], {}, ["recorder 1 and recorder 2: overlap"]),
        (
            [FIRST, evolve(SECOND, x_mm=130.0)],
            {},
            ["are 10.0 mm apart; move one until they are 15"],
        ),
        (
            [PREAMP, evolve(SECOND, x_mm=155.0, y_mm=100.0)],
            {},
            ["preamp zone and recorder 2: are 5"],
        ),
        ([evolve(FIRST, x_mm=8.0)], {}, ["is 12.0 mm too near to the left wall"]),
        ([evolve(FIRST, y_mm=-5.0)], {}, ["is 25.0 mm too near to the front wall"]),
        (
            [evolve(FIRST, half="shallow")],
            {},
            ["stands in the shallow half; it may stand in: deep"],
        ),
        ([evolve(FIRST, tier=2)], {}, ["stands in tier 2; tiers go from 1 to 1"]),
        ([evolve(FIRST, up="left")], {}, ["stands with left up"]),
        ([evolve(PREAMP, turn_deg=90.0)], {}, ["turned by 90 degrees"]),
        (
            [evolve(FIRST, up="front")],  # 60 high: 85 with the floor, in 80
            {"depths_mm": (80.0, 60.0)},
            ["takes 85.0 mm of height as it stands; the deep half leaves 80.0 mm; give 5.0 mm"],
        ),
        (
            [evolve(PREAMP)],  # it may stand proud: 40 + 25 + 15 in all
            {"depths_mm": (50.0, 28.0)},
            ["takes 80.0 mm of height as it stands; the depths leave 78.0 mm; give 2.0 mm"],
        ),
        (
            [evolve(SECOND, x_mm=300.0)],
            {"limits": Limits(outside_mm=(430.0, 300.0, None))},
            ["makes the case 440.0 mm in outside length, 10.0 mm over the limit of 430.0 mm"],
        ),
        (
            [
                evolve(FIRST, half="shallow"),
                evolve(SECOND, copy=3),
                evolve(FIRST, copy=2, x_mm=0.0),
            ],
            {},
            ["shallow half", "no such copy", "20.0 mm too near to the left wall"],
        ),
    ],
)
def test_each_fault_is_named_with_its_millimetres(
    pins: Sequence[Placement], case: dict[str, object], said: Sequence[str]
) -> None:
    """One fault for each thing wrong, naming the pin and by how much."""
    found = faults(*pins, **case)
    assert len(found) == len(said), found
    for text, fault in zip(said, found, strict=True):
        assert text in fault


def test_nothing_is_searched_for_pins_that_cannot_be(monkeypatch: pytest.MonkeyPatch) -> None:
    """The search is not even started."""
    monkeypatch.setattr(search, "watched", lambda *_, **__: pytest.fail("searched"))
    with pytest.raises(BadInput, match="overlap"):
        smallest(PAYLOAD, pins=(FIRST, evolve(SECOND, x_mm=110.0)), budget_s=3600.0)


def test_pins_that_leave_no_room_are_said_so() -> None:
    """A pin that is fine by itself but for the leaning wall: one message, no endless search.

    With 5 degrees of draft a body at the foot of a 60 mm deep half keeps 5 mm more to the wall.
    """
    leaning = evolve(PAYLOAD, case=CaseWishes(draft_deg=5.0))
    with pytest.raises(BadInput, match="pins recorder 1: leave no room"):
        smallest(leaning, pins=(FIRST,), budget_s=0.2, repeatable=True)
