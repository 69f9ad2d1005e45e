"""The tables of fasteners: each row with its source, and refused when spoilt."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from attrs import asdict

from fitkit.reference import rows as reading
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.reference.rivets import rivet_grips, rivet_sizes
from fitkit.reference.tee_nuts import tee_nuts
from fitkit.reference.wood_screws import wood_screws
from fitkit.sources import KNOWN, SOURCES, cited

TABLES: dict[str, Callable[[], Any]] = {
    "rivet sizes": rivet_sizes,
    "clearance holes": clearance_holes,
    "wood screws": wood_screws,
    "tee nuts": tee_nuts,
}


def said(row: Any) -> str:
    """The row's source in words, after a look at its mark."""
    values = asdict(row)
    assert values["known"] in KNOWN
    return cited(values["source"])


@pytest.mark.parametrize("table", TABLES)
def test_every_row_says_where_it_is_from(table: str) -> None:
    """Each row has a source in words and one of the marks of how it is known."""
    found = TABLES[table]()
    assert found
    for row in found.values():
        assert not any(part.split(" ")[0] in SOURCES for part in said(row).split("; "))


def test_every_length_of_rivet_says_where_it_is_from() -> None:
    """The grip table's rows name the standard, and that its column heads are inferred."""
    for lengths in rivet_grips().values():
        for row in lengths:
            assert said(row).startswith("ISO 15981:2002")
            assert "inferred" in said(row)


@pytest.mark.parametrize(
    ("file", "module", "read", "spoilt"),
    [
        ("rivets.csv", "rivets", rivet_sizes, {"least_hole_mm": "4.9"}),
        ("rivet_grips.csv", "rivets", rivet_grips, {"most_grip_mm": "99"}),
        ("clearance_holes.csv", "clearance_holes", clearance_holes, {"medium_mm": "9.9"}),
        ("wood_screws.csv", "wood_screws", wood_screws, {"clearance_mm": "2"}),
        ("tee_nuts.csv", "tee_nuts", tee_nuts, {"least_hole_mm": "3.5"}),
        ("tee_nuts.csv", "tee_nuts", tee_nuts, {"known": "surely"}),
    ],
)
def test_a_spoilt_row_is_refused(
    monkeypatch: pytest.MonkeyPatch, file: str, module: str, read: Any, spoilt: dict[str, str]
) -> None:
    """A value out of range or order, or an unknown mark, stops the reading."""
    good = dict(reading.rows(file)[0])
    monkeypatch.setattr(f"fitkit.reference.{module}.rows", lambda _: [{**good, **spoilt}])
    with pytest.raises(ValueError, match=r"outside|none of|not between|not in order|no wider"):
        read.__wrapped__()


def test_grips_that_leave_a_gap_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two lengths of one diameter whose ranges do not join are no table."""
    first, _, third = reading.rows("rivet_grips.csv")[:3]
    monkeypatch.setattr("fitkit.reference.rivets.rows", lambda _: [first, third])
    with pytest.raises(ValueError, match="leave a gap"):
        rivet_grips.__wrapped__()
