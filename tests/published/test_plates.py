"""Plates in bending against the printed tables, at 1 % of the series.

Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. (1959), tables 8, 23, 35, 37
and 47 (their digits from memory); Roark's Formulas for Stress and Strain, 7th ed., table 11.4,
case 1a (read). Printed digits are rounded: half a unit of the last one is allowed on top.
"""

from __future__ import annotations

import pytest

from fitkit.reference.moduli import Rigidity
from fitkit.reference.plates import PlateRow, plate_rows
from fitkit.shell.gap.flex import held_compliance, plate_compliance
from fitkit.shell.gap.strip_flex import strip_compliance

EVEN = Rigidity(1.0, 1.0, 1.0)
ROARK_POISSON = 0.3


def half_a_digit(row: PlateRow) -> float:
    """Half of the last printed digit of a coefficient."""
    digits = len(f"{row.coefficient:.10f}".rstrip("0").partition(".")[2])
    return 0.5 * 10**-digits


def computed(row: PlateRow) -> float:
    """The series for a plate of sides 1 and ``aspect``, in the row's own form."""
    sides = (1.0, row.aspect)
    load = (0.0, 0.0) if row.load == "central" else sides
    middle = (0.5, row.aspect / 2)
    if row.edges == "clamped":
        w = held_compliance(sides, EVEN, load_mm=load)
    else:
        w = plate_compliance(sides, EVEN, load_at_mm=middle, load_mm=load, at_mm=middle)
    if row.load == "uniform":
        w *= row.aspect  # a pressure of 1 pushes with the plate's area
    if row.form == "q a4 / E t3":
        w *= 12 * (1 - ROARK_POISSON**2)
    return w


def test_every_table_is_there() -> None:
    """Both edges under both loads, and a second author for the even pressure."""
    assert {(row.edges, row.load, row.form) for row in plate_rows()} == {
        ("simply supported", "uniform", "q a4 / D"),
        ("simply supported", "central", "P a2 / D"),
        ("clamped", "uniform", "q a4 / D"),
        ("clamped", "central", "P a2 / D"),
        ("simply supported", "uniform", "q a4 / E t3"),
    }
    assert len(plate_rows()) == 48


@pytest.mark.parametrize(
    "row", plate_rows(), ids=lambda row: f"{row.edges}, {row.load}, {row.form}, {row.aspect:g}"
)
def test_deflection_is_as_printed(row: PlateRow) -> None:
    """The middle gives way as printed, within 1 % and the rounding of the print."""
    assert computed(row) == pytest.approx(
        row.coefficient, abs=0.01 * row.coefficient + half_a_digit(row)
    )


@pytest.mark.parametrize(
    ("aspect", "where", "coefficient"),
    [(1.0, 0.5, 0.01309), (1.0, 1.0, 0.01509), (2.0, 0.5, 0.01289), (2.0, 1.0, 0.01521)],
)
def test_a_plate_on_two_edges_gives_way_as_printed(
    aspect: float, where: float, coefficient: float
) -> None:
    """Middle and free edge under an even pressure, Poisson's ratio 0.3: table 47, within 1 %."""
    w = aspect * strip_compliance(
        (1.0, aspect), EVEN, load_at_mm=(0.5, aspect / 2), load_mm=(1.0, aspect),
        at_mm=(0.5, where * aspect), coupling_nmm=ROARK_POISSON,
    )  # fmt: skip
    assert w == pytest.approx(coefficient, rel=0.01)
