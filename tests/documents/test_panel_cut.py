"""Cutting files of panels, read back by ezdxf and by a small SVG reader of this test's own."""

from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET

import ezdxf
import ezdxf.recover
import pytest
import shapely
from ezdxf import bbox
from ezdxf.math import bulge_to_arc

import hand_shell
from fitkit.documents.panel_cut import panel_cut_sheet
from fitkit.documents.pens.dxf import dxf
from fitkit.documents.pens.svg import svg
from fitkit.plan import Plan
from fitkit.shell.model import Shell

CLOSE_MM = 0.01
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def built(plan: Plan) -> Plan:
    """The demo plan with the worked example's shell."""
    return hand_shell.with_shell(plan)


def shell_of(plan: Plan) -> Shell:
    """The plan's shell, which is there."""
    assert plan.shell is not None
    return plan.shell


def read(plan: Plan, name: str, *, inside: bool = False, version: str = "R2000"):  # type: ignore[no-untyped-def]  # ezdxf's own
    """The DXF of a panel as a strict reader sees it; it has nothing to mend."""
    cut = panel_cut_sheet(plan, shell_of(plan).panel(name), inside=inside)
    data = dxf(cut.sheet, version=version, left_mm=cut.left_mm, low_mm=cut.low_mm)  # type: ignore[arg-type]  # by test
    document, auditor = ezdxf.recover.read(io.BytesIO(data))
    assert not auditor.errors
    assert not auditor.fixes
    return document


def on_front(plan: Plan, name: str) -> list[tuple[float, float, float, float]]:
    """Holes of a front panel from its lower left corner: u is x, v is z; diameter, pilot."""
    shell = shell_of(plan)
    panel = shell.panel(name)
    x0 = panel.centre_mm[0] - panel.length_mm / 2
    z0 = panel.centre_mm[2] - panel.width_mm / 2
    return [
        (h.at_mm[0] - x0, h.at_mm[2] - z0, h.diameter_mm, h.pilot_mm or 0.0)
        for h in shell.holes if name in h.pieces
    ]  # fmt: skip


def test_the_outside_is_as_large_as_the_panel(built: Plan) -> None:
    """Extents of CUT_OUTSIDE, by ezdxf: 0, 0 to the panel's size, on every panel and both faces."""
    for panel in shell_of(built).panels:
        for inside in (False, True):
            space = read(built, panel.name, inside=inside).modelspace()
            box = bbox.extents(space.query('LWPOLYLINE[layer=="CUT_OUTSIDE"]'), fast=False)
            got = (box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y)
            assert got == pytest.approx((0, 0, panel.length_mm, panel.width_mm), abs=CLOSE_MM)


def test_every_hole_is_a_circle_on_the_layer_of_its_drill(built: Plan) -> None:
    """Circles of DRILL_4.1 and DRILL_PILOT_2.0: each hole once, at its place and size."""
    for name in ("deep front", "shallow front"):
        space = read(built, name).modelspace()
        wanted = on_front(built, name)
        for layer, k in (("DRILL_4.1", 2), ("DRILL_PILOT_2.0", 3)):
            circles = sorted(
                (e.dxf.center.x, e.dxf.center.y, 2 * e.dxf.radius)
                for e in space.query(f'CIRCLE[layer=="{layer}"]')
            )
            holes = sorted((h[0], h[1], h[k]) for h in wanted if h[k])
            assert len(circles) == len(holes) > 0
            for got, want in zip(circles, holes, strict=True):
                assert got == pytest.approx(want, abs=CLOSE_MM)
        assert len(space.query("CIRCLE")) == sum(2 if h[3] else 1 for h in wanted)


def test_a_handle_s_opening_is_closed_with_arcs_in_its_corners(built: Plan) -> None:
    """140 × 100 about the middle, four arcs of radius 6, by ezdxf's own arithmetic."""
    space = read(built, "deep right").modelspace()
    (ring,) = space.query('LWPOLYLINE[layer=="CUT_OPENING"]')
    assert ring.closed
    points = list(ring.get_points("xyb"))
    radii = [
        bulge_to_arc(a[:2], b[:2], a[2])[3]
        for a, b in zip(points, [*points[1:], points[0]], strict=True) if a[2]
    ]  # fmt: skip
    assert radii == pytest.approx([6.0] * 4, abs=CLOSE_MM)
    box = bbox.extents([ring], fast=False)
    # the panel's corner lies at y 0.5, z 0.5; the handle's middle at y 190, z 90
    assert (box.extmin.x, box.extmin.y) == pytest.approx((119.5, 39.5), abs=CLOSE_MM)
    assert (box.extmax.x, box.extmax.y) == pytest.approx((259.5, 139.5), abs=CLOSE_MM)


