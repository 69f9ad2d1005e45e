"""Typed lengths, masses and angles: what is understood, and what is refused with a remedy."""

from __future__ import annotations

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.errors import BadInput
from fitkit.units import (
    KG_PER_POUND,
    MM_PER_INCH,
    angle_deg,
    length_mm,
    length_text,
    mass_kg,
    mass_text,
)


@pytest.mark.parametrize(
    ("typed", "expected_mm"),
    [
        ("44 mm", 44.0),
        ("44mm", 44.0),
        ("31.5 cm", 315.0),
        (".5 m", 500.0),
        ("1/2 in", 12.7),
        ("12 3/8 in", 314.325),
        ("12-3/8 in", 314.325),
        ("12 3/8 IN", 314.325),
        ("½ in", 12.7),
        ("12½ in", 317.5),
        ('12"', 304.8),
        ("12″", 304.8),
        ("12''", 304.8),
        ("3'", 914.4),
        ("2 ft 3 in", 685.8),
        ("2'3\"", 685.8),
        ("2 ft 3 1/2 in", 698.5),
        ("-0.5 mm", -0.5),
        ("\u22120.5 mm", -0.5),
        ("  7  inches ", 177.8),
        ("158 cm", 1580.0),
    ],
)
def test_lengths_as_builders_type_them(typed: str, expected_mm: float) -> None:
    """Every way of writing a length gives its exact value (inch 25.4 mm)."""
    assert length_mm(typed) == expected_mm


def test_plain_numbers_are_in_the_units_of_the_sheet() -> None:
    """A number is millimetres or inches; a text says itself what it is, whatever the sheet."""
    assert length_mm(12) == 12.0
    assert length_mm(0.1) == 0.1
    assert length_mm(12, units="in") == 304.8
    assert length_mm("12 mm", units="in") == 12.0


@pytest.mark.parametrize(
    ("typed", "expected_kg"),
    [
        ("1.2 kg", 1.2),
        ("350 g", 0.35),
        ("2 lb", 0.90718474),
        ("2 lb 3 oz", 0.992233309375),
        ("1/2 lb", 0.226796185),
        ("8 ounces", 0.226796185),
    ],
)
def test_masses_as_builders_type_them(typed: str, expected_kg: float) -> None:
    """Kilograms, grams, pounds and ounces give their exact value (pound 0.45359237 kg)."""
    assert mass_kg(typed) == pytest.approx(expected_kg, rel=1e-15)


def test_angles_are_degrees() -> None:
    """A number or a text with deg or the degree sign."""
    assert [angle_deg(3), angle_deg("3 deg"), angle_deg("2.5°")] == [3.0, 3.0, 2.5]


@pytest.mark.parametrize(
    ("typed", "found", "remedy"),
    [
        ("12", '"12" has no unit', "without quotes"),
        ("", '"" is empty', "write a length"),
        ("-", '"-" is empty', "write a length"),
        ("abc", '"abc" is not a length', "write a length"),
        ("1.2 kg", '"1.2 kg" is a mass, not a length', "write a length"),
        ("3 deg", '"3 deg" is an angle, not a length', "write a length"),
        ("31,5 cm", "decimal comma", "decimal point"),
        ("1/0 in", "divides by nought", "write a length"),
        ("12 3 in", "two numbers before its unit", "write a length"),
        ("3 in 2 ft", "mixes units", "feet with inches"),
        ("1 cm 2 mm", "mixes units", "feet with inches"),
        ("2 ft 3 in 1 in", "mixes units", "feet with inches"),
        ("12 furlongs", "the unit furlongs is not known", "write a length"),
        ("12 m²", "is not a length", "write a length"),
        ("1e3 mm", "not known", "write a length"),
        ("--5 mm", "is not a length", "write a length"),
        ("nan mm", "is not a length", "write a length"),
        (float("nan"), "no end", "plain number"),
        (float("inf"), "no end", "plain number"),
        (10**400, "no end", "plain number"),
        (True, "true stands where a number belongs", "give a number"),
    ],
)
def test_what_is_no_length_is_refused(typed: str | float, found: str, remedy: str) -> None:
    """One fault at the place given, saying what was found and what would be right."""
    with pytest.raises(BadInput) as refused:
        length_mm(typed, place="kit.toml line 3")
    (fault,) = refused.value.faults
    assert fault.place == "kit.toml line 3"
    assert found in fault.found
    assert remedy in fault.remedy


@pytest.mark.parametrize(
    ("typed", "found", "remedy"),
    [
        ("1.4", '"1.4" has no unit', '"1.4 kg"'),
        ("12 mm", "is a length, not a mass", '"1.2 kg"'),
        ("3 oz 2 lb", "mixes units", "pounds with ounces"),
        (1.4, "has no unit", '"1.2 kg"'),
    ],
)
def test_what_is_no_mass_is_refused(typed: str, found: str, remedy: str) -> None:
    """A mass needs its unit: a bare number could be pounds."""
    with pytest.raises(BadInput) as refused:
        mass_kg(typed)
    (fault,) = refused.value.faults
    assert found in fault.found
    assert remedy in fault.remedy


@given(st.text(max_size=12))
def test_no_text_breaks_the_reader(typed: str) -> None:
    """Any text is either a number of millimetres or refused with a fault; nothing else happens."""
    with contextlib.suppress(BadInput):
        assert math.isfinite(length_mm(typed))


@given(st.floats(-5000, 5000))
def test_printed_lengths_read_back(value_mm: float) -> None:
    """A printed length, read again, is within its last digit of the value."""
    assert length_mm(length_text(value_mm)) == pytest.approx(value_mm, abs=0.0501)
    inches = length_text(value_mm, units="in")
    assert length_mm(inches) == pytest.approx(value_mm, abs=0.0005 * MM_PER_INCH + 1e-9)


@given(st.integers(0, 64 * 80))
def test_inch_fractions_come_back_as_typed(steps: int) -> None:
    """Every sixty-fourth of an inch prints as a reduced fraction and reads back exactly."""
    text = length_text(steps / 64 * MM_PER_INCH, units="in")
    assert length_mm(text) == pytest.approx(steps / 64 * MM_PER_INCH, abs=1e-9)
    assert "." not in text


@given(st.floats(0, 3000))
def test_printed_masses_read_back(value_kg: float) -> None:
    """A printed mass, read again, is within its last digit of the value."""
    last = 0.0005 if value_kg < 0.9995 else 0.005
    assert mass_kg(mass_text(value_kg)) == pytest.approx(value_kg, abs=last * 1.001)
    ounces = mass_text(value_kg, units="in")
    assert mass_kg(ounces) == pytest.approx(value_kg, abs=0.05 / 16 * KG_PER_POUND * 1.001)


@pytest.mark.parametrize(
    ("value_mm", "units", "text"),
    [
        (0.0, "mm", "0 mm"),
        (-0.04, "mm", "0 mm"),
        (-6.25, "mm", "-6.2 mm"),
        (0.0, "in", "0 in"),
        (-12.7, "in", "-1/2 in"),
        (304.8, "in", "12 in"),
        (0.3, "in", "0.012 in"),
    ],
)
def test_how_lengths_look(value_mm: float, units: str, text: str) -> None:
    """No minus nought, no needless digits, fractions where they are meant."""
    assert length_text(value_mm, units="in" if units == "in" else "mm") == text
