"""Cutting files, read back by ezdxf and by a small SVG reader of this test's own."""

from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET

import ezdxf
import ezdxf.recover
import pytest
import shapely
from attrs import evolve
from ezdxf.math import bulge_to_arc
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.cut_layer import cut_sheet, origin_note
from fitkit.documents.pens.dxf import dxf
from fitkit.documents.pens.svg import svg
from fitkit.foam.model import Cutout, Layer
from fitkit.geometry.shapes import circle, grow, moved, rectangle
from fitkit.plan import Plan

CLOSE_MM = 0.01


def opened(data: bytes) -> ezdxf.document.Drawing:
    """The file as a strict reader sees it; it has nothing to mend."""
    document, auditor = ezdxf.recover.read(io.BytesIO(data))
    assert not auditor.errors
    assert not auditor.fixes
    assert not document.audit().errors
    return document


def dxf_rings(document: ezdxf.document.Drawing, kind: str) -> list[LinearRing]:
    """Contours of CUT_THRU in their order, arcs drawn finely by ezdxf's own arithmetic."""
    rings = []
    for entity in document.modelspace().query(f'{kind}[layer=="CUT_THRU"]'):
        assert entity.is_closed if kind == "POLYLINE" else entity.closed
        if kind == "POLYLINE":
            rings.append(
                LinearRing([(v.dxf.location.x, v.dxf.location.y) for v in entity.vertices])
            )
        else:
            rings.append(LinearRing(points_of(list(entity.get_points("xyb")))))
    return rings


def points_of(vertices: list[tuple[float, float, float]]) -> list[tuple[float, float]]:
    """Bulged vertices as points, each arc's centre and angles by ezdxf."""
    points: list[tuple[float, float]] = []
    for k, (x, y, bulge) in enumerate(vertices):
        points.append((x, y))
        if not bulge:
            continue
        end = vertices[(k + 1) % len(vertices)][:2]
        centre, first, last, radius = bulge_to_arc((x, y), end, bulge)  # counter-clockwise
        if last < first:
            last += 2 * math.pi
        angles = [first + (last - first) * j / 400 for j in range(1, 400)]
        on = [(centre.x + radius * math.cos(a), centre.y + radius * math.sin(a)) for a in angles]
        points += on if bulge > 0 else on[::-1]
    return points


def svg_rings(text: str) -> list[LinearRing]:
    """Contours of the group CUT_THRU, y still down; knows absolute M, L, A and Z only."""
    root = ET.fromstring(text.encode())
    space = "{http://www.w3.org/2000/svg}"
    assert not any("transform" in e.attrib for e in root.iter() if not e.tag.endswith("text"))
    w, h = re.fullmatch(r"0 0 ([\d.]+) ([\d.]+)", root.attrib["viewBox"]).groups()  # type: ignore[union-attr]  # by test
    assert (root.attrib["width"], root.attrib["height"]) == (f"{w}mm", f"{h}mm")
    (group,) = (g for g in root.iter(f"{space}g") if g.attrib["id"] == "CUT_THRU")
    rings = []
    for path in group:
        assert path.tag == f"{space}path"  # no text among the cuts
        assert path.attrib["fill"] == "none"
        assert float(path.attrib["stroke-width"]) <= 0.1
        rings += _subpaths(path.attrib["d"])
    return rings


def _subpaths(data: str) -> list[LinearRing]:
    rings: list[LinearRing] = []
    points: list[tuple[float, float]] = []
    for letter, rest in re.findall(r"([MLAZ])([^MLAZ]*)", data):
        values = [float(v) for v in re.findall(r"-?[\d.]+", rest)]
        if letter == "M":
            points = [(values[0], values[1])]
        elif letter == "L":
            points.append((values[0], values[1]))
        elif letter == "A":
            r, _, _, large, way, x, y = values
            points += _svg_arc(points[-1], (x, y), r, large=bool(large), way=bool(way))
        else:
            rings.append(LinearRing(points))
    return rings


def _svg_arc(
    a: tuple[float, float], b: tuple[float, float], r: float, *, large: bool, way: bool
) -> list[tuple[float, float]]:
    """SVG 1.1, appendix F.6.5, for a circle: centre from end points and flags (from memory)."""
    mx, my = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    dx, dy = (b[0] - a[0]) / 2, (b[1] - a[1]) / 2
    half = math.hypot(dx, dy)
    k = math.sqrt(max(r * r - half * half, 0.0)) / half
    if large == way:
        k = -k
    cx, cy = mx - k * dy, my + k * dx
    first, last = math.atan2(a[1] - cy, a[0] - cx), math.atan2(b[1] - cy, b[0] - cx)
    if way and last <= first:
        last += 2 * math.pi
    if not way and last >= first:
        last -= 2 * math.pi
    real = math.hypot(a[0] - cx, a[1] - cy)
    steps = 300
    angles = [first + (last - first) * k / steps for k in range(1, steps)]
    return [*((cx + real * math.cos(t), cy + real * math.sin(t)) for t in angles), b]


