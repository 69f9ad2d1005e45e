"""Names of the gear in a section: inside, beside, or as numbers with a line under the drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from fitkit.documents.clear_text import Taken, area_of, grounds
from fitkit.documents.lettering import CAP_SHARE, cut_to
from fitkit.documents.section_cut import Cut
from fitkit.documents.sheet import Mark, Text
from fitkit.documents.spots import roomiest

LEAST_MM = 2.5


def names_of(
    cut: Cut,
    on_sheet: Callable[[BaseGeometry], BaseGeometry],
    others: Sequence[Mark],
    *,
    foot: tuple[float, float, float],
) -> list[Mark]:
    """The names of all bodies, none over another body, another name or the texts ``others``.

    ``on_sheet`` takes a shape of the cut to the sheet. What has no room at all gets a number, told
    in a line at ``foot`` = (left, base line, right) [mm].
    """
    shapes = {body.label: on_sheet(body.shape) for body in cut.bodies}
    said = Taken(area_of(mark) for mark in others if isinstance(mark, Text))
    marks: list[Mark] = []
    rest: list[str] = []
    for label, shape in shapes.items():
        spot = roomiest(shape, label, largest_mm=3.2, smallest_mm=LEAST_MM)
        if not spot.fits:
            rest.append(label)
            continue
        text = Text(spot.x_mm, spot.y_mm, label, spot.size_mm, "middle", True,
                    turn_deg=spot.turn_deg)  # fmt: skip
        said.take(area_of(text))
        marks.append(text)
    keyed: list[str] = []
    for label in rest:
        near = Taken(shape for other, shape in shapes.items() if other != label)
        found = next(
            (
                text
                for text in _places(shapes[label], label)
                if near.free(area_of(text).buffer(0.3)) and said.free(area_of(text).buffer(0.3))
            ),
            None,
        )
        if found is None:
            keyed.append(label)
            x, y = _middle(shapes[label])
            found = Text(x, y, str(len(keyed)), LEAST_MM, "middle", True)
        said.take(area_of(found))
        marks += [*grounds([found], fill="white"), found]
    if keyed:
        left, base, right = foot
        key = " · ".join(f"{k} {label}" for k, label in enumerate(keyed, start=1))
        marks.append(
            Text(left, base, cut_to(key, width_mm=right - left, size_mm=LEAST_MM), LEAST_MM)
        )
    return marks


def _middle(shape: BaseGeometry) -> tuple[float, float]:
    x0, y0, x1, y1 = shapely.bounds(shape)
    return (float(x0 + x1) / 2, float(y0 + y1) / 2 - LEAST_MM * CAP_SHARE / 2)


def _places(shape: BaseGeometry, label: str) -> list[Text]:
    """Level over the middle, above, below, and turned over the middle."""
    x, y = _middle(shape)
    _, low, _, high = shapely.bounds(shape)
    return [
        Text(x, y, label, LEAST_MM, "middle", True),
        Text(x, float(high) + 0.9, label, LEAST_MM, "middle", True),
        Text(x, float(low) - LEAST_MM * CAP_SHARE - 0.9, label, LEAST_MM, "middle", True),
        Text(x + LEAST_MM * CAP_SHARE / 2, y + LEAST_MM * CAP_SHARE / 2, label, LEAST_MM,
             "middle", True, turn_deg=90.0),
    ]  # fmt: skip
