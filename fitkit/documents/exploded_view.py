"""The open case taken apart, as a plain line drawing: used where no 3D picture can be made.

Parts are painted from the far and low to the near and high. The parts of one half hang at heights
of their own, so that this order is right for the sheets; items of one level are sorted by distance.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.lettering import width_of
from fitkit.documents.sheet import Contour, Mark, Path, Role, Sheet, Style, Text, polyline
from fitkit.foam.exploded import Part, largest_tops, side_light, view_axes
from fitkit.plan import Plan
from fitkit.scene.render import plan_parts

SIZE_MM = (270.0, 202.5)
"""The drawing's size on paper [mm]: four to three, as the picture that it stands in for."""

_PICTURE_MM = 0.1
_EDGE_MM = 14.0
_FILL: dict[str, Role] = {
    "foam": "foam",
    "accent": "foam",
    "item": "white",
    "panel": "paper",
    "support": "paper",
}


def exploded_sheet(plan: Plan, *, why: str) -> Sheet:
    """The open case as a line drawing; ``why`` says what kept the 3D picture from being made."""
    view = _View(plan_parts(plan))
    marks: list[Mark] = [
        Text(_EDGE_MM, SIZE_MM[1] - 12.0, plan.payload.title, 5.0, bold=True),
        Text(
            _EDGE_MM,
            SIZE_MM[1] - 17.5,
            f"the open case, {'sheets' if plan.foam.layers else 'supports'} and gear lifted apart",
            3.0,
            role="quiet",
        ),
    ]
    for part in view.ordered():
        marks += view.drawn(part)
    for part in view.named():
        marks += view.name(part)
    note = f"Drawn in lines: {why}." if why else "Drawn in lines."
    marks.append(Text(_EDGE_MM, 7.0, note, 2.5, role="quiet"))
    return Sheet(*SIZE_MM, f"{plan.payload.title}, the open case", tuple(marks))


