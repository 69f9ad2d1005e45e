"""Cutting drawings of sub-panels, read back with an independent reader."""

from __future__ import annotations

import io

import ezdxf
import pytest
from attrs import evolve

import mounted_plans
from fitkit.documents.pens.dxf import dxf
from fitkit.documents.shell_documents import shell_paths
from fitkit.documents.support_cut import sub_panel_cuts, sub_panel_names
from fitkit.plan import Plan
from support_kits import on_sub_panel


def built() -> Plan:
    """A plan whose one support group is that of a screen on a sub-panel."""
    plan = mounted_plans.pair()
    assert plan.shell is not None
    return evolve(plan, shell=evolve(plan.shell, supports=on_sub_panel().mounting.supports))


def test_a_sub_panel_is_read_back_within_a_hundredth() -> None:
    """Outline 464 x 306, the cut-out for the plug, and every hole at its place and size."""
    plan = built()
    assert plan.shell is not None
    (board,) = [one for one in plan.shell.supports if one.kind == "sub-panel"]
    ((_, cut),) = sub_panel_cuts(plan)
    data = dxf(cut.sheet, version="R2000", left_mm=cut.left_mm, low_mm=cut.low_mm)
    space = ezdxf.read(io.StringIO(data.decode("cp1252"))).modelspace()
    boxes = {}
    for line in space.query("LWPOLYLINE"):
        layer = line.dxf.layer
        if layer.startswith("CUT"):
            xs = [point[0] for point in line.get_points()]
            ys = [point[1] for point in line.get_points()]
            boxes[layer] = (min(xs), min(ys), max(xs), max(ys))
    assert boxes["CUT_OUTSIDE"] == pytest.approx((0.0, 0.0, 464.0, 306.0), abs=0.01)
    assert boxes["CUT_OPENING"] == pytest.approx(board.openings[0].bounds, abs=0.01)
    circles = sorted(
        (round(c.dxf.center.x, 2), round(c.dxf.center.y, 2), round(2 * c.dxf.radius, 2))
        for c in space.query("CIRCLE")
        if c.dxf.layer.startswith("DRILL")
    )
    assert circles == sorted(
        (round(h.u_mm, 2), round(h.v_mm, 2), h.diameter_mm) for h in board.holes
    )


def test_each_distinct_sub_panel_is_a_file() -> None:
    """Two alike make one file; one with a hole less another; names never clash."""
    plan = built()
    assert plan.shell is not None
    (board,) = [one for one in plan.shell.supports if one.kind == "sub-panel"]
    other = evolve(board, holes=board.holes[1:], name="field-screen sub panel")
    shell = evolve(plan.shell, supports=(board, evolve(board, copy=2), other))
    plan = evolve(plan, shell=shell)
    assert sub_panel_names(plan) == ["field-screen-sub-panel", "field-screen-sub-panel-2"]
    assert [name for name, _ in sub_panel_cuts(plan)] == sub_panel_names(plan)
    assert "shell/field-screen-sub-panel-2.svg" in shell_paths(plan)
    assert sub_panel_names(evolve(plan, shell=None)) == []
