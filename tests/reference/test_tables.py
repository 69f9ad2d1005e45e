"""The sourced tables: in range, in order, each row with its source, and refused when spoilt."""

from __future__ import annotations

import pytest
from attrs import asdict

from fitkit.payload.model import FoamWishes, Wall
from fitkit.reference import rows as reading
from fitkit.reference.cautions import cautions
from fitkit.reference.foams import METHODS, cutting_methods, foam_kinds
from fitkit.reference.fragility import fragility_bands
from fitkit.reference.handling import carrier_limits, reference_masses
from fitkit.reference.panels import panels
from fitkit.sources import KNOWN, SOURCES, cited

TABLES = {
    "panels": panels,
    "foams": foam_kinds,
    "cutting": cutting_methods,
    "fragility": fragility_bands,
    "carriers": carrier_limits,
    "masses": reference_masses,
    "cautions": cautions,
}

# Mass of a sheet of 1220 x 2440 mm [kg] as printed beside the thicknesses in source S18
# (birch plywood: real thickness, density, mass per sheet; read on a secondary page).
SHEET_KG = {4: 7.9, 6.5: 13.0, 9: 19.0, 12: 24.8, 15: 30.8, 18: 36.7}


@pytest.mark.parametrize("table", TABLES)
def test_every_row_says_where_it_is_from(table: str) -> None:
    """Each row has a source in words and one of the marks of how it is known."""
    found = TABLES[table]()
    assert found
    for row in found.values():
        values = asdict(row)
        assert values["known"] in KNOWN
        said = cited(values["source"])
        assert said.strip()
        assert not any(part.split(" ")[0] in SOURCES for part in said.split("; "))


def test_a_square_metre_weighs_its_share_of_a_sheet() -> None:
    """Mass per square metre agrees with the printed mass of a whole sheet, to the last digit."""
    area_m2 = 1.220 * 2.440
    read = [panel for panel in panels().values() if panel.source == "S18"]
    assert {panel.nominal_mm for panel in read} == set(SHEET_KG)
    for panel in read:
        expected = SHEET_KG[panel.nominal_mm] / area_m2
        assert panel.areal_kg_m2 == pytest.approx(expected, abs=0.006)


def test_a_panel_weighs_about_its_density() -> None:
    """Density times mean thickness is the mass per square metre within 6 % (printed roundly)."""
    weighed = [panel for panel in panels().values() if panel.areal_kg_m2 is not None]
    assert {p.name for p in panels().values()} - {p.name for p in weighed} == {
        "twin-wall polypropylene 6", "twin-wall polypropylene 10",
    }  # fmt: skip
    for panel in weighed:
        assert panel.areal_kg_m2 == pytest.approx(
            panel.density_kg_m3 * panel.mean_mm / 1000, rel=0.06
        )


def test_a_panel_measures_about_its_name() -> None:
    """The nominal thickness lies within the range that was measured; a laminate is on top of it."""
    for panel in panels().values():
        if not panel.name.startswith("laminated"):
            assert panel.min_mm <= panel.nominal_mm <= panel.max_mm
        else:
            assert panel.nominal_mm < panel.min_mm < panel.max_mm
        assert panel.ranged == (panel.min_mm < panel.max_mm)
        assert panel.name.endswith(f" {panel.nominal_mm:g}")


def test_bands_of_fragility_join() -> None:
    """Each band starts where the one before ends; the last is open."""
    bands = list(fragility_bands().values())
    for lower, upper in zip(bands[:-1], bands[1:], strict=True):
        assert lower.high_g == upper.low_g
    assert bands[-1].high_g is None


def test_ways_of_cutting() -> None:
    """The three ways of the sheet are there; a router's radius is half its tool."""
    methods = cutting_methods()
    assert tuple(methods) == METHODS
    assert methods["router"].radius_mm(8.0) == 4.0
    assert methods["hot wire"].radius_mm(8.0) == 2.0
    assert methods["hot wire"].caution.count("never polyurethane") == 1
    # common practice: 8 to 10 mm with an oscillating knife (by hand 15, as the advice says)
    assert [methods[name].least_web_mm for name in METHODS] == [8.0, 10.0, 10.0]
    assert "15 mm" in methods["knife"].advice


def test_the_defaults_of_the_sheet_are_those_of_the_tables() -> None:
    """The wall's default panel is a row of the table, and the foam's density one that is sold."""
    wall = Wall()
    row = panels()[wall.panel]
    assert (wall.panel_mm, wall.areal_kg_m2) == (row.mean_mm, row.areal_kg_m2)
    sold = foam_kinds()["cross-linked polyethylene"]
    assert sold.least_kg_m3 <= FoamWishes().density_kg_m3 <= sold.most_kg_m3


def test_carriers_and_lifting() -> None:
    """A checked piece may measure 62 inches and weigh 50 lb: the metric limits are the rounder."""
    limits = carrier_limits()
    assert limits["linear"].value == pytest.approx(62 * 25.4, abs=6)
    assert limits["mass economy"].value == pytest.approx(50 * 0.45359237, abs=0.5)
    assert limits["mass business"].value > limits["mass economy"].value
    assert max(row.reference_kg for row in reference_masses().values()) == 25.0


@pytest.mark.parametrize(
    "hazard",
    ["wood dust", "knife", "hot wire", "spray adhesive", "lithium batteries", "mains", "lifting"],
)
def test_every_hazard_has_its_caution(hazard: str) -> None:
    """Where work can hurt someone there is a sentence to print."""
    assert cautions()[hazard].text.endswith(".")


def test_a_spoilt_row_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A value out of range, an unknown mark, or a mean outside its range stops the reading."""
    good = dict(reading.rows("panels.csv")[0])
    for key, value in (("mean_mm", "0"), ("known", "surely"), ("mean_mm", "9")):
        monkeypatch.setattr(
            "fitkit.reference.panels.rows", lambda _, k=key, v=value: [{**good, k: v}]
        )
        with pytest.raises(ValueError, match=r"outside|none of|not between"):
            panels.__wrapped__()


def test_a_ragged_file_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A row with a cell too few or too many is not read as something else."""

    class File:
        def __init__(self, text: str) -> None:
            self.text = text

        def joinpath(self, *_: str) -> File:
            return self

        def read_text(self, encoding: str) -> str:
            return self.text

    for text in ("a,b\n1\n", "a,b\n1,2,3\n"):
        monkeypatch.setattr(reading.resources, "files", lambda _, t=text: File(t))
        with pytest.raises(ValueError, match="more or fewer cells"):
            reading.rows("x.csv")
