"""A support seen from above, in the case: its outline with what is cut out of it."""

from __future__ import annotations

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.fit.place import Placed
from fitkit.shell.mounting.model import Support


def is_below(support: Support, placed: Placed) -> bool:
    """Whether a support lies below the body that it holds."""
    middle = (support.low_mm[2] + support.high_mm[2]) / 2
    return middle < (placed.solid.z0_mm + placed.solid.z1_mm) / 2


def outline_of(support: Support, *, below: bool) -> Polygon:
    """What a support covers in plan [mm]: its box, less the openings of one that lies level.

    ``below``: the item lies above it (:func:`is_below`). Openings of an upright piece are not seen
    from above. A piece that is cut in two keeps its larger part.

    >>> rail = Support("rail", "rail", "screen", 1, "deep", (10, 0, 0), (50, 20, 5), "x", "y",
    ...                40.0, 20.0, 5.0, "ash", openings=(shapely.box(0, 0, 10, 20),))
    >>> outline_of(rail, below=True).bounds, outline_of(rail, below=False).bounds
    ((20.0, 0.0, 50.0, 20.0), (10.0, 0.0, 40.0, 20.0))
    """
    whole = shapely.box(*support.low_mm[:2], *support.high_mm[:2])
    if not support.openings or "z" in (support.u_axis, support.v_axis):
        return whole
    cut = shapely.union_all([_in_case(one, support, below=below) for one in support.openings])
    left = shapely.get_parts(whole.difference(cut))
    largest = max(left, key=lambda part: float(part.area), default=whole)
    return largest if isinstance(largest, Polygon) else whole


def _in_case(shape: Polygon, support: Support, *, below: bool) -> BaseGeometry:
    """From a level piece's own u and v to x and y: seen from the item, u, v, up right-handed."""
    along_x = support.u_axis == "x"
    # u and v turn left about the way to the item: where they would turn right, u runs backwards
    backwards = along_x != below
    x0, y0 = support.low_mm[0], support.low_mm[1]

    def moved(u: float, v: float) -> tuple[float, float]:
        along = support.length_mm - u if backwards else u
        return (x0 + along, y0 + v) if along_x else (x0 + v, y0 + along)

    u0, v0, u1, v1 = shape.bounds
    if abs(shape.area - (u1 - u0) * (v1 - v0)) < 1e-6:
        (ax, ay), (bx, by) = moved(u0, v0), moved(u1, v1)
        return shapely.box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
    rings = [
        [moved(float(u), float(v)) for u, v in ring.coords]
        for ring in (shape.exterior, *shape.interiors)
    ]
    return Polygon(rings[0], rings[1:])
