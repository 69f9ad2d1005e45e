"""Lists, read back with the csv module."""

from __future__ import annotations

import csv
import io

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from fitkit.documents.csv_text import FORMULA_STARTS, safe
from fitkit.documents.tables import tables
from fitkit.fit.place import place_all
from fitkit.plan import Plan


def rows(data: bytes) -> list[dict[str, str]]:
    """The rows of a list by its headers."""
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_items_hold_every_placement(plan: Plan) -> None:
    """One row per copy with its place to a thousandth of a millimetre."""
    read = rows(tables(plan)["items.csv"])
    placed = place_all(plan.payload, plan.fit.placements)
    assert len(read) == len(placed)
    for row, one in zip(read, placed, strict=True):
        p = one.placement
        assert row["item"].removeprefix("'") == p.item
        assert [float(row[f"{axis} (mm)"]) for axis in "xyz"] == pytest.approx(
            [p.x_mm, p.y_mm, p.z_mm], abs=0.001
        )
        assert float(row["height (mm)"]) == pytest.approx(one.solid.height_mm, abs=0.001)


def test_layers_are_a_cut_list(plan: Plan) -> None:
    """Thicknesses of a half add up to its depth, and the foam left is that of the layer."""
    read = rows(tables(plan)["layers.csv"])
    for half, depth in (("deep half", 110.0), ("shallow half", 90.0)):
        assert sum(float(r["thickness (mm)"]) for r in read if r["half"] == half) == depth
    for row, layer in zip(read, plan.foam.layers, strict=True):
        assert row["drawing"] == f"foam/{layer.name}.dxf"
        assert float(row["foam left (cm2)"]) == pytest.approx(layer.shape.area / 100, abs=0.01)


def test_mass_adds_up_and_says_what_is_missing(plan: Plan) -> None:
    """The parts add up to the last row; items without a mass are named."""
    read = rows(tables(plan)["mass.csv"])
    known = [float(r["mass (kg)"]) for r in read if r["mass (kg)"]]
    assert sum(known[:-1]) == pytest.approx(known[-1], abs=0.001)
    assert any("mass not given" in r["part"] for r in read)


def test_findings_keep_their_limits_and_sources(plan: Plan) -> None:
    """Every finding is there in its order, numbers as numbers, unknown ones empty."""
    read = rows(tables(plan)["findings.csv"])
    assert [r["verdict"] for r in read] == [f.verdict for f in plan.findings]
    assert (read[0]["value"], read[0]["limit"], read[0]["margin"]) == ("8.1", "15", "-6.9")
    assert read[3]["value"] == ""
    assert all(r["source"] for r in read)


def test_a_name_that_looks_like_a_formula_stays_text(plan: Plan) -> None:
    """``=spare`` and its like are led by an apostrophe in every list."""
    for data in tables(plan).values():
        for line in csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")):
            for cell in line:
                numeric = cell.lstrip("-").replace(".", "", 1).isdigit()
                assert numeric or not cell.startswith(FORMULA_STARTS)


@given(text=st.text(max_size=30))
def test_any_text_survives_and_none_is_a_formula(text: str) -> None:
    """A cell comes back from the csv module as it was, but for the apostrophe and nulls."""
    cell = safe(text)
    assert not cell.lstrip(" ").startswith(FORMULA_STARTS)
    assert cell in (text.replace("\x00", ""), "'" + text.replace("\x00", ""))
    out = io.StringIO()
    csv.writer(out).writerow([cell])
    assert next(csv.reader(io.StringIO(out.getvalue(), newline=""))) == [cell]


def test_every_list_has_a_header_even_when_empty(plan: Plan) -> None:
    """Without findings, sheets and assumptions the lists keep their headers."""
    bare = evolve(
        plan,
        findings=(),
        payload=evolve(plan.payload, assumptions=()),
        foam=evolve(plan.foam, sheets=()),
    )
    for name in ("findings.csv", "assumptions.csv", "sheets.csv"):
        lines = tables(bare)[name].decode("utf-8-sig").splitlines()
        assert len(lines) == 1
        assert lines[0]