def same(rings: list[LinearRing], shape: BaseGeometry) -> None:
    """The rings are exactly those of ``shape``: as many, each within 0.01 mm, and so the areas."""
    wanted = [
        (ring, sign)
        for part in shapely.get_parts(shape)
        for ring, sign in ((part.exterior, 1.0), *((hole, -1.0) for hole in part.interiors))
    ]
    assert len(rings) == len(wanted)
    drawn = 0.0
    for ring, sign in wanted:
        area = Polygon(ring).area
        twins = [
            other
            for other in rings
            if abs(Polygon(other).area - area) <= CLOSE_MM * (ring.length + 1) and near(ring, other)
        ]
        assert twins
        drawn += sign * Polygon(twins[0]).area
    edge = sum(ring.length for ring, _ in wanted)
    assert abs(drawn - shape.area) < CLOSE_MM * edge


def near(one: LinearRing, other: LinearRing) -> bool:
    """Is every point of each ring, taken every 0.5 mm at most, within 0.01 mm of the other?"""
    for ring, curve in ((one, other), (other, one)):
        points = shapely.points(shapely.get_coordinates(shapely.segmentize(ring, 0.5)))
        shapely.prepare(curve)
        if not shapely.dwithin(curve, points, CLOSE_MM).all():
            return False
    return True


def one_layer(plan: Plan, name: str) -> Layer:
    """The layer of that name."""
    return next(layer for layer in plan.foam.layers if layer.name == name)


def dxf_of(plan: Plan, layer: Layer, version: str = "R2000") -> bytes:
    """The layer as a DXF."""
    cut = cut_sheet(plan, layer)
    return dxf(cut.sheet, version=version, left_mm=cut.left_mm, low_mm=cut.low_mm)  # type: ignore[arg-type]  # by test


def svg_of(plan: Plan, layer: Layer) -> tuple[str, float, float]:
    """The layer as an SVG, and where the plan's origin lies on it."""
    cut = cut_sheet(plan, layer)
    return (
        svg(cut.sheet, ground=False, note=origin_note(cut)),
        cut.left_mm,
        cut.sheet.height_mm - cut.low_mm,
    )


def upright(rings: list[LinearRing], left: float, down: float) -> list[LinearRing]:
    """SVG rings in plan coordinates, by the sentence that the file itself gives."""
    return [LinearRing([(x - left, down - y) for x, y in ring.coords]) for ring in rings]


