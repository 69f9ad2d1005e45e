"""How a large drawing is spread over sheets of paper.

Each page shows a *window* of the drawing; neighbouring windows share ``overlap_mm``. Along one side
of length P, with windows u and overlap o, n = ceil((P - o) / (u - o)) pages are needed (derived;
margin and overlap of 10 mm are common practice, no source).
"""

from __future__ import annotations

import math
from typing import Literal

from attrs import frozen

Paper = Literal["A4", "Letter"]

PAPERS_MM: dict[Paper, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height upright [mm]: ISO 216 A4; Letter is 8.5 x 11 in."""

MARGIN_MM = 10.0
OVERLAP_MM = 10.0
FOOT_MM = 16.0
"""Room for the label and the level check line under the window [mm]."""
SIDE_MM = 9.0
"""Room for the upright check line beside the window [mm]."""


@frozen
class Grid:
    """Pages for one drawing: paper as turned, the window on it, and rows and columns.

    Row 0 is at the back (the top of the paper on the table), column 0 at the left.
    """

    paper_mm: tuple[float, float]
    window_mm: tuple[float, float]
    drawing_mm: tuple[float, float]
    columns: int
    rows: int

    @property
    def pages(self) -> int:
        """How many pages."""
        return self.columns * self.rows

    @property
    def step_mm(self) -> tuple[float, float]:
        """From one window to the next [mm]."""
        return (self.window_mm[0] - OVERLAP_MM, self.window_mm[1] - OVERLAP_MM)

    @property
    def low_mm(self) -> tuple[float, float]:
        """Lower left corner of the window on the paper [mm]."""
        return (MARGIN_MM, MARGIN_MM + FOOT_MM)

    def window_of(self, row: int, column: int) -> tuple[float, float]:
        """Lower left corner of a page's window in the drawing [mm]."""
        return (column * self.step_mm[0], (self.rows - 1 - row) * self.step_mm[1])


def pages_along(length_mm: float, window_mm: float, overlap_mm: float = OVERLAP_MM) -> int:
    """How many windows cover a length.

    >>> pages_along(490.0, 181.0), pages_along(181.0, 181.0)
    (3, 1)
    """
    if window_mm <= overlap_mm:
        raise ValueError("a window is larger than the overlap")
    return max(1, math.ceil((length_mm - overlap_mm) / (window_mm - overlap_mm) - 1e-9))


def grid_for(width_mm: float, height_mm: float, *, paper: Paper) -> Grid:
    """The grid with the fewest pages, upright or on its side (upright if equal)."""
    upright = PAPERS_MM[paper]
    grids = []
    for size in (upright, (upright[1], upright[0])):
        window = (size[0] - 2 * MARGIN_MM - SIDE_MM, size[1] - 2 * MARGIN_MM - FOOT_MM)
        grids.append(
            Grid(
                size,
                window,
                (width_mm, height_mm),
                pages_along(width_mm, window[0]),
                pages_along(height_mm, window[1]),
            )
        )
    return min(grids, key=lambda grid: grid.pages)


def row_name(row: int) -> str:
    """A letter for a row: A, B ... Z, AA.

    >>> row_name(0), row_name(27)
    ('A', 'AB')
    """
    name = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        name = chr(65 + rest) + name
    return name
