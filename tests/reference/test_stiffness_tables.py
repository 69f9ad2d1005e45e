"""Moduli, plates and heights of fall: each row with its source, in order, and refused if spoilt."""

from __future__ import annotations

import pytest
from attrs import asdict

from fitkit.reference import drops, moduli
from fitkit.reference.drops import drop_heights, drop_row
from fitkit.reference.moduli import modulus_of, rigidity_of
from fitkit.reference.panels import panels
from fitkit.reference.plates import plate_rows
from fitkit.sources import KNOWN, cited


def test_every_row_says_where_it_is_from() -> None:
    """Each row has a source in words and a mark of how it is known."""
    for row in (*moduli.moduli().values(), *plate_rows(), *drop_heights()):
        values = asdict(row)
        assert values["known"] in KNOWN
        assert cited(values["source"]).strip()


def test_what_is_not_read_says_so() -> None:
    """Of the moduli only plastics and aluminium were read; the setting is called an assumption."""
    marks = {name: row.known for name, row in moduli.moduli().items()}
    assert {name for name, mark in marks.items() if mark == "read"} == {
        "polypropylene",
        "high-density polyethylene",
        "ABS",
        "aluminium",
    }
    assert {name for name, mark in marks.items() if mark == "assumption"} == {"plywood"}


def test_plywood_is_as_its_plies_are() -> None:
    """Along and across the grain add up alike for every thickness.

    Plies of one veneer turned by 90 degrees: what one direction gains the other loses, so the sum
    of both moduli is that of one ply along and across (laminate theory). Handbook of Finnish
    Plywood, birch; digits from memory.
    """
    sums = {
        round(row.along_mpa + row.across_mpa)
        for name, row in moduli.moduli().items()
        if name.startswith("birch") and row.along_mpa and row.across_mpa
    }
    assert sums == {17500}


@pytest.mark.parametrize("name", list(panels()))
def test_every_panel_has_a_stiffness_or_none_by_choice(name: str) -> None:
    """Of the panels by trade name, only twin-wall plastic has no known stiffness."""
    panel = panels()[name]
    found = rigidity_of(name, panel.mean_mm, wood=panel.wood)
    assert (found is None) == name.startswith("twin-wall")


def test_a_laminate_stiffens_nothing() -> None:
    """A laminated board counts as its core; a bare one as thick as it was measured."""
    bare = rigidity_of("birch plywood 6.5", 6.4)
    assert rigidity_of("laminated plywood 6.5", 7.7) == bare
    assert rigidity_of("birch plywood 6.5, laminated on both faces", 7.6) == bare
    thick = rigidity_of("birch plywood 6.5", 6.8)
    assert bare is not None
    assert thick is not None
    assert thick.along_nmm == pytest.approx(bare.along_nmm * (6.8 / 6.4) ** 3)


def test_names_that_only_begin_alike_are_not_taken() -> None:
    """A composite is not aluminium, a honeycomb is not solid plastic."""
    for name in ("aluminium composite 6", "polypropylene honeycomb 10", "our own board", "ABS"):
        found = modulus_of(name)
        assert (found is None) == (name != "ABS")
    assert modulus_of("our own board", wood=True) == moduli.moduli()["plywood"]


def test_heavier_cases_fall_from_lower() -> None:
    """Bands join, from 0 to 68 kg; above, the builder says; below 0 is misuse."""
    rows = drop_heights()
    assert rows[0].from_kg == 0
    assert [one.to_kg for one in rows[:-1]] == [one.from_kg for one in rows[1:]]
    heights = [one.drop_mm for one in rows]
    assert heights == sorted(heights, reverse=True)
    assert drop_row(68.1) is None
    assert drop_row(10.0) == rows[0]
    with pytest.raises(ValueError, match="not below 0"):
        drop_row(-1.0)


def test_spoilt_tables_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A row with a modulus and a rigidity, or bands with a hole, are not used."""
    both = {
        "name": "x", "along_mpa": "1000", "across_mpa": "1000", "shear_mpa": "",
        "rigidity_nmm": "5000", "core_mm": "", "source": "FM", "known": "from memory",
    }  # fmt: skip
    monkeypatch.setattr(moduli, "rows", lambda _: [both])
    with pytest.raises(ValueError, match="either two moduli or a rigidity"):
        moduli.moduli.__wrapped__()
    hole = [
        {"rule": "x", "from_kg": a, "to_kg": b, "drop_mm": h, "source": "FM", "known": "read"}
        for a, b, h in (("0", "5", "700"), ("6", "9", "500"))
    ]
    monkeypatch.setattr(drops, "rows", lambda _: hole)
    with pytest.raises(ValueError, match="do not join"):
        drops.drop_heights.__wrapped__()


def test_a_board_of_no_thickness_is_refused() -> None:
    """Thickness of nothing is misuse."""
    with pytest.raises(ValueError, match="thicker than nothing"):
        rigidity_of("ABS 6", 0.0)
