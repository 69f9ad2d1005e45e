"""What is typed becomes the sheet's value, and the sheet's value is shown as it would be typed."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.notebook.form.typed import text_of, value_of
from fitkit.units import MM_PER_INCH, length_mm


@pytest.mark.parametrize(
    ("text", "kind", "units", "value"),
    [
        ("44", "length", "mm", 44),
        (" 44.50 ", "length", "mm", 44.5),
        ("44", "length", "in", "44 in"),
        ("12 3/8", "length", "in", "12 3/8 in"),
        ("12 3/8 in", "length", "mm", "12 3/8 in"),
        ("31.5 cm", "length", "in", "31.5 cm"),
        ("-0.5", "length", "mm", -0.5),
        ("Free", "length", "mm", "free"),
        ("12,5", "length", "mm", "12,5"),
        ("", "length", "mm", None),
        ("1.4", "mass", "mm", "1.4 kg"),
        ("3", "mass", "in", "3 lb"),
        ("350 g", "mass", "mm", "350 g"),
        ("3", "count", "mm", 3),
        ("three", "count", "mm", "three"),
        ("2.5", "number", "mm", 2.5),
        ("very delicate", "number", "mm", "very delicate"),
        ("true", "flag", "mm", True),
        ("top,left", "choices", "mm", ["top", "left"]),
        ("10, 20; 30", "lengths", "mm", [10, 20, 30]),
        ("[1/2, 1]", "lengths", "in", ["1/2 in", "1 in"]),
        (
            "0, 20\n160; 64, arc -34\nround",
            "points",
            "mm",
            [[0, 20], [160, 64, "arc", -34], "round"],
        ),
    ],
)
def test_typed_texts_become_values(text, kind, units, value) -> None:
    """The table of what a builder types, in a sheet of millimetres."""
    assert value_of(text, kind, units=units, sheet_units="mm") == value


@given(st.floats(-500, 5000), st.sampled_from(("mm", "in")), st.sampled_from(("mm", "in")))
def test_a_shown_length_is_the_length(value: float, units, sheet_units) -> None:
    """What is shown in either unit, typed back, is the same length within 0.02 mm."""
    shown = text_of(value, "length", units=units, sheet_units=sheet_units)
    typed = value_of(shown, "length", units=units, sheet_units=sheet_units)
    factor = MM_PER_INCH if sheet_units == "in" else 1.0
    assert math.isclose(length_mm(typed, units=sheet_units), value * factor, abs_tol=0.02)


@given(st.lists(st.lists(st.integers(-99, 999), min_size=2, max_size=2), min_size=1, max_size=6))
def test_corners_are_shown_one_a_line_and_read_back(points: list[list[int]]) -> None:
    """Corners with and without arcs come back as they were."""
    bent = [[*point, "arc", 20] if k % 2 else point for k, point in enumerate(points)]
    shown = text_of(bent, "points", units="mm", sheet_units="mm")
    assert shown.count("\n") == len(points) - 1
    assert value_of(shown, "points", units="mm", sheet_units="mm") == bent


@given(st.text(max_size=12), st.sampled_from(("length", "mass", "number", "count", "points")))
def test_nothing_typed_raises(text: str, kind) -> None:
    """Any text becomes some value: what is wrong with it the sheet's reader says."""
    value = value_of(text, kind, units="in", sheet_units="mm")
    assert (value is None) == (not text.strip())
    text_of(value, kind, units="in", sheet_units="mm")
