"""Hole patterns, bend radii and plugs: each row with its source, and refused when spoilt."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from attrs import asdict
from hypothesis import given
from hypothesis import strategies as st

from fitkit.reference import rows as reading
from fitkit.reference.cable_bends import USES, BendUse, cable_bends
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.reference.hole_patterns import hole_patterns
from fitkit.reference.plugs import plugs
from fitkit.sources import KNOWN, SOURCES, cited

TABLES: dict[str, Callable[[], Any]] = {"hole patterns": hole_patterns, "plugs": plugs}


def says(row: Any) -> bool:
    """Whether a row has a mark, and a source that reads as words."""
    values = asdict(row)
    words = cited(values["source"]).split("; ")
    return values["known"] in KNOWN and not any(one.split(" ")[0] in SOURCES for one in words)


@pytest.mark.parametrize("table", TABLES)
def test_every_row_says_where_it_is_from(table: str) -> None:
    """Each pattern and plug has a source in words and one of the marks of how it is known."""
    found = TABLES[table]()
    assert found
    assert all(says(row) for row in found.values())


def test_every_bend_says_where_it_is_from() -> None:
    """Each rule of every kind has a source in words and a mark."""
    bands = [band for row in cable_bends().values() for band in row.bands]
    assert len(bands) > 20
    assert all(says(band) for band in bands)


def test_a_pattern_lies_about_its_middle() -> None:
    """The four holes are the corners of the named rectangle, wherever its middle is."""
    for row in hole_patterns().values():
        holes = row.holes_mm((300.0, 200.0))
        assert {x for x, _ in holes} == {300 - row.size_mm[0] / 2, 300 + row.size_mm[0] / 2}
        assert {y for _, y in holes} == {200 - row.size_mm[1] / 2, 200 + row.size_mm[1] / 2}
        assert len(set(holes)) == 4


def test_threads_are_known_ones_or_left_open() -> None:
    """A pattern's thread has a clearance hole in the table of bolts; no depth is from memory."""
    for row in hole_patterns().values():
        assert row.thread is None or row.thread in clearance_holes()
        assert row.depth_mm is None or row.known == "read"


@given(
    kind=st.sampled_from(sorted(cable_bends())),
    use=st.sampled_from(USES),
    diameter=st.floats(0.5, 100.0),
)
def test_every_cable_has_a_bend(kind: str, use: BendUse, diameter: float) -> None:
    """A thicker cable is never bent more tightly, and a radius is never under its least."""
    row = cable_bends()[kind]
    band = row.band(diameter_mm=diameter, use=use)
    radius = row.radius_mm(diameter_mm=diameter, use=use)
    assert radius == max(band.factor * diameter, band.least_mm) > 0
    assert row.radius_mm(diameter_mm=1.1 * diameter, use=use) >= radius


def test_what_is_handled_is_bent_no_tighter_than_what_is_fixed() -> None:
    """Moving and coiling ask for at least the radius of a cable that is laid once."""
    for row in cable_bends().values():
        for d in (1.0, 6.0, 8.0, 8.1, 12.0, 12.1, 20.0, 20.1, 30.0):
            fixed = row.radius_mm(diameter_mm=d, use="fixed")
            assert row.radius_mm(diameter_mm=d, use="moving") >= fixed
            assert row.radius_mm(diameter_mm=d, use="coiled") >= fixed


@pytest.mark.parametrize(
    ("file", "module", "read", "spoilt"),
    [
        ("hole_patterns.csv", "hole_patterns", hole_patterns, {"width_mm": "51"}),
        ("hole_patterns.csv", "hole_patterns", hole_patterns, {"most_kg": "0"}),
        ("hole_patterns.csv", "hole_patterns", hole_patterns, {"known": "surely"}),
        ("plugs.csv", "plugs", plugs, {"angled": "perhaps"}),
        ("plugs.csv", "plugs", plugs, {"width_mm": "1000"}),
        ("cable_bends.csv", "cable_bends", cable_bends, {"use": "knotted"}),
        ("cable_bends.csv", "cable_bends", cable_bends, {"factor": "-1"}),
        ("cable_bends.csv", "cable_bends", cable_bends, {}),
    ],
)
def test_a_spoilt_row_is_refused(
    monkeypatch: pytest.MonkeyPatch, file: str, module: str, read: Any, spoilt: dict[str, str]
) -> None:
    """A value out of range, an unknown word, or a kind without all its uses stops the reading."""
    good = dict(reading.rows(file)[0])
    monkeypatch.setattr(f"fitkit.reference.{module}.rows", lambda _: [{**good, **spoilt}])
    with pytest.raises(ValueError, match=r"outside|none of|not called|yes or no|no rule for"):
        read.__wrapped__()


def test_bends_that_leave_a_gap_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two rules of one use whose diameters do not join, or that end, are no table."""
    every = reading.rows("cable_bends.csv")
    fixed = [r for r in every if (r["kind"], r["use"]) == ("power flex", "fixed")]
    read: Any = cable_bends
    monkeypatch.setattr("fitkit.reference.cable_bends.rows", lambda _: fixed[1:])
    with pytest.raises(ValueError, match="leave a gap"):
        read.__wrapped__()
    monkeypatch.setattr("fitkit.reference.cable_bends.rows", lambda _: fixed[:1])
    with pytest.raises(ValueError, match="no rule above 12"):
        read.__wrapped__()
