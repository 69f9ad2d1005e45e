"""Birch plywood's real thickness and mass, against the table of source S18 (secondary), typed anew.

Source S18: birch plywood: real thickness, density, mass per sheet of 1220 x 2440 mm; read on a
secondary page. The slots that each thickness fits are those noted beside the table.
"""

from __future__ import annotations

import pytest

from fitkit.payload.boards import board_of, wall_board
from fitkit.payload.model import Wall
from fitkit.payload.workshop import Laminate
from fitkit.reference.panels import LAMINATE_KG_M2, LAMINATE_MM, panels

S18 = [  # nominal, plies, mean, least, most [mm], kg/m3, kg a sheet
    (4, 3, 3.8, 3.5, 4.1, 660, 7.9),
    (6.5, 5, 6.4, 6.1, 6.9, 670, 13.0),
    (9, 7, 9.2, 8.8, 9.5, 710, 19.0),
    (12, 9, 12.0, 11.5, 12.5, 695, 24.8),
    (15, 11, 14.9, 14.3, 15.3, 690, 30.8),
    (18, 13, 17.7, 17.1, 18.1, 685, 36.7),
]


@pytest.mark.parametrize("row", S18, ids=lambda row: str(row[0]))
def test_a_board_is_sold_in_its_published_range(row: tuple[float, ...]) -> None:
    """Mean, least and most thickness, density and mass are the printed ones."""
    nominal, _, mean, least, most, density, sheet_kg = row
    board = board_of(f"birch plywood {nominal:g}")
    assert (board.thickness_mm, board.least_mm, board.most_mm) == (mean, least, most)
    assert panels()[board.name].density_kg_m3 == density
    assert board.areal_kg_m2 == pytest.approx(sheet_kg / (1.22 * 2.44), abs=0.006)
    assert (board.grain, board.wood, board.sheet_mm) == (True, True, (2440.0, 1220.0))


@pytest.mark.parametrize(
    ("nominal", "slot_mm", "fits"),
    [("6.5", 7.0, True), ("6.5", 6.5, False), ("9", 9.5, True), ("12", 12.5, True)],
)
def test_the_slots_that_it_fits(nominal: str, slot_mm: float, fits: bool) -> None:
    """6.5 goes into 7.0 but not surely into 6.5; 9 just into 9.5; 12 just into 12.5."""
    assert (board_of(f"birch plywood {nominal}").most_mm <= slot_mm) == fits


@pytest.mark.parametrize("nominal", ["6.5", "9"])
def test_a_laminated_board_is_its_core_and_two_faces(nominal: str) -> None:
    """Thinnest core with the thinnest laminate, thickest with the thickest: 0.5 to 0.8 mm a face.

    The laminate's figures are from memory; the core's are those of S18.
    """
    core, faced = panels()[f"birch plywood {nominal}"], panels()[f"laminated plywood {nominal}"]
    assert faced.min_mm == pytest.approx(core.min_mm + 2 * LAMINATE_MM[0])
    assert faced.max_mm == pytest.approx(core.max_mm + 2 * LAMINATE_MM[1])
    assert faced.mean_mm == pytest.approx(core.mean_mm + sum(LAMINATE_MM))
    assert core.areal_kg_m2 is not None
    assert faced.areal_kg_m2 == pytest.approx(core.areal_kg_m2 + sum(LAMINATE_KG_M2))


def test_the_default_wall_is_a_board_of_the_table() -> None:
    """A wall that nobody described is birch plywood 6.5 as it is sold."""
    assert wall_board(Wall()) == board_of("birch plywood 6.5")
    faced = board_of("birch plywood 6.5", laminate=Laminate(1, 0.5, 0.8))
    assert faced.most_mm == pytest.approx(7.4)
