"""Bundles: what they must not do, and how they grow."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.reference.bundles import bundle_of

DIAMETERS = st.lists(st.integers(2, 40).map(float), min_size=1, max_size=12)


@given(DIAMETERS)
def test_a_bundle_holds_its_cables(diameters: list[float]) -> None:
    """Never thinner than any cable, than two side by side, or than their areas together."""
    size = bundle_of(diameters).diameter_mm
    thick = sorted(diameters, reverse=True)
    assert size >= sum(thick[:2]) - 1e-9
    assert size**2 >= sum(d * d for d in diameters) - 1e-9
    assert bundle_of(list(reversed(diameters))).diameter_mm == size


@given(DIAMETERS, st.floats(0.5, 3.0))
def test_a_bundle_scales(diameters: list[float], factor: float) -> None:
    """Cables twice as thick make a bundle twice as thick."""
    grown = bundle_of([d * factor for d in diameters]).diameter_mm
    if max(diameters) - min(diameters) in (0.0,) or max(diameters) - min(diameters) > 0.5:
        assert grown == pytest.approx(factor * bundle_of(diameters).diameter_mm)


@pytest.mark.parametrize("wrong", [[], [0.0], [4.0, -1.0]])
def test_no_bundle_of_nothing(wrong: list[float]) -> None:
    """No cable, or one without a thickness, is misuse."""
    with pytest.raises(ValueError, match="cable"):
        bundle_of(wrong)
