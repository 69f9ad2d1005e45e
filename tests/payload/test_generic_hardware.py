"""Generic hardware: every kind has a type, within common practice's ranges, and says what it is."""

from __future__ import annotations

from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from fitkit.payload.hardware import KINDS, LOW, generic, low_type, type_for, type_named
from fitkit.payload.model import Payload, Profile, Wall
from fitkit.payload.workshop import HardwareType, HardwareWishes, Workshop
from fitkit.reference.hardware import generic_hardware
from fitkit.sources import KNOWN, cited


def test_every_kind_has_a_type_that_says_it_is_assumed() -> None:
    """No kind is missing, and every one is marked as an assumption with its source in words."""
    assert set(generic()) == set(KINDS)
    for row in generic_hardware().values():
        assert row.known == "assumption"
        assert row.known in KNOWN
        assert "measure yours" in cited(row.source)


def test_sunk_hardware_lies_within_the_usual_ranges() -> None:
    """Flange: cut-out plus 20 to 40; corner radius 5 to 12; dish depth 10 to 20 from outside.

    Ranges: cut-out parameters of the shared hardware reference, common practice, no source. Depth
    here counts from the panel's outer face, one outer leaf (1.5 mm) less than from the case's.
    """
    leaf = Profile().outer_leaf_mm
    for kind in generic().values():
        if kind.dish_mm is None:
            continue
        for flange, dish in zip(kind.flange_mm, kind.dish_mm, strict=True):
            assert 20 <= flange - dish <= 40
        assert 5 <= kind.dish_corner_mm <= 12
        assert 10 <= kind.depth_mm + leaf <= 20


def test_a_hand_fits_the_generic_handles() -> None:
    """A hold is 115 mm long or more; a sunk one at least 38 mm high.

    Applications manual for the revised lifting equation, 94-110, Table 6 notes 1 and 2 (read).
    """
    sunk = generic()["handle"].dish_mm
    assert sunk is not None
    assert sunk[0] >= 115
    assert sunk[1] >= 38
    low = low_type("handle")
    assert low is not None
    ends = [hole.x_mm for hole in low.holes]
    assert max(ends) - min(ends) >= 115


@given(st.sampled_from((3.2, 4.0, 4.8)))
def test_holes_suit_the_rivet_and_lie_on_the_flange(rivet: float) -> None:
    """Rivet holes are d + 0.1 (source S03, read), on the flange, clear of the dish by 1.5 d."""
    low = [low_type(kind, rivet_mm=rivet) for kind in LOW]
    for kind in (*generic(rivet_mm=rivet).values(), *(one for one in low if one is not None)):
        for hole in kind.holes:
            if kind.fixing == "rivet":
                assert abs(hole.diameter_mm - rivet - 0.1) < 1e-9
            assert abs(hole.x_mm) + hole.diameter_mm / 2 < kind.flange_mm[0] / 2
            assert abs(hole.y_mm) + hole.diameter_mm / 2 < kind.flange_mm[1] / 2
            if kind.dish_mm is not None:
                beside = abs(hole.x_mm) - kind.dish_mm[0] / 2
                above = abs(hole.y_mm) - kind.dish_mm[1] / 2
                assert max(beside, above) >= hole.diameter_mm / 2 + 1


def test_the_builder_s_own_type_goes_before_the_generic_one() -> None:
    """A measured type of a kind is taken for it; a corner's generic reach is the profile's."""
    own = HardwareType("latch", "own latch", (60.0, 40.0))
    shop = Workshop(hardware=HardwareWishes(types=(own,)))
    payload = Payload("kit", (), workshop=shop, wall=Wall(profile=Profile(corner_reach_mm=44.0)))
    assert type_for(payload, "latch") is own
    assert type_for(payload, "corner").flange_mm == (44.0, 44.0)
    assert type_named(payload, "handle", "strap handle") == low_type("handle")
    renamed = evolve(own, kind="handle", name="strap handle")
    mine = evolve(payload, workshop=Workshop(hardware=HardwareWishes(types=(renamed,))))
    assert type_named(mine, "handle", "strap handle") is renamed
