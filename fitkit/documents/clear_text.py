"""A place for a text where nothing else is: tried in order, the first free one is taken."""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.lettering import CAP_SHARE, width_of
from fitkit.documents.sheet import Path, Role, Style, Text, contours_of


class Taken:
    """What stands on a drawing already, in millimetres on paper."""

    def __init__(self, shapes: Iterable[BaseGeometry] = ()) -> None:
        """``shapes`` are outlines and lines that no text may touch."""
        self._shapes = list(shapes)
        self._shunned: list[BaseGeometry] = []

    def take(self, *shapes: BaseGeometry) -> None:
        """Keep texts off these too."""
        self._shapes.extend(shapes)

    def shun(self, shapes: Iterable[BaseGeometry]) -> None:
        """Lines that a text had better not cross, but may where there is no other place."""
        self._shunned.extend(shapes)

    def free(self, area: BaseGeometry) -> bool:
        """Whether nothing touches this area."""
        return not any(shape.intersects(area) for shape in self._shapes)

    def first(
        self, places: Iterable[tuple[list[Text], float]], *, inside: BaseGeometry | None = None
    ) -> list[Text] | None:
        """The first texts of which all are free, with their margin [mm]; None if there are none.

        ``inside``: an area that must hold them. What is taken is kept.
        """
        crossing: tuple[list[Text], list[BaseGeometry]] | None = None
        for texts, margin in places:
            areas: list[BaseGeometry] = [
                area_of(text).buffer(margin, join_style="mitre") for text in texts
            ]
            if inside is not None and not all(inside.covers(area) for area in areas):
                continue
            if not all(self.free(area) for area in areas):
                continue
            if not any(line.intersects(area) for line in self._shunned for area in areas):
                self.take(*areas)
                return texts
            crossing = crossing or (texts, areas)
        if crossing is None:
            return None
        self.take(*crossing[1])
        return crossing[0]


def area_of(text: Text) -> Polygon:
    """The room of a text, from a little under its base line to the height of its capitals."""
    wide = width_of(text.text, size_mm=text.size_mm, bold=text.bold)
    start = {"start": 0.0, "middle": -wide / 2, "end": -wide}[text.anchor]
    box = shapely.box(start, -0.22 * text.size_mm, start + wide, text.size_mm * CAP_SHARE)
    turned = shapely.affinity.rotate(box, text.turn_deg, origin=(0, 0))
    area: Polygon = shapely.affinity.translate(turned, text.x_mm, text.y_mm)
    return area


def grounds(texts: Iterable[Text], *, fill: Role = "paper") -> list[Path]:
    """A plain ground under each text, so that no line or hatching runs through it."""
    return [
        Path(contours_of(area_of(text).buffer(0.3, join_style="mitre")), Style(None, fill=fill))
        for text in texts
    ]


def block(
    x_mm: float,
    y_mm: float,
    lines: list[tuple[str, float, bool]],
    *,
    turn_deg: float = 0.0,
) -> list[Text]:
    """Lines (text, size, bold) about a middle, level or turned by 90 degrees."""
    tall = sum(size * 1.35 for _, size, _ in lines[1:]) + lines[0][1] * CAP_SHARE
    at = tall / 2 - lines[0][1] * CAP_SHARE
    texts = []
    for k, (text, size, bold) in enumerate(lines):
        if k:
            at -= size * 1.35
        role: Role = "ink" if bold else "quiet"
        spot = (x_mm - at, y_mm) if turn_deg else (x_mm, y_mm + at)
        texts.append(Text(*spot, text, size, "middle", bold, role, turn_deg))
    return texts
