"""What every drawing promises of its texts."""

from __future__ import annotations

from itertools import combinations

import shapely

from fitkit.documents.clear_text import area_of
from fitkit.documents.sheet import Sheet, Text


def assert_texts_apart(sheet: Sheet) -> None:
    """2.5 mm high at the least, on the paper, apart from each other."""
    marks = [m for m in sheet.marks if isinstance(m, Text)]
    rooms = [area_of(m).buffer(-0.15) for m in marks]
    page = shapely.box(5, 3, sheet.width_mm - 5, sheet.height_mm - 5)
    for (one, a), (other, b) in combinations(zip(marks, rooms, strict=True), 2):
        assert a.intersection(b).area < 0.01, (one.text, other.text)
    for mark, room in zip(marks, rooms, strict=True):
        assert page.covers(room), mark.text
        assert mark.size_mm >= 2.5