class _View:
    """Parts seen in parallel, scaled to the paper."""

    def __init__(self, parts: tuple[Part, ...]) -> None:
        self.parts = parts
        self.items = [part for part in parts if part.kind == "item"]
        self.tops = largest_tops(parts)
        self.right, self.up, self.towards = view_axes()
        corners = np.vstack([_corners(part) for part in parts])
        across, along = corners @ self.right, corners @ self.up
        width, height = SIZE_MM[0] - 2 * _EDGE_MM, SIZE_MM[1] - 2 * _EDGE_MM - 12.0
        self.scale = float(min(width / np.ptp(across), height / np.ptp(along)))
        middle = np.array([across.min() + across.max(), along.min() + along.max()]) / 2
        self.shift = np.array([SIZE_MM[0] / 2, SIZE_MM[1] / 2 - 5.0]) - self.scale * middle

    def ordered(self) -> list[Part]:
        """The parts from the far half to the near one, from the bottom up, from far to near."""
        halves = sorted(
            {part.half for part in self.parts},
            key=lambda half: max(p.shape.bounds[3] for p in self.parts if p.half == half),
            reverse=True,
        )

        def place(part: Part) -> tuple[float, ...]:
            order = float(halves.index(part.half))
            if part.kind != "item":
                return (order, 0.0, part.z0_mm, 0.0, 0.0)
            whole = [p for p in self.items if (p.half, p.name) == (part.half, part.name)]
            foot = min(p.z0_mm for p in whole)
            near = max(self._near(p) for p in whole if p.z0_mm == foot)
            return (order, 1.0, foot, near, part.z0_mm)

        return sorted(self.parts, key=place)

    def drawn(self, part: Part) -> list[Mark]:
        """One part: the walls of its holes, its sides that face the viewer, its top."""
        fill = _FILL[part.kind]
        bold = 0.3 if part.kind == "item" else 0.18
        inner: list[Mark] = []
        outer: list[Mark] = []
        top: list[Contour] = []
        for piece in shapely.get_parts(shapely.simplify(part.shape, _PICTURE_MM)):
            polygon: Polygon = shapely.orient_polygons(piece)
            for number, ring in enumerate((polygon.exterior, *polygon.interiors)):
                xy = shapely.get_coordinates(ring)
                (inner if number else outer).extend(self._sides(part, xy, fill, bold))
                top.append(self._contour(xy[:-1], part.z1_mm))
        return [*inner, *outer, Path(tuple(top), Style("ink", bold, fill=fill))]

    def named(self) -> list[Part]:
        """The tops that carry a name: those whose spot no part painted later stands before."""
        found: list[Part] = []
        painted = self.ordered()
        for top in self.tops.values():
            at = top.shape.representative_point()
            spot = shapely.Point(self._paper(np.array([[at.x, at.y, top.z1_mm]]))[0])
            later = painted[painted.index(top) + 1 :]
            if not any(self._seen(part).contains(spot) for part in later if part.name != top.name):
                found.append(top)
        return found

    def _seen(self, part: Part) -> BaseGeometry:
        """Roughly what a part covers on paper."""
        xy = shapely.get_coordinates(part.shape)
        both = [np.column_stack([xy, np.full(len(xy), z)]) for z in (part.z0_mm, part.z1_mm)]
        return shapely.convex_hull(shapely.MultiPoint(self._paper(np.vstack(both))))

    def name(self, part: Part) -> list[Mark]:
        """An item's name over its top, on a ground so that it can be read."""
        at = part.shape.representative_point()
        x, y = self._paper(np.array([[at.x, at.y, part.z1_mm]]))[0]
        half = width_of(part.name, size_mm=3.0, bold=True) / 2 + 0.8
        ground = polyline(
            [(x - half, y - 1.2), (x + half, y - 1.2), (x + half, y + 2.8), (x - half, y + 2.8)],
            closed=True,
        )
        return [
            Path((ground,), Style(None, fill="white")),
            Text(float(x), float(y), part.name, 3.0, "middle", True),
        ]

    def _sides(self, part: Part, xy: np.ndarray, fill: Role, bold: float) -> list[Mark]:
        """The upright faces of one ring that face the viewer, the far ones first."""
        faces = []
        for a, b in zip(xy[:-1], xy[1:], strict=True):
            outwards = np.array([b[1] - a[1], a[0] - b[0], 0.0])
            if outwards @ self.towards <= 0:
                continue
            quad = np.array(
                [[*a, part.z0_mm], [*b, part.z0_mm], [*b, part.z1_mm], [*a, part.z1_mm]]
            )
            faces.append((float(quad.mean(axis=0) @ self.towards), a, b, quad))
        marks: list[Mark] = []
        for _, a, b, quad in sorted(faces, key=lambda face: face[0]):
            on_paper = polyline(self._paper(quad), closed=True)
            marks.append(Path((on_paper,), Style(None, fill=fill)))
            marks += self._shade(a, b, quad)
            low, high = self._paper(quad[:2]), self._paper(quad[2:])
            marks.append(Path((polyline(low, closed=False),), Style("ink", bold)))
            marks.append(Path((polyline(high, closed=False),), Style("ink", bold)))
        marks += self._uprights(part, xy, bold)
        return marks

    def _shade(self, a: np.ndarray, b: np.ndarray, quad: np.ndarray) -> list[Mark]:
        """Thin upright strokes on the sides that are away from the light."""
        if side_light(float(b[0] - a[0]), float(b[1] - a[1])) > 0.75:
            return []
        count = int(np.hypot(*(b - a)) * self.scale / 1.4)
        marks: list[Mark] = []
        for k in range(1, count + 1):
            share = k / (count + 1)
            foot = quad[0] + share * (quad[1] - quad[0])
            head = quad[3] + share * (quad[2] - quad[3])
            line = polyline(self._paper(np.array([foot, head])))
            marks.append(Path((line,), Style("quiet", 0.13)))
        return marks

    def _uprights(self, part: Part, xy: np.ndarray, bold: float) -> list[Mark]:
        """The edges where a visible side meets another at an angle, or the outline turns away."""
        along = np.diff(xy, axis=0)
        outwards = np.column_stack([along[:, 1], -along[:, 0], np.zeros(len(along))])
        seen = outwards @ self.towards > 0
        angle = np.arctan2(along[:, 1], along[:, 0])
        turn = np.abs((angle - np.roll(angle, 1) + np.pi) % (2 * np.pi) - np.pi)
        before = np.roll(seen, 1)
        drawn = (seen != before) | (seen & before & (turn > np.radians(20)))
        marks: list[Mark] = []
        for x, y in xy[:-1][drawn]:
            line = polyline(self._paper(np.array([[x, y, part.z0_mm], [x, y, part.z1_mm]])))
            marks.append(Path((line,), Style("ink", bold)))
        return marks

    def _contour(self, xy: np.ndarray, z_mm: float) -> Contour:
        return polyline(self._paper(np.column_stack([xy, np.full(len(xy), z_mm)])), closed=True)

    def _paper(self, points: np.ndarray) -> np.ndarray:
        return self.scale * np.column_stack([points @ self.right, points @ self.up]) + self.shift

    def _near(self, part: Part) -> float:
        """How near a part's foot is to the viewer, on the level [mm]."""
        x0, y0, x1, y1 = part.shape.bounds
        flat = self.towards[:2]
        return float(np.array([(x0 + x1) / 2, (y0 + y1) / 2]) @ flat)


def _corners(part: Part) -> np.ndarray:
    x0, y0, x1, y1 = part.shape.bounds
    z = (part.z0_mm, part.z1_mm)
    return np.array([(x, y, h) for x in (x0, x1) for y in (y0, y1) for h in z])
