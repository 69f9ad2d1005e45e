"""Unit texts against pint.

Source: pint's default registry (the units file that ships with the library, itself after NIST
SP 811 and the SI Brochure). pint is a general-purpose library and used in the tests only.
"""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.units import KG_PER_POUND, MM_PER_INCH, angle_deg, length_mm, mass_kg

registry = pint.UnitRegistry(non_int_type=Fraction)
registry_float = pint.UnitRegistry()

LENGTHS = {
    "mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", "inches": "inch",
    '"': "inch", "ft": "foot", "'": "foot", "foot": "foot", "centimetres": "centimeter",
}  # fmt: skip
MASSES = {"kg": "kilogram", "g": "gram", "lb": "pound", "lbs": "pound", "oz": "ounce"}


def of(amount: Fraction, unit: str, to: str) -> float:
    """An amount of one unit in another, by pint, exactly, then as a float."""
    return float(registry.Quantity(amount, unit).to(to).magnitude)


def test_the_definitions_agree() -> None:
    """Inch and pound are what pint says they are, exactly."""
    assert of(Fraction(1), "inch", "millimeter") == MM_PER_INCH
    assert of(Fraction(1), "pound", "kilogram") == KG_PER_POUND


@given(st.integers(0, 10**6), st.sampled_from(sorted(LENGTHS)))
def test_decimal_lengths_agree(thousandths: int, unit: str) -> None:
    """Any decimal number with any length unit is what pint makes of it."""
    typed = f"{thousandths // 1000}.{thousandths % 1000:03d}"
    expected = of(Fraction(thousandths, 1000), LENGTHS[unit], "millimeter")
    assert length_mm(f"{typed} {unit}") == expected


@given(st.integers(0, 120), st.integers(0, 63), st.sampled_from((2, 4, 8, 16, 32, 64)))
def test_fractions_of_an_inch_agree(whole: int, over: int, under: int) -> None:
    """Whole inches with a fraction are the sum, as pint works it out."""
    expected = of(whole + Fraction(over, under), "inch", "millimeter")
    assert length_mm(f"{whole} {over}/{under} in") == expected


@given(st.integers(0, 9), st.integers(0, 11))
def test_feet_with_inches_agree(feet: int, inches: int) -> None:
    """Feet with inches are added up."""
    expected = of(Fraction(feet), "foot", "millimeter") + of(Fraction(inches), "inch", "millimeter")
    assert length_mm(f"{feet} ft {inches} in") == pytest.approx(expected, rel=1e-15, abs=0)


@given(st.integers(0, 10**6), st.sampled_from(sorted(MASSES)))
def test_masses_agree(thousandths: int, unit: str) -> None:
    """Any decimal number with any mass unit is what pint makes of it."""
    typed = f"{thousandths // 1000}.{thousandths % 1000:03d}"
    assert mass_kg(f"{typed} {unit}") == of(Fraction(thousandths, 1000), MASSES[unit], "kilogram")


@given(st.integers(0, 40), st.integers(0, 15))
def test_pounds_with_ounces_agree(pounds: int, ounces: int) -> None:
    """Pounds with ounces are added up."""
    expected = of(pounds + Fraction(ounces, 16), "pound", "kilogram")
    assert mass_kg(f"{pounds} lb {ounces} oz") == pytest.approx(expected, rel=1e-15, abs=0)


@given(st.integers(0, 3600))
def test_angles_agree(tenths: int) -> None:
    """Degrees stay degrees through radians and back, by pint."""
    radians = registry_float.Quantity(tenths / 10, "degree").to("radian")
    assert angle_deg(f"{tenths / 10} deg") == pytest.approx(radians.to("degree").magnitude)
