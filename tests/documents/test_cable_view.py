"""The sheet of cables: every cable is on it, named, with its verdict, and texts stand apart."""

from __future__ import annotations

import pytest
import shapely
from attrs import evolve

import cable_kits as kits
from fitkit.documents.cable_frames import shown_halves
from fitkit.documents.cable_view import cable_sheet, route_verdict
from fitkit.documents.clear_text import area_of
from fitkit.documents.sheet import Hatch, Path, Sheet, Text
from fitkit.foam.model import Room
from fitkit.plan import Plan
from fitkit.shell.cables.model import Coil, Route
from sheet_texts import assert_texts_apart


def texts(sheet: Sheet) -> list[str]:
    """What is written on a sheet."""
    return [mark.text for mark in sheet.marks if isinstance(mark, Text)]


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Two leads and a link."""
    return kits.plan(kits.power(), kits.link())


def test_every_cable_is_named_with_its_numbers(plan: Plan) -> None:
    """Name, ends, path, length and verdict of each; texts apart and on the paper."""
    sheet = cable_sheet(plan)
    assert sheet is not None
    assert_texts_apart(sheet)
    written = " ".join(texts(sheet))
    assert plan.shell is not None
    for number, route in enumerate(plan.shell.routes, start=1):
        assert route.label in written
        assert route.start in written
        assert f"path {route.closed_mm:.0f}" in written
        # in the column, and near the cable in the halves through which it runs
        assert texts(sheet).count(str(number)) >= 2
        assert route_verdict(plan, route).upper() in written
    for one in plan.shell.exits:
        assert one.name in written
    assert "lower half, seen from above" in written
    assert "upper half, lying open, seen from above" in written


def test_cables_are_drawn_as_long_as_they_are(plan: Plan) -> None:
    """The area of a lead on paper is its length in plan by its thickness, in each view."""
    only = kits.plan(kits.power())
    sheet = cable_sheet(only)
    assert sheet is not None
    drawn = [mark for mark in sheet.marks if isinstance(mark, Path) and mark.style.fill == "zone"]
    assert len(drawn) == 4  # two leads, each in plan and from the side
    assert only.shell is not None
    named = [half.name for half in only.fit.interior.halves]
    area = (16.0, 28.0, 292.0, 190.0 - 24.0)
    scale = shown_halves(only, named, area=area)[0].frame.scale
    route = only.shell.routes[0]
    xs = [point[0] for point in route.path_mm]
    wide = [vertex[0] for contour in drawn[0].contours for vertex in contour.vertices]
    assert (max(wide) - min(wide)) * scale >= max(xs) - min(xs) - 1e-6
    assert (max(wide) - min(wide)) * scale <= max(xs) - min(xs) + 8.0 + 0.2


def test_a_bad_cable_shows(plan: Plan) -> None:
    """A cable that is too short is tagged FAILS, and what to do stands under it."""
    short = kits.plan(kits.power(length_mm=60.0))
    sheet = cable_sheet(short)
    assert sheet is not None
    assert_texts_apart(sheet)
    assert texts(sheet).count("FAILS") == 2
    assert "too short" in " ".join(texts(sheet))


def test_coils_are_hatched_where_they_lie() -> None:
    """A coil that has a place is hatched in plan and from the side."""
    sheet = cable_sheet(kits.plan(kits.link(length_mm=2400.0)))
    assert sheet is not None
    assert_texts_apart(sheet)
    hatched = [mark for mark in sheet.marks if isinstance(mark, Hatch) and mark.kind == "cable"]
    assert len(hatched) == 2


def test_names_keep_off_coils() -> None:
    """A coil under the middle of a screen: its name stands beside the hatched ring."""
    made = kits.plan(kits.power(length_mm=2400.0))
    assert made.shell is not None
    coil = Coil(5.0, 90.0, 120.0, 20.0, Room((275.0, 90.0, 0.0), (475.0, 210.0, 20.0), "coil"))
    routes = (evolve(made.shell.routes[0], coil=coil),)
    sheet = cable_sheet(evolve(made, shell=evolve(made.shell, routes=routes, bundles=())))
    assert sheet is not None
    assert_texts_apart(sheet)
    (name,) = [m for m in sheet.marks if isinstance(m, Text) and m.text == "field screen 1"]
    hatched = [m for m in sheet.marks if isinstance(m, Hatch) and m.kind == "cable"]
    rings = [shapely.Polygon([v[:2] for v in c.vertices]) for c in hatched[0].contours]
    wound = max(rings, key=lambda ring: ring.area)
    hole = min(rings, key=lambda ring: ring.area)
    assert not wound.difference(hole).intersects(area_of(name))


def test_a_coil_on_edge_is_drawn_where_it_stands() -> None:
    """Its hatch in plan is as wide and as long as its room, and stays within the walls."""
    made = kits.plan(kits.power(length_mm=2400.0))
    assert made.shell is not None
    coil = Coil(5.0, 70.0, 90.0, 20.0, Room((4.0, 0.0, 0.0), (24.0, 90.0, 90.0), "coil"))
    routes = (evolve(made.shell.routes[0], coil=coil),)
    plan = evolve(made, shell=evolve(made.shell, routes=routes, bundles=()))
    sheet = cable_sheet(plan)
    assert sheet is not None
    assert_texts_apart(sheet)
    scale = float(next(text for text in texts(sheet) if "scale" in text).split(" : ")[1].split()[0])
    hatched = [m for m in sheet.marks if isinstance(m, Hatch) and m.kind == "cable"]
    for mark in hatched:
        x0, y0, x1, y1 = shapely.MultiPoint(
            [v[:2] for c in mark.contours for v in c.vertices]
        ).bounds
        assert ((x1 - x0) * scale, (y1 - y0) * scale) == pytest.approx((20.0, 90.0), rel=0.02)
    assert len(hatched) == 2
    assert "20 thick, on edge" in " ".join(texts(sheet))


def test_proud_gear_does_not_touch_the_side_views_caption() -> None:
    """A screen 8 mm proud of the closing plane: what is written over the side view goes up."""
    flush = kits.plan(kits.link())
    for proud in (0.0, 8.0, 16.0):
        deep, *rest = flush.fit.placements
        z = flush.fit.interior.closing_mm + proud - 40.0
        fit = evolve(flush.fit, placements=(evolve(deep, z_mm=z), *rest))
        sheet = cable_sheet(evolve(flush, fit=fit))
        assert sheet is not None
        assert_texts_apart(sheet)
        written = area_of(
            next(m for m in sheet.marks if isinstance(m, Text) and "front side" in m.text)
        )
        for mark in sheet.marks:
            if isinstance(mark, Path) and mark.style.fill == "white":
                body = shapely.MultiPoint([v[:2] for c in mark.contours for v in c.vertices])
                assert not shapely.box(*body.bounds).intersects(written)


def test_many_cables_are_counted() -> None:
    """What has no room in the column is counted, and the list is named."""
    base = kits.plan(kits.power())
    assert base.shell is not None
    many: tuple[Route, ...] = tuple(
        evolve(base.shell.routes[0], label=f"lead {k}", coil=None) for k in range(1, 25)
    )
    sheet = cable_sheet(evolve(base, shell=evolve(base.shell, routes=many)))
    assert sheet is not None
    assert_texts_apart(sheet)
    assert any("more cables: lists/cables.csv" in text for text in texts(sheet))


def test_no_cables_no_sheet(plan: Plan) -> None:
    """Without routes or a shell there is nothing to draw."""
    assert plan.shell is not None
    assert cable_sheet(evolve(plan, shell=evolve(plan.shell, routes=()))) is None
    assert cable_sheet(evolve(plan, shell=None)) is None
