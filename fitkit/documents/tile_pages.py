"""A large drawing as pages to print at 1:1 and tape together: windows, join lines, check lines."""

from __future__ import annotations

from attrs import frozen

from fitkit.documents.lettering import wrapped
from fitkit.documents.sheet import DASHED, Inset, Mark, Path, Sheet, Style, Text, disc, polyline
from fitkit.documents.tiles import MARGIN_MM, OVERLAP_MM, Grid, row_name

CHECK_MM = 100.0


@frozen
class Tiled:
    """A drawing at 1:1 with its pages.

    ``key`` names the drawing, so that a document stores it once; ``foot`` is the line at the foot
    of every page; ``first_page`` the number of the first.
    """

    key: str
    title: str
    foot: str
    drawing: Sheet
    grid: Grid
    first_page: int


def tile_pages(tiled: Tiled, *, total: int) -> list[Sheet]:
    """The pages of a drawing, row by row from the back; ``total`` is that of the document."""
    grid = tiled.grid
    return [
        _page(tiled, row, column, total)
        for row in range(grid.rows)
        for column in range(grid.columns)
    ]


def _page(tiled: Tiled, row: int, column: int, total: int) -> Sheet:
    grid = tiled.grid
    (left, low), (u, v) = grid.low_mm, grid.window_mm
    number = tiled.first_page + row * grid.columns + column
    x, y = grid.window_of(row, column)
    marks: list[Mark] = [
        Inset(tiled.key, tiled.drawing, left - x, low - y, (left, low, left + u, low + v)),
    ]
    marks += _joins(tiled, row, column)
    marks += _check_lines(grid)
    foot = MARGIN_MM + 6.6
    place = f"row {row_name(row)}, column {column + 1}"
    marks.append(Text(left, foot, f"{row_name(row)}{column + 1}", 6.0, bold=True))
    title_at = left + 14.0
    for k, line in enumerate(
        wrapped(f"{tiled.title} · {place}", width_mm=u - 118.0, size_mm=2.9, bold=True)[:2]
    ):
        marks.append(Text(title_at, foot + 1.6 - 3.6 * k, line, 2.9, bold=True))
    marks.append(Text(left, MARGIN_MM - 1.0, tiled.foot, 2.5, role="quiet"))
    marks.append(
        Text(
            grid.paper_mm[0] - MARGIN_MM,
            MARGIN_MM - 1.0,
            f"page {number} of {total}",
            2.5,
            "end",
            role="quiet",
        )
    )
    return Sheet(*grid.paper_mm, f"{tiled.title} {place}", tuple(marks))


def _joins(tiled: Tiled, row: int, column: int) -> list[Mark]:
    """Join lines in the middle of each overlap, cross-hairs where they meet, and who is next."""
    grid = tiled.grid
    (left, low), (u, v) = grid.low_mm, grid.window_mm
    half = OVERLAP_MM / 2
    xs, ys = (left + half, left + u - half), (low + half, low + v - half)
    last_row, last_column = grid.rows - 1, grid.columns - 1
    marks: list[Mark] = []
    sides = (
        (column > 0, (xs[0], low, xs[0], low + v), f"{row_name(row)}{column}"),
        (column < last_column, (xs[1], low, xs[1], low + v), f"{row_name(row)}{column + 2}"),
        (row < last_row, (left, ys[0], left + u, ys[0]), f"{row_name(row + 1)}{column + 1}"),
        (row > 0, (left, ys[1], left + u, ys[1]), f"{row_name(row - 1)}{column + 1}"),
    )
    for joined, (x0, y0, x1, y1), other in sides:
        if not joined:
            continue
        marks.append(Path((polyline([(x0, y0), (x1, y1)]),), Style("quiet", 0.13, DASHED)))
        if x0 == x1:  # named a third of the way, clear of most drawings' middle
            aside = -1.2 if x0 == xs[0] else 3.2
            marks.append(
                Text(
                    x0 + aside,
                    low + v * 0.3,
                    f"join {other}",
                    2.5,
                    "middle",
                    role="quiet",
                    turn_deg=90.0,
                )
            )
        else:
            aside = -3.2 if y0 == ys[0] else 1.2
            marks.append(
                Text(left + u * 0.3, y0 + aside, f"join {other}", 2.5, "middle", role="quiet")
            )
    for x in xs:
        for y in ys:
            marks.append(
                Path(
                    (polyline([(x - 4, y), (x + 4, y)]), polyline([(x, y - 4), (x, y + 4)])),
                    Style("ink", 0.18),
                )
            )
            marks.append(Path((disc(x, y, 1.8),), Style("ink", 0.18)))
    return marks


def _check_lines(grid: Grid) -> list[Mark]:
    """A line of 100 mm level in the foot and one upright at the right."""
    left, low = grid.low_mm
    right = left + grid.window_mm[0]
    top = low + CHECK_MM
    words = "100 mm: measure before cutting"
    y = MARGIN_MM + 6.0
    x0 = right - CHECK_MM
    x = grid.paper_mm[0] - MARGIN_MM - 2.5
    return [
        Path((polyline([(x0, y), (right, y)]), polyline([(x0, y - 1.5), (x0, y + 1.5)]),
              polyline([(right, y - 1.5), (right, y + 1.5)])), Style("ink", 0.25)),
        Text(x0 + CHECK_MM / 2, y + 1.6, words, 2.5, "middle"),
        Path((polyline([(x, low), (x, top)]), polyline([(x - 1.5, low), (x + 1.5, low)]),
              polyline([(x - 1.5, top), (x + 1.5, top)])), Style("ink", 0.25)),
        Text(x - 1.6, low + CHECK_MM / 2, words, 2.5, "middle", turn_deg=90.0),
    ]  # fmt: skip
