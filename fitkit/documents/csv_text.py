"""A list as CSV text that spreadsheets read alike, and that none of them runs.

UTF-8 with a byte order mark, so that spreadsheets read the signs; commas, a decimal point, one
header line with units. A text that a spreadsheet would take for a formula is led by an apostrophe.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

Cell = str | float | int | None
Table = tuple[tuple[str, ...], list[tuple[Cell, ...]]]
"""The header line, and the rows."""

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def safe(cell: Cell) -> str:
    """One cell as text that no spreadsheet runs.

    >>> safe("=1+1"), safe("-spare"), safe(-2.5), safe(None)
    ("'=1+1", "'-spare", '-2.5', '')
    """
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int):
        return str(cell)
    if isinstance(cell, float):
        text = f"{cell:.3f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text
    text = cell.replace("\x00", "")
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_STARTS) else text


def csv_bytes(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """A list as the bytes of its file."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([safe(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8-sig")
