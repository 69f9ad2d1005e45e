"""A plan as pyvista meshes in our colours. Importing this file imports pyvista."""

from __future__ import annotations

from typing import Any

import numpy as np
import pyvista as pv
import shapely
from shapely import Polygon

from fitkit.foam.exploded import Part, largest_tops, side_light, view_axes

PAPER, INK, FOAM, ACCENT = "#FBFAF5", "#20303A", "#E9E4D8", "#C9A24A"
COLOURS = {
    "foam": FOAM,
    "accent": ACCENT,
    "item": "#FFFFFF",
    "panel": "#CFC6B2",
    "support": "#B8AB8E",
}
PICTURE_MM = 0.02
"""Outlines are thinned to this for the picture [mm]; files for cutting are not made from it."""


def prism(part: Part) -> pv.PolyData:
    """The closed surface of one part: triangulated floor and top, and upright sides.

    The cell array ``light`` says how bright each face is drawn, from 0 to 1: tops in full, sides
    by the way they face. Normals point outwards.
    """
    points: list[np.ndarray] = []
    faces: list[np.ndarray] = []
    light: list[float] = []
    count = 0
    for polygon in shapely.get_parts(part.shape.simplify(PICTURE_MM)):
        polygon = shapely.orient_polygons(polygon)
        for corners in _caps(polygon):
            for z, ring, bright in ((part.z0_mm, corners[::-1], 0.5), (part.z1_mm, corners, 1.0)):
                points.append(np.column_stack([ring, np.full(3, z)]))
                faces.append(np.array([3, count, count + 1, count + 2]))
                light.append(bright)
                count += 3
        for ring in (polygon.exterior, *polygon.interiors):
            xy = shapely.get_coordinates(ring)
            for a, b in zip(xy[:-1], xy[1:], strict=True):
                points.append(
                    np.array(
                        [[*a, part.z0_mm], [*b, part.z0_mm], [*b, part.z1_mm], [*a, part.z1_mm]]
                    )
                )
                faces.append(np.array([4, count, count + 1, count + 2, count + 3]))
                light.append(side_light(b[0] - a[0], b[1] - a[1]))
                count += 4
    mesh = pv.PolyData(np.vstack(points), np.concatenate(faces))
    mesh.cell_data["light"] = np.array(light)
    return mesh


def _caps(polygon: Polygon) -> list[np.ndarray]:
    """The polygon as triangles, counter-clockwise, 3 x 2 corners each."""
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
    return [
        shapely.get_coordinates(triangle)[:3][:: 1 if triangle.exterior.is_ccw else -1]
        for triangle in triangles
    ]


def edges(part: Part) -> pv.PolyData:
    """The part's drawn lines: both outlines, and an upright at every sharp corner."""
    points: list[np.ndarray] = []
    lines: list[np.ndarray] = []
    count = 0
    for polygon in shapely.get_parts(part.shape.simplify(PICTURE_MM)):
        for ring in (polygon.exterior, *polygon.interiors):
            xy = shapely.get_coordinates(ring)[:-1]
            n = len(xy)
            for z in (part.z0_mm, part.z1_mm):
                points.append(np.column_stack([xy, np.full(n, z)]))
                closed = np.append(np.arange(n), 0) + count
                lines.append(np.concatenate([[n + 1], closed]))
                count += n
            for k in np.flatnonzero(_sharp(xy)):
                points.append(np.array([[*xy[k], part.z0_mm], [*xy[k], part.z1_mm]]))
                lines.append(np.array([2, count, count + 1]))
                count += 2
    return pv.PolyData(np.vstack(points), lines=np.concatenate(lines))


def _sharp(xy: np.ndarray) -> np.ndarray:
    """Which corners of a closed ring turn by more than 20 degrees."""
    along = np.roll(xy, -1, axis=0) - xy
    angle = np.arctan2(along[:, 1], along[:, 0])
    turn = (angle - np.roll(angle, 1) + np.pi) % (2 * np.pi) - np.pi
    sharp: np.ndarray = np.abs(turn) > np.radians(20)
    return sharp


def plotter(parts: tuple[Part, ...], *, size: tuple[int, int]) -> Any:
    """An off-screen plotter with all parts, seen in parallel from where the drawing looks from."""
    view: Any = pv.Plotter(off_screen=True, window_size=list(size), lighting="none")
    view.set_background(PAPER)
    for part in parts:
        mesh = prism(part)
        tint = np.array(pv.Color(COLOURS[part.kind]).int_rgb)
        mesh.cell_data["tint"] = (mesh.cell_data["light"][:, None] * tint).round().astype(np.uint8)
        view.add_mesh(mesh, scalars="tint", rgb=True, lighting=False)
        width = 2.0 if part.kind == "item" else 1.3
        view.add_mesh(edges(part), color=INK, line_width=width, lighting=False)
    _names(view, parts, size)
    _aim(view, parts, size)
    return view


def _aim(view: Any, parts: tuple[Part, ...], size: tuple[int, int]) -> None:
    """Point the camera so that everything is in the picture, with a margin of 4 %."""
    corners = np.vstack([_corners(part) for part in parts])
    right, up, towards = view_axes()
    across, along = corners @ right, corners @ up
    middle = (
        right * (across.min() + across.max()) / 2
        + up * (along.min() + along.max()) / 2
        + towards * float(np.mean(corners @ towards))
    )
    half = max(np.ptp(along) / 2, np.ptp(across) / 2 * size[1] / size[0]) * 1.08
    away = 2.0 * float(np.linalg.norm(np.ptp(corners, axis=0)))
    view.enable_parallel_projection()
    view.camera_position = [tuple(middle + towards * away), tuple(middle), (0.0, 0.0, 1.0)]
    view.camera.parallel_scale = float(half)
    view.reset_camera_clipping_range()


def _corners(part: Part) -> np.ndarray:
    x0, y0, x1, y1 = part.shape.bounds
    return np.array(
        [(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (part.z0_mm, part.z1_mm)]
    )


def _names(view: Any, parts: tuple[Part, ...], size: tuple[int, int]) -> None:
    """Every item's name once, over its largest face; hidden where something stands before it."""
    tops = largest_tops(parts)
    if not tops:
        return
    spots = [(part.shape.representative_point(), part.z1_mm + 1.0) for part in tops.values()]
    options: dict[str, Any] = {
        "font_size": max(12, size[0] // 80),
        "text_color": INK,
        "shape": None,
        "show_points": False,
        "always_visible": False,
        "justification_horizontal": "center",
        "justification_vertical": "center",
    }
    view.add_point_labels(
        np.array([[at.x, at.y, z] for at, z in spots]),
        [part.name for part in tops.values()],
        **options,
    )
