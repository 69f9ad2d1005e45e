"""The ready-made cases that hold the kit, as small pictures at one scale, best first."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from fitkit.documents.lettering import cut_to
from fitkit.documents.naming import size
from fitkit.documents.ready_made_table import Row, rows_of
from fitkit.documents.sheet import MEASURED, Mark, Path, Sheet, Style, Text, fast_contours
from fitkit.fit.layout import Placement
from fitkit.fit.place import place_all
from fitkit.fit.ready_made import inside_of
from fitkit.plan import Plan

WIDTH_MM, MARGIN_MM, GAP_MM, COLUMNS = 297.0, 12.0, 9.0, 3
MOST_PICTURES = 12
"""Most cases that are drawn; the table has them all."""


def ready_made_sheet(plan: Plan) -> Sheet | None:
    """The drawing; None where there is no list, or no case of it holds the kit."""
    rows = [row for row in rows_of(plan) if row.place is not None]
    if not rows:
        return None
    drawn = rows[:MOST_PICTURES]
    wide = (WIDTH_MM - 2 * MARGIN_MM - GAP_MM * (COLUMNS - 1)) / COLUMNS
    rooms = [inside_of(row.case, turned=row.tried.turned) for row in drawn]
    scale = max(room.length_mm for room in rooms) / wide
    lines = [drawn[k : k + COLUMNS] for k in range(0, len(drawn), COLUMNS)]
    talls = [
        max(inside_of(row.case, turned=row.tried.turned).width_mm for row in line) / scale
        for line in lines
    ]
    height = 30.0 + sum(talls) + 17.0 * len(lines) + 4.0
    count = f"the first {len(drawn)} of {len(rows)}" if len(rows) > len(drawn) else "all"
    second = (
        f"{count} that hold the kit, best first; from above, all at 1 : {size(scale)}, sizes in mm "
        "inside at the rim; the thin line is the floor"
    )
    if any(_upper(one) for row in drawn for one in row.tried.placements):
        second += "; dashed: above others"
    title = cut_to(plan.payload.title, width_mm=WIDTH_MM - 2 * MARGIN_MM, size_mm=6.2, bold=True)
    marks: list[Mark] = [
        Text(MARGIN_MM, height - 15.0, title, 6.2, bold=True),
        Text(MARGIN_MM, height - 20.5, second, 3.0, role="quiet"),
    ]
    y = height - 28.0
    for line, tall in zip(lines, talls, strict=True):
        for column, row in enumerate(line):
            x = MARGIN_MM + column * (wide + GAP_MM)
            marks += _picture(plan, row, x, y - tall, scale)
            marks += _label(row, x, y - tall, wide)
        y -= tall + 17.0
    what = f"{plan.payload.title}: ready-made cases that hold the kit"
    return Sheet(WIDTH_MM, height, what, tuple(marks))


def _picture(plan: Plan, row: Row, x: float, y: float, scale: float) -> list[Mark]:
    """One case with its layout, lowest tier first; what stands on a tier hides what is below."""
    room = inside_of(row.case, turned=row.tried.turned)
    put = _onto(x, y, scale)
    rim = fast_contours(put(room.outline_at(room.closing_mm)))
    floor = fast_contours(put(room.outline_at(0.0)))
    marks: list[Mark] = [Path(rim, Style("ink", 0.5, fill="foam"))]
    if room.leans:
        marks.append(Path(floor, Style("quiet", 0.13)))
    placed = place_all(plan.payload, row.tried.placements)
    for one in sorted(placed, key=lambda one: one.solid.z1_mm):
        body = fast_contours(put(one.solid.silhouette))
        dash = MEASURED if _upper(one.placement) else ()
        marks.append(Path(body, Style("ink", 0.25, dash, "white")))
    return marks


def _upper(placement: Placement) -> bool:
    """Whether a copy stands on a tier above others, or hangs in the shallow half."""
    return placement.tier > 1 or placement.half == "shallow"


def _label(row: Row, x: float, y: float, wide: float) -> list[Mark]:
    case = row.case
    facts = [f"{size(row.litres, 1)} L"]
    if case.mass_kg is not None:
        facts.append(f"{size(case.mass_kg, 2)} kg")
    if case.price is not None:
        facts.append(f"price {size(case.price, 2)}")
    name = cut_to(f"{row.place} · {case.name}", width_mm=wide, size_mm=3.0, bold=True)
    sizes = (
        f"{size(case.length_mm)} × {size(case.width_mm)}, "
        f"{size(case.deep_mm)} + {size(case.shallow_mm)} deep · {' · '.join(facts)}"
    )
    return [
        Text(x, y - 4.2, name, 3.0, bold=True, role="ok" if row.chosen else "ink"),
        Text(x, y - 8.0, cut_to(sizes, width_mm=wide, size_mm=2.5), 2.5, role="quiet"),
    ]


def _onto(x: float, y: float, scale: float) -> Callable[[BaseGeometry], BaseGeometry]:
    by = np.array([x, y])

    def put(shape: BaseGeometry) -> BaseGeometry:
        return shapely.transform(shape, lambda xy: by + xy / scale)

    return put
