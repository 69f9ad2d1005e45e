"""Foam layers that are no rectangles, nested by their outlines."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from shapely import Polygon
from shapely.affinity import rotate, translate

from fitkit.fit.child import Child
from fitkit.foam.model import Layer
from fitkit.stock.model import LaidLayer

ENGINE = "fitkit.fit.engine"
COARSE_MM = 0.05
"""How far an outline may be simplified for the engine; the gap is enlarged by as much."""

TOUCH_MM = 1e-6


def nested(
    layers: Sequence[Layer],
    *,
    sheet_mm: tuple[float, float],
    gap_mm: float,
    most: int,
    seconds: float,
) -> list[tuple[int, LaidLayer]] | None:
    """Sheet and place of every layer on ``most`` sheets or fewer; None if that is not found.

    One sheet after the other: the largest layers that are left are nested in a strip as wide as the
    sheet; where that is too long, the smallest wait for the next sheet. What the engine finds is
    checked here: inside the sheet, apart by the gap.
    """
    waiting = sorted(range(len(layers)), key=lambda at: -layers[at].outline.area)
    placed: dict[int, tuple[int, LaidLayer]] = {}
    end = time.monotonic() + 4 * seconds
    for sheet in range(most):
        chosen = list(waiting)
        room = sheet_mm[0] * sheet_mm[1]
        while chosen and sum(layers[at].outline.area for at in chosen) > room:
            chosen.pop()
        spots = None
        while chosen and time.monotonic() < end:
            spots = _one_sheet([layers[at] for at in chosen], sheet_mm, gap_mm, seconds)
            if spots is not None:
                break
            chosen.pop()
        if spots is None:
            return None
        placed |= {at: (sheet, spot) for at, spot in zip(chosen, spots, strict=True)}
        waiting = [at for at in waiting if at not in placed]
        if not waiting:
            return [placed[at] for at in range(len(layers))]
    return None


def _one_sheet(
    layers: Sequence[Layer], sheet_mm: tuple[float, float], gap_mm: float, seconds: float
) -> list[LaidLayer] | None:
    """All these layers on one sheet, or None."""
    # the engine keeps its gap from the strip's sides as well
    gap = gap_mm + 2 * COARSE_MM
    outlines = [_plain(layer.outline) for layer in layers]
    job: dict[str, Any] = {
        "height": sheet_mm[1] + 2 * gap,
        "web": gap,
        "seconds": max(1, round(seconds / 5)),
        "seed": 1,
        "items": [
            {
                "id": str(at),
                "points": shapely.get_coordinates(outline)[:-1].tolist(),
                "demand": 1,
                "turns": [0.0, 90.0, 180.0, 270.0],
            }
            for at, outline in enumerate(outlines)
        ],
    }
    end = time.monotonic() + 2 * seconds
    with Child(ENGINE, job) as child:
        done = False
        while not done and time.monotonic() < end:
            answers, done = child.answers(0.2)
            for answer in answers:
                spots = _checked(answer, layers, sheet_mm, gap_mm)
                if spots is not None:
                    return spots
    return None


def _plain(outline: Polygon) -> Polygon:
    """The outer edge, with fewer points where it is finely curved."""
    simple = shapely.simplify(Polygon(outline.exterior), COARSE_MM)
    return simple if isinstance(simple, Polygon) else Polygon(outline.exterior)


def _checked(
    answer: dict[str, Any], layers: Sequence[Layer], sheet_mm: tuple[float, float], gap_mm: float
) -> list[LaidLayer] | None:
    """The engine's layout with its lower left corner on the sheet's, if it holds there."""
    bodies: dict[int, tuple[Polygon, float]] = {}
    for number, turn, x, y in answer["spots"]:
        outline = layers[int(number)].outline
        turned = rotate(outline, turn, origin=(0.0, 0.0))
        bodies[int(number)] = (translate(turned, x, y), turn % 360.0)
    if len(bodies) != len(layers):
        return None
    shapes = np.array([bodies[at][0] for at in range(len(layers))], dtype=object)
    left, low, right, high = shapely.total_bounds(shapes)
    if right - left > sheet_mm[0] + TOUCH_MM or high - low > sheet_mm[1] + TOUCH_MM:
        return None
    for at in range(len(shapes)):
        rest = shapes[at + 1 :]
        if len(rest) and float(np.min(shapely.distance(shapes[at], rest))) < gap_mm - 1e-3:
            return None
        if (
            len(rest)
            and gap_mm == 0
            and bool(np.any(shapely.area(shapely.intersection(shapes[at], rest)) > 1e-3))
        ):
            return None
    return [
        LaidLayer(
            layers[at].name,
            float(shape.bounds[0] - left),
            float(shape.bounds[1] - low),
            math.fmod(bodies[at][1], 360.0),
        )
        for at, shape in enumerate(shapes)
    ]
