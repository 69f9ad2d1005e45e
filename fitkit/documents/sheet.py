"""The neutral sheet: what a drawing is, before any file format.

Millimetres on paper, x to the right, y **up**, origin at the lower left corner. A drawing is made
once, as marks in the order in which they are laid down; the pens (:mod:`fitkit.documents.pens`)
replay them. Only a pen whose format counts y downwards turns it over.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Literal

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.geometry.arcs import Vertex, bulged_rings

Role = Literal[
    "ink", "quiet", "paper", "white", "foam", "ok", "tight", "fails", "unknown", "connector",
    "zone", "cut", "mark", "note",
]  # fmt: skip
HatchKind = Literal["wall", "panel", "foam", "connector", "cable", "vent", "hand", "mount"]
Anchor = Literal["start", "middle", "end"]

LIGHT: dict[Role, str] = {
    "ink": "#20303A",
    "quiet": "#5F6E78",
    "paper": "#FBFAF5",
    "white": "#FFFFFF",
    "foam": "#E9E4D8",
    "ok": "#24499E",
    "tight": "#966605",
    "fails": "#580A05",
    "unknown": "#5F6E78",
    "connector": "#5C15C0",
    "zone": "#1C805C",
    "cut": "#FF0000",
    "mark": "#0000FF",
    "note": "#808080",
}
"""Colours of the roles on paper; the three cutting roles are pure, as cutters tell them apart."""

PRINTED: dict[Role, str] = {
    **LIGHT,
    "paper": "#FFFFFF",
    "cut": "#000000",
    "mark": "#20303A",
    "note": "#5F6E78",
}
"""Colours for templates that are printed, often in black and white."""

DASHED = (1.6, 0.8)
DASH_DOT = (2.2, 0.7, 0.5, 0.7)
MEASURED = (1.2, 0.8)
DOTTED = (0.5, 0.8)


@frozen
class Style:
    """How a path is drawn: stroke and fill by role (None for none), width and dashes in mm."""

    stroke: Role | None = "ink"
    width_mm: float = 0.25
    dash_mm: tuple[float, ...] = ()
    fill: Role | None = None


@frozen
class Contour:
    """A line of vertices (x, y, bulge), as in :mod:`fitkit.geometry.arcs`; closed or open."""

    vertices: tuple[Vertex, ...]
    closed: bool = True


@frozen
class Path:
    """Contours drawn in one style; filled by the even-odd rule. ``operation`` names its layer."""

    contours: tuple[Contour, ...]
    style: Style = Style()
    operation: str = ""


@frozen
class Text:
    """One line of text with its base line at (x, y), turned counter-clockwise about that point."""

    x_mm: float
    y_mm: float
    text: str
    size_mm: float = 3.0
    anchor: Anchor = "start"
    bold: bool = False
    role: Role = "ink"
    turn_deg: float = 0.0
    operation: str = ""


@frozen
class Circle:
    """A full circle about (x, y): a drilled hole. ``operation`` names its layer."""

    x_mm: float
    y_mm: float
    diameter_mm: float
    style: Style = Style()
    operation: str = ""


@frozen
class Hatch:
    """An area filled with the pattern of what it is."""

    contours: tuple[Contour, ...]
    kind: HatchKind


@frozen
class Inset:
    """Another sheet at its own size, its origin at (x, y), shown inside a box only.

    ``box_mm`` is (left, low, right, high) on this sheet; ``key`` names the sheet, so that a pen may
    store it once.
    """

    key: str
    sheet: Sheet
    x_mm: float
    y_mm: float
    box_mm: tuple[float, float, float, float]


Mark = Path | Circle | Text | Hatch | Inset


@frozen
class Sheet:
    """A finished drawing: its size on paper [mm], a title, and its marks from the bottom up."""

    width_mm: float
    height_mm: float
    title: str
    marks: tuple[Mark, ...]


@frozen
class HatchLines:
    """A set of parallel lines of a hatch: direction, distance, width [mm], role, dots or lines."""

    turn_deg: float
    step_mm: float
    width_mm: float
    role: Role
    dot_step_mm: float = 0.0
    shift_mm: float = 0.0


HATCHES: dict[HatchKind, tuple[HatchLines, ...]] = {
    "wall": (HatchLines(45.0, 2.0, 0.22, "ink"),),
    "panel": (HatchLines(45.0, 3.0, 0.1, "quiet"),),
    "foam": (
        HatchLines(0.0, 1.6, 0.26, "quiet", dot_step_mm=1.6),
        HatchLines(0.0, 1.6, 0.26, "quiet", dot_step_mm=1.6, shift_mm=0.8),
    ),
    "connector": (HatchLines(-45.0, 1.5, 0.3, "connector"),),
    "cable": (HatchLines(0.0, 1.5, 0.3, "zone"),),
    "vent": (HatchLines(90.0, 1.5, 0.3, "zone"),),
    "hand": (HatchLines(45.0, 1.8, 0.25, "zone"), HatchLines(-45.0, 1.8, 0.25, "zone")),
    "mount": (HatchLines(0.0, 3.0, 0.14, "quiet"),),
}
"""What each hatch is made of."""


@lru_cache(maxsize=1024)
def contours_of(shape: BaseGeometry) -> tuple[Contour, ...]:
    """The rings of a polygon or of several, with arcs found again; holes before the outer ring."""
    found: list[Contour] = []
    for part in shapely.get_parts(shape):
        if isinstance(part, Polygon) and not part.is_empty:
            outer, *inner = bulged_rings(part)
            found.extend(Contour(tuple(ring)) for ring in (*inner, outer))
    return tuple(found)


def fast_contours(shape: BaseGeometry, *, tolerance_mm: float = 0.02) -> tuple[Contour, ...]:
    """The rings of a polygon or of several, thinned out: for pictures at a small scale only."""
    found: list[Contour] = []
    for part in shapely.get_parts(shapely.simplify(shape, tolerance_mm)):
        if isinstance(part, Polygon) and not part.is_empty:
            for ring in (*part.interiors, part.exterior):
                xy = shapely.get_coordinates(ring)[:-1]
                found.append(Contour(tuple((float(x), float(y), 0.0) for x, y in xy)))
    return tuple(found)


def polyline(points: Iterable[Sequence[float]], *, closed: bool = False) -> Contour:
    """A contour of straight edges through ``points``."""
    return Contour(tuple((float(p[0]), float(p[1]), 0.0) for p in points), closed)


def box(left: float, low: float, right: float, high: float, *, corner_mm: float = 0.0) -> Contour:
    """A rectangle between two corners [mm], rounded where asked.

    >>> len(box(0, 0, 10, 4, corner_mm=2).vertices)
    8
    """
    r = min(corner_mm, (right - left) / 2, (high - low) / 2)
    if r <= 0:
        return polyline([(left, low), (right, low), (right, high), (left, high)], closed=True)
    b = 0.41421356237309503  # tan(90 deg / 4): a quarter turn
    return Contour(
        (
            (left + r, low, 0.0), (right - r, low, b), (right, low + r, 0.0), (right, high - r, b),
            (right - r, high, 0.0), (left + r, high, b), (left, high - r, 0.0), (left, low + r, b),
        )
    )  # fmt: skip


def disc(x: float, y: float, radius_mm: float) -> Contour:
    """A full circle as two arcs."""
    return Contour(((x - radius_mm, y, 1.0), (x + radius_mm, y, 1.0)))
