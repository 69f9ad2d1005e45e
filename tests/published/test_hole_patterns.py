"""Hole patterns of screens against tables of the VESA flat display mounting standard.

Published values: pages that quote the VESA FDMI / MIS tables (secondary; the standard itself was
not read). MIS-B 50 x 20 mm up to 2 kg; MIS-C up to 4.5 kg; MIS-D 75 x 75 mm and 100 x 100 mm, M4,
10 mm deep, up to 14 kg (8 kg in some tables for 75 x 75); MIS-E 200 x 100 mm, M4, 50 lb; MIS-F
200 x 200 mm and multiples of 200, M6 or M8.
"""

from __future__ import annotations

import pytest

from fitkit.reference.hole_patterns import hole_patterns
from fitkit.units import mass_kg

PUBLISHED = [
    ("MIS-B", (50.0, 20.0), 2.0),
    ("MIS-D 75", (75.0, 75.0), 8.0),
    ("MIS-D 100", (100.0, 100.0), 14.0),
    ("MIS-E", (200.0, 100.0), 50 * 0.45359237),
]


@pytest.mark.parametrize(("standard", "size_mm", "most_kg"), PUBLISHED)
def test_sizes_and_masses(standard: str, size_mm: tuple[float, float], most_kg: float) -> None:
    """Size and mass are those of the tables; where tables differ the lower mass counts."""
    (row,) = [one for one in hole_patterns().values() if one.standard == standard]
    assert row.size_mm == size_mm
    assert row.most_kg == pytest.approx(most_kg, abs=0.05)


@pytest.mark.parametrize("name", ["75x75", "100x100"])
def test_thread_and_depth(name: str) -> None:
    """MIS-D holes are M4 and 10 mm deep."""
    row = hole_patterns()[name]
    assert (row.thread, row.depth_mm, row.known) == ("M4", 10.0, "read")


def test_large_patterns_are_multiples_of_200_with_their_thread_left_open() -> None:
    """MIS-F has M6 or M8: nobody but the builder can say which."""
    large = [row for row in hole_patterns().values() if row.standard == "MIS-F"]
    assert len(large) >= 3
    for row in large:
        assert row.thread is None
        assert all(side % 200 == 0 for side in row.size_mm)


def test_fifty_pounds() -> None:
    """The mass of MIS-E is 50 lb (exact factor 0.45359237 kg)."""
    assert mass_kg("50 lb") == pytest.approx(hole_patterns()["200x100"].most_kg, abs=0.05)
