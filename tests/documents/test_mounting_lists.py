"""Lists of supports, screws, cables and gaps, read back with the csv module."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable

import pytest
from attrs import evolve

from fitkit.documents import cable_lists, gap_lists, mounting_lists
from fitkit.documents.csv_text import FORMULA_STARTS
from fitkit.documents.mounting_lists import screws_to_buy
from fitkit.documents.shell_lists import tables
from fitkit.plan import Plan
from mounted_plans import lid, pair, shell_of

NAMES = {
    "supports.csv", "support_holes.csv", "screws.csv", "cables.csv", "cable_paths.csv",
    "bundles.csv", "cable_exits.csv", "closing_gap.csv",
}  # fmt: skip


def rows(plan: Plan, name: str) -> list[dict[str, str]]:
    """The rows of a list by its headers, as a reader of the file sees them."""
    text = tables(plan)[name].decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def figure(text: str) -> float | None:
    """A cell as a number; None where it is empty."""
    return float(text) if text else None


def test_lists_are_there_only_for_what_there_is(plan: Plan) -> None:
    """All eight for the pair; those of supports and gaps for the lid; none for plain foam."""
    assert set(tables(pair())) >= NAMES
    assert NAMES & set(tables(lid())) == {"supports.csv", "support_holes.csv", "closing_gap.csv"}
    for module in (mounting_lists, cable_lists, gap_lists):
        assert module.tables(plan) == {}
        assert module.tables(evolve(pair(), shell=None)) == {}


def test_every_support_is_listed_as_it_is_cut_and_lies() -> None:
    """One row a piece, in order: sizes, corners and mass within 0.001, halves by their names."""
    for plan in (pair(), lid()):
        made = shell_of(plan).supports
        listed = rows(plan, "supports.csv")
        assert [row["piece"] for row in listed] == [one.name for one in made]
        for one, row in zip(made, listed, strict=True):
            cut = [float(row[f"{side} (mm)"]) for side in ("length", "width", "thickness")]
            assert cut == pytest.approx([one.length_mm, one.width_mm, one.thick_mm], abs=1e-3)
            low = [float(row[f"from {axis} (mm)"]) for axis in "xyz"]
            high = [float(row[f"to {axis} (mm)"]) for axis in "xyz"]
            corners = [*one.low_mm, *one.high_mm]
            assert [*low, *high] == pytest.approx(corners, abs=1e-3)
            assert figure(row["mass (kg)"]) == one.kg
            assert row["cut alike"] == str(len(made))
            assert (row["holes"], row["openings"]) == (
                str(len(one.holes)), str(len(one.openings))
            )  # fmt: skip
    assert {row["half"] for row in rows(pair(), "supports.csv")} == {"lower half", "upper half"}
    assert {row["half"] for row in rows(lid(), "supports.csv")} == {"shallow half"}


def test_holes_of_supports_are_all_there_in_their_place() -> None:
    """Every hole and opening once, with u, v, diameter and sink as in the plan."""
    for plan in (pair(), lid()):
        wanted = sorted(
            (one.name, h.u_mm, h.v_mm, h.diameter_mm, h.sink_mm or 0.0)
            for one in shell_of(plan).supports
            for h in one.holes
        )
        listed = rows(plan, "support_holes.csv")
        found = sorted(
            (row["piece"], float(row["u (mm)"]), float(row["v (mm)"]),
             float(row["diameter (mm)"]), figure(row["countersink (mm)"]) or 0.0)
            for row in listed if row["what"] == "hole"
        )  # fmt: skip
        assert found == wanted
        openings = [one for s in shell_of(plan).supports for one in s.openings]
        boxes = [
            tuple(float(row[k]) for k in ("u (mm)", "v (mm)", "to u (mm)", "to v (mm)"))
            for row in listed
            if row["what"] == "opening"
        ]
        assert boxes == [one.bounds for one in openings]


def test_screws_add_up_and_stay_within_stack_and_hole() -> None:
    """Counts in the list and to buy are all screws; what is left of 10 mm with 5 in is 5."""
    made = shell_of(pair()).screwings
    listed = rows(pair(), "screws.csv")
    assert sum(int(row["count"]) for row in listed) == sum(one.count for one in made) == 16
    assert sum(count for _, _, count in screws_to_buy(made)) == 16
    assert [row["for"] for row in listed] == ["field screen 1", "field screen 2"] * 2
    for one, row in zip(made, listed, strict=True):
        left = figure(row["left in the hole (mm)"])
        assert (left is None) is (one.hole_mm is None)
        assert left is None or left == pytest.approx(10.0 - 5.0)
        assert float(row["length (mm)"]) == pytest.approx(
            float(row["stack (mm)"]) + float(row["goes in (mm)"])
        )


def test_cables_are_listed_with_their_spare_and_their_coil() -> None:
    """Spare is what is had less what is needed; a coil without a place says what it lacks."""
    made = shell_of(pair()).routes
    listed = {row["cable"]: row for row in rows(pair(), "cables.csv")}
    assert list(listed) == [one.label for one in made]
    for one in made:
        row = listed[one.label]
        spare = figure(row["spare (mm)"])
        assert spare == (None if one.given_mm is None else one.given_mm - one.needed_mm)
        assert float(row["length needed with slack (mm)"]) == one.needed_mm
        assert (row["from"], row["to"]) == (one.start, one.to)
        assert row["what stands in its way"] == one.blocked
        if one.coil is None:
            assert row["coil turns"] == ""
            continue
        outer, inner = (float(row[f"coil {side} (mm)"]) for side in ("outside", "inside"))
        assert (outer + inner) / 2 == pytest.approx(one.coil.mean_mm, abs=1e-3)
        placed = one.coil.room is not None
        assert (row["coil from x (mm)"] != "", row["place lacks (mm)"] == "") == (placed, placed)
    assert listed["link"]["spare (mm)"] == "-100"
    assert listed["power 2"]["place lacks (mm)"] == "12"


def test_paths_of_cables_read_back_point_by_point() -> None:
    """The points of each route, in order, within 0.001 mm."""
    found: dict[str, list[tuple[float, ...]]] = {}
    for row in rows(pair(), "cable_paths.csv"):
        point = tuple(float(row[f"{axis} (mm)"]) for axis in "xyz")
        found.setdefault(row["cable"], []).append(point)
        assert row["point"] == str(len(found[row["cable"]]))
    assert found == {one.label: list(one.path_mm) for one in shell_of(pair()).routes}


def test_bundles_and_exits_are_listed_by_place() -> None:
    """Every bundle with its cables; every exit with what passes against what has to."""
    made = shell_of(pair())
    assert [
        (row["where"], row["cables"].split("; "), float(row["diameter (mm)"]))
        for row in rows(pair(), "bundles.csv")
    ] == [(one.where, list(one.labels), one.diameter_mm) for one in made.bundles]
    (row,), (one,) = rows(pair(), "cable_exits.csv"), made.exits
    assert (row["exit"], row["part"], row["panel"]) == (
        one.name, "lower half", "bottom of the lower half"
    )  # fmt: skip
    assert float(row["bundle that passes (mm)"]) == pytest.approx(one.bundle_mm, abs=1e-3)
    assert float(row["leg (mm)"]) * (2 - math.sqrt(2)) == pytest.approx(one.bundle_mm, abs=1e-2)


@pytest.mark.parametrize("make", [pair, lid])
def test_the_lines_of_a_gap_add_up_to_worst_case_and_rss(make: Callable[[], Plan]) -> None:
    """From the list alone: planned less tolerances and shifts is the worst case; RSS likewise."""
    made = shell_of(make()).gaps
    listed = rows(make(), "closing_gap.csv")
    for gap in made:
        mine = [row for row in listed if (row["below"], row["above"]) == (gap.deep, gap.shallow)]
        lines = {row["line"]: figure(row["mm"]) for row in mine}
        each = {
            kind: [figure(row["mm"]) or 0.0 for row in mine if row["kind"] == kind]
            for kind in ("tolerance", "shift")
        }
        assert sum(len(some) for some in each.values()) == len(gap.contributions)
        planned = lines["as planned"]
        assert planned is not None
        assert planned == gap.nominal_mm
        shifts = sum(each["shift"])
        worst = planned - shifts - sum(each["tolerance"])
        rss = planned - shifts - math.hypot(*each["tolerance"])
        assert lines["worst case"] == pytest.approx(worst, abs=1e-3)
        assert lines["RSS"] == pytest.approx(rss, abs=1e-3)
        assert lines["must be left"] == gap.keep_mm
        for label, recess, least in zip(
            (gap.deep, gap.shallow), gap.recess_mm, gap.least_recess_mm, strict=True
        ):
            assert lines[f"recess of {label}"] == recess
            assert lines[f"least recess of {label}"] == least


def test_what_is_not_known_of_a_gap_is_empty_and_said() -> None:
    """No figure is made up: an empty cell, and "of what is known" beside what is left."""
    listed = {row["line"]: row for row in rows(lid(), "closing_gap.csv")}
    assert listed["foam gives way"]["mm"] == ""
    assert listed["worst case"]["where the figure is from"] == "of what is known"
    sure = {row["line"]: row for row in rows(pair(), "closing_gap.csv")}
    assert sure["worst case"]["where the figure is from"] == ""


def test_no_cell_of_these_lists_is_run_by_a_spreadsheet() -> None:
    """A name that looks like a formula is led by an apostrophe in every list."""
    plan = pair()
    made = shell_of(plan)
    bad = "=HYPERLINK(1)"
    hostile = evolve(
        made,
        supports=tuple(evolve(one, name=bad, material=bad) for one in made.supports),
        screwings=tuple(evolve(one, note=bad, holds=bad) for one in made.screwings),
        routes=tuple(evolve(one, label=bad, blocked=bad) for one in made.routes),
        gaps=tuple(evolve(one, deep=bad) for one in made.gaps),
    )
    lists = tables(evolve(plan, shell=hostile))
    for name in NAMES:
        text = lists[name].decode("utf-8-sig")
        for row in csv.reader(io.StringIO(text, newline="")):
            for cell in row:
                number = cell.replace("-", "", 1).replace(".", "", 1).isdigit()
                assert number or not cell.lstrip(" ").startswith(FORMULA_STARTS)


def test_a_cable_without_a_way_has_no_lengths_in_its_list() -> None:
    """No length, spare or bend is made up for it; the straight sides of a long coil are listed."""
    made = shell_of(pair())
    coil = made.routes[0].coil
    assert coil is not None
    long = evolve(made.routes[0], coil=evolve(coil, straight_mm=80.0))
    none = evolve(made.routes[2], closed_mm=0.0, open_mm=0.0, needed_mm=0.0, blocked="no room")
    plan = evolve(pair(), shell=evolve(made, routes=(long, none)))
    wound, lost = rows(plan, "cables.csv")
    assert float(wound["coil straight sides (mm)"]) == 80.0
    blank = ("length when shut (mm)", "length when open (mm)", "length needed with slack (mm)",
             "spare (mm)", "tightest bend (mm)")  # fmt: skip
    assert [lost[key] for key in blank] == [""] * 5
    assert float(lost["length that you have (mm)"]) == 800.0
