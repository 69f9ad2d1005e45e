"""Where a name has room inside an outline."""

from __future__ import annotations

from functools import lru_cache

import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.documents.lettering import CAP_SHARE, width_of


@frozen
class Spot:
    """A place for one line: the middle of its base line [mm], type size [mm], turn [deg]."""

    x_mm: float
    y_mm: float
    size_mm: float
    turn_deg: float = 0.0
    fits: bool = True


@lru_cache(maxsize=4096)
def middle_of(shape: BaseGeometry) -> tuple[float, float, float]:
    """The point deepest inside a shape, and how deep [mm]; its middle if that is as deep."""
    largest = max(shapely.get_parts(shape), key=lambda part: part.area)
    middle = largest.centroid
    line = shapely.maximum_inscribed_circle(largest, tolerance=max(0.5, largest.length / 400))
    depth = float(shapely.length(line))
    at = shapely.get_coordinates(line)[0]
    if (
        largest.contains(middle)
        and largest.exterior.distance(middle) > 0.85 * depth
        and all(hole.distance(middle) > 0.85 * depth for hole in largest.interiors)
    ):
        return float(middle.x), float(middle.y), depth
    return float(at[0]), float(at[1]), depth


def roomiest(shape: BaseGeometry, text: str, *, largest_mm: float, smallest_mm: float) -> Spot:
    """The largest type size at which ``text`` fits into ``shape``, level or turned by 90 degrees.

    Where it does not fit even at the smallest size, that size is used in the middle and ``fits``
    is false.
    """
    x, y, _ = middle_of(shape)
    prepared = max(shapely.get_parts(shape), key=lambda part: part.area)
    shapely.prepare(prepared)
    steps = 6
    for k in range(steps + 1):
        size = largest_mm - (largest_mm - smallest_mm) * k / steps
        long = width_of(text, size_mm=size, bold=True) / 2 + 0.3 * size
        tall = CAP_SHARE * size / 2 + 0.3 * size
        if prepared.covers(shapely.box(x - long, y - tall, x + long, y + tall)):
            return Spot(x, y - CAP_SHARE * size / 2, size)
        if prepared.covers(shapely.box(x - tall, y - long, x + tall, y + long)):
            return Spot(x + CAP_SHARE * size / 2, y, size, 90.0)
    return Spot(x, y - CAP_SHARE * smallest_mm / 2, smallest_mm, fits=False)
