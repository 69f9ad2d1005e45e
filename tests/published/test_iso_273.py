"""Clearance holes against ISO 273, screws and tee nuts against what is said of them.

Source: ISO 273:1979, "Fasteners - Clearance holes for bolts and screws" (read on secondary pages:
four agree, one differs for M3 and M6). Wood screws: shank 0.060 + 0.013 N inches (secondary).
"""

from __future__ import annotations

import pytest

from fitkit.reference.clearance_holes import clearance_holes, thread_through
from fitkit.reference.tee_nuts import tee_nuts
from fitkit.reference.wood_screws import screw_through, wood_screws

# thread: fine (H12), medium (H13), coarse (H14)
ISO_273 = {
    "M2": (2.2, 2.4, 2.6),
    "M2.5": (2.7, 2.9, 3.1),
    "M3": (3.2, 3.4, 3.6),
    "M4": (4.3, 4.5, 4.8),
    "M5": (5.3, 5.5, 5.8),
    "M6": (6.4, 6.6, 7.0),
    "M8": (8.4, 9.0, 10.0),
    "M10": (10.5, 11.0, 12.0),
}


def test_the_holes_are_those_of_the_standard() -> None:
    """Every thread and class of fit, and no others."""
    assert {
        hole.thread: (hole.fine_mm, hole.medium_mm, hole.coarse_mm)
        for hole in clearance_holes().values()
    } == ISO_273


@pytest.mark.parametrize("thread", ISO_273)
def test_a_bolt_is_found_by_its_hole(thread: str) -> None:
    """In each class's own hole the thread is found again."""
    for hole_mm in ISO_273[thread]:
        found = thread_through(hole_mm)
        assert found is not None
        assert found.thread == thread


def test_screws_measure_what_their_gauge_says() -> None:
    """Shank = 0.060 + 0.013 N inches, within the table's tenth of a millimetre."""
    for gauge, screw in wood_screws().items():
        assert screw.shank_mm == pytest.approx((0.060 + 0.013 * gauge) * 25.4, abs=0.1)


def test_pilots_grow_with_the_screw() -> None:
    """Pilot under shank under clearance, softwood under hardwood, a thicker screw never less."""
    screws = list(wood_screws().values())
    assert [screw.gauge for screw in screws] == [4, 6, 8, 10, 12, 14]
    for screw in screws:
        if screw.softwood_mm is not None:
            assert screw.softwood_mm < screw.hardwood_mm
        assert screw.hardwood_mm < screw.shank_mm <= screw.clearance_mm
        # common practice, from memory: a countersink of two shanks
        assert screw.sink_mm == 2 * screw.shank_mm
        assert screw_through(screw.shank_mm + 0.05) == screw


def test_tee_nuts_have_a_barrel_wider_than_their_thread() -> None:
    """The barrel sets the hole (hobby guides, read); its values are from memory and say so."""
    assert {nut.thread: (nut.least_hole_mm, nut.most_hole_mm) for nut in tee_nuts().values()} == {
        "M4": (5.5, 6.0),
        "M5": (6.5, 7.0),
        "M6": (8.0, 8.0),
        "M8": (10.0, 10.0),
    }
    for nut in tee_nuts().values():
        assert nut.least_hole_mm > clearance_holes()[nut.thread].medium_mm
        assert nut.known == "from memory"
