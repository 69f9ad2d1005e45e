"""A payload typed out as a sheet comes back as it was."""
# ruff: noqa: E501 (tables, one thing on a line)

from __future__ import annotations

import pytest
import shapely
import tomlkit
from hypothesis import given, settings

from fitkit.payload.model import Payload
from fitkit.payload.sheet import parse_sheet
from strategies import payloads


def written(payload: Payload) -> str:
    """A payload typed out as a sheet, every outline as a plain polygon."""

    def ring(coords: shapely.coords.CoordinateSequence) -> list[list[float]]:
        return [list(point) for point in list(coords)[:-1]]

    case, foam = payload.case, payload.foam
    gaps = case.clearance
    items = []
    for item in payload.items:
        shapes = [
            {
                "polygon": ring(s.outline.exterior.coords),
                "z": [s.z0_mm, s.z1_mm],
                "holes": [{"polygon": ring(hole.coords)} for hole in s.outline.interiors],
            }
            for s in item.body.sections
        ]
        zones = [
            {"kind": z.kind, "face": z.face, "at": list(z.at_mm), "size": list(z.size_mm), "depth": z.depth_mm}
            for z in item.zones
        ]  # fmt: skip
        typed = {
            "name": item.name, "count": item.count, "up": list(item.up), "turn": item.turn,
            "proud": item.proud, "reach": item.reach, "uncertainty": item.uncertainty_mm,
            "body": shapes, "zone": zones,
        }  # fmt: skip
        optional = {"fragility": item.fragility_g, "power": item.power_w}
        typed.update({key: value for key, value in optional.items() if value is not None})
        if item.mass_kg is not None:
            typed["mass"] = f"{item.mass_kg:.3f} kg"
        items.append(typed)
    return tomlkit.dumps(
        {
            "title": payload.title,
            "case": {
                "form": case.form, "objective": case.objective, "tiers": case.tiers,
                "corner": case.corner_mm, "draft": case.draft_deg,
                "clearance": {
                    key: getattr(gaps, f"{key}_mm") for key in ("item", "wall", "floor", "lid", "tier")
                },
            },
            "foam": {
                "cutting": foam.cutting, "allowance": foam.allowance_mm,
                **({} if foam.accent_mm is None else {"accent": foam.accent_mm}),
            },
            "item": items,
        }
    )  # fmt: skip


@settings(max_examples=25, deadline=None)
@given(payloads(max_items=2))
def test_what_is_typed_is_what_is_planned(payload: Payload) -> None:
    """Any payload, typed out as a sheet, comes back: outlines within 0.02 mm, the rest exactly."""
    read = parse_sheet(written(payload), name="kit.toml")
    assert (read.case, read.foam, read.title) == (payload.case, payload.foam, payload.title)
    for found, meant in zip(read.items, payload.items, strict=True):
        for name in ("name", "count", "up", "turn", "proud", "reach", "uncertainty_mm", "fragility_g",
                     "power_w", "zones", "hold"):  # fmt: skip
            assert getattr(found, name) == getattr(meant, name)
        assert found.mass_kg == pytest.approx(meant.mass_kg)
        for one, two in zip(found.body.sections, meant.body.sections, strict=True):
            assert (one.z0_mm, one.z1_mm) == (two.z0_mm, two.z1_mm)
            assert shapely.hausdorff_distance(one.outline, two.outline) < 0.02
            assert one.outline.buffer(1e-6).covers(two.outline)
