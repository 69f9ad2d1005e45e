"""Every sample kit is planned whole: layout, foam, mass and findings."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitkit.fit.place import place_all
from fitkit.fit.validate import violations
from fitkit.payload.sheet import read_sheet
from fitkit.plan import Choices, make_plan

SAMPLES = sorted((Path(__file__).parents[1] / "sample_payloads").glob("*.toml"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_can_be_built(path: Path) -> None:
    """Nothing fails, no web is thin, every item has a pocket with a floor, and stacks fill up."""
    payload = read_sheet(path)
    plan = make_plan(payload, choices=Choices(budget_s=3.0))
    fit = plan.fit
    assert fit.misses == ()
    assert violations(payload, interior=fit.interior, placements=fit.placements) == ()
    assert [f for f in plan.findings if f.verdict == "fails"] == []
    assert plan.foam.webs == ()
    boundaries = {round(z, 6) for la in plan.foam.layers for z in (la.z0_mm, la.z1_mm)}
    for one in place_all(payload, fit.placements):
        hung = one.placement.half == "shallow"
        floor = one.solid.z1_mm if hung else one.solid.z0_mm
        assert round(floor, 6) in boundaries
        assert any(
            cut.kind == "pocket" and (cut.item, cut.copy) == (one.item.name, one.placement.copy)
            for layer in plan.foam.layers
            for cut in layer.cutouts
        )
    for half in fit.interior.halves:
        stack = [la.thickness_mm for la in plan.foam.layers if la.half == half.name]
        # a ready-made case is as deep as it is: less than the thinnest sheet stays air
        air = min(payload.foam.sheets_mm) if payload.case.ready_made else 1e-6
        assert -1e-6 <= half.depth_mm - sum(stack) < air
    assert plan.mass.total_kg > sum((item.mass_kg or 0) * item.count for item in payload.items)