def test_latch_openings_of_both_halves_meet_on_one_line(built: Plan) -> None:
    """Where the deep front's outside is notched above, the shallow front's is notched below."""

    def notches(name: str, at: float) -> list[float]:
        (ring,) = read(built, name).modelspace().query('LWPOLYLINE[layer=="CUT_OUTSIDE"]')
        return sorted(
            round(x, 3) for x, y, _ in ring.get_points("xyb")
            if abs(y - at) < CLOSE_MM and 1 < x < 578
        )  # fmt: skip

    deep, shallow = notches("deep front", 185.0), notches("shallow front", 0.0)
    assert deep == shallow
    # latches at x 130 and 430 of the interior, 90 wide; the panel starts at x 0.5
    assert deep == pytest.approx([84.5, 174.5, 384.5, 474.5], abs=CLOSE_MM)


def test_the_mirrored_file_is_the_other_turned_over(built: Plan) -> None:
    """Every circle's u is the length less the other's; the layers are the same."""
    panel = shell_of(built).panel("deep front")
    out, back = (read(built, "deep front", inside=k).modelspace() for k in (False, True))
    a = sorted((round(panel.length_mm - e.dxf.center.x, 3), round(e.dxf.center.y, 3),
                e.dxf.layer) for e in out.query("CIRCLE"))  # fmt: skip
    b = sorted((round(e.dxf.center.x, 3), round(e.dxf.center.y, 3), e.dxf.layer)
               for e in back.query("CIRCLE"))  # fmt: skip
    assert a == b
    right = [e for e in out.query("CIRCLE") if e.dxf.center.x > 500]
    assert right
    texts = [e.dxf.text for e in back.query('TEXT[layer=="MARK"]')]
    assert texts == ["front of the deep half, seen from inside, mirrored"]


def test_svg_has_the_same_holes_and_outside(built: Plan) -> None:
    """Read back with y turned: circles by layer, and the outside's box, to 0.01 mm."""
    panel = shell_of(built).panel("deep front")
    cut = panel_cut_sheet(built, panel)
    root = ET.fromstring(svg(cut.sheet, ground=False).encode())
    tall = float(root.attrib["viewBox"].split()[3])
    groups = {g.attrib["id"]: g for g in root.iter(f"{SVG}g") if "id" in g.attrib}
    assert len(groups) == len([g for g in root.iter(f"{SVG}g") if "id" in g.attrib])
    circles = sorted(
        (float(c.attrib["cx"]) - cut.left_mm, tall - float(c.attrib["cy"]) - cut.low_mm,
         2 * float(c.attrib["r"]))
        for c in groups["DRILL_4.1"].iter(f"{SVG}circle")
    )  # fmt: skip
    for got, want in zip(circles, sorted(on_front(built, "deep front")), strict=True):
        assert got == pytest.approx(want[:3], abs=CLOSE_MM)
    (path,) = groups["CUT_OUTSIDE"].iter(f"{SVG}path")
    ends = [
        (float(m[0]), float(m[1]))
        for m in re.findall(r"(-?[\d.]+),(-?[\d.]+)(?=[MLAZ])", path.attrib["d"])
    ]
    xs, ys = [x - cut.left_mm for x, _ in ends], [tall - y - cut.low_mm for _, y in ends]
    assert (min(xs), min(ys), max(xs), max(ys)) == pytest.approx((0, 0, 579, 185), abs=CLOSE_MM)


def test_r12_has_names_that_it_allows(built: Plan) -> None:
    """Layers of letters, figures, hyphen and underscore only; the circles are all there."""
    document = read(built, "deep front", version="R12")
    names = {e.dxf.layer for e in document.modelspace()}
    assert all(re.fullmatch(r"[A-Z0-9_$-]+", name) for name in names)
    assert len(document.modelspace().query('CIRCLE[layer=="DRILL_4-1"]')) == len(
        on_front(built, "deep front")
    )


def test_no_hole_lies_in_an_opening_or_outside(built: Plan) -> None:
    """Every circle lies on the panel as cut, an edge of its own radius from the cut at least."""
    for panel in shell_of(built).panels:
        space = read(built, panel.name).modelspace()
        (ring,) = space.query('LWPOLYLINE[layer=="CUT_OUTSIDE"]')
        inner = [
            [(x, y) for x, y, _ in r.get_points("xyb")]
            for r in space.query('LWPOLYLINE[layer=="CUT_OPENING"]')
        ]
        shape = shapely.Polygon([(x, y) for x, y, _ in ring.get_points("xyb")], inner)
        for circle in space.query("CIRCLE"):
            at = shapely.Point(circle.dxf.center.x, circle.dxf.center.y)
            assert shape.covers(at)
            assert not math.isnan(circle.dxf.radius)