def test_every_dxf_holds_its_layer(plan: Plan) -> None:
    """R2000, millimetres, only closed contours in the cut layer, within 0.01 mm of the plan."""
    for layer in plan.foam.layers:
        document = opened(dxf_of(plan, layer))
        assert document.dxfversion == "AC1015"
        assert (document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == (4, 1)
        kinds = {e.dxftype() for e in document.modelspace() if e.dxf.layer == "CUT_THRU"}
        assert kinds == {"LWPOLYLINE"}
        same(dxf_rings(document, "LWPOLYLINE"), layer.shape)


def test_every_svg_holds_its_layer(plan: Plan) -> None:
    """Millimetres by viewBox, hairlines, true arcs, each contour within 0.01 mm of the plan."""
    for layer in plan.foam.layers:
        text, left, down = svg_of(plan, layer)
        assert f"Plan x = x - {left:g}, plan y = {down:g} - y" in text
        same(upright(svg_rings(text), left, down), layer.shape)


def test_r12_has_straight_edges_and_says_its_unit(plan: Plan) -> None:
    """R12 has no header for units: a note says mm and a square of 100 mm stands beside the cut."""
    layer = one_layer(plan, "deep-03")
    document = opened(dxf_of(plan, layer, "R12"))
    assert document.dxfversion == "AC1009"
    assert "$INSUNITS" not in document.header
    for entity in document.modelspace().query("POLYLINE"):
        assert all(vertex.dxf.bulge == 0 for vertex in entity.vertices)
    same(dxf_rings(document, "POLYLINE"), layer.shape)
    notes = " ".join(e.dxf.text for e in document.modelspace().query('TEXT[layer=="NOTE"]'))
    assert "all sizes in mm" in notes


@pytest.mark.parametrize("version", ["R2000", "R12"])
def test_the_check_square_is_100_mm_and_clear_of_the_cut(plan: Plan, version: str) -> None:
    """The square in NOTE is 100 by 100 mm and does not touch the sheet."""
    layer = one_layer(plan, "shallow-03")
    document = opened(dxf_of(plan, layer, version))
    (square,) = document.modelspace().query('LWPOLYLINE POLYLINE[layer=="NOTE"]')
    corners = square.points() if square.dxftype() == "POLYLINE" else square.get_points("xy")
    box = Polygon([(float(p[0]), float(p[1])) for p in corners])
    left, low, right, high = box.bounds
    assert (right - left, high - low) == pytest.approx((100.0, 100.0), abs=1e-9)
    assert box.distance(layer.outline) > 5.0


def test_inner_contours_come_before_those_around_them(plan: Plan) -> None:
    """No contour is cut before one that lies inside it, and the outer edge comes last."""
    for layer in plan.foam.layers:
        areas = [Polygon(r) for r in dxf_rings(opened(dxf_of(plan, layer)), "LWPOLYLINE")]
        for k, outer in enumerate(areas):
            assert not any(
                outer.contains(inner.representative_point()) and inner.area < outer.area
                for inner in areas[k + 1 :]
            )
        assert areas[-1].area == pytest.approx(layer.outline.area, rel=1e-6)


def test_names_are_marked_never_cut(plan: Plan) -> None:
    """Each pocket's item is named once in MARK, copies with their number; not in CUT_THRU."""
    document = opened(dxf_of(plan, one_layer(plan, "shallow-03")))
    marks = [e.dxf.text for e in document.modelspace().query('TEXT[layer=="MARK"]')]
    assert sorted(marks) == sorted(
        ["field screen", "battery 1", "battery 2", "battery 3", "battery 4", '=spare, <fuse> "set"']
    )
    assert not document.modelspace().query('TEXT[layer=="CUT_THRU"]')


def test_round_pockets_are_arcs(plan: Plan) -> None:
    """The pocket of a float (33 mm radius, 1 mm room) is an arc of 34 mm in the file."""
    document = opened(dxf_of(plan, one_layer(plan, "deep-03")))
    radii = []
    for entity in document.modelspace().query('LWPOLYLINE[layer=="CUT_THRU"]'):
        points = list(entity.get_points("xyb"))
        for k, (x, y, bulge) in enumerate(points):
            if bulge:
                end = points[(k + 1) % len(points)]
                radii.append(bulge_to_arc((x, y), end[:2], bulge)[3])
    assert sum(abs(radius - 34.0) < 0.02 for radius in radii) >= 2


def test_a_loose_island_is_a_contour_of_its_own(plan: Plan) -> None:
    """A ring-shaped pocket leaves an island: it is cut first, closed on its own."""
    ring = circle(60.0, at=(200, 150)).difference(circle(30.0, at=(200, 150)))
    layer = evolve(one_layer(plan, "deep-03"), cutouts=(Cutout("reel", 1, "pocket", ring),))
    assert isinstance(layer.shape, MultiPolygon)
    rings = dxf_rings(opened(dxf_of(plan, layer)), "LWPOLYLINE")
    same(rings, layer.shape)
    assert [round(Polygon(r).area) for r in rings] == sorted(round(Polygon(r).area) for r in rings)


def test_overlapping_cut_outs_are_cut_as_one(plan: Plan) -> None:
    """Pocket, notch and channel of one item that overlap make a single contour; no line twice."""
    layer = one_layer(plan, "deep-04")
    rings = dxf_rings(opened(dxf_of(plan, layer)), "LWPOLYLINE")
    for k, one in enumerate(rings):
        for other in rings[k + 1 :]:
            assert not one.intersects(other)


def test_the_same_layer_gives_the_same_bytes(plan: Plan) -> None:
    """No date, no identifier of chance: twice the same bytes in every format."""
    layer = one_layer(plan, "deep-02")
    for version in ("R2000", "R12"):
        assert dxf_of(plan, layer, version) == dxf_of(plan, layer, version)
    assert svg_of(plan, layer) == svg_of(plan, layer)


boxes = st.tuples(
    st.floats(8, 150),
    st.floats(8, 120),
    st.floats(0, 1),
    st.floats(0, 360),
    st.floats(-40, 470),
    st.floats(-40, 290),
)


@settings(max_examples=10, deadline=None)
@given(cuts=st.lists(boxes, min_size=1, max_size=7), room=st.floats(0, 3), corner=st.floats(0, 40))
def test_any_layer_is_read_back_within_a_hundredth(
    plan: Plan, cuts: list[tuple[float, ...]], room: float, corner: float
) -> None:
    """Random pockets, turned, grown, over each other and the edge: DXF and SVG hold the shape."""
    outline = rectangle(480, 300, corner_mm=corner)
    shapes = []
    for w, d, share, turn, x, y in cuts:
        body = grow(
            moved(rectangle(w, d, corner_mm=share * min(w, d) / 2), turn_deg=turn, by=(x, y)), room
        )
        shapes += [
            p
            for p in shapely.get_parts(body.intersection(outline))
            if isinstance(p, Polygon) and not p.is_empty  # a cut may lie wholly outside
        ]
    layer = Layer(
        "deep",
        1,
        0.0,
        30.0,
        "foam",
        outline,
        tuple(Cutout("probe", 1, "pocket", s) for s in shapes),
    )
    # pieces that no knife could hold are no promise of this test
    shape = layer.shape
    if shape.is_empty or any(part.area < 0.5 for part in shapely.get_parts(shape)):
        return
    same(dxf_rings(opened(dxf_of(plan, layer)), "LWPOLYLINE"), shape)
    text, left, down = svg_of(plan, layer)
    same(upright(svg_rings(text), left, down), shape)
